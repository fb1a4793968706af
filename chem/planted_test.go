package chem

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// At 25 °C 1 dKH and pH 7 are 3.5 mg/L: 0.3567 mmol/L of bicarbonate, pK1 6.352 of
// Plummer and Busenberg 1982, 44.01 mg/mmol; a doubt of 0.1 of pH is 23 %.
func TestCO2ByPH(t *testing.T) {
	water := Analysis{Temperature: 25, Salinity: 0, PH: 7, Alkalinity: 4 * 0.35665246}
	c, err := water.CO2ByPH(0.1, 0, nbs)
	want(t, "carbon dioxide", c.CO2, err, 4*0.35665*44.009*math.Pow(10, 6.352-7), 0.6)
	want(t, "doubt of pH", c.U/c.CO2, nil, 0.2303, 1e-3)
	c, err = water.CO2ByPH(0, 0.1*4*0.35665246, nbs)
	want(t, "doubt of alkalinity", c.U/c.CO2, err, 0.1, 1e-3)
	c, err = water.CO2ByPH(0.1, 0.1*4*0.35665246, nbs)
	want(t, "both", c.U/c.CO2, err, math.Hypot(0.2303, 0.1), 1e-3)
	// The doubt is what a shift of pH by it does, to the first order.
	water[PH] = 7.01
	shifted, err := water.CO2ByPH(0.01, 0, nbs)
	water[PH] = 7
	c, err2 := water.CO2ByPH(0.01, 0, nbs)
	want(t, "shift", c.CO2-shifted.CO2, errors.Join(err, err2), c.U, 0.02*c.U)
	if len(c.Invalid) != 0 {
		t.Errorf("invalid: %q", c.Invalid)
	}
}

// Where pH and alkalinity tell little of carbon dioxide, it is said why.
func TestCO2ByPHSaysWhenItDoesNotHold(t *testing.T) {
	base := Analysis{Temperature: 25, Salinity: 0, PH: 7, Alkalinity: 1.5}
	for name, c := range map[string]struct {
		a    Analyte
		v    float64
		says string
	}{
		"little alkalinity": {Alkalinity, 0.3, "humic"}, "peat": {Organic, 8, "peat"}, "phosphate": {Phosphate, 9, "Phosphate"},
		"high pH": {PH, 8.6, "8.4"}, "enough alkalinity": {Alkalinity, 0.4, ""}, "a little carbon": {Organic, 3, ""},
		"a little phosphate": {Phosphate, 2, ""},
	} {
		water := Analysis{}
		for a, v := range base {
			water[a] = v
		}
		water[c.a] = c.v
		got, err := water.CO2ByPH(0.1, 0.1, nbs)
		if err != nil || (c.says == "") != (len(got.Invalid) == 0) || c.says != "" && !strings.Contains(got.Invalid[0].String(), c.says) {
			t.Errorf("%s: %q, %v", name, got.Invalid, err)
		}
	}
	for _, u := range [][2]float64{{-0.1, 0}, {2.1, 0}, {0, -1}, {0, 21}, {math.NaN(), 0}, {0, math.NaN()}} {
		if _, err := base.CO2ByPH(u[0], u[1], nbs); !errors.As(err, new(RangeError)) {
			t.Errorf("doubts %v: %v", u, err)
		}
	}
	if _, err := (Analysis{}).CO2ByPH(0.1, 0.1, nbs); err == nil {
		t.Error("of nothing it is known")
	}
}

// With half the water changed a week and nothing used, twice the dose gathers
// (common practice, no source, and the sum of a geometric series).
func TestWeeklyBalance(t *testing.T) {
	for _, c := range []struct {
		name          string
		w             WeeklyBalance
		after, before float64
		short         bool
	}{
		{"nothing used", WeeklyBalance{Dose: 10, Share: 0.5}, 20, 20, false},
		{"half used", WeeklyBalance{Dose: 10, Uptake: 5, Share: 0.5}, 15, 10, false},
		{"all used", WeeklyBalance{Dose: 10, Uptake: 10, Share: 0.5}, 10, 0, false},
		{"more would be used", WeeklyBalance{Dose: 10, Uptake: 14, Share: 0.5}, 10, 0, true},
		{"the tap brings some", WeeklyBalance{Dose: 0, Uptake: 4, Share: 0.5, NewWater: 20}, 16, 12, false},
		{"all changed", WeeklyBalance{Dose: 3, Uptake: 1, Share: 1, NewWater: 2}, 5, 4, false},
		{"no change, as much used", WeeklyBalance{Dose: 3, Uptake: 3}, 3, 0, false},
		{"no change, more dosed", WeeklyBalance{Dose: 3, Uptake: 1}, math.Inf(1), math.Inf(1), false},
	} {
		after, before, short, err := c.w.LevelsOff()
		if err != nil || short != c.short || after != c.after && math.Abs(after-c.after) > 1e-12 || before != c.before &&
			math.Abs(before-c.before) > 1e-12 {
			t.Errorf("%s: %g after, %g before, short %v, %v", c.name, after, before, short, err)
		}
	}
	dose, err := WeeklyBalance{Uptake: 5, Share: 0.5, NewWater: 4}.DoseFor(10)
	want(t, "dose for 10 before", dose, err, 8, 1e-12)
	if _, err := (WeeklyBalance{Share: 0.5, NewWater: 40}).DoseFor(10); !errors.Is(err, ErrOtherWay) {
		t.Errorf("a tap that brings more: %v", err)
	}
}

// Week by week it comes to where it is said to level off, and the dose for a level
// leads to that.
func TestWeeksComeToTheLevel(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := WeeklyBalance{Dose: rapid.Float64Range(0.001, 50).Draw(t, "dose"), Uptake: rapid.Float64Range(0, 50).Draw(t, "uptake"),
			Share: rapid.Float64Range(0.1, 1).Draw(t, "share"), NewWater: rapid.Float64Range(0, 50).Draw(t, "new water")}
		after, before, _, err := w.LevelsOff()
		if err != nil {
			t.Fatal(err)
		}
		got, err := w.After(rapid.Float64Range(0, 200).Draw(t, "start"), 400)
		if err != nil || math.Abs(got-after) > 1e-9*max(1, after) {
			t.Fatalf("%g after 400 weeks, said %g, %v", got, after, err)
		}
		dose, err := w.DoseFor(before)
		if before > 0 && (err != nil || math.Abs(dose-w.Dose) > 1e-9*max(1, w.Dose)) {
			t.Fatalf("a dose of %g for %g, was %g, %v", dose, before, w.Dose, err)
		}
	})
	good := WeeklyBalance{Dose: 1, Uptake: 1, Share: 0.5, NewWater: 1}
	for name, spoil := range map[string]func(*WeeklyBalance){
		"dose": func(w *WeeklyBalance) { w.Dose = -1 }, "uptake": func(w *WeeklyBalance) { w.Uptake = math.NaN() },
		"share": func(w *WeeklyBalance) { w.Share = 1.1 }, "new water": func(w *WeeklyBalance) { w.NewWater = -1 },
	} {
		w := good
		spoil(&w)
		_, _, _, err := w.LevelsOff()
		_, err2 := w.After(1, 1)
		if !errors.As(err, new(RangeError)) || !errors.As(err2, new(RangeError)) {
			t.Errorf("%s: %v, %v", name, err, err2)
		}
	}
	for _, n := range []int{-1, 10001} {
		if _, err := good.After(1, n); !errors.As(err, new(RangeError)) {
			t.Errorf("%d weeks: %v", n, err)
		}
	}
	if _, err := good.DoseFor(-1); !errors.As(err, new(RangeError)) {
		t.Errorf("a goal below nothing: %v", err)
	}
}
