package chem

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"weirkeeper/assets/words"
)

func compound(t *testing.T, key string) CompoundInfo {
	t.Helper()
	c, ok := Compound(key)
	if !ok {
		t.Fatalf("there is no %s", key)
	}
	return c
}

// Saturated solutions at 20 °C as handbooks give them by volume (from memory,
// rounded): 359 g NaCl in a litre of water make 317 g in a litre of solution.
func TestSolubility(t *testing.T) {
	for key, grams := range map[string]float64{"NaCl": 317, "NaHCO3": 93, "CaCl2·2H2O": 800, "MgCl2·6H2O": 1000, "MgSO4·7H2O": 660,
		"KCl": 298, "Ca(OH)2": 1.65} {
		got, err := compound(t, key).SolubilityAt(20)
		if err != nil || math.Abs(got-grams) > 0.03*grams {
			t.Errorf("%s dissolves to %.4g g/L, %v, want about %g", key, got, err, grams)
		}
		near(t, key, compound(t, key).SolubilityGPerL, got, 1e-12)
	}
	// Between the rows it goes straight: 6.48 % at 0 °C and 7.59 % at 10 (CRC).
	five, err := compound(t, "NaHCO3").SolubilityAt(5)
	w := 0.07035
	want(t, "bicarbonate at 5 °C", five, err, 1000*w*0.9982*math.Exp(0.7*w), 1e-9)
	hot, err := compound(t, "NaHCO3").SolubilityAt(40)
	w = 0.1113
	want(t, "bicarbonate at 40 °C", hot, err, 1000*w*0.9982*math.Exp(0.7*w), 1e-9)
	if _, err := compound(t, "HCl").SolubilityAt(20); !errors.Is(err, ErrSolubility) {
		t.Errorf("hydrogen chloride gave %v", err)
	}
	for _, tC := range []float64{-1, 41, math.NaN()} {
		if got, err := compound(t, "NaCl").SolubilityAt(tC); !errors.As(err, new(RangeError)) || got != 0 {
			t.Errorf("at %g °C: %g, %v", tC, got, err)
		}
	}
}

// Densities at 20 °C of the CRC Handbook, from memory: the law of the table keeps
// to them within 1 %.
func TestThickening(t *testing.T) {
	for _, c := range []struct {
		salt       string
		share, rho float64
	}{
		{"CaCl2", 0.1, 1.0835}, {"CaCl2", 0.2, 1.1775}, {"CaCl2", 0.4, 1.3957}, {"MgCl2", 0.2, 1.1706}, {"MgSO4", 0.2, 1.2198},
		{"NaCl", 0.2, 1.1478}, {"NaHCO3", 0.06, 1.0408}, {"Na2CO3", 0.1, 1.1029}, {"KCl", 0.2, 1.1328}, {"SrCl2", 0.2, 1.2008},
	} {
		near(t, c.salt, waterDensity20*math.Exp(solubilities[c.salt].thickening*c.share), c.rho, 0.01)
	}
}

// OpenStax, Chemistry 2e, section 3.3 (from memory): 0.250 L of 2.40 M calcium chloride
// hold 66.6 g.
func TestStockByTheBook(t *testing.T) {
	r, err := liquid("CaCl2", 2.40*molarMass("CaCl2")).Stock(0.250, 20)
	if err != nil {
		t.Fatal(err)
	}
	want(t, "grams", r.Weigh[0].Grams, nil, 66.6, 0.05)
	if !r.Stays() || r.Litres != 0.25 || r.Coldest != 20 {
		t.Errorf("%+v", r)
	}
	// 266 g in a litre are 22 % by mass, of a density near 1.195 (CRC, from memory), and
	// 2.4 mol at 81 kJ warm a litre of some 930 g of water by about 50 °C.
	want(t, "density", r.Density, nil, 1.195, 0.01)
	want(t, "warming", r.Warming, nil, 50, 3)
	if !slices.Contains(r.Cautions, cautionHotStock) || !slices.Contains(r.Cautions, cautionHeat) {
		t.Errorf("cautions %q", r.Cautions)
	}
	water := r.Density*0.25 - 0.0666
	want(t, "water at first", r.WaterAtFirst, nil, 0.8*water/0.9982, 1e-4)
}

// Water of crystallisation is water: the dihydrate makes the same solution as
// the calcium chloride in it.
func TestStockOfAHydrate(t *testing.T) {
	dry, err1 := liquid("CaCl2", 200).Stock(1, 20)
	crystals, err2 := liquid("CaCl2·2H2O", 200*molarMass("CaCl2·2H2O")/molarMass("CaCl2")).Stock(1, 20)
	if err := errors.Join(err1, err2); err != nil {
		t.Fatal(err)
	}
	near(t, "density", crystals.Density, dry.Density, 1e-9)
	if crystals.WaterAtFirst >= dry.WaterAtFirst || crystals.Warming >= dry.Warming {
		t.Errorf("the crystals take %g L and warm by %g, the dry salt %g L and %g", crystals.WaterAtFirst, crystals.Warming,
			dry.WaterAtFirst, dry.Warming)
	}
}

func TestStockInTheCold(t *testing.T) {
	p := liquid("NaHCO3", 85)
	warm, err1 := p.Stock(5, 20)
	cold, err2 := p.Stock(5, 10)
	if err := errors.Join(err1, err2); err != nil {
		t.Fatal(err)
	}
	if !warm.Stays() || cold.Stays() || !cold.Weigh[0].Settles() {
		t.Errorf("85 g/L of bicarbonate: %v at 20 °C, %v at 10 °C", warm.Stays(), cold.Stays())
	}
	if warm.Warming >= 0 {
		t.Errorf("bicarbonate warms by %g", warm.Warming)
	}
	near(t, "grams", cold.Weigh[0].Grams, 425, 1e-12)
}

func TestStockOrder(t *testing.T) {
	p := Product{Form: Liquid, Ingredients: []Ingredient{{"HCl", 5}, {"KCl", 20}, {"NaCl", 30}, {"SrCl2·6H2O", 10}, {"MgCl2·6H2O", 100}}}
	r, err := p.Stock(1, 10)
	if err != nil {
		t.Fatal(err)
	}
	var order []string
	for _, w := range r.Weigh {
		order = append(order, w.Compound.Key)
	}
	if want := []string{"MgCl2·6H2O", "NaCl", "KCl", "SrCl2·6H2O", "HCl"}; !slices.Equal(order, want) {
		t.Errorf("the order is %v, want %v", order, want)
	}
	if !strings.Contains(words.Join(r.Cautions, " ").String(), "acid into water") {
		t.Errorf("cautions %q", r.Cautions)
	}
}

func TestClashes(t *testing.T) {
	for _, c := range []struct {
		name  string
		parts []Ingredient
		pairs []string
	}{
		{"calcium and carbonate", []Ingredient{{"CaCl2·2H2O", 100}, {"NaHCO3", 50}}, []string{"Ca^2+ HCO3^-"}},
		{"calcium and sulfate", []Ingredient{{"CaCl2·2H2O", 100}, {"MgSO4·7H2O", 50}}, []string{"Ca^2+ SO4^2-"}},
		{"a trace of sulfate", []Ingredient{{"CaCl2·2H2O", 100}, {"MgSO4·7H2O", 0.05}}, nil},
		{"the two magnesiums", []Ingredient{{"MgCl2·6H2O", 300}, {"MgSO4·7H2O", 50}}, nil},
		{"gypsum alone", []Ingredient{{"CaSO4·2H2O", 2}}, nil},
		{"chalk alone", []Ingredient{{"CaCO3", 0.5}}, nil},
		{"lime alone", []Ingredient{{"Ca(OH)2", 1.5}}, nil},
		{"strontium and sulfate", []Ingredient{{"SrCl2·6H2O", 10}, {"MgSO4·7H2O", 10}}, []string{"Sr^2+ SO4^2-"}},
		{"acid and carbonate", []Ingredient{{"HCl", 10}, {"Na2CO3", 10}}, []string{"H^+ CO3^2-"}},
		{"ammonia gas", []Ingredient{{"NH4Cl", 10}, {"NaOH", 10}}, []string{"NH4^+ OH^-"}},
		{"ammonium and nitrite", []Ingredient{{"NH4Cl", 10}, {"NaNO2", 10}}, []string{"NH4^+ NO2^-"}},
		{"copper and iodide", []Ingredient{{"CuSO4·5H2O", 1}, {"KI", 1}}, []string{"Cu^2+ I^-"}},
		{"calcium and phosphate", []Ingredient{{"CaCl2", 10}, {"Na2HPO4", 5}}, []string{"Ca^2+ HPO4^2-"}},
		{"calcium and borate", []Ingredient{{"CaCl2·2H2O", 50}, {"Na2B4O7·10H2O", 10}}, []string{"Ca^2+ B4O7^2-"}},
		{"calcium and boric acid", []Ingredient{{"CaCl2·2H2O", 50}, {"H3BO3", 5}}, nil},
		{"calcium and molybdate", []Ingredient{{"CaCl2·2H2O", 50}, {"Na2MoO4·2H2O", 1}}, []string{"Ca^2+ MoO4^2-"}},
		{"bicarbonate and hydroxide", []Ingredient{{"NaHCO3", 50}, {"NaOH", 5}}, []string{"HCO3^- OH^-"}},
		{"bleach and acid", []Ingredient{{"NaOCl", 5}, {"HCl", 5}}, []string{"H^+ OCl^-"}},
		{"bleach and ammonia", []Ingredient{{"NaOCl", 5}, {"NH4Cl", 5}}, []string{"NH4^+ OCl^-"}},
		{"permanganate and ethanol", []Ingredient{{"KMnO4", 5}, {"C2H5OH", 50}}, []string{"MnO4^- C2H5OH"}},
		{"lanthanum and phosphate", []Ingredient{{"LaCl3·7H2O", 1}, {"KH2PO4", 1}}, []string{"La^3+ H2PO4^-"}},
		{"calcium and fluoride", []Ingredient{{"CaCl2·2H2O", 5}, {"NaF", 0.1}}, []string{"Ca^2+ F^-"}},
		{"magnesium and hydroxide", []Ingredient{{"MgCl2·6H2O", 5}, {"NaOH", 0.5}}, []string{"Mg^2+ OH^-"}},
		{"zinc and hydroxide", []Ingredient{{"ZnSO4·7H2O", 0.1}, {"NaOH", 0.1}}, []string{"Zn^2+ OH^-"}},
		{"iron and phosphate", []Ingredient{{"FeSO4·7H2O", 0.5}, {"Na2HPO4", 0.5}}, []string{"Fe^2+ HPO4^2-"}},
		// RO water brought to GH 5 and KH 4 with magnesium, as is done every day.
		{"water of GH 5 and KH 4", []Ingredient{{"CaCl2·2H2O", 0.1}, {"MgSO4·7H2O", 0.052}, {"NaHCO3", 0.12}}, nil},
		// The recipe of Kester et al. 1967 for artificial seawater (from memory, in g/L
		// with traces as the sea has them).
		{"artificial seawater", []Ingredient{{"NaCl", 24.48}, {"Na2SO4", 4.1}, {"KCl", 0.693}, {"NaHCO3", 0.2}, {"KBr", 0.1},
			{"H3BO3", 0.027}, {"NaF", 0.003}, {"MgCl2·6H2O", 11.08}, {"CaCl2·2H2O", 1.554}, {"SrCl2·6H2O", 0.0245},
			{"KI", 0.0001}, {"Na2MoO4·2H2O", 0.00003}, {"ZnSO4·7H2O", 0.00002}, {"BaCl2·2H2O", 0.00001}}, nil},
		{"iron and carbonate", []Ingredient{{"FeSO4·7H2O", 1}, {"Na2CO3", 50}}, []string{"Fe^2+ CO3^2-"}},
	} {
		r, err := Product{Form: Liquid, Ingredients: c.parts}.Stock(1, 20)
		if err != nil {
			t.Fatal(err)
		}
		var pairs []string
		for _, clash := range r.Clashes {
			pairs = append(pairs, clash.First+" "+clash.Second)
			if clash.Why == "" {
				t.Errorf("%s: no reason", c.name)
			}
		}
		if !slices.Equal(pairs, c.pairs) || r.Stays() != (len(c.pairs) == 0) {
			t.Errorf("%s: clashes %v, want %v", c.name, pairs, c.pairs)
		}
	}
	known := func(ion string) {
		if _, ok := ionRoles[ion]; !ok {
			t.Errorf("the rules speak of %s, which no compound gives", ion)
		}
	}
	for _, r := range reactions {
		for _, ion := range append(slices.Clone(r.first), r.second...) {
			known(ion)
		}
	}
	for _, x := range minerals {
		known(x.metal)
		for _, ion := range givenBy(x.partner) {
			known(ion)
		}
		metal, partner := mustFormula(x.metal).Charge(), mustFormula(x.partner).Charge()
		if x.metals*float64(metal)+x.with*float64(partner) != 0 {
			t.Errorf("%g %s and %g %s make no solid without charge", x.metals, x.metal, x.with, x.partner)
		}
	}
}

// Saturated solutions of handbooks are saturated here: gypsum of 2.05 g/L of CaSO4
// at 25 °C (CRC Handbook), whose ion pairs are not counted, lime of 1.6 g/L, fluorite
// of 16 mg/L (CRC Handbook, from memory); each within 0.35 in log10. Example 3 of
// PHREEQC: calcite in balance with its own alkalinity of 3.29 meq/kg at pH 7.297.
func TestSaturatedSolutions(t *testing.T) {
	for _, c := range []struct {
		name           string
		metal, partner string
		molar          map[string]float64
	}{
		{"gypsum", "Ca^2+", "SO4^2-", map[string]float64{"Ca^2+": 0.01507, "SO4^2-": 0.01507}},
		{"lime", "Ca^2+", "OH^-", map[string]float64{"Ca^2+": 0.0216, "OH^-": 0.0432}},
		{"fluorite", "Ca^2+", "F^-", map[string]float64{"Ca^2+": 2.05e-4, "F^-": 4.1e-4}},
		{"barite", "Ba^2+", "SO4^2-", map[string]float64{"Ba^2+": 1.05e-5, "SO4^2-": 1.05e-5}},
	} {
		i := slices.IndexFunc(minerals, func(s mineral) bool { return s.metal == c.metal && s.partner == c.partner })
		want(t, c.name, dissolve(c.molar).saturation(minerals[i]), nil, 0, 0.35)
	}
}

// The acidity of plain solutions (Stumm and Morgan 1996, closed forms): bicarbonate
// lies at the mean of pK1 and pK2, 0.1 M of carbonate near 11.6 and 0.05 M of borax at
// 9.2, hydroxide at 14 less its strength.
func TestAcidityOfSolutions(t *testing.T) {
	for _, c := range []struct {
		name  string
		molar map[string]float64
		pH    float64
	}{
		{"bicarbonate", map[string]float64{"Na^+": 1e-3, "HCO3^-": 1e-3}, 8.3},
		{"carbonate", map[string]float64{"Na^+": 0.2, "CO3^2-": 0.1}, 11.4},
		{"borax", map[string]float64{"Na^+": 0.02, "B4O7^2-": 0.01}, 9.18},
		{"soda lye", map[string]float64{"Na^+": 0.01, "OH^-": 0.01}, 11.95},
		{"phosphate buffer", map[string]float64{"K^+": 0.025, "H2PO4^-": 0.025, "Na^+": 0.05, "HPO4^2-": 0.025}, 6.86},
		{"sal ammoniac", map[string]float64{"NH4^+": 0.1, "Cl^-": 0.1}, 5.15},
	} {
		oh := dissolve(c.molar).activity["OH^-"]
		want(t, "pH of "+c.name, pKWater+math.Log10(oh), nil, c.pH, 0.1)
	}
}

func TestBadStock(t *testing.T) {
	var e RangeError
	if _, err := liquid("NaCl", 10).Stock(1, 50); !errors.As(err, &e) || e.Quantity != "temperature" {
		t.Errorf("a hot cellar gave %v", err)
	}
	if _, err := liquid("NaCl", 10).Stock(math.NaN(), 10); !errors.Is(err, ErrVolume) {
		t.Errorf("no volume gave %v", err)
	}
	for name, p := range map[string]Product{"solid": solid("NaCl", 1), "label": {Form: Liquid, Label: []Strength{{Calcium, 1, 1, 1}}},
		"unknown": liquid("NaCN", 1), "NaN": liquid("NaCl", math.NaN())} {
		if r, err := p.Stock(1, 10); err == nil || r.Weigh != nil {
			t.Errorf("%s gave %+v, %v", name, r, err)
		}
	}
	// More salt than solution is said to settle, with numbers that are finite.
	r, err := liquid("CaCl2·2H2O", 3900).Stock(1, 10)
	if err != nil || r.Stays() || !finite(r.Density) || !finite(r.Warming) || r.WaterAtFirst < 0 {
		t.Errorf("%+v, %v", r, err)
	}
}

// OpenStax, Chemistry 2e, section 3.3 (from memory): 0.850 L of a 5.00 M solution made up to
// 1.80 L is 2.36 M; 11 mL of 0.45 M to 0.12 M makes 0.041 L.
func TestDilutionByTheBook(t *testing.T) {
	water := Product{Form: Liquid, Label: []Strength{{Sodium, 1, 1, 1e-12}}}
	copper := liquid("CuSO4·5H2O", 5*molarMass("CuSO4·5H2O"))
	made, err := Mix(Part{copper, 850}, Part{water, 950})
	if err != nil {
		t.Fatal(err)
	}
	want(t, "mol/L", made.Ingredients[0].Amount/molarMass("CuSO4·5H2O"), nil, 2.36, 0.005)
	share, err := ShareFor(0.45, 0.12, 0)
	want(t, "litres", 0.011/(1-share), err, 0.041, 0.0005)
}

func TestLiquidByMass(t *testing.T) {
	// Muriatic acid of 31.45 % by mass and 1.16 kg/L holds 10.0 mol/L.
	acid, err := LiquidByMass([]Ingredient{{"HCl", 0.3145}}, 1.16)
	if err != nil {
		t.Fatal(err)
	}
	want(t, "meq in a mL", effects(t, acid)[Alkalinity], nil, -10.0, 0.01)
	for name, call := range map[string]func() error{
		"density of water in kg/m³": func() error { _, err := LiquidByMass([]Ingredient{{"HCl", 0.3}}, 1160); return err },
		"density NaN":               func() error { _, err := LiquidByMass([]Ingredient{{"HCl", 0.3}}, math.NaN()); return err },
		"31 for 31 %":               func() error { _, err := LiquidByMass([]Ingredient{{"HCl", 31}}, 1.16); return err },
		"nothing":                   func() error { _, err := LiquidByMass(nil, 1.16); return err },
	} {
		if call() == nil {
			t.Errorf("%s is taken", name)
		}
	}
}

// A mixture does what its parts do: masses are conserved.
func TestMixLaw(t *testing.T) {
	keys := []string{"CaCl2·2H2O", "NaHCO3", "MgCl2·6H2O", "KCl", "Na2CO3"}
	rapid.Check(t, func(t *rapid.T) {
		form := rapid.SampledFrom([]Form{Solid, Liquid}).Draw(t, "form")
		var parts []Part
		total := Effects{}
		var amount float64
		for range rapid.IntRange(1, 4).Draw(t, "parts") {
			p := Product{Form: form,
				Ingredients: []Ingredient{{rapid.SampledFrom(keys).Draw(t, "compound"), rapid.Float64Range(0.01, 0.9).Draw(t, "strength")}}}
			if rapid.Bool().Draw(t, "label") {
				p.Label = []Strength{{Calcium, 1, 10, rapid.Float64Range(0.1, 10).Draw(t, "says")}}
			}
			part := Part{p, rapid.Float64Range(0.1, 100).Draw(t, "amount")}
			parts = append(parts, part)
			e, err := p.Effects()
			if err != nil {
				t.Fatal(err)
			}
			amount += part.Amount
			for a, v := range e {
				total[a] += v * part.Amount
			}
		}
		mixed, err := Mix(parts...)
		if err != nil {
			t.Fatal(err)
		}
		got, err := mixed.Effects()
		if err != nil {
			t.Fatal(err)
		}
		for a, v := range total {
			// The label's hardness is set from calcium and magnesium alone.
			if math.Abs(got[a]*amount-v) > 1e-9*(math.Abs(v)+1) {
				t.Fatalf("%s is %g, its parts give %g", a, got[a]*amount, v)
			}
		}
	})
}

func TestBadMix(t *testing.T) {
	salt := solid("NaCl", 1)
	for name, parts := range map[string][]Part{
		"nothing":          nil,
		"solid and liquid": {{salt, 1}, {liquid("NaCl", 1), 1}},
		"none of it":       {{salt, 0}},
		"NaN of it":        {{salt, math.NaN()}},
		"an unknown part":  {{salt, 1}, {solid("NaCN", 1), 1}},
	} {
		if got, err := Mix(parts...); err == nil || got.Ingredients != nil {
			t.Errorf("%s gave %+v, %v", name, got, err)
		}
	}
	both, err := Mix(Part{solid("NaCl", 1), 1}, Part{solid("NaCl", 1), 3})
	if err != nil || len(both.Ingredients) != 1 || both.Ingredients[0].Amount != 1 {
		t.Errorf("salt and salt is %+v, %v", both, err)
	}
}
