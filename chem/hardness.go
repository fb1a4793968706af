package chem

import "math"

// HardnessView is what is known of the hardness of a water; what is not known is
// NaN.
type HardnessView struct {
	Measured float64 // general hardness as a test gave it, mmol/L
	Computed float64 // calcium and magnesium added up, mmol/L
	// Carbonate is the part of the general hardness that alkalinity goes with, and
	// Permanent the rest, both in mmol/L: the smaller of hardness and half the
	// alkalinity (Standard Methods 2340 A).
	Carbonate, Permanent float64
	// CalciumToMagnesium and PotassiumToSodium are by mass.
	CalciumToMagnesium, PotassiumToSodium float64
}

// Hardness returns the view of an analysis. The error is a [RangeError] for a
// value that no water has.
func (a Analysis) Hardness() (HardnessView, error) {
	for _, x := range []Analyte{Hardness, Calcium, Magnesium, Alkalinity, Potassium, Sodium} {
		if v, known := a[x]; known {
			if err := plausible(x, v); err != nil {
				return HardnessView{}, err
			}
		}
	}
	v := HardnessView{
		Measured: a.known(Hardness), Computed: a.known(Calcium)/speciesMass[Calcium] + a.known(Magnesium)/speciesMass[Magnesium],
		CalciumToMagnesium: a.ratio(Calcium, Magnesium), PotassiumToSodium: a.ratio(Potassium, Sodium),
	}
	general := v.Measured
	if math.IsNaN(general) {
		general = v.Computed
	}
	v.Carbonate = math.Min(general, a.known(Alkalinity)/2)
	v.Permanent = general - v.Carbonate
	return v, nil
}

// Difference returns what was measured less what was computed, in mmol/L; NaN
// where one of them is not known. Strontium and barium count in a test and not
// in the sum: in seawater 0.1 of 64 mmol/L.
func (v HardnessView) Difference() float64 { return v.Measured - v.Computed }

// known returns a value, NaN where it is not known.
func (a Analysis) known(x Analyte) float64 {
	if v, ok := a[x]; ok {
		return v
	}
	return none
}

// ratio returns x over y, NaN where one is not known or y is nothing.
func (a Analysis) ratio(x, y Analyte) float64 {
	if a.known(y) == 0 {
		return none
	}
	return a.known(x) / a.known(y)
}
