package board_test

import (
	"strings"
	"testing"
	"time"

	"weirkeeper/chem"
	"weirkeeper/tanks"
	"weirkeeper/tanks/board"
)

// A salinity that does not go with the system's kind is asked about, once.
func TestSalinityOfAnotherKindOfWater(t *testing.T) {
	const fresh, brackish, marine = 1, 2, 3
	now := time.Date(2026, 3, 10, 8, 0, 0, 0, time.UTC)
	facts := board.Facts{Now: now, Systems: []tanks.System{{ID: fresh, Code: "G1", Kind: tanks.Freshwater},
		{ID: brackish, Code: "B1", Kind: tanks.Brackish}, {ID: marine, Code: "R1", Kind: tanks.Marine}}}
	for name, c := range map[string]struct {
		system tanks.SystemID
		psu    float64
		before float64 // newest reading; 0: none
		asks   string
	}{
		"sea in fresh water":     {fresh, 23.5, 0, "G1 is a freshwater system"},
		"fresh":                  {fresh, 0.4, 0, ""},
		"salted on purpose":      {fresh, 6, 5.5, ""},
		"brackish may be either": {brackish, 2, 0, ""},
		"marine":                 {marine, 34, 0, ""},
		"low on purpose":         {marine, 14, 0, ""},
		"fresh in the sea":       {marine, 0.3, 35, "R1 is a marine system"},
		"a gravity":              {marine, 1.026, 0, "specific gravity"},
		"still low":              {marine, 4, 4.4, ""},
	} {
		f := facts
		if c.before > 0 {
			f.Latest = []tanks.Reading{{System: c.system, Analyte: chem.Salinity, Value: c.before, At: now.Add(-time.Hour)}}
		}
		r := tanks.Reading{System: c.system, Analyte: chem.Salinity, Value: c.psu, Unit: chem.PSU, Typed: "x"}
		got := board.New(f).Mistaken(r).String()
		if c.asks == "" && got != "" || !strings.Contains(got, c.asks) {
			t.Errorf("%s: it says %q", name, got)
		}
	}
}
