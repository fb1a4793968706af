package seawater

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// seawater_reference_composition.csv: Millero et al. 2008, Table 4, and the mass
// fractions of Table D.3 of the TEOS-10 manual to their seven decimals. Its mg/L
// go by the TEOS-10 density, 2.4e-6 above that of EOS-80.
func TestReferenceComposition(t *testing.T) {
	c, err := ReferenceComposition(35, 25)
	if err != nil {
		t.Fatal(err)
	}
	checked := 0
	for _, row := range readTable(t, "seawater_reference_composition.csv") {
		if row["kind"] != "species" {
			continue
		}
		checked++
		p, ok := constituent(c, row["species"])
		if !ok {
			t.Fatalf("there is no %s", row["species"])
		}
		close2(t, p.Species+" mol/kg", p.MmolKg/1000, number(t, row["mol_per_kg_sw"]), 1e-9)
		close2(t, p.Species+" mg/kg", p.MgKg, number(t, row["mg_per_kg"]), 1e-9)
		close2(t, p.Species+" mg/L", p.MgL, number(t, row["mg_per_L_25C"]), 3e-6)
		close2(t, p.Species+" mmol/L", p.MmolL, number(t, row["mmol_per_L_25C"]), 3e-6)
		want(t, p.Species+" mass fraction", p.MgKg/35165.04, nil, number(t, row["mass_fraction_published"]), 5.1e-8)
	}
	if checked != 15 {
		t.Errorf("%d species", checked)
	}
	want(t, "mean molar mass", meanSaltMass, nil, 31.4038218, 5e-8)
	want(t, "alkalinity", c.Alkalinity(), nil, 2.304373532, 1e-8)
}

// constituent is one of a composition by its species.
func constituent(c Composition, species string) (Constituent, bool) {
	for _, p := range c {
		if p.Species == species {
			return p, true
		}
	}
	return Constituent{}, false
}

// chargeOf is the sum of charges in mmol/kg: zero within the rounding of the mole
// fractions.
func chargeOf(c Composition) float64 {
	var sum float64
	for _, p := range c {
		sum += float64(p.Charge) * p.MmolKg
	}
	return sum
}

// At any salinity the charges cancel, the masses add up to the reference
// salinity, and the proportions stay.
func TestCompositionLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.Float64Range(0, MaxSalinity).Draw(t, "S")
		tC := rapid.Float64Range(-2, 40).Draw(t, "T")
		c, err := ReferenceComposition(s, tC)
		grams, err2 := ReferenceSalinity(s)
		rho, err3 := Density(s, tC)
		if err := errors.Join(err, err2, err3); err != nil {
			t.Fatal(err)
		}
		var mass, litres float64
		for _, p := range c {
			mass += p.MgKg
			litres += p.MgL
		}
		if math.Abs(chargeOf(c)) > 1e-12*mass || math.Abs(mass-1000*grams) > 1e-9*mass || math.Abs(litres-mass*rho/1000) > 1e-9*litres {
			t.Fatalf("at S %g the charge is %g, the mass %g of %g mg/kg, %g mg/L", s, chargeOf(c), mass, 1000*grams, litres)
		}
	})
}

func TestCompositionOutOfRange(t *testing.T) {
	_, err1 := ReferenceComposition(90, 25)
	_, err2 := ReferenceComposition(35, math.NaN())
	_, err3 := ReferenceSalinity(-1)
	for _, err := range []error{err1, err2, err3} {
		if !errors.As(err, new(RangeError)) {
			t.Errorf("out of range gave %v", err)
		}
	}
}
