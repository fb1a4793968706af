package chem

import (
	"errors"
	"math"
	"testing"
)

// EPA 2013, tables of acute (salmonids absent) and chronic criteria in mg/L of total
// ammonia nitrogen, to their two digits; read second-hand, where they test another
// program.
func TestAmmoniaCriterionByTheTables(t *testing.T) {
	pHs := []float64{6.5, 7, 7.5, 8, 8.5, 9}
	for tC, row := range map[float64][]float64{10: {51, 38, 21, 8.8, 3.3, 1.4}, 20: {23, 17, 9.2, 3.9, 1.5, 0.62}, 30: {9.9, 7.3,
		4.0, 1.7, 0.65, 0.27}} {
		for i, table := range row {
			got, _, err := criterion2013(pHs[i], tC)
			want(t, "acute", twoDigits(got), err, table, 1e-9)
		}
	}
	for tC, row := range map[float64][]float64{5: {4.9, 4.4, 3.2, 1.8, 0.80, 0.36}, 20: {2.1, 1.9, 1.4, 0.78, 0.35, 0.16},
		30: {1.1, 0.99, 0.73, 0.41, 0.18, 0.081}} {
		for i, table := range row {
			_, got, err := criterion2013(pHs[i], tC)
			want(t, "chronic", twoDigits(got), err, table, 1e-9)
		}
	}
	for _, c := range [][2]float64{{6.49, 20}, {9.01, 20}, {7, -0.1}, {7, 30.1}, {math.NaN(), 20}, {7, math.NaN()}} {
		if acute, chronic, err := criterion2013(c[0], c[1]); !errors.As(err, new(RangeError)) || acute != 0 || chronic != 0 {
			t.Errorf("pH %g, %g °C: %g, %g, %v", c[0], c[1], acute, chronic, err)
		}
	}
}

func twoDigits(v float64) float64 {
	scale := math.Pow(10, 1-math.Floor(math.Log10(v)))
	return math.Round(v*scale) / scale
}

// The Federal Register of 22 August 2013 (78 FR 52192): 17 mg/L acute and 1.9 mg/L
// chronic as nitrogen at pH 7 and 20 °C.
func TestSafeAmmoniaOfFreshWater(t *testing.T) {
	water := Analysis{PH: 7, Temperature: 20, Salinity: 0}
	limit, err := water.SafeAmmonia(nbs)
	want(t, "acute", limit.Acute/1.287856072, err, 17, 0.5)
	want(t, "chronic", limit.Chronic/1.287856072, nil, 1.9, 0.05)
	// 0.395 % of it is NH3 there (Emerson et al. 1975), less 6 % of the mass.
	want(t, "share that hurts", limit.ChronicNH3/limit.Chronic, nil, 0.00396*17.031/18.039, 3e-4)
	if limit.Source != freshCriterion {
		t.Errorf("by %q", limit.Source)
	}
}

// EPA 1989 limits un-ionised ammonia in salt water: the higher the pH, the less
// total ammonia that is.
func TestSafeAmmoniaOfTheSea(t *testing.T) {
	high, err := Analysis{PH: 8.2, Temperature: 25, Salinity: 35}.SafeAmmonia(nbs)
	low, err2 := Analysis{PH: 7.8, Temperature: 25, Salinity: 35}.SafeAmmonia(nbs)
	if err := errors.Join(err, err2); err != nil || high.ChronicNH3 != 0.035 || high.AcuteNH3 != 0.233 || high.Source != seaCriterion ||
		!(low.Chronic > 2*high.Chronic) {
		t.Errorf("%+v, %+v, %v", high, low, err)
	}
	// What it allows holds just as much as it says.
	water := Analysis{PH: 8.2, Temperature: 25, Salinity: 35, Ammonia: high.Acute}
	free, err := water.UnionizedAmmonia(nbs)
	want(t, "of the limit", free.MgL, err, 0.233, 1e-9)
	for name, a := range map[string]Analysis{"pH": {Temperature: 25, Salinity: 35}, "temperature": {PH: 8, Salinity: 35},
		"salinity": {PH: 8, Temperature: 25}} {
		if _, err := a.SafeAmmonia(nbs); !errors.As(err, new(*MissingError)) {
			t.Errorf("without %s: %v", name, err)
		}
	}
	if _, err := (Analysis{PH: 9.4, Temperature: 25, Salinity: 0}).SafeAmmonia(nbs); !errors.As(err, new(RangeError)) {
		t.Errorf("beyond the tables: %v", err)
	}
}
