package storage_test

import (
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
	"weirkeeper/storage/csvread"
	"weirkeeper/storage/storagetest"
	"weirkeeper/storage/storagetest/faults"
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
	var heard []storage.Touched
	defer s.Listen(func(c storage.Touched) { heard = append(heard, c) })()
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
	if first.Value != 420 || first.Person != "CD" || first.Note != "after, change" || first.Typed != "420" || first.Unit != chem.MgL ||
		!first.Entered.Equal(f.Now) {
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

// wide is a spreadsheet with a column for each test, as people keep them: day
// first, a decimal comma, an empty cell, a dash for "not measured".
const wide = "Tank;Datum;Uhrzeit;KH;Ca (mg/L);Nitrat;Wer\r\nF1;9.3.2026;08:30;8,3;420;<2;AB\r\nF2;10.03.26;7:05;;415;-;\r\n"

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

func TestColumnMaps(t *testing.T) {
	s, _ := storagetest.Room(t)
	ctx := t.Context()
	m := wideMap
	must(t, s.SaveColumnMap(ctx, &m))
	other := csvread.ColumnMap{Name: "by headings", System: "F1", Encoding: csvread.Latin1}
	must(t, s.SaveColumnMap(ctx, &other))
	same(t, value[[]csvread.ColumnMap](t)(s.ColumnMaps(ctx)), []csvread.ColumnMap{other, m})
	again := wideMap
	again.Name, again.Dates = "sheet OF the rack", csvread.MonthDayYear
	must(t, s.SaveColumnMap(ctx, &again))
	if again.ID != m.ID {
		t.Errorf("the same name is another map: %d, %d", again.ID, m.ID)
	}
	must(t, s.DropColumnMap(ctx, other.ID))
	same(t, value[[]csvread.ColumnMap](t)(s.ColumnMaps(ctx)), []csvread.ColumnMap{again})
	if err := s.DropColumnMap(ctx, other.ID); !errors.Is(err, storage.ErrNotFound) {
		t.Errorf("dropped twice: %v", err)
	}
	for field, bad := range map[string]csvread.ColumnMap{"name": {Name: " "}, "zone": {Name: "Base", Zone: "Mars/Base"}} {
		if got := fault(s.SaveColumnMap(ctx, &bad)); got != field {
			t.Errorf("%+v: fault of %q", bad, got)
		}
	}
}

func imports(s *storage.Store, text string, m csvread.ColumnMap) error {
	_, err := s.ImportCSV(context.Background(), strings.NewReader(text), storage.CSVOptions{Map: m})
	return err
}

// What a preview counts is what an import does, whatever the order of the lines
// and however often they come, and a second import does nothing.
func TestPreviewAndImportAgree(t *testing.T) {
	s, f := storagetest.Room(t)
	s = own(s)
	// More than one part of a file, with lines that come again in another part, into
	// a ledger that has no readings yet.
	if wrong := disagree(t, s, f, 1, 25_000, 500); wrong != "" {
		t.Error(wrong)
	}
	most := 400
	if faults.Rounds() > 0 {
		most = 40_000
	}
	rapid.Check(t, func(r *rapid.T) {
		lines := rapid.IntRange(0, most).Draw(r, "lines")
		times := rapid.SampledFrom([]int{3, 500, 50_000}).Draw(r, "times")
		if wrong := disagree(t, s, f, rapid.Uint64().Draw(r, "seed"), lines, times); wrong != "" {
			r.Fatal(wrong)
		}
	})
}

// disagree says where the preview and the import of so many lines disagree, whose
// times are so many minutes, and takes the import back.
func disagree(t *testing.T, s *storage.Store, f storagetest.Fixture, seed uint64, lines, times int) string {
	t.Helper()
	rng := rand.New(rand.NewPCG(seed, 1))
	distinct := map[string]bool{}
	var b strings.Builder
	b.WriteString(head)
	for range lines {
		at := f.Now.Add(-time.Duration(rng.IntN(times)) * time.Minute)
		one := fmt.Sprintf(
			"%s,F%d,%s%d,mg/L,,,\n",
			at.Format(time.RFC3339),
			rng.IntN(2)+1,
			[]string{"Ca,42", "Mg,130"}[rng.IntN(2)],
			rng.IntN(3),
		)
		distinct[one] = true
		b.WriteString(one)
	}
	p := preview(t, s, b.String())
	if p.Readings != lines || p.Good() != len(distinct) || p.BadLines != 0 {
		return fmt.Sprintf("%d lines, %d distinct, previewed %d with %d twice", lines, len(distinct), p.Readings, p.Duplicates)
	}
	in := imported(t, s, b.String())
	if in.Readings != p.Good() || in.Duplicates != p.Duplicates {
		return fmt.Sprintf("previewed %d and %d; imported %+v", p.Good(), p.Duplicates, in)
	}
	if again := imported(t, s, b.String()); again.Readings != 0 || again.Duplicates != lines {
		return fmt.Sprintf("imported again: %+v", again)
	}
	if wrong := value[int](t)(s.CheckLatest(t.Context())); wrong != 0 {
		return fmt.Sprintf("%d of the newest are not", wrong)
	}
	for range 2 { // the two imports
		value[words.Text](t)(s.Undo(t.Context(), "AB"))
	}
	if left := newest(t, s); len(left) != 0 {
		return fmt.Sprintf("taken back, the newest are %v", left)
	}
	return ""
}

// A stopped import leaves everything as it was, and what is done after it can be
// taken back.
func TestImportIsAllOrNothing(t *testing.T) {
	s, f := storagetest.Room(t)
	s = own(s)
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
	if undo, _ := undoable(t, s); undo != "" {
		t.Errorf("%q can be taken back", undo)
	}
	if in := imported(t, s, b.String()); in.Readings != 30_000 {
		t.Errorf("after it: %+v", in)
	}
	value[words.Text](t)(s.Undo(t.Context(), "AB"))
	if left := value[[]tanks.Reading](t)(s.ReadingsOf(t.Context(), f.Systems[0].ID, time.Time{}, time.Time{})); len(left) > 0 &&
		left[0].Status == tanks.Live {
		t.Errorf("taken back, and %d are live", len(left))
	}
}

// The longest note comes in and goes out whole; a longer one is refused at its place.
func TestLargeNote(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx := t.Context()
	s = own(s)
	note := strings.Repeat("0123456789abcde\n", tanks.LongestNote/16)
	must(t, imports(s, head+"2026-03-09 08:30,F1,pH,8.1,,,,\""+note+"\"\n", csvread.ColumnMap{}))
	longer := value[storage.Preview](t)(s.PreviewCSV(ctx, strings.NewReader(head+"2026-03-09 08:30,F1,pH,8.1,,,,\""+note+note+"\"\n"),
		storage.CSVOptions{}))
	if longer.Good() != 0 || len(longer.Faults) != 1 || longer.Faults[0].Column != "note" {
		t.Errorf("%d are good, %+v", longer.Good(), longer.Faults)
	}
	must(t, s.SaveObservation(ctx, &tanks.Observation{System: f.Systems[0].ID, At: f.Now, Text: note}))
	value[words.Text](t)(s.Undo(ctx, "AB"))
	value[words.Text](t)(s.Redo(ctx, "AB"))
	all := value[[]tanks.Reading](t)(s.ReadingsOf(ctx, f.Systems[0].ID, time.Time{}, time.Time{}))
	notes := value[[]tanks.Observation](t)(s.Observations(ctx, f.Systems[0].ID, time.Time{}, time.Time{}))
	if len(all) != 1 || all[0].Note != strings.TrimSpace(note) || len(notes) != 1 || notes[0].Text != note {
		t.Errorf("%d readings, %d notes", len(all), len(notes))
	}
}
