package csvread_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"weirkeeper/chem"
	"weirkeeper/storage/csvread"
	"weirkeeper/tanks"
)

func TestEverySpellingIsRead(t *testing.T) {
	morning := time.Date(2026, 3, 9, 7, 30, 0, 0, time.UTC) // 08:30 in Paris
	const alk = tanks.MethodID(1)
	want := func(at time.Time, a chem.Analyte, v float64, l tanks.Limit, typed string, u chem.Unit, m tanks.MethodID) tanks.Reading {
		return tanks.Reading{System: 1, Analyte: a, At: at, Value: v, Limit: l, Typed: typed, Unit: u, Method: m, Person: "AB"}
	}
	// 8.3 dKH are 2.96 meq/L: 1 meq/L = 2.804 dKH.
	const alkalinity = 8.3 / 2.804
	for _, c := range []struct {
		name, text string
		want       tanks.Reading
	}{
		{"plain", head + "2026-03-09 08:30,F1,alkalinity,8.3,dKH,Alkalinity titration,,\n",
			want(morning, chem.Alkalinity, alkalinity, tanks.Exact, "8.3", chem.DKH, alk)},
		{"any case", strings.ToUpper(head) + "2026-03-09 08:30,f1,ALK,8.3,dkh,ALKALINITY TITRATION,,\n",
			want(morning, chem.Alkalinity, alkalinity, tanks.Exact, "8.3", chem.DKH, alk)},
		{"byte order mark, CRLF, semicolons, decimal comma", "\ufeff" +
			strings.ReplaceAll("Date;Code;Parameter;Result;Units\n2026-03-09 08:30;F1;KH;8,3;dKH\n", "\n", "\r\n"), want(morning,
			chem.Alkalinity, alkalinity, tanks.Exact, "8,3", chem.DKH, 0)},
		{"tabs", "time\tsystem\tanalyte\tvalue\tunit\n2026-03-09 08:30\tF1\tCa\t420\tmg/L\n",
			want(morning, chem.Calcium, 420, tanks.Exact, "420", chem.MgL, 0)},
		{"quoted decimal comma", head + "2026-03-09 08:30,F1,Ca,\"420,5\",mg/L,,,\n",
			want(morning, chem.Calcium, 420.5, tanks.Exact, "420,5", chem.MgL, 0)},
		{"below detection", head + "2026-03-09 08:30,F1,PO4,<0.02,mg/L,,,\n",
			want(morning, chem.Phosphate, 0.02, tanks.Below, "<0.02", chem.MgL, 0)},
		{"above the range", head + "2026-03-09 08:30,F1,NO3,> 100,mg/L,,,\n",
			want(morning, chem.Nitrate, 100, tanks.Above, "> 100", chem.MgL, 0)},
		{"Latin-1 degree sign", head + "2026-03-09 08:30,F1,temperature,25.1,\xb0C,,,\n",
			want(morning, chem.Temperature, 25.1, tanks.Exact, "25.1", chem.Celsius, 0)},
		{"UTF-16", utf16(head + "2026-03-09 08:30,F1,temperature,25.1,°C,,,\n"),
			want(morning, chem.Temperature, 25.1, tanks.Exact, "25.1", chem.Celsius, 0)},
		{"offset", head + "2026-03-09T10:30:00+03:00,F1,Ca,420,mg/L,,,\n",
			want(morning, chem.Calcium, 420, tanks.Exact, "420", chem.MgL, 0)},
		{"offset after a space", head + "2026-03-09 02:30 -0500,F1,Ca,420,mg/L,,,\n",
			want(morning, chem.Calcium, 420, tanks.Exact, "420", chem.MgL, 0)},
		{"UTC", head + "2026-03-09T07:30Z,F1,Ca,420,mg/L,,,\n", want(morning, chem.Calcium, 420, tanks.Exact, "420", chem.MgL, 0)},
		{"seconds", head + "2026-03-09T08:30:15,F1,Ca,420,mg/L,,,\n",
			want(morning.Add(15*time.Second), chem.Calcium, 420, tanks.Exact, "420", chem.MgL, 0)},
		{"a day is its first instant", head + "2026-03-09,F1,Ca,420,mg/L,,,\n",
			want(time.Date(2026, 3, 8, 23, 0, 0, 0, time.UTC), chem.Calcium, 420, tanks.Exact, "420", chem.MgL, 0)},
		{"no unit for pH", head + "2026-03-09 08:30,F1,pH,8.2,,,,\n", want(morning, chem.PH, 8.2, tanks.Exact, "8.2", chem.PHUnit, 0)},
		{"system by name", head + "2026-03-09 08:30,\"frag rack, north\",Ca,420,mg/L,,,\n",
			want(morning, chem.Calcium, 420, tanks.Exact, "420", chem.MgL, 0)},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := read(t, c.text)
			if len(r.Faults) != 0 || len(r.readings) != 1 || r.readings[0].Line != 2 {
				t.Fatalf("got %+v, %+v", r.readings, r.Faults)
			}
			got := r.readings[0].Reading
			if math.Abs(got.Value-c.want.Value) > 1e-3*math.Abs(c.want.Value) {
				t.Errorf("value %g, want %g", got.Value, c.want.Value)
			}
			got.Value = c.want.Value
			if got != c.want {
				t.Errorf("got  %+v\nwant %+v", got, c.want)
			}
		})
	}
}

func TestEachBadLineIsNamed(t *testing.T) {
	for _, c := range []struct{ name, line, column, problem, remedy string }{
		{"unknown system", "2026-03-09 08:30,X9,Ca,420,mg/L,,,", "system", `No system has the code "X9"`, "F1, F2"},
		{"no system", "2026-03-09 08:30,,Ca,420,mg/L,,,", "system", "missing", "code"},
		{"unknown analyte", "2026-03-09 08:30,F1,unobtainium,420,mg/L,,,", "analyte", `No analyte is called "unobtainium"`, "calcium"},
		{"no analyte", "2026-03-09 08:30,F1,,420,mg/L,,,", "analyte", "missing", "Ca"},
		{"unknown unit", "2026-03-09 08:30,F1,Ca,420,furlong,,,", "unit", `Calcium is not given in "furlong"`, "mg/L"},
		{"unit of another analyte", "2026-03-09 08:30,F1,Ca,8.3,dKH,,,", "unit", `Calcium is not given in "dKH"`, "mg/L"},
		{"no unit", "2026-03-09 08:30,F1,Ca,420,,,,", "unit", "missing", "mg/L"},
		{"unknown method", "2026-03-09 08:30,F1,Ca,420,mg/L,guess,,", "method", `No method for Calcium is called "guess"`,
			"Calcium titration"},
		{"method of another analyte", "2026-03-09 08:30,F1,Ca,420,mg/L,Alkalinity titration,,", "method", "No method for Calcium",
			"Calcium titration"},
		{"no method known at all", "2026-03-09 08:30,F1,NO3,4,mg/L,guess,,", "method", "No method for Nitrate", "Setup"},
		{"no time", ",F1,Ca,420,mg/L,,,", "time", "missing", "2026-03-10 08:00"},
		{"day first", "09.03.2026,F1,Ca,420,mg/L,,,", "time", `"09.03.2026" is no time`, "which order"},
		{"thirteenth month", "2026-13-01,F1,Ca,420,mg/L,,,", "time", "is no time", "year first"},
		{"tomorrow", "2026-03-11 08:30,F1,Ca,420,mg/L,,,", "time", "still to come", "correct the date"},
		{"before 1970", "0026-03-09,F1,Ca,420,mg/L,,,", "time", "before 1970", "year"},
		{"hour that the clocks skipped", "2025-03-30 02:30,F1,Ca,420,mg/L,,,", "time", "went forward", "offset"},
		{"letters for a number", "2026-03-09 08:30,F1,Ca,42o,mg/L,,,", "value", `'o'`, "digits"},
		{"no value", "2026-03-09 08:30,F1,Ca,,mg/L,,,", "value", "missing", "number"},
		{"implausible value", "2026-03-09 08:30,F1,Ca,42000,mg/L,,,", "value", "cannot be", "decimal point"},
		{"negative value", "2026-03-09 08:30,F1,Ca,-4,mg/L,,,", "value", "cannot be", "decimal point"},
		{"below nothing", "2026-03-09 08:30,F1,Ca,<0,mg/L,,,", "value", "below zero", "limit of detection"},
		{"gravity out of range", "2026-03-09 08:30,F1,Sal,9,SG 25/25,,,", "value", "cannot be", "unit"},
		{"unquoted decimal comma", "2026-03-09 08:30,F1,Ca,420,5,mg/L,x,y,z", "", "9 cells, the header 8", "semicolons"},
		{"quotation mark inside", `2026-03-09 08:30,F1,Ca,42"0,mg/L,,,`, "", "quotation marks", "double"},
	} {
		t.Run(c.name, func(t *testing.T) {
			good := "2026-03-01 08:30,F1,Ca,420,mg/L,,,\n"
			r := read(t, head+good+c.line+"\n\n"+strings.Replace(good, "03-01", "03-02", 1))
			if len(r.Faults) != 1 || r.BadLines != 1 || len(r.readings) != 2 {
				t.Fatalf("got %+v, %+v", r.readings, r.Faults)
			}
			got := r.Faults[0]
			if got.Line != 3 || got.Column != c.column || !strings.Contains(got.Problem.String(), c.problem) ||
				!strings.Contains(got.Remedy.String(), c.remedy) {
				t.Errorf("got %+v", got)
			}
		})
	}
	t.Run("everything wrong in one line", func(t *testing.T) {
		r := read(t, head+"soon,X9,unobtainium,much,mg/L,,,\n")
		if len(r.Faults) != 4 || r.BadLines != 1 || len(r.readings) != 0 {
			t.Errorf("got %+v, %+v", r.readings, r.Faults)
		}
	})
	t.Run("a retired method is still a method", func(t *testing.T) {
		r := read(t, head+"2026-03-09 08:30,F1,Mg,1300,mg/L,magnesium titration,,\n")
		if len(r.readings) != 1 || r.readings[0].Method != 3 {
			t.Errorf("got %+v, %+v", r.readings, r.Faults)
		}
	})
}

// Of two methods of one name the one in use is meant.
func TestMethodInUseGoesBeforeARetiredOne(t *testing.T) {
	two := csvread.Room{Systems: room.Systems, Methods: []tanks.Method{
		{
			ID:      7,
			Name:    "Kit",
			Analyte: chem.Calcium,
			Retired: true,
		}, {ID: 8, Name: "Kit", Analyte: chem.Calcium}, {ID: 9, Name: "kit", Analyte: chem.Calcium, Retired: true},
	}}
	file, err := csvread.Open(
		t.Context(),
		strings.NewReader(head+"2026-03-09 08:30,F1,Ca,420,mg/L,Kit,,\n"),
		csvread.Options{Now: noon},
		two,
	)
	if err != nil {
		t.Fatal(err)
	}
	if got, err := file.Next(nil); err != nil || len(got) != 1 || got[0].Method != 8 {
		t.Errorf("got %+v, %v", got, err)
	}
}

// Every bad line is counted, and the first faults are kept.
func TestManyBadLines(t *testing.T) {
	r := read(t, head+strings.Repeat("2026-03-09 08:30,X9,Ca,420,mg/L,,,\n", csvread.MostFaults+100))
	if len(r.Faults) != csvread.MostFaults || r.BadLines != csvread.MostFaults+100 ||
		r.Faults[csvread.MostFaults-1].Line != csvread.MostFaults+1 {
		t.Errorf("%d faults of %d bad lines", len(r.Faults), r.BadLines)
	}
}

func TestValuesAreConvertedByTheSystemsSalinity(t *testing.T) {
	r := read(t, head+"2026-03-09 08:30,F1,Ca,100,mg/kg,,,\n2026-03-09 08:30,F2,Ca,100,mg/kg,,,\n2026-03-09 08:30,P1,Ca,100,mg/kg,,,\n")
	// EOS-80 at 25 °C: 1000.8 kg/m3 at S 5, 1023.3 at S 35, 997.0 in fresh water.
	for i, want := range []float64{100.08, 102.33, 99.70} {
		if got := r.readings[i].Value; math.Abs(got-want) > 0.01 {
			t.Errorf("%s: %g, want %g", room.Systems[i].Code, got, want)
		}
	}
}

func TestUncertaintyOfAValue(t *testing.T) {
	text := "time,system,analyte,value,unit,uncertainty\n2026-03-09,F1,alk,8.3,dKH,0.2804\n2026-03-09,F1,Ca,420,mg/L,\n2026-03-09,F1,Ca,421,mg/L,-2\n2026-03-09,F1,Ca,421,mg/L,x\n"
	r := read(t, text)
	if len(r.readings) != 2 || r.BadLines != 2 || r.Faults[0].Column != "uncertainty" || r.Faults[1].Column != "uncertainty" {
		t.Fatalf("%+v, %+v", r.readings, r.Faults)
	}
	if u := r.readings[0].Uncertainty; u < 0.0999 || u > 0.1001 { // 1 meq/L = 2.804 dKH
		t.Errorf("uncertainty %g meq/L", u)
	}
}
