package chem

import "fmt"

// CompoundInfo is a compound that keepers dose.
type CompoundInfo struct {
	Key     string // formula with hydrate, as in Ingredient.Compound
	Name    string
	Formula Formula
	// Gives are moles of an analyte's species set free by a mole.
	Gives map[Analyte]float64
	// AlkPerMol is the equivalents of total alkalinity that a mole adds
	// (Dickson 1981 convention, zero level pK 4.5).
	AlkPerMol float64
	// SolubilityGPerL is about what a litre of fresh water at 20 °C dissolves,
	// g of the compound as written (handbook values from memory); zero: not
	// known or miscible.
	SolubilityGPerL float64
	Caution         string
}

const (
	cautionLabel = " Follow the product's label."
	cautionHeat  = "Gets hot as it dissolves and can spit: gloves and eye protection, powder into water, a little at a time." + cautionLabel
	cautionBase  = "Caustic: burns skin and eyes. Gloves and eye protection, powder into water, never with acids." + cautionLabel
	cautionAcid  = "Corrosive acid: gloves and eye protection, acid into water, never the other way, never with bases or chlorine." + cautionLabel
	cautionMetal = "Harmful if swallowed and, overdosed, to invertebrates and fish. Weigh with care." + cautionLabel
	cautionCu    = "Copper kills invertebrates and stays in rock and sand. Fish medication belongs in a separate system, by the advice of a veterinarian." + cautionLabel
)

type compoundRow struct {
	key, name string
	gives     map[Analyte]float64
	alk, sol  float64
	caution   string
}

var compoundRows = []compoundRow{
	{"CaCl2·2H2O", "calcium chloride dihydrate", map[Analyte]float64{Calcium: 1, Chloride: 2}, 0, 980, cautionHeat},
	{"CaCl2", "calcium chloride, anhydrous", map[Analyte]float64{Calcium: 1, Chloride: 2}, 0, 740, cautionHeat},
	{"CaCl2·6H2O", "calcium chloride hexahydrate", map[Analyte]float64{Calcium: 1, Chloride: 2}, 0, 1500, ""},
	{"Ca(OH)2", "calcium hydroxide", map[Analyte]float64{Calcium: 1}, 2, 1.6, cautionBase},
	{"MgCl2·6H2O", "magnesium chloride hexahydrate", map[Analyte]float64{Magnesium: 1, Chloride: 2}, 0, 1150, ""},
	{"MgSO4·7H2O", "magnesium sulfate heptahydrate", map[Analyte]float64{Magnesium: 1, Sulfate: 1}, 0, 710, ""},
	{"NaHCO3", "sodium bicarbonate", map[Analyte]float64{Sodium: 1}, 1, 96, ""},
	{"Na2CO3", "sodium carbonate", map[Analyte]float64{Sodium: 2}, 2, 215, "Irritates eyes: eye protection." + cautionLabel},
	{"NaOH", "sodium hydroxide", map[Analyte]float64{Sodium: 1}, 1, 1090, cautionBase},
	{"HCl", "hydrogen chloride", map[Analyte]float64{Chloride: 1}, -1, 0, cautionAcid},
	{"KCl", "potassium chloride", map[Analyte]float64{Potassium: 1, Chloride: 1}, 0, 340, ""},
	{"K2SO4", "potassium sulfate", map[Analyte]float64{Potassium: 2, Sulfate: 1}, 0, 111, ""},
	{"KI", "potassium iodide", map[Analyte]float64{Potassium: 1, Iodine: 1}, 0, 1400, cautionMetal},
	{"KNO3", "potassium nitrate", map[Analyte]float64{Potassium: 1, Nitrate: 1}, 0, 316, "Oxidiser: keep from anything that burns." + cautionLabel},
	{"NaNO3", "sodium nitrate", map[Analyte]float64{Sodium: 1, Nitrate: 1}, 0, 876, "Oxidiser: keep from anything that burns." + cautionLabel},
	{"Na2HPO4", "disodium hydrogen phosphate", map[Analyte]float64{Sodium: 2, Phosphate: 1}, 1, 77, ""},
	{"KH2PO4", "potassium dihydrogen phosphate", map[Analyte]float64{Potassium: 1, Phosphate: 1}, 0, 226, ""},
	{"SrCl2·6H2O", "strontium chloride hexahydrate", map[Analyte]float64{Strontium: 1, Chloride: 2}, 0, 1060, ""},
	{"H3BO3", "boric acid", map[Analyte]float64{Boron: 1}, 0, 47, "Harmful if swallowed." + cautionLabel},
	{"Na2B4O7·10H2O", "sodium tetraborate decahydrate", map[Analyte]float64{Sodium: 2, Boron: 4}, 2, 51, "Harmful if swallowed." + cautionLabel},
	{"NaBr", "sodium bromide", map[Analyte]float64{Sodium: 1, Bromide: 1}, 0, 905, ""},
	{"KBr", "potassium bromide", map[Analyte]float64{Potassium: 1, Bromide: 1}, 0, 650, ""},
	{"NaF", "sodium fluoride", map[Analyte]float64{Sodium: 1, Fluoride: 1}, 0, 40, "Poisonous: gloves, no dust." + cautionLabel},
	{"NaCl", "sodium chloride", map[Analyte]float64{Sodium: 1, Chloride: 1}, 0, 359, ""},
	{"FeSO4·7H2O", "iron(II) sulfate heptahydrate", map[Analyte]float64{Iron: 1, Sulfate: 1}, 0, 256, cautionMetal},
	{"MnCl2·4H2O", "manganese(II) chloride tetrahydrate", map[Analyte]float64{Manganese: 1, Chloride: 2}, 0, 1400, cautionMetal},
	{"ZnSO4·7H2O", "zinc sulfate heptahydrate", map[Analyte]float64{Zinc: 1, Sulfate: 1}, 0, 960, cautionMetal},
	{"CuSO4·5H2O", "copper(II) sulfate pentahydrate", map[Analyte]float64{Copper: 1, Sulfate: 1}, 0, 320, cautionCu},
	{"CoCl2·6H2O", "cobalt(II) chloride hexahydrate", map[Analyte]float64{Cobalt: 1, Chloride: 2}, 0, 900, cautionMetal},
	{"Na2MoO4·2H2O", "sodium molybdate dihydrate", map[Analyte]float64{Sodium: 2, Molybdenum: 1}, 0, 840, cautionMetal},
	{"LiCl", "lithium chloride", map[Analyte]float64{Lithium: 1, Chloride: 1}, 0, 830, cautionMetal},
	{"BaCl2·2H2O", "barium chloride dihydrate", map[Analyte]float64{Barium: 1, Chloride: 2}, 0, 420, "Poisonous: gloves, no dust." + cautionLabel},
	{"NH4Cl", "ammonium chloride", map[Analyte]float64{Ammonia: 1, Chloride: 1}, 0, 372, "Ammonia harms fish, the more the higher the pH." + cautionLabel},
}

var compounds, compoundIndex = buildCompounds()

func buildCompounds() ([]CompoundInfo, map[string]CompoundInfo) {
	all := make([]CompoundInfo, 0, len(compoundRows))
	index := make(map[string]CompoundInfo, len(compoundRows))
	for _, r := range compoundRows {
		f, err := ParseFormula(r.key)
		if err != nil {
			panic(fmt.Sprintf("compound table: %v", err))
		}
		c := CompoundInfo{r.key, r.name, f, r.gives, r.alk, r.sol, r.caution}
		all = append(all, c)
		index[r.key] = c
	}
	return all, index
}

// Compounds returns the table of compounds.
func Compounds() []CompoundInfo { return append([]CompoundInfo(nil), compounds...) }

// Compound returns the compound of a key.
func Compound(key string) (CompoundInfo, bool) {
	c, ok := compoundIndex[key]
	return c, ok
}
