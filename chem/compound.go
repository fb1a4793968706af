package chem

import (
	"maps"
	"strings"
)

// CompoundInfo is a compound that keepers dose.
type CompoundInfo struct {
	Key     string // formula with its hydrate, as in Ingredient.Compound
	Name    string
	Formula Formula
	// Gives are moles of an analyte's species set free by a mole.
	Gives map[Analyte]float64
	// AlkPerMol is the equivalents of total alkalinity that a mole adds, below
	// zero when it takes them (Dickson 1981: zero level pK 4.5, so H2PO4 counts
	// 0 and HPO4 +1; nitrate and ammonium count 0 until organisms act).
	AlkPerMol float64
	// SolubilityGPerL is about how much of the compound as written a litre of
	// saturated solution in pure water holds at 20 °C, in g. From memory of
	// handbook values, good to some 10 %; zero: not known, or mixes freely.
	SolubilityGPerL float64
	// Caution is how to handle it, in plain words; the product's own label and
	// safety sheet go first. Empty: no more than ordinary care.
	Caution string
}

const (
	cautionLabel  = " The product's label and safety sheet go first."
	cautionHeat   = "Gets hot as it dissolves and can spit: wear gloves and eye protection, stir the powder into cold water a little at a time." + cautionLabel
	cautionBase   = "Caustic, burns skin and eyes: wear gloves and eye protection, avoid the dust, stir the powder into cold water, keep it from acids." + cautionLabel
	cautionMild   = "Irritates the eyes: wear eye protection. Raises pH quickly, so dose slowly." + cautionLabel
	cautionAcid   = "Corrosive, burns skin and eyes: wear gloves and eye protection, pour acid into water and never the other way, keep it from bases and bleach." + cautionLabel
	cautionTrace  = "Harmful when swallowed, and an overdose harms invertebrates and fish: weigh it with care and keep it from children." + cautionLabel
	cautionPoison = "Poisonous: wear gloves, raise no dust, keep it locked away from children." + cautionLabel
	cautionBoron  = "Harmful when swallowed and may harm the unborn child: raise no dust, wear gloves." + cautionLabel
	cautionOxygen = "Feeds fire: keep it dry and away from anything that burns." + cautionLabel
	cautionCopper = "Copper kills invertebrates and stays in rock and sand: never where they live. Treat fish in a separate system, as a veterinarian advises." + cautionLabel
	cautionAmm    = "Ammonia harms fish, the more so the higher the pH: not where animals live." + cautionLabel
)

type gives = map[Analyte]float64

type compoundRow struct {
	key, name       string
	gives           gives
	alk, solubility float64
	caution         string
}

var compoundRows = []compoundRow{
	{"CaCl2·2H2O", "calcium chloride dihydrate", gives{Calcium: 1, Chloride: 2}, 0, 800, cautionHeat},
	{"CaCl2", "calcium chloride", gives{Calcium: 1, Chloride: 2}, 0, 610, cautionHeat},
	{"CaCl2·6H2O", "calcium chloride hexahydrate", gives{Calcium: 1, Chloride: 2}, 0, 1200, ""},
	{"Ca(OH)2", "calcium hydroxide", gives{Calcium: 1}, 2, 1.7, cautionBase},
	{"CaSO4·2H2O", "calcium sulfate dihydrate", gives{Calcium: 1, Sulfate: 1}, 0, 2.5, ""},
	{"MgCl2·6H2O", "magnesium chloride hexahydrate", gives{Magnesium: 1, Chloride: 2}, 0, 1000, ""},
	{"MgCl2", "magnesium chloride", gives{Magnesium: 1, Chloride: 2}, 0, 470, cautionHeat},
	{"MgSO4·7H2O", "magnesium sulfate heptahydrate", gives{Magnesium: 1, Sulfate: 1}, 0, 660, ""},
	{"NaHCO3", "sodium bicarbonate", gives{Sodium: 1}, 1, 93, ""},
	{"Na2CO3", "sodium carbonate", gives{Sodium: 2}, 2, 210, cautionMild},
	{"NaOH", "sodium hydroxide", gives{Sodium: 1}, 1, 800, cautionBase + " " + cautionHeat},
	{"HCl", "hydrogen chloride", gives{Chloride: 1}, -1, 0, cautionAcid},
	{"H2SO4", "sulfuric acid", gives{Sulfate: 1}, -2, 0, cautionAcid},
	{"NaCl", "sodium chloride", gives{Sodium: 1, Chloride: 1}, 0, 317, ""},
	{"Na2SO4", "sodium sulfate", gives{Sodium: 2, Sulfate: 1}, 0, 187, ""},
	{"KCl", "potassium chloride", gives{Potassium: 1, Chloride: 1}, 0, 298, ""},
	{"K2SO4", "potassium sulfate", gives{Potassium: 2, Sulfate: 1}, 0, 108, ""},
	{"KNO3", "potassium nitrate", gives{Potassium: 1, Nitrate: 1}, 0, 279, cautionOxygen},
	{"NaNO3", "sodium nitrate", gives{Sodium: 1, Nitrate: 1}, 0, 640, cautionOxygen},
	{"Na2HPO4", "disodium hydrogen phosphate", gives{Sodium: 2, Phosphate: 1}, 1, 76, ""},
	{"KH2PO4", "potassium dihydrogen phosphate", gives{Potassium: 1, Phosphate: 1}, 0, 210, ""},
	{"SrCl2·6H2O", "strontium chloride hexahydrate", gives{Strontium: 1, Chloride: 2}, 0, 800, ""},
	{"SrCl2", "strontium chloride", gives{Strontium: 1, Chloride: 2}, 0, 480, ""},
	{"H3BO3", "boric acid", gives{Boron: 1}, 0, 46, cautionBoron},
	{"Na2B4O7·10H2O", "sodium tetraborate decahydrate", gives{Sodium: 2, Boron: 4}, 2, 48, cautionBoron},
	{"NaBr", "sodium bromide", gives{Sodium: 1, Bromide: 1}, 0, 720, ""},
	{"KBr", "potassium bromide", gives{Potassium: 1, Bromide: 1}, 0, 540, ""},
	{"NaF", "sodium fluoride", gives{Sodium: 1, Fluoride: 1}, 0, 40, cautionPoison},
	{"KI", "potassium iodide", gives{Potassium: 1, Iodine: 1}, 0, 1000, cautionTrace},
	{"FeSO4·7H2O", "iron(II) sulfate heptahydrate", gives{Iron: 1, Sulfate: 1}, 0, 400, cautionTrace},
	{"MnCl2·4H2O", "manganese(II) chloride tetrahydrate", gives{Manganese: 1, Chloride: 2}, 0, 980, cautionTrace},
	{"ZnSO4·7H2O", "zinc sulfate heptahydrate", gives{Zinc: 1, Sulfate: 1}, 0, 900, cautionTrace},
	{"CuSO4·5H2O", "copper(II) sulfate pentahydrate", gives{Copper: 1, Sulfate: 1}, 0, 320, cautionCopper},
	{"CoCl2·6H2O", "cobalt(II) chloride hexahydrate", gives{Cobalt: 1, Chloride: 2}, 0, 880, cautionPoison},
	{"NiCl2·6H2O", "nickel(II) chloride hexahydrate", gives{Nickel: 1, Chloride: 2}, 0, 1000, cautionPoison},
	{"Na2MoO4·2H2O", "sodium molybdate dihydrate", gives{Sodium: 2, Molybdenum: 1}, 0, 660, cautionTrace},
	{"LiCl", "lithium chloride", gives{Lithium: 1, Chloride: 1}, 0, 580, cautionTrace},
	{"BaCl2·2H2O", "barium chloride dihydrate", gives{Barium: 1, Chloride: 2}, 0, 390, cautionPoison},
	{"NH4Cl", "ammonium chloride", gives{Ammonia: 1, Chloride: 1}, 0, 290, cautionAmm},
}

var compoundIndex = buildCompounds()

func buildCompounds() map[string]CompoundInfo {
	index := make(map[string]CompoundInfo, len(compoundRows))
	for _, r := range compoundRows {
		f, err := ParseFormula(r.key)
		if err != nil {
			panic(err)
		}
		index[r.key] = CompoundInfo{r.key, r.name, f, r.gives, r.alk, r.solubility, r.caution}
	}
	return index
}

// Compounds returns the compounds that keepers dose, the common ones first.
func Compounds() []CompoundInfo {
	all := make([]CompoundInfo, len(compoundRows))
	for i, r := range compoundRows {
		all[i] = compoundIndex[r.key]
		all[i].Gives = maps.Clone(r.gives)
	}
	return all
}

var hydrateDot = strings.NewReplacer(".", "·", "*", "·", "•", "·", " ", "")

// Compound returns the compound of a key; a hydrate may also be written with
// a plain dot.
func Compound(key string) (CompoundInfo, bool) {
	c, ok := compoundIndex[plainDigits(hydrateDot.Replace(key))]
	c.Gives = maps.Clone(c.Gives)
	return c, ok
}
