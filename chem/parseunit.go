package chem

import (
	"fmt"
	"strings"
)

// spellings are other ways to write a unit, in lower case without spaces.
var spellings = map[string]Unit{
	"c": Celsius, "degc": Celsius, "f": Fahrenheit, "degf": Fahrenheit, "ppt": PSU, "g/kg": PSU, "psu": PSU,
	"sg": SG25, "kh": DKH, "°dkh": DKH, "°kh": DKH, "gh": DGH, "°dgh": DGH, "meq": MeqL, "ppmcaco3": CaCO3,
	"ppm": MgL, "ppb": UgL, "ugl": UgL, "ugpo4-p/l": UgPO4P, "ppbp": UgPO4P,
}

// ParseUnit finds the unit of a that s means, forgiving case, spaces, "u" for
// "µ" and the trade's ppm (mg/L) and ppb (µg/L). An empty s means the unit
// shown by default.
func ParseUnit(a Analyte, s string) (Unit, error) {
	info, ok := Lookup(a)
	if !ok {
		return "", fmt.Errorf("no analyte %d in the catalogue", int(a))
	}
	want := plain(s)
	if want == "" {
		return info.Units[0], nil
	}
	for _, u := range info.Units {
		if plain(string(u)) == want {
			return u, nil
		}
	}
	if u, ok := spellings[want]; ok && info.Accepts(u) {
		return u, nil
	}
	names := make([]string, len(info.Units))
	for i, u := range info.Units {
		names[i] = string(u)
	}
	return "", fmt.Errorf("%s is not given in %q: use %s", info.Name, s, strings.Join(names, ", "))
}

func plain(s string) string {
	return strings.NewReplacer(" ", "", "μ", "u", "µ", "u").Replace(strings.ToLower(strings.TrimSpace(s)))
}
