package csvread_test

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"weirkeeper/storage/csvread"
	"weirkeeper/tanks"
)

const good = "2026-03-09 08:30,F1,Ca,420,mg/L,,AB,first\n2026-03-09 08:31,F2,KH,8.3,dKH,,AB,second\n"

// Lines may end in any of the ways in use.
func TestLineEnds(t *testing.T) {
	for name, end := range map[string]string{"LF": "\n", "CRLF": "\r\n", "CR": "\r"} {
		r := read(t, strings.ReplaceAll(head+good+"bad\n", "\n", end))
		if len(r.readings) != 2 || r.readings[1].Line != 3 || r.readings[1].Note != "second" || r.BadLines != 1 || r.Faults[0].Line != 4 {
			t.Errorf("%s: %+v, %+v", name, r.readings, r.Faults)
		}
		long := read(t, strings.ReplaceAll(head+strings.Repeat(good, 20_000), "\n", end))
		if n := len(long.readings); n != 40_000 || long.readings[n-1].Line != 40_001 {
			t.Errorf("%s: %d readings, %+v", name, n, long.Faults)
		}
	}
}

// A carriage return within a cell stays when lines end in another way.
func TestReturnInACell(t *testing.T) {
	r := read(t, head+"2026-03-09 08:30,F1,Ca,420,mg/L,,AB,\"a\rb\"\n")
	if len(r.readings) != 1 || r.readings[0].Note != "a\rb" {
		t.Errorf("%+v", r.readings)
	}
}

// The day in one column, the time of day in the next, in either order.
func TestDateAndTimeColumns(t *testing.T) {
	for _, text := range []string{
		"date,time,system,analyte,value,unit\n2026-03-09,08:30,F1,Ca,420,mg/L\n",
		"Time;Date;System;Analyte;Value;Unit\n08:30;2026-03-09;F1;Ca;420;mg/L\n",
	} {
		r := read(t, text)
		if len(r.readings) != 1 || r.readings[0].At.Format("2006-01-02 15:04") != "2026-03-09 07:30" {
			t.Errorf("%q: %+v, %+v", text, r.readings, r.Faults)
		}
	}
}

// A file of Latin-1 is read as such; a bad byte is named where other letters are
// UTF-8, unless Latin-1 is chosen.
func TestBadBytes(t *testing.T) {
	latin := head + "2026-03-09 08:30,F1,Ca,420,mg/L,,AB,caf\xe9\n"
	if r := read(t, latin); len(r.readings) != 1 || r.readings[0].Note != "café" {
		t.Errorf("%+v, %+v", r.readings, r.Faults)
	}
	mixed := latin + "2026-03-09 08:31,F1,Ca,420,mg/L,,AB,é\n"
	_, err := readAll(t, mixed, csvread.ColumnMap{})
	if f, ok := tanks.FaultsOf(err).Field("file"); !ok || !strings.Contains(f.Problem.String(), "Line 2 ") {
		t.Errorf("%v", err)
	}
	if r, err := readAll(t, mixed, csvread.ColumnMap{Encoding: csvread.Latin1}); err != nil || len(r.readings) != 2 {
		t.Errorf("%v", err)
	}
	far := head + strings.Repeat("2026-03-09 08:30,F1,Ca,420,mg/L,,AB,é\n", 5000) + "x\xff\n"
	_, err = readAll(t, far, csvread.ColumnMap{Encoding: csvread.UTF8})
	if f, ok := tanks.FaultsOf(err).Field("file"); !ok || !strings.Contains(f.Problem.String(), "Line 5002 ") {
		t.Errorf("%v", err)
	}
}

// Numbers that a comma makes two of are refused with both, unless only one can be
// or the file is said to mean one. 1,320 mg/L of magnesium is the sea's.
func TestCommasInNumbers(t *testing.T) {
	for _, c := range []struct {
		analyte, text, unit string
		commas              csvread.Commas
		want                float64 // 0: refused
	}{
		{"Mg", "1,320", "mg/L", csvread.CommasNotSaid, 0},
		{"Mg", "1,320", "mg/L", csvread.CommasThousands, 1320},
		{"Mg", "1,320", "mg/L", csvread.CommasDecimal, 1.32},
		{"Mg", "1320", "mg/L", csvread.CommasNotSaid, 1320},
		{"Mg", "1,32", "mg/L", csvread.CommasNotSaid, 1.32},
		{"Mg", "<1,320", "mg/L", csvread.CommasNotSaid, 0},
		{"temperature", "25,125", "°C", csvread.CommasNotSaid, 25.125},
		{"PO4", "0,025", "mg/L", csvread.CommasNotSaid, 0.025},
		{"Ca", "1,320.5", "mg/L", csvread.CommasNotSaid, 1320.5},
		{"Ca", "420,5", "mg/L", csvread.CommasThousands, 420.5},
	} {
		row := "2026-03-09 08:30;F1;" + c.analyte + ";" + c.text + ";" + c.unit + "\n"
		r, err := readAll(t, "time;system;analyte;value;unit\n"+row, csvread.ColumnMap{Commas: c.commas})
		switch {
		case err != nil:
			t.Fatal(err)
		case c.want == 0:
			if len(r.readings) != 0 || len(r.Faults) != 1 ||
				!strings.Contains(r.Faults[0].Problem.String(), "1.320 or "+strings.Replace(strings.Trim(c.text, " "), ",", "", 1)) {
				t.Errorf("%+v: %+v, %+v", c, r.readings, r.Faults)
			}
		case len(r.readings) != 1 || r.readings[0].Value != c.want:
			t.Errorf("%+v: %+v, %+v", c, r.readings, r.Faults)
		}
	}
}

// endless is a file of one line that does not end.
type endless struct{ read, size int64 }

func (e *endless) Read(p []byte) (int, error) {
	n := min(int64(len(p)), e.size-e.read)
	if n == 0 {
		return 0, io.EOF
	}
	for i := range p[:n] {
		p[i] = 'x'
	}
	e.read += n
	return int(n), nil
}

func (e *endless) Seek(int64, int) (int64, error) {
	e.read = 0
	return 0, nil
}

// A line of a quarter of a gigabyte takes no more memory than a line may have.
func TestMemoryIsBounded(t *testing.T) {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	_, err := csvread.Open(t.Context(), &endless{size: 1 << 28}, csvread.Options{Now: noon}, room)
	runtime.ReadMemStats(&after)
	if _, ok := tanks.FaultsOf(err).Field("file"); !ok {
		t.Errorf("%v", err)
	}
	if used := after.TotalAlloc - before.TotalAlloc; used > 32<<20 {
		t.Errorf("%d MiB were taken", used>>20)
	}
}

func TestOnlyFilesAreOpened(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "x.csv")
	if err := os.WriteFile(path, []byte("x"), 0o600); err != nil {
		t.Fatal(err)
	}
	file, err := csvread.OpenFile(path)
	if err != nil {
		t.Fatal(err)
	}
	file.Close()
	for _, bad := range []string{folder, os.DevNull} {
		if _, err := csvread.OpenFile(bad); fault(err) != "file" {
			t.Errorf("%s: %v", bad, err)
		}
	}
	if _, err := csvread.OpenFile(path + "x"); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("%v", err)
	}
}
