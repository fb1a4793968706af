package chem

import (
	"math"
	"slices"
	"strings"
	"testing"

	"weirkeeper/assets/words"
)

func solid(compound string, share float64) Product {
	return Product{Form: Solid, Ingredients: []Ingredient{{compound, share}}}
}

func liquid(compound string, gramsPerLitre float64) Product {
	return Product{Form: Liquid, Ingredients: []Ingredient{{compound, gramsPerLitre}}}
}

func effects(t *testing.T, p Product) Effects {
	t.Helper()
	e, err := p.Effects()
	if err != nil {
		t.Fatal(err)
	}
	return e
}

func TestCompounds(t *testing.T) {
	// molar_masses.csv, CIAAW 2021; alkalinity after Dickson 1981.
	table := map[string]map[string]string{}
	for _, file := range []string{"molar_masses.csv", "molar_masses_more.csv"} {
		for _, row := range readTable(t, file) {
			table[hydrateDot.Replace(row["formula_dot"])] = row
		}
	}
	for _, c := range Compounds() {
		row, ok := table[c.Key]
		if !ok {
			t.Errorf("%s is in no table", c.Key)
			continue
		}
		if c.Name.String() != row["name"] || c.AlkPerMol != number(t, row["alk_eq_per_mol"]) {
			t.Errorf("%s is %q with %g eq/mol, want %q with %s", c.Key, c.Name, c.AlkPerMol, row["name"], row["alk_eq_per_mol"])
		}
		if m := number(t, row["M_ciaaw"]); math.Abs(c.Formula.MolarMass()-m) > 1e-6 {
			t.Errorf("%s has %g g/mol, want %g", c.Key, c.Formula.MolarMass(), m)
		}
		if c.Caution != "" && !strings.HasSuffix(c.Caution.String(), "go first.") {
			t.Errorf("the caution of %s does not defer to the label", c.Key)
		}
	}
}

// The ions of a compound make up its formula: atoms and charges are conserved.
func TestCompoundsBalance(t *testing.T) {
	for _, c := range Compounds() {
		charge := 0.0
		for element := range weights {
			atoms := c.Formula.Water() * mustFormula("H2O").Atoms(element)
			for _, ion := range c.Ions {
				atoms += ion.N * ion.Formula.Atoms(element)
			}
			if want := c.Formula.Atoms(element); atoms != want {
				t.Errorf("%s: the ions have %g %s, want %g", c.Key, atoms, element, want)
			}
		}
		for _, ion := range c.Ions {
			charge += ion.N * float64(ion.Formula.Charge())
		}
		if charge != 0 {
			t.Errorf("%s: a charge of %g is left over", c.Key, charge)
		}
	}
}

// What ions give to analytes is in their formula, by the element that the
// analyte is counted by.
func TestIonRoles(t *testing.T) {
	central := map[Analyte]string{Sulfate: "S", Nitrate: "N", Nitrite: "N", Ammonia: "N", Phosphate: "P",
		Silicate: "Si", FreeChlorine: "Cl"}
	for text, role := range ionRoles {
		f := mustFormula(text)
		if role.analyte != 0 {
			element := central[role.analyte]
			if element == "" {
				element = species[role.analyte]
			}
			atoms := f.Atoms(element)
			if text == "Cl2" {
				atoms /= 2 // both atoms of Cl2 count as one Cl2, as one of OCl does
			}
			if atoms != role.n {
				t.Errorf("%s gives %g %s of %g", text, role.n, element, atoms)
			}
		}
		if carbonate := text == "HCO3^-" || text == "CO3^2-"; carbonate != (role.carbon == 1) {
			t.Errorf("%s has %g inorganic carbon", text, role.carbon)
		}
	}
}

func TestCompound(t *testing.T) {
	for _, key := range []string{"CaCl2·2H2O", "CaCl2.2H2O", "CaCl2*2H2O", "CaCl₂ · 2 H₂O"} {
		if c, ok := Compound(key); !ok || c.Key != "CaCl2·2H2O" {
			t.Errorf("%q is %q, %v", key, c.Key, ok)
		}
	}
	if _, ok := Compound("NaCN"); ok {
		t.Error("NaCN is in the table")
	}
	c, _ := Compound("NaCl")
	c.Gives[Sodium] = 7
	Compounds()[0].Gives[Calcium] = 7
	salt, _ := Compound("NaCl")
	if salt.Gives[Sodium] != 1 || Compounds()[0].Gives[Calcium] != 1 {
		t.Error("the table can be changed from outside")
	}
}

// Computed from CIAAW 2021 weights.
func TestKnownDoses(t *testing.T) {
	calcium, err := Amount(effects(t, solid("CaCl2·2H2O", 1))[Calcium], 10, 100)
	if err != nil || math.Abs(calcium-3.668) > 5e-4 {
		t.Errorf("10 mg/L of calcium in 100 L take %g g of calcium chloride dihydrate, %v, want 3.668", calcium, err)
	}
	dKH, err := Convert(Alkalinity, 1, DKH, MeqL, Water{})
	if err != nil {
		t.Fatal(err)
	}
	bicarbonate, err := Amount(effects(t, solid("NaHCO3", 1))[Alkalinity], dKH, 100)
	if err != nil || math.Abs(bicarbonate-2.996) > 5e-4 {
		t.Errorf("1 dKH in 100 L takes %g g of sodium bicarbonate, %v, want 2.996", bicarbonate, err)
	}
}

func TestEffects(t *testing.T) {
	// meq_alk_per_g and key_mass_fraction of molar_masses.csv.
	for _, c := range []struct {
		name    string
		product Product
		analyte Analyte
		want    float64
	}{
		{"calcium of a solid", solid("CaCl2·2H2O", 1), Calcium, 272.6246191},
		{"purity", solid("CaCl2·2H2O", 0.5), Calcium, 136.3123096},
		{"calcium of a liquid", liquid("CaCl2·2H2O", 100), Calcium, 27.26246191},
		{"chloride", solid("CaCl2", 1), Chloride, 1000 * 70.9 / 110.978},
		{"hardness of calcium", solid("CaCl2", 1), Hardness, 1000 / 110.978},
		{"hardness of magnesium", solid("MgCl2·6H2O", 1), Hardness, 1000 / 203.295},
		{"alkalinity", solid("Na2CO3", 1), Alkalinity, 18.87014292},
		{"lost alkalinity", solid("HCl", 0.3), Alkalinity, -27.42882221 * 0.3},
		{"phosphate", solid("KH2PO4", 1), Phosphate, 697.8757145},
		{"nitrate", solid("KNO3", 1), Nitrate, 613.2798166},
		{"trace in µg", liquid("KI", 1), Iodine, 764.4720025},
		{"borax", solid("Na2B4O7·10H2O", 1), Boron, 113.3829247},
	} {
		near(t, c.name, effects(t, c.product)[c.analyte], c.want, 1e-8)
	}
	if e := effects(t, solid("CaCl2", 1)); len(e) != 4 {
		t.Errorf("calcium chloride acts on %v, want calcium, chloride, hardness and salinity", e)
	}
}

// A litre of the salts of seawater has its salinity: 1.0233 kg of S 35 hold
// 35.16504 g/kg (Millero et al. 2008).
func TestSalinityEffect(t *testing.T) {
	salt := effects(t, solid("NaCl", 1))[Salinity] * 35.16504 * 1.0233412
	near(t, "salinity of 35.165 g/kg", salt, 35, 1e-9)
	dihydrate, anhydrous := effects(t, solid("CaCl2·2H2O", 1)), effects(t, solid("CaCl2", 1))
	near(t, "water of crystallisation is no salt", dihydrate[Salinity]/dihydrate[Calcium], anhydrous[Salinity]/anhydrous[Calcium], 1e-12)
	near(t, "bicarbonate counts whole", effects(t, solid("NaHCO3", 1))[Salinity], effects(t, solid("NaCl", 1))[Salinity], 1e-9)
}

func TestMixture(t *testing.T) {
	mix := Product{Form: Liquid, Ingredients: []Ingredient{{"MgCl2·6H2O", 300}, {"MgSO4·7H2O", 100}, {"CaCl2", 10}}}
	e := effects(t, mix)
	near(t, "magnesium", e[Magnesium], 300*0.119555326+100*0.09861400761, 1e-8)
	near(t, "hardness", e[Hardness], 300/203.295+100/246.466+10/110.978, 1e-9)
}

func TestLabel(t *testing.T) {
	p := Product{Form: Liquid, Label: []Strength{{Calcium, 10, 100, 5}}}
	e := effects(t, p)
	near(t, "label", e[Calcium], 50, 1e-14)
	near(t, "hardness from the label", e[Hardness], 50/40.078, 1e-12)
	p.Ingredients = []Ingredient{{"CaCl2", 100}, {"MgCl2·6H2O", 100}}
	e = effects(t, p)
	near(t, "label wins", e[Calcium], 50, 1e-14)
	near(t, "ingredients fill the rest", e[Magnesium], 11.9555326, 1e-8)
	near(t, "hardness from both", e[Hardness], 50/40.078+100/203.295, 1e-9)
	p.Label = append(p.Label, Strength{Hardness, 1, 1, 7})
	near(t, "labelled hardness", effects(t, p)[Hardness], 7, 1e-14)
	lower := Product{Form: Liquid, Label: []Strength{{Phosphate, 1, 100, -0.05}}}
	near(t, "a product that lowers", effects(t, lower)[Phosphate], -5, 1e-14)
}

func TestBadProduct(t *testing.T) {
	labelled := func(s ...Strength) Product { return Product{Form: Liquid, Label: s} }
	for _, c := range []struct {
		name    string
		product Product
		says    string
	}{
		{"no form", Product{Ingredients: []Ingredient{{"CaCl2", 1}}}, "neither solid nor liquid"},
		{"nothing", Product{Form: Solid}, "nothing is said"},
		{"unknown", solid("NaCN", 1), `"NaCN"`},
		{"zero", solid("CaCl2", 0), "outside 1e-09 to 100 %"},
		{"negative", liquid("CaCl2", -3), "is -3 g/L, outside 1e-09 to 4000 g/L"},
		{"NaN", liquid("CaCl2", math.NaN()), "is NaN g/L"},
		{"infinite", liquid("CaCl2", math.Inf(1)), "is +Inf g/L"},
		{"percent for share", solid("CaCl2", 98), "is 9800 %, outside"},
		{"more than the whole", Product{Form: Solid, Ingredients: []Ingredient{{"CaCl2", 0.8}, {"KCl", 0.4}}}, "add up to 1.2"},
		{"pH", labelled(Strength{PH, 1, 1, 1}), "pH does not rise"},
		{"unknown analyte", labelled(Strength{99, 1, 1, 1}), "analyte 99"},
		{"twice", labelled(Strength{Calcium, 1, 1, 1}, Strength{Calcium, 1, 1, 2}), "twice"},
		{"no amount", labelled(Strength{Calcium, 0, 1, 1}), "above zero"},
		{"no volume", labelled(Strength{Calcium, 1, math.NaN(), 1}), "above zero"},
		{"no change", labelled(Strength{Calcium, 1, 1, 0}), "no change"},
		{"infinite change", labelled(Strength{Calcium, 1, 1, math.Inf(1)}), "no change"},
	} {
		e, err := c.product.Effects()
		if err == nil || e != nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s gave %v, %v, want an error with %s", c.name, e, err, c.says)
		}
	}
}

func TestHandling(t *testing.T) {
	p := Product{Form: Liquid, Ingredients: []Ingredient{{"CaCl2·2H2O", 900}, {"CaCl2", 1}, {"CuSO4·5H2O", 1}, {"NaCl", 10}, {"NaCN", 1}}}
	cautions := p.Cautions()
	if len(cautions) != 2 || !strings.Contains(cautions[0].String(), "hot") || !strings.Contains(cautions[1].String(), "invertebrates") {
		t.Errorf("the cautions are %q", cautions)
	}
	if u := p.Undissolved(); len(u) != 1 || u[0].Key != "CaCl2·2H2O" {
		t.Errorf("undissolved are %v", u)
	}
	if p.AmountUnit() != "mL" || solid("NaCl", 1).AmountUnit() != "g" {
		t.Error("the units of amounts are wrong")
	}
	if u := solid("Ca(OH)2", 1).Undissolved(); u != nil {
		t.Errorf("a solid has settled: %v", u)
	}
	acid := liquid("HCl", 100)
	if u := acid.Undissolved(); u != nil || !slices.ContainsFunc(acid.Cautions(),
		func(s words.Text) bool { return strings.Contains(s.String(), "acid into water") }) {
		t.Errorf("acid: %v, %v", u, acid.Cautions())
	}
}
