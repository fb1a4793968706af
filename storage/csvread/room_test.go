package csvread_test

import (
	"errors"
	"io"
	"strings"
	"testing"
	"time"

	"weirkeeper/chem"
	"weirkeeper/storage/csvread"
	"weirkeeper/tanks"
)

const head = "time,system,analyte,value,unit,method,person,note\n"

// noon is the instant at which the files are read.
var noon = time.Date(2026, 3, 10, 12, 0, 0, 0, time.UTC)

// room has three systems and three methods, the last of them retired; the water of
// F1 is brackish, that of P1 fresh and never measured.
var room = csvread.Room{
	Systems: []tanks.System{
		{ID: 1, Code: "F1", Name: "Frag rack, north"},
		{ID: 2, Code: "F2", Name: "Frag rack, south"},
		{ID: 3, Code: "P1", Name: "Planted", Kind: tanks.Freshwater},
	},
	Methods: []tanks.Method{
		{ID: 1, Name: "Alkalinity titration", Analyte: chem.Alkalinity}, {ID: 2, Name: "Calcium titration", Analyte: chem.Calcium},
		{ID: 3, Name: "Magnesium titration", Analyte: chem.Magnesium, Retired: true},
	},
	Latest: []tanks.Reading{
		{System: 1, Analyte: chem.Salinity, Value: 5},
		{System: 2, Analyte: chem.Salinity, Value: 9, Limit: tanks.Below},
	},
}

// result is what a whole file gives.
type result struct {
	*csvread.File
	readings []csvread.Reading
}

// readAll reads a file to its end, its times in Paris.
func readAll(t testing.TB, text string, m csvread.ColumnMap) (result, error) {
	t.Helper()
	zone, err := time.LoadLocation("Europe/Paris")
	if err != nil {
		t.Fatal(err)
	}
	file, err := csvread.Open(t.Context(), strings.NewReader(text), csvread.Options{Map: m, Zone: zone, Person: "AB", Now: noon}, room)
	if err != nil {
		return result{}, err
	}
	r := result{File: file}
	for {
		r.readings, err = file.Next(r.readings)
		if errors.Is(err, io.EOF) {
			return r, nil
		}
		if err != nil {
			return r, err
		}
	}
}

// read reads a file that can be read.
func read(t testing.TB, text string) result {
	t.Helper()
	r, err := readAll(t, text, csvread.ColumnMap{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// fault returns the field of the first fault of an error.
func fault(err error) string {
	if all := tanks.FaultsOf(err); len(all) > 0 {
		return all[0].Field
	}
	return ""
}
