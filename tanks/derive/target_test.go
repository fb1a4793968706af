package derive

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"weirkeeper/chem"
	"weirkeeper/chem/seawater"
	"weirkeeper/tanks"
)

// pure is a compound by its grams.
func pure(key string) chem.Product {
	return chem.Product{Form: chem.Solid, Ingredients: []chem.Ingredient{{Compound: key, Amount: 1}}}
}

// ofSalt is a water of a kind with a salinity, pH 7.8 and 2 meq/L at 24 °C.
func ofSalt(k tanks.Kind, psu float64) Input {
	return Input{Kind: k, By: chem.Conventions{Scale: seawater.NBSScale}, Estimates: map[chem.Analyte]tanks.Estimate{
		chem.Salinity: estimate(psu, 0), chem.Temperature: estimate(24, 0), chem.PH: estimate(7.8, 0.05), chem.Alkalinity: estimate(2, 0.1),
		chem.Calcium: estimate(11*psu+40, 0), chem.Magnesium: estimate(36*psu+8, 0),
	}}
}

var threeWaters = map[string]Input{
	"fresh": ofSalt(tanks.Freshwater, 0.2), "brackish": ofSalt(tanks.Brackish, 12), "marine": ofSalt(tanks.Marine, 35),
}

// Soda brings each water to pH 8.2 at once. By hand: Na2CO3 of 105.988 g/mol brings 2 eq
// and a mole of carbon; of the usual limits that of pH (0.2 or 0.3 a day, 0.1 or 0.2 in a
// step: common practice, no source) is the one that binds.
func TestDoseForAPH(t *testing.T) {
	for name, c := range map[string]struct{ days, parts int }{"fresh": {2, 1}, "brackish": {2, 1}, "marine": {2, 2}} {
		in := threeWaters[name]
		led, err := in.DoseFor(Wanted{Aim: chem.AimPH, Value: 8.2, Product: pure("Na2CO3"), Litres: 200, Air: chem.AirCO2})
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		near(t, name+": pH at once", led.Response.AtOnce.PH, 8.2, 1e-6)
		moles := led.Amount / 105.988
		near(t, name+": alkalinity", led.Adds.Alkalinity, 2*moles*1000/200, 1e-4*led.Adds.Alkalinity)
		near(t, name+": carbon", led.Adds.Carbon, moles*1000/200, 1e-4*led.Adds.Carbon)
		if led.Days != c.days || led.Parts != c.parts || led.Changes[0].Analyte != chem.PH || led.Changes[0].Day == 0 {
			t.Errorf("%s: %d days of %d doses by %+v", name, led.Days, led.Parts, led.Changes)
		}
		near(t, name+": the change of pH", led.Changes[0].By, 0.4, 1e-6)
	}
}

// The other aims, and the water once aired in a room of 900 ppm.
func TestDoseForEachAim(t *testing.T) {
	for _, c := range []struct {
		water   string
		wanted  Wanted
		reached func(chem.Carbonates) float64
	}{
		{"marine", Wanted{Aim: chem.AimAragonite, Value: 4, Product: pure("NaHCO3"), Aired: true},
			func(c chem.Carbonates) float64 { return c.OmegaAragonite }},
		{"brackish", Wanted{Aim: chem.AimCalcite, Value: 3, Product: pure("CaCl2·2H2O")},
			func(c chem.Carbonates) float64 { return c.OmegaCalcite }},
		{"fresh", Wanted{Aim: chem.AimCalciteIndex, Value: 0.5, Product: pure("NaHCO3"), Aired: true},
			func(c chem.Carbonates) float64 { return c.SaturationIndex() }},
		{"fresh", Wanted{Aim: chem.AimCO2, Value: 15, Product: pure("HCl")}, func(c chem.Carbonates) float64 { return c.CO2 }},
		{"marine", Wanted{Aim: chem.AimPH, Value: 8.1, Product: pure("NaHCO3"), Aired: true},
			func(c chem.Carbonates) float64 { return c.PH }},
	} {
		c.wanted.Litres, c.wanted.Air = 300, 900
		led, err := threeWaters[c.water].DoseFor(c.wanted)
		if err != nil {
			t.Errorf("%s, aim %d: %v", c.water, c.wanted.Aim, err)
			continue
		}
		at := led.Response.AtOnce
		if c.wanted.Aired {
			at = led.Response.Aired
		}
		near(t, c.water, c.reached(at), c.wanted.Value, 1e-5)
	}
}

// A band's own limits go before the usual ones, step and day each with its source.
func TestDoseWithinTheBand(t *testing.T) {
	in := threeWaters["marine"]
	w := Wanted{Aim: chem.AimAragonite, Value: 3.5, Product: pure("NaHCO3"), Litres: 200, Aired: true, Air: chem.AirCO2}
	band := tanks.Band{Analyte: chem.Alkalinity, MaxRise: 0.1, MaxStep: 0.04}
	w.Bands = []tanks.Band{band, {Analyte: chem.PH, MaxRise: 1, MaxStep: 1}}
	led, err := in.DoseFor(w)
	if err != nil {
		t.Fatal(err)
	}
	first := led.Changes[0]
	days := int(math.Ceil(first.By / 0.1))
	parts := int(math.Ceil(first.By / float64(days) / 0.04))
	if first.Analyte != chem.Alkalinity || first.Day != 0.1 || first.Step != 0.04 || first.DayFrom != "the band" ||
		first.StepFrom != "the band" ||
		led.Days != days || led.Parts != parts || parts < 2 {
		t.Errorf("%d days of %d doses by %+v, want %d of %d", led.Days, led.Parts, first, days, parts)
	}
	w.Bands = nil
	if led, err = in.DoseFor(w); err != nil || led.Changes[0].DayFrom != "common practice, no source" {
		t.Errorf("without a band: %+v, %v", led.Changes, err)
	}
}

func TestDoseThatCannotBe(t *testing.T) {
	in := threeWaters["marine"]
	w := Wanted{Aim: chem.AimPH, Value: 8.2, Product: pure("Na2CO3"), Litres: 200, Air: chem.AirCO2}
	wrong := w
	wrong.Value = 7 // soda does not lower
	if _, err := in.DoseFor(wrong); !errors.Is(err, chem.ErrTarget) {
		t.Errorf("down with soda: %v", err)
	}
	wrong = w
	wrong.Litres = 0
	if _, err := in.DoseFor(wrong); !errors.Is(err, chem.ErrVolume) {
		t.Errorf("of no water: %v", err)
	}
	there := w
	there.Value = 7.8
	if led, err := in.DoseFor(there); err != nil || led.Amount != 0 || led.Days != 0 || led.Changes != nil {
		t.Errorf("where it stands: %+v, %v", led, err)
	}
	bare := Input{Kind: tanks.Freshwater, Estimates: map[chem.Analyte]tanks.Estimate{chem.PH: estimate(7, 0)}}
	var missing *chem.MissingError
	if _, err := bare.DoseFor(w); !errors.As(err, &missing) {
		t.Errorf("of a water that nobody knows: %v", err)
	}
}

// No change of a dose that is split as far as hands do is more than its step, nor of a
// day more than its day.
func TestNoChangeIsTooFast(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.SampledFrom([]string{"fresh", "brackish", "marine"}).Draw(t, "water")
		key := rapid.SampledFrom([]string{"Na2CO3", "NaHCO3", "NaOH"}).Draw(t, "compound")
		w := Wanted{Aim: chem.AimPH, Value: rapid.Float64Range(7.85, 8.5).Draw(t, "pH"), Product: pure(key), Aired: key == "NaHCO3",
			Litres: rapid.Float64Range(20, 4000).Draw(t, "litres"), Air: rapid.Float64Range(400, 1500).Draw(t, "ppm")}
		led, err := threeWaters[name].DoseFor(w)
		if err != nil {
			return // no amount leads there
		}
		for _, c := range led.Changes {
			if day := math.Abs(c.By) / float64(led.Days); c.Day > 0 && day > c.Day*(1+1e-6) && led.Days < mostDays {
				t.Fatalf("%s changes by %g a day, the most is %g", c.Analyte, day, c.Day)
			}
			if step := math.Abs(c.By) / float64(led.Days*led.Parts); c.Step > 0 && step > c.Step*(1+1e-6) && led.Parts < mostParts {
				t.Fatalf("%s changes by %g a dose, the most is %g", c.Analyte, step, c.Step)
			}
		}
	})
}
