package chem

import (
	"fmt"
	"strings"
)

// Ion is what a compound sets free in water: an ion or, without charge, a
// molecule such as boric acid.
type Ion struct {
	Formula Formula // with its charge: "SO4^2-"
	N       float64 // how many of it a formula unit of the compound gives
}

// ionRole is what an ion does in water.
type ionRole struct {
	analyte Analyte // 0: none of the catalogue
	n       float64 // of the analyte's species in the ion
	// alkalinity is equivalents of total alkalinity (Dickson 1981: the zero level
	// of proton is at pK 4.5, so H2PO4 and boric acid count 0, HPO4 and
	// acetate +1).
	alkalinity float64
	carbon     float64 // moles of inorganic carbon
}

// ionRoles are the ions of the compounds that keepers dose.
var ionRoles = map[string]ionRole{
	"H^+": {alkalinity: -1}, "OH^-": {alkalinity: 1},
	"HCO3^-": {alkalinity: 1, carbon: 1}, "CO3^2-": {alkalinity: 2, carbon: 1},
	"CH3COO^-": {analyte: Organic, n: 2, alkalinity: 1}, "S2O3^2-": {}, "H2O2": {}, "CO(NH2)2": {},
	"HCOO^-": {analyte: Organic, n: 1}, "C6H5O7^3-": {analyte: Organic, n: 6, alkalinity: 2}, "C6H7O6^-": {analyte: Organic, n: 6},
	"C6H11O7^-": {analyte: Organic, n: 6}, "C2H5OH": {analyte: Organic, n: 2},
	"OCl^-": {analyte: FreeChlorine, n: 1, alkalinity: 1}, "Cl2": {analyte: FreeChlorine, n: 1},
	"Fe": {analyte: Iron, n: 1}, "La^3+": {analyte: Lanthanum, n: 1}, "MnO4^-": {analyte: Manganese, n: 1},
	"IO3^-": {analyte: Iodine, n: 1}, "SiO3^2-": {analyte: Silicate, n: 1, alkalinity: 2},
	"Na^+": {analyte: Sodium, n: 1}, "K^+": {analyte: Potassium, n: 1}, "Li^+": {analyte: Lithium, n: 1},
	"NH4^+": {analyte: Ammonia, n: 1}, "Ca^2+": {analyte: Calcium, n: 1}, "Mg^2+": {analyte: Magnesium, n: 1},
	"Sr^2+": {analyte: Strontium, n: 1}, "Ba^2+": {analyte: Barium, n: 1}, "Fe^2+": {analyte: Iron, n: 1},
	"Mn^2+": {analyte: Manganese, n: 1}, "Zn^2+": {analyte: Zinc, n: 1}, "Cu^2+": {analyte: Copper, n: 1},
	"Co^2+": {analyte: Cobalt, n: 1}, "Ni^2+": {analyte: Nickel, n: 1},
	"Cl^-": {analyte: Chloride, n: 1}, "Br^-": {analyte: Bromide, n: 1}, "F^-": {analyte: Fluoride, n: 1},
	"I^-": {analyte: Iodine, n: 1}, "SO4^2-": {analyte: Sulfate, n: 1}, "MoO4^2-": {analyte: Molybdenum, n: 1},
	"NO3^-": {analyte: Nitrate, n: 1}, "NO2^-": {analyte: Nitrite, n: 1},
	"H2PO4^-": {analyte: Phosphate, n: 1}, "HPO4^2-": {analyte: Phosphate, n: 1, alkalinity: 1},
	"H3BO3": {analyte: Boron, n: 1}, "B4O7^2-": {analyte: Boron, n: 4, alkalinity: 2},
}

// ionsOf reads the ions of this package's own compounds: "2 Na^+, CO3^2-".
func ionsOf(list string) []Ion {
	var out []Ion
	for part := range strings.SplitSeq(list, ", ") {
		n := 1.0
		if count, rest, counted := strings.Cut(part, " "); counted {
			if _, err := fmt.Sscan(count, &n); err != nil {
				panic(fmt.Sprintf("the count of ions in %q: %v", part, err))
			}
			part = rest
		}
		f, err := ParseFormula(part)
		if err != nil {
			panic(err)
		}
		if _, ok := ionRoles[part]; !ok {
			panic(fmt.Sprintf("the ion %s has no role", part))
		}
		out = append(out, Ion{f, n})
	}
	return out
}

func (c *CompoundInfo) setRoles() {
	c.Gives = map[Analyte]float64{}
	for _, ion := range c.Ions {
		role := ionRoles[ion.Formula.String()]
		c.AlkPerMol += ion.N * role.alkalinity
		c.CarbonPerMol += ion.N * role.carbon
		if role.analyte != 0 {
			c.Gives[role.analyte] += ion.N * role.n
		}
	}
}
