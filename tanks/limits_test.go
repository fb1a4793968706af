package tanks

import (
	"math"
	"testing"

	"weirkeeper/chem"
)

// A step is never more than a day's change, every limit names where it is from, and
// it is kept in the canonical unit: 2 dGH are 0.35665 mmol/L.
func TestDefaultLimits(t *testing.T) {
	seen := map[chem.Analyte]bool{}
	for _, r := range limitRows {
		if seen[r.analyte] {
			t.Errorf("%s has two rows", r.analyte)
		}
		seen[r.analyte] = true
		known := false
		for _, k := range Kinds() {
			l, ok := DefaultLimits(k, r.analyte)
			known = known || ok
			if ok && (!(l.Day > 0) || !(l.Step > 0) || l.Step > l.Day || l.Source == "") {
				t.Errorf("%s in %s water: %+v", r.analyte, k, l)
			}
		}
		if !known {
			t.Errorf("%s has a row without a limit", r.analyte)
		}
	}
	for _, c := range []struct {
		kind      Kind
		analyte   chem.Analyte
		day, step float64
		known     bool
	}{
		{Freshwater, chem.Hardness, 0.3566525, 0.1783262, true},
		{Marine, chem.Alkalinity, 0.7 * 0.3566525, 0.5 * 0.3566525, true},
		{Marine, chem.Temperature, 1, 0.5, true},
		{Brackish, chem.Salinity, 2, 1, true},
		{Freshwater, chem.Nitrate, 20, 20, true},
		{Marine, chem.Hardness, 0, 0, false},
		{Freshwater, chem.Strontium, 0, 0, false},
		{Source, chem.PH, 0, 0, false},
		{0, chem.PH, 0, 0, false},
		{Marine, chem.Copper, 0, 0, false},
	} {
		l, ok := DefaultLimits(c.kind, c.analyte)
		if ok != c.known || math.Abs(l.Day-c.day) > 1e-6 || math.Abs(l.Step-c.step) > 1e-6 {
			t.Errorf("%s in %s water: %+v, %v", c.analyte, c.kind, l, ok)
		}
	}
}

// What raises hardness does, what lowers phosphate by a compound gives none, and each
// way says what it does and where that is from.
func TestWays(t *testing.T) {
	for _, w := range WaysToHarden() {
		for _, key := range w.Compounds {
			c, ok := chem.Compound(key)
			if !ok || c.Gives[chem.Calcium]+c.Gives[chem.Magnesium] == 0 {
				t.Errorf("%s: %s does not harden", w.Name, key)
			}
			if key != "CaCO3" && c.AlkPerMol != 0 {
				t.Errorf("%s: %s changes alkalinity too", w.Name, key)
			}
		}
	}
	for _, w := range WaysToLowerPhosphate() {
		for _, key := range w.Compounds {
			if c, ok := chem.Compound(key); !ok || c.Gives[chem.Phosphate] != 0 || c.Caution == "" {
				t.Errorf("%s: %s, %v", w.Name, key, ok)
			}
		}
	}
	for _, w := range append(WaysToHarden(), WaysToLowerPhosphate()...) {
		if w.Name == "" || w.Does == "" || w.Source == "" {
			t.Errorf("%+v", w)
		}
	}
	// Lanthanum's mole for a mole: 138.905 over 94.97 g.
	if got := 138.90547 / 94.969762; math.Abs(got-1.46) > 0.005 {
		t.Errorf("a gram of PO4 takes %g g of lanthanum", got)
	}
}
