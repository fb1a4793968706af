package tanks

import (
	"weirkeeper/assets/words"
	"weirkeeper/chem"
)

// Limits are how fast an analyte may change without harm, in its canonical unit.
type Limits struct {
	Day    float64 // net change within 24 hours
	Step   float64 // change of a single dose or water change
	Source words.Text
}

const commonPractice = "common practice, no source"

// limitRow holds the limits of an analyte in a unit of the trade, for a day and a
// step of marine, brackish and fresh water; zero: none is known.
type limitRow struct {
	analyte                 chem.Analyte
	unit                    chem.Unit
	marine, brackish, fresh [2]float64
}

var limitRows = []limitRow{
	{chem.Temperature, chem.Celsius, [2]float64{1, 0.5}, [2]float64{1, 0.5}, [2]float64{1, 1}},
	{chem.Salinity, chem.PSU, [2]float64{1, 0.5}, [2]float64{2, 1}, [2]float64{1, 0.5}},
	{chem.PH, chem.PHUnit, [2]float64{0.2, 0.1}, [2]float64{0.3, 0.2}, [2]float64{0.3, 0.2}},
	{chem.Alkalinity, chem.DKH, [2]float64{0.7, 0.5}, [2]float64{2, 1}, [2]float64{2, 1}},
	{chem.Hardness, chem.DGH, [2]float64{}, [2]float64{2, 1}, [2]float64{2, 1}},
	{chem.Conductivity, chem.MicroSiemens, [2]float64{}, [2]float64{}, [2]float64{100, 50}},
	{chem.TDS, chem.MgL, [2]float64{}, [2]float64{}, [2]float64{50, 25}},
	{chem.Calcium, chem.MgL, [2]float64{20, 10}, [2]float64{20, 10}, [2]float64{15, 8}},
	{chem.Magnesium, chem.MgL, [2]float64{50, 25}, [2]float64{40, 20}, [2]float64{5, 3}},
	{chem.Potassium, chem.MgL, [2]float64{10, 5}, [2]float64{10, 5}, [2]float64{10, 5}},
	{chem.Strontium, chem.MgL, [2]float64{0.5, 0.25}, [2]float64{}, [2]float64{}},
	{chem.Boron, chem.MgL, [2]float64{0.3, 0.2}, [2]float64{}, [2]float64{}},
	{chem.Iodine, chem.UgL, [2]float64{5, 5}, [2]float64{}, [2]float64{}},
	{chem.Nitrate, chem.MgL, [2]float64{5, 5}, [2]float64{20, 20}, [2]float64{20, 20}},
	{chem.Phosphate, chem.MgL, [2]float64{0.02, 0.02}, [2]float64{0.2, 0.1}, [2]float64{0.5, 0.5}},
	{chem.Iron, chem.UgL, [2]float64{2, 1}, [2]float64{20, 20}, [2]float64{100, 100}},
	{chem.CarbonDi, chem.MgL, [2]float64{}, [2]float64{}, [2]float64{10, 5}},
}

// DefaultLimits returns how fast an analyte may change in a kind of water unless a
// keeper says otherwise; ok is false where no limit is known, as in a source.
func DefaultLimits(k Kind, a chem.Analyte) (Limits, bool) {
	for _, r := range limitRows {
		if r.analyte != a {
			continue
		}
		of := r.of(k)
		if of[0] == 0 {
			return Limits{}, false
		}
		return Limits{Day: canonicalChange(a, of[0], r.unit), Step: canonicalChange(a, of[1], r.unit), Source: commonPractice}, true
	}
	return Limits{}, false
}

func (r limitRow) of(k Kind) [2]float64 {
	switch k {
	case Marine:
		return r.marine
	case Brackish:
		return r.brackish
	case Freshwater:
		return r.fresh
	}
	return [2]float64{}
}

// canonicalChange is a change in the analyte's canonical unit; the units of the
// table are proportional to it.
func canonicalChange(a chem.Analyte, v float64, u chem.Unit) float64 {
	info, _ := chem.Lookup(a)
	d, err := chem.ConvertDelta(a, info.Low, v, u, info.Unit, chem.Water{})
	if err != nil {
		panic("tanks: a limit in a unit that its analyte has not: " + err.Error())
	}
	return d
}

// Way is a way to change something that needs a choice: none of them is taken by
// the program of its own accord.
type Way struct {
	Name words.Text // "Calcium chloride and magnesium sulfate"
	// Compounds are keys of [chem.Compounds] that do it; none for a way without.
	Compounds []string
	// Does says what it does besides, and when to take it.
	Does   words.Text
	Source words.Text
}

// WaysToHarden returns what raises general hardness, by what it does to carbonate
// hardness.
func WaysToHarden() []Way {
	return []Way{
		{"Calcium and magnesium sulfate", []string{"CaSO4·2H2O", "MgSO4·7H2O"}, "General hardness alone; sulfate rises with it.",
			commonPractice},
		{"Calcium chloride and magnesium sulfate", []string{"CaCl2·2H2O", "MgSO4·7H2O"},
			"General hardness alone; chloride and sulfate rise in the ratio of the two.", commonPractice},
		{"Calcium chloride and magnesium chloride", []string{"CaCl2·2H2O", "MgCl2·6H2O"}, "General hardness alone; chloride rises with it.",
			commonPractice},
		{"Calcium carbonate", []string{"CaCO3"}, "General and carbonate hardness alike, as fast as carbon dioxide dissolves it.",
			commonPractice},
		{"Calcium and magnesium nitrate", []string{"Ca(NO3)2·4H2O", "Mg(NO3)2·6H2O"},
			"General hardness with nitrate, for planted systems that use it up.", commonPractice},
		{"Blend with harder water", nil, "Both hardnesses and all else of that water: see its report.", commonPractice},
	}
}

// WaysToLowerPhosphate returns what takes phosphate out, the mildest first.
func WaysToLowerPhosphate() []Way {
	return []Way{
		{"Water changes", nil, "Takes out all that the new water lacks; works while the new water holds less.", commonPractice},
		{"Feed less, grow plants or algae", nil, "Slow and lasting: stops it at its source.", commonPractice},
		{"Iron or aluminium adsorber in a filter", nil,
			"Binds phosphate without a rise of anything; begin with half the amount, since a sudden fall harms corals.", commonPractice},
		{"Carbon source", []string{"C2H5OH", "CH3COOH", "NaCH3COO"},
			"Bacteria bind nitrate and phosphate together and use oxygen: little at first, with a skimmer and with nitrate left.", commonPractice},
		{"Lanthanum chloride", []string{"LaCl3", "LaCl3·7H2O"},
			"At best a mole for a mole, 1.46 g of lanthanum for a gram of PO4: very slowly into fine filtration, never into the display.",
			commonPractice},
	}
}
