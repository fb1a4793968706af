package chem

import (
	"math"
	"strings"

	"weirkeeper/assets/words"
	"weirkeeper/chem/seawater"
)

// RangeError says that a quantity lies outside the range in which it makes
// sense or an equation is valid.
type RangeError = seawater.RangeError

// ErrSolubility is returned for a compound whose solubility is not tabulated.
var ErrSolubility = words.New("its solubility is not in the table: see the product's label or safety sheet")

const (
	coldestSolubility = 0
	hottestSolubility = 40
	// waterDensity20 is ρ0 in kg/L at 20 °C.
	waterDensity20 = 0.9982
)

// anhydrous returns the key without its water of crystallisation.
func (c CompoundInfo) anhydrous() string {
	key, _, _ := strings.Cut(c.Key, "·")
	return key
}

// anhydrousShare is the mass of the anhydrous compound in a gram as written.
func (c CompoundInfo) anhydrousShare() float64 {
	return molarMass(c.anhydrous()) / c.Formula.MolarMass()
}

// SolubilityAt returns about how many grams of the compound as written, alone, a
// litre of saturated solution in pure water holds at tC, 0 to 40 °C, from the
// publication that SolubilitySource names; the density by which a share of the
// mass becomes grams in a litre is an estimate, good to some 3 %. The error is a
// [RangeError] or wraps [ErrSolubility].
func (c CompoundInfo) SolubilityAt(tC float64) (float64, error) {
	table, ok := solubilities[c.anhydrous()]
	if !ok {
		return 0, words.Errorf("%s: %w", c.Name, ErrSolubility)
	}
	first, last := table.points[0].tC, table.points[len(table.points)-1].tC
	if !(tC >= first && tC <= last) {
		return 0, RangeError{Quantity: "temperature", Value: tC, Low: first, High: last, Unit: "°C"}
	}
	w := table.shareAt(tC)
	return 1000 * w * waterDensity20 * math.Exp(table.thickening*w) / c.anhydrousShare(), nil
}
