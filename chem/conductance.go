package chem

import (
	"math"

	"weirkeeper/assets/words"
	"weirkeeper/chem/seawater"
)

// Dosed is an amount of a product, in its unit.
type Dosed struct {
	Product Product
	Amount  float64
}

// ErrSalts is returned for a product of which only the label's strength is known.
var ErrSalts = words.New("its label does not say which salts it holds, so the conductivity cannot be told beforehand: " +
	"note what you measure, it is the check of the next batch")

// ConductivityDoubt is how far, as a share of the rise, [ConductivityWith] may be off (standard
// uncertainty, our estimate: ion pairs of sulfate are not counted, and the law is
// good to 1 % for single salts below 0.01 mol/L).
const ConductivityDoubt = 0.04

// limiting are equivalent conductivities of ions at 25 °C without ionic strength,
// in S·cm²/eq: CRC Handbook, "Ionic conductivity and diffusion at infinite
// dilution", from memory.
var limiting = map[string]float64{
	"HCO3^-": 44.5, "Na^+": 50.08, "K^+": 73.48, "NH4^+": 73.5, "Ca^2+": 59.47, "Mg^2+": 53.0, "Sr^2+": 59.4, "Ba^2+": 63.6, "Li^+": 38.66,
	"Cl^-": 76.31, "Br^-": 78.1, "I^-": 76.8, "F^-": 55.4, "SO4^2-": 80.0, "NO3^-": 71.42, "NO2^-": 71.8, "H2PO4^-": 36, "HPO4^2-": 57,
	"CH3COO^-": 40.9, "HCOO^-": 54.6, "S2O3^2-": 85, "C6H5O7^3-": 70.2, "IO3^-": 40.5, "Mn^2+": 53.5, "Fe^2+": 54, "Zn^2+": 52.8,
	"Cu^2+": 53.6, "Co^2+": 55, "Ni^2+": 54, "MoO4^2-": 74.5,
}

// limitingUsual stands for ions that are not in the table; they are traces.
const limitingUsual = 50

// airs are the ions that become bicarbonate in water that meets air, or use it up.
var airs = map[string]float64{"HCO3^-": 1, "CO3^2-": 2, "OH^-": 1, "H^+": -1}

// ConductivityWith returns the conductivity in µS/cm at 25 °C of litres of fresh water, above
// zero, that had before µS/cm, 0 or more, when doses are in it and it is aired: each
// ion's equivalents by its conductivity at the new ionic strength, after Debye,
// Hückel and Onsager with the denominator of Robinson and Stokes (Electrolyte
// Solutions, 1959, ch. 7; the constants at 25 °C from memory). Up to some 3000
// µS/cm. The error is [ErrSalts], wraps [ErrVolume] or is a [RangeError].
func ConductivityWith(before, litres float64, doses ...Dosed) (float64, error) {
	if err := checkLitres("a water of", litres); err != nil {
		return 0, err
	}
	if err := plausible(Conductivity, before); err != nil {
		return 0, err
	}
	added := map[string]float64{} // mmol/L by ion
	for _, d := range doses {
		if err := d.addIons(added, litres); err != nil {
			return 0, err
		}
	}
	was, err := seawater.IonicStrengthFromConductivity(max(before, leastConductivity))
	if err != nil {
		return 0, err
	}
	is := was
	for ion, c := range added {
		z := float64(mustFormula(ion).Charge())
		is += c / 1000 * z * z / 2
	}
	after := before * (1 - meanSlowing(is)) / (1 - meanSlowing(was))
	against := meanCharges(added)
	for ion, c := range added {
		z := mustFormula(ion).Charge()
		size := math.Abs(float64(z))
		after += c * size * conductivityOf(ion, size, against[z < 0], is)
	}
	return max(0, after), nil
}

// leastConductivity in µS/cm keeps the scale of ionic strength within its range.
const leastConductivity = 10

// addIons adds what a dose sets free in litres, in mmol/L.
func (d Dosed) addIons(to map[string]float64, litres float64) error {
	if err := checkNumber("amount", d.Amount); err != nil {
		return err
	}
	if d.Amount == 0 {
		return nil
	}
	if len(d.Product.Ingredients) == 0 {
		return ErrSalts
	}
	for _, in := range d.Product.Ingredients {
		c, known := Compound(in.Compound)
		if !known {
			return words.Errorf("no compound of the table is written %q: choose one from the list", in.Compound)
		}
		grams := in.Amount * d.Amount
		if d.Product.Form == Liquid {
			grams /= 1000
		}
		mmol := 1000 * grams / c.Formula.MolarMass() / litres
		for _, ion := range c.Ions {
			name := ion.Formula.String()
			if as, turns := airs[name]; turns {
				to["HCO3^-"] += mmol * ion.N * as
			} else if ion.Formula.Charge() != 0 {
				to[name] += mmol * ion.N
			}
		}
	}
	return nil
}

// meanCharges are the mean charges, by equivalents, of the ions that cations
// (false) and anions (true) move against.
func meanCharges(added map[string]float64) map[bool]float64 {
	var sum, weight [2]float64
	for ion, c := range added {
		z := float64(mustFormula(ion).Charge())
		side := 0
		if z < 0 {
			side = 1
		}
		sum[side] += math.Abs(c) * z * z
		weight[side] += math.Abs(c * z)
	}
	mean := func(side int) float64 {
		if weight[side] == 0 {
			return 1
		}
		return sum[side] / weight[side]
	}
	return map[bool]float64{false: mean(1), true: mean(0)}
}

const (
	relaxation      = 0.2302 // of a 1:1 salt, (L/mol)^½
	relaxationMixed = 0.9    // beside it, of salts of unlike ions
	electrophoretic = 30.32  // S·cm²/eq·(L/mol)^½, for each ion and charge
	ionSize         = 1.4    // B·a, (L/mol)^½
)

// slowing is how much an ion's conductivity is lower at an ionic strength.
func slowing(lambda, size, against, is float64) float64 {
	root := math.Sqrt(is)
	mixed := 1.0
	if size*against > 1 {
		mixed = relaxationMixed
	}
	return (relaxation*mixed*size*against*lambda + electrophoretic*size) * root / (1 + ionSize*root)
}

func conductivityOf(ion string, size, against, is float64) float64 {
	lambda, known := limiting[ion]
	if !known {
		lambda = limitingUsual
	}
	return max(0, lambda-slowing(lambda, size, against, is))
}

// meanSlowing is that of the ions of a usual fresh water, as a share.
func meanSlowing(is float64) float64 {
	const lambda, charge = 65, 1.4
	return slowing(lambda, charge, charge, is) / lambda
}
