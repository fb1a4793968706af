package dosing_test

import (
	"strings"
	"testing"

	"weirkeeper/app/session"
	"weirkeeper/chem"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// The ways to raise hardness and to lower phosphate are shown for the line under the
// cursor; of another analyte there are none to choose from.
func TestWaysOfALine(t *testing.T) {
	store, f := storagetest.Room(t)
	fresh := tanks.System{Code: "W1", Name: "Shrimp rack", Kind: tanks.Freshwater, Stated: 100, Opened: f.Now.AddDate(-1, 0, 0)}
	must(t, store.SaveSystem(t.Context(), &fresh))
	must(t, store.SaveOwnBands(t.Context(), fresh.ID, []tanks.Band{
		{Analyte: chem.Hardness, Low: 1, Aim: 1.2, High: 1.5}, {Analyte: chem.Phosphate, Low: 0.02, Aim: 0.1, High: 0.3},
		{Analyte: chem.Calcium, Low: 20, Aim: 30, High: 40},
	}))
	for a, v := range map[chem.Analyte]float64{chem.Hardness: 0.5, chem.Phosphate: 1, chem.Calcium: 30} {
		r := tanks.Reading{System: fresh.ID, Analyte: a, At: f.Now, Value: v, Typed: "x"}
		_, err := store.SaveReadings(t.Context(), []tanks.Reading{r})
		must(t, err)
	}
	s := open(t, store, f.Now, session.DosingPlan)
	s.Visit(session.Route{Place: session.Dosing, Section: session.DosingPlan, Cells: []tanks.Cell{
		{System: fresh.ID, Analyte: chem.Hardness}, {System: fresh.ID, Analyte: chem.Phosphate}, {System: fresh.ID, Analyte: chem.Calcium},
	}})
	for line, c := range map[string]struct{ title, way string }{
		"Hardness dGH": {"Ways to raise general hardness", "Calcium chloride and magnesium sulfate"},
		"Phosphate":    {"Ways to lower phosphate", "Iron or aluminium adsorber in a filter"},
	} {
		s.Point(line)
		s.Press("Ways")
		if seen := s.Seen(); !s.Asked() || !strings.Contains(seen, c.title) || !strings.Contains(seen, c.way) {
			t.Errorf("%s: %s", line, seen)
		}
		s.Press("Close")
	}
	s.Point("Calcium")
	s.Press("Ways")
	if s.Asked() || s.LastSaid().Title != "There are no other ways to choose from" {
		t.Errorf("of calcium: asked %v, said %+v", s.Asked(), s.LastSaid())
	}
}
