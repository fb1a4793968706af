package chem

import (
	"errors"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// Tap of 4.2 meq/L and pure water make 1.4 meq/L as one to two.
func TestBlendToAGoal(t *testing.T) {
	sources := []Source{{Water: tap()}, {Water: Analysis{Temperature: 20}, Purified: true}}
	b, err := BlendTo(300, []Goal{{Alkalinity, 1.4, 0.01}}, sources...)
	if err != nil || len(b.Missed) != 0 {
		t.Fatalf("%+v, %v", b, err)
	}
	want(t, "tap", b.Litres[0], nil, 100, 1e-6)
	want(t, "pure", b.Litres[1], nil, 200, 1e-6)
	want(t, "nitrate of the blend", b.Made.Water[Nitrate], nil, 22.0/3, 1e-6)
	if !slices.Contains(b.Made.Unmeasured, Alkalinity) {
		t.Errorf("pure water's alkalinity is said to be measured: %v", b.Made.Unmeasured)
	}
	// There are but 150 L of it: as near as that goes.
	sources[1].Most = 150
	b, err = BlendTo(300, []Goal{{Alkalinity, 1.4, 0.01}}, sources...)
	if err != nil || len(b.Missed) != 1 || math.Abs(b.Litres[1]-150) > 1e-6 || math.Abs(b.Missed[0].Got-2.1) > 1e-6 {
		t.Errorf("%+v, %v", b, err)
	}
	b, err = BlendTo(300, []Goal{{Alkalinity, 1.4, 0.01}}, sources[1], sources[0]) // whatever their order
	if err != nil || len(b.Missed) != 1 || math.Abs(b.Litres[0]-150) > 1e-6 {
		t.Errorf("the other way round %+v, %v", b, err)
	}
	// A goal beyond all of them: the nearest one alone.
	b, err = BlendTo(10, []Goal{{Alkalinity, 6, 0.01}}, sources...)
	if err != nil || len(b.Missed) != 1 || b.Litres[0] != 10 || b.Litres[1] != 0 {
		t.Errorf("%+v, %v", b, err)
	}
	// Salinity is met though it does not mix by volume.
	b, err = BlendTo(100, []Goal{{Salinity, 12, 0.001}}, Source{Water: Analysis{Salinity: 35, Temperature: 25}},
		Source{Water: Analysis{Salinity: 0, Temperature: 25}})
	want(t, "brackish", b.Made.Water[Salinity], err, 12, 1e-3)
	if len(b.Missed) != 0 {
		t.Errorf("missed %+v", b.Missed)
	}
}

func TestBlendToRefuses(t *testing.T) {
	ok := []Goal{{Alkalinity, 2, 0.1}}
	for name, call := range map[string]func() (Blending, error){
		"no volume":     func() (Blending, error) { return BlendTo(0, ok, Source{Water: tap()}) },
		"no goal":       func() (Blending, error) { return BlendTo(10, nil, Source{Water: tap()}) },
		"goal twice":    func() (Blending, error) { return BlendTo(10, append(ok, ok...), Source{Water: tap()}) },
		"no width":      func() (Blending, error) { return BlendTo(10, []Goal{{Alkalinity, 2, 0}}, Source{Water: tap()}) },
		"absurd":        func() (Blending, error) { return BlendTo(10, []Goal{{Alkalinity, -2, 1}}, Source{Water: tap()}) },
		"not measured":  func() (Blending, error) { return BlendTo(10, []Goal{{Potassium, 2, 1}}, Source{Water: tap()}) },
		"too little":    func() (Blending, error) { return BlendTo(10, ok, Source{Water: tap(), Most: 9}) },
		"negative":      func() (Blending, error) { return BlendTo(10, ok, Source{Water: tap(), Most: -9}) },
		"no water":      func() (Blending, error) { return BlendTo(10, ok) },
		"NaN of source": func() (Blending, error) { return BlendTo(10, ok, Source{Water: Analysis{Alkalinity: math.NaN()}}) },
	} {
		if b, err := call(); err == nil || b.Litres != nil {
			t.Errorf("%s: %+v, %v", name, b, err)
		}
	}
}

// A blend that some shares make is found again: its goals are met, and the shares
// add up to the whole.
func TestBlendingToWhatABlendHas(t *testing.T) {
	goals := []Analyte{Alkalinity, Calcium, Nitrate}
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 5).Draw(t, "waters")
		var sources []Source
		made := Analysis{}
		var parts []float64
		var sum float64
		for range n {
			w := Analysis{Alkalinity: rapid.Float64Range(0, 8).Draw(t, "alk"), Calcium: rapid.Float64Range(0, 200).Draw(t, "Ca"),
				Nitrate: rapid.Float64Range(0, 100).Draw(t, "NO3")}
			sources = append(sources, Source{Water: w})
			parts = append(parts, rapid.Float64Range(0.01, 1).Draw(t, "part"))
			sum += parts[len(parts)-1]
		}
		for j, s := range sources {
			for _, a := range goals {
				made[a] += s.Water[a] * parts[j] / sum
			}
		}
		var asked []Goal
		for _, a := range goals {
			asked = append(asked, Goal{a, made[a], map[Analyte]float64{Alkalinity: 0.02, Calcium: 1, Nitrate: 0.5}[a]})
		}
		b, err := BlendTo(100, asked, sources...)
		if err != nil || len(b.Missed) > 0 {
			t.Fatalf("missed %+v, %v", b.Missed, err)
		}
		total := 0.0
		for _, l := range b.Litres {
			if l < 0 {
				t.Fatalf("less than nothing: %v", b.Litres)
			}
			total += l
		}
		if math.Abs(total-100) > 1e-6 {
			t.Fatalf("%g of 100 L", total)
		}
	})
}

// By the label alone: 10 g in 100 L raise GH by 3 dGH, and 5 g bicarbonate follow
// from its formula.
func TestRemineraliseByTheLabel(t *testing.T) {
	degree := 20 / 56.077 / 2 // mmol/L of a dGH
	salt := Product{Form: Solid, Label: []Strength{{Hardness, 10, 100, 3 * degree}}}
	m := Minerals{Water: Analysis{Temperature: 24}, Purified: true, Litres: 200, Goals: []Goal{{Hardness, 6 * degree, 0.01},
		{Alkalinity, 4 * 2 * degree, 0.01}},
		Products: []Product{salt, solid("NaHCO3", 1)}}
	r, err := m.Solve()
	if err != nil || len(r.Missed) != 0 {
		t.Fatalf("%+v, %v", r, err)
	}
	want(t, "hardening salt", r.Amounts[0], nil, 40, 1e-3)
	// 4 dKH are 1.42661 meq/L: 84.0058 mg each.
	want(t, "bicarbonate", r.Amounts[1], nil, 200*1.42661*84.0058/1000, 1e-3)
	want(t, "sodium", r.Water[Sodium], nil, 1.42661*22.98977, 1e-3)
	if !slices.Contains(r.Unmeasured, Hardness) || !slices.Contains(r.Unmeasured, Alkalinity) {
		t.Errorf("counted as nothing: %v", r.Unmeasured)
	}
	m.Most = []float64{10, 0}
	r, err = m.Solve()
	if err != nil || len(r.Missed) != 1 || r.Missed[0].Analyte != Hardness || math.Abs(r.Amounts[0]-10) > 1e-6 {
		t.Errorf("of 10 g: %+v, %v", r, err)
	}
}

// Standard Methods 2340 B: hardness as mg/L CaCO3 is 2.497 Ca + 4.118 Mg. A ratio of
// calcium to magnesium of 3 by mass with GH 8: Ca 3·Mg.
func TestRemineraliseToARatio(t *testing.T) {
	gh := 8 * 17.848 / 100.086
	m := Minerals{Purified: true, Litres: 100, Goals: []Goal{{Hardness, gh, 0.005}}, CalciumToMagnesium: 3,
		Products: []Product{solid("CaCl2·2H2O", 1), solid("MgSO4·7H2O", 1)}}
	r, err := m.Solve()
	if err != nil || len(r.Missed) != 0 {
		t.Fatalf("%+v, %v", r, err)
	}
	mg := 8 * 17.848 / (3*2.497 + 4.118)
	want(t, "magnesium", r.Water[Magnesium], nil, mg, 0.02)
	want(t, "calcium", r.Water[Calcium], nil, 3*mg, 0.05)
	v, err := r.Water.Hardness()
	want(t, "ratio", v.CalciumToMagnesium, err, 3, 1e-3)
	want(t, "hardness both ways", v.Difference(), nil, 0, 1e-9)
}

// Dissolved solids count the salt that goes in: 250 mg/L of sodium chloride.
func TestRemineraliseToSolidsAndSalinity(t *testing.T) {
	m := Minerals{Purified: true, Litres: 100, Goals: []Goal{{TDS, 250, 1}}, Products: []Product{solid("NaCl", 1)}}
	r, err := m.Solve()
	want(t, "salt", r.Amounts[0], err, 25, 1e-3)
	m.Goals = []Goal{{Salinity, 5, 0.01}}
	r, err = m.Solve()
	// 5 PSU are 5·35.16504/35·1.0233412 g/L by the rule of side effects.
	want(t, "brine", r.Amounts[0], err, 100*5*35.16504/35*1.0233412, 0.05)
}

// What is put in is found again: analysing the remineralised water gives the goals
// back, whatever reachable goals.
func TestRemineralisingThenAnalysingGivesTheGoal(t *testing.T) {
	products := []Product{solid("CaCl2·2H2O", 1), solid("MgSO4·7H2O", 1), solid("KHCO3", 0.98), liquid("NaHCO3", 70)}
	rapid.Check(t, func(t *rapid.T) {
		start := Analysis{Calcium: rapid.Float64Range(0, 20).Draw(t, "Ca"), Magnesium: rapid.Float64Range(0, 5).Draw(t, "Mg"),
			Alkalinity: rapid.Float64Range(0, 0.5).Draw(t, "alk"), Potassium: rapid.Float64Range(0, 1).Draw(t, "K"), Temperature: 25}
		goals := []Goal{
			{Calcium, start[Calcium] + rapid.Float64Range(0, 80).Draw(t, "more Ca"), 0.1},
			{Magnesium, start[Magnesium] + rapid.Float64Range(0, 30).Draw(t, "more Mg"), 0.1},
			{Potassium, start[Potassium] + rapid.Float64Range(0, 10).Draw(t, "more K"), 0.05},
			{Alkalinity, start[Alkalinity] + rapid.Float64Range(0.3, 3).Draw(t, "more alk"), 0.01},
		}
		litres := rapid.Float64Range(1, 5000).Draw(t, "litres")
		r, err := Minerals{Water: start, Litres: litres, Goals: goals, Products: products}.Solve()
		if err != nil || len(r.Missed) > 0 {
			t.Fatalf("missed %+v, %v", r.Missed, err)
		}
		for _, g := range goals {
			sum := start[g.Analyte] // worked out from the amounts alone
			for j, p := range products {
				e, err := p.Effects()
				if err != nil {
					t.Fatal(err)
				}
				sum += e[g.Analyte] * r.Amounts[j] / litres
			}
			if math.Abs(sum-g.Value) > g.Within+1e-6 || math.Abs(sum-r.Water[g.Analyte]) > 1e-9 {
				t.Fatalf("%s: %g in the water, %g said, %g asked", g.Analyte, sum, r.Water[g.Analyte], g.Value)
			}
		}
		for _, x := range r.Amounts {
			if x < 0 {
				t.Fatalf("less than nothing: %v", r.Amounts)
			}
		}
	})
}

func TestRemineraliseRefuses(t *testing.T) {
	good := Minerals{Purified: true, Litres: 10, Goals: []Goal{{Calcium, 20, 1}}, Products: []Product{solid("CaCl2", 1)}}
	for name, spoil := range map[string]func(*Minerals){
		"no volume":    func(m *Minerals) { m.Litres = 0 },
		"no goal":      func(m *Minerals) { m.Goals = nil },
		"no product":   func(m *Minerals) { m.Products = nil },
		"bad product":  func(m *Minerals) { m.Products = []Product{{Form: Solid}} },
		"bad ratio":    func(m *Minerals) { m.CalciumToMagnesium = -1 },
		"not measured": func(m *Minerals) { m.Purified = false },
		"ratio of unmeasured water": func(m *Minerals) {
			m.Purified, m.Water, m.CalciumToMagnesium = false, Analysis{Calcium: 1}, 3
		},
	} {
		m := good
		spoil(&m)
		if r, err := m.Solve(); err == nil || r.Amounts != nil {
			t.Errorf("%s: %+v, %v", name, r, err)
		}
	}
	if r, err := good.Solve(); err != nil || len(r.Missed) > 0 {
		t.Errorf("%+v, %v", r, err)
	}
}

// Bicarbonate brings its own carbon: right after it pH is near that of a
// bicarbonate solution, 8.3 (Stumm and Morgan, from memory), and aired it is that of
// its alkalinity in air.
func TestRemineralisedPH(t *testing.T) {
	m := Minerals{Water: Analysis{Temperature: 25}, Purified: true, Litres: 100, Goals: []Goal{{Alkalinity, 2, 0.01}},
		Products: []Product{solid("NaHCO3", 1)}}
	r, err := m.Solve()
	if err != nil {
		t.Fatal(err)
	}
	c, err := m.Carbonates(r, AirCO2, nbs)
	if err != nil {
		t.Fatal(err)
	}
	// Pure water in air holds 0.0340·0.425 mmol/L of carbon dioxide (Henry's constant
	// of Plummer and Busenberg 1982) and at its pH of 5.6 some 0.0024 of bicarbonate.
	want(t, "carbon", c.AtOnce.DIC, nil, 2+0.0340*0.425+0.0024, 1e-3)
	want(t, "pH at once", c.AtOnce.PH, nil, 8.1, 0.25)
	free, err := Analysis{Alkalinity: 2, Temperature: 25, Salinity: r.Water[Salinity]}.CarbonatesInAir(AirCO2, nbs)
	want(t, "pH aired", c.Aired.PH, err, free.PH, 1e-4)
	// Vinegar on top takes pH down though a titration hardly sees it.
	m.Products = append(m.Products, liquid("CH3COOH", 50))
	r.Amounts = append(r.Amounts, 60) // 0.5 meq/L in 100 L
	sour, err := m.Carbonates(r, AirCO2, nbs)
	want(t, "carbonate alkalinity", sour.AtOnce.Alkalinity, err, 2-60*50/60.052/100, 1e-3)
	m.Products = []Product{{Form: Solid, Label: []Strength{{Alkalinity, 1, 1, 10}}}}
	if _, err := m.Carbonates(Remineralised{Amounts: []float64{1}, Water: r.Water}, AirCO2, nbs); !errors.Is(err,
		ErrCarbon) {
		t.Errorf("of a label alone: %v", err)
	}
}
