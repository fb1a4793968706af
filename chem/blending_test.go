package chem

import (
	"errors"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"weirkeeper/chem/seawater"
)

func tap() Analysis {
	return Analysis{Temperature: 12, Conductivity: 520, PH: 7.6, Alkalinity: 4.2, Hardness: 2.6, Calcium: 85, Magnesium: 12, Sodium: 18,
		Nitrate: 22, AllChlorine: 0.4, Chloramine: 0.3}
}

// Two parts of one to one of the other, worked out by hand.
func TestBlendMany(t *testing.T) {
	m, err := BlendMany(Portion{Water: tap(), Litres: 60}, Portion{Water: Analysis{Temperature: 27, Conductivity: 8},
		Litres: 140, Purified: true},
		Portion{Water: Analysis{Temperature: 20, Conductivity: 40, Alkalinity: 0.3, Hardness: 0.1, Calcium: 3, Magnesium: 1,
			Sodium: 2, Nitrate: 4,
			AllChlorine: 0, Chloramine: 0}, Litres: 100})
	if err != nil {
		t.Fatal(err)
	}
	want(t, "litres", m.Litres, nil, 300, 1e-9)
	want(t, "alkalinity", m.Water[Alkalinity], nil, (60*4.2+100*0.3)/300, 1e-12)
	want(t, "nitrate", m.Water[Nitrate], nil, (60*22+100*4.0)/300, 1e-12)
	want(t, "conductivity", m.Water[Conductivity], nil, (60*520+140*8+100*40)/300.0, 1e-9)
	// Water's heat capacity hardly changes: nearly the mean by litres.
	want(t, "temperature", m.Water[Temperature], nil, (60*12+140*27+100*20)/300.0, 0.03)
	if _, known := m.Water[PH]; known {
		t.Error("a pH was mixed")
	}
	if !slices.Contains(m.Unmeasured, Nitrate) || slices.Contains(m.Unmeasured, Conductivity) {
		t.Errorf("counted as nothing: %v", m.Unmeasured)
	}
	// What one of them does not know, the mix does not know, unless it is purified.
	m, err = BlendMany(Portion{Water: tap(), Litres: 1}, Portion{Water: Analysis{Nitrate: 3}, Litres: 1})
	if _, known := m.Water[Alkalinity]; err != nil || known || m.Water[Nitrate] != 12.5 {
		t.Errorf("%v, %v", m.Water, err)
	}
	// Of what nobody measured in any of them nothing is said, purified or not.
	m, err = BlendMany(Portion{Water: Analysis{Conductivity: 5}, Litres: 1, Purified: true}, Portion{Litres: 1, Purified: true})
	if _, known := m.Water[Alkalinity]; err != nil || known || slices.Contains(m.Unmeasured, Alkalinity) || m.Water[Conductivity] != 2.5 {
		t.Errorf("%v, %v, %v", m.Water, m.Unmeasured, err)
	}
	for name, p := range map[string][]Portion{
		"nothing": nil, "no litres": {{Water: tap()}}, "NaN litres": {{Water: tap(), Litres: math.NaN()}},
		"absurd": {{Water: Analysis{Nitrate: -1}, Litres: 1}}, "absurd salinity": {{Water: Analysis{Salinity: 90,
			Temperature: 20}, Litres: 1}},
	} {
		if m, err := BlendMany(p...); err == nil || m.Water != nil {
			t.Errorf("%s: %v, %v", name, m, err)
		}
	}
}

// Blending conserves the mass of every ion and of salt, whatever is blended.
func TestBlendingConservesEveryIon(t *testing.T) {
	ions := []Analyte{Calcium, Magnesium, Sodium, Potassium, Chloride, Sulfate, Alkalinity, Nitrate, Phosphate, Iron, AllChlorine, TDS}
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 5).Draw(t, "waters")
		var portions []Portion
		mass := map[Analyte]float64{}
		var litres, salt, kg float64
		for range n {
			p := Portion{Litres: rapid.Float64Range(0.1, 1000).Draw(t, "litres"), Water: Analysis{
				Salinity: rapid.Float64Range(0, 42).Draw(t, "S"), Temperature: rapid.Float64Range(0, 35).Draw(t, "T")}}
			for _, a := range ions {
				info, _ := Lookup(a)
				p.Water[a] = rapid.Float64Range(0, info.High).Draw(t, info.Key)
				mass[a] += p.Water[a] * p.Litres
			}
			rho, _ := seawater.Density(p.Water[Salinity], p.Water[Temperature])
			grams, _ := seawater.ReferenceSalinity(p.Water[Salinity])
			kg += p.Litres * rho
			salt += p.Litres * rho * grams
			litres += p.Litres
			portions = append(portions, p)
		}
		m, err := BlendMany(portions...)
		if err != nil {
			t.Fatal(err)
		}
		for _, a := range ions {
			if math.Abs(m.Water[a]*litres-mass[a]) > 1e-9*max(1, mass[a]) {
				t.Fatalf("%s: %g of %g are left", a, m.Water[a]*litres, mass[a])
			}
		}
		grams, err := seawater.ReferenceSalinity(min(42, m.Water[Salinity]))
		if err != nil || math.Abs(grams*kg-salt) > 1e-9*max(1, salt) {
			t.Fatalf("salt: %g of %g, %v", grams*kg, salt, err)
		}
	})
}

// A litre of 35 PSU and one of fresh water make more than 17.5 PSU, since the sea
// is the heavier: by EOS-80 at 25 °C, 1023.343 and 997.047 kg/m³ (UNESCO 1983),
// 17.728.
func TestSalinityMixesByMass(t *testing.T) {
	sea, fresh := Analysis{Salinity: 35, Temperature: 25}, Analysis{Salinity: 0, Temperature: 25}
	m, err := BlendMany(Portion{Water: sea, Litres: 1}, Portion{Water: fresh, Litres: 1})
	want(t, "salinity", m.Water[Salinity], err, 35*1023.343/(1023.343+997.047), 1e-5)
}

// UNESCO 1983, Technical Papers in Marine Science 44: 3980.050 J/(kg·K) for S 40 at
// 40 °C and 1 atm, 4217.4 for pure water at 0 °C; from memory.
func TestHeatCapacity(t *testing.T) {
	want(t, "sea", HeatCapacity(40, 40), nil, 3.980050, 2e-5)
	want(t, "ice water", HeatCapacity(0, 0), nil, 4.2174, 1e-9)
	want(t, "beyond the edge", HeatCapacity(60, -5), nil, HeatCapacity(40, 0), 1e-12)
	// Warm sea water and cold fresh water of one mass: the fresh holds more heat.
	m, err := BlendMany(Portion{Water: Analysis{Salinity: 35, Temperature: 30}, Litres: 1}, Portion{Water: Analysis{Salinity: 0,
		Temperature: 10}, Litres: 1})
	a, b := 1021.7*HeatCapacity(35, 30), 999.70*HeatCapacity(0, 10)
	want(t, "temperature", m.Water[Temperature], err, (30*a+10*b)/(a+b), 1e-3)
}

// Carbon comes with its water: two equal waters leave pH as it was; tap water that
// is cut with water in balance with air loses carbon dioxide and half its
// alkalinity, and aired it is at the pH of its alkalinity.
func TestBlendCarbonates(t *testing.T) {
	one := Portion{Water: tap(), Litres: 10}
	same, err := BlendCarbonates(AirCO2, nbs, one, one)
	want(t, "the same water", same.AtOnce.PH, err, 7.6, 1e-6)
	ro := Portion{Water: Analysis{Conductivity: 6, Temperature: 12}, Litres: 10, Purified: true}
	cut, err := BlendCarbonates(AirCO2, nbs, one, ro)
	if err != nil {
		t.Fatal(err)
	}
	before, err := tap().Carbonates(nbs)
	if err != nil {
		t.Fatal(err)
	}
	want(t, "alkalinity", cut.AtOnce.Alkalinity, nil, 2.1, 1e-9)
	// The carbon of pure water in air of 425 µatm at 12 °C: some 0.02 mmol/L (Henry's
	// constant of Plummer and Busenberg 1982, 0.0484 mol/(kg·atm)).
	want(t, "carbon", cut.AtOnce.DIC, nil, (before.DIC+0.0484*0.425)/2, 2e-3)
	aired := Analysis{Alkalinity: 2.1, Temperature: 12, Conductivity: 263, Calcium: 42.5, Magnesium: 6, Sodium: 9}
	free, err := aired.CarbonatesInAir(AirCO2, nbs)
	want(t, "aired", cut.Aired.PH, err, free.PH, 1e-9)
	if !(cut.Aired.PH > cut.AtOnce.PH && cut.Aired.CO2 < cut.AtOnce.CO2) {
		t.Errorf("aired %g of pH %g, at once %g of %g", cut.Aired.CO2, cut.Aired.PH, cut.AtOnce.CO2, cut.AtOnce.PH)
	}
	var missing *MissingError
	if _, err := BlendCarbonates(AirCO2, nbs, one, Portion{Water: Analysis{Alkalinity: 1, Temperature: 20,
		Salinity: 0}, Litres: 1}); !errors.As(err, &missing) {
		t.Errorf("without pH: %v", err)
	}
	if _, err := BlendCarbonates(AirCO2, nbs); err == nil {
		t.Error("nothing has a pH")
	}
}

// 0.3 mg/L of chloramine as Cl2 leave 0.3/70.9·18.04 mg/L of ammonium; free chlorine
// leaves none.
func TestDechlorinatingABlend(t *testing.T) {
	m, err := BlendMany(Portion{Water: tap(), Litres: 100})
	if err != nil {
		t.Fatal(err)
	}
	d, err := m.Dechlorination()
	want(t, "ammonia", d.Ammonia, err, 0.3/70.9*18.039, 1e-5)
	all, err := Dechlorinate(100, 0.4, false)
	want(t, "thiosulfate", d.Grams, err, all.Grams, 1e-12)
	want(t, "least", d.Least, nil, all.Least, 1e-12)
	for name, c := range map[string]struct {
		water   Analysis
		ammonia float64
		grams   float64
	}{
		"free alone":       {Analysis{FreeChlorine: 0.4}, 0, all.Grams},
		"total alone":      {Analysis{AllChlorine: 0.4}, 0, all.Grams},
		"total and free":   {Analysis{AllChlorine: 0.4, FreeChlorine: 0.1}, 0.3 / 70.9 * 18.039, all.Grams},
		"chloramine alone": {Analysis{Chloramine: 0.4}, 0.4 / 70.9 * 18.039, all.Grams},
	} {
		d, err := Blended{Water: c.water, Litres: 100}.Dechlorination()
		want(t, name, d.Ammonia, err, c.ammonia, 1e-5)
		want(t, name, d.Grams, nil, c.grams, 1e-12)
	}
	if _, err := (Blended{Water: Analysis{}, Litres: 100}).Dechlorination(); !errors.As(err, new(*MissingError)) {
		t.Errorf("of unknown chlorine: %v", err)
	}
}

func TestBatches(t *testing.T) {
	for _, c := range []struct {
		litres, vat float64
		n           int
		each        float64
	}{{250, 100, 3, 250.0 / 3}, {200, 100, 2, 100}, {50, 100, 1, 50}, {100.0000000001, 100, 1, 100.0000000001}} {
		n, each, err := Batches(c.litres, c.vat)
		if err != nil || n != c.n || math.Abs(each-c.each) > 1e-9 {
			t.Errorf("%g L by %g: %d of %g, %v", c.litres, c.vat, n, each, err)
		}
	}
	for _, c := range [][2]float64{{0, 1}, {1, 0}, {math.NaN(), 1}, {1e6, 1}} {
		if n, _, err := Batches(c[0], c[1]); err == nil || n != 0 {
			t.Errorf("%v: %d, %v", c, n, err)
		}
	}
}
