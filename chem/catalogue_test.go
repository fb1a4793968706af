package chem

import (
	"math"
	"slices"
	"strings"
	"testing"
)

func TestCatalogueIsWhole(t *testing.T) {
	seen := map[string]Analyte{}
	all := Catalogue()
	if len(all) != 60 {
		t.Errorf("the catalogue has %d analytes, want 60", len(all))
	}
	for _, i := range all {
		if got, ok := Lookup(i.Analyte); !ok || got.Key != i.Key {
			t.Errorf("%s is not found by its number", i.Name)
		}
		if !i.Accepts(i.Unit) || i.Accepts("furlong") {
			t.Errorf("%s takes units %v, canonical %s", i.Name, i.Units, i.Unit)
		}
		if !(i.Low < i.High) || i.Seawater < i.Low || i.Seawater > i.High {
			t.Errorf("%s: %g to %g, sea %g", i.Name, i.Low, i.High, i.Seawater)
		}
		if math.IsNaN(i.Seawater) != (i.SeawaterSource == "") {
			t.Errorf("%s: the source of the sea's value %g is %q", i.Name, i.Seawater, i.SeawaterSource)
		}
		if strings.ToLower(i.Key) != i.Key || strings.ContainsAny(i.Key, " µ,") {
			t.Errorf("%q is no key", i.Key)
		}
		for _, name := range []string{i.Key, strings.ToLower(i.Symbol), strings.ToLower(i.Name.String())} {
			if other, taken := seen[name]; taken && other != i.Analyte {
				t.Errorf("%q names both %s and %s", name, other, i.Analyte)
			}
			seen[name] = i.Analyte
		}
		sorted := slices.Sorted(slices.Values(i.Units))
		if len(slices.Compact(sorted)) != len(i.Units) {
			t.Errorf("%s has a unit twice: %v", i.Name, i.Units)
		}
	}
}

// The numbers stand in every ledger: an analyte keeps its own for ever.
func TestAnalytesKeepTheirNumbers(t *testing.T) {
	for key, number := range map[string]Analyte{
		"temperature": 1, "salinity": 2, "ph": 3, "alkalinity": 4, "calcium": 5, "magnesium": 6, "potassium": 7, "strontium": 8,
		"boron":   9,
		"bromide": 10, "fluoride": 11, "sodium": 12, "chloride": 13, "sulfate": 14, "nitrate": 20, "nitrite": 21, "ammonia": 22,
		"phosphate": 23, "silicate": 24, "hardness": 30, "conductivity": 31, "oxygen": 32, "carbon_dioxide": 33, "iodine": 40, "iron": 41,
		"manganese": 42, "zinc": 43, "copper": 44, "cobalt": 45, "nickel": 46, "molybdenum": 47, "vanadium": 48, "lithium": 49,
		"barium":    50,
		"aluminium": 51, "chromium": 52, "selenium": 53, "tin": 54, "lanthanum": 55, "total_phosphorus": 25, "organic_carbon": 26,
		"redox": 34, "tds": 35, "free_chlorine": 36, "total_chlorine": 37, "chloramine": 38, "sulfide": 39, "lead": 56, "arsenic": 57,
		"cadmium": 58, "mercury": 59, "silver": 60, "tungsten": 61, "rubidium": 62, "titanium": 63, "antimony": 64, "beryllium": 65,
		"light": 70, "water_level": 71, "flow": 72,
	} {
		if got, err := ParseAnalyte(key); err != nil || got != number {
			t.Errorf("%s has the number %d, %v, want %d", key, got, err, number)
		}
	}
}

func TestConservative(t *testing.T) {
	want := []Analyte{Calcium, Magnesium, Potassium, Strontium, Boron, Bromide, Fluoride, Sodium, Chloride, Sulfate}
	for _, i := range Catalogue() {
		if i.Conservative != slices.Contains(want, i.Analyte) {
			t.Errorf("%s: conservative is %v", i.Name, i.Conservative)
		}
	}
}

// Reference Composition at S 35 and 25 °C, Millero et al. 2008, in mg/L by the
// EOS-80 density, which is 2.4e-6 below that of the published mg/L; boron has
// had its atomic weight lowered by 9e-5 since.
func TestSeawaterValues(t *testing.T) {
	for a, c := range map[Analyte]struct{ value, tolerance float64 }{
		Sodium: {11033.13039, 3e-6}, Magnesium: {1313.685323, 3e-6}, Calcium: {421.7039033, 3e-6}, Potassium: {408.4204968, 3e-6},
		Strontium: {8.132767745, 3e-6}, Chloride: {19804.47663, 3e-6}, Sulfate: {2775.663768, 3e-6}, Bromide: {68.85515551, 3e-6},
		Fluoride: {1.327996828, 3e-6}, Boron: {4.592387811, 1e-4}, CarbonDi: {0.4337055582, 3e-6},
		TDS: {35986.0, 1e-4}, Alkalinity: {2.358165978, 3e-6}, Hardness: {10.52207953 + 54.05000302, 3e-6},
	} {
		i, _ := Lookup(a)
		near(t, i.Name.String(), i.Seawater, c.value, c.tolerance)
	}
}

func TestParseAnalyte(t *testing.T) {
	for text, want := range map[string]Analyte{
		"calcium": Calcium, " Ca ": Calcium, "CA": Calcium, "Ammonia (total)": Ammonia, "nh4": Ammonia,
		"KH": Alkalinity, "ph": PH, "sulphate": Sulfate, "aluminum": Aluminium, "co": Cobalt, "CO2": CarbonDi,
		"ORP": Redox, "Pb": Lead, "W": Tungsten, "hydrogen sulphide": Sulfide, "PAR": Light, "DOC": Organic, "Cl2": FreeChlorine,
		"Cl": Chloride,
	} {
		if got, err := ParseAnalyte(text); err != nil || got != want {
			t.Errorf("%q is %v, %v, want %v", text, got, err, want)
		}
	}
	if _, err := ParseAnalyte("phlogiston"); err == nil || !strings.Contains(err.Error(), "phlogiston") {
		t.Errorf("phlogiston gave %v", err)
	}
	for name, a := range otherNames {
		if got, err := ParseAnalyte(name); err != nil || got != a {
			t.Errorf("%q is %v, %v, want %v: another name hides it", name, got, err, a)
		}
	}
}

func TestAnalyteString(t *testing.T) {
	if got := Calcium.String(); got != "Calcium" {
		t.Errorf("calcium is %q", got)
	}
	if got := Analyte(99).String(); got != "analyte 99, of a newer version" {
		t.Errorf("analyte 99 is %q", got)
	}
}

func TestParseUnit(t *testing.T) {
	for _, c := range []struct {
		analyte Analyte
		text    string
		want    Unit
	}{
		{Alkalinity, "dkh", DKH},
		{Alkalinity, "°dKH", DKH},
		{Alkalinity, "KH", DKH},
		{Alkalinity, "dH", DKH},
		{Alkalinity, "ppm", CaCO3},
		{Alkalinity, "mg/L as CaCO3", CaCO3},
		{Alkalinity, "mmol/l", MeqL},
		{Alkalinity, "µmol/kg", UeqKg},
		{Hardness, "°dGH", DGH},
		{Hardness, "dH", DGH},
		{Hardness, "mmol/l", MmolL},
		{Hardness, "mval/L", MeqL},
		{Hardness, "°Clark", Clark},
		{Hardness, "°e", Clark},
		{Hardness, "GPG", GrainGallon},
		{Alkalinity, "°fH", FrenchDegree},
		{Alkalinity, "gpg", GrainGallon},
		{Lead, "ng/l", NgL},
		{Silicate, "ug/l si", UgSi},
		{Silicate, "ppb Si", UgSi},
		{Oxygen, "ml/l", MlL},
		{Oxygen, "mL/L O2", MlL},
		{Ammonia, "NH3-N", NH3N},
		{Ammonia, "mg/L NH4-N", NH4N},
		{Ammonia, "mg/L NH4", MgL},
		{AllChlorine, "mg/L Cl2", MgL},
		{TotalPhos, "mg/L P", MgL},
		{TotalPhos, "µg/L", UgL},
		{Light, "umol/m2/s", Photons},
		{Light, "PPFD", Photons},
		{Flow, "lph", LitreHour},
		{Flow, "gph", USGallonsHour},
		{WaterLevel, "inches", Inch},
		{Conductivity, "mg/l tds ×0.64", TDS64},
		{TDS, "ppm", MgL},
		{Calcium, "mg/l", MgL},
		{Calcium, "PPM", MgL},
		{Calcium, "mg/l ca", MgL},
		{Iodine, "ug/l", UgL},
		{Iodine, "μg/L", UgL},
		{Iodine, "ppb", UgL},
		{Phosphate, "mg/l po4", MgL},
		{Phosphate, "PO4-P", PO4P},
		{Phosphate, "ppb P", UgPO4P},
		{Phosphate, "µg/L PO4-P", UgPO4P},
		{Nitrate, "mg/L NO₃-N", NO3N},
		{Ammonia, "mg/l nh3", NH3},
		{Salinity, "ppt", PSU},
		{Salinity, "psu", PSU},
		{Salinity, "‰", PSU},
		{Salinity, "sg 25/25", SG25},
		{Salinity, "SG 60/60 °F", SG60F},
		{Salinity, "ms/cm", MilliSiemens},
		{Temperature, "c", Celsius},
		{Temperature, "° F", Fahrenheit},
		{PH, "", PHUnit},
		{PH, "PH", PHUnit},
	} {
		if got, err := ParseUnit(c.analyte, c.text); err != nil || got != c.want {
			t.Errorf("%s in %q is %q, %v, want %q", c.analyte, c.text, got, err, c.want)
		}
	}
	for _, c := range []struct {
		analyte Analyte
		text    string
		says    string
	}{
		{Salinity, "SG", "reference temperature"},
		{Calcium, "dKH", `Calcium is not given in "dKH": use mg/L, mg/L CaCO3, µg/L`},
		{Calcium, "", "use mg/L"},
		{Phosphate, "mg/L N", "Phosphate"},
		{Analyte(99), "mg/L", "no analyte 99"},
	} {
		if got, err := ParseUnit(c.analyte, c.text); err == nil || got != "" || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s in %q is %q, %v, want an error with %s", c.analyte, c.text, got, err, c.says)
		}
	}
	for _, i := range Catalogue() {
		for _, u := range i.Units {
			if got, err := ParseUnit(i.Analyte, strings.ToUpper(string(u))); err != nil || got != u {
				t.Errorf("%s in %s read back as %q, %v", i.Name, u, got, err)
			}
		}
	}
}

func FuzzParseUnit(f *testing.F) {
	for _, s := range []string{"dKH", "ug/l", "ppm", "SG", ""} {
		f.Add(4, s)
	}
	f.Fuzz(func(t *testing.T, a int, s string) {
		u, err := ParseUnit(Analyte(a), s)
		i, _ := Lookup(Analyte(a))
		if (err == nil) != i.Accepts(u) {
			t.Errorf("%q of %s gave %q, %v", s, i.Name, u, err)
		}
	})
}

func FuzzParseAnalyte(f *testing.F) {
	for _, s := range []string{"Ca", "KH", "ammonia (total)", " NO3", "µ", ""} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		a, err := ParseAnalyte(s)
		if _, known := Lookup(a); known != (err == nil) {
			t.Errorf("%q gave %v, %v", s, a, err)
		}
	})
}
