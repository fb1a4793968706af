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
	// SolubilitySource names where the solubility is published; empty: it is not
	// known.
	SolubilitySource words.Text
	// HeatOfSolution is the enthalpy of dissolving in much water, in kJ/mol:
	// below zero it warms the water; zero: little, or not known. Its sign is
	// certain, its size only where HeatSource names a publication: elsewhere it is
	// from memory, good to some 10 %, orders the mixing and is shown to nobody.
	HeatOfSolution float64
	HeatSource     words.Text
	// Note says what becomes of it in the water where its ions do not tell.
	Note words.Text
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
	cautionPlaster = "Sets hard with little water and warms as it does: stir it into much water, raise no dust, pour no rest down a drain." +
		cautionLabel
	cautionTrace = "Harmful when swallowed, and an overdose harms invertebrates and fish: weigh it with care and keep it from children." +
		cautionLabel
	cautionPoison = "Poisonous: wear gloves, raise no dust, keep it locked away from children." + cautionLabel
	cautionBoron  = "Harmful when swallowed and may harm the unborn child: raise no dust, wear gloves." + cautionLabel
	cautionOxygen = "Feeds fire: keep it dry and away from anything that burns." + cautionLabel
	cautionCopper = "Copper kills invertebrates and stays in rock and sand: never where they live. Treat fish in a separate system, " +
		"as a veterinarian advises." + cautionLabel
	cautionNitrite = "Poisonous when swallowed, feeds fire, and harms fish: wear gloves, keep it from acids and locked away from " +
		"children." + cautionLabel
	cautionBleach = "Corrosive bleach: gloves and eye protection, fresh air. With acids or ammonia it sets toxic gas free. Never where " +
		"animals live; rinse and take the chlorine out before they come back." + cautionLabel
	cautionOxidiser = "A strong oxidiser: burns skin and eyes, feeds fire, kills gill and plant tissue when overdosed. Wear gloves and eye " +
		"protection; treat animals only as a veterinarian advises." + cautionLabel
	cautionBinder = "Binds phosphate and takes alkalinity with it, clouds the water and can harm gills, clams and starfish: very slowly, " +
		"into fine filtration, with the phosphate measured before." + cautionLabel
	cautionCarbon = "Feeds bacteria, which use up oxygen: too much clouds the water and suffocates animals. Begin with little and raise it " +
		"over weeks." + cautionLabel
	cautionSpirit   = "Catches fire easily: no flame or spark near it. " + cautionCarbon
	cautionWeakAcid = "Irritates skin and eyes: wear gloves and eye protection. It lowers pH at once, more than a test of alkalinity shows." +
		cautionLabel
	cautionAlkali = "Caustic, burns skin and eyes: wear gloves and eye protection. Raises pH quickly, so dose slowly." + cautionLabel
	cautionAmm    = "Ammonia harms fish, the more so the higher the pH: not where animals live." + cautionLabel
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
	{"CaSO4·½H2O", "calcium sulfate hemihydrate", "Ca^2+, SO4^2-", 0, cautionPlaster},
	{"MgCl2·6H2O", "magnesium chloride hexahydrate", "Mg^2+, 2 Cl^-", -14, ""},
	{"MgCl2", "magnesium chloride", "Mg^2+, 2 Cl^-", -160, cautionHeat},
	{"MgSO4", "magnesium sulfate", "Mg^2+, SO4^2-", -91, cautionHeat},
	{"MgSO4·7H2O", "magnesium sulfate heptahydrate", "Mg^2+, SO4^2-", 16, ""},
	{"NaHCO3", "sodium bicarbonate", "Na^+, HCO3^-", 18.7, ""},
	{"Na2CO3", "sodium carbonate", "2 Na^+, CO3^2-", -27, cautionMild},
	{"NaOH", "sodium hydroxide", "Na^+, OH^-", -44.51, cautionBase + " " + cautionHeat},
	{"HCl", "hydrogen chloride", "H^+, Cl^-", 0, cautionAcid},
	{"H2SO4", "sulfuric acid", "2 H^+, SO4^2-", -95, cautionAcid},
	{"NaCl", "sodium chloride", "Na^+, Cl^-", 3.88, ""},
	{"Na2SO4", "sodium sulfate", "2 Na^+, SO4^2-", -2, ""},
	{"KCl", "potassium chloride", "K^+, Cl^-", 17.2, ""},
	{"K2SO4", "potassium sulfate", "2 K^+, SO4^2-", 24, ""},
	{"KNO3", "potassium nitrate", "K^+, NO3^-", 35, cautionOxygen},
	{"NaNO3", "sodium nitrate", "Na^+, NO3^-", 20.5, cautionOxygen},
	{"NaNO2", "sodium nitrite", "Na^+, NO2^-", 13.89, cautionNitrite},
	{"Na2HPO4", "disodium hydrogen phosphate", "2 Na^+, HPO4^2-", 0, ""},
	{"KH2PO4", "potassium dihydrogen phosphate", "K^+, H2PO4^-", 20, ""},
	{"SrCl2·6H2O", "strontium chloride hexahydrate", "Sr^2+, 2 Cl^-", 29, ""},
	{"SrCl2", "strontium chloride", "Sr^2+, 2 Cl^-", -51, ""},
	{"H3BO3", "boric acid", "H3BO3", 22, cautionBoron},
	{"Na2B4O7·10H2O", "sodium tetraborate decahydrate", "2 Na^+, B4O7^2-", 0, cautionBoron},
	{"NaBr", "sodium bromide", "Na^+, Br^-", -0.6, ""},
	{"KBr", "potassium bromide", "K^+, Br^-", 20, ""},
	{"NaF", "sodium fluoride", "Na^+, F^-", 0.91, cautionPoison},
	{"KI", "potassium iodide", "K^+, I^-", 20, cautionTrace},
	{"FeSO4·7H2O", "iron(II) sulfate heptahydrate", "Fe^2+, SO4^2-", 18, cautionTrace},
	{"MnCl2·4H2O", "manganese(II) chloride tetrahydrate", "Mn^2+, 2 Cl^-", 0, cautionTrace},
	{"ZnSO4·7H2O", "zinc sulfate heptahydrate", "Zn^2+, SO4^2-", 18, cautionTrace},
	{"CuSO4·5H2O", "copper(II) sulfate pentahydrate", "Cu^2+, SO4^2-", 12, cautionCopper},
	{"CoCl2·6H2O", "cobalt(II) chloride hexahydrate", "Co^2+, 2 Cl^-", 0, cautionPoison},
	{"NiCl2·6H2O", "nickel(II) chloride hexahydrate", "Ni^2+, 2 Cl^-", 0, cautionPoison},
	{"Na2MoO4·2H2O", "sodium molybdate dihydrate", "2 Na^+, MoO4^2-", 0, cautionTrace},
	{"LiCl", "lithium chloride", "Li^+, Cl^-", -37.03, cautionTrace},
	{"BaCl2·2H2O", "barium chloride dihydrate", "Ba^2+, 2 Cl^-", 20, cautionPoison},
	{"NH4Cl", "ammonium chloride", "NH4^+, Cl^-", 14.78, cautionAmm},
	{"Na2S2O3·5H2O", "sodium thiosulfate pentahydrate", "2 Na^+, S2O3^2-", 47, ""},
	{"CaCO3", "calcium carbonate", "Ca^2+, CO3^2-", -12, ""},
	{"K2CO3", "potassium carbonate", "2 K^+, CO3^2-", -31, cautionAlkali},
	{"KHCO3", "potassium bicarbonate", "K^+, HCO3^-", 21, ""},
	{"K2HPO4", "dipotassium hydrogen phosphate", "2 K^+, HPO4^2-", -13, ""},
	{"Ca(NO3)2·4H2O", "calcium nitrate tetrahydrate", "Ca^2+, 2 NO3^-", 33, cautionOxygen},
	{"Mg(NO3)2·6H2O", "magnesium nitrate hexahydrate", "Mg^2+, 2 NO3^-", 21, cautionOxygen},
	{"(NH4)2SO4", "ammonium sulfate", "2 NH4^+, SO4^2-", 6.6, cautionAmm},
	{"CO(NH2)2", "urea", "CO(NH2)2", 15, cautionAmm},
	{"KIO3", "potassium iodate", "K^+, IO3^-", 27.7, cautionOxygen + " " + cautionTrace},
	{"NaI", "sodium iodide", "Na^+, I^-", -7.53, cautionTrace},
	{"MnSO4·H2O", "manganese(II) sulfate monohydrate", "Mn^2+, SO4^2-", -40, cautionTrace},
	{"Fe(C6H11O7)2·2H2O", "iron(II) gluconate dihydrate", "Fe^2+, 2 C6H11O7^-", 0, cautionTrace},
	{"Fe", "iron of a chelate, counted as iron", "Fe", 0, cautionTrace},
	{"Ca(CH3COO)2·H2O", "calcium acetate monohydrate", "Ca^2+, 2 CH3COO^-", -27, cautionCarbon},
	{"Ca(HCOO)2", "calcium formate", "Ca^2+, 2 HCOO^-", 0, cautionCarbon},
	{"NaCH3COO", "sodium acetate", "Na^+, CH3COO^-", -17.32, cautionCarbon},
	{"NaCH3COO·3H2O", "sodium acetate trihydrate", "Na^+, CH3COO^-", 19.66, cautionCarbon},
	{"C2H5OH", "ethanol", "C2H5OH", -10, cautionSpirit},
	{"CH3COOH", "acetic acid", "H^+, CH3COO^-", -1.51, cautionAcid + " " + cautionCarbon},
	{"C6H8O7", "citric acid", "3 H^+, C6H5O7^3-", 18, cautionWeakAcid},
	{"C6H8O7·H2O", "citric acid monohydrate", "3 H^+, C6H5O7^3-", 30, cautionWeakAcid},
	{"C6H8O6", "ascorbic acid", "H^+, C6H7O6^-", 20, cautionWeakAcid},
	{"Na2SiO3", "sodium silicate", "2 Na^+, SiO3^2-", -30, cautionAlkali},
	{"Na2SiO3·5H2O", "sodium silicate pentahydrate", "2 Na^+, SiO3^2-", 0, cautionAlkali},
	{"LaCl3", "lanthanum chloride", "La^3+, 3 Cl^-", -130, cautionBinder},
	{"LaCl3·7H2O", "lanthanum chloride heptahydrate", "La^3+, 3 Cl^-", -30, cautionBinder},
	{"NaOCl", "sodium hypochlorite", "Na^+, OCl^-", 0, cautionBleach},
	{"Cl2", "hypochlorite, counted as available chlorine", "Cl2", 0, cautionBleach},
	{"H2O2", "hydrogen peroxide", "H2O2", 0, cautionOxidiser},
	{"KMnO4", "potassium permanganate", "K^+, MnO4^-", 43, cautionOxidiser},
}

const noteLanthanum = "Lanthanum carbonate and phosphate fall out: at best a mole takes a mole of phosphate, 0.68 g of PO4 for each gram " +
	"of lanthanum."

// compoundNotes say what becomes of a compound where its ions do not tell.
var compoundNotes = map[string]words.Text{
	"CaCO3": "Hardly dissolves in water by itself: carbon dioxide dissolves it, as in a reactor or in soft water that is aerated with " +
		"it.",
	"CO(NH2)2":          "Bacteria and plants turn it into ammonia, 0.6 g for each gram: count it as ammonia where animals live.",
	"Fe":                "Chelates differ: each holds iron up to a pH that its label names, above which the iron falls out.",
	"Fe(C6H11O7)2·2H2O": "Stays in solution for hours to days only: dose it often and in small amounts (common practice, no source).",
	"H2O2":              "Falls apart into water and oxygen within hours; no test of the catalogue shows it.",
	"LaCl3":             noteLanthanum,
	"LaCl3·7H2O":        noteLanthanum,
	"NaOCl":             "Strength is given as NaOCl; the available chlorine of a label is 0.95 of it.",
	"C2H5OH":            "Gives carbon to bacteria alone: nothing but dissolved organic carbon rises.",
}

// parker is where heats of solution are published.
const parker = "Parker 1965, Thermal Properties of Aqueous Uni-univalent Electrolytes, NSRDS-NBS 2"

// heatsOfParker are the compounds whose heat of solution is there, as reprinted in
// the CRC Handbook of Chemistry and Physics.
var heatsOfParker = []string{"NH4Cl", "LiCl", "NaOH", "NaF", "NaCl", "NaBr", "NaI", "NaNO2", "NaNO3", "NaCH3COO",
	"NaCH3COO·3H2O", "CH3COOH"}

var compoundIndex = buildCompounds()

func buildCompounds() map[string]CompoundInfo {
	index := make(map[string]CompoundInfo, len(compoundRows))
	for _, r := range compoundRows {
		c := CompoundInfo{Key: r.key, Name: r.name, Formula: mustFormula(r.key), Ions: ionsOf(r.ions), HeatOfSolution: r.heat,
			Caution: r.caution, Note: compoundNotes[r.key]}
		if slices.Contains(heatsOfParker, r.key) {
			c.HeatSource = parker
		}
		c.setRoles()
		if limit, err := c.SolubilityAt(20); err == nil {
			c.SolubilityGPerL = limit
		}
		c.SolubilitySource = solubilities[c.anhydrous()].source
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

// hydrateDot writes the dot of a hydrate, and half a water, as keys do.
var hydrateDot = strings.NewReplacer("0.5H", "½H", "0,5H", "½H", "1/2H", "½H", ".", "·", "*", "·", "•", "·", " ", "")

// Compound returns the compound of a key; a hydrate may also be written with
// a plain dot.
func Compound(key string) (CompoundInfo, bool) {
	c, ok := compoundIndex[plainDigits(hydrateDot.Replace(key))]
	c.Gives, c.Ions = maps.Clone(c.Gives), slices.Clone(c.Ions)
	return c, ok
}
