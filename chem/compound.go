package chem

import (
	"maps"
	"slices"
	"strings"

	"weirkeeper/assets/words"
)

// CompoundInfo is a compound that keepers dose.
type CompoundInfo struct {
	Key     string // formula with its hydrate, as in Ingredient.Compound
	Name    words.Text
	Formula Formula
	Ions    []Ion // what it falls into in water, in the order of the formula
	// Gives are moles of an analyte's species set free by a mole.
	Gives map[Analyte]float64
	// AlkPerMol is the equivalents of total alkalinity that a mole adds, below
	// zero when it takes them (Dickson 1981: zero level pK 4.5, so H2PO4 counts
	// 0 and HPO4 +1; nitrate and ammonium count 0 until organisms act).
	AlkPerMol float64
	// CarbonPerMol is the moles of dissolved inorganic carbon that a mole adds.
	CarbonPerMol float64
	// SolubilityGPerL is [CompoundInfo.SolubilityAt] 20 °C; zero: not known, or
	// mixes freely.
	SolubilityGPerL float64
	// HeatOfSolution is the enthalpy of dissolving in much water, in kJ/mol:
	// below zero it warms the water. Handbook values from memory, good to some
	// 10 %; zero: little, or not known.
	HeatOfSolution float64
	// Caution is how to handle it, in plain words; the product's own label and
	// safety sheet go first. Empty: no more than ordinary care.
	Caution words.Text
}

const (
	cautionLabel = " The product's label and safety sheet go first."
	cautionHeat  = "Gets hot as it dissolves and can spit: wear gloves and eye protection, stir the powder into cold water a little at " +
		"a time." + cautionLabel
	cautionBase = "Caustic, burns skin and eyes: wear gloves and eye protection, avoid the dust, stir the powder into cold water, " +
		"keep it from acids." + cautionLabel
	cautionMild = "Irritates the eyes: wear eye protection. Raises pH quickly, so dose slowly." + cautionLabel
	cautionAcid = "Corrosive, burns skin and eyes: wear gloves and eye protection, pour acid into water and never the other way, keep " +
		"it from bases and bleach." + cautionLabel
	cautionTrace = "Harmful when swallowed, and an overdose harms invertebrates and fish: weigh it with care and keep it from children." +
		cautionLabel
	cautionPoison = "Poisonous: wear gloves, raise no dust, keep it locked away from children." + cautionLabel
	cautionBoron  = "Harmful when swallowed and may harm the unborn child: raise no dust, wear gloves." + cautionLabel
	cautionOxygen = "Feeds fire: keep it dry and away from anything that burns." + cautionLabel
	cautionCopper = "Copper kills invertebrates and stays in rock and sand: never where they live. Treat fish in a separate system, " +
		"as a veterinarian advises." + cautionLabel
	cautionNitrite = "Poisonous when swallowed, feeds fire, and harms fish: wear gloves, keep it from acids and locked away from " +
		"children." + cautionLabel
	cautionAmm = "Ammonia harms fish, the more so the higher the pH: not where animals live." + cautionLabel
)

type compoundRow struct {
	key     string
	name    words.Text
	ions    string
	heat    float64
	caution words.Text
}

var compoundRows = []compoundRow{
	{"CaCl2·2H2O", "calcium chloride dihydrate", "Ca^2+, 2 Cl^-", -44, cautionHeat},
	{"CaCl2", "calcium chloride", "Ca^2+, 2 Cl^-", -81, cautionHeat},
	{"CaCl2·6H2O", "calcium chloride hexahydrate", "Ca^2+, 2 Cl^-", 16, ""},
	{"Ca(OH)2", "calcium hydroxide", "Ca^2+, 2 OH^-", -17, cautionBase},
	{"CaSO4·2H2O", "calcium sulfate dihydrate", "Ca^2+, SO4^2-", -1, ""},
	{"MgCl2·6H2O", "magnesium chloride hexahydrate", "Mg^2+, 2 Cl^-", -14, ""},
	{"MgCl2", "magnesium chloride", "Mg^2+, 2 Cl^-", -160, cautionHeat},
	{"MgSO4", "magnesium sulfate", "Mg^2+, SO4^2-", -91, cautionHeat},
	{"MgSO4·7H2O", "magnesium sulfate heptahydrate", "Mg^2+, SO4^2-", 16, ""},
	{"NaHCO3", "sodium bicarbonate", "Na^+, HCO3^-", 18.7, ""},
	{"Na2CO3", "sodium carbonate", "2 Na^+, CO3^2-", -27, cautionMild},
	{"NaOH", "sodium hydroxide", "Na^+, OH^-", -44.5, cautionBase + " " + cautionHeat},
	{"HCl", "hydrogen chloride", "H^+, Cl^-", 0, cautionAcid},
	{"H2SO4", "sulfuric acid", "2 H^+, SO4^2-", -95, cautionAcid},
	{"NaCl", "sodium chloride", "Na^+, Cl^-", 3.9, ""},
	{"Na2SO4", "sodium sulfate", "2 Na^+, SO4^2-", -2, ""},
	{"KCl", "potassium chloride", "K^+, Cl^-", 17.2, ""},
	{"K2SO4", "potassium sulfate", "2 K^+, SO4^2-", 24, ""},
	{"KNO3", "potassium nitrate", "K^+, NO3^-", 35, cautionOxygen},
	{"NaNO3", "sodium nitrate", "Na^+, NO3^-", 20.5, cautionOxygen},
	{"NaNO2", "sodium nitrite", "Na^+, NO2^-", 14, cautionNitrite},
	{"Na2HPO4", "disodium hydrogen phosphate", "2 Na^+, HPO4^2-", 0, ""},
	{"KH2PO4", "potassium dihydrogen phosphate", "K^+, H2PO4^-", 20, ""},
	{"SrCl2·6H2O", "strontium chloride hexahydrate", "Sr^2+, 2 Cl^-", 29, ""},
	{"SrCl2", "strontium chloride", "Sr^2+, 2 Cl^-", -51, ""},
	{"H3BO3", "boric acid", "H3BO3", 22, cautionBoron},
	{"Na2B4O7·10H2O", "sodium tetraborate decahydrate", "2 Na^+, B4O7^2-", 0, cautionBoron},
	{"NaBr", "sodium bromide", "Na^+, Br^-", -0.6, ""},
	{"KBr", "potassium bromide", "K^+, Br^-", 20, ""},
	{"NaF", "sodium fluoride", "Na^+, F^-", 1, cautionPoison},
	{"KI", "potassium iodide", "K^+, I^-", 20, cautionTrace},
	{"FeSO4·7H2O", "iron(II) sulfate heptahydrate", "Fe^2+, SO4^2-", 18, cautionTrace},
	{"MnCl2·4H2O", "manganese(II) chloride tetrahydrate", "Mn^2+, 2 Cl^-", 0, cautionTrace},
	{"ZnSO4·7H2O", "zinc sulfate heptahydrate", "Zn^2+, SO4^2-", 18, cautionTrace},
	{"CuSO4·5H2O", "copper(II) sulfate pentahydrate", "Cu^2+, SO4^2-", 12, cautionCopper},
	{"CoCl2·6H2O", "cobalt(II) chloride hexahydrate", "Co^2+, 2 Cl^-", 0, cautionPoison},
	{"NiCl2·6H2O", "nickel(II) chloride hexahydrate", "Ni^2+, 2 Cl^-", 0, cautionPoison},
	{"Na2MoO4·2H2O", "sodium molybdate dihydrate", "2 Na^+, MoO4^2-", 0, cautionTrace},
	{"LiCl", "lithium chloride", "Li^+, Cl^-", -37, cautionTrace},
	{"BaCl2·2H2O", "barium chloride dihydrate", "Ba^2+, 2 Cl^-", 20, cautionPoison},
	{"NH4Cl", "ammonium chloride", "NH4^+, Cl^-", 14.8, cautionAmm},
	{"Na2S2O3·5H2O", "sodium thiosulfate pentahydrate", "2 Na^+, S2O3^2-", 47, ""},
}

var compoundIndex = buildCompounds()

func buildCompounds() map[string]CompoundInfo {
	index := make(map[string]CompoundInfo, len(compoundRows))
	for _, r := range compoundRows {
		c := CompoundInfo{Key: r.key, Name: r.name, Formula: mustFormula(r.key), Ions: ionsOf(r.ions), HeatOfSolution: r.heat,
			Caution: r.caution}
		c.setRoles()
		if limit, err := c.SolubilityAt(20); err == nil {
			c.SolubilityGPerL = limit
		}
		index[r.key] = c
	}
	return index
}

// Compounds returns the compounds that keepers dose, the common ones first.
func Compounds() []CompoundInfo {
	all := make([]CompoundInfo, len(compoundRows))
	for i, r := range compoundRows {
		all[i], _ = Compound(r.key)
	}
	return all
}

var hydrateDot = strings.NewReplacer(".", "·", "*", "·", "•", "·", " ", "")

// Compound returns the compound of a key; a hydrate may also be written with
// a plain dot.
func Compound(key string) (CompoundInfo, bool) {
	c, ok := compoundIndex[plainDigits(hydrateDot.Replace(key))]
	c.Gives, c.Ions = maps.Clone(c.Gives), slices.Clone(c.Ions)
	return c, ok
}
