package chem

import (
	"errors"
	"math"
	"testing"
)

// The table of ISO 7888 for tenths of a degree, which is not in the code
// (second-hand, a maker's manual): straight between the degrees within 0.001.
func TestConductivityOfNaturalWater(t *testing.T) {
	for tC, factor := range map[float64]float64{0: 1.918, 0.1: 1.912, 0.3: 1.899, 1.2: 1.845, 4.3: 1.678, 10: 1.428, 10.2: 1.420,
		15.1: 1.253,
		18.3: 1.160, 20: 1.116, 20.3: 1.108, 24.1: 1.019, 25: 1, 25.2: 0.996, 30.1: 0.902, 34.3: 0.832, 35: 0.822} {
		got, err := ConductivityAt25(500, tC)
		want(t, "factor", got/500, err, factor, 0.00101)
	}
	for _, c := range [][2]float64{{-0.1, 0}, {35.1, 0}, {20, -1}, {20, 90001}, {math.NaN(), 10}} {
		measured, tC := c[1], c[0]
		if c[0] == 20 {
			measured, tC = c[1], 20
		}
		if got, err := ConductivityAt25(measured, tC); !errors.As(err, new(RangeError)) || got != 0 {
			t.Errorf("%g at %g °C: %g, %v", measured, tC, got, err)
		}
	}
}

func TestSolidsOfAMeter(t *testing.T) {
	got, err := SolidsOf(500, 0.64)
	want(t, "solids", got, err, 320, 1e-12)
	got, err = ConductivityOf(320, 0.64)
	want(t, "conductivity", got, err, 500, 1e-12)
	for _, c := range [][2]float64{{500, 0.29}, {500, 1.01}, {-1, 0.5}, {500, math.NaN()}} {
		if got, err := SolidsOf(c[0], c[1]); err == nil || got != 0 {
			t.Errorf("%v: %g, %v", c, got, err)
		}
		if got, err := ConductivityOf(c[0], c[1]); err == nil || got != 0 {
			t.Errorf("back %v: %g, %v", c, got, err)
		}
	}
}

// Sea water of 35 PSU shows 36 to 37 on a scale of sodium chloride (common
// practice, no source); pure water shows nothing.
func TestRefractometerOfSalt(t *testing.T) {
	got, err := SalinityFromSaltScale(36.5)
	want(t, "36.5", got, err, 35, 0.3)
	got, err = SalinityFromSaltScale(0)
	want(t, "pure", got, err, 0, 1e-9)
	for _, bad := range []float64{-0.1, 44, math.NaN()} {
		if got, err := SalinityFromSaltScale(bad); !errors.As(err, new(RangeError)) || got != 0 {
			t.Errorf("%g: %g, %v", bad, got, err)
		}
	}
}

// APHA Standard Methods table 4500-O:I (oxygen_freshwater_apha.csv): 9.092 mg/L at
// 20 °C fill pure water.
func TestOxygenFromPercent(t *testing.T) {
	water := Analysis{Temperature: 20, Salinity: 0}
	got, err := water.OxygenFrom(100, nbs)
	want(t, "full", got, err, 9.092, 0.002)
	got, err = water.OxygenFrom(80, nbs)
	want(t, "80 %", got, err, 0.8*9.092, 0.002)
	water[Oxygen] = got
	percent, err := water.OxygenSaturation(nbs)
	want(t, "and back", percent, err, 80, 1e-9)
	var missing *MissingError
	for name, a := range map[string]Analysis{"temperature": {Salinity: 0}, "salinity": {Temperature: 20}} {
		if got, err := a.OxygenFrom(100, nbs); !errors.As(err, &missing) || got != 0 {
			t.Errorf("without %s: %g, %v", name, got, err)
		}
	}
	for _, bad := range []float64{-1, 301, math.NaN()} {
		if _, err := water.OxygenFrom(bad, nbs); !errors.As(err, new(RangeError)) {
			t.Errorf("%g %%: %v", bad, err)
		}
	}
	if _, err := water.OxygenFrom(100, Conventions{Pressure: -1}); err == nil {
		t.Error("a pressure below nothing is taken")
	}
}
