package session

import (
	"math"
	"testing"

	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/theme"

	"weirkeeper/app/look"
	"weirkeeper/app/prefs"
	"weirkeeper/chem"
)

// A volume is shown and typed in the person's unit, read in any, and kept in
// litres. A US gallon is 3.785 411 784 L by definition.
func TestVolumeEntry(t *testing.T) {
	test.NewTempApp(t).Settings().SetTheme(look.New(theme.VariantLight))
	for name, c := range map[string]struct {
		unit  chem.VolumeUnit
		kept  float64
		shown string
		typed string
		want  float64
	}{
		"litres":             {chem.Litre, 350.4, "350", "12,5", 12.5},
		"gallons":            {chem.USGallon, 350.4, "92.6", "10", 37.85411784},
		"nothing":            {chem.Litre, 0, "", "1 US gal", 3.785411784},
		"litres for gallons": {chem.USGallon, 0, "", "20 L", 20},
	} {
		t.Run(name, func(t *testing.T) {
			s := &Session{Prefs: prefs.Preferences{Volume: c.unit}}
			e := s.VolumeEntry(c.kept, 0)
			if e.Text() != c.shown {
				t.Errorf("%g L is shown as %q, want %q", c.kept, e.Text(), c.shown)
			}
			e.SetText(c.typed)
			if v, err := e.Value(); err != nil || math.Abs(v-c.want) > 1e-9 {
				t.Errorf("%q is %g L, %v", c.typed, v, err)
			}
		})
	}
}

// A value is shown and typed in the person's unit, in the water that it is of:
// fresh water weighs 0.99705 kg/L (EOS-80 at 25 °C), 1 dKH is 0.35663 meq/L.
func TestValueEntry(t *testing.T) {
	test.NewTempApp(t).Settings().SetTheme(look.New(theme.VariantLight))
	s := &Session{Prefs: prefs.Preferences{Alkalinity: chem.DKH}}
	alk := s.ValueEntry(chem.Alkalinity, chem.Water{})
	alk.SetValue(2.85304)
	if alk.Text() != "8" {
		t.Errorf("2.85304 meq/L is shown as %q", alk.Text())
	}
	for text, want := range map[string]float64{"8.4": 8.4 * 0.35663, "3 meq/L": 3} {
		alk.SetText(text)
		if v, err := alk.Value(); err != nil || math.Abs(v-want) > 3e-4 {
			t.Errorf("%q is %g meq/L, %v", text, v, err)
		}
	}
	alk.Limits = true
	alk.SetText("<0.5")
	if _, sign, err := alk.Bound(); sign != "<" || err != nil {
		t.Errorf("a bound is %q, %v", sign, err)
	}
	ca := s.ValueEntry(chem.Calcium, chem.WaterOf(0))
	ca.SetText("100 mg/kg")
	if v, err := ca.Value(); err != nil || math.Abs(v-99.705) > 0.01 {
		t.Errorf("100 mg/kg of fresh water is %g mg/L, %v", v, err)
	}
	if u := valueUnit(chem.Calcium, chem.MgKg, chem.WaterOf(0)); u.Name != "mg/kg" || u.Decimals != chem.Decimals(chem.Calcium, chem.MgKg) {
		t.Errorf("the unit is %+v", u)
	} else if v, err := u.Of(99.705); err != nil || math.Abs(v-100) > 0.01 {
		t.Errorf("99.705 mg/L are %g mg/kg, %v", v, err)
	}
}

// Lists offer what is asked for, and a zone that goes by another name stays one.
func TestOptions(t *testing.T) {
	some := AnalyteOptions(func(a chem.Analyte) bool { return a == chem.Calcium || a == chem.Iron })
	if len(some) != 2 || len(AnalyteOptions(nil)) != len(chem.Catalogue()) {
		t.Errorf("%d of two, %d of all %d", len(some), len(AnalyteOptions(nil)), len(chem.Catalogue()))
	}
	all := ZoneOptions("Europe/Paris")
	other := ZoneOptions("Europe/Kyiv_of_old")
	if len(other) != len(all)+1 || other[0].Value != "Europe/Kyiv_of_old" || len(ZoneOptions("")) != len(all) {
		t.Errorf("%d zones with another, %d without, the first is %q", len(other), len(all), other[0].Value)
	}
	names := map[string]string{}
	for _, o := range all {
		names[o.Value] = o.Detail
	}
	if names["America/New_York"] != "New York, United States" || names["Europe/Paris"] != "France" {
		t.Errorf("New York is in %q, Paris in %q", names["America/New_York"], names["Europe/Paris"])
	}
}
