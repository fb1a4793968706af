package chem

import (
	"errors"
	"math"
	"testing"
)

// Standard Methods 2340 (from memory): hardness as mg/L CaCO3 is 2.497 Ca + 4.118
// Mg; of a hardness above the alkalinity as much as that is carbonate hardness, the
// rest is not.
func TestHardnessView(t *testing.T) {
	const perMmol = 100.086 // mg/L CaCO3
	a := Analysis{Calcium: 80, Magnesium: 20, Hardness: 2.9, Alkalinity: 4, Potassium: 3, Sodium: 12}
	v, err := a.Hardness()
	want(t, "computed", v.Computed*perMmol, err, 2.497*80+4.118*20, 0.05)
	want(t, "measured", v.Measured, nil, 2.9, 0)
	want(t, "difference", v.Difference(), nil, 2.9-(2.497*80+4.118*20)/perMmol, 1e-3)
	want(t, "carbonate", v.Carbonate, nil, 2, 1e-12)
	want(t, "permanent", v.Permanent, nil, 0.9, 1e-12)
	want(t, "Ca:Mg", v.CalciumToMagnesium, nil, 4, 1e-12)
	want(t, "K:Na", v.PotassiumToSodium, nil, 0.25, 1e-12)
	// Alkalinity above the hardness: all of it is carbonate hardness.
	v, err = Analysis{Hardness: 1, Alkalinity: 4}.Hardness()
	want(t, "soft water with much alkalinity", v.Carbonate, err, 1, 0)
	want(t, "its rest", v.Permanent, nil, 0, 0)
	// Without a test calcium and magnesium tell.
	v, err = Analysis{Calcium: 40.078, Magnesium: 24.305, Alkalinity: 1}.Hardness()
	want(t, "carbonate of computed", v.Carbonate, err, 0.5, 1e-12)
	want(t, "permanent of computed", v.Permanent, nil, 1.5, 1e-12)
	v, err = Analysis{Calcium: 40, Magnesium: 0}.Hardness()
	for name, got := range map[string]float64{"measured": v.Measured, "carbonate": v.Carbonate, "Ca:Mg": v.CalciumToMagnesium,
		"K:Na": v.PotassiumToSodium, "difference": v.Difference()} {
		if err != nil || !math.IsNaN(got) {
			t.Errorf("%s of what nobody measured is %g, %v", name, got, err)
		}
	}
	for _, bad := range []Analysis{{Hardness: -1}, {Calcium: math.NaN()}, {Potassium: 1e9}} {
		if _, err := bad.Hardness(); !errors.As(err, new(RangeError)) {
			t.Errorf("%v: %v", bad, err)
		}
	}
}
