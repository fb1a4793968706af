package chem

import (
	"math"
	"slices"

	"weirkeeper/assets/words"
)

// Clash is a pair of ions that do not stay together in a vessel.
type Clash struct {
	First, Second string     // formulae of the ions
	Why           words.Text // what happens, in plain words
}

// mineral is what can fall out of a solution.
type mineral struct {
	metal, partner string  // ions as they are in the solid
	metals, with   float64 // how many of each
	logK           float64 // of the solubility product at 25 °C
	// stands is how far above saturation, as a power of ten, a solution still stays
	// clear for long.
	stands float64
	why    words.Text
}

const (
	// standsUsually is our choice: twice the saturation.
	standsUsually = 0.3
	// standsCarbonate is where calcium carbonate falls out of seawater by itself: at
	// some 20 times the saturation of calcite (Morse and He 1993, Mar. Chem. 41,
	// 291-297, from memory).
	standsCarbonate = 1.3
	// hydrogenToHydroxide is 2·pKw, which turns a constant of M(OH)2 + 2 H into one of
	// its ions; hydrogenPhosphate is pK3 of phosphoric acid, which turns one of M, H
	// and PO4 into one of M and HPO4.
	hydrogenToHydroxide = 27.995
	hydrogenPhosphate   = 12.375

	whyCarbonate = "carbonate falls out as a white solid"
	whySulfate   = "sulfate falls out as a white solid"
	whyPhosphate = "phosphate falls out"
	whyFluoride  = "fluoride falls out"
	whyTrace     = "the trace metal falls out"
	whyLanthanum = "lanthanum falls out"
)

// minerals are those of minteq.v4.dat, the data base of the US EPA's MINTEQA2, version
// 4 (1999), as PHREEQC distributes it. Not from there are calcium borate (by the
// solubility of its hydrate in water, 3 g/L) and those of lanthanum, which are from
// memory.
var minerals = []mineral{
	{"Ca^2+", "CO3^2-", 1, 1, -8.48, standsCarbonate, whyCarbonate},
	{"Sr^2+", "CO3^2-", 1, 1, -9.27, standsCarbonate, whyCarbonate},
	{"Ba^2+", "CO3^2-", 1, 1, -8.57, standsCarbonate, whyCarbonate},
	{"Mg^2+", "CO3^2-", 1, 1, -4.67, standsUsually, "magnesium carbonate falls out"},
	{"Ca^2+", "SO4^2-", 1, 1, -4.61, standsUsually, "gypsum falls out"},
	{"Sr^2+", "SO4^2-", 1, 1, -6.62, standsUsually, whySulfate},
	{"Ba^2+", "SO4^2-", 1, 1, -9.98, standsUsually, whySulfate},
	{"Ca^2+", "OH^-", 1, 2, 22.804 - hydrogenToHydroxide, standsUsually, "calcium hydroxide falls out"},
	{"Mg^2+", "OH^-", 1, 2, 16.844 - hydrogenToHydroxide, standsUsually, "magnesium hydroxide falls out"},
	{"Ca^2+", "HPO4^2-", 1, 1, -18.995 + hydrogenPhosphate, standsUsually, whyPhosphate},
	{"Mg^2+", "HPO4^2-", 1, 1, -18.175 + hydrogenPhosphate, standsUsually, whyPhosphate},
	{"Sr^2+", "HPO4^2-", 1, 1, -19.295 + hydrogenPhosphate, standsUsually, whyPhosphate},
	{"Ba^2+", "HPO4^2-", 1, 1, -19.775 + hydrogenPhosphate, standsUsually, whyPhosphate},
	{"Mn^2+", "HPO4^2-", 1, 1, -25.4 + hydrogenPhosphate, standsUsually, whyPhosphate},
	{"Co^2+", "HPO4^2-", 1, 1, -19.0607 + hydrogenPhosphate, standsUsually, whyPhosphate},
	{"Fe^2+", "PO4^3-", 3, 2, -36, standsUsually, whyPhosphate},
	{"Zn^2+", "PO4^3-", 3, 2, -35.42, standsUsually, whyPhosphate},
	{"Cu^2+", "PO4^3-", 3, 2, -36.85, standsUsually, whyPhosphate},
	{"Ni^2+", "PO4^3-", 3, 2, -31.3, standsUsually, whyPhosphate},
	{"Ca^2+", "F^-", 1, 2, -10.5, standsUsually, whyFluoride},
	{"Mg^2+", "F^-", 1, 2, -8.13, standsUsually, whyFluoride},
	{"Sr^2+", "F^-", 1, 2, -8.58, standsUsually, whyFluoride},
	{"Ba^2+", "F^-", 1, 2, -5.82, standsUsually, whyFluoride},
	{"Ca^2+", "MoO4^2-", 1, 1, -7.95, standsUsually, "calcium molybdate falls out"},
	{"Ba^2+", "MoO4^2-", 1, 1, -6.9603, standsUsually, "barium molybdate falls out"},
	{"Ca^2+", "B(OH)4^-", 1, 2, -5.5, standsUsually, "calcium borate falls out"},
	{"Fe^2+", "CO3^2-", 1, 1, -10.24, standsUsually, whyTrace},
	{"Mn^2+", "CO3^2-", 1, 1, -10.58, standsUsually, whyTrace},
	{"Zn^2+", "CO3^2-", 1, 1, -10, standsUsually, whyTrace},
	{"Cu^2+", "CO3^2-", 1, 1, -11.5, standsUsually, whyTrace},
	{"Co^2+", "CO3^2-", 1, 1, -9.98, standsUsually, whyTrace},
	{"Ni^2+", "CO3^2-", 1, 1, -6.87, standsUsually, whyTrace},
	{"Fe^2+", "OH^-", 1, 2, 13.564 - hydrogenToHydroxide, standsUsually, whyTrace},
	{"Mn^2+", "OH^-", 1, 2, 15.194 - hydrogenToHydroxide, standsUsually, whyTrace},
	{"Zn^2+", "OH^-", 1, 2, 12.2 - hydrogenToHydroxide, standsUsually, whyTrace},
	{"Cu^2+", "OH^-", 1, 2, 8.674 - hydrogenToHydroxide, standsUsually, whyTrace},
	{"Co^2+", "OH^-", 1, 2, 13.094 - hydrogenToHydroxide, standsUsually, whyTrace},
	{"Ni^2+", "OH^-", 1, 2, 12.794 - hydrogenToHydroxide, standsUsually, whyTrace},
	{"La^3+", "CO3^2-", 2, 3, -34.4, standsUsually, whyLanthanum},
	{"La^3+", "PO4^3-", 1, 1, -25.7, standsUsually, whyLanthanum},
}

// givenAs are the ions of compounds that become a solid's ion at some pH.
var givenAs = map[string][]string{
	"CO3^2-": {"HCO3^-", "CO3^2-"}, "HPO4^2-": {"HPO4^2-", "H2PO4^-"}, "PO4^3-": {"HPO4^2-", "H2PO4^-"},
	"B(OH)4^-": {"B4O7^2-", "H3BO3"},
}

// reaction is a pair of kinds of ions that use each other up or set something free.
type reaction struct {
	first, second []string
	// limit is the geometric mean of the two concentrations in mmol/L above which it
	// matters; our choice.
	limit float64
	why   words.Text
}

var reactions = []reaction{
	{[]string{"H^+"}, []string{"HCO3^-", "CO3^2-"}, 0.1, "it foams with carbon dioxide and can burst a closed vessel"},
	{[]string{"H^+"}, []string{"OH^-"}, 0.1, "acid and base heat up violently and use each other up"},
	{[]string{"H^+"}, []string{"NO2^-", "S2O3^2-"}, 0.1, "toxic gas is set free"},
	{[]string{"H^+", "NH4^+"}, []string{"OCl^-", "Cl2"}, 0.01, "poisonous gas is set free"},
	{[]string{"H2O2"}, []string{"OCl^-", "Cl2", "MnO4^-"}, 0.1, "they use each other up and foam"},
	{[]string{"MnO4^-"}, []string{"C2H5OH", "CH3COO^-", "HCOO^-", "C6H5O7^3-", "C6H7O6^-"}, 0.1,
		"permanganate burns what is organic, and can catch fire"},
	{[]string{"NH4^+"}, []string{"NO2^-"}, 10, "the two can decompose to nitrogen, violently when they get warm"},
	{[]string{"NH4^+"}, []string{"OH^-", "CO3^2-"}, 0.1, "toxic ammonia gas is set free"},
	{[]string{"Cu^2+"}, []string{"I^-"}, 0.01, "copper iodide falls out and iodine is set free"},
	{[]string{"HCO3^-"}, []string{"OH^-"}, 0.1, "bicarbonate turns into carbonate, and the strength is another"},
}

// clashes returns the pairs of ions in a product that do not stay together,
// each once: by the product of their activities against that of the solid, and by
// what reacts. A compound's own ions are held to its solubility alone.
func clashes(p Product) []Clash {
	molar := map[string]float64{} // mol/L by ion
	for _, in := range p.Ingredients {
		c, _ := Compound(in.Compound)
		for _, ion := range c.Ions {
			molar[ion.Formula.String()] += in.Amount / c.Formula.MolarMass() * ion.N
		}
	}
	var out []Clash
	add := func(a, b string, why words.Text) {
		same := func(c Clash) bool { return c.First == a && c.Second == b }
		if molar[a] > 0 && molar[b] > 0 && !aloneTogether(p, a, b) && !slices.ContainsFunc(out, same) {
			out = append(out, Clash{a, b, why})
		}
	}
	solution := dissolve(molar)
	for _, s := range minerals {
		if solution.saturation(s) <= s.stands {
			continue
		}
		for _, given := range givenBy(s.partner) {
			add(s.metal, given, s.why)
		}
	}
	const milli = 1000
	for _, r := range reactions {
		for _, a := range r.first {
			for _, b := range r.second {
				if milli*math.Sqrt(molar[a]*molar[b]) > r.limit {
					add(a, b, r.why)
				}
			}
		}
	}
	return out
}

func givenBy(ion string) []string {
	if given, ok := givenAs[ion]; ok {
		return given
	}
	return []string{ion}
}

// aloneTogether tells that both ions come from one compound only, whose own
// solubility says whether they stay.
func aloneTogether(p Product, a, b string) bool {
	for _, in := range p.Ingredients {
		c, _ := Compound(in.Compound)
		hasA, hasB := c.hasIon(a), c.hasIon(b)
		if hasA != hasB {
			return false
		}
	}
	return true
}

func (c CompoundInfo) hasIon(formula string) bool {
	return slices.ContainsFunc(c.Ions, func(i Ion) bool { return i.Formula.String() == formula })
}
