package setup

import (
	"math"
	"slices"
	"strings"
	"testing"

	"fyne.io/fyne/v2"

	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// number types into the n-th field for a number.
func (s *setup) number(n int, text string) {
	s.T.Helper()
	e := nth[*widgets.NumberEntry](s, n)
	e.SetText("")
	s.Focus(e)
	s.Type(text)
}

// A method's numbers are typed in its own unit and kept in the canonical one:
// differences as differences, levels as levels. A dKH is 20/56.077 meq/L (from
// memory); 77 °F are 25 °C, and 1.8 °F of difference are 1 °C.
func TestMethodsNumbers(t *testing.T) {
	s, _ := room(t, session.SetupMethods)
	const meq = 20 / 56.077
	s.Keys(fyne.KeyReturn) // the alkalinity titration comes first
	if s.field(0).Text != "Alkalinity titration" {
		t.Fatalf("opened %q", s.field(0).Text)
	}
	s.number(1, "0.5") // accuracy
	s.number(2, "5")   // and %
	s.number(4, "1")   // detects from
	s.Press("Save")
	got := ledger(s, s.Store.Methods)[0]
	if math.Abs(got.Accuracy-0.5*meq) > 1e-4 || got.AccuracyShare != 0.05 || math.Abs(got.Detection-meq) > 1e-4 ||
		math.Abs(got.Resolution-0.036) > 1e-4 {
		t.Errorf("saved %+v", got)
	}
	s.Press("Add a method")
	s.into(s.field(0), "Glass thermometer")
	s.Pick(0, "meter")
	s.Pick(1, "Temperature")
	s.Pick(2, "°F")
	s.number(0, "1.8") // step
	s.number(5, "77")  // up to
	s.Press("Save")
	all := ledger(s, s.Store.Methods)
	last := all[len(all)-1]
	if last.Name != "Glass thermometer" || math.Abs(last.Resolution-1) > 1e-6 || math.Abs(last.Top-25) > 1e-6 {
		t.Errorf("saved %+v", last)
	}
	if !strings.Contains(s.Seen(), "± 0.5 and 5 %") {
		t.Errorf("listed\n%s", s.Seen())
	}
}

// Whether water is purified is asked of sources alone. A source of a profile for water
// of reverse osmosis is, until somebody says otherwise.
func TestPurifiedSources(t *testing.T) {
	s := bare(t, session.SetupSystems)
	for _, p := range []tanks.Profile{
		{Name: "Osmosis", Kind: tanks.Source, Bands: []tanks.Band{{Analyte: chem.Conductivity, Aim: 5, High: 20}}},
		{Name: "Mains", Kind: tanks.Source, Bands: []tanks.Band{{Analyte: chem.Conductivity, Low: 50, Aim: 450, High: 1000}}},
		{Name: "Soft", Kind: tanks.Freshwater, Bands: []tanks.Band{{Analyte: chem.Conductivity, Aim: 20, High: 40}}},
	} {
		must(t, s.Store.SaveProfile(t.Context(), &p))
	}
	s.Drain()
	for _, c := range []struct {
		code, profile string
		asked, want   bool
		change        func()
	}{
		{"RO", "Osmosis", true, true, nil},
		{"TAP", "Mains", true, false, nil},
		{"F1", "Soft", false, false, nil},
		{"DI", "Mains", true, true, func() { nth[*widgets.Check](s, 0).SetChecked(true) }},
		{"OLD", "Osmosis", true, false, func() { nth[*widgets.Check](s, 0).SetChecked(false) }},
		{"F2", "Osmosis", false, false, func() { s.Pick(1, "freshwater") }},
	} {
		s.Press("Add a system")
		s.into(s.field(0), c.code)
		s.into(s.field(1), "Water")
		s.Pick(0, c.profile)
		if c.change != nil {
			c.change()
		}
		if got := strings.Contains(s.Seen(), "of reverse osmosis, resin or a still"); got != c.asked {
			t.Errorf("%s: asked whether it is purified: %v\n%s", c.code, got, s.Seen())
		}
		s.Press("Save")
		all := ledger(s, s.Store.Systems)
		i := slices.IndexFunc(all, func(s tanks.System) bool { return s.Code == c.code })
		if i < 0 || all[i].Purified != c.want {
			t.Errorf("%s of %s: %+v", c.code, c.profile, all)
		}
	}
}

// A closed system keeps its record and says so; it can be opened again.
func TestCloseASystem(t *testing.T) {
	s, fixture := room(t, session.SetupSystems)
	closed := func() *widgets.Check { return nth[*widgets.Check](s, 1) }
	s.Keys(fyne.KeyReturn)
	closed().SetChecked(true)
	s.Press("Save")
	got := ledger(s, s.Store.Systems)
	if !got[0].Closed.Equal(storagetest.Now) || !got[1].Open() || !strings.Contains(s.Seen(), "Frag rack, north (closed)") {
		t.Fatalf("closed %v, %v\n%s", got[0].Closed, got[1].Closed, s.Seen())
	}
	s.Focus(s.page.FirstFocus())
	s.Keys(fyne.KeyReturn)
	if !closed().Checked {
		t.Fatal("the form of a closed system says that it is open")
	}
	closed().SetChecked(false)
	nth[*widgets.Check](s, 0).SetChecked(false) // invertebrates
	s.Press("Save")
	if got := ledger(s, s.Store.Systems)[0]; !got.Open() || got.Invertebrates || got.Tanks[0].ID != fixture.Systems[0].Tanks[0].ID {
		t.Errorf("saved %+v", got)
	}
}

// A task is of what was chosen, and another one cannot be mistaken for it.
func TestTaskOfAProfile(t *testing.T) {
	s, fixture := room(t, session.SetupTasks)
	s.Press("Add a task")
	s.into(s.field(0), "Clean the skimmer")
	s.Pick(0, "each Reef")
	s.into(s.field(2), "FREQ=HOURLY")
	s.Press("Save")
	if !s.Asked() {
		t.Fatal("a task of every hour was saved")
	}
	s.into(s.field(2), "FREQ=WEEKLY;BYDAY=MO")
	s.Press("Save")
	got := ledger(s, s.Store.Tasks)
	if len(got) != 1 || got[0].Profile != fixture.ProfileID || got[0].System != 0 || got[0].Rule != "FREQ=WEEKLY;BYDAY=MO" ||
		got[0].Every != 0 {
		t.Fatalf("saved %+v", got)
	}
	if !strings.Contains(s.Seen(), "each Reef") {
		t.Errorf("listed\n%s", s.Seen())
	}
	s.Press("Change")
	nth[*widgets.Check](s, 0).SetChecked(true)
	s.Press("Save")
	if got = ledger(s, s.Store.Tasks); len(got) != 1 || !got[0].Ended || got[0].Profile != fixture.ProfileID ||
		!strings.Contains(s.Seen(), "(ended)") {
		t.Errorf("saved %+v\n%s", got, s.Seen())
	}
}

// Filter and sort change what the rows are, not what is opened.
func TestOpenWhatIsSeen(t *testing.T) {
	s, _ := room(t, session.SetupMethods)
	s.Type("magnes")
	s.Keys(fyne.KeyDown, fyne.KeyReturn)
	if got := s.field(0).Text; got != "Magnesium titration" {
		t.Errorf("opened %q", got)
	}
}

// A new room is offered what to start from, once.
func TestStartingSet(t *testing.T) {
	s := bare(t, session.SetupSystems)
	if !strings.Contains(s.Seen(), "A new room") {
		t.Fatalf("not offered:\n%s", s.Seen())
	}
	s.Press("Put them in")
	profiles, products := ledger(s, s.Store.Profiles), ledger(s, s.Store.Products)
	if len(profiles) < 5 || strings.Contains(s.Seen(), "A new room") || s.LastSaid().Do != "Add a system" {
		t.Fatalf("%d profiles, said %+v", len(profiles), s.LastSaid())
	}
	for _, p := range products {
		if p.Stock != 0 {
			t.Errorf("%s is on the shelf: %g", p.Name, p.Stock)
		}
	}
	s.next()
	s.into(s.field(0), "A1")
	s.into(s.field(1), "First")
	s.Pick(0, profiles[0].Name)
	s.Press("Save") // the water follows from the profile
	if got := ledger(s, s.Store.Systems); s.Asked() || len(got) != 1 || got[0].Kind != profiles[0].Kind ||
		got[0].Profile != profiles[0].ID {
		t.Errorf("open %v, saved %+v", s.Asked(), got)
	}
	s.undo()
	s.undo()
	if got := ledger(s, s.Store.Profiles); len(got) != 0 || !strings.Contains(s.Seen(), "A new room") {
		t.Errorf("taken back: %d profiles", len(got))
	}
}

// Two persons of one set of initials cannot be told apart: it is refused by the
// ledger, whatever the case, and the form stays.
func TestInitialsAreUnique(t *testing.T) {
	s, _ := room(t, session.SetupPeople)
	must(t, s.Store.SavePerson(t.Context(), &tanks.Person{Initials: "TK", Name: "Tam"}))
	s.Drain()
	s.Press("Add a person")
	s.into(s.field(0), "TK")
	s.Press("Save")
	if !s.Asked() || !strings.Contains(s.Seen(), "Somebody else has the initials TK") || len(ledger(s, s.Store.People)) != 1 {
		t.Errorf("open %v\n%s", s.Asked(), s.Seen())
	}
}
