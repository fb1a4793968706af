package storage_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// wide is a spreadsheet with a column for each test, as people keep them: day
// first, a decimal comma, an empty cell, a dash for "not measured".
const wide = "Tank;Datum;Uhrzeit;KH;Ca (mg/L);Nitrat;Wer\r\nF1;9.3.2026;08:30;8,3;420;<2;AB\r\nF2;10.03.26;7:05;;415;-;\r\n"

var wideMap = storage.ColumnMap{
	Name: "Sheet of the rack", Dates: storage.DayMonthYear, Zone: "Europe/Paris", Separator: ";", Columns: []storage.MapColumn{
		{Heading: "Tank", Role: storage.RoleSystem}, {Heading: "Datum", Role: storage.RoleTime}, {Heading: "Uhrzeit", Role: storage.RoleClock},
		{Heading: "KH", Role: storage.RoleReading, Analyte: "alkalinity", Unit: chem.DKH, Method: "Alkalinity titration"},
		{Heading: "ca (mg/l)", Role: storage.RoleReading, Analyte: "Ca", Unit: chem.MgL}, {Heading: "Nitrat", Role: storage.RoleReading, Analyte: "NO3", Unit: chem.MgL},
		{Heading: "Wer", Role: storage.RolePerson},
	},
}

func TestImportOfAColumnForEachTest(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx := t.Context()
	opt := storage.CSVOptions{Map: wideMap, Person: "CD"}
	p := value[storage.Preview](t)(s.PreviewCSV(ctx, strings.NewReader(wide), opt))
	if p.Good() != 4 || len(p.Faults) != 0 {
		t.Fatalf("previewed %+v", p)
	}
	in := value[storage.Imported](t)(s.ImportCSV(ctx, strings.NewReader(wide), opt))
	if in.Readings != 4 {
		t.Fatalf("imported %+v", in)
	}
	one := value[[]tanks.Reading](t)(s.ReadingsOf(ctx, f.Systems[0].ID, time.Time{}, time.Time{}))
	morning := time.Date(2026, 3, 9, 7, 30, 0, 0, time.UTC)
	if len(one) != 3 {
		t.Fatalf("of F1: %+v", one)
	}
	for _, r := range one {
		if !r.At.Equal(morning) || r.Person != "AB" {
			t.Errorf("%+v", r)
		}
		switch r.Analyte {
		case chem.Alkalinity:
			if r.Method != f.Methods[chem.Alkalinity].ID || r.Typed != "8,3" || r.Unit != chem.DKH {
				t.Errorf("alkalinity %+v", r)
			}
		case chem.Nitrate:
			if r.Limit != tanks.Below || r.Value != 2 {
				t.Errorf("nitrate %+v", r)
			}
		}
	}
	two := value[[]tanks.Reading](t)(s.ReadingsOf(ctx, f.Systems[1].ID, time.Time{}, time.Time{}))
	if len(two) != 1 || !two[0].At.Equal(time.Date(2026, 3, 10, 6, 5, 0, 0, time.UTC)) || two[0].Person != "CD" || two[0].Value != 415 {
		t.Errorf("of F2: %+v", two)
	}
	// A fault of a wide line is named by the heading, and the line is left out.
	bad := strings.Replace(wide, "420", "42000", 1)
	again := value[storage.Preview](t)(s.PreviewCSV(ctx, strings.NewReader(bad), opt))
	if again.BadLines != 1 || again.Faults[0].Column != "ca (mg/l)" || again.Readings != 1 {
		t.Errorf("%+v", again)
	}
}

func TestProposedColumns(t *testing.T) {
	m := storage.MapOf([]string{"Date", "Time", "System", "Calcium (mg/L)", "KH", "Mg, mg/L", "Mood", "Notes"})
	same(t, m.Columns, []storage.MapColumn{
		{Heading: "Date", Role: storage.RoleTime}, {Heading: "Time", Role: storage.RoleClock}, {Heading: "System", Role: storage.RoleSystem},
		{Heading: "Calcium (mg/L)", Role: storage.RoleReading, Analyte: "calcium", Unit: chem.MgL}, {Heading: "KH", Role: storage.RoleReading, Analyte: "alkalinity"},
		{Heading: "Mg, mg/L", Role: storage.RoleReading, Analyte: "magnesium", Unit: chem.MgL}, {Heading: "Mood"}, {Heading: "Notes", Role: storage.RoleNote},
	})
	if got := fault(m.Validate()); got != "columns.4.unit" { // the unit is asked
		t.Errorf("fault of %q", got)
	}
	long := storage.MapOf([]string{"time", "code", "Test", "Result", "Unit", "Ca"})
	if err := long.Validate(); err != nil || long.Columns[5].Role != storage.RoleNone {
		t.Errorf("%+v, %v", long, err)
	}
}

func TestColumnMaps(t *testing.T) {
	s, _ := storagetest.Room(t)
	ctx := t.Context()
	m := wideMap
	must(t, s.SaveColumnMap(ctx, &m))
	other := storage.ColumnMap{Name: "by headings", System: "F1", Encoding: storage.Latin1}
	must(t, s.SaveColumnMap(ctx, &other))
	same(t, value[[]storage.ColumnMap](t)(s.ColumnMaps(ctx)), []storage.ColumnMap{other, m})
	again := wideMap
	again.Name, again.Dates = "sheet OF the rack", storage.MonthDayYear
	must(t, s.SaveColumnMap(ctx, &again))
	if again.ID != m.ID {
		t.Errorf("the same name is another map: %d, %d", again.ID, m.ID)
	}
	must(t, s.DropColumnMap(ctx, other.ID))
	same(t, value[[]storage.ColumnMap](t)(s.ColumnMaps(ctx)), []storage.ColumnMap{again})
	if err := s.DropColumnMap(ctx, other.ID); !errors.Is(err, storage.ErrNotFound) {
		t.Errorf("dropped twice: %v", err)
	}
	for _, c := range []struct {
		name, field string
		change      func(*storage.ColumnMap)
	}{
		{"no name", "name", func(m *storage.ColumnMap) { m.Name = " " }},
		{"zone", "zone", func(m *storage.ColumnMap) { m.Zone = "Mars/Base" }},
		{"dates", "dates", func(m *storage.ColumnMap) { m.Dates = "guess" }},
		{"separator", "separator", func(m *storage.ColumnMap) { m.Separator = "|" }},
		{"encoding", "encoding", func(m *storage.ColumnMap) { m.Encoding = "EBCDIC" }},
		{"no time", "columns", func(m *storage.ColumnMap) { m.Columns = m.Columns[2:] }},
		{"time twice", "columns", func(m *storage.ColumnMap) { m.Columns[2].Role = storage.RoleTime }},
		{"no such role", "columns", func(m *storage.ColumnMap) { m.Columns[6].Role = "mood" }},
		{"unit of another analyte", "columns.4.unit", func(m *storage.ColumnMap) { m.Columns[4].Unit = chem.DKH }},
		{"no analyte", "columns.5.analyte", func(m *storage.ColumnMap) { m.Columns[5].Analyte = "mood" }},
	} {
		bad := wideMap
		bad.Columns = append([]storage.MapColumn(nil), wideMap.Columns...)
		c.change(&bad)
		if got := fault(s.SaveColumnMap(ctx, &bad)); got != c.field {
			t.Errorf("%s: fault of %q", c.name, got)
		}
	}
	for text, field := range map[string]string{"Tank;Datum\n": "header", "Tank;Datum;Uhrzeit;KH;Ca (mg/L);Nitrat;Wer;Datum\n": "header"} {
		if _, err := s.PreviewCSV(ctx, strings.NewReader(text), storage.CSVOptions{Map: wideMap}); fault(err) != field {
			t.Errorf("%q: %v", text, err)
		}
	}
}

// Dates are read in the order that was said, and in no other.
func TestOrdersOfDates(t *testing.T) {
	s, _ := storagetest.Room(t)
	for _, c := range []struct {
		order      storage.DateOrder
		text, want string // UTC; empty: refused
	}{
		{storage.DayMonthYear, "3/2/2026 14:05", "2026-02-03T13:05:00Z"},
		{storage.MonthDayYear, "3/2/2026 2:05 PM", "2026-03-02T13:05:00Z"},
		{storage.MonthDayYear, "3/2/26 2:05:09 pm", "2026-03-02T13:05:09Z"},
		{storage.YearMonthDay, "3/2/2026 14:05", ""},
		{storage.YearMonthDay, "2026/3/2 14:05", "2026-03-02T13:05:00Z"},
		{storage.DayMonthYear, "13.2.2026", "2026-02-12T23:00:00Z"},
		{storage.MonthDayYear, "13.2.2026", ""},
		{storage.DayMonthYear, "2 Feb 2026 14:05", "2026-02-02T13:05:00Z"},
		{storage.DayMonthYear, "2026-02-03T14:05+02:00", "2026-02-03T12:05:00Z"},
		// Day 46055 is 2 February 2026: day 45658 is 1 January 2025 in any spreadsheet.
		{storage.DayNumber, "46055,5", "2026-02-02T11:00:00Z"},
		{storage.DayNumber, "45658", "2024-12-31T23:00:00Z"},
		{storage.YearMonthDay, "46055,5", ""},
		// The clocks in Paris: from 2 to 3 o'clock is skipped on 30 March 2025 and
		// happens twice on 26 October 2025.
		{storage.DayMonthYear, "30.3.2025 02:30", ""},
		{storage.DayMonthYear, "30.3.2025 03:30", "2025-03-30T01:30:00Z"},
		{storage.DayMonthYear, "26.10.2025 02:30", "2025-10-26T00:30:00Z"},
		{storage.DayMonthYear, "26.10.2025 03:30", "2025-10-26T02:30:00Z"},
	} {
		p := value[storage.Preview](t)(s.PreviewCSV(t.Context(), strings.NewReader("time;system;analyte;value;unit\n"+c.text+";F1;Ca;420;mg/L\n"), storage.CSVOptions{
			Map: storage.ColumnMap{Dates: c.order, Zone: "Europe/Paris"}, Zone: time.UTC}))
		got := ""
		if len(p.Rows) == 1 {
			got = p.Rows[0].Reading.At.Format(time.RFC3339)
		}
		if got != c.want {
			t.Errorf("%s, %s: %q, want %q (%+v)", c.order, c.text, got, c.want, p.Faults)
		}
	}
}

func TestUncertaintyOfAnImportedValue(t *testing.T) {
	s, _ := storagetest.Room(t)
	text := "time,system,analyte,value,unit,uncertainty\n2026-03-09,F1,alk,8.3,dKH,0.2804\n2026-03-09,F1,Ca,420,mg/L,\n2026-03-09,F1,Ca,421,mg/L,-2\n2026-03-09,F1,Ca,421,mg/L,x\n"
	p := preview(t, s, text)
	if len(p.Rows) != 2 || p.BadLines != 2 || p.Faults[0].Column != "uncertainty" || p.Faults[1].Column != "uncertainty" {
		t.Fatalf("%+v", p)
	}
	if u := p.Rows[0].Reading.Uncertainty; u < 0.0999 || u > 0.1001 { // 1 meq/L = 2.804 dKH
		t.Errorf("uncertainty %g meq/L", u)
	}
}

// Letters that a block of the file ends in the middle of are read whole.
func TestLettersAcrossBlocks(t *testing.T) {
	s, _ := storagetest.Room(t)
	line := "2026-03-09 08:30,F1,temperature,25.%04d,°C,,,ä€🐠\n"
	for _, shift := range []int{0, 1, 2, 3} {
		var b strings.Builder
		b.WriteString(strings.Repeat("\n", shift) + head)
		n := 0
		for ; b.Len() < 3<<16; n++ {
			fmt.Fprintf(&b, line, n)
		}
		p := preview(t, s, b.String())
		if p.Readings != n || p.BadLines != 0 || p.Rows[7].Reading.Note != "ä€🐠" {
			t.Fatalf("shifted by %d: %d of %d, %+v", shift, p.Readings, n, p.Faults[:min(1, len(p.Faults))])
		}
		// One letter of Latin-1 far behind makes the file Latin-1.
		latin := preview(t, s, head+strings.Repeat("2026-03-09 08:30,F1,pH,8.1,,,,\n", 5000)+"2026-03-09 08:31,F1,temperature,25,\xb0C,,,\n")
		if latin.Readings != 5001 {
			t.Errorf("Latin-1: %+v", latin.Faults)
		}
	}
	if _, err := s.PreviewCSV(t.Context(), strings.NewReader(head+"\xb0"), storage.CSVOptions{Map: storage.ColumnMap{Encoding: storage.UTF8}}); fault(err) != "file" {
		t.Errorf("said to be UTF-8: %v", err)
	}
	must(t, imports(s, head+"2026-03-09 08:30,F1,pH,8.1,,,,\xc3\xa4\n", storage.ColumnMap{Encoding: storage.Latin1}))
	all := value[[]tanks.Reading](t)(s.ReadingsOf(t.Context(), 1, time.Time{}, time.Time{}))
	if len(all) != 1 || all[0].Note != "Ã¤" {
		t.Errorf("said to be Latin-1: %+v", all)
	}
}

func imports(s *storage.Store, text string, m storage.ColumnMap) error {
	_, err := s.ImportCSV(context.Background(), strings.NewReader(text), storage.CSVOptions{Map: m})
	return err
}

func TestHeadOfAFile(t *testing.T) {
	head := value[storage.CSVHead](t)(storage.ReadCSVHead(strings.NewReader(wide), storage.ColumnMap{}))
	if len(head.Header) != 7 || head.Header[4] != "Ca (mg/L)" || len(head.Lines) != 2 || head.Lines[1][3] != "" {
		t.Errorf("%+v", head)
	}
	if _, err := storage.ReadCSVHead(bytes.NewReader(nil), storage.ColumnMap{}); fault(err) != "file" {
		t.Errorf("of nothing: %v", err)
	}
}

// What a preview counts is what an import does, whatever the order of the lines
// and however often they come, and a second import does nothing.
func TestPreviewAndImportAgree(t *testing.T) {
	s, f := storagetest.Room(t)
	must(t, s.KeepUndo(t.Context()))
	rapid.Check(t, func(r *rapid.T) {
		seed := rapid.Uint64().Draw(r, "seed")
		rng := rand.New(rand.NewPCG(seed, 1))
		lines := rapid.IntRange(0, 40_000).Draw(r, "lines")
		times := rapid.SampledFrom([]int{3, 500, 50_000}).Draw(r, "times")
		distinct := map[string]bool{}
		var b strings.Builder
		b.WriteString(head)
		for range lines {
			at := f.Now.Add(-time.Duration(rng.IntN(times)) * time.Minute)
			one := fmt.Sprintf("%s,F%d,%s%d,mg/L,,,\n", at.Format(time.RFC3339), rng.IntN(2)+1, []string{"Ca,42", "Mg,130"}[rng.IntN(2)], rng.IntN(3))
			distinct[one] = true
			b.WriteString(one)
		}
		p := preview(t, s, b.String())
		if p.Readings != lines || p.Good() != len(distinct) || p.BadLines != 0 {
			r.Fatalf("%d lines, %d distinct, previewed %d with %d twice", lines, len(distinct), p.Readings, p.Duplicates)
		}
		in := imported(t, s, b.String())
		if in.Readings != p.Good() || in.Duplicates != p.Duplicates {
			r.Fatalf("previewed %d and %d; imported %+v", p.Good(), p.Duplicates, in)
		}
		if again := imported(t, s, b.String()); again.Readings != 0 || again.Duplicates != lines {
			r.Fatalf("imported again: %+v", again)
		}
		if wrong := value[int](t)(s.CheckLatest(t.Context())); wrong != 0 {
			r.Fatalf("%d of the newest are not", wrong)
		}
		for range 2 { // the two imports
			if _, err := s.Undo(t.Context(), ""); err != nil {
				r.Fatal(err)
			}
		}
		if left := newest(t, s); len(left) != 0 {
			r.Fatalf("taken back, the newest are %v", left)
		}
	})
}

func TestImportIsAllOrNothing(t *testing.T) {
	s, f := storagetest.Room(t)
	var b strings.Builder
	b.WriteString(head)
	for n := range 30_000 {
		fmt.Fprintf(&b, "%s,F1,Ca,420,mg/L,,,\n", f.Now.Add(-time.Duration(n)*time.Minute).Format(time.RFC3339))
	}
	before := rowCounts(t, s.Path())
	ctx, stop := context.WithCancel(t.Context())
	var told []int64
	_, err := s.ImportCSV(ctx, strings.NewReader(b.String()), storage.CSVOptions{Progress: func(done, total int64) {
		if total != int64(b.Len()) || done > total {
			t.Errorf("%d of %d", done, total)
		}
		told = append(told, done)
		if len(told) == 2 {
			stop()
		}
	}})
	if !errors.Is(err, context.Canceled) || len(told) < 2 {
		t.Errorf("told %v, %v", told, err)
	}
	same(t, rowCounts(t, s.Path()), before)
	if undo, _ := s.Undoable(); undo != "" {
		t.Errorf("%q can be taken back", undo)
	}
	if in := imported(t, s, b.String()); in.Readings != 30_000 {
		t.Errorf("after it: %+v", in)
	}
}

// A note of ten megabytes comes in and goes out whole.
func TestLargeNote(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx := t.Context()
	must(t, s.KeepUndo(ctx))
	note := strings.Repeat("0123456789abcde\n", 10<<20/16)
	must(t, imports(s, head+"2026-03-09 08:30,F1,pH,8.1,,,,\""+note+"\"\n", storage.ColumnMap{}))
	must(t, s.SaveObservation(ctx, &tanks.Observation{System: f.Systems[0].ID, At: f.Now, Text: note}))
	value[words.Text](t)(s.Undo(ctx, ""))
	value[words.Text](t)(s.Redo(ctx, ""))
	all := value[[]tanks.Reading](t)(s.ReadingsOf(ctx, f.Systems[0].ID, time.Time{}, time.Time{}))
	notes := value[[]tanks.Observation](t)(s.Observations(ctx, f.Systems[0].ID, time.Time{}, time.Time{}))
	if len(all) != 1 || all[0].Note != strings.TrimSpace(note) || len(notes) != 1 || notes[0].Text != note {
		t.Errorf("%d readings, %d notes", len(all), len(notes))
	}
}
