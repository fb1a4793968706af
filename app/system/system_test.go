package system_test

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"

	"weirkeeper/app/apptest"
	"weirkeeper/app/screentest"
	"weirkeeper/app/session"
	"weirkeeper/app/system"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

func open(t *testing.T, store *storage.Store, now time.Time, r session.Route) *screentest.Screen {
	t.Helper()
	s := screentest.Open(t, store, now, func(s *session.Session) screentest.Page { return system.New(s) })
	visit(s, r)
	return s
}

func visit(s *screentest.Screen, r session.Route) {
	s.T.Helper()
	r.Place = session.System
	s.Visit(r)
	if f := s.Page.(interface{ FirstFocus() fyne.Focusable }).FirstFocus(); f != nil {
		s.Focus(f)
	}
}

// keep writes readings of calcium, by the days before now.
func keep(t *testing.T, store *storage.Store, f storagetest.Fixture, a chem.Analyte, values map[int]float64) {
	t.Helper()
	m := f.Methods[a]
	var all []tanks.Reading
	for days, v := range values {
		all = append(all, tanks.Reading{
			System: f.Systems[0].ID, Analyte: a, At: f.Now.AddDate(0, 0, -days), Value: v, Method: m.ID, Unit: m.Unit, Typed: "x",
		})
	}
	if _, err := store.SaveReadings(t.Context(), all); err != nil {
		t.Fatal(err)
	}
}

func form(s *screentest.Screen) *widgets.Form {
	s.T.Helper()
	return apptest.Find(s.T, apptest.Top(s.Canvas()), func(*widgets.Form) bool { return true })
}

func field(s *screentest.Screen, n int) *widgets.TextEntry {
	s.T.Helper()
	seen := -1
	return apptest.Find(s.T, apptest.Top(s.Canvas()), func(*widgets.TextEntry) bool { seen++; return seen == n })
}

func TestSystemOfWhichNothingIsKnown(t *testing.T) {
	store, f := storagetest.Room(t)
	bare := tanks.System{Code: "X1", Name: "Bare", Kind: tanks.Freshwater, Order: 9}
	if err := store.SaveSystem(t.Context(), &bare); err != nil {
		t.Fatal(err)
	}
	s := open(t, store, f.Now, session.Route{System: bare.ID})
	for section, want := range map[session.Section]string{
		session.SystemWater: "Nothing is known of this water yet", session.SystemLog: "The log is empty",
		session.SystemTrend: "X1  Bare",
	} {
		visit(s, session.Route{System: bare.ID, Section: section})
		if seen := s.Seen(); !strings.Contains(seen, want) || !strings.Contains(seen, "net volume unknown") {
			t.Errorf("%v shows %q, want %q", section, seen, want)
		}
	}
	visit(s, session.Route{System: bare.ID, Section: session.SystemWater})
	s.Press("Type values")
	if len(s.Went) != 1 || s.Went[0].Place != session.TestSheet || s.Went[0].Cells[0].System != bare.ID {
		t.Errorf("it leads to %+v", s.Went)
	}
	visit(s, session.Route{System: 999})
	said := s.LastSaid()
	if said.Title != "Opening the system: it could not be read" || !strings.Contains(said.Text, "choose another one in Room") {
		t.Errorf("a system that is not there: %+v", said)
	}
}

// Each section of each kind of water of the demo room shows something.
func TestSectionsOfAllWaters(t *testing.T) {
	store := screentest.Demo(t)
	systems, err := store.Systems(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	s := open(t, store, screentest.Morning, session.Route{System: systems[0].ID})
	seen := map[tanks.Kind]bool{}
	for _, one := range systems {
		if seen[one.Kind] || !one.Open() {
			continue
		}
		seen[one.Kind] = true
		for section, want := range map[session.Section]string{
			session.SystemWater: "Newest", session.SystemChemistry: "What follows", session.SystemLog: "Remark",
		} {
			visit(s, session.Route{System: one.ID, Section: section})
			text := s.Seen()
			if !strings.Contains(text, want) || !strings.Contains(text, one.Label()) {
				t.Errorf("%v of %s (%v) shows %q", section, one.Code, one.Kind, text)
			}
			for _, wrong := range []string{"NaN", "1 readings", "Inf", "0.00000"} {
				if strings.Contains(text, wrong) {
					t.Errorf("%v of %s shows %q", section, one.Code, wrong)
				}
			}
		}
	}
	if len(seen) < 3 {
		t.Fatalf("the demo room has only %v", seen)
	}
}

func TestNote(t *testing.T) {
	store, f := storagetest.Room(t)
	s := open(t, store, f.Now, session.Route{System: f.Systems[1].ID, Section: session.SystemLog})
	s.Press("Write a note")
	s.Press("Save")
	if !s.Asked() || form(s).FaultOf("text") == "" {
		t.Fatal("an empty note is taken")
	}
	s.Type("Tips pale.")
	s.Press("Save")
	notes, err := store.Observations(t.Context(), f.Systems[1].ID, time.Time{}, time.Time{})
	if err != nil || len(notes) != 1 || notes[0].Text != "Tips pale." || notes[0].Person != "TK" || s.Asked() {
		t.Fatalf("%+v, %v", notes, err)
	}
	if seen := s.Seen(); !strings.Contains(seen, "Tips pale.") {
		t.Errorf("the log shows %q", seen)
	}
	s.Focus(s.Page.(interface{ FirstFocus() fyne.Focusable }).FirstFocus())
	s.Keys(fyne.KeyReturn)
	if s.Asked() || s.LastSaid().Title != "A note stays as it was written" {
		t.Fatalf("Enter on a note: %+v", s.LastSaid())
	}
	s.LastSaid().Then()
	s.Drain()
	if !s.Asked() {
		t.Error("it leads to no other note")
	}
}

// A note goes to the system that is shown, also while another one is being read.
func TestNoteWhileAnotherSystemIsRead(t *testing.T) {
	store, f := storagetest.Room(t)
	s := open(t, store, f.Now, session.Route{System: f.Systems[0].ID})
	s.Page.Visit(session.Route{Place: session.System, System: f.Systems[1].ID})
	if err := apptest.PressLabel(s.Canvas(), "Write a note"); err != nil {
		t.Fatal(err)
	}
	if seen := s.Seen(); !strings.Contains(seen, "Note on F1") {
		t.Fatalf("it asks %q", seen)
	}
	apptest.Type(t, s.Canvas(), "Of F1.")
	s.Drain()
	s.Press("Save")
	notes, err := store.Observations(t.Context(), f.Systems[0].ID, time.Time{}, time.Time{})
	if err != nil || len(notes) != 1 {
		t.Errorf("%+v, %v", notes, err)
	}
}

func TestAddition(t *testing.T) {
	store, f := storagetest.Room(t)
	twin := f.Products["calcium"]
	twin.ID, twin.Stock = 0, 50
	if err := store.SaveProduct(t.Context(), &twin); err != nil {
		t.Fatal(err)
	}
	s := open(t, store, f.Now, session.Route{System: f.Systems[0].ID})
	s.Press("Record an addition")
	amount := apptest.Find(t, apptest.Top(s.Canvas()), func(*widgets.NumberEntry) bool { return true })
	amount.SetText("five")
	at := apptest.Find(t, apptest.Top(s.Canvas()), func(*widgets.DateTimeEntry) bool { return true })
	at.SetText("some day")
	s.Press("Save")
	if form(s).FaultOf("amount") == "" || form(s).FaultOf("at") == "" {
		t.Errorf("both faults are not said at once: %q, %q", form(s).FaultOf("amount"), form(s).FaultOf("at"))
	}
	amount.SetText("25,5")
	at.SetText("")
	s.Press("Save")
	if form(s).FaultOf("product") == "" {
		t.Error("an addition of nothing is taken")
	}
	products := apptest.Find(t, apptest.Top(s.Canvas()), func(*widgets.Choice[tanks.ProductID]) bool { return true })
	products.SetSelected(twin.ID) // of two of one name
	if shown := products.Shown(); !strings.Contains(shown, "50 mL left") {
		t.Errorf("the two are not told apart: %q", shown)
	}
	s.Press("Save")
	added, err := store.Additions(t.Context(), f.Systems[0].ID, time.Time{}, time.Time{})
	if err != nil || len(added) != 1 || added[0].Product != twin.ID || added[0].Amount != 25.5 || len(added[0].Changes) == 0 {
		t.Fatalf("%+v, %v", added, err)
	}
	visit(s, session.Route{System: f.Systems[0].ID, Section: session.SystemLog})
	s.Keys(fyne.KeyReturn)
	s.Press("Withdraw")
	if !s.Asked() || form(s).FaultOf("reason") == "" {
		t.Fatal("withdrawn without a reason")
	}
	s.Type("poured into F2")
	s.Press("Withdraw")
	if added, err = store.Additions(t.Context(), f.Systems[0].ID, time.Time{}, time.Time{}); err != nil ||
		added[0].Status != tanks.Withdrawn {
		t.Errorf("%+v, %v", added, err)
	}
	s.Keys(fyne.KeyReturn)
	if s.Asked() || s.LastSaid().Title != "It is withdrawn already" {
		t.Errorf("withdrawn twice: %+v", s.LastSaid())
	}
}

func TestEmptyShelf(t *testing.T) {
	store, f := storagetest.Room(t)
	for _, p := range f.Products {
		p.Retired = true
		if err := store.SaveProduct(t.Context(), &p); err != nil {
			t.Fatal(err)
		}
	}
	s := open(t, store, f.Now, session.Route{System: f.Systems[0].ID})
	s.Press("Record an addition")
	if s.Asked() || s.LastSaid().Do != "Shelf" {
		t.Fatalf("%+v", s.LastSaid())
	}
	s.LastSaid().Then()
	if s.Went[0].Section != session.DosingShelf {
		t.Errorf("it leads to %+v", s.Went)
	}
}

// A value is corrected with a reason, the one under the cursor whatever was
// entered meanwhile; undo brings the first value back.
func TestCorrection(t *testing.T) {
	store, f := storagetest.Room(t)
	keep(t, store, f, chem.Calcium, map[int]float64{5: 440})
	s := open(t, store, f.Now, session.Route{System: f.Systems[0].ID, Section: session.SystemLog})
	keep(t, store, f, chem.Calcium, map[int]float64{1: 421}) // above it in the list
	s.Drain()
	s.Keys(fyne.KeyReturn)
	field(s, 0).SetText("404x")
	s.Press("Save")
	if form(s).FaultOf("reason") == "" || form(s).FaultOf("value") == "" {
		t.Errorf("refused: %q, %q", form(s).FaultOf("value"), form(s).FaultOf("reason"))
	}
	field(s, 0).SetText("404")
	field(s, 1).SetText("digits swapped")
	s.Press("Save")
	series := func() []tanks.Reading {
		all, err := store.Series(t.Context(), f.Systems[0].ID, chem.Calcium, time.Time{}, time.Time{})
		if err != nil {
			t.Fatal(err)
		}
		return all
	}
	if all := series(); s.Asked() || len(all) != 2 || all[0].Value != 404 || all[1].Value != 421 {
		t.Fatalf("open %v, %+v", s.Asked(), all)
	}
	if _, err := store.Undo(t.Context(), "TK"); err != nil {
		t.Fatal(err)
	}
	s.Drain()
	if all := series(); all[0].Value != 440 {
		t.Errorf("undone: %+v", all)
	}
	s.Keys(fyne.KeyReturn)
	apptest.Find(t, apptest.Top(s.Canvas()), func(*widgets.Check) bool { return true }).SetChecked(true)
	field(s, 1).SetText("another tank's water")
	s.Press("Save")
	if all := series(); len(all) != 1 || all[0].Value != 421 {
		t.Errorf("withdrawn: %+v", all)
	}
	if seen := s.Seen(); !strings.Contains(seen, "(withdrawn)") {
		t.Errorf("the log shows %q", seen)
	}
}

// A value in % of saturation is corrected by the temperature that was measured nearest to
// it: 9.092 mg/L at 20 °C, 8.263 at 25 °C (APHA Standard Methods, table 4500-O:I).
func TestCorrectionInPercent(t *testing.T) {
	store, f := storagetest.Room(t)
	fresh := tanks.System{Code: "W1", Name: "Planted", Kind: tanks.Freshwater, Stated: 100, Opened: f.Now.AddDate(-1, 0, 0)}
	if err := store.SaveSystem(t.Context(), &fresh); err != nil {
		t.Fatal(err)
	}
	at := f.Now.AddDate(0, 0, -4)
	oxygen := tanks.Reading{System: fresh.ID, Analyte: chem.Oxygen, At: at, Value: 9.092, Typed: "100 %", Unit: chem.Saturation}
	warmth := func(value float64, at time.Time) tanks.Reading {
		return tanks.Reading{System: fresh.ID, Analyte: chem.Temperature, At: at, Value: value, Typed: "x", Unit: chem.Celsius}
	}
	all := []tanks.Reading{oxygen, warmth(20, at.Add(-3*time.Hour)), warmth(25, at.Add(20*time.Hour)), warmth(25, f.Now)}
	if _, err := store.SaveReadings(t.Context(), all); err != nil {
		t.Fatal(err)
	}
	s := open(t, store, f.Now, session.Route{System: fresh.ID, Section: session.SystemLog})
	for range 2 { // below the temperatures that came after it
		s.Keys(fyne.KeyDown)
	}
	s.Keys(fyne.KeyReturn)
	if got := field(s, 0).Text; got != "100 %" {
		t.Fatalf("the form has %q", got)
	}
	field(s, 0).SetText("50 %")
	field(s, 1).SetText("misread")
	s.Press("Save")
	got, err := store.Series(t.Context(), fresh.ID, chem.Oxygen, time.Time{}, time.Time{})
	if err != nil || len(got) != 1 || math.Abs(got[0].Value-9.092/2) > 0.002 || got[0].Typed != "50 %" {
		t.Errorf("corrected to %+v, %v; said %+v", got, err, s.Said)
	}
}

// A ledger that is open only to look refuses, and the form keeps what was typed.
func TestRefusedNote(t *testing.T) {
	store, f := storagetest.Room(t)
	look, err := storage.OpenToLook(t.Context(), store.Path(), storagetest.Clock)
	if err != nil {
		t.Fatal(err)
	}
	defer look.Close()
	s := open(t, look, f.Now, session.Route{System: f.Systems[0].ID})
	s.Press("Write a note")
	s.Type("Tips pale.")
	s.Press("Save")
	if seen := s.Seen(); !s.Asked() || !strings.Contains(seen, "open only to look") || field(s, 0).Text != "Tips pale." {
		t.Errorf("open %v, it shows %q", s.Asked(), seen)
	}
}

// Enter on an analyte leads to its trend, and in Chemistry to the test that is
// missing.
func TestKeysLeadOn(t *testing.T) {
	store, f := storagetest.Room(t)
	keep(t, store, f, chem.Calcium, map[int]float64{9: 420, 5: 421})
	s := open(t, store, f.Now, session.Route{System: f.Systems[0].ID})
	s.Keys(fyne.KeyReturn)
	tabs := apptest.Find(t, s.Canvas().Content(), func(*widgets.Tabs[session.Section]) bool { return true })
	if tabs.Selected() != session.SystemTrend {
		t.Errorf("Enter leads to %v", tabs.Selected())
	}
	visit(s, session.Route{System: f.Systems[0].ID, Section: session.SystemChemistry})
	s.Keys(fyne.KeyHome, fyne.KeyReturn)
	if len(s.Went) != 1 || s.Went[0].Place != session.TestSheet || len(s.Went[0].Cells) != 1 ||
		s.Went[0].Cells[0].System != f.Systems[0].ID {
		t.Errorf("Enter on what is missing leads to %+v", s.Went)
	}
}

// What is ticked in the trend stays ticked when the ledger changes, and when
// another section was looked at meanwhile.
func TestTicksOfTheTrendStay(t *testing.T) {
	store, f := storagetest.Room(t)
	keep(t, store, f, chem.Calcium, map[int]float64{9: 420, 5: 421})
	keep(t, store, f, chem.Magnesium, map[int]float64{9: 1300, 5: 1310})
	s := open(t, store, f.Now, session.Route{System: f.Systems[0].ID, Analyte: chem.Calcium})
	ticks := func() (ticked string) {
		list := apptest.Find(t, s.Canvas().Content(), func(t *widgets.Table) bool { return t.Checks })
		for _, r := range list.Rows() {
			if slices.Contains(list.Checked(), r.ID) {
				ticked += r.Cells[0].Text + " "
			}
		}
		return ticked
	}
	if got := ticks(); got != "Calcium " {
		t.Fatalf("ticked %q", got)
	}
	list := apptest.Find(t, s.Canvas().Content(), func(t *widgets.Table) bool { return t.Checks })
	s.Focus(list)
	s.Keys(fyne.KeyHome, fyne.KeySpace, fyne.KeyDown, fyne.KeySpace) // not calcium, but magnesium
	keep(t, store, f, chem.Calcium, map[int]float64{2: 422})
	s.Drain()
	visit(s, session.Route{System: f.Systems[0].ID, Section: session.SystemLog})
	visit(s, session.Route{System: f.Systems[0].ID, Section: session.SystemTrend})
	if got := ticks(); got != "Magnesium " {
		t.Errorf("after a change %q is ticked", got)
	}
	visit(s, session.Route{System: f.Systems[0].ID, Analyte: chem.Calcium})
	if got := ticks(); got != "Calcium " {
		t.Errorf("a visit for calcium ticks %q", got)
	}
}

// Values, changes and volumes are in the units that the person has chosen.
func TestUnitsOfTheLog(t *testing.T) {
	store, f := storagetest.Room(t)
	keep(t, store, f, chem.Alkalinity, map[int]float64{3: 2.9})
	change := tanks.WaterChange{System: f.Systems[0].ID, At: f.Now.AddDate(0, 0, -1), Litres: 37.854, Share: 0.1}
	if err := store.SaveWaterChange(t.Context(), &change); err != nil {
		t.Fatal(err)
	}
	s := open(t, store, f.Now, session.Route{System: f.Systems[0].ID, Section: session.SystemLog})
	if seen := s.Seen(); !strings.Contains(seen, "8.1 dKH") || !strings.Contains(seen, "38 L, 10 %") {
		t.Errorf("it shows %q", seen)
	}
	s.Session.Prefs.Alkalinity, s.Session.Prefs.Volume = chem.MeqL, chem.USGallon
	s.Page.Reload()
	s.Drain()
	if seen := s.Seen(); !strings.Contains(seen, "2.90 meq/L") || !strings.Contains(seen, "10.0 US gal, 10 %") {
		t.Errorf("in meq/L and gallons it shows %q", seen)
	}
}

// The log holds all years, the newest first, though they are read in two goes; a
// change of the ledger leaves the cursor on its event.
func TestLogOfManyYears(t *testing.T) {
	store, f := storagetest.Room(t)
	keep(t, store, f, chem.Calcium, map[int]float64{1: 421, 59: 422, 61: 423, 3000: 424})
	s := open(t, store, f.Now, session.Route{System: f.Systems[0].ID, Section: session.SystemLog})
	seen := s.Seen()
	at := -1
	for _, value := range []string{"421 mg/L", "422 mg/L", "423 mg/L", "424 mg/L"} {
		next := strings.Index(seen, value)
		if next < at || next < 0 {
			t.Fatalf("%s is not in its place: %q", value, seen)
		}
		at = next
	}
	s.Keys(fyne.KeyEnd)
	keep(t, store, f, chem.Magnesium, map[int]float64{2: 1300})
	s.Drain()
	s.Keys(fyne.KeyReturn)
	if got := field(s, 0).Text; got != "x" || !strings.Contains(s.Seen(), "Calcium, mg/L") {
		t.Fatalf("Enter asks about %q", s.Seen())
	}
	field(s, 0).SetText("400")
	field(s, 1).SetText("misread")
	s.Press("Save")
	all, err := store.Series(t.Context(), f.Systems[0].ID, chem.Calcium, time.Time{}, time.Time{})
	if err != nil || all[0].Value != 400 {
		t.Errorf("the oldest is %+v, %v", all[0], err)
	}
}

// In a small window (1024 x 700, less the rail and the bars) no name and no
// meaning of the Chemistry tab is cut.
func TestChemistryInASmallWindow(t *testing.T) {
	store := screentest.Demo(t)
	systems, err := store.Systems(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	s := open(t, store, screentest.Morning, session.Route{System: systems[0].ID, Section: session.SystemChemistry})
	s.Window.Resize(fyne.NewSize(874, 640))
	s.Drain()
	for _, text := range apptest.Texts(s.Window) {
		if strings.HasSuffix(text.Text, "…") {
			t.Errorf("%q is cut", text.Text)
		}
	}
}
