package chem

import (
	"fmt"
	"math"
	"strings"
)

var nan = math.NaN()

var (
	majorUnits = []Unit{MgL, MmolL, MgKg}
	traceUnits = []Unit{UgL, MgL}
)

// list is the catalogue in display order. Seawater values are those of the
// Reference Composition (Millero et al. 2008) at S = 35 and 25 °C, in mg/L by
// TEOS-10 density, where it has the element. Plausible ranges are our choice,
// wide enough for every water kept and for mixing vats.
var list = []Info{
	{Temperature, "temperature", "Temperature", "T", Physical, Celsius, []Unit{Celsius, Fahrenheit}, -2, 45, nan, false},
	{Salinity, "salinity", "Salinity", "S", Physical, PSU, []Unit{PSU, SG25, SG20, SG60F, MilliSiemens}, 0, 45, 35, false},
	{Conductivity, "conductivity", "Conductivity", "EC", Physical, MicroSiemens, []Unit{MicroSiemens, MilliSiemens}, 0, 90000, nan, false},
	{PH, "ph", "pH", "pH", Physical, PHUnit, []Unit{PHUnit}, 3, 11, nan, false},
	{Alkalinity, "alkalinity", "Alkalinity", "Alk", MajorIon, MeqL, []Unit{DKH, MeqL, CaCO3}, 0, 20, 2.358165978, false},
	{Calcium, "calcium", "Calcium", "Ca", MajorIon, MgL, majorUnits, 0, 1500, 421.7039033, true},
	{Magnesium, "magnesium", "Magnesium", "Mg", MajorIon, MgL, majorUnits, 0, 3000, 1313.685323, true},
	{Potassium, "potassium", "Potassium", "K", MajorIon, MgL, majorUnits, 0, 1500, 408.4204968, true},
	{Hardness, "hardness", "Hardness", "GH", MajorIon, MmolL, []Unit{DGH, MmolL, CaCO3}, 0, 150, nan, false},
	{Nitrate, "nitrate", "Nitrate", "NO3", Nutrient, MgL, []Unit{MgL, NO3N}, 0, 1000, nan, false},
	{Nitrite, "nitrite", "Nitrite", "NO2", Nutrient, MgL, []Unit{MgL, NO2N}, 0, 100, nan, false},
	{Ammonia, "ammonia", "Ammonia, total", "NH4", Nutrient, MgL, []Unit{MgL, NH4N}, 0, 100, nan, false},
	{Phosphate, "phosphate", "Phosphate", "PO4", Nutrient, MgL, []Unit{MgL, PO4P, UgPO4P}, 0, 50, nan, false},
	{Silicate, "silicate", "Silicate", "SiO2", Nutrient, MgL, []Unit{MgL, Si}, 0, 100, nan, false},
	{Oxygen, "oxygen", "Oxygen", "O2", Gas, MgL, []Unit{MgL}, 0, 30, nan, false},
	{CarbonDi, "carbon_dioxide", "Carbon dioxide", "CO2", Gas, MgL, []Unit{MgL}, 0, 200, nan, false},
	{Sodium, "sodium", "Sodium", "Na", MajorIon, MgL, majorUnits, 0, 20000, 11033.13039, true},
	{Chloride, "chloride", "Chloride", "Cl", MajorIon, MgL, majorUnits, 0, 35000, 19804.47663, true},
	{Sulfate, "sulfate", "Sulfate", "SO4", MajorIon, MgL, majorUnits, 0, 6000, 2775.663768, true},
	{Strontium, "strontium", "Strontium", "Sr", MajorIon, MgL, []Unit{MgL, UgL}, 0, 100, 8.132767745, true},
	{Boron, "boron", "Boron", "B", MajorIon, MgL, []Unit{MgL, UgL}, 0, 50, 4.592387811, true},
	{Bromide, "bromide", "Bromide", "Br", MajorIon, MgL, []Unit{MgL}, 0, 300, 68.85515551, true},
	{Fluoride, "fluoride", "Fluoride", "F", MajorIon, MgL, []Unit{MgL}, 0, 20, 1.327996828, true},
	{Iodine, "iodine", "Iodine", "I", Trace, UgL, traceUnits, 0, 5000, nan, false},
	{Iron, "iron", "Iron", "Fe", Trace, UgL, traceUnits, 0, 10000, nan, false},
	{Manganese, "manganese", "Manganese", "Mn", Trace, UgL, traceUnits, 0, 5000, nan, false},
	{Zinc, "zinc", "Zinc", "Zn", Trace, UgL, traceUnits, 0, 5000, nan, false},
	{Copper, "copper", "Copper", "Cu", Trace, UgL, traceUnits, 0, 5000, nan, false},
	{Cobalt, "cobalt", "Cobalt", "Co", Trace, UgL, traceUnits, 0, 2000, nan, false},
	{Nickel, "nickel", "Nickel", "Ni", Trace, UgL, traceUnits, 0, 2000, nan, false},
	{Molybdenum, "molybdenum", "Molybdenum", "Mo", Trace, UgL, traceUnits, 0, 2000, nan, false},
	{Vanadium, "vanadium", "Vanadium", "V", Trace, UgL, traceUnits, 0, 2000, nan, false},
	{Lithium, "lithium", "Lithium", "Li", Trace, UgL, traceUnits, 0, 5000, nan, false},
	{Barium, "barium", "Barium", "Ba", Trace, UgL, traceUnits, 0, 2000, nan, false},
	{Aluminium, "aluminium", "Aluminium", "Al", Trace, UgL, traceUnits, 0, 5000, nan, false},
	{Chromium, "chromium", "Chromium", "Cr", Trace, UgL, traceUnits, 0, 2000, nan, false},
	{Selenium, "selenium", "Selenium", "Se", Trace, UgL, traceUnits, 0, 2000, nan, false},
	{Tin, "tin", "Tin", "Sn", Trace, UgL, traceUnits, 0, 2000, nan, false},
	{Lanthanum, "lanthanum", "Lanthanum", "La", Trace, UgL, traceUnits, 0, 2000, nan, false},
}

var catalogue = byAnalyte()

func byAnalyte() map[Analyte]Info {
	m := make(map[Analyte]Info, len(list))
	for _, i := range list {
		m[i.Analyte] = i
	}
	return m
}

// Lookup returns the catalogue's entry of a.
func Lookup(a Analyte) (Info, bool) {
	i, ok := catalogue[a]
	return i, ok
}

// Catalogue returns every entry in display order.
func Catalogue() []Info { return append([]Info(nil), list...) }

// Accepts tells whether values of the analyte may be given in u.
func (i Info) Accepts(u Unit) bool {
	for _, have := range i.Units {
		if have == u {
			return true
		}
	}
	return false
}

// ParseAnalyte finds an analyte by key, symbol or name, whatever the case.
func ParseAnalyte(s string) (Analyte, error) {
	want := strings.ToLower(strings.TrimSpace(s))
	for _, i := range list {
		if want == i.Key || want == strings.ToLower(i.Symbol) || want == strings.ToLower(i.Name) {
			return i.Analyte, nil
		}
	}
	return 0, fmt.Errorf("no analyte is called %q: use a name or symbol of the catalogue, such as calcium or Ca", s)
}
