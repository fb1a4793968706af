package chem

import (
	"strings"

	"weirkeeper/assets/words"
)

// Analyte is one thing that is measured in water. The numbers are stored in
// ledgers: never renumber one, never reuse one.
type Analyte int

// The analytes of the catalogue. Canonical units are in [Info.Unit].
const (
	Temperature  Analyte = 1  // °C
	Salinity     Analyte = 2  // PSU, practical salinity (PSS-78)
	PH           Analyte = 3  // pH on the scale that the method names
	Alkalinity   Analyte = 4  // meq/L
	Calcium      Analyte = 5  // mg/L Ca
	Magnesium    Analyte = 6  // mg/L Mg
	Potassium    Analyte = 7  // mg/L K
	Strontium    Analyte = 8  // mg/L Sr
	Boron        Analyte = 9  // mg/L B
	Bromide      Analyte = 10 // mg/L Br
	Fluoride     Analyte = 11 // mg/L F
	Sodium       Analyte = 12 // mg/L Na
	Chloride     Analyte = 13 // mg/L Cl
	Sulfate      Analyte = 14 // mg/L SO4
	Nitrate      Analyte = 20 // mg/L NO3
	Nitrite      Analyte = 21 // mg/L NO2
	Ammonia      Analyte = 22 // mg/L NH3+NH4 as NH4 (total ammonia)
	Phosphate    Analyte = 23 // mg/L PO4
	Silicate     Analyte = 24 // mg/L SiO2
	TotalPhos    Analyte = 25 // mg/L P, all forms of phosphorus
	Organic      Analyte = 26 // mg/L C, dissolved organic carbon
	Hardness     Analyte = 30 // mmol/L Ca+Mg (general hardness)
	Conductivity Analyte = 31 // µS/cm at 25 °C
	Oxygen       Analyte = 32 // mg/L O2
	CarbonDi     Analyte = 33 // mg/L free CO2
	Redox        Analyte = 34 // mV, as the probe shows it
	TDS          Analyte = 35 // mg/L of dissolved solids
	FreeChlorine Analyte = 36 // mg/L Cl2
	AllChlorine  Analyte = 37 // mg/L Cl2, free and combined
	Chloramine   Analyte = 38 // mg/L Cl2
	Sulfide      Analyte = 39 // mg/L H2S, with HS
	Iodine       Analyte = 40 // µg/L I, all forms
	Iron         Analyte = 41 // µg/L Fe
	Manganese    Analyte = 42 // µg/L Mn
	Zinc         Analyte = 43 // µg/L Zn
	Copper       Analyte = 44 // µg/L Cu
	Cobalt       Analyte = 45 // µg/L Co
	Nickel       Analyte = 46 // µg/L Ni
	Molybdenum   Analyte = 47 // µg/L Mo
	Vanadium     Analyte = 48 // µg/L V
	Lithium      Analyte = 49 // µg/L Li
	Barium       Analyte = 50 // µg/L Ba
	Aluminium    Analyte = 51 // µg/L Al
	Chromium     Analyte = 52 // µg/L Cr
	Selenium     Analyte = 53 // µg/L Se
	Tin          Analyte = 54 // µg/L Sn
	Lanthanum    Analyte = 55 // µg/L La
	Lead         Analyte = 56 // µg/L Pb
	Arsenic      Analyte = 57 // µg/L As
	Cadmium      Analyte = 58 // µg/L Cd
	Mercury      Analyte = 59 // µg/L Hg
	Silver       Analyte = 60 // µg/L Ag
	Tungsten     Analyte = 61 // µg/L W
	Rubidium     Analyte = 62 // µg/L Rb
	Titanium     Analyte = 63 // µg/L Ti
	Antimony     Analyte = 64 // µg/L Sb
	Beryllium    Analyte = 65 // µg/L Be
	Light        Analyte = 70 // µmol/m²/s, photosynthetically active
	WaterLevel   Analyte = 71 // cm from a mark that the keeper chose, below zero beneath it
	Flow         Analyte = 72 // L/h
)

// Group sorts the catalogue for lists and column choices.
type Group int

// The groups, in the order lists show them.
const (
	Physical Group = iota
	MajorIon
	Nutrient
	Gas
	Trace
)

// Info is the catalogue's entry of one analyte.
type Info struct {
	Analyte Analyte
	Key     string     // stable ASCII key for files: "calcium"
	Name    words.Text // "Calcium"
	Symbol  string     // "Ca"
	Group   Group
	Unit    Unit   // canonical unit, in which values are stored
	Units   []Unit // every accepted unit, the canonical one among them; the first is the one shown unless chosen otherwise
	// Low and High bound what is physically plausible, in the canonical unit.
	// A value outside is refused as a slip.
	Low, High float64
	// Seawater is the value in reference seawater of practical salinity 35, in
	// the canonical unit; NaN where none is meaningful.
	Seawater float64
	// SeawaterSource says where Seawater is from; empty where it is NaN.
	SeawaterSource string
	// Conservative analytes scale with salinity and are judged at the salinity
	// of the band.
	Conservative bool
}

// Words implements words.Worded: the analyte's name.
func (a Analyte) Words() words.Text {
	if i, ok := catalogue[a]; ok {
		return i.Name
	}
	return words.T("analyte %d, of a newer version", int(a))
}

// String returns the analyte's name in English.
func (a Analyte) String() string { return a.Words().String() }

// InSentence returns the analyte's name for the middle of a sentence: its
// first letter small unless it belongs to a symbol such as pH.
func (a Analyte) InSentence() words.Text {
	name := a.Words()
	if len(name) > 1 && name[1] >= 'A' && name[1] <= 'Z' {
		return name
	}
	return words.Text(strings.ToLower(string(name[:1]))) + name[1:]
}
