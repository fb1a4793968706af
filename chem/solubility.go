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

// solubilityTable is how a salt dissolves in pure water.
type solubilityTable struct {
	// grams of the anhydrous compound in 100 g of water, saturated, at 0, 10, 20,
	// 30 and 40 °C.
	grams [5]float64
	// thickening is k in ρ = ρ0·exp(k·w), the density of a solution of mass
	// fraction w; it reproduces the handbook's densities at 20 °C within 1 %.
	thickening float64
}

const (
	solubilityStep    = 10
	coldestSolubility = 0
	hottestSolubility = 40
	// waterDensity20 is ρ0 in kg/L at 20 °C.
	waterDensity20 = 0.9982
)

// solubilities are handbook values from memory, such as the CRC Handbook of
// Chemistry and Physics tabulates them; good to some 5 %, at worst 10 %.
var solubilities = map[string]solubilityTable{
	"CaCl2":   {[5]float64{59.5, 64.7, 74.5, 100, 115}, 0.83},
	"Ca(OH)2": {[5]float64{0.189, 0.182, 0.173, 0.160, 0.141}, 1},
	"CaSO4":   {[5]float64{0.176, 0.193, 0.204, 0.209, 0.210}, 1},
	"MgCl2":   {[5]float64{52.9, 53.6, 54.6, 55.8, 57.5}, 0.80},
	"MgSO4":   {[5]float64{25.5, 30.4, 33.7, 38.9, 44.5}, 1.00},
	"NaHCO3":  {[5]float64{6.9, 8.15, 9.6, 11.1, 12.7}, 0.70},
	"Na2CO3":  {[5]float64{7.0, 12.5, 21.5, 39.7, 49.0}, 1.00},
	"NaOH":    {[5]float64{42, 51.5, 109, 119, 129}, 0.90},
	"NaCl":    {[5]float64{35.7, 35.8, 35.9, 36.1, 36.4}, 0.70},
	"Na2SO4":  {[5]float64{4.9, 9.1, 19.5, 40.8, 48.8}, 0.89},
	"KCl":     {[5]float64{28.0, 31.2, 34.2, 37.2, 40.1}, 0.63},
	"K2SO4":   {[5]float64{7.4, 9.3, 11.1, 13.0, 14.8}, 0.80},
	"KNO3":    {[5]float64{13.3, 20.9, 31.6, 45.8, 63.9}, 0.63},
	"NaNO3":   {[5]float64{73, 80.8, 87.6, 94.9, 102}, 0.68},
	"NaNO2":   {[5]float64{71.2, 75.1, 80.8, 87.6, 94.9}, 0.66},
	"Na2HPO4": {[5]float64{1.68, 3.53, 7.83, 22.0, 55.3}, 1.00},
	"KH2PO4":  {[5]float64{14.8, 18.3, 22.6, 28.0, 33.5}, 0.70},
	"SrCl2":   {[5]float64{43.5, 47.7, 52.9, 58.7, 65.3}, 0.92},
	"H3BO3":   {[5]float64{2.67, 3.73, 5.04, 6.72, 8.72}, 0.35},
	"Na2B4O7": {[5]float64{1.11, 1.60, 2.56, 3.86, 6.67}, 0.90},
	"NaBr":    {[5]float64{80.2, 85.2, 90.8, 98.4, 107}, 0.85},
	"KBr":     {[5]float64{53.6, 59.5, 65.3, 70.7, 75.4}, 0.78},
	"NaF":     {[5]float64{3.66, 3.9, 4.06, 4.22, 4.40}, 1.05},
	"KI":      {[5]float64{128, 136, 144, 153, 162}, 0.88},
	"FeSO4":   {[5]float64{15.6, 20.5, 26.5, 32.9, 40.2}, 0.97},
	"MnCl2":   {[5]float64{63.4, 68.1, 73.9, 80.8, 88.5}, 0.87},
	"ZnSO4":   {[5]float64{41.6, 47.2, 53.8, 61.3, 70.5}, 1.03},
	"CuSO4":   {[5]float64{14.3, 17.4, 20.7, 24.3, 28.7}, 1.04},
	"CoCl2":   {[5]float64{43.5, 47.7, 52.9, 59.7, 69.5}, 0.92},
	"NiCl2":   {[5]float64{53.4, 56.3, 60.8, 70.6, 73.2}, 0.95},
	"Na2MoO4": {[5]float64{44.1, 64.7, 65.3, 66.9, 68.6}, 0.85},
	"LiCl":    {[5]float64{69.2, 74.5, 83.5, 86.2, 89.8}, 0.56},
	"BaCl2":   {[5]float64{31.2, 33.5, 35.8, 38.1, 40.8}, 0.93},
	"NH4Cl":   {[5]float64{29.4, 33.2, 37.2, 41.4, 45.8}, 0.29},
	"Na2S2O3": {[5]float64{50.2, 59.7, 70.1, 83.2, 104}, 0.82},
}

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
// litre of saturated solution in pure water holds at tC, 0 to 40 °C. The values
// are a handbook's, from memory. The error is a [RangeError] or wraps
// [ErrSolubility].
func (c CompoundInfo) SolubilityAt(tC float64) (float64, error) {
	table, ok := solubilities[c.anhydrous()]
	if !ok {
		return 0, words.Errorf("%s: %w", c.Name, ErrSolubility)
	}
	if !(tC >= coldestSolubility && tC <= hottestSolubility) {
		return 0, RangeError{Quantity: "temperature", Value: tC, Low: coldestSolubility, High: hottestSolubility, Unit: "°C"}
	}
	i := min(int(tC/solubilityStep), len(table.grams)-2)
	part := tC/solubilityStep - float64(i)
	grams := table.grams[i] + part*(table.grams[i+1]-table.grams[i])
	w := grams / (100 + grams)
	return 1000 * w * waterDensity20 * math.Exp(table.thickening*w) / c.anhydrousShare(), nil
}
