package chem

import (
	"errors"
	"math"
	"testing"
)

// An organic acid takes its protons at once, a titration to pH 4.5 finds what its
// anions hold back, and bacteria give the rest back later: in the end an acid that
// is burnt changes nothing, and a salt gives an equivalent for each of its
// charges.
func TestOrganicAcidsInThreeSteps(t *testing.T) {
	for _, c := range []struct {
		name, key                string
		titrated, onPH, atTheEnd float64 // equivalents a mole
	}{
		{"vinegar", "CH3COOH", 0, -1, 0},
		{"citric acid", "C6H8O7", -1, -3, 0},
		{"its monohydrate", "C6H8O7·H2O", -1, -3, 0},
		{"ascorbic acid", "C6H8O6", -1, -1, 0},
		{"sodium acetate", "NaCH3COO", 1, 0, 1},
		{"calcium acetate", "Ca(CH3COO)2·H2O", 2, 0, 2},
		{"calcium formate", "Ca(HCOO)2", 0, 0, 2},
		{"iron gluconate", "Fe(C6H11O7)2·2H2O", 0, 0, 2},
		{"bicarbonate", "NaHCO3", 1, 1, 1},
		{"ethanol", "C2H5OH", 0, 0, 0},
	} {
		m := compound(t, c.key).Formula.MolarMass()
		p := solid(c.key, 1)
		d, err := p.AlkalinityDose(m/1000, 1) // a millimole in a litre
		want(t, c.name+": titrated", d.Alkalinity, err, c.titrated, 1e-12)
		d, err = p.CarbonateDose(m/1000, 1)
		want(t, c.name+": on pH", d.Alkalinity, err, c.onPH, 1e-12)
		want(t, c.name+": at the end", c.titrated+p.AlkalinityLater()*m/1000, nil, c.atTheEnd, 1e-12)
	}
	weak := liquid("CH3COOH", 50)
	d, err := weak.CarbonateDose(1, 1)
	want(t, "a millilitre of vinegar", d.Alkalinity, err, -50/60.052, 1e-9)
	if _, err := weak.CarbonateDose(1, 0); !errors.Is(err, ErrVolume) {
		t.Errorf("into nothing: %v", err)
	}
	labelled := Product{Form: Solid, Ingredients: []Ingredient{{"Ca(HCOO)2", 1}}, Label: []Strength{{Alkalinity, 1, 1, 5}}}
	if later := labelled.AlkalinityLater(); later != 0 {
		t.Errorf("a label that tells of alkalinity leaves %g for later", later)
	}
}

// Each anion that is burnt gives as many equivalents as it has charges, whatever
// part of them a titration finds at once.
func TestBurntAnionsGiveTheirCharges(t *testing.T) {
	for formula, o := range organics {
		role, known := ionRoles[formula]
		if !known {
			t.Errorf("%s has no role", formula)
		}
		charge := float64(mustFormula(formula).Charge())
		if got := role.alkalinity + o.later; math.Abs(got+charge) > 1e-12 {
			t.Errorf("%s gives %g equivalents in the end, want %g", formula, got, -charge)
		}
		if o.held != role.alkalinity {
			t.Errorf("%s holds %g of the %g that a titration finds", formula, o.held, role.alkalinity)
		}
	}
}

// Carbon counts by its atoms. A gram of ethanol is
// 0.5214 g of carbon, one of sodium acetate 0.2928 (CIAAW weights).
func TestCarbonSources(t *testing.T) {
	for key, want := range map[string]float64{"C2H5OH": 521.43, "NaCH3COO": 292.83, "C6H8O7": 375.11, "CH3COOH": 400.02} {
		near(t, key, effects(t, solid(key, 1))[Organic], want, 1e-4)
	}
	if e := effects(t, solid("C2H5OH", 1)); len(e) != 1 {
		t.Errorf("ethanol acts on %v, want carbon alone", e)
	}
	near(t, "salinity of acetate is its bicarbonate's", effects(t, solid("NaCH3COO", 1))[Salinity]*82.034,
		effects(t, solid("NaHCO3", 1))[Salinity]*84.006, 1e-4)
	near(t, "available chlorine", effects(t, solid("NaOCl", 1))[FreeChlorine], 952.4, 1e-4)
	near(t, "chlorine counted as such", effects(t, liquid("Cl2", 50))[FreeChlorine], 50, 1e-12)
	near(t, "iron of a chelate", effects(t, solid("Fe", 0.06))[Iron], 60000, 1e-12)
	near(t, "silica of water glass", effects(t, solid("Na2SiO3", 1))[Silicate], 492.25, 1e-4)
}
