package samples_test

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"

	"weirkeeper/app/apptest"
	"weirkeeper/app/samples"
	"weirkeeper/app/screentest"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

func open(t *testing.T, store *storage.Store, now time.Time, r session.Route) *screentest.Screen {
	t.Helper()
	s := screentest.Open(t, store, now, func(s *session.Session) screentest.Page { return samples.New(s) })
	s.Session.Undo = func() {
		if _, err := store.Undo(t.Context(), "TK"); err != nil {
			t.Error(err)
		}
		s.Drain()
	}
	r.Place = session.Samples
	s.Visit(r)
	if f := s.Page.(interface{ FirstFocus() fyne.Focusable }).FirstFocus(); f != nil {
		s.Focus(f)
	}
	return s
}

// laboratories saves lab methods, "name: analyte", and returns them by that.
func laboratories(t *testing.T, store *storage.Store, names ...string) map[string]tanks.Method {
	t.Helper()
	methods := map[string]tanks.Method{}
	for _, name := range names {
		lab, analyte, _ := strings.Cut(name, ": ")
		a := map[string]chem.Analyte{"calcium": chem.Calcium, "magnesium": chem.Magnesium, "iodine": chem.Iodine}[analyte]
		info, _ := chem.Lookup(a)
		m := tanks.Method{Name: lab, Kind: tanks.Lab, Analyte: a, Unit: info.Units[0], AccuracyShare: 0.03}
		if err := store.SaveMethod(t.Context(), &m); err != nil {
			t.Fatal(err)
		}
		methods[name] = m
	}
	return methods
}

// draw saves a sample of a system that was drawn days ago and sent to a lab.
func draw(t *testing.T, store *storage.Store, f storagetest.Fixture, code, lab string, days int) tanks.Sample {
	t.Helper()
	s := tanks.Sample{System: f.Systems[0].ID, Code: code, Lab: lab, Drawn: f.Now.AddDate(0, 0, -days), Sent: f.Now.AddDate(0, 0, -days)}
	if err := store.SaveSample(t.Context(), &s); err != nil {
		t.Fatal(err)
	}
	return s
}

// recorded lists the results of a sample: "calcium 412 by Northern".
func recorded(t *testing.T, store *storage.Store, code string) []string {
	t.Helper()
	all, err := store.Samples(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	methods, err := store.Methods(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, s := range all {
		if s.Code != code {
			continue
		}
		results, err := store.ReadingsOfSample(t.Context(), s.ID)
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range results {
			if !r.At.Equal(s.Drawn) || r.Person != "TK" {
				t.Errorf("a result of %s, drawn %v, is of %v by %q", code, s.Drawn, r.At, r.Person)
			}
			by := slices.IndexFunc(methods, func(m tanks.Method) bool { return m.ID == r.Method })
			out = append(out, fmt.Sprintf("%v %s by %s", r.Analyte.InSentence(), r.Typed, methods[by].Name))
		}
	}
	return out
}

func same(t *testing.T, what string, got []string, want ...string) {
	t.Helper()
	if !slices.Equal(got, want) {
		t.Errorf("%s: %q, want %q", what, got, want)
	}
}

// choose puts the list's cursor on the n-th sample.
func choose(s *screentest.Screen, n int) {
	s.T.Helper()
	s.Focus(s.Page.(interface{ FirstFocus() fyne.Focusable }).FirstFocus())
	s.Keys(fyne.KeyHome)
	for range n {
		s.Keys(fyne.KeyDown)
	}
}

func TestSampleIsDrawnSentAndComesBack(t *testing.T) {
	store, f := storagetest.Room(t)
	laboratories(t, store, "Plasma: calcium")
	s := open(t, store, f.Now, session.Route{})
	if seen := s.Seen(); !strings.Contains(seen, "No lab sample yet") {
		t.Fatalf("it shows %q", seen)
	}
	for _, label := range []string{"Change", "Sent today", "Type the results"} {
		s.Press(label) // without a sample: nothing
	}
	if s.Asked() || len(s.Said) > 0 {
		t.Fatalf("it asks, or says %+v", s.Said)
	}
	s.Press("Draw a sample")
	s.Press("Save")
	form := apptest.Find(t, apptest.Top(s.Canvas()), func(*widgets.Form) bool { return true })
	if form.FaultOf("system") == "" || form.FaultOf("code") == "" {
		t.Errorf("an empty sample is taken: %q %q", form.FaultOf("system"), form.FaultOf("code"))
	}
	s.Pick(0, f.Systems[1].Label())
	s.Focus(apptest.Find(t, apptest.Top(s.Canvas()), func(*widgets.TextEntry) bool { return true }))
	s.Type("T-17")
	s.Press("Save")
	if s.Asked() || s.LastSaid().Title != "Saved" {
		t.Fatalf("the form says %q; said %+v", s.Seen(), s.LastSaid())
	}
	if seen := s.Seen(); !strings.Contains(seen, "drawn, not sent") {
		t.Errorf("it shows %q", seen)
	}
	s.Press("Sent today")
	if seen := s.Seen(); !strings.Contains(seen, "sent Tue 10 Mar") {
		t.Errorf("it shows %q", seen)
	}
	s.Press("Sent today")
	if s.LastSaid().Title != "It is sent already" {
		t.Errorf("it says %+v", s.LastSaid())
	}
	s.Press("Type the results")
	s.Press("Save")
	if form := apptest.Find(t, apptest.Top(s.Canvas()), func(*widgets.Form) bool { return true }); form.FaultOf("results") == "" {
		t.Error("no result at all is taken")
	}
	s.Focus(apptest.Find(t, apptest.Top(s.Canvas()), func(*widgets.Grid) bool { return true }))
	s.Type("41x")
	s.Press("Save")
	form = apptest.Find(t, apptest.Top(s.Canvas()), func(*widgets.Form) bool { return true })
	if !strings.Contains(form.FaultOf("results"), "Calcium") {
		t.Errorf("a wrong result: %q", form.FaultOf("results"))
	}
	s.Type("412")
	s.Press("Save")
	same(t, "recorded", recorded(t, store, "T-17"), "calcium 412 by Plasma")
	if said := s.LastSaid(); s.Asked() || said.Text != "1 result of T-17 is in the ledger, dated when the sample was drawn." {
		t.Errorf("open %v, said %+v", s.Asked(), said)
	}
	if seen := s.Seen(); !strings.Contains(seen, "back Tue 10 Mar") || !strings.Contains(seen, "412") {
		t.Errorf("it shows %q", seen)
	}
	s.Press("Type the results")
	if s.Asked() || s.LastSaid().Title != "There is no result left to type" {
		t.Errorf("typed twice: said %+v", s.LastSaid())
	}
	s.LastSaid().Then()
	if s.Went[0].Section != session.SetupMethods {
		t.Errorf("it leads to %+v", s.Went)
	}
	s.Session.Undo()
	if got := recorded(t, store, "T-17"); len(got) != 0 || !strings.Contains(s.Seen(), "sent Tue 10 Mar") {
		t.Errorf("undone: %q, shows %q", got, s.Seen())
	}
}

// The laboratory of the sample decides by which methods its results are recorded,
// also where another's method of the same analyte is older.
func TestTheLaboratoryDecidesTheMethods(t *testing.T) {
	store, f := storagetest.Room(t)
	laboratories(t, store, "Northern water: calcium", "Southern: calcium", "Northern water: magnesium")
	draw(t, store, f, "S-1", "Southern", 3)
	draw(t, store, f, "N-1", "northern water", 5)
	s := open(t, store, f.Now, session.Route{})
	choose(s, 0)
	s.Press("Type the results")
	if seen := s.Seen(); !strings.Contains(seen, "\nSouthern\n") || !strings.Contains(seen, "method not known") {
		t.Fatalf("the form shows %q", seen)
	}
	s.Type("412")
	s.Keys(fyne.KeyReturn)
	s.Press("Save")
	choose(s, 1)
	s.Press("Type the results")
	s.Type("408")
	s.Keys(fyne.KeyReturn)
	s.Type("1310")
	s.Press("Save")
	same(t, "of the southern lab", recorded(t, store, "S-1"), "calcium 412 by Southern")
	same(t, "of the northern lab", recorded(t, store, "N-1"), "calcium 408 by Northern water", "magnesium 1310 by Northern water")
}

// A laboratory without a method for an analyte asks for one, once: its next
// sample goes by it.
func TestUnknownMethodIsAskedFor(t *testing.T) {
	store, f := storagetest.Room(t)
	methods := laboratories(t, store, "Plasma: calcium", "Titration: calcium", "Plasma: magnesium", "Titration: magnesium")
	draw(t, store, f, "E-2", "Eastern", 2)
	draw(t, store, f, "E-1", "Eastern", 9)
	s := open(t, store, f.Now, session.Route{})
	choose(s, 1)
	s.Press("Type the results")
	s.Type("412")
	s.Press("Save")
	form := apptest.Find(t, apptest.Top(s.Canvas()), func(*widgets.Form) bool { return true })
	if !strings.Contains(form.FaultOf("results"), "Calcium: it is not known by which method") || len(recorded(t, store, "E-1")) != 0 {
		t.Fatalf("without a method: %q", form.FaultOf("results"))
	}
	by := apptest.Find(t, apptest.Top(s.Canvas()), func(*widgets.Choice[tanks.MethodID]) bool { return true })
	by.SetSelected(methods["Titration: calcium"].ID)
	if seen := s.Seen(); strings.Contains(seen, "method not known") {
		t.Errorf("magnesium has a method of the same name, and is not taken by it: %q", seen)
	}
	s.Drain()
	s = open(t, store, f.Now, session.Route{}) // the program died, and knows the method again
	choose(s, 1)
	s.Press("Type the results")
	s.Press("Save")
	same(t, "recorded", recorded(t, store, "E-1"), "calcium 412 by Titration")
	choose(s, 0)
	s.Press("Type the results")
	s.Type("413")
	s.Keys(fyne.KeyReturn)
	s.Type("1310")
	s.Press("Save")
	same(t, "its next", recorded(t, store, "E-2"), "calcium 413 by Titration", "magnesium 1310 by Titration")
}

// What is typed of a report survives a crash and a way to Setup, and is gone when
// it is dropped or saved.
func TestResultsAreKeptAsTheyAreTyped(t *testing.T) {
	store, f := storagetest.Room(t)
	laboratories(t, store, "Plasma: calcium", "Plasma: iodine")
	draw(t, store, f, "P-1", "Plasma", 2)
	s := open(t, store, f.Now, session.Route{})
	s.Press("Type the results")
	s.Type("41") // and the program dies
	s = open(t, store, f.Now, session.Route{})
	s.Press("Type the results")
	if seen := s.Seen(); !strings.Contains(seen, "\n41\n") {
		t.Fatalf("after a crash the form shows %q", seen)
	}
	s.Type("412")
	s.Press("Add a method")
	if s.Asked() || len(s.Went) != 1 || s.Went[0].Section != session.SetupMethods {
		t.Fatalf("it leads to %+v", s.Went)
	}
	s.Press("Type the results")
	if seen := s.Seen(); !strings.Contains(seen, "412") {
		t.Fatalf("back from Setup the form shows %q", seen)
	}
	s.Keys(fyne.KeyEscape)
	if s.Asked() {
		s.Keys(fyne.KeyEscape)
	}
	s.Press("Type the results")
	if seen := s.Seen(); strings.Contains(seen, "412") {
		t.Error("what was dropped is back")
	}
	s.Type("413")
	s.Press("Save")
	same(t, "recorded", recorded(t, store, "P-1"), "calcium 413 by Plasma")
	if data, err := store.Draft(t.Context(), "results of sample 1"); err != nil || data != nil {
		t.Errorf("after the save the ledger keeps %q, %v", data, err)
	}
	s.Press("Type the results") // iodine is left
	if seen := s.Seen(); strings.Contains(seen, "413") || !strings.Contains(seen, "Iodine") {
		t.Errorf("the form shows %q", seen)
	}
}

// The results stand beside the bench's of the day, in the person's units, and of
// the sample under the cursor only.
func TestLabBesideBench(t *testing.T) {
	store := screentest.Demo(t)
	s := open(t, store, screentest.Morning, session.Route{})
	s.Point("SAMPLE-R1-536")
	s.Drain()
	seen := s.Seen()
	for _, want := range []string{"Do they agree?", "agree:", "Not measured by the lab, and what covers it"} {
		if !strings.Contains(seen, want) {
			t.Errorf("it does not show %q", want)
		}
	}
	if strings.Contains(seen, "1 readings") || strings.Contains(seen, "NaN") {
		t.Errorf("it shows %q", seen)
	}
	all, err := store.Samples(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	last := all[len(all)-1]
	s.Visit(session.Route{Place: session.Samples, System: last.System})
	systems, err := store.Systems(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for _, system := range systems {
		if system.ID == last.System && !strings.Contains(s.Seen(), system.Label()+", drawn") {
			t.Errorf("a visit for %s shows %q", system.Label(), s.Seen())
		}
	}
}

// A refused sample stays as it was typed.
func TestRefusedSample(t *testing.T) {
	store, f := storagetest.Room(t)
	look, err := storage.OpenToLook(t.Context(), store.Path(), storagetest.Clock)
	if err != nil {
		t.Fatal(err)
	}
	defer look.Close()
	s := open(t, look, f.Now, session.Route{})
	s.Press("Draw a sample")
	s.Pick(0, f.Systems[0].Label())
	s.Focus(apptest.Find(t, apptest.Top(s.Canvas()), func(*widgets.TextEntry) bool { return true }))
	s.Type("T-18")
	s.Press("Save")
	if seen := s.Seen(); !s.Asked() || !strings.Contains(seen, "T-18") || !strings.Contains(seen, "open only to look") {
		t.Errorf("open %v, it shows %q", s.Asked(), seen)
	}
}

// In a small window (1024 x 700, less the rail and the bars) no name of a sample
// is cut, and nothing of the results.
func TestSamplesInASmallWindow(t *testing.T) {
	s := open(t, screentest.Demo(t), screentest.Morning, session.Route{})
	s.Window.Resize(fyne.NewSize(874, 640))
	s.Drain()
	for _, text := range apptest.Texts(s.Window) {
		if strings.HasSuffix(text.Text, "…") {
			t.Errorf("%q is cut", text.Text)
		}
	}
}

// A laboratory's oxygen in % is of the water as it was drawn: by the temperature of that
// day, else the form says what is missing. 9.092 mg/L at 20 °C fill fresh water (APHA
// Standard Methods, table 4500-O:I).
func TestResultInPercent(t *testing.T) {
	store, f := storagetest.Room(t)
	lab := tanks.Method{Name: "Northern", Kind: tanks.Lab, Analyte: chem.Oxygen, Unit: chem.Saturation, AccuracyShare: 0.03}
	fresh := tanks.System{Code: "W1", Name: "Planted", Kind: tanks.Freshwater, Stated: 100, Opened: f.Now.AddDate(-1, 0, 0)}
	if err := errors.Join(store.SaveMethod(t.Context(), &lab), store.SaveSystem(t.Context(), &fresh)); err != nil {
		t.Fatal(err)
	}
	drawn := f.Now.AddDate(0, 0, -2)
	sample := tanks.Sample{System: fresh.ID, Code: "N-1", Lab: "Northern", Drawn: drawn, Sent: drawn}
	if err := store.SaveSample(t.Context(), &sample); err != nil {
		t.Fatal(err)
	}
	s := open(t, store, f.Now, session.Route{})
	choose(s, 0)
	s.Press("Type the results")
	s.Type("75")
	s.Keys(fyne.KeyReturn)
	s.Press("Save")
	form := apptest.Find(t, apptest.Top(s.Canvas()), func(*widgets.Form) bool { return true })
	if got := form.FaultOf("results"); !strings.Contains(got, "oxygen in % of saturation needs the water's temperature") {
		t.Fatalf("without a temperature: %q", got)
	}
	warmth := tanks.Reading{System: fresh.ID, Analyte: chem.Temperature, At: drawn.Add(4 * time.Hour), Value: 20, Typed: "20",
		Unit: chem.Celsius}
	if _, err := store.SaveReadings(t.Context(), []tanks.Reading{warmth}); err != nil {
		t.Fatal(err)
	}
	s = open(t, store, f.Now, session.Route{})
	choose(s, 0)
	s.Press("Type the results")
	s.Press("Save")
	got, err := store.ReadingsOfSample(t.Context(), sample.ID)
	if err != nil || len(got) != 1 || math.Abs(got[0].Value-0.75*9.092) > 0.002 || got[0].Typed != "75" || got[0].Unit != chem.Saturation {
		t.Errorf("kept %+v, %v; said %+v", got, err, s.Said)
	}
}
