package chem

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"weirkeeper/assets/words"
)

// none marks a value that has no meaning, such as the nitrate of "the" sea.
var none = math.NaN()

// sea is the sea of the catalogue.
var sea = mustReference(35, 25)

const (
	fromReference = "Reference Composition, Millero et al. 2008, S 35, 25 °C"
	fromMemory    = "from memory, order of magnitude of the open ocean"
	fromAbundance = "table of the abundance of elements in the oceans by weight, order of magnitude"
)

// row is what the catalogue says of an analyte; its units come with it.
type row struct {
	analyte      Analyte
	key          string
	name         words.Text
	symbol       string
	group        Group
	canonical    Unit
	scales       []scale
	low, high    float64
	seawater     float64
	source       string
	conservative bool
}

// rows is the catalogue in display order. The plausible ranges are our own
// choice, wide enough for every water that is kept and for mixing vats.
var rows = slices.Concat(physical, majorIons, nutrients, gases, traces)

var physical = []row{
	{Temperature, "temperature", "Temperature", "Temp", Physical, Celsius, temperatureScales, -2, 45, none, "", false},
	{Salinity, "salinity", "Salinity", "Sal", Physical, PSU, salinityScales, 0, 42, 35, "definition of the Reference Composition", false},
	{Conductivity, "conductivity", "Conductivity", "EC", Physical, MicroSiemens, conductivityScales, 0, 90000, none, "", false},
	{PH, "ph", "pH", "pH", Physical, PHUnit, pHScales, 3, 11, 8.1, "from memory, total scale, surface ocean", false},
	{TDS, "tds", "Dissolved solids", "TDS", Physical, MgL, solidsScales, 0, 90000, seaSolids, fromReference, false},
	{Redox, "redox", "Redox potential", "ORP", Physical, Millivolt, redoxScales, -600, 1200, none, "", false},
	{Light, "light", "Light (PAR)", "PAR", Physical, Photons, lightScales, 0, 3000, none, "", false},
	{WaterLevel, "water_level", "Water level", "Level", Physical, Centimetre, levelScales, -500, 2000, none, "", false},
	{Flow, "flow", "Flow", "Flow", Physical, LitreHour, flowScales, 0, 1e6, none, "", false},
}

var majorIons = []row{
	{Alkalinity, "alkalinity", "Alkalinity", "Alk", MajorIon, MeqL, alkalinityScales, 0, 20, sea[Alkalinity], fromReference, false},
	{Calcium, "calcium", "Calcium", "Ca", MajorIon, MgL, dissolved("Ca", 0, asOther(CaCO3, "Ca", "CaCO3", 0)), 0, 1500, sea[Calcium],
		fromReference, true},
	{Magnesium, "magnesium", "Magnesium", "Mg", MajorIon, MgL, dissolved("Mg", 0, asOther(CaCO3, "Mg", "CaCO3", 0)), 0, 3000,
		sea[Magnesium], fromReference, true},
	{Potassium, "potassium", "Potassium", "K", MajorIon, MgL, dissolved("K", 0), 0, 1500, sea[Potassium], fromReference, true},
	{Hardness, "hardness", "Hardness", "GH", MajorIon, MmolL, hardnessScales, 0, 150, sea[Hardness], fromReference, false},
	{Sodium, "sodium", "Sodium", "Na", MajorIon, MgL, dissolved("Na", 0), 0, 20000, sea[Sodium], fromReference, true},
	{Chloride, "chloride", "Chloride", "Cl", MajorIon, MgL, dissolved("Cl", 0), 0, 35000, sea[Chloride], fromReference, true},
	{Sulfate, "sulfate", "Sulfate", "SO4", MajorIon, MgL, dissolved("SO4", 0), 0, 6000, sea[Sulfate], fromReference, true},
	{Strontium, "strontium", "Strontium", "Sr", MajorIon, MgL, dissolved("Sr", 1), 0, 100, sea[Strontium], fromReference, true},
	{Boron, "boron", "Boron", "B", MajorIon, MgL, dissolved("B", 2), 0, 50, sea[Boron], fromReference, true},
	{Bromide, "bromide", "Bromide", "Br", MajorIon, MgL, dissolved("Br", 1), 0, 300, sea[Bromide], fromReference, true},
	{Fluoride, "fluoride", "Fluoride", "F", MajorIon, MgL, dissolved("F", 2), 0, 20, sea[Fluoride], fromReference, true},
}

var nutrients = []row{
	{Nitrate, "nitrate", "Nitrate", "NO3", Nutrient, MgL, dissolved("NO3", 1, asOther(NO3N, "NO3", "N", 2)), 0, 1000, none, "", false},
	{Nitrite, "nitrite", "Nitrite", "NO2", Nutrient, MgL, dissolved("NO2", 2, asOther(NO2N, "NO2", "N", 3)), 0, 100, none, "", false},
	{Ammonia, "ammonia", "Ammonia (total)", "NH4", Nutrient, MgL,
		dissolved("NH4", 2, asOther(NH4N, "NH4", "N", 3), asOther(NH3, "NH4", "NH3", 2), asOther(NH3N, "NH4", "N", 3)), 0, 100, none, "",
		false},
	{Phosphate, "phosphate", "Phosphate", "PO4", Nutrient, MgL,
		dissolved("PO4", 3, asOther(PO4P, "PO4", "P", 3),
			scale{unit: UgPO4P, decimals: 0, factor: molarMass("PO4") / molarMass("P") / 1000}), 0, 50, none, "", false},
	{Silicate, "silicate", "Silicate", "SiO2", Nutrient, MgL,
		dissolved("SiO2", 2, asOther(Si, "SiO2", "Si", 2),
			scale{unit: UgSi, decimals: 0, factor: molarMass("SiO2") / molarMass("Si") / 1000}), 0, 100, none, "", false},
	{TotalPhos, "total_phosphorus", "Phosphorus (total)", "TP", Nutrient, MgL, dissolved("P", 3), 0, 50, none, "", false},
	{Organic, "organic_carbon", "Organic carbon (dissolved)", "DOC", Nutrient, MgL, dissolved("C", 1), 0, 200, none, "", false},
}

var gases = []row{
	{Oxygen, "oxygen", "Oxygen", "O2", Gas, MgL, dissolved("O2", 1, scale{unit: MlL, decimals: 1, factor: molO2 / molarVolumeO2},
		scale{unit: Saturation, decimals: 0, ofWater: Water.oxygenPercent}), 0, 30,
		none, "", false},
	{CarbonDi, "carbon_dioxide", "Carbon dioxide", "CO2", Gas, MgL, dissolved("CO2", 1), 0, 200, sea[CarbonDi], fromReference, false},
	{FreeChlorine, "free_chlorine", "Free chlorine", "Cl2", Gas, MgL, dissolved("Cl2", 2), 0, 20, none, "", false},
	{AllChlorine, "total_chlorine", "Chlorine (total)", "TCl", Gas, MgL, dissolved("Cl2", 2), 0, 20, none, "", false},
	{Chloramine, "chloramine", "Chloramine", "NH2Cl", Gas, MgL, dissolved("Cl2", 2), 0, 20, none, "", false},
	{Sulfide, "sulfide", "Hydrogen sulfide", "H2S", Gas, MgL, dissolved("H2S", 3), 0, 100, none, "", false},
}

var traces = []row{
	traceRow(Iodine, "iodine", "Iodine", "I", 5000, 60),
	traceRow(Iron, "iron", "Iron", "Fe", 10000, none),
	traceRow(Manganese, "manganese", "Manganese", "Mn", 5000, none),
	traceRow(Zinc, "zinc", "Zinc", "Zn", 5000, none),
	traceRow(Copper, "copper", "Copper", "Cu", 5000, none),
	traceRow(Cobalt, "cobalt", "Cobalt", "Co", 2000, none),
	traceRow(Nickel, "nickel", "Nickel", "Ni", 2000, none),
	traceRow(Molybdenum, "molybdenum", "Molybdenum", "Mo", 2000, 10),
	traceRow(Vanadium, "vanadium", "Vanadium", "V", 2000, 2),
	traceRow(Lithium, "lithium", "Lithium", "Li", 5000, 180),
	traceRow(Barium, "barium", "Barium", "Ba", 2000, 10),
	traceRow(Aluminium, "aluminium", "Aluminium", "Al", 5000, none),
	traceRow(Chromium, "chromium", "Chromium", "Cr", 2000, none),
	traceRow(Selenium, "selenium", "Selenium", "Se", 2000, none),
	traceRow(Tin, "tin", "Tin", "Sn", 2000, none),
	traceRow(Lanthanum, "lanthanum", "Lanthanum", "La", 2000, none),
	traceRow(Lead, "lead", "Lead", "Pb", 2000, none),
	traceRow(Arsenic, "arsenic", "Arsenic", "As", 2000, none),
	traceRow(Cadmium, "cadmium", "Cadmium", "Cd", 2000, none),
	traceRow(Mercury, "mercury", "Mercury", "Hg", 500, none),
	traceRow(Silver, "silver", "Silver", "Ag", 2000, none),
	traceRow(Tungsten, "tungsten", "Tungsten", "W", 2000, none),
	{Rubidium, "rubidium", "Rubidium", "Rb", Trace, UgL, trace("Rb"), 0, 2000, 120, fromAbundance, false},
	traceRow(Titanium, "titanium", "Titanium", "Ti", 2000, none),
	traceRow(Antimony, "antimony", "Antimony", "Sb", 2000, none),
	traceRow(Beryllium, "beryllium", "Beryllium", "Be", 500, none),
}

func traceRow(a Analyte, key string, name words.Text, symbol string, high, ocean float64) row {
	source := fromMemory
	if math.IsNaN(ocean) {
		source = ""
	}
	return row{a, key, name, symbol, Trace, UgL, trace(symbol), 0, high, ocean, source, false}
}

func (r row) info() Info {
	i := Info{
		Analyte: r.analyte, Key: r.key, Name: r.name, Symbol: r.symbol, Group: r.group, Unit: r.canonical,
		Low: r.low, High: r.high, Seawater: r.seawater, SeawaterSource: r.source, Conservative: r.conservative,
	}
	for _, s := range r.scales {
		i.Units = append(i.Units, s.unit)
	}
	return i
}

var (
	catalogue = byAnalyte(row.info)
	scales    = byAnalyte(func(r row) []scale { return r.scales })
	listed    = inOrder()
)

func inOrder() []Info {
	all := make([]Info, len(rows))
	for n, r := range rows {
		all[n] = catalogue[r.analyte]
	}
	return all
}

func byAnalyte[T any](of func(row) T) map[Analyte]T {
	m := make(map[Analyte]T, len(rows))
	for _, r := range rows {
		m[r.analyte] = of(r)
	}
	return m
}

// Lookup returns the catalogue's entry of a. Its Units are the catalogue's
// own: do not change them. Of a number that a newer version of the program wrote,
// ok is false and the entry says so, in a unit without a name, so that what was
// measured can be shown and handed on.
func Lookup(a Analyte) (info Info, ok bool) {
	if i, ok := catalogue[a]; ok {
		return i, true
	}
	return Info{
		Analyte: a, Key: fmt.Sprintf("analyte-%d", int(a)), Name: a.Words(), Symbol: fmt.Sprintf("#%d", int(a)), Unit: unnamedUnit,
		Units: []Unit{unnamedUnit}, Low: math.Inf(-1), High: math.Inf(1), Seawater: math.NaN(),
	}, false
}

// unnamedUnit is the unit of values of an analyte that this version does not know.
const unnamedUnit Unit = ""

// unnamedDecimals are the decimals of such values.
const unnamedDecimals = 3

func canonicalOf(a Analyte) Unit {
	info, _ := Lookup(a)
	return info.Unit
}

// CatalogueAnd returns the catalogue's entries, and after them those of the given
// analytes that a newer version of the program knows. As with Catalogue, do not
// change them.
func CatalogueAnd(present []Analyte) []Info {
	var newer []Analyte
	for _, a := range present {
		if _, ok := catalogue[a]; !ok {
			newer = append(newer, a)
		}
	}
	all := slices.Clip(Catalogue())
	slices.Sort(newer)
	for _, a := range slices.Compact(newer) {
		info, _ := Lookup(a)
		all = append(all, info)
	}
	return all
}

// Catalogue returns every entry in the order that lists show them. The list is the
// catalogue's own, which is asked for once a value: do not change it.
func Catalogue() []Info { return listed }

// Accepts tells whether values of the analyte may be given in u.
func (i Info) Accepts(u Unit) bool { return slices.Contains(i.Units, u) }

// otherNames are further names of the trade, in lower case.
var otherNames = map[string]Analyte{
	"kh": Alkalinity, "carbonate hardness": Alkalinity, "general hardness": Hardness,
	"sulphate": Sulfate, "ammonium": Ammonia, "nh3": Ammonia, "silica": Silicate,
	"aluminum": Aluminium, "dissolved oxygen": Oxygen, "iodide": Iodine, "bromine": Bromide, "fluorine": Fluoride,
	"orp": Redox, "par": Light, "total dissolved solids": TDS, "hydrogen sulphide": Sulfide, "sulphide": Sulfide,
	"total chlorine": AllChlorine, "total phosphorus": TotalPhos, "doc": Organic,
}

// ParseAnalyte finds an analyte by its key, symbol or name, or by another name
// of the trade, whatever the case.
func ParseAnalyte(s string) (Analyte, error) {
	want := strings.ToLower(strings.TrimSpace(s))
	for _, r := range rows {
		if want == r.key || want == strings.ToLower(r.symbol) || want == strings.ToLower(string(r.name)) {
			return r.analyte, nil
		}
	}
	if a, ok := otherNames[want]; ok {
		return a, nil
	}
	return 0, words.Errorf("no analyte is called %q: use a name or symbol of the catalogue, such as calcium or Ca", s)
}
