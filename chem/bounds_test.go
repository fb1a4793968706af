package chem

import (
	"errors"
	"math"
	"testing"
)

// Every range that is stated is the range that is kept: its ends are taken, what
// lies a hair outside is refused with both ends named.
func TestBounds(t *testing.T) {
	for _, c := range []struct {
		quantity  string
		low, high float64
		call      func(v float64) error
	}{
		{"share of the water", 0, 100, func(v float64) error { return second(DilutedBy(1, v/100, 0)) }},
		{"share of the second water", 0, 100, func(v float64) error { return second(Blend(Analysis{}, Analysis{}, v/100)) }},
		{"share of the water changed a day", 0, 100,
			func(v float64) error { return second(TopOff{Litres: 1, DailyChange: v / 100}.CarryOver()) }},
		{"top-off a day", 0, 200, func(v float64) error { return second(TopOff{Litres: 200, Daily: v}.CarryOver()) }},
		{"turnover", 0, 1e6, func(v float64) error { return second(DilutedContinuously(1, v, 0)) }},
		{"moisture of the salt", 0, 40, func(v float64) error { return second(SeaSalt{Moisture: v / 100}.Batch(1, 35, 25, 0)) }},
		{"chlorine", 0, 20, func(v float64) error { return second(Dechlorinate(1, v, false)) }},
		{"density", 0.5, 3, func(v float64) error { return second(LiquidByMass([]Ingredient{{"HCl", 0.3}}, v)) }},
		{"temperature", 0, 40, func(v float64) error { return second(liquid("NaCl", 10).Stock(1, v)) }},
		{"alkalinity used", -20, 20, func(v float64) error { return second(Calcification(v)) }},
		{"ammonia (total)", 0, 100, func(v float64) error { return second(Nitrification(v)) }},
		{"nitrate", 0, 1000, func(v float64) error { return second(Denitrification(v)) }},
		{"calcium", 0, 1500, func(v float64) error { return second(HardnessOf(v, 0)) }},
		{"magnesium", 0, 3000, func(v float64) error { return second(Canonical(Magnesium, v, MgL, Water{})) }},
		{"amount of sodium chloride", 1e-9, 4000, func(v float64) error { return second(liquid("NaCl", v).Effects()) }},
	} {
		for _, end := range []float64{c.low, c.high} {
			if err := c.call(end); err != nil {
				t.Errorf("%s %g is refused: %v", c.quantity, end, err)
			}
		}
		hair := (c.high - c.low) * 1e-4
		for _, outside := range []float64{c.low - hair, c.high + hair, math.NaN()} {
			var e RangeError
			if err := c.call(outside); !errors.As(err, &e) || e.Quantity.String() != c.quantity || e.Low != c.low || e.High != c.high {
				t.Errorf("%s %g gave %v, want %g to %g", c.quantity, outside, err, c.low, c.high)
			}
		}
	}
	k := KnownAddition{Mass: 1, Before: 10, BeforeScatter: 3, After: 35, AfterScatter: 4}
	if _, _, err := k.Volume(); err != nil {
		t.Errorf("a rise of five times the scatter: %v", err)
	}
	k.After = 34.99
	if _, _, err := k.Volume(); err == nil {
		t.Error("a rise of less than five times the scatter is taken")
	}
}
