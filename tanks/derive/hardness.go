package derive

import (
	"math"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
)

// hardness returns what calcium, magnesium and a test of hardness tell of one
// another, as far as they are known; of sea water nobody asks.
func hardness(a chem.Analysis) []rule {
	degrees := func(of func(chem.HardnessView) float64) func(chem.Analysis) (found, error) {
		return func(a chem.Analysis) (found, error) {
			v, err := a.Hardness()
			if err != nil {
				return found{}, err
			}
			return plain(chem.Convert(chem.Hardness, of(v), chem.MmolL, chem.DGH, chem.Water{}))
		}
	}
	ratio := func(of func(chem.HardnessView) float64) func(chem.Analysis) (found, error) {
		return func(a chem.Analysis) (found, error) {
			v, err := a.Hardness()
			return found{value: of(v)}, err
		}
	}
	v, err := a.Hardness()
	if err != nil {
		return nil
	}
	var out []rule
	add := func(known float64, r rule) {
		if !math.IsNaN(known) {
			out = append(out, r)
		}
	}
	ions := []chem.Analyte{chem.Calcium, chem.Magnesium}
	add(v.Computed, rule{"Hardness from calcium and magnesium", "dGH", 1, ions,
		degrees(func(v chem.HardnessView) float64 { return v.Computed }), func(float64) words.Text { return besideTest(v) }})
	add(v.Permanent, rule{"Permanent hardness", "dGH", 1, []chem.Analyte{chem.Hardness, chem.Calcium, chem.Magnesium, chem.Alkalinity},
		degrees(func(v chem.HardnessView) float64 { return v.Permanent }),
		func(float64) words.Text { return "the part of the hardness that no alkalinity goes with" }})
	add(v.CalciumToMagnesium, rule{"Calcium to magnesium", "", 1, ions,
		ratio(func(v chem.HardnessView) float64 { return v.CalciumToMagnesium }), func(float64) words.Text { return "by mass" }})
	add(v.PotassiumToSodium, rule{"Potassium to sodium", "", 2, []chem.Analyte{chem.Potassium, chem.Sodium},
		ratio(func(v chem.HardnessView) float64 { return v.PotassiumToSodium }), func(float64) words.Text { return "by mass" }})
	return out
}

// besideTest says what a test of hardness gave beside the sum.
func besideTest(v chem.HardnessView) words.Text {
	if math.IsNaN(v.Measured) {
		return "calcium and magnesium added up"
	}
	return words.T("the test of hardness says %s dGH", chem.Format(chem.Hardness, v.Measured, chem.DGH, chem.Water{}))
}

// allowedAmmonia returns how much total ammonia a published criterion allows for
// long, where pH and temperature are known.
func (in Input) allowedAmmonia(a chem.Analysis) []rule {
	limit, err := a.SafeAmmonia(in.By)
	if err != nil {
		return nil
	}
	return []rule{{"Total ammonia allowed for weeks", "mg/L NH4", 2,
		[]chem.Analyte{chem.PH, chem.Temperature, chem.Salinity, chem.Conductivity},
		func(a chem.Analysis) (found, error) {
			l, err := a.SafeAmmonia(in.By)
			return found{value: l.Chronic, equations: l.Source}, err
		}, func(float64) words.Text {
			return words.T("%.3f of it NH3; for an hour %.2f", limit.ChronicNH3, limit.Acute)
		}}}
}
