package chem

import (
	"errors"
	"math"
	"testing"
)

func TestAtomicWeights(t *testing.T) {
	// CIAAW Standard Atomic Weights 2021, conventional values.
	for _, row := range readTable(t, "atomic_weights.csv") {
		got, ok := AtomicWeight(row["element"])
		if want := number(t, row["used"]); !ok || got != want {
			t.Errorf("%s weighs %v, want %v", row["element"], got, want)
		}
	}
	// Every other element against an older table, to 6e-4.
	rows := readTable(t, "atomic_weights_periodictable.csv")
	for _, row := range rows {
		got, _ := AtomicWeight(row["element"])
		near(t, row["element"], got, number(t, row["weight"]), 6e-4)
	}
	if len(rows) != len(weights) {
		t.Errorf("%d elements beside %d", len(weights), len(rows))
	}
	if _, ok := AtomicWeight("Xx"); ok {
		t.Error("Xx is an element")
	}
}

func TestMolarMasses(t *testing.T) {
	// molar_masses.csv, computed from the CIAAW 2021 conventional weights.
	for _, row := range readTable(t, "molar_masses.csv") {
		for _, column := range []string{"formula", "formula_dot"} {
			f, err := ParseFormula(row[column])
			if err != nil {
				t.Error(err)
				continue
			}
			if want := number(t, row["M_ciaaw"]); math.Abs(f.MolarMass()-want) > 1e-6 {
				t.Errorf("%s has %.9g g/mol, want %.9g", row[column], f.MolarMass(), want)
			}
			if len(row["key"]) <= 2 && row["key"] != "OH" {
				near(t, row["key"]+" in "+row[column], f.MassFraction(row["key"]), number(t, row["key_mass_fraction"]), 1e-9)
			}
		}
	}
}

func TestParseFormula(t *testing.T) {
	for _, c := range []struct {
		text    string
		element string
		atoms   float64
		water   float64
	}{
		{"CaCl2·2H2O", "H", 4, 2},
		{"CaCl₂·2H₂O", "Cl", 2, 2},
		{"Na2B4O7.10H2O", "O", 17, 10},
		{"MgSO4*7H2O", "O", 11, 7},
		{"MgSO4•H2O", "H", 2, 1},
		{"Mg(OH)2", "O", 2, 0},
		{"Ca[Fe(CN)6]2", "N", 12, 0},
		{"KCl", "Na", 0, 0},
		{"CH3COOH", "C", 2, 0},
		{"CaSO4·0.5H2O", "O", 4.5, 0.5},
		{"CaSO4.0,5H2O", "H", 1, 0.5},
		{"CaSO4·½H2O", "H", 1, 0.5},
		{"CaSO4*1/2H2O", "O", 4.5, 0.5},
		{"MgCO3·1.5H2O", "H", 3, 1.5},
		{"MgCO3·1½H2O", "H", 3, 1.5},
	} {
		f, err := ParseFormula(c.text)
		if err != nil {
			t.Error(err)
			continue
		}
		if f.Atoms(c.element) != c.atoms || f.Water() != c.water || f.String() != c.text {
			t.Errorf("%s as %q has %g %s and %g water, want %g and %g", c.text, f, f.Atoms(c.element), c.element, f.Water(), c.atoms,
				c.water)
		}
	}
	kcl, err := ParseFormula("KCl")
	if err != nil || kcl.MassFraction("Na") != 0 {
		t.Errorf("KCl has sodium %v, %v", kcl.MassFraction("Na"), err)
	}
	if (Formula{}).MolarMass() != 0 {
		t.Error("the empty formula has a mass")
	}
}

func TestCharge(t *testing.T) {
	for text, want := range map[string]int{
		"SO4^2-": -2, "Ca^2+": 2, "Ca²⁺": 2, "NO3⁻": -1, "NO3^-": -1, "Na+": 1, "OH-": -1, "B(OH)4^-": -1, "PO4^3\u2212": -3,
		"Al(OH2)6^3+": 3, "CaCl2·2H2O": 0, "Fe^+": 1,
	} {
		f, err := ParseFormula(text)
		if err != nil || f.Charge() != want {
			t.Errorf("%q has the charge %d, %v, want %d", text, f.Charge(), err, want)
		}
	}
	for text, at := range map[string]int{"Ca2+": 3, "SO42-": 4, "Ca^2": 2, "Ca^": 2, "Ca^0+": 2, "Ca^12+": 2, "Ca^++": 2, "^2+": 0,
		"Na+Cl-": 2, "Ca^2+·H2O": 2} {
		_, err := ParseFormula(text)
		var fe *FormulaError
		if !errors.As(err, &fe) || fe.At != at {
			t.Errorf("%q gave %v, want an error at byte %d", text, err, at)
		}
	}
}

func TestBadFormula(t *testing.T) {
	for _, c := range []struct {
		text string
		at   int
	}{
		{"", 0},
		{"cacl2", 0},
		{"2H2O", 0},
		{"CaXx2", 2},
		{"Ca(OH2", 6},
		{"Ca(OH]2", 5},
		{"CaCl2·", 7},
		{"CaCl2 2H2O", 5},
		{"H0", 1},
		{"H10000", 1},
		{"()", 1},
		{"Ca)", 2},
		{"CaCl2·0H2O", 7},
		{"CaSO4·0.55H2O", 7},
		{"CaSO4·0.50H2O", 7},
		{"CaSO4½", 5},
		{"(H)0", 3},
		{"((((((((H)))))))))", 17},
		{"(((((((((H)))))))))", 8},
	} {
		_, err := ParseFormula(c.text)
		var fe *FormulaError
		if !errors.As(err, &fe) || fe.At != c.at || fe.Formula != c.text {
			t.Errorf("%q gave %v, want an error at byte %d", c.text, err, c.at)
		}
	}
	_, err := ParseFormula("CaCl2·Q")
	if want := `the formula "CaCl2·Q" is not understood at character 7: "Q" is not in the table of elements`; err == nil ||
		err.Error() != want {
		t.Errorf("the error is %v, want %s", err, want)
	}
}

func TestSourceFormulaPanics(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("a misspelt formula in the source is taken")
		}
	}()
	molarMass("Qq")
}

func FuzzParseFormula(f *testing.F) {
	for _, s := range []string{"CaCl2·2H2O", "Mg(OH)2", "Na2B4O7.10H2O", "((", "H9999", "·", "H₂O", "SO4^2-", "Ca²⁺", "Na+", "^"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		got, err := ParseFormula(s)
		var fe *FormulaError
		switch {
		case err == nil && !(got.MolarMass() > 1 && finite(got.MolarMass())):
			t.Errorf("%q weighs %g", s, got.MolarMass())
		case err != nil && (!errors.As(err, &fe) || fe.At < 0 || fe.At > len(s) || fe.Error() == ""):
			t.Errorf("%q gave %v", s, err)
		}
	})
}
