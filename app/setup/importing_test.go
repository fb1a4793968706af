package setup

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// file writes a file of readings to import.
func file(t *testing.T, lines ...string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "bench book.csv")
	must(t, os.WriteFile(path, []byte(strings.Join(lines, "\n")+"\n"), 0o644))
	return path
}

// readings are those of a system that the ledger has.
func (s *setup) readings(id tanks.SystemID) []tanks.Reading {
	s.T.Helper()
	all, err := s.Store.ReadingsOf(s.T.Context(), id, time.Time{}, storagetest.Now.AddDate(1, 0, 0))
	must(s.T, err)
	live := all[:0]
	for _, r := range all {
		if r.Status == tanks.Live {
			live = append(live, r)
		}
	}
	return live
}

const heading = "time,system,analyte,value,unit"

func TestImportOneReading(t *testing.T) {
	s, fixture := room(t, session.SetupImport)
	s.page.LookAt(file(t, heading, "2026-03-09 18:30,F1,Calcium,412,mg/L", "2026-03-09 18:30,F9,Calcium,412,mg/L"))
	s.Drain()
	for _, want := range []string{"1 reading can be taken", "1 line is wrong", "0 are in the ledger already", "Accept 1 reading\n"} {
		if !strings.Contains(s.Seen(), want) {
			t.Errorf("%q is not shown:\n%s", want, s.Seen())
		}
	}
	// The row under the cursor is written out, since the table may cut it.
	if got, want := s.page.imports.detail.Text(), `No system has the code "F9": use one of F1, F2, or add the system in Setup first`; got != want {
		t.Errorf("written out is %q", got)
	}
	if n := len(s.readings(fixture.Systems[0].ID)); n > 0 {
		t.Fatalf("before it is accepted the ledger has %d", n)
	}
	s.Press("Accept 1 reading")
	got := s.readings(fixture.Systems[0].ID)
	if len(got) != 1 || got[0].Value != 412 || got[0].Analyte != chem.Calcium ||
		!got[0].At.Equal(time.Date(2026, 3, 9, 17, 30, 0, 0, time.UTC)) { // Paris is an hour ahead
		t.Fatalf("saved %+v", got)
	}
	if s.LastSaid().Title != "Saved 1 reading" || !strings.Contains(s.Seen(), "No file chosen") {
		t.Errorf("said %+v\n%s", s.LastSaid(), s.Seen())
	}
	if n := len(s.working.began); s.working.ended != n || n != 2 {
		t.Errorf("began %v, %d ended", s.working.began, s.working.ended)
	}
	s.next() // Undo
	if n := len(s.readings(fixture.Systems[0].ID)); n > 0 {
		t.Errorf("taken back, and the ledger has %d", n)
	}
}

// The same file again has nothing to take, and pressing Accept says so.
func TestImportTwice(t *testing.T) {
	s, fixture := room(t, session.SetupImport)
	path := file(t, heading, "2026-03-09 18:30,F1,Calcium,412,mg/L", "2026-03-08 18:30,F1,Calcium,415,mg/L")
	s.page.LookAt(path)
	s.Drain()
	s.Press("Accept 2 readings")
	s.page.LookAt(path)
	s.Drain()
	if !strings.Contains(s.Seen(), "0 readings can be taken, 0 lines are wrong, 2 are in the ledger already") {
		t.Errorf("shown\n%s", s.Seen())
	}
	s.Press("Accept 0 readings")
	if s.LastSaid().Title != "There is nothing to accept" || len(s.readings(fixture.Systems[0].ID)) != 2 {
		t.Errorf("said %+v", s.LastSaid())
	}
}

// Times of a file are of the zone that is chosen for it.
func TestImportFromAnotherZone(t *testing.T) {
	s, fixture := room(t, session.SetupImport)
	s.page.LookAt(file(t, heading, "2026-03-09 18:30,F1,Calcium,412,mg/L"))
	s.Drain()
	s.Pick(2, "Asia/Kolkata")
	s.Press("Accept 1 reading")
	if got := s.readings(fixture.Systems[0].ID); len(got) != 1 ||
		!got[0].At.Equal(time.Date(2026, 3, 9, 13, 0, 0, 0, time.UTC)) { // five and a half hours ahead
		t.Errorf("saved %+v", got)
	}
}

// A file without a column for its system is taken for the one that is chosen.
func TestImportForOneSystem(t *testing.T) {
	s, _ := room(t, session.SetupImport)
	rack := tanks.System{Code: "Q1", Name: "Quarantine", Kind: tanks.Marine, Order: 9}
	must(t, s.Store.SaveSystem(t.Context(), &rack))
	s.Drain()
	s.page.LookAt(file(t, "time,analyte,value,unit", "2026-03-09 18:30,Calcium,412,mg/L"))
	s.Drain()
	s.Pick(3, rack.Label())
	s.Press("Accept 1 reading")
	if got := s.readings(rack.ID); len(got) != 1 || got[0].Value != 412 {
		t.Errorf("saved %+v", got)
	}
}

// A stopped import leaves the ledger as it was, says so, and can be accepted again.
func TestStoppedImport(t *testing.T) {
	s, fixture := room(t, session.SetupImport)
	lines := []string{heading}
	for i := range 3000 {
		lines = append(
			lines,
			fmt.Sprintf(
				"%s,F1,Calcium,%d,mg/L",
				storagetest.Now.Add(-time.Duration(i)*time.Minute).Format("2006-01-02T15:04:05Z"),
				400+i%50,
			),
		)
	}
	s.page.LookAt(file(t, lines...))
	s.Drain()
	s.page.imports.write()
	s.working.stop()
	s.page.LookAt(file(t, heading))
	if s.LastSaid().Title != "An import is under way" || s.page.imports.name() == "" {
		t.Errorf("another file meanwhile: said %+v", s.LastSaid())
	}
	s.Drain()
	if s.LastSaid().Title != "Stopped" || len(s.readings(fixture.Systems[0].ID)) != 0 {
		t.Fatalf("said %+v, %d readings", s.LastSaid(), len(s.readings(fixture.Systems[0].ID)))
	}
	s.Press("Accept 3000 readings")
	if n := len(s.readings(fixture.Systems[0].ID)); n != 3000 || s.LastSaid().Title != "Saved 3000 readings" {
		t.Errorf("accepted again: %d readings, said %+v", n, s.LastSaid())
	}
}

func TestMissingFile(t *testing.T) {
	s, _ := room(t, session.SetupImport)
	s.page.LookAt(filepath.Join(t.TempDir(), "gone.csv"))
	s.Drain()
	if said := s.LastSaid(); said.Title != "Reading the file: it could not be read" {
		t.Errorf("said %+v", said)
	}
}

// A column is told what it holds; the map is saved under a name, is chosen then,
// and can be deleted.
func TestColumnMap(t *testing.T) {
	s, fixture := room(t, session.SetupImport)
	path := file(t, "day;rack;third", "9.3.2026;F2;8,1")
	s.page.LookAt(path)
	s.Drain()
	set := func(column int, role string, more func()) {
		s.page.imports.columns.editColumn(column)
		s.Pick(0, role)
		more()
		s.Press("Take it so")
	}
	set(0, "the day, or day and time", func() {})
	set(1, "the system's code or name", func() {})
	s.page.imports.columns.editColumn(2)
	s.Pick(0, "readings of one analyte")
	s.Press("Take it so")
	if !s.Asked() || !strings.Contains(s.Seen(), "What is measured is not said") || !strings.Contains(s.Seen(), "The unit is not said") {
		t.Fatalf("open %v\n%s", s.Asked(), s.Seen())
	}
	s.Pick(1, "Alkalinity")
	s.Pick(2, "dKH")
	s.Press("Take it so")
	s.Pick(1, "day, month, year: 4.3.2026")
	if !strings.Contains(s.Seen(), "Accept 1 reading") {
		t.Fatalf("shown\n%s", s.Seen())
	}
	s.Press("Save this map")
	s.Press("Save")
	if !s.Asked() || !strings.Contains(s.Seen(), "The column map has no name") {
		t.Fatalf("without a name: open %v\n%s", s.Asked(), s.Seen())
	}
	s.into(s.field(0), "Bench book")
	s.Press("Save")
	if saved := nth[*widgets.Choice[int64]](s, 0); s.Asked() || saved.Shown() != "Bench book" ||
		s.LastSaid().Title != "Saved the column map Bench book" {
		t.Fatalf("open %v, chosen %q, said %+v", s.Asked(), saved.Shown(), s.LastSaid())
	}
	s.Press("Accept 1 reading")
	if got := s.readings(fixture.Systems[1].ID); len(got) != 1 || got[0].Typed != "8,1" || got[0].Unit != chem.DKH {
		t.Fatalf("saved %+v", got)
	}
	// On the next page the map is chosen by its name, and the proposal again.
	again := open(t, s.Store, session.SetupImport)
	again.page.LookAt(path)
	again.Drain()
	if !strings.Contains(again.Seen(), "Accept 0 readings") {
		t.Errorf("without the map:\n%s", again.Seen())
	}
	again.Pick(0, "Bench book")
	if !strings.Contains(again.Seen(), "1 is in the ledger already") || !strings.Contains(again.Seen(), "Alkalinity, dKH") {
		t.Errorf("with the map:\n%s", again.Seen())
	}
	again.Pick(0, "proposed by the headings")
	if strings.Contains(again.Seen(), "1 is in the ledger already") {
		t.Errorf("with the proposal:\n%s", again.Seen())
	}
	s.page.LookAt(path)
	s.Drain()
	s.Press("Delete the map")
	if got := nth[*widgets.Choice[int64]](s, 0).Shown(); got != "proposed by the headings" {
		t.Errorf("after it is deleted chosen is %q", got)
	}
	if maps := ledger(s, s.Store.ColumnMaps); len(maps) != 0 || !strings.HasPrefix(s.LastSaid().Title, "Deleted") {
		t.Fatalf("maps %v, said %+v", maps, s.LastSaid())
	}
	s.next() // Undo
	if maps := ledger(s, s.Store.ColumnMaps); len(maps) != 1 || maps[0].Name != "Bench book" {
		t.Errorf("taken back: %v", maps)
	}
}

// A value that a slip of the decimal point explains is listed first, and is taken
// only on the person's word.
func TestImportOfASlip(t *testing.T) {
	s, fixture := room(t, session.SetupImport)
	s.page.LookAt(file(t, heading, "2026-03-05 18:30,F1,Magnesium,1300,mg/L", "2026-03-06 18:30,F1,Magnesium,1310,mg/L",
		"2026-03-07 18:30,F1,Magnesium,1305,mg/L", "2026-03-08 18:30,F1,Magnesium,1.32,mg/L"))
	s.Drain()
	for _, want := range []string{
		"Look at these: 1 value may be a slip. It is taken as it stands.", "8 Mar 2026, 18:30, F1, Magnesium 1.32 mg/L",
		"A slip of the decimal point would give 1320 mg/L.",
	} {
		if !strings.Contains(s.Seen(), want) {
			t.Errorf("%q is not shown:\n%s", want, s.Seen())
		}
	}
	s.Press("Accept 4 readings")
	if n := len(s.readings(fixture.Systems[0].ID)); n > 0 {
		t.Fatalf("unasked, %d are taken", n)
	}
	s.Press("Cancel")
	if n := len(s.readings(fixture.Systems[0].ID)); n > 0 {
		t.Fatalf("refused, %d are taken", n)
	}
	s.Press("Accept 4 readings")
	s.Press("Take them")
	if n := len(s.readings(fixture.Systems[0].ID)); n != 4 {
		t.Errorf("%d are taken", n)
	}
}
