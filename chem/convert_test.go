package chem

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"weirkeeper/chem/seawater"
)

func TestConvert(t *testing.T) {
	for _, c := range []struct {
		name      string
		analyte   Analyte
		v         float64
		from, to  Unit
		want      float64
		tolerance float64
	}{
		// Definition of the German degree, 10 mg/L CaO, and CIAAW 2021 weights.
		{"1 meq/L is 2.804 dKH", Alkalinity, 1, MeqL, DKH, 2.804, 2e-4},
		{"1 dKH is 17.848 mg/L CaCO3", Alkalinity, 1, DKH, CaCO3, 17.848, 1e-5},
		{"1 dGH is 17.848 mg/L CaCO3", Hardness, 1, DGH, CaCO3, 17.848, 1e-5},
		// Definition of the Fahrenheit scale.
		{"77 °F", Temperature, 77, Fahrenheit, Celsius, 25, 1e-15},
		{"25 °C", Temperature, 25, Celsius, Fahrenheit, 77, 1e-15},
		{"traces", Iodine, 60, UgL, MgL, 0.06, 1e-15},
		{"conductivity", Conductivity, 53, MilliSiemens, MicroSiemens, 53000, 1e-15},
		// A factor that stands on the meter: what it shows over µS/cm.
		{"solids of a meter with 0.5", Conductivity, 1000, MicroSiemens, TDS50, 500, 1e-14},
		{"solids of a meter with 0.64", Conductivity, 1000, MicroSiemens, TDS64, 640, 1e-14},
		{"solids of a meter with 0.7", Conductivity, 350, TDS70, MicroSiemens, 500, 1e-14},
		{"2 meq/L of hardness are 1 mmol/L", Hardness, 2, MeqL, MmolL, 1, 1e-15},
		{"nanograms", Lead, 250, NgL, UgL, 0.25, 1e-14},
		// Garcia and Gordon 1992: at S 35 and 10 °C 6.315 mL/L are 282.015 µmol/L.
		{"oxygen by volume", Oxygen, 6.315, MlL, UmolL, 282.015, 1e-4},
		{"an inch", WaterLevel, 1, Inch, Millimetre, 25.4, 1e-14},
		{"litres a minute", Flow, 2, LitreMinute, LitreHour, 120, 1e-14},
		{"grams of solids", TDS, 1.5, GL, MgL, 1500, 1e-14},
		// salinity_conductivity.csv, PSS-78: the row of S 36.7362.
		{"absolute salinity, by the Reference Composition of Millero et al. 2008", Salinity, 35.16504, GramKg, PSU, 35, 1e-12},
		{"salinity of 55.40 mS/cm", Salinity, 55.40163854, MilliSiemens, PSU, 36.73621042, 1e-9},
		// Millero et al. 2008: 412.084358 mg/kg are 421.7039 mg/L by TEOS-10
		// density, which is 2e-6 above EOS-80's.
		{"calcium of seawater", Calcium, 412.084358, MgKg, MgL, 421.7039033, 3e-6},
		{"calcium of seawater by amount", Calcium, 10282.05893, UmolKg, MgL, 421.7039033, 1e-5},
	} {
		got, err := Convert(c.analyte, c.v, c.from, c.to, Water{})
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
		near(t, c.name, got, c.want, c.tolerance)
	}
}

// unit_factors.csv, computed from the CIAAW 2021 conventional weights.
func TestUnitFactors(t *testing.T) {
	factors := map[string]float64{}
	for _, row := range readTable(t, "unit_factors.csv") {
		factors[row["name"]] = number(t, row["factor"])
	}
	for _, c := range []struct {
		name     string
		analyte  Analyte
		from, to Unit
	}{
		{"dKH_meqL", Alkalinity, DKH, MeqL},
		{"meqL_dKH", Alkalinity, MeqL, DKH},
		{"dKH_mgL_CaCO3", Alkalinity, DKH, CaCO3},
		{"meqL_mgL_CaCO3", Alkalinity, MeqL, CaCO3},
		{"dGH_mmolL", Hardness, DGH, MmolL},
		{"dGH_mgL_CaCO3", Hardness, DGH, CaCO3},
		{"French_degree_mgL_CaCO3", Hardness, FrenchDegree, CaCO3},
		{"French_degree_mmolL", Hardness, FrenchDegree, MmolL},
		{"dGH_per_French_degree", Hardness, FrenchDegree, DGH},
		{"CaCO3_to_Ca", Calcium, CaCO3, MgL},
		{"CaCO3_to_Mg", Magnesium, CaCO3, MgL},
		{"PO4_per_P", Phosphate, PO4P, MgL},
		{"P_per_PO4", Phosphate, MgL, PO4P},
		{"NO3_per_N", Nitrate, NO3N, MgL},
		{"N_per_NO3", Nitrate, MgL, NO3N},
		{"NO2_per_N", Nitrite, NO2N, MgL},
		{"NH4_per_N", Ammonia, NH4N, MgL},
		{"SiO2_per_Si", Silicate, Si, MgL},
		{"mgL_O2_per_mmolL", Oxygen, MmolL, MgL},
		{"English_degree_mgL_CaCO3", Hardness, Clark, CaCO3},
		{"US_gpg_mgL_CaCO3", Hardness, GrainGallon, CaCO3},
		{"English_degree_mgL_CaCO3", Alkalinity, Clark, CaCO3},
		{"US_gpg_mgL_CaCO3", Alkalinity, GrainGallon, CaCO3},
		{"French_degree_mgL_CaCO3", Alkalinity, FrenchDegree, CaCO3},
		{"N_per_NH4", Ammonia, MgL, NH3N},
		{"SiO2_per_Si", Silicate, UgSi, UgL},
		{"US_gallon_L", Flow, USGallonsHour, LitreHour},
	} {
		got, err := Convert(c.analyte, 1, c.from, c.to, Water{})
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
		near(t, c.name, got, factors[c.name], 1e-9)
	}
	nh3, err := Convert(Ammonia, 1, NH3, NH4N, Water{})
	if err != nil {
		t.Error(err)
	}
	near(t, "N per NH3", nh3, factors["N_per_NH3"], 1e-9)
	ug, err := Convert(Phosphate, 1, PO4P, UgPO4P, Water{})
	if err != nil {
		t.Error(err)
	}
	near(t, "µg per mg", ug, 1000, 1e-14)
}

func TestWaterDensity(t *testing.T) {
	for _, c := range []struct {
		name  string
		water Water
		want  float64 // kg/L, EOS-80 check values of UNESCO 1983 at these temperatures
	}{
		{"of salinity not known", Water{}, 1.02334},
		{"the sea", WaterOf(35), 1.02334},
		{"fresh", WaterOf(0), 0.99704},
		{"of salinity not known, cold", Water{Temperature: 5}, 1.02768},
		{"cold", Water{salinity: 35, known: true, Temperature: 5}, 1.02768},
	} {
		got, err := Convert(Magnesium, 1, MgKg, MgL, c.water)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
		near(t, c.name, got, c.want, 1e-5)
	}
}

func TestConvertRefuses(t *testing.T) {
	var unit *UnitError
	if _, err := Convert(Phosphate, 1, PO4P, NO3N, Water{}); !errors.As(err, &unit) || unit.Unit != NO3N || unit.Analyte != Phosphate {
		t.Errorf("to another species' unit: %v", err)
	}
	if _, err := Convert(Phosphate, 1, NO3N, MgL, Water{}); !errors.As(err, &unit) || unit.Unit != NO3N {
		t.Errorf("from another species' unit: %v", err)
	}
	if _, err := Convert(99, 1, MgL, MgL, Water{}); err == nil || !strings.Contains(err.Error(), "no analyte 99") {
		t.Errorf("unknown analyte: %v", err)
	}
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		if got, err := Convert(Calcium, v, MgL, MgL, Water{}); err == nil || got != 0 {
			t.Errorf("%g became %g", v, got)
		}
	}
	var out seawater.RangeError
	for _, c := range []struct {
		name     string
		analyte  Analyte
		v        float64
		from, to Unit
		water    Water
		quantity string
	}{
		{"absurd gravity", Salinity, 1.2, SG25, PSU, Water{}, "specific gravity at 25/25 °C"},
		{"absurd salinity", Salinity, 90, PSU, MilliSiemens, Water{}, "salinity"},
		{"below absolute zero", Temperature, -300, Celsius, Fahrenheit, Water{}, "temperature"},
		{"below absolute zero in its own unit", Temperature, -300, Celsius, Celsius, Water{}, "temperature"},
		{"below absolute zero in Fahrenheit", Temperature, -460, Fahrenheit, Celsius, Water{}, "temperature"},
		{"absurd water from", Calcium, 400, MgKg, MgL, WaterOf(90), "salinity"},
		{"absurd water to", Calcium, 400, MgL, MgKg, Water{Temperature: 90}, "temperature"},
	} {
		if got, err := Convert(c.analyte, c.v, c.from, c.to, c.water); !errors.As(err, &out) || out.Quantity.String() != c.quantity ||
			got != 0 {
			t.Errorf("%s: %g, %v", c.name, got, err)
		}
	}
}

// Every value comes back from every unit.
func TestConversionsRoundTrip(t *testing.T) {
	all := Catalogue()
	rapid.Check(t, func(t *rapid.T) {
		i := rapid.SampledFrom(all).Draw(t, "analyte")
		from := rapid.SampledFrom(i.Units).Draw(t, "from")
		to := rapid.SampledFrom(i.Units).Draw(t, "to")
		w := anyWater(t, from, to)
		c := rapid.Float64Range(i.Low, i.High).Draw(t, "canonical")
		v, err := Convert(i.Analyte, c, i.Unit, from, w)
		if err != nil {
			t.Fatal(err)
		}
		there, err := Convert(i.Analyte, v, from, to, w)
		if err != nil {
			t.Fatal(err)
		}
		back, err := Convert(i.Analyte, there, to, i.Unit, w)
		if err != nil {
			t.Fatal(err)
		}
		// Specific gravity holds salinity in its last digits: a part in 1e16 of
		// it is 2e-13 PSU.
		if math.Abs(back-c) > 2e-12*math.Max(1, math.Abs(c)) {
			t.Fatalf("%s: %g %s became %g %s, %g %s, and came back as %g", i.Name, c, i.Unit, v, from, there, to, back)
		}
	})
}

func TestConvertDelta(t *testing.T) {
	for _, c := range []struct {
		name      string
		analyte   Analyte
		at, delta float64
		from, to  Unit
		want      float64
		tolerance float64
	}{
		{"proportional", Alkalinity, 3, 0.35665246, MeqL, DKH, 1, 1e-9},
		{"proportional, no cancellation", Calcium, 420, 1e-9, MgL, UgL, 1e-6, 1e-14},
		{"temperature", Temperature, 25, 2, Celsius, Fahrenheit, 3.6, 1e-13},
		// From density_sg.csv's equation, EOS-80.
		{"gravity", Salinity, 35, 1, PSU, SG25, 7.6e-4, 0.01},
		{"below the edge", Salinity, 0, -1, PSU, SG25, -7.6e-4, 0.02},
		{"above the edge", Salinity, 42, 1, PSU, SG25, 7.6e-4, 0.02},
	} {
		got, err := ConvertDelta(c.analyte, c.at, c.delta, c.from, c.to, Water{})
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
		near(t, c.name, got, c.want, c.tolerance)
	}
	for _, c := range []struct {
		name      string
		at, delta float64
		from, to  Unit
	}{
		{"unit from", 35, 1, MgL, PSU},
		{"unit to", 35, 1, PSU, MgL},
		{"value", 90, 1, PSU, SG25},
		{"delta", 35, 90, PSU, SG25},
	} {
		if got, err := ConvertDelta(Salinity, c.at, c.delta, c.from, c.to, Water{}); err == nil {
			t.Errorf("%s is taken, %g", c.name, got)
		}
	}
}

func TestFormat(t *testing.T) {
	for _, c := range []struct {
		analyte Analyte
		v       float64
		unit    Unit
		want    string
	}{
		{Alkalinity, 3, DKH, "8.4"},
		{Alkalinity, 3, MeqL, "3.00"},
		{Calcium, 421.7, MgL, "422"},
		{Salinity, 35, SG25, "1.0264"},
		{Salinity, 35, PSU, "35.0"},
		{Phosphate, 0.05, MgL, "0.050"},
		{Phosphate, 0.05, UgPO4P, "16"},
		{Temperature, 25, Fahrenheit, "77.0"},
		{Temperature, -1.5, Celsius, "\u22121.5"},
		{Temperature, -0.04, Celsius, "0.0"},
		{Iodine, 60, UgL, "60.0"},
		{Calcium, math.NaN(), MgL, "?"},
		{Salinity, 90, SG25, "?"},
		{Calcium, 400, DKH, "?"},
		{99, 400, MgL, "?"},
	} {
		if got := Format(c.analyte, c.v, c.unit, Water{}); got.String() != c.want {
			t.Errorf("%s of %g in %s is %q, want %q", c.analyte, c.v, c.unit, got, c.want)
		}
	}
	if got := Decimals(Calcium, DKH); got != 0 {
		t.Errorf("calcium in dKH has %d decimals", got)
	}
}

// anyWater is a water in which values in some units can be told.
func anyWater(t *rapid.T, units ...Unit) Water {
	w := Water{salinity: rapid.Float64Range(0, 42).Draw(t, "S"), known: rapid.Bool().Draw(t, "S is known"),
		Temperature: rapid.Float64Range(1, 35).Draw(t, "T")}
	if slices.Contains(units, Saturation) {
		w.known = true
		w = w.Under(rapid.Float64Range(0, 40).Draw(t, "warmth"), rapid.Float64Range(0.5, 1.1).Draw(t, "pressure"))
	}
	return w
}

// A value in % of saturation is of what air gives at the water's own temperature and
// salinity and the pressure over it. APHA Standard Methods, table 4500-O:I
// (oxygen_freshwater_apha.csv): 9.092 mg/L at 20 °C in fresh water. At 18.2 °C, S 35 and
// one atmosphere 7.63 mg/L (Benson and Krause 1984 by [seawater.OxygenSolubility]).
func TestOxygenInPercent(t *testing.T) {
	fresh := WaterOf(0).Under(20, 0)
	got, err := Convert(Oxygen, 98, Saturation, MgL, fresh)
	want(t, "98 % of fresh water", got, err, 0.98*9.092, 0.002)
	got, err = Convert(Oxygen, 9.092, MgL, Saturation, fresh)
	want(t, "and back", got, err, 100, 0.03)
	got, err = Convert(Oxygen, 100, Saturation, MlL, fresh)
	want(t, "in mL/L", got, err, 9.092/31.998*22.3916, 0.002)
	full, err := seawater.OxygenSolubility(35, 18.2, 1)
	got, err2 := Convert(Oxygen, 50, Saturation, MgL, WaterOf(35).Under(18.2, 1))
	want(t, "half of the sea's", got, errors.Join(err, err2), full/2, 1e-12)
	// At 1500 m, 0.8345 atm (ISO 2533:1975); the pressure factor of 4500-O by hand: 0.8307.
	got, err = Convert(Oxygen, 100, Saturation, MgL, WaterOf(0).Under(20, 0.8345))
	want(t, "higher up", got, err, 9.092*0.8307, 0.01)
	for name, c := range map[string]struct {
		w    Water
		want string
	}{
		"temperature": {WaterOf(0), "oxygen in % of saturation needs temperature: measure it in the same water"},
		"salinity":    {Water{}.Under(20, 0), "oxygen in % of saturation needs salinity: measure it in the same water"},
		"both":        {Water{}, "oxygen in % of saturation needs temperature, salinity: measure it in the same water"},
	} {
		var missing *MissingError
		if got, err := Convert(Oxygen, 98, Saturation, MgL, c.w); !errors.As(err, &missing) || missing.Error() != c.want || got != 0 {
			t.Errorf("without %s: %g, %v", name, got, err)
		}
		if Format(Oxygen, 8, Saturation, c.w) != "?" {
			t.Errorf("without %s it is shown", name)
		}
	}
	if _, err := Convert(Oxygen, 98, Saturation, MgL, WaterOf(0).Under(41, 1)); !errors.As(err, new(RangeError)) {
		t.Errorf("at 41 °C: %v", err)
	}
	if !NeedsWater(Oxygen, Saturation) || NeedsWater(Oxygen, MlL) {
		t.Error("what needs its water")
	}
}
