package dosing_test

import (
	"errors"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"

	"weirkeeper/app/apptest"
	"weirkeeper/app/screentest"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// vatRoom is the test room with a mixing vat of 440 mg/L of calcium and the page
// of water changes.
func vatRoom(t *testing.T) (*screentest.Screen, storagetest.Fixture, tanks.System) {
	t.Helper()
	store, f := storagetest.Room(t)
	vat := tanks.System{Code: "V1", Name: "Mixing vat", Kind: tanks.Source, Opened: f.Now.Add(-100 * day)}
	must(t, store.SaveSystem(t.Context(), &vat))
	salinity := tanks.Method{Name: "Meter", Kind: tanks.Meter, Analyte: chem.Salinity, Unit: chem.PSU, Resolution: 0.1, Accuracy: 0.3}
	must(t, store.SaveMethod(t.Context(), &salinity))
	calcium := f.Methods[chem.Calcium]
	for _, r := range []tanks.Reading{
		{System: vat.ID, Analyte: chem.Salinity, Value: 35, Method: salinity.ID, Unit: chem.PSU},
		{System: vat.ID, Analyte: chem.Calcium, Value: 440, Method: calcium.ID, Unit: chem.MgL},
		{System: f.Systems[0].ID, Analyte: chem.Calcium, Value: 400, Method: calcium.ID, Unit: chem.MgL},
		{System: f.Systems[1].ID, Analyte: chem.Calcium, Value: 420, Method: calcium.ID, Unit: chem.MgL},
	} {
		r.At, r.Typed = f.Now.Add(-time.Hour), "x"
		_, err := store.SaveReadings(t.Context(), []tanks.Reading{r})
		must(t, err)
	}
	return open(t, store, f.Now, session.DosingChanges), f, vat
}

func litres(t *testing.T, s *screentest.Screen) *widgets.QuantityEntry {
	t.Helper()
	return apptest.Find(t, s.Canvas().Content(), func(*widgets.QuantityEntry) bool { return true })
}

func waterChanges(t *testing.T, s *screentest.Screen, id tanks.SystemID) []tanks.WaterChange {
	t.Helper()
	now := s.Session.Clock()
	all, err := s.Store.WaterChanges(t.Context(), id, now.Add(-30*day), now.Add(day))
	must(t, err)
	return all
}

// A change is recorded once, of the chosen system with the chosen water's
// readings, and one undo takes it back. 35 of 350 L bring 400 mg/L to 404 with
// water of 440.
func TestRecordAChange(t *testing.T) {
	s, f, vat := vatRoom(t)
	if got := litres(t, s).Text(); got != "35" {
		t.Fatalf("proposed are %q L", got)
	}
	if got := lines(s); !strings.Contains(got, "Calcium | mg/L | 400 | 440 | 404 |") || !strings.Contains(s.Seen(), "10 % of F1") {
		t.Fatalf("it does\n%s", got)
	}
	for range 3 {
		must(t, apptest.PressLabel(s.Canvas(), "Record the change"))
	}
	s.Drain()
	s.Press("Record the change")
	all := waterChanges(t, s, f.Systems[0].ID)
	if len(all) != 1 || all[0].Litres != 35 || all[0].Share != 0.1 || all[0].From != vat.ID {
		t.Fatalf("the ledger has %+v", all)
	}
	if all[0].Person != "TK" || !all[0].At.Equal(f.Now) {
		t.Errorf("the ledger has %+v", all)
	}
	if got := all[0].Water; len(got) != 2 || got[0].Value != 35 && got[1].Value != 35 {
		t.Errorf("the new water is %+v", got)
	}
	if len(s.Said) != 1 || s.Said[0].Text != "35 L of F1 changed." {
		t.Errorf("said %+v", s.Said)
	}
	s.Undo()
	if all := waterChanges(t, s, f.Systems[0].ID); len(all) != 0 {
		t.Errorf("undone once, the ledger has %+v", all)
	}
}

// What was typed stays when the page is read anew and when the ledger refuses.
func TestTypedChangeStays(t *testing.T) {
	s, f, _ := vatRoom(t)
	s.Pick(0, f.Systems[1].Label())
	litres(t, s).SetText("70")
	s.Pick(1, "")
	note := apptest.Find(t, s.Canvas().Content(), func(*widgets.TextEntry) bool { return true })
	note.SetText("after the spill")
	save(t, s.Store, f, 1, chem.Magnesium, 1300)
	s.Drain()
	holds := func() bool {
		return litres(t, s).Text() == "70" && note.Text == "after the spill" && strings.Contains(s.Seen(), "20 % of F2")
	}
	if !holds() {
		t.Fatalf("read anew it holds\n%s", s.Seen())
	}
	s.FailActs(errors.New("the disk is full"))
	s.Press("Record the change")
	if got := s.LastSaid(); !got.Bad || got.Title != "Recording the water change: not done" || !holds() {
		t.Fatalf("said %+v; it holds\n%s", got, s.Seen())
	}
	s.FailActs(nil)
	s.Press("Record the change")
	all := waterChanges(t, s, f.Systems[1].ID)
	if len(all) != 1 || all[0].Note != "after the spill" || all[0].From != 0 || len(all[0].Water) != 0 || all[0].Share != 0.2 {
		t.Errorf("the ledger has %+v", all)
	}
}

// A route chooses its system; a volume that the system does not have is refused
// at its field.
func TestRouteToAChange(t *testing.T) {
	s, f, _ := vatRoom(t)
	s.Visit(session.Route{Place: session.Dosing, Section: session.DosingChanges, System: f.Systems[1].ID})
	if !strings.Contains(s.Seen(), "10 % of F2") {
		t.Fatalf("it shows\n%s", s.Seen())
	}
	for _, typed := range []string{"500", "-1", "", "much"} {
		litres(t, s).SetText(typed)
		s.Press("Record the change")
		if all := waterChanges(t, s, f.Systems[1].ID); len(all) != 0 || len(s.Said) != 0 {
			t.Errorf("%q L: the ledger has %+v, said %+v", typed, all, s.Said)
		}
	}
}

// The calculators begin with what is known of the chosen system and take its
// volume, not that of the one before.
func TestCalculators(t *testing.T) {
	s, f, _ := vatRoom(t)
	s.Pick(0, f.Systems[1].Label())
	s.Press("Correct salinity")
	if seen := s.Seen(); !strings.Contains(seen, "Correct the salinity of F2") || !strings.Contains(seen, "350") {
		t.Errorf("it shows\n%s", seen)
	}
	s.Press("Close")
	s.Press("Mix salt water")
	if seen := s.Seen(); !strings.Contains(seen, "kg of salt into") {
		t.Errorf("it shows\n%s", seen)
	}
	s.Press("Close")
	s.Press("Take out chlorine")
	number(t, s, 1).SetText("2")
	if seen := s.Seen(); !strings.Contains(seen, "g of sodium thiosulfate pentahydrate") {
		t.Errorf("it shows\n%s", seen)
	}
	s.Press("Close")
	s.Press("Sums")
	s.Type("topping")
	s.Keys(fyne.KeyDown, fyne.KeyReturn)
	if seen := s.Seen(); !strings.Contains(seen, "Evaporation a day") || !strings.Contains(seen, "350") {
		t.Errorf("it shows\n%s", seen)
	}
}
