package shell

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"

	"weirkeeper/app/apptest"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
	"weirkeeper/tasks"
)

// field returns the n-th text field of the dialog in front.
func (k *keeper) field(n int) *widgets.TextEntry {
	k.t.Helper()
	seen := -1
	return apptest.Find(k.t, apptest.Top(k.c), func(*widgets.TextEntry) bool { seen++; return seen == n })
}

func (k *keeper) number(n int) *widgets.NumberEntry {
	k.t.Helper()
	seen := -1
	return apptest.Find(k.t, apptest.Top(k.c), func(*widgets.NumberEntry) bool { seen++; return seen == n })
}

// closed fails when a dialog is still open.
func (k *keeper) closed() {
	k.t.Helper()
	if o := k.c.Overlays().Top(); o != nil {
		said := ""
		apptest.Each(o, func(o fyne.CanvasObject) {
			if f, ok := o.(*widgets.Form); ok {
				for _, name := range []string{"name", "code", "amount", "text", "reason", "compound0", "strength0", "stock", "title",
					"unit", "system", "value"} {
					said += f.FaultOf(name)
				}
			}
		})
		k.t.Fatalf("the dialog is still open: %s", said)
	}
}

// save writes readings of calcium into the ledger, days ago by value.
func save(t *testing.T, store *storage.Store, f storagetest.Fixture, system int, a chem.Analyte, values map[int]float64) {
	t.Helper()
	var all []tanks.Reading
	for days, v := range values {
		all = append(
			all,
			tanks.Reading{
				System:  f.Systems[system].ID,
				Analyte: a,
				At:      f.Now.AddDate(0, 0, -days),
				Value:   v,
				Method:  f.Methods[a].ID,
				Unit:    f.Methods[a].Unit,
				Typed:   "x",
			},
		)
	}
	if _, err := store.SaveReadings(context.Background(), all); err != nil {
		t.Fatal(err)
	}
}

func TestSurprisingValueIsAskedAbout(t *testing.T) {
	k, store, f := openRoom(t)
	save(t, store, f, 0, chem.Calcium, map[int]float64{20: 420, 15: 423, 10: 421, 5: 422})
	k.w.Show(session.Route{Place: session.TestSheet, Cells: []tanks.Cell{{System: f.Systems[0].ID, Analyte: chem.Calcium}}})
	k.settle()
	k.types("42.2")
	k.keys(fyne.KeyReturn)
	k.menu(fyne.KeyS)
	if !strings.Contains(k.noticed(), "Not saved yet: F1 calcium") {
		t.Errorf("a slip of the point is taken: %s", k.noticed())
	}
	k.press("Use 422")
	k.menu(fyne.KeyS)
	latest, err := store.Series(context.Background(), f.Systems[0].ID, chem.Calcium, f.Now.Add(-time.Minute), f.Now)
	if err != nil || len(latest) != 1 || latest[0].Value != 422 {
		t.Fatalf("saved %+v, %v", latest, err)
	}
	// The save can be taken back: withdrawn in the ledger, typed on the sheet.
	k.press("Take them back")
	if again, err := store.Series(context.Background(), f.Systems[0].ID, chem.Calcium, f.Now.Add(-time.Minute), f.Now); err != nil ||
		len(again) != 0 {
		t.Errorf("after taking back there are %+v, %v", again, err)
	}
	k.menu(fyne.KeyS)
	if again, err := store.Series(context.Background(), f.Systems[0].ID, chem.Calcium, f.Now.Add(-time.Minute), f.Now); err != nil ||
		len(again) != 1 {
		t.Errorf("saved again there are %+v, %v", again, err)
	}
}

func TestPasteFromASpreadsheet(t *testing.T) {
	k, store, f := openRoom(t)
	cells := []tanks.Cell{
		{System: f.Systems[0].ID, Analyte: chem.Alkalinity},
		{System: f.Systems[0].ID, Analyte: chem.Calcium},
		{System: f.Systems[1].ID, Analyte: chem.Alkalinity},
		{System: f.Systems[1].ID, Analyte: chem.Calcium},
	}
	k.w.Show(session.Route{Place: session.TestSheet, Cells: cells})
	k.settle()
	apptest.Paste(t, k.c, "8,3\t421\r\n7.9\t418\r\n")
	k.menu(fyne.KeyS)
	if got := k.readings(store); got != 4 {
		t.Errorf("%d newest values, want 4; %s", got, k.noticed())
	}
}

func TestRoundsDoneSkipMove(t *testing.T) {
	k, store, _ := openRoom(t)
	ctx := context.Background()
	for _, title := range []string{"Clean the cup", "Look at the clam", "Wipe the glass"} {
		if err := store.SaveTask(ctx, &tasks.Task{Title: title, Every: 7, Start: storagetest.Now.AddDate(0, 0, -1)}); err != nil {
			t.Fatal(err)
		}
	}
	table := func() *widgets.Table {
		k.menu(fyne.Key1)
		return apptest.Find(t, k.c.Content(), func(w *widgets.Table) bool { return w.Checks })
	}
	pick := func(title string) {
		rows := table()
		for _, r := range rows.Rows() {
			if len(r.Cells) > 1 && r.Cells[1].Text == title {
				rows.SetChecked(r.ID)
				return
			}
		}
		t.Fatalf("%q is not on the list", title)
	}
	pick("Clean the cup")
	k.press("Done")
	pick("Look at the clam")
	k.press("Skip")
	k.press("Skip") // in the dialog, without a reason
	if k.c.Overlays().Top() == nil {
		t.Fatal("it was skipped without a reason")
	}
	k.types("closed today")
	k.keys(fyne.KeyReturn)
	k.closed()
	pick("Wipe the glass")
	k.press("Move")
	k.keys(fyne.KeyReturn)
	k.closed()
	done, err := store.LatestCompletions(ctx)
	if err != nil {
		t.Fatal(err)
	}
	got := map[tasks.Outcome]tasks.Completion{}
	for _, c := range done {
		got[c.Outcome] = c
	}
	if len(done) != 3 || got[tasks.Skipped].Reason != "closed today" || !got[tasks.Moved].MovedTo.After(storagetest.Now) {
		t.Errorf("%+v", done)
	}
}

func TestSystemNotesAdditionsAndAmendments(t *testing.T) {
	k, store, f := openRoom(t)
	ctx := context.Background()
	save(t, store, f, 0, chem.Calcium, map[int]float64{5: 440})
	k.w.Show(session.Route{Place: session.System, System: f.Systems[0].ID})
	k.settle()
	k.press("Write a note")
	apptest.Find(t, apptest.Top(k.c), func(*widgets.TextEntry) bool { return true }).SetText("Tips pale.")
	k.press("Save")
	k.closed()
	k.press("Record an addition")
	k.choose(0, f.Products["calcium"].Name)
	k.number(0).SetText("-5")
	k.press("Save")
	if form := apptest.Find(t, apptest.Top(k.c), func(*widgets.Form) bool { return true }); !strings.Contains(
		form.FaultOf("amount"),
		"cannot be",
	) {
		t.Errorf("the form says %q", form.FaultOf("amount"))
	}
	k.number(0).SetText("25,5")
	k.press("Save")
	k.closed()
	notes, err := store.Observations(ctx, f.Systems[0].ID, time.Time{}, time.Time{})
	if err != nil || len(notes) != 1 || notes[0].Text != "Tips pale." {
		t.Errorf("notes %+v, %v", notes, err)
	}
	added, err := store.Additions(ctx, f.Systems[0].ID, time.Time{}, time.Time{})
	if err != nil || len(added) != 1 || added[0].Amount != 25.5 || len(added[0].Changes) == 0 {
		t.Errorf("additions %+v, %v", added, err)
	}
	k.w.Show(session.Route{Place: session.System, System: f.Systems[0].ID, Section: session.SystemLog})
	k.settle()
	log := apptest.Find(t, k.c.Content(), func(w *widgets.Table) bool { return len(w.Rows()) == 3 })
	log.OnOpen(2) // the oldest: the reading
	k.field(0).SetText("404")
	k.press("Save")
	if form := apptest.Find(t, apptest.Top(k.c), func(*widgets.Form) bool { return true }); !strings.Contains(
		form.FaultOf("reason"),
		"reason",
	) {
		t.Errorf("without a reason the form says %q", form.FaultOf("reason"))
	}
	k.field(1).SetText("digits swapped")
	k.press("Save")
	k.closed()
	values, err := store.Series(ctx, f.Systems[0].ID, chem.Calcium, time.Time{}, time.Time{})
	amended, err2 := store.Amendments(ctx, f.Systems[0].ID)
	if err != nil || err2 != nil || len(values) != 1 || values[0].Value != 404 || len(amended) != 1 ||
		!strings.Contains(amended[0].Before, "440") {
		t.Errorf("values %+v, amendments %+v, %v, %v", values, amended, err, err2)
	}
}

func TestShelfAndWaterChange(t *testing.T) {
	k, store, f := openRoom(t)
	ctx := context.Background()
	k.w.Show(session.Route{Place: session.Dosing, Section: session.DosingShelf})
	k.settle()
	k.press("Add a product")
	k.types("Soda")
	k.choose(1, "sodium carbonate, Na2CO3")
	k.press("Save")
	if form := apptest.Find(t, apptest.Top(k.c), func(*widgets.Form) bool { return true }); form.FaultOf("strength0") == "" {
		t.Error("a product without strength is taken")
	}
	k.number(0).SetText("100")
	k.press("Save")
	k.closed()
	products, err := store.Products(ctx)
	if err != nil {
		t.Fatal(err)
	}
	last := products[len(products)-1]
	if last.Name != "Soda" || last.Contents.Ingredients[0] != (chem.Ingredient{Compound: "Na2CO3", Amount: 100}) {
		t.Errorf("%+v", last)
	}
	save(t, store, f, 0, chem.Calcium, map[int]float64{1: 500})
	vat := tanks.System{Code: "V1", Name: "Vat", Kind: tanks.Source, Stated: 500, Order: 9}
	if err := store.SaveSystem(ctx, &vat); err != nil {
		t.Fatal(err)
	}
	_, err = store.SaveReadings(ctx, []tanks.Reading{
		{System: vat.ID, Analyte: chem.Salinity, At: f.Now, Value: 35}, {System: vat.ID, Analyte: chem.Calcium, At: f.Now, Value: 420},
	})
	if err != nil {
		t.Fatal(err)
	}
	k.w.Show(session.Route{Place: session.Dosing, Section: session.DosingChanges, System: f.Systems[0].ID})
	k.settle()
	volume := f.Systems[0].NetVolume().Litres
	litres := apptest.Find(t, k.c.Content(), func(*widgets.NumberEntry) bool { return true })
	litres.SetText("9999")
	k.menu(fyne.KeyS)
	form := apptest.Find(t, k.c.Content(), func(f *widgets.Form) bool { return f.FaultOf("litres") != "" })
	if !strings.Contains(form.FaultOf("litres"), "more than the system holds") {
		t.Errorf("the form says %q", form.FaultOf("litres"))
	}
	litres.SetText("70")
	k.menu(fyne.KeyS)
	changes, err := store.WaterChanges(ctx, f.Systems[0].ID, time.Time{}, time.Time{})
	if err != nil || len(changes) != 1 || changes[0].From != vat.ID || math.Abs(changes[0].Share-70/volume) > 1e-9 {
		t.Fatalf("%+v, %v; %s", changes, err, k.noticed())
	}
	found := false
	for _, l := range changes[0].Water {
		found = found || l.Analyte == chem.Calcium && l.Value == 420
	}
	if !found {
		t.Errorf("the new water is %+v", changes[0].Water)
	}
}

func TestRunSheetGiveAndDrop(t *testing.T) {
	k, store, f := openRoom(t)
	ctx := context.Background()
	plan := tanks.DosingPlan{
		Made:    f.Now,
		Caution: 1,
		Lines: []tanks.PlanLine{
			{System: f.Systems[0].ID, Analyte: chem.Calcium, Product: f.Products["calcium"].ID, Now: 390, Aim: 420, After: 410,
				Doses: []tanks.Dose{{Due: f.Now, Amount: 40}, {Due: f.Now.AddDate(0, 0, 1), Amount: 40}}},
		},
	}
	if err := store.CommitPlan(ctx, &plan); err != nil {
		t.Fatal(err)
	}
	k.w.Show(session.Route{Place: session.Dosing, Section: session.DosingRunSheet})
	k.settle()
	k.press("Give another amount")
	k.number(0).SetText("35")
	k.press("Mark as given") // in the dialog
	k.closed()
	table := apptest.Find(t, k.c.Content(), func(w *widgets.Table) bool { return w.Checks })
	table.SetChecked(1)
	k.press("Drop")
	k.types("level is fine")
	k.keys(fyne.KeyReturn)
	k.closed()
	plans, err := store.Plans(ctx)
	if err != nil {
		t.Fatal(err)
	}
	doses := plans[0].Lines[0].Doses
	if doses[0].Given != 35 || doses[0].Waiting() || !doses[1].Dropped || !strings.Contains(doses[1].Reason, "level is fine") {
		t.Errorf("%+v", doses)
	}
}

// Doses that are chosen together are one action: one Undo takes all of them back.
func TestRunSheetGivesSeveralAtOnce(t *testing.T) {
	k, store, f := openRoom(t)
	ctx := context.Background()
	plan := tanks.DosingPlan{
		Made:    f.Now,
		Caution: 1,
		Lines: []tanks.PlanLine{
			{System: f.Systems[0].ID, Analyte: chem.Calcium, Product: f.Products["calcium"].ID, Now: 390, Aim: 420, After: 410,
				Doses: []tanks.Dose{{Due: f.Now, Amount: 40}, {Due: f.Now.AddDate(0, 0, 1), Amount: 30}}},
		},
	}
	if err := store.CommitPlan(ctx, &plan); err != nil {
		t.Fatal(err)
	}
	given := func() (amounts []float64) {
		plans, err := store.Plans(ctx)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range plans[0].Lines[0].Doses {
			amounts = append(amounts, d.Given)
		}
		return amounts
	}
	k.w.Show(session.Route{Place: session.Dosing, Section: session.DosingRunSheet})
	k.settle()
	apptest.Find(t, k.c.Content(), func(w *widgets.Table) bool { return w.Checks }).SetChecked(0, 1)
	k.press("Mark as given")
	if got := given(); !slices.Equal(got, []float64{40, 30}) {
		t.Errorf("given %v", got)
	}
	if _, err := store.As(storage.Author{Workstation: k.w.Session().Workstation}).Undo(ctx, ""); err != nil {
		t.Fatal(err)
	}
	if got := given(); !slices.Equal(got, []float64{0, 0}) {
		t.Errorf("after one undo %v are given", got)
	}
}

func TestSamplesAndResults(t *testing.T) {
	k, store, f := openRoom(t)
	ctx := context.Background()
	lab := tanks.Method{Name: "Lab", Kind: tanks.Lab, Analyte: chem.Calcium, Unit: chem.MgL, AccuracyShare: 0.03}
	if err := store.SaveMethod(ctx, &lab); err != nil {
		t.Fatal(err)
	}
	k.menu(fyne.Key5)
	k.press("Draw a sample")
	k.press("Save")
	if form := apptest.Find(t, apptest.Top(k.c), func(*widgets.Form) bool { return true }); form.FaultOf("system") == "" ||
		form.FaultOf("code") == "" {
		t.Errorf("an empty sample is taken: %q %q", form.FaultOf("system"), form.FaultOf("code"))
	}
	k.choose(0, f.Systems[0].Label())
	k.field(0).SetText("T-17")
	k.press("Save")
	k.closed()
	k.press("Sent today")
	k.press("Type the results")
	k.types("412")
	k.keys(fyne.KeyReturn)
	k.press("Save")
	k.closed()
	samples, err := store.Samples(ctx)
	if err != nil || len(samples) != 1 || samples[0].Code != "T-17" || samples[0].Sent.IsZero() || samples[0].Received.IsZero() {
		t.Fatalf("%+v, %v", samples, err)
	}
	results, err := store.ReadingsOfSample(ctx, samples[0].ID)
	if err != nil || len(results) != 1 || results[0].Value != 412 || !results[0].At.Equal(samples[0].Drawn) {
		t.Errorf("%+v, %v", results, err)
	}
}

func TestSetupMethodTaskAndBand(t *testing.T) {
	k, store, _ := openRoom(t)
	ctx := context.Background()
	k.w.Show(session.Route{Place: session.Setup, Section: session.SetupMethods})
	k.settle()
	k.press("Add a method")
	k.types("Drop kit")
	k.choose(0, "kit")
	k.choose(1, "Alkalinity")
	k.choose(2, "dKH")
	k.number(1).SetText("0,3")
	k.press("Save")
	k.closed()
	methods, err := store.Methods(ctx)
	if err != nil {
		t.Fatal(err)
	}
	m := methods[len(methods)-1]
	// 0.3 dKH are 0.1070 meq/L.
	if m.Name != "Drop kit" || m.Analyte != chem.Alkalinity || m.Unit != chem.DKH || math.Abs(m.Accuracy-0.10700) > 1e-4 {
		t.Errorf("%+v", m)
	}
	k.w.Show(session.Route{Place: session.Setup, Section: session.SetupTasks})
	k.settle()
	k.press("Add a task")
	k.types("Clean the skimmer")
	k.field(1).SetText("seven")
	k.press("Save")
	if form := apptest.Find(t, apptest.Top(k.c), func(*widgets.Form) bool { return true }); !strings.Contains(
		form.FaultOf("every"),
		"no number of days",
	) {
		t.Errorf("the form says %q", form.FaultOf("every"))
	}
	k.field(1).SetText("7")
	k.press("Save")
	k.closed()
	all, err := store.Tasks(ctx)
	if err != nil || len(all) != 1 || all[0].Every != 7 {
		t.Errorf("%+v, %v", all, err)
	}
	k.w.Show(session.Route{Place: session.Setup, Section: session.SetupProfiles})
	k.settle()
	grid := apptest.Find(t, k.c.Content(), func(*widgets.Grid) bool { return true })
	before, err := store.Profiles(ctx)
	if err != nil {
		t.Fatal(err)
	}
	grid.MoveTo(0, 5)
	k.c.Focus(grid)
	k.types("9")
	k.keys(fyne.KeyReturn)
	k.menu(fyne.KeyS)
	after, err := store.Profiles(ctx)
	if err != nil || after[0].Bands[0].TestEvery != 9*24*time.Hour || math.Abs(after[0].Bands[0].Low-before[0].Bands[0].Low) > 1e-6 {
		t.Errorf("the band is %+v, was %+v, %v; %s", after[0].Bands[0], before[0].Bands[0], err, k.noticed())
	}
}

func TestSetupImport(t *testing.T) {
	k, store, _ := openRoom(t)
	k.w.Show(session.Route{Place: session.Setup, Section: session.SetupImport})
	k.settle()
	file := "time;system;analyte;value;unit;method\n2026-03-09 09:00;F1;calcium;421;mg/L;\n2026-03-09 " +
		"09:00;F7;calcium;421;mg/L;\n2026-03-09 09:00;F1;unobtainium;1;mg/L;\n2026-03-09 09:05;F2;alkalinity;8,1;dKH;\n2026-03-12 " +
		"09:05;F2;alkalinity;8,1;dKH;\n"
	view := k.w.pages[session.Setup].(interface {
		LookAt(path string)
	})
	path := filepath.Join(t.TempDir(), "old.csv")
	if err := os.WriteFile(path, []byte(file), 0o644); err != nil {
		t.Fatal(err)
	}
	view.LookAt(path)
	k.settle()
	k.picture("import")
	before := k.readings(store)
	table := apptest.Find(t, k.c.Content(), func(w *widgets.Table) bool { return len(w.Rows()) > 6 })
	text := ""
	for _, r := range table.Rows() {
		for _, c := range r.Cells {
			text += c.Bold + c.Text + "|"
		}
		text += "\n"
	}
	for _, want := range []string{"3|system|", "F7", "4|analyte|", "unobtainium", "6|time|"} {
		if !strings.Contains(text, want) {
			t.Errorf("the preview does not say %q:\n%s", want, text)
		}
	}
	if before != 0 {
		t.Errorf("the preview wrote %d values", before)
	}
	k.press("Accept 2 readings")
	if got := k.readings(store); got != 2 {
		t.Errorf("%d newest values, want 2; %s", got, k.noticed())
	}
}

func TestDosingChoices(t *testing.T) {
	k, store, f := openRoom(t)
	for n := range f.Systems {
		save(t, store, f, n, chem.Calcium, map[int]float64{1: 385})
		save(t, store, f, n, chem.Alkalinity, map[int]float64{1: 2.3})
	}
	k.menu(fyne.Key4)
	lines := func() int {
		table := apptest.Find(t, k.c.Content(), func(w *widgets.Table) bool { return len(w.Rows()) > 0 })
		n := 0
		for _, r := range table.Rows() {
			if !r.Group {
				n++
			}
		}
		return n
	}
	if got := lines(); got != 6 {
		t.Fatalf("%d lines for two systems of three analytes", got)
	}
	k.press("Systems")
	list := apptest.Find(t, apptest.Top(k.c), func(w *widgets.Table) bool { return w.Checks })
	list.SetChecked(list.Rows()[1].ID)
	k.press("Show")
	k.press("Analytes")
	list = apptest.Find(t, apptest.Top(k.c), func(w *widgets.Table) bool { return w.Checks })
	calcium := slices.IndexFunc(list.Rows(), func(r widgets.Row) bool { return r.Cells[0].Text == "Calcium" })
	list.SetChecked(list.Rows()[calcium].ID)
	k.press("Show")
	if got := lines(); got != 1 {
		t.Fatalf("%d lines for one system's calcium", got)
	}
	k.press("Take out")
	k.press("Commit plan")
	if !strings.Contains(k.noticed(), "Nothing to commit") {
		t.Errorf("it says %q", k.noticed())
	}
	k.press("Take out")
	k.press("Commit plan")
	plans, err := store.Plans(context.Background())
	if err != nil || len(plans) != 1 || len(plans[0].Lines) != 1 || plans[0].Lines[0].System != f.Systems[1].ID {
		t.Errorf("%+v, %v", plans, err)
	}
}
