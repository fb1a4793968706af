package storage_test

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

const head = "time,system,analyte,value,unit,method,person,note\n"

func preview(t testing.TB, s *storage.Store, text string) storage.Preview {
	t.Helper()
	p, err := s.PreviewCSV(t.Context(), strings.NewReader(text), storage.CSVOptions{Zone: paris(t), Person: "AB"})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func imported(t testing.TB, s *storage.Store, text string) storage.Imported {
	t.Helper()
	in, err := s.ImportCSV(t.Context(), strings.NewReader(text), storage.CSVOptions{Zone: paris(t), Person: "AB"})
	if err != nil {
		t.Fatal(err)
	}
	return in
}

func paris(t testing.TB) *time.Location {
	t.Helper()
	zone, err := time.LoadLocation("Europe/Paris")
	if err != nil {
		t.Fatal(err)
	}
	return zone
}

func TestPreviewReadsEverySpelling(t *testing.T) {
	s, f := storagetest.Room(t)
	morning := time.Date(2026, 3, 9, 7, 30, 0, 0, time.UTC) // 08:30 in Paris
	alk := f.Methods[chem.Alkalinity].ID
	want := func(at time.Time, a chem.Analyte, v float64, l tanks.Limit, typed string, u chem.Unit, m tanks.MethodID) tanks.Reading {
		return tanks.Reading{System: f.Systems[0].ID, Analyte: a, At: at, Value: v, Limit: l, Typed: typed, Unit: u, Method: m, Person: "AB"}
	}
	// 8.3 dKH are 2.96 meq/L: 1 meq/L = 2.804 dKH.
	const alkalinity = 8.3 / 2.804
	for _, c := range []struct {
		name, text string
		want       tanks.Reading
	}{
		{"plain", head + "2026-03-09 08:30,F1,alkalinity,8.3,dKH,Alkalinity titration,,\n", want(morning, chem.Alkalinity, alkalinity, tanks.Exact, "8.3", chem.DKH, alk)},
		{"any case", strings.ToUpper(head) + "2026-03-09 08:30,f1,ALK,8.3,dkh,ALKALINITY TITRATION,,\n", want(morning, chem.Alkalinity, alkalinity, tanks.Exact, "8.3", chem.DKH, alk)},
		{"byte order mark, CRLF, semicolons, decimal comma", "\ufeff" + strings.ReplaceAll("Date;Code;Parameter;Result;Units\n2026-03-09 08:30;F1;KH;8,3;dKH\n", "\n", "\r\n"), want(morning, chem.Alkalinity, alkalinity, tanks.Exact, "8,3", chem.DKH, 0)},
		{"tabs", "time\tsystem\tanalyte\tvalue\tunit\n2026-03-09 08:30\tF1\tCa\t420\tmg/L\n", want(morning, chem.Calcium, 420, tanks.Exact, "420", chem.MgL, 0)},
		{"quoted decimal comma", head + "2026-03-09 08:30,F1,Ca,\"420,5\",mg/L,,,\n", want(morning, chem.Calcium, 420.5, tanks.Exact, "420,5", chem.MgL, 0)},
		{"below detection", head + "2026-03-09 08:30,F1,PO4,<0.02,mg/L,,,\n", want(morning, chem.Phosphate, 0.02, tanks.Below, "<0.02", chem.MgL, 0)},
		{"above the range", head + "2026-03-09 08:30,F1,NO3,> 100,mg/L,,,\n", want(morning, chem.Nitrate, 100, tanks.Above, "> 100", chem.MgL, 0)},
		{"Latin-1 degree sign", head + "2026-03-09 08:30,F1,temperature,25.1,\xb0C,,,\n", want(morning, chem.Temperature, 25.1, tanks.Exact, "25.1", chem.Celsius, 0)},
		{"UTF-16", utf16(head + "2026-03-09 08:30,F1,temperature,25.1,°C,,,\n"), want(morning, chem.Temperature, 25.1, tanks.Exact, "25.1", chem.Celsius, 0)},
		{"offset", head + "2026-03-09T10:30:00+03:00,F1,Ca,420,mg/L,,,\n", want(morning, chem.Calcium, 420, tanks.Exact, "420", chem.MgL, 0)},
		{"offset after a space", head + "2026-03-09 02:30 -0500,F1,Ca,420,mg/L,,,\n", want(morning, chem.Calcium, 420, tanks.Exact, "420", chem.MgL, 0)},
		{"UTC", head + "2026-03-09T07:30Z,F1,Ca,420,mg/L,,,\n", want(morning, chem.Calcium, 420, tanks.Exact, "420", chem.MgL, 0)},
		{"seconds", head + "2026-03-09T08:30:15,F1,Ca,420,mg/L,,,\n", want(morning.Add(15*time.Second), chem.Calcium, 420, tanks.Exact, "420", chem.MgL, 0)},
		{"a day is its first instant", head + "2026-03-09,F1,Ca,420,mg/L,,,\n", want(time.Date(2026, 3, 8, 23, 0, 0, 0, time.UTC), chem.Calcium, 420, tanks.Exact, "420", chem.MgL, 0)},
		{"no unit for pH", head + "2026-03-09 08:30,F1,pH,8.2,,,,\n", want(morning, chem.PH, 8.2, tanks.Exact, "8.2", chem.PHUnit, 0)},
		{"system by name", head + "2026-03-09 08:30,\"frag rack, north\",Ca,420,mg/L,,,\n", want(morning, chem.Calcium, 420, tanks.Exact, "420", chem.MgL, 0)},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := preview(t, s, c.text)
			if len(p.Faults) != 0 || len(p.Rows) != 1 || p.Rows[0].Line != 2 || p.Good() != 1 {
				t.Fatalf("got %+v", p)
			}
			got := p.Rows[0].Reading
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

func utf16(text string) string {
	var b strings.Builder
	b.WriteString("\xff\xfe")
	for _, r := range text {
		b.WriteByte(byte(r))
		b.WriteByte(byte(r >> 8))
	}
	return b.String()
}

func TestPreviewNamesEachBadLine(t *testing.T) {
	s, f := storagetest.Room(t)
	retired := f.Methods[chem.Magnesium]
	retired.Retired = true
	if err := s.SaveMethod(t.Context(), &retired); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ name, line, column, problem, remedy string }{
		{"unknown system", "2026-03-09 08:30,X9,Ca,420,mg/L,,,", "system", `No system has the code "X9"`, "F1, F2"},
		{"no system", "2026-03-09 08:30,,Ca,420,mg/L,,,", "system", "missing", "code"},
		{"unknown analyte", "2026-03-09 08:30,F1,unobtainium,420,mg/L,,,", "analyte", `No analyte is called "unobtainium"`, "calcium"},
		{"no analyte", "2026-03-09 08:30,F1,,420,mg/L,,,", "analyte", "missing", "Ca"},
		{"unknown unit", "2026-03-09 08:30,F1,Ca,420,furlong,,,", "unit", `Calcium is not given in "furlong"`, "mg/L"},
		{"unit of another analyte", "2026-03-09 08:30,F1,Ca,8.3,dKH,,,", "unit", `Calcium is not given in "dKH"`, "mg/L"},
		{"no unit", "2026-03-09 08:30,F1,Ca,420,,,,", "unit", "missing", "mg/L"},
		{"unknown method", "2026-03-09 08:30,F1,Ca,420,mg/L,guess,,", "method", `No method for Calcium is called "guess"`, "Calcium titration"},
		{"method of another analyte", "2026-03-09 08:30,F1,Ca,420,mg/L,Alkalinity titration,,", "method", "No method for Calcium", "Calcium titration"},
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
			p := preview(t, s, head+good+c.line+"\n\n"+strings.Replace(good, "03-01", "03-02", 1))
			if len(p.Faults) != 1 || p.BadLines != 1 || p.Good() != 2 {
				t.Fatalf("got %+v", p)
			}
			got := p.Faults[0]
			if got.Line != 3 || got.Column != c.column || !strings.Contains(got.Problem.String(), c.problem) || !strings.Contains(got.Remedy.String(), c.remedy) {
				t.Errorf("got %+v", got)
			}
		})
	}
	t.Run("everything wrong in one line", func(t *testing.T) {
		p := preview(t, s, head+"soon,X9,unobtainium,much,mg/L,,,\n")
		if len(p.Faults) != 4 || p.BadLines != 1 || p.Good() != 0 {
			t.Errorf("got %+v", p)
		}
	})
	t.Run("a retired method is still a method", func(t *testing.T) {
		p := preview(t, s, head+"2026-03-09 08:30,F1,Mg,1300,mg/L,magnesium titration,,\n")
		if p.Good() != 1 || p.Rows[0].Reading.Method != retired.ID {
			t.Errorf("got %+v", p)
		}
	})
}

func TestPreviewRefusesWholeFile(t *testing.T) {
	s, _ := storagetest.Room(t)
	for _, c := range []struct{ name, text, field, problem string }{
		{"empty", "", "file", "empty"},
		{"no header", "2026-03-09 08:30,F1,Ca,420,mg/L\n", "header", "time, system, analyte, value, unit"},
		{"two columns missing", "time,system,value\n", "header", "no column analyte, unit"},
		{"a column twice", "date,time,system,analyte,value,unit\n", "header", `"date" and "time" both mean the time`},
		{"broken quotation mark", "\"time,system\n", "header", "cannot be read"},
		{"picture", "\x89PNG\r\n\x00\x00", "file", "no text"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := s.PreviewCSV(t.Context(), strings.NewReader(c.text), storage.CSVOptions{})
			fault, ok := tanks.FaultsOf(err).Field(c.field)
			if !ok || !strings.Contains(fault.Problem.String(), c.problem) || fault.Remedy == "" {
				t.Errorf("got %v", err)
			}
		})
	}
	t.Run("failing reader", func(t *testing.T) {
		_, err := s.PreviewCSV(t.Context(), failing{}, storage.CSVOptions{})
		if !errors.Is(err, errBroken) {
			t.Errorf("got %v", err)
		}
	})
}

var errBroken = errors.New("broken")

type failing struct{}

func (failing) Read([]byte) (int, error) { return 0, errBroken }

func (failing) Seek(int64, int) (int64, error) { return 0, nil }

func TestImportWritesGoodLinesOnce(t *testing.T) {
	s, f := storagetest.Room(t)
	text := head +
		"2026-03-09 08:30,F1,Ca,420,mg/L,Calcium titration,CD,\"after, change\"\n" +
		"2026-03-09 08:30,F1,Ca,420,mg/L,Calcium titration,,\n" + // within the file
		"2026-03-09 08:30,F1,Ca,420,mg/L,,,\n" + // another method: not the same
		"2026-03-09 08:30,F1,Ca,>420,mg/L,,,\n" + // another limit
		"2026-03-08 08:30,F2,Ca,410,mg/L,,,\n" +
		"2026-03-08 08:30,F9,Ca,410,mg/L,,,\n"
	p := preview(t, s, text)
	if p.Good() != 4 || p.Duplicates != 1 || !p.Rows[1].Duplicate || p.BadLines != 1 {
		t.Fatalf("got %+v", p)
	}
	if got, _ := s.ReadingsOf(t.Context(), f.Systems[0].ID, time.Time{}, time.Time{}); len(got) != 0 {
		t.Fatalf("the preview wrote %d readings", len(got))
	}
	var heard []storage.Change
	defer s.Listen(func(c storage.Change) { heard = append(heard, c) })()
	if in := imported(t, s, text); in.Readings != 4 || in.Duplicates != 1 || in.BadLines != 1 || len(in.Faults) != 1 {
		t.Fatalf("imported %+v", in)
	}
	if len(heard) != 1 || !heard[0].Has(storage.KindReading) || len(heard[0].Systems) != 2 {
		t.Errorf("heard %+v", heard)
	}
	got, err := s.ReadingsOf(t.Context(), f.Systems[0].ID, time.Time{}, time.Time{})
	if err != nil || len(got) != 3 {
		t.Fatalf("got %+v, %v", got, err)
	}
	first := got[0]
	if first.Value != 420 || first.Person != "CD" || first.Note != "after, change" || first.Typed != "420" || first.Unit != chem.MgL || !first.Entered.Equal(f.Now) {
		t.Errorf("got %+v", first)
	}
	again := preview(t, s, text)
	if again.Good() != 0 || again.Duplicates != 5 {
		t.Errorf("second preview %+v", again)
	}
	if in := imported(t, s, text); in.Readings != 0 || in.Duplicates != 5 || len(heard) != 2 {
		t.Errorf("imported a second time: %+v, heard %+v", in, heard)
	}
	if wrong, err := s.CheckLatest(t.Context()); wrong != 0 || err != nil {
		t.Errorf("latest: %d, %v", wrong, err)
	}
}

func TestPreviewConvertsByTheSystemsSalinity(t *testing.T) {
	s, f := storagetest.Room(t)
	_, err := s.SaveReadings(t.Context(), []tanks.Reading{{System: f.Systems[0].ID, Analyte: chem.Salinity, At: f.Now.Add(-time.Hour), Value: 5}})
	if err != nil {
		t.Fatal(err)
	}
	p := preview(t, s, head+"2026-03-09 08:30,F1,Ca,100,mg/kg,,,\n2026-03-09 08:30,F2,Ca,100,mg/kg,,,\n")
	// EOS-80 at 25 °C: 1000.8 kg/m3 at S 5, 1023.3 at S 35.
	for i, want := range []float64{100.08, 102.33} {
		if got := p.Rows[i].Reading.Value; math.Abs(got-want) > 0.01 {
			t.Errorf("%s: %g, want %g", f.Systems[i].Code, got, want)
		}
	}
}

func FuzzPreviewCSV(f *testing.F) {
	s, _ := storagetest.Room(f)
	f.Add([]byte(head + "2026-03-09 08:30,F1,Ca,420,mg/L,Calcium titration,CD,\"after, change\"\n"))
	f.Add([]byte("\ufeffDate;Code;Parameter;Result;Units\r\n2026-03-09;F2;KH;<8,3;dKH\r\n;;;;\r\n"))
	f.Add([]byte("time\tsystem\tanalyte\tvalue\tunit\n\"2026\t"))
	f.Add([]byte(utf16(head) + "\x00"))
	f.Add([]byte(head + "\xb0,F1,temperature,\xff,\xb0C\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := s.PreviewCSV(t.Context(), strings.NewReader(string(data)), storage.CSVOptions{})
		if err != nil {
			return
		}
		if p.Good() < 0 || p.BadLines > len(p.Faults) {
			t.Fatalf("counts do not agree: %+v", p)
		}
		for _, r := range p.Rows {
			if err := r.Reading.Validate(storagetest.Now); err != nil {
				t.Fatalf("line %d passed with %v", r.Line, err)
			}
		}
		for _, fault := range p.Faults {
			if fault.Line < 2 || fault.Problem == "" || fault.Remedy == "" {
				t.Fatalf("fault %s", fmt.Sprint(fault))
			}
		}
	})
}
