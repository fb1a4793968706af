package chem

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestImplausibleLevels(t *testing.T) {
	for _, c := range []struct {
		a Analyte
		v float64
		u Unit
	}{{PH, 20, PHUnit}, {Salinity, 90, PSU}, {Calcium, -1, MgL}, {Phosphate, 1000, PO4P}, {Temperature, 100, Celsius}} {
		got, err := Canonical(c.a, c.v, c.u, Water{})
		var e RangeError
		if !errors.As(err, &e) || e.Quantity != c.a.InSentence() {
			t.Errorf("%s of %g gave %v, %v", c.a, c.v, got, err)
		}
	}
	for _, v := range []float64{math.NaN(), math.Inf(1)} {
		if _, err := Canonical(Calcium, v, MgL, Water{}); err == nil {
			t.Errorf("calcium of %g is taken", v)
		}
	}
	if _, err := Canonical(Calcium, 1, DKH, Water{}); !errors.As(err, new(*UnitError)) {
		t.Errorf("calcium in dKH gave %v", err)
	}
	if _, err := Canonical(Analyte(99), 1, MgL, Water{}); err == nil {
		t.Error("analyte 99 has a level")
	}
}

// A typed text with its unit becomes what the ledger keeps.
func TestTypedIsMadeCanonical(t *testing.T) {
	for _, c := range []struct {
		a         Analyte
		text      string
		canonical float64
	}{
		{Phosphate, "0,05 mg/L PO4-P", 0.05 * 3.066135848},
		{Phosphate, "50 ppb P", 0.05 * 3.066135848},
		{Alkalinity, "8.3dKH", 8.3 * 0.35665246},
		{Alkalinity, " 148 mg/L CaCO3 ", 148 / 50.043},
		{Magnesium, "1 350 mg/L", 1350},
		{Temperature, "77 °F", 25},
		{PH, "8.1", 8.1},
		{PH, "8.1 pH", 8.1},
		{Salinity, "35 ppt", 35},
	} {
		q, u, err := ParseTyped(c.a, c.text)
		if err != nil {
			t.Errorf("%q gave %v", c.text, err)
			continue
		}
		got, err := Canonical(c.a, q.Value, u, Water{})
		if err != nil || !(math.Abs(got-c.canonical) <= 1e-8*c.canonical) {
			t.Errorf("%q is %v, %v, want %g", c.text, got, err, c.canonical)
		}
	}
}

// Every unit of every analyte comes back.
func TestCanonicalLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		info := rapid.SampledFrom(Catalogue()).Draw(t, "analyte")
		low, high := info.Low, info.High
		if info.Analyte == Salinity {
			low, high = 0.1, 41 // where the curves of gravity and conductivity hold
		}
		u, v := rapid.SampledFrom(info.Units).Draw(t, "unit"), rapid.SampledFrom(info.Units).Draw(t, "other unit")
		w := anyWater(t, u, v)
		x := rapid.Float64Range(low, high).Draw(t, "x")
		in, err := Convert(info.Analyte, x, info.Unit, u, w)
		if err != nil {
			t.Fatal(err)
		}
		first, err := Canonical(info.Analyte, in, u, w)
		if err != nil { // the bounds themselves may round outside
			t.Skip("at the edge")
		}
		if math.Abs(first-x) > 1e-9*(math.Abs(x)+1) {
			t.Fatalf("%s %g %s came back as %g", info.Name, x, u, first)
		}
		shown, err := Convert(info.Analyte, first, info.Unit, v, w)
		if err != nil {
			t.Fatal(err)
		}
		again, err := Convert(info.Analyte, shown, v, info.Unit, w)
		if err != nil || math.Abs(again-x) > 1e-9*(math.Abs(x)+1) {
			t.Fatalf("%g by way of %s is %g, %v", x, v, again, err)
		}
	})
}

func FuzzParseTyped(f *testing.F) {
	for _, s := range []string{"0,05 mg/L PO4-P", "<1", "8.3 dKH", "1 350 mg/L", "5µmol/kg", "−3 ppm", "°"} {
		f.Add(int(Phosphate), s)
		f.Add(int(Alkalinity), s)
	}
	f.Fuzz(func(t *testing.T, a int, s string) {
		q, u, err := ParseTyped(Analyte(a), s)
		if err != nil {
			if err.Error() == "" {
				t.Errorf("%q gave %v", s, err)
			}
			return
		}
		info := catalogue[Analyte(a)]
		if v, err := Canonical(Analyte(a), q.Value, u, Water{}); err == nil && !(v >= info.Low && v <= info.High) {
			t.Errorf("%q is %v, outside %g to %g", s, v, info.Low, info.High)
		}
	})
}
