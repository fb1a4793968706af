package csvread_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"weirkeeper/chem"
	"weirkeeper/storage/csvread"
	"weirkeeper/tanks"
)

// wide is a spreadsheet with a column for each test, as people keep them: day
// first, a decimal comma, an empty cell, a dash for "not measured".
const wide = "Tank;Datum;Uhrzeit;KH;Ca (mg/L);Nitrat;Wer\r\nF1;9.3.2026;08:30;8,3;420;<2;AB\r\nF2;10.03.26;7:05;;415;-;CD\r\n"

var wideMap = csvread.ColumnMap{
	Name: "Sheet of the rack", Dates: csvread.DayMonthYear, Zone: "Europe/Paris", Separator: ";", Columns: []csvread.MapColumn{
		{
			Heading: "Tank",
			Role:    csvread.RoleSystem,
		}, {Heading: "Datum", Role: csvread.RoleTime}, {Heading: "Uhrzeit", Role: csvread.RoleClock},
		{Heading: "KH", Role: csvread.RoleReading, Analyte: "alkalinity", Unit: chem.DKH, Method: "Alkalinity titration"},
		{
			Heading: "ca (mg/l)",
			Role:    csvread.RoleReading,
			Analyte: "Ca",
			Unit:    chem.MgL,
		}, {Heading: "Nitrat", Role: csvread.RoleReading, Analyte: "NO3", Unit: chem.MgL},
		{Heading: "Wer", Role: csvread.RolePerson},
	},
}

func TestColumnForEachTest(t *testing.T) {
	r, err := readAll(t, wide, wideMap)
	if err != nil || len(r.readings) != 4 || len(r.Faults) != 0 {
		t.Fatalf("got %+v, %+v, %v", r.readings, r.Faults, err)
	}
	type short struct {
		line    int
		system  tanks.SystemID
		analyte chem.Analyte
		at      string
		typed   string
		person  string
	}
	for i, want := range []short{
		{2, 1, chem.Alkalinity, "2026-03-09T07:30:00Z", "8,3", "AB"}, {2, 1, chem.Calcium, "2026-03-09T07:30:00Z", "420", "AB"},
		{2, 1, chem.Nitrate, "2026-03-09T07:30:00Z", "<2", "AB"}, {3, 2, chem.Calcium, "2026-03-10T06:05:00Z", "415", "CD"},
	} {
		g := r.readings[i]
		if got := (short{g.Line, g.System, g.Analyte, g.At.Format(time.RFC3339), g.Typed, g.Person}); got != want {
			t.Errorf("got %+v, want %+v", got, want)
		}
	}
	// A fault of a wide line is named by the heading, and the line is left out.
	bad, err := readAll(t, strings.Replace(wide, "420", "42000", 1), wideMap)
	if err != nil || bad.BadLines != 1 || bad.Faults[0].Column != "ca (mg/l)" || len(bad.readings) != 1 {
		t.Errorf("got %+v, %+v, %v", bad.readings, bad.Faults, err)
	}
}

func TestProposedColumns(t *testing.T) {
	m := csvread.MapOf([]string{"Date", "Time", "System", "Calcium (mg/L)", "KH", "Mg, mg/L", "Mood", "Notes"})
	want := []csvread.MapColumn{
		{
			Heading: "Date",
			Role:    csvread.RoleTime,
		}, {Heading: "Time", Role: csvread.RoleClock}, {Heading: "System", Role: csvread.RoleSystem},
		{
			Heading: "Calcium (mg/L)",
			Role:    csvread.RoleReading,
			Analyte: "calcium",
			Unit:    chem.MgL,
		}, {Heading: "KH", Role: csvread.RoleReading, Analyte: "alkalinity"},
		{
			Heading: "Mg, mg/L",
			Role:    csvread.RoleReading,
			Analyte: "magnesium",
			Unit:    chem.MgL,
		}, {Heading: "Mood"}, {Heading: "Notes", Role: csvread.RoleNote},
	}
	if !slices.Equal(m.Columns, want) {
		t.Errorf("got %+v", m.Columns)
	}
	if got := fault(m.Validate()); got != "columns.4.unit" { // the unit is asked
		t.Errorf("fault of %q", got)
	}
	long := csvread.MapOf([]string{"time", "code", "Test", "Result", "Unit", "Ca"})
	if err := long.Validate(); err != nil || long.Columns[5].Role != csvread.RoleNone {
		t.Errorf("%+v, %v", long, err)
	}
}

func TestFaultsOfAColumnMap(t *testing.T) {
	for _, c := range []struct {
		name, field string
		change      func(*csvread.ColumnMap)
	}{
		{"zone", "zone", func(m *csvread.ColumnMap) { m.Zone = "Mars/Base" }},
		{"dates", "dates", func(m *csvread.ColumnMap) { m.Dates = "guess" }},
		{"commas", "commas", func(m *csvread.ColumnMap) { m.Commas = "perhaps" }},
		{"separator", "separator", func(m *csvread.ColumnMap) { m.Separator = "|" }},
		{"encoding", "encoding", func(m *csvread.ColumnMap) { m.Encoding = "EBCDIC" }},
		{"no time", "columns", func(m *csvread.ColumnMap) { m.Columns = m.Columns[2:] }},
		{"time twice", "columns", func(m *csvread.ColumnMap) { m.Columns[2].Role = csvread.RoleTime }},
		{"no such role", "columns", func(m *csvread.ColumnMap) { m.Columns[6].Role = "mood" }},
		{"unit of another analyte", "columns.4.unit", func(m *csvread.ColumnMap) { m.Columns[4].Unit = chem.DKH }},
		{"no analyte", "columns.5.analyte", func(m *csvread.ColumnMap) { m.Columns[5].Analyte = "mood" }},
	} {
		bad := wideMap
		bad.Columns = append([]csvread.MapColumn(nil), wideMap.Columns...)
		c.change(&bad)
		if got := fault(bad.Validate()); got != c.field {
			t.Errorf("%s: fault of %q", c.name, got)
		}
	}
	for text, field := range map[string]string{"Tank;Datum\n": "header", "Tank;Datum;Uhrzeit;KH;Ca (mg/L);Nitrat;Wer;Datum\n": "header"} {
		if _, err := readAll(t, text, wideMap); fault(err) != field {
			t.Errorf("%q: %v", text, err)
		}
	}
}
