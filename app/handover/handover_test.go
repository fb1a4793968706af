package handover_test

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"weirkeeper/app/apptest"
	"weirkeeper/app/handover"
	"weirkeeper/app/screentest"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// bottomLine is the window's line of long work: what began, how far it is said to
// be, what has ended.
type bottomLine struct {
	mutex  sync.Mutex
	began  []string
	told   []float64
	ended  int
	stopAt float64 // stop the work when it has told this share; zero: never
	stop   context.CancelFunc
}

func (b *bottomLine) Begin(doing string, canStop bool) (context.Context, session.Work) {
	ctx, stop := context.WithCancel(context.Background())
	b.began, b.stop = append(b.began, doing), stop
	if !canStop {
		b.began = append(b.began, "and cannot be stopped")
	}
	return ctx, b
}

func (b *bottomLine) Set(share float64) {
	b.mutex.Lock()
	defer b.mutex.Unlock()
	b.told = append(b.told, share)
	if b.stopAt > 0 && share >= b.stopAt {
		b.stop()
	}
}

func (b *bottomLine) End() { b.ended++ }

func open(t *testing.T, store *storage.Store, now time.Time, r session.Route) (*screentest.Screen, *bottomLine) {
	t.Helper()
	t.Setenv("HOME", t.TempDir())
	s := screentest.Open(t, store, now, func(s *session.Session) screentest.Page { return handover.New(s) })
	line := &bottomLine{}
	s.Session.Working = line
	r.Place = session.Handover
	s.Visit(r)
	return s, line
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// history is the test room with three readings of calcium of the second system,
// one of them withdrawn.
func history(t *testing.T) (*storage.Store, storagetest.Fixture) {
	t.Helper()
	store, f := storagetest.Room(t)
	m := f.Methods[chem.Calcium]
	var all []tanks.Reading
	for _, days := range []int{30, 20, 10} {
		at := f.Now.AddDate(0, 0, -days)
		all = append(all, tanks.Reading{
			System: f.Systems[1].ID, Analyte: chem.Calcium, At: at, Value: 420, Method: m.ID, Unit: m.Unit, Typed: "420",
		})
	}
	ids, err := store.SaveReadings(t.Context(), all)
	must(t, err)
	must(t, store.WithdrawReading(t.Context(), ids[0], "wrong tank", "TK"))
	return store, f
}

// setDay types a day into the n-th field for one and leaves it.
func setDay(t *testing.T, s *screentest.Screen, n int, day string) {
	t.Helper()
	seen := -1
	entry := apptest.Find(t, s.Canvas().Content(), func(*widgets.DateEntry) bool { seen++; return seen == n })
	s.Focus(entry)
	entry.SetText(day)
	s.Canvas().Unfocus()
	s.Drain()
}

func folder(t *testing.T, s *screentest.Screen) *widgets.TextEntry {
	t.Helper()
	return apptest.Find(t, s.Canvas().Content(), func(*widgets.TextEntry) bool { return true })
}

// The page counts what the export will hold, of the system and the days chosen.
func TestWhatItWillHold(t *testing.T) {
	store, f := history(t)
	s, _ := open(t, store, f.Now, session.Route{System: f.Systems[1].ID})
	period := "F2  Frag rack, south, 3 Feb 2025 to 10 Mar 2026"
	if got := s.Lines(); !slices.Contains(got, "Readings | 3 | 1 withdrawn, 0 only bounds (< or >)") ||
		!strings.Contains(s.Seen(), period) {
		t.Fatalf("it will hold %q:\n%s", got, s.Seen())
	}
	setDay(t, s, 0, "2026-02-12")
	if got := s.Lines(); !slices.Contains(got, "Readings | 2 | 0 withdrawn, 0 only bounds (< or >)") {
		t.Errorf("from 12 Feb it will hold %q", got)
	}
	setDay(t, s, 1, "2026-02-01")
	if seen := s.Seen(); !strings.Contains(seen, "The last day is before the first") || len(s.Lines()) != 0 {
		t.Errorf("to 1 Feb it shows\n%s", seen)
	}
	s.Pick(0, f.Systems[0].Label())
	setDay(t, s, 1, "2026-03-10")
	if got := s.Lines(); !slices.Contains(got, "Readings | 0 | 0 withdrawn, 0 only bounds (< or >)") {
		t.Errorf("of F1 it will hold %q", got)
	}
}

// Bounds of both kinds are counted, the last day counts to its end, and another
// system begins with its own first day.
func TestBoundsAndDays(t *testing.T) {
	store, f := history(t)
	late := f.Systems[0]
	late.Opened = f.Now.AddDate(0, 0, -40)
	must(t, store.SaveSystem(t.Context(), &late))
	var all []tanks.Reading
	for n, limit := range []tanks.Limit{tanks.Exact, tanks.Below, tanks.Above} {
		at := time.Date(2026, 3, 1, 8+7*n, 0, 0, 0, f.Zone) // the last in the evening
		all = append(all, tanks.Reading{System: late.ID, Analyte: chem.Nitrate, At: at, Value: 5, Limit: limit, Unit: chem.MgL, Typed: "5"})
	}
	_, err := store.SaveReadings(t.Context(), all)
	must(t, err)
	s, _ := open(t, store, f.Now, session.Route{System: f.Systems[1].ID})
	s.Pick(0, late.Label())
	setDay(t, s, 1, "2026-03-01")
	if got := s.Lines(); !slices.Contains(got, "Readings | 3 | 0 withdrawn, 2 only bounds (< or >)") ||
		!strings.Contains(s.Seen(), "29 Jan 2026 to 1 Mar 2026") {
		t.Errorf("it will hold %q:\n%s", got, s.Seen())
	}
}

// What was typed stays when the ledger changes: the system, the days, the folder.
func TestReloadKeepsWhatWasChosen(t *testing.T) {
	store, f := history(t)
	s, _ := open(t, store, f.Now, session.Route{System: f.Systems[1].ID})
	setDay(t, s, 0, "2026-02-12")
	folder(t, s).SetText("/somewhere")
	first := tanks.System{Code: "A0", Name: "Before all others", Kind: tanks.Marine, Opened: f.Now.AddDate(0, 0, -1)}
	must(t, store.SaveSystem(t.Context(), &first))
	s.Drain()
	if got := folder(t, s).Text; got != "/somewhere" || !strings.Contains(s.Seen(), "F2  Frag rack, south, 12 Feb 2026 to 10 Mar 2026") {
		t.Errorf("folder %q:\n%s", got, s.Seen())
	}
}

// The export writes three files once, shows how far it is, and says where they are.
func TestExport(t *testing.T) {
	store, f := history(t)
	alk := tanks.Reading{System: f.Systems[1].ID, Analyte: chem.Alkalinity, At: f.Now.AddDate(0, 0, -20), Value: 3.12, Unit: chem.MeqL,
		Typed: "3.12"}
	_, err := store.SaveReadings(t.Context(), []tanks.Reading{alk})
	must(t, err)
	s, line := open(t, store, f.Now, session.Route{System: f.Systems[1].ID})
	dir := t.TempDir()
	s.Session.Prefs.Alkalinity = chem.CaCO3
	folder(t, s).SetText("  " + dir + " ")
	for range 3 {
		must(t, apptest.PressLabel(s.Canvas(), "Export PDF, CSV and manifest"))
	}
	s.Drain()
	files, err := filepath.Glob(filepath.Join(dir, "*", "*"))
	must(t, err)
	got := s.LastSaid()
	if len(files) != 3 || len(s.Said) != 1 || got.Title != "Written: 3 files" || !strings.Contains(got.Text, files[0]) {
		t.Fatalf("it wrote %q and said %+v", files, s.Said)
	}
	csv := slices.IndexFunc(files, func(path string) bool { return strings.HasSuffix(path, ".csv") })
	table, err := os.ReadFile(files[csv])
	must(t, err)
	n := strings.Count(string(table), ",reading,")
	if n != 4 || !strings.Contains(string(table), "F2") || strings.Contains(string(table), "F1") {
		t.Errorf("the table has %d readings:\n%s", n, table)
	}
	if !strings.Contains(string(table), "2026-02-18T09:02:00+01:00") || !strings.Contains(string(table), ",156,mg/L CaCO3,") {
		t.Errorf("the table is not in the room's zone and the person's unit:\n%s", table)
	}
	if !slices.Equal(line.began, []string{"Writing the history of F2"}) || line.ended != 1 {
		t.Errorf("began %q, %d ended", line.began, line.ended)
	}
	if len(line.told) < 5 || !slices.IsSorted(line.told) || line.told[len(line.told)-1] != 1 {
		t.Errorf("it told %v", line.told)
	}
}

// Stopped while it reads or while it writes, it leaves no file, says so, and can
// be begun again.
func TestStopTheExport(t *testing.T) {
	store, f := history(t)
	for _, at := range []float64{0.1, 0.5, 0.7, 0.99} {
		s, line := open(t, store, f.Now, session.Route{System: f.Systems[1].ID})
		dir := t.TempDir()
		folder(t, s).SetText(dir)
		line.stopAt = at
		s.Press("Export PDF, CSV and manifest")
		files, err := os.ReadDir(dir)
		must(t, err)
		if got := s.LastSaid(); len(files) != 0 || got.Bad || got.Title != "The export was stopped" || line.ended != 1 {
			t.Errorf("stopped at %v: %v, said %+v, %d ended", at, files, got, line.ended)
		}
		line.stopAt = 0
		s.Press("Export PDF, CSV and manifest")
		if got := s.LastSaid(); got.Title != "Written: 3 files" {
			t.Errorf("begun again after %v it says %+v", at, got)
		}
	}
}

// A folder that is not there is said at its field, which keeps what was typed; a
// disk that fails is said above.
func TestExportRefused(t *testing.T) {
	store, f := history(t)
	s, line := open(t, store, f.Now, session.Route{System: f.Systems[1].ID})
	missing := filepath.Join(t.TempDir(), "not there")
	folder(t, s).SetText(missing)
	s.Press("Export PDF, CSV and manifest")
	seen := s.Seen()
	if !strings.Contains(seen, "There is no folder") || folder(t, s).Text != missing || len(s.Said) != 0 || line.ended != 1 {
		t.Errorf("it shows\n%s", seen)
	}
	folder(t, s).SetText(t.TempDir())
	s.FailReads(errors.New("the disk is gone"))
	s.Press("Export PDF, CSV and manifest")
	got := s.LastSaid()
	if !got.Bad || got.Title != "Writing the handover: not done" || !strings.Contains(got.Text, "the disk is gone") || line.ended != 2 {
		t.Errorf("said %+v", got)
	}
}

// The usual folder is the person's documents, where there is such a folder.
func TestUsualFolder(t *testing.T) {
	store, f := history(t)
	s, _ := open(t, store, f.Now, session.Route{})
	home, err := os.UserHomeDir()
	must(t, err)
	if got := folder(t, s).Text; got != home {
		t.Errorf("without documents it goes to %q", got)
	}
	must(t, os.Mkdir(filepath.Join(home, "Documents"), 0o755))
	again := screentest.Open(t, store, f.Now, func(s *session.Session) screentest.Page { return handover.New(s) })
	again.Visit(session.Route{})
	if got := folder(t, again).Text; got != filepath.Join(home, "Documents") {
		t.Errorf("with documents it goes to %q", got)
	}
}

func TestEmptyHandover(t *testing.T) {
	path, empty := filepath.Join(t.TempDir(), "empty.wkr"), tanks.Room{Name: "Test room", Zone: "Europe/Paris"}
	store, err := storage.Create(t.Context(), path, empty, storagetest.Clock)
	must(t, err)
	t.Cleanup(func() { store.Close() })
	s, line := open(t, store, storagetest.Now, session.Route{})
	s.Page.(interface{ Save() }).Save() // Ctrl+S with nothing to export
	s.Drain()
	s.Press("Add a system")
	if len(s.Went) != 1 || s.Went[0].Section != session.SetupSystems || len(line.began) != 0 {
		t.Errorf("went to %+v, began %q", s.Went, line.began)
	}
}

func TestWhatCannotBeReadIsSaid(t *testing.T) {
	store, f := history(t)
	s, _ := open(t, store, f.Now, session.Route{System: f.Systems[1].ID})
	s.FailReads(errors.New("the disk is gone"))
	s.Page.Reload()
	s.Drain()
	if got := s.LastSaid(); !got.Bad || got.Title != "Reading the systems: it could not be read" {
		t.Errorf("said %+v", got)
	}
}
