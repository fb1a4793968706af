package chem

import "math"

// Calcification returns what corals and coralline algae take from a litre as they
// use meq of alkalinity: half a mole of calcium for a mole of alkalinity, Ca²⁺ +
// 2 HCO3⁻ → CaCO3 + CO2 + H2O, 20.04 mg/L of calcium for 1 meq/L. meq is below
// zero when skeleton dissolves. Magnesium and strontium in the skeleton are not
// counted. The error is a [RangeError] unless meq is −20 to 20.
func Calcification(meq float64) (Effects, error) {
	if high := catalogue[Alkalinity].High; !(math.Abs(meq) <= high) {
		return nil, RangeError{Quantity: "alkalinity used", Value: meq, Low: -high, High: high, Unit: "meq/L"}
	}
	return Effects{Alkalinity: -meq, Calcium: -meq / 2 * speciesMass[Calcium], Hardness: -meq / 2}, nil
}

// Nitrification returns what bacteria do to a litre as they turn mg/L of
// ammonium, as NH4, into nitrate: NH4⁺ + 2 O2 → NO3⁻ + H2O + 2 H⁺, two
// equivalents of alkalinity and two moles of oxygen for each of nitrogen
// (Wolf-Gladrow et al. 2007, Mar. Chem. 106, 287-300; cells' growth is not
// counted). Fish excrete NH3, which first gave one of the two back. The error is
// a [RangeError].
func Nitrification(ammonium float64) (Effects, error) {
	if err := plausible(Ammonia, ammonium); err != nil {
		return nil, err
	}
	mmol := ammonium / speciesMass[Ammonia]
	return Effects{
		Ammonia: -ammonium, Nitrate: mmol * speciesMass[Nitrate],
		Alkalinity: -2 * mmol, Oxygen: -2 * mmol * molO2,
	}, nil
}

var (
	molO2          = molarMass("O2")
	molCl2         = molarMass("Cl2")
	molThiosulfate = molarMass("Na2S2O3·5H2O")
)

// Denitrification returns what bacteria do to a litre as they turn mg/L of
// nitrate into nitrogen gas with organic carbon: one equivalent of alkalinity is
// given back for a mole of nitrate (Wolf-Gladrow et al. 2007). The error is a
// [RangeError].
func Denitrification(nitrate float64) (Effects, error) {
	if err := plausible(Nitrate, nitrate); err != nil {
		return nil, err
	}
	return Effects{Nitrate: -nitrate, Alkalinity: nitrate / speciesMass[Nitrate]}, nil
}

// Dechlorination is how much sodium thiosulfate pentahydrate takes the chlorine
// out of a water.
type Dechlorination struct {
	// Grams do so whatever the pH, two moles for each of Cl2, down to tetrathionate.
	Grams float64
	// Least would do if all went on to sulfate, four moles of Cl2 for one: near
	// the truth when it acts slowly.
	Least float64
	// Ammonia is the total ammonia in mg/L, as NH4, that is set free when the chlorine was
	// chloramine, one mole for each of Cl2: thiosulfate leaves it in the water.
	Ammonia float64
}

// highestChlorine bounds what tap water holds, in mg/L as Cl2.
const highestChlorine = 20

// Dechlorinate returns the thiosulfate for litres of water, above zero, with mg/L
// of total chlorine as Cl2, 0 to 20; chloramine says that the supplier uses it.
// Measure chlorine afterwards, and follow a product's label where there is one.
// The error wraps [ErrVolume] or is a [RangeError].
func Dechlorinate(litres, chlorine float64, chloramine bool) (Dechlorination, error) {
	if err := checkLitres("tap water of", litres); err != nil {
		return Dechlorination{}, err
	}
	if !(chlorine >= 0 && chlorine <= highestChlorine) {
		return Dechlorination{}, RangeError{Quantity: "chlorine", Value: chlorine, Low: 0, High: highestChlorine, Unit: "mg/L"}
	}
	mmol := chlorine / molCl2
	grams := mmol * litres / 1000 * molThiosulfate
	d := Dechlorination{Grams: 2 * grams, Least: grams / 4}
	if chloramine {
		d.Ammonia = mmol * speciesMass[Ammonia]
	}
	return d, nil
}
