package tanks

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"weirkeeper/chem"
)

// What can be two things is asked about at its place: a comma that may divide
// thousands where both can be (magnesium has 1.28 and 1280 mg/L alike), and a specific
// gravity typed for PSU.
func TestReadTypedAsks(t *testing.T) {
	for _, c := range []struct {
		name  string
		typed Typed
		want  float64
		says  string
	}{
		{"two ways", Typed{Analyte: chem.Magnesium, Text: "1,280", Unit: chem.MgL}, 0,
			`"1,280" can be 1.280 or 1280: type the one that is meant, without the comma`},
		{"two ways with a unit", Typed{Analyte: chem.Magnesium, Text: "<1,280 mg/L"}, 0,
			`"<1,280 mg/L" can be <1.280 mg/L or <1280 mg/L: type the one that is meant, without the comma`},
		{"a comma that was said to be the mark", Typed{Analyte: chem.Magnesium, Text: "1,280", Unit: chem.MgL, Comma: true}, 1.28, ""},
		{"a point", Typed{Analyte: chem.Magnesium, Text: "1.280", Unit: chem.MgL}, 1.28, ""},
		{"only one can be", Typed{Analyte: chem.PH, Text: "8,100", Unit: chem.PHUnit}, 8.1, ""},
		{"a zero first", Typed{Analyte: chem.Magnesium, Text: "0,280", Unit: chem.MgL}, 0.28, ""},
		{"two decimals", Typed{Analyte: chem.Magnesium, Text: "1,28", Unit: chem.MgL}, 1.28, ""},
		{"four decimals", Typed{Analyte: chem.Magnesium, Text: "1,2805", Unit: chem.MgL}, 1.2805, ""},
		{"four digits before", Typed{Analyte: chem.Sodium, Text: "1280,500", Unit: chem.MgL}, 1280.5, ""},
		{"a gravity in PSU", Typed{Analyte: chem.Salinity, Text: "1.025", Unit: chem.PSU}, 0,
			"1.025 is a specific gravity and no PSU: type it with its scale, such as 1.025 SG 25/25, or a PSU with its unit"},
		{"the lightest", Typed{Analyte: chem.Salinity, Text: "1.000", Unit: chem.PSU}, 0,
			"1.000 is a specific gravity and no PSU: type it with its scale, such as 1.000 SG 25/25, or a PSU with its unit"},
		{"a gravity with a comma", Typed{Analyte: chem.Salinity, Text: "1,0264", Unit: chem.PSU}, 0,
			"1,0264 is a specific gravity and no PSU: type it with its scale, such as 1,0264 SG 25/25, or a PSU with its unit"},
		{"a PSU with its unit", Typed{Analyte: chem.Salinity, Text: "1.025 PSU", Unit: chem.PSU}, 1.025, ""},
		{"a PSU of one decimal", Typed{Analyte: chem.Salinity, Text: "1.0", Unit: chem.PSU}, 1, ""},
		{"a PSU beyond gravities", Typed{Analyte: chem.Salinity, Text: "1.250", Unit: chem.PSU}, 1.25, ""},
		{"sea", Typed{Analyte: chem.Salinity, Text: "35.025", Unit: chem.PSU}, 35.025, ""},
	} {
		v, err := ReadTyped(c.typed)
		if c.says != "" {
			if err == nil || err.Error() != c.says || v != (Value{}) {
				t.Errorf("%s: %+v, %v, want %s", c.name, v, err, c.says)
			}
			continue
		}
		if err != nil || math.Abs(v.Canonical-c.want) > 1e-9 {
			t.Errorf("%s: %g, %v, want %g", c.name, v.Canonical, err, c.want)
		}
	}
}

// Salinities of gravities are by EOS-80, which package seawater holds against
// outside values.
func TestReadTyped(t *testing.T) {
	sea, fresh := chem.WaterOf(35), chem.WaterOf(0)
	cases := map[string]struct {
		typed Typed
		want  float64
		limit Limit
		unit  chem.Unit
	}{
		"a number":                     {Typed{Analyte: chem.Calcium, Text: " 420 ", Unit: chem.MgL}, 420, Exact, chem.MgL},
		"with a comma":                 {Typed{Analyte: chem.Temperature, Text: "25,4", Unit: chem.Celsius}, 25.4, Exact, chem.Celsius},
		"below the limit of detection": {Typed{Analyte: chem.Phosphate, Text: "<0.02", Unit: chem.MgL}, 0.02, Below, chem.MgL},
		"above the range":              {Typed{Analyte: chem.Nitrate, Text: "> 100", Unit: chem.MgL}, 100, Above, chem.MgL},
		"above the range, with its unit": {
			Typed{Analyte: chem.Nitrate, Text: ">20 mg/L NO3-N", Unit: chem.MgL},
			20 * 62.004 / 14.007,
			Above,
			chem.NO3N,
		}, // CIAAW atomic weights
		"in the unit of the column": {
			Typed{Analyte: chem.Alkalinity, Text: "8.3", Unit: chem.DKH},
			8.3 * 0.35663,
			Exact,
			chem.DKH,
		}, // 1 dKH is 10 mg/L CaO: 20/56.077 meq/L
		"in another unit": {Typed{Analyte: chem.Alkalinity, Text: "3 meq/l", Unit: chem.DKH}, 3, Exact, chem.MeqL},
		"in the trade's word for it": {
			Typed{Analyte: chem.Alkalinity, Text: "8.3 KH", Unit: chem.MeqL},
			8.3 * 0.35663,
			Exact,
			chem.DKH,
		},
		"a unit close behind the number": {
			Typed{Analyte: chem.Temperature, Text: "77°F", Unit: chem.Celsius},
			25,
			Exact,
			chem.Fahrenheit,
		},
		"gravity on the column's scale": {Typed{Analyte: chem.Salinity, Text: "1.026 sg", Unit: chem.SG20}, 34.21, Exact, chem.SG20},
		"gravity on the person's scale": {
			Typed{Analyte: chem.Salinity, Text: "1.026 SG", Unit: chem.PSU, Own: chem.SG25},
			34.5,
			Exact,
			chem.SG25,
		},
		"by mass, of the sea": {
			Typed{Analyte: chem.Calcium, Text: "400 mg/kg", Unit: chem.MgL, Water: sea},
			400 * 1.02334,
			Exact,
			chem.MgKg,
		},
		"by mass, of fresh water": {
			Typed{Analyte: chem.Calcium, Text: "30 mg/kg", Unit: chem.MgL, Water: fresh},
			30 * 0.99704,
			Exact,
			chem.MgKg,
		},
		"a salinity of zero":              {Typed{Analyte: chem.Salinity, Text: "0", Unit: chem.PSU}, 0, Exact, chem.PSU},
		"pH without a unit of the column": {Typed{Analyte: chem.PH, Text: "8.1"}, 8.1, Exact, chem.PHUnit},
		"grouped by a space, with a unit": {Typed{Analyte: chem.Magnesium, Text: "1 320 ppm", Unit: chem.MgKg}, 1320, Exact, chem.MgL},
		"a true minus and no-break spaces": {
			Typed{Analyte: chem.Temperature, Text: "\u22121\u00a0°C", Unit: chem.Fahrenheit},
			-1,
			Exact,
			chem.Celsius,
		},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			v, err := ReadTyped(c.typed)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "value", v.Canonical, c.want, 0.0005*math.Abs(c.want)+1e-12)
			if v.Limit != c.limit || v.Unit != c.unit || v.Typed != strings.TrimSpace(c.typed.Text) {
				t.Errorf("read %+v, want %v in %s", v, c.limit, c.unit)
			}
		})
	}
}

// What cannot be is refused in the words of who typed it: their unit, its decimals.
func TestReadTypedRefuses(t *testing.T) {
	cases := map[string]struct {
		typed       Typed
		field, want string
	}{
		"far beyond": {
			Typed{Analyte: chem.Alkalinity, Text: "395", Unit: chem.DKH},
			"value",
			"Alkalinity of 395.0 dKH cannot be (0.0 to 56.1 can): check the decimal point and the unit",
		},
		"beyond, in a typed unit": {
			Typed{Analyte: chem.Alkalinity, Text: "395 dKH", Unit: chem.MeqL},
			"value",
			"Alkalinity of 395.0 dKH cannot be (0.0 to 56.1 can): check the decimal point and the unit",
		},
		"below zero": {
			Typed{Analyte: chem.Calcium, Text: "-3", Unit: chem.MgL},
			"value",
			"Calcium of −3 mg/L cannot be (0 to 1500 can): check the decimal point and the unit",
		},
		"beyond, by mass of fresh water": { // 1500 mg/L over 0.99704 kg/L, EOS-80 at 25 °C
			Typed{Analyte: chem.Calcium, Text: "4200", Unit: chem.MgKg, Water: chem.WaterOf(0)},
			"value",
			"Calcium of 4200 mg/kg cannot be (0 to 1504 can): check the decimal point and the unit",
		},
		"no such gravity": {
			Typed{Analyte: chem.Salinity, Text: "1.26", Unit: chem.SG25},
			"value",
			"Salinity of 1.2600 SG 25/25 cannot be (1.0000 to 1.0317 can): check the decimal point and the unit",
		},
		"a limit of nothing": {
			Typed{Analyte: chem.Phosphate, Text: "<0", Unit: chem.MgL},
			"value",
			"A result below zero or nothing cannot be: give the limit of detection after the <",
		},
		"nothing": {
			Typed{Analyte: chem.Calcium, Text: " ", Unit: chem.MgL},
			"value",
			"nothing is typed: give a number such as 8.3 or <0.02",
		},
		"letters": {
			Typed{Analyte: chem.Calcium, Text: "eight", Unit: chem.MgL},
			"value",
			`"eight" has the character 'e', which is no part of a number: type digits with a point or a comma`,
		},
		"a letter in the number": {
			Typed{Analyte: chem.Calcium, Text: "4O0", Unit: chem.MgL},
			"value",
			`"4O0" has the character 'O', which is no part of a number: type digits with a point or a comma`,
		},
		"two points": {
			Typed{Analyte: chem.Calcium, Text: "8.3.1", Unit: chem.MgL},
			"value",
			`"8.3.1" has a second decimal mark '.': type one point or comma, and no mark between thousands`,
		},
		"another thing's unit": {
			Typed{Analyte: chem.PH, Text: "8.3 dKH", Unit: chem.PHUnit},
			"unit",
			`pH is not given in "dKH": use pH`,
		},
		"no unit at all": {Typed{Analyte: chem.Temperature, Text: "25"}, "unit", "The unit is missing: use °C, °F"},
		"a gravity of no scale": {
			Typed{Analyte: chem.Salinity, Text: "1.026 sg", Unit: chem.PSU},
			"value",
			`"sg" does not say the reference temperature: use SG 25/25, SG 20/20 or SG 60/60F, as the instrument is marked`,
		},
		"of nothing that is known": {
			Typed{Text: "8.3", Unit: chem.MgL},
			"analyte",
			"The analyte is not in the catalogue: choose one from the list",
		},
		"its unit not known either": {Typed{Text: "8.3 mg/L"}, "analyte", "there is no analyte 0 in the catalogue"},
		"a slip, of nothing known": {
			Typed{Text: "8..3"},
			"value",
			`"8..3" has a second decimal mark '.': type one point or comma, and no mark between thousands`,
		},
		"gravity for something else": {
			Typed{Analyte: chem.Calcium, Text: "1.026 sg", Unit: chem.MgL, Own: chem.SG25},
			"unit",
			`Calcium is not given in "sg": use mg/L, mg/L CaCO3, µg/L, mg/kg, mmol/L, µmol/L, µmol/kg`,
		},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			v, err := ReadTyped(c.typed)
			fs := FaultsOf(err)
			if len(fs) != 1 || fs[0].Field != c.field || err.Error() != c.want {
				t.Errorf("read %+v, %v; want %q of %s", v, err, c.want, c.field)
			}
		})
	}
}

func TestTypedValueInAReading(t *testing.T) {
	v, err := ReadTyped(Typed{Analyte: chem.Phosphate, Text: " <0,02 ", Unit: chem.MgL})
	if err != nil {
		t.Fatal(err)
	}
	r := v.In(Reading{System: 3, Analyte: chem.Phosphate, Value: 7, Typed: "7", Note: "kept"})
	if r.Value != 0.02 || r.Limit != Below || r.Typed != "<0,02" || r.Unit != chem.MgL || r.System != 3 || r.Note != "kept" {
		t.Errorf("the reading is %+v", r)
	}
	for text, ok := range map[string]bool{"<0.02": false, ">0.02": false, ">0": false, "0.02": true} {
		v, err := ReadTyped(Typed{Analyte: chem.Phosphate, Text: text, Unit: chem.MgL})
		if err != nil {
			t.Fatal(err)
		}
		if _, err := v.Exact(); (err == nil) != ok {
			t.Errorf("%s taken for a value: %v", text, err)
		}
	}
	for sign, l := range map[string]Limit{"": Exact, "<": Below, ">": Above} {
		if l.Sign() != sign || limitOf(sign) != l {
			t.Errorf("%q is %v, %v is %q", sign, limitOf(sign), l, l.Sign())
		}
	}
}

// What the program writes of a value it reads again as that value, in any unit and
// water.
func TestWhatIsWrittenIsRead(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		info := rapid.SampledFrom(chem.Catalogue()).Draw(t, "analyte")
		u := rapid.SampledFrom(info.Units).Draw(t, "unit")
		w := chem.Water{}
		if rapid.Bool().Draw(t, "salinity is known") {
			w = chem.WaterOf(rapid.Float64Range(0, 42).Draw(t, "S"))
		}
		if u == chem.Saturation { // which only of a known water can be told
			w = chem.WaterOf(rapid.Float64Range(0, 42).Draw(t, "S")).Under(rapid.Float64Range(0, 40).Draw(t, "°C"), 1)
		}
		span := info.High - info.Low
		v := rapid.Float64Range(info.Low+0.01*span, info.High-0.01*span).Draw(t, "canonical")
		text := chem.Format(info.Analyte, v, u, w).String() + " " + string(u)
		got, err := ReadTyped(Typed{Analyte: info.Analyte, Text: text, Unit: info.Unit, Water: w})
		if err != nil {
			t.Fatalf("%s: %v", text, err)
		}
		again := chem.Format(info.Analyte, got.Canonical, u, w).String() + " " + string(u)
		if got.Unit != u || again != text {
			t.Fatalf("%s is read as %s, %+v", text, again, got)
		}
	})
}
