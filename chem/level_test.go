package chem

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func level(t *testing.T, a Analyte, v float64, u Unit) Level {
	t.Helper()
	l, err := NewLevel(a, v, u, Water{})
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// 0.1 mg/L of PO4 and 0.1 mg/L of PO4-P are not 0.2 of either.
func TestLevelsKnowTheirSpecies(t *testing.T) {
	sum, err := level(t, Phosphate, 0.1, MgL).Add(level(t, Phosphate, 0.1, PO4P))
	if err != nil {
		t.Fatal(err)
	}
	po4, err := sum.In(MgL, Water{})
	near(t, "mg/L PO4", po4, 0.1+0.1*3.066135848, 1e-9)
	p, err2 := sum.In(UgPO4P, Water{})
	near(t, "µg/L PO4-P", p, 100+100*0.3261434097, 1e-9)
	back, err3 := sum.Sub(level(t, Phosphate, 100, UgPO4P))
	if errors.Join(err, err2, err3) != nil || math.Abs(back.canonical-0.1) > 1e-15 || back.String() != "0.100 mg/L" ||
		back.Analyte() != Phosphate {
		t.Errorf("%v, %v, %v, %v", back, err, err2, err3)
	}
}

func TestLevelsThatDoNotAdd(t *testing.T) {
	for name, pair := range map[string][2]Level{
		"phosphate and nitrate": {level(t, Phosphate, 1, MgL), level(t, Nitrate, 1, MgL)},
		"two pH":                {level(t, PH, 8, PHUnit), level(t, PH, 8, PHUnit)},
		"two temperatures":      {level(t, Temperature, 25, Celsius), level(t, Temperature, 77, Fahrenheit)},
	} {
		if got, err := pair[0].Add(pair[1]); err == nil || got != (Level{}) {
			t.Errorf("%s gave %v, %v", name, got, err)
		}
	}
	if got := (Level{}).String(); got != "no level" {
		t.Errorf("no level is %q", got)
	}
	if _, err := (Level{}).In(MgL, Water{}); err == nil {
		t.Error("no level has a value")
	}
}

func TestImplausibleLevels(t *testing.T) {
	for _, c := range []struct {
		a Analyte
		v float64
		u Unit
	}{{PH, 20, PHUnit}, {Salinity, 90, PSU}, {Calcium, -1, MgL}, {Phosphate, 1000, PO4P}, {Temperature, 100, Celsius}} {
		got, err := NewLevel(c.a, c.v, c.u, Water{})
		var e RangeError
		if !errors.As(err, &e) || e.Quantity != c.a.InSentence() || got != (Level{}) {
			t.Errorf("%s of %g gave %v, %v", c.a, c.v, got, err)
		}
	}
	for _, v := range []float64{math.NaN(), math.Inf(1)} {
		if _, err := NewLevel(Calcium, v, MgL, Water{}); err == nil {
			t.Errorf("calcium of %g is taken", v)
		}
	}
	if _, err := NewLevel(Calcium, 1, DKH, Water{}); !errors.As(err, new(*UnitError)) {
		t.Errorf("calcium in dKH gave %v", err)
	}
	if _, err := NewLevel(Analyte(99), 1, MgL, Water{}); err == nil {
		t.Error("analyte 99 has a level")
	}
}

func TestParseLevel(t *testing.T) {
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
		got, err := ParseLevel(c.a, c.text, Water{})
		if err != nil || !(math.Abs(got.canonical-c.canonical) <= 1e-8*c.canonical) {
			t.Errorf("%q is %v, %v, want %g", c.text, got.canonical, err, c.canonical)
		}
	}
	for text, part := range map[string]string{
		"<0.02 mg/L": "limit", "mg/L": "mg/L", "": "nothing", "0.05": "use mg/L", "0.05 dKH": "use mg/L", "1.2.3 mg/L": "second decimal",
		"800 mg/L": "outside",
	} {
		if got, err := ParseLevel(Phosphate, text, Water{}); err == nil || !strings.Contains(err.Error(), part) || got != (Level{}) {
			t.Errorf("%q gave %v, %v", text, got, err)
		}
	}
}

// Every unit of every analyte comes back, and sums do not depend on the units
// they were given in.
func TestLevelLaws(t *testing.T) {
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
		first, err := NewLevel(info.Analyte, in, u, w)
		if err != nil { // the bounds themselves may round outside
			t.Skip("at the edge")
		}
		if math.Abs(first.canonical-x) > 1e-9*(math.Abs(x)+1) {
			t.Fatalf("%s %g %s came back as %g", info.Name, x, u, first.canonical)
		}
		if !info.Analyte.Additive() {
			return
		}
		sum, err := first.Add(first)
		if err != nil || math.Abs(sum.canonical-2*first.canonical) > 1e-12*math.Abs(x) {
			t.Fatalf("twice %g is %g, %v", x, sum.canonical, err)
		}
		shown, err := first.In(v, w)
		if err != nil {
			t.Fatal(err)
		}
		again, err := Convert(info.Analyte, shown, v, info.Unit, w)
		if err != nil || math.Abs(again-x) > 1e-9*(math.Abs(x)+1) {
			t.Fatalf("%g by way of %s is %g, %v", x, v, again, err)
		}
	})
}

func FuzzParseLevel(f *testing.F) {
	for _, s := range []string{"0,05 mg/L PO4-P", "<1", "8.3 dKH", "1 350 mg/L", "5µmol/kg", "−3 ppm", "°"} {
		f.Add(int(Phosphate), s)
		f.Add(int(Alkalinity), s)
	}
	f.Fuzz(func(t *testing.T, a int, s string) {
		l, err := ParseLevel(Analyte(a), s, Water{})
		if err != nil {
			if l != (Level{}) || err.Error() == "" {
				t.Errorf("%q gave %v, %v", s, l, err)
			}
			return
		}
		info := catalogue[Analyte(a)]
		if l.Analyte() != Analyte(a) || l.canonical < info.Low || l.canonical > info.High {
			t.Errorf("%q is %v, outside %g to %g", s, l, info.Low, info.High)
		}
	})
}
