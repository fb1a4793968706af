package chem

import (
	"strings"

	"weirkeeper/assets/words"
)

// spellings are other ways to write a unit, as normal() leaves them. The first
// that the analyte is given in is taken.
var spellings = map[string][]Unit{
	"c": {Celsius}, "degc": {Celsius}, "celsius": {Celsius},
	"f": {Fahrenheit}, "degf": {Fahrenheit}, "fahrenheit": {Fahrenheit},
	"ppt": {PSU}, "‰": {PSU},
	"sg60/60": {SG60F},
	"kh":      {DKH}, "gh": {DGH}, "dh": {DKH, DGH}, "fh": {FrenchDegree},
	"clark": {Clark}, "eh": {Clark}, "engdh": {Clark}, "grain/usgal": {GrainGallon}, "gpgcaco3": {GrainGallon},
	"umol/m2/s": {Photons}, "umolm-2s-1": {Photons}, "par": {Photons}, "ppfd": {Photons},
	"l/hr": {LitreHour}, "lph": {LitreHour}, "l/m": {LitreMinute}, "lpm": {LitreMinute}, "gph": {USGallonsHour},
	"mg/lp": {MgL}, "ppbsi": {UgSi}, "ppmnh3-n": {NH3N}, "nh3-n": {NH3N}, "mg/lcl2": {MgL},
	"%sat": {Saturation}, "%saturation": {Saturation}, "percent": {Saturation}, "%o2": {Saturation}, "%do": {Saturation},
	"inch": {Inch}, "inches": {Inch},
	"meq": {MeqL}, "mval/l": {MeqL}, "mmol/l": {MeqL}, "umol/kg": {UeqKg},
	// The trade's parts per million are mg/L, of CaCO3 for alkalinity and
	// hardness.
	"ppm": {MgL, CaCO3}, "ppb": {UgL}, "mg/l": {CaCO3},
	"ppmcaco3": {CaCO3}, "mg/lascaco3": {CaCO3}, "ppmascaco3": {CaCO3},
	"po4-p": {PO4P}, "no3-n": {NO3N}, "no2-n": {NO2N}, "nh4-n": {NH4N},
	"ppmpo4-p": {PO4P}, "ppbpo4-p": {UgPO4P}, "ppbp": {UgPO4P}, "ug/lp": {UgPO4P},
	"ppmno3-n": {NO3N}, "ppmno2-n": {NO2N}, "ppmnh4-n": {NH4N}, "ppmnh3": {NH3}, "ppmsi": {Si},
}

// ParseUnit finds the unit of a that s means. It forgives case, spaces, the
// degree sign, "u" for "µ", no unit for pH, and knows the trade's ppm (mg/L), ppb (µg/L), ppt
// (PSU), KH and GH. "SG" alone is refused: the reference temperature decides.
// The error names the units that a is given in.
func ParseUnit(a Analyte, s string) (Unit, error) {
	info, ok := Lookup(a)
	if !ok {
		return "", unknownAnalyte(a)
	}
	want := normal(s)
	if a == PH && want == "" {
		return PHUnit, nil
	}
	for _, u := range info.Units {
		if n := normal(string(u)); want == n || want == n+normal(info.Symbol) {
			return u, nil
		}
	}
	if isBareGravity(a, s) {
		return "", &NumberError{words.T("%q does not say the reference temperature", s),
			words.T("use %s, %s or %s, as the instrument is marked", SG25, SG20, SG60F)}
	}
	for _, u := range spellings[want] {
		if info.Accepts(u) {
			return u, nil
		}
	}
	return "", &UnitError{Analyte: a, Unit: Unit(s), Accepts: info.Units}
}

var unitSpelling = strings.NewReplacer(" ", "", "\u00a0", "", "°", "", "º", "", "μ", "u", "µ", "u", "₃", "3", "₄", "4", "₂", "2", "²", "2")

// normal is a unit in lower case without spaces and degree signs.
func normal(s string) string { return unitSpelling.Replace(strings.ToLower(s)) }
