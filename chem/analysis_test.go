package chem

import (
	"errors"
	"maps"
	"math"
	"testing"
)

// want fails the test unless got is within the absolute tolerance of expected
// and there is no error.
func want(t *testing.T, what string, got float64, err error, expected, tolerance float64) {
	t.Helper()
	if err != nil || !(math.Abs(got-expected) <= tolerance) {
		t.Errorf("%s is %.10g, %v, want %.10g", what, got, err, expected)
	}
}

func reefWater() Analysis {
	return Analysis{Salinity: 35, Temperature: 25, Alkalinity: 2.8, PH: 8.2, Calcium: 420, Magnesium: 1300, Ammonia: 0.1, Oxygen: 6.4}
}

// Reference seawater itself departs from nothing and its charges cancel, at any
// salinity.
func TestReferenceSeawaterIsSound(t *testing.T) {
	for _, s := range []float64{1, 20, 35, 42} {
		a, err := ReferenceSeawater(s, 25)
		if err != nil {
			t.Fatal(err)
		}
		departures, err := a.AgainstSeawater()
		if err != nil || len(departures) != 10 {
			t.Fatalf("%d departures, %v", len(departures), err)
		}
		for _, d := range departures {
			want(t, d.Analyte.String(), d.Ratio(), nil, 1, 1e-12)
			want(t, d.Analyte.String(), d.Excess(), nil, 0, 1e-9)
		}
		b, err := a.ChargeBalance()
		// The atomic weights have moved by up to 9e-5 since 2005.
		want(t, "charge difference in per cent", b.Difference(), err, 0, 0.005)
		if !b.Sound() {
			t.Errorf("the sea's balance of %g %% is called unsound", b.Difference())
		}
		h, err := HardnessOf(a[Calcium], a[Magnesium])
		near(t, "hardness", h, a[Hardness], 1e-4)
		if err != nil {
			t.Error(err)
		}
	}
}

// Kester, Duedall, Connors and Pytkowicz 1967, Limnol. Oceanogr. 12, 176-179
// (recipe from memory): artificial seawater of 35 ‰, in grams and for the
// hydrated salts moles per kg. Our compounds must give the sea from it: the major
// ions within 1 %, and no charge.
func TestKesterSeawater(t *testing.T) {
	grams := map[string]float64{"NaCl": 23.926, "Na2SO4": 4.008, "KCl": 0.677, "NaHCO3": 0.196, "KBr": 0.098, "H3BO3": 0.026, "NaF": 0.003}
	for compound, moles := range map[string]float64{"MgCl2·6H2O": 0.05327, "CaCl2·2H2O": 0.01033, "SrCl2·6H2O": 0.00009} {
		grams[compound] = moles * molarMass(compound)
	}
	sea, err := ReferenceSeawater(35, 25)
	if err != nil {
		t.Fatal(err)
	}
	const kgPerLitre = 1.0233412
	made := Analysis{Salinity: 35}
	for compound, g := range grams {
		for a, v := range effects(t, solid(compound, 1)) {
			if a != Salinity {
				made[a] += v * g * kgPerLitre
			}
		}
	}
	for _, a := range []Analyte{Sodium, Magnesium, Calcium, Potassium, Chloride, Sulfate, Boron, Bromide, Strontium} {
		tolerance := 0.01
		if a == Boron || a == Bromide || a == Strontium || a == Potassium {
			tolerance = 0.03 // few digits, and a sea with less potassium
		}
		near(t, a.String(), made[a], sea[a], tolerance)
	}
	want(t, "alkalinity", made[Alkalinity], nil, sea[Alkalinity], 0.04)
	b, err := made.ChargeBalance()
	want(t, "charge difference in per cent", b.Difference(), err, 0, 1e-3)
}

// Standard Methods 1030 E: fresh waters are held to tighter differences.
func TestChargeBalanceOfFreshWater(t *testing.T) {
	tap := Analysis{Sodium: 23, Magnesium: 12.15, Calcium: 40, Potassium: 3.9, Chloride: 35.5, Sulfate: 48, Alkalinity: 2}
	b, err := tap.ChargeBalance()
	want(t, "cations", b.Cations, err, 1.0+1.0+2.0+0.1, 0.01)
	want(t, "anions", b.Anions, err, 1.0+1.0+2.0, 0.01)
	if b.Acceptable != 2 || !b.Sound() {
		t.Errorf("%+v", b)
	}
	soft := Analysis{Sodium: 2.3, Magnesium: 1.2, Calcium: 4, Potassium: 0.4, Chloride: 3.5, Sulfate: 4.8, Alkalinity: 0.5}
	b, err = soft.ChargeBalance()
	want(t, "acceptable", b.Acceptable, err, 100*0.2/(b.Cations+b.Anions), 1e-12)
	if b.Sound() { // 0.41 of cations beside 0.70
		t.Errorf("%g %% is called sound", b.Difference())
	}
	tap[Nitrate] = 62
	more, err := tap.ChargeBalance()
	want(t, "anions with nitrate", more.Anions, err, 5.0, 0.01)
}

func TestMissing(t *testing.T) {
	all := reefWater()
	all[Conductivity] = 53000
	for _, c := range []struct {
		name    string
		without []Analyte
		call    func(a Analysis) error
		text    string
	}{
		{"sea", []Analyte{Salinity}, func(a Analysis) error { _, err := a.AgainstSeawater(); return err },
			"the comparison with the sea needs salinity: measure it in the same water"},
		{"charge", nil, func(a Analysis) error { _, err := a.ChargeBalance(); return err },
			"the charge balance needs sodium, potassium, chloride, sulfate: measure it in the same water"},
		{"carbonates", []Analyte{PH}, func(a Analysis) error { _, err := a.Carbonates(nbs); return err },
			"the carbon dioxide system needs pH: measure it in the same water"},
		{"carbon", []Analyte{Temperature}, func(a Analysis) error { _, err := a.CarbonatesOfDIC(2, nbs); return err },
			"the carbon dioxide system needs temperature: measure it in the same water"},
		{"air", []Analyte{Salinity, Conductivity},
			func(a Analysis) error { _, err := a.CarbonatesInAir(400, nbs); return err },
			"this needs salinity: measure it in the same water"},
		{"ammonia", []Analyte{Ammonia}, func(a Analysis) error { _, err := a.UnionizedAmmonia(nbs); return err },
			"un-ionised ammonia needs ammonia (total): measure it in the same water"},
		{"ammonia of unknown water", []Analyte{Salinity, Conductivity},
			func(a Analysis) error { _, err := a.UnionizedAmmonia(nbs); return err },
			"this needs salinity: measure it in the same water"},
		{"oxygen", []Analyte{Oxygen}, func(a Analysis) error { _, err := a.OxygenSaturation(Conventions{}); return err },
			"oxygen saturation needs oxygen: measure it in the same water"},
		{"oxygen of unknown water", []Analyte{Salinity, Conductivity},
			func(a Analysis) error {
				_,
					err := a.OxygenSaturation(Conventions{})
				return err
			}, "this needs salinity: measure it in the same water"},
		{"response", []Analyte{PH}, func(a Analysis) error { _, err := a.Response(AlkalinityDose{}, 400, nbs); return err },
			"the carbon dioxide system needs pH: measure it in the same water"},
	} {
		a := maps.Clone(all)
		for _, x := range c.without {
			delete(a, x)
		}
		err := c.call(a)
		if !errors.As(err, new(*MissingError)) || err.Error() != c.text {
			t.Errorf("%s gave %q, want %q", c.name, err, c.text)
		}
	}
}

func TestAnalysisOutOfRange(t *testing.T) {
	with := func(x Analyte, v float64) Analysis {
		a := reefWater()
		a[x] = v
		return a
	}
	fresh := Analysis{Salinity: 0.2, Temperature: 25, Alkalinity: 2, PH: 7, Ammonia: 1}
	brine := Analysis{Conductivity: 90000, Temperature: 25, Alkalinity: 2, PH: 7}
	for _, c := range []struct {
		name     string
		call     func() error
		quantity string
	}{
		{"sea of S 90", func() error { _, err := with(Salinity, 90).AgainstSeawater(); return err }, "salinity"},
		{"reference of S −1", func() error { _, err := ReferenceSeawater(-1, 25); return err }, "salinity"},
		{"carbonates of S 90", func() error { _, err := with(Salinity, 90).Carbonates(Conventions{}); return err }, "salinity"},
		{"carbonates of pH 20", func() error { _, err := with(PH, 20).Carbonates(Conventions{}); return err }, "pH"},
		{"carbonates of no scale", func() error { _, err := reefWater().Carbonates(Conventions{Scale: 9}); return err }, "pH scale"},
		{"air of no scale", func() error { _, err := reefWater().CarbonatesInAir(400, Conventions{Scale: 9}); return err }, "pH scale"},
		{"carbonates in ice", func() error { _, err := with(Temperature, -1).Carbonates(Conventions{}); return err }, "temperature"},
		{"fresh pH 20", func() error {
			fresh := maps.Clone(fresh)
			fresh[PH] = 20
			_, err := fresh.Carbonates(nbs)
			return err
		}, "pH"},
		{"a conductivity beyond the sea's", func() error { _, err := brine.Carbonates(nbs); return err }, "conductivity"},
		{"ammonia below no salt", func() error { _, err := with(Salinity, -1).UnionizedAmmonia(nbs); return err }, "salinity"},
		{"air of no pressure", func() error { _, err := reefWater().AirPCO2(425, Conventions{Pressure: 0.2}); return err },
			"barometric pressure"},
		{"air of nothing but CO2", func() error { _, err := reefWater().AirPCO2(1e6, Conventions{}); return err },
			"carbon dioxide of the air"},
		{"ammonia of pH 20", func() error { _, err := with(PH, 20).UnionizedAmmonia(Conventions{}); return err }, "pH"},
		{"ammonia of S 42", func() error { _, err := with(Salinity, 42).UnionizedAmmonia(Conventions{}); return err }, "salinity"},
		{"ammonia of S 90", func() error { _, err := with(Salinity, 90).UnionizedAmmonia(Conventions{}); return err }, "salinity"},
		{"ammonia in ice", func() error { _, err := with(Temperature, -1).UnionizedAmmonia(Conventions{}); return err },
			"temperature"},
		{"fresh ammonia of pH 20", func() error {
			fresh := maps.Clone(fresh)
			fresh[PH] = 20
			_, err := fresh.UnionizedAmmonia(nbs)
			return err
		}, "pH"},
		{"oxygen in vacuum", func() error { _, err := reefWater().OxygenSaturation(Conventions{Pressure: 0.1}); return err },
			"barometric pressure"},
		{"sea of NaN calcium", func() error { _, err := with(Calcium, math.NaN()).AgainstSeawater(); return err }, "calcium"},
		{"sea of −1 strontium", func() error { _, err := with(Strontium, -1).AgainstSeawater(); return err }, "strontium"},
		{"charge of ∞ strontium", func() error {
			a := maps.Clone(mustReference(35, 25))
			a[Strontium] = math.Inf(1)
			_, err := a.ChargeBalance()
			return err
		}, "strontium"},
		{"charge of −1 meq/L", func() error {
			a := maps.Clone(mustReference(35, 25))
			a[Alkalinity] = -1
			_, err := a.ChargeBalance()
			return err
		}, "alkalinity"},
		{"ammonia of −1", func() error { _, err := with(Ammonia, -1).UnionizedAmmonia(Conventions{}); return err },
			"ammonia (total)"},
		{"a dose of NaN", func() error { _, err := solid("NaHCO3", 1).AlkalinityDose(math.NaN(), 100); return err }, "amount"},
		{"top-off of NaN nitrate", func() error {
			_, err := (TopOff{Litres: 1, Source: Analysis{Nitrate: math.NaN()}}).CarryOver()
			return err
		}, "nitrate"},
		{"changes with −1 nitrate", func() error {
			_, err := (TopOff{Litres: 1, DailyChange: 0.1, Source: Analysis{Nitrate: 1}, Change: Analysis{Nitrate: -1}}).Settles()
			return err
		}, "nitrate"},
		{"hardness of NaN", func() error { _, err := HardnessOf(math.NaN(), 1); return err }, "calcium"},
		{"hardness of salt", func() error { _, err := HardnessOf(1, 1e6); return err }, "magnesium"},
		{"a dose of lye", func() error {
			_, err := reefWater().Response(AlkalinityDose{Alkalinity: -5}, 400, nbs)
			return err
		}, "alkalinity"},
		{"air without CO2", func() error { _, err := reefWater().Response(AlkalinityDose{}, 0, nbs); return err },
			"partial pressure of CO2"},
	} {
		var e RangeError
		if err := c.call(); !errors.As(err, &e) || e.Quantity.String() != c.quantity {
			t.Errorf("%s gave %v", c.name, err)
		}
	}
}
