package testsheet_test

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"

	"weirkeeper/app/apptest"
	"weirkeeper/app/screentest"
	"weirkeeper/app/session"
	"weirkeeper/app/state"
	"weirkeeper/app/testsheet"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
	"weirkeeper/tasks"
)

// round is the test sheet on a ledger.
type round struct {
	*screentest.Screen
	page *testsheet.Page
}

// open shows the sheet, for some cells or, without, as the rail does.
func open(t *testing.T, store *storage.Store, now time.Time, cells ...tanks.Cell) *round {
	t.Helper()
	r := &round{}
	r.Screen = screentest.Open(t, store, now, func(s *session.Session) screentest.Page {
		r.page = testsheet.New(s)
		return r.page
	})
	r.Session.Undo = r.undo
	r.visit(cells...)
	return r
}

func (r *round) visit(cells ...tanks.Cell) {
	r.T.Helper()
	r.Visit(session.Route{Place: session.TestSheet, Cells: cells})
	if f := r.page.FirstFocus(); f != nil {
		r.Focus(f)
	}
}

// save presses Ctrl+S, as the window hands it on.
func (r *round) save() { r.page.Save(); r.Drain() }

// undo and redo do as the window does.
func (r *round) undo() {
	r.T.Helper()
	doing, err := r.Store.Undo(r.T.Context(), "TK")
	if err != nil {
		r.T.Fatal(err)
	}
	r.page.Undone(doing)
	r.Drain()
}

func (r *round) redo() {
	r.T.Helper()
	if _, err := r.Store.Redo(r.T.Context(), "TK"); err != nil {
		r.T.Fatal(err)
	}
	r.Drain()
}

// enter types values, each with Enter.
func (r *round) enter(values ...string) {
	r.T.Helper()
	for _, v := range values {
		r.Type(v)
		r.Keys(fyne.KeyReturn)
	}
}

func (r *round) grid() *widgets.Grid {
	r.T.Helper()
	return apptest.Find(r.T, r.Canvas().Content(), func(*widgets.Grid) bool { return true })
}

// typed lists what stands in the ledger: "F1 calcium 421 mg/L" for each live
// reading of the systems, in the order of systems and time.
func typed(t *testing.T, store *storage.Store) []string {
	t.Helper()
	systems, err := store.Systems(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, s := range systems {
		readings, err := store.ReadingsOf(t.Context(), s.ID, time.Time{}, time.Time{})
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range readings {
			if r.Status == tanks.Live {
				out = append(out, fmt.Sprintf("%s %v %s %s", s.Code, r.Analyte.InSentence(), r.Typed, r.Unit))
			}
		}
	}
	return out
}

func same(t *testing.T, what string, got []string, want ...string) {
	t.Helper()
	if strings.Join(got, "; ") != strings.Join(want, "; ") {
		t.Errorf("%s: %q, want %q", what, got, want)
	}
}

// unscheduled is a ledger with three systems of different waters and no profile.
func unscheduled(t *testing.T) (*storage.Store, map[string]tanks.System) {
	t.Helper()
	path, room := filepath.Join(t.TempDir(), "room.wkr"), tanks.Room{Name: "Test room", Zone: "Europe/Paris"}
	store, err := storage.Create(t.Context(), path, room, storagetest.Clock)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() })
	systems := map[string]tanks.System{}
	for n, kind := range []tanks.Kind{tanks.Freshwater, tanks.Brackish, tanks.Marine} {
		s := tanks.System{
			Code: []string{"W1", "B1", "M1"}[n], Name: "Rack", Kind: kind, Order: n +
				1, Stated: 200, Opened: storagetest.Now.AddDate(-1, 0, 0),
		}
		if err := store.SaveSystem(t.Context(), &s); err != nil {
			t.Fatal(err)
		}
		systems[s.Code] = s
	}
	return store, systems
}

// cell names a cell by the code of its system.
func cell(s tanks.System, a chem.Analyte) tanks.Cell { return tanks.Cell{System: s.ID, Analyte: a} }

// keep writes exact readings of the days before.
func keep(t *testing.T, store *storage.Store, c tanks.Cell, m tanks.Method, values map[int]float64) {
	t.Helper()
	var all []tanks.Reading
	for days, v := range values {
		all = append(all, tanks.Reading{
			System: c.System, Analyte: c.Analyte, At: storagetest.Now.AddDate(0, 0,
				-days), Value: v, Method: m.ID, Unit: m.Unit, Typed: "x",
		})
	}
	if _, err := store.SaveReadings(t.Context(), all); err != nil {
		t.Fatal(err)
	}
}

func TestEmptyRoomLeadsToSetup(t *testing.T) {
	store, err := storage.Create(
		t.Context(),
		filepath.Join(t.TempDir(), "new.wkr"),
		tanks.Room{Name: "New", Zone: "UTC"},
		storagetest.Clock,
	)
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	r := open(t, store, storagetest.Now)
	if seen := r.Seen(); !strings.Contains(seen, "No system yet") {
		t.Errorf("it shows %q", seen)
	}
	r.save()
	if r.LastSaid().Title != "Nothing to save" {
		t.Errorf("it says %+v", r.LastSaid())
	}
	r.Press("Change a method") // with no column: nothing
	r.Press("Clear the sheet")
	if r.Asked() {
		t.Error("it asks about nothing")
	}
	r.Press("Add a system")
	if len(r.Went) != 1 || r.Went[0].Place != session.Setup || r.Went[0].Section != session.SetupSystems {
		t.Errorf("it leads to %+v", r.Went)
	}
}

// Without a schedule systems and analytes are added by hand, typed into, and
// saved, whichever comes first.
func TestSheetWithoutSchedule(t *testing.T) {
	for name, add := range map[string]func(*round){
		"a system first": func(r *round) {
			r.pickAdded("Add a system", "B1  Rack")
			r.pickAdded("Add an analyte", "Calcium")
		},
		"an analyte first": func(r *round) {
			r.pickAdded("Add an analyte", "Calcium")
			r.pickAdded("Add a system", "B1  Rack")
		},
		"another row and column above and before it": func(r *round) {
			r.pickAdded("Add an analyte", "Calcium")
			r.pickAdded("Add a system", "M1  Rack")
			r.pickAdded("Add an analyte", "Temperature")
			r.pickAdded("Add a system", "B1  Rack")
			r.Focus(r.grid())
			r.Keys(fyne.KeyHome, fyne.KeyRight)
		},
	} {
		t.Run(name, func(t *testing.T) {
			store, _ := unscheduled(t)
			r := open(t, store, storagetest.Now)
			if seen := r.Seen(); !strings.Contains(seen, "Nothing is on schedule") {
				t.Fatalf("it shows %q", seen)
			}
			add(r)
			r.Type("421") // and no Enter: Ctrl+S takes it over
			r.save()
			same(t, "in the ledger", typed(t, store), "B1 calcium 421 mg/L")
			if r.LastSaid().Title != "Saved 1 value" {
				t.Errorf("it says %+v", r.LastSaid())
			}
			r.save()
			same(t, "saved twice", typed(t, store), "B1 calcium 421 mg/L")
			r.Type("430") // the rows are still there
			r.save()
			if got := typed(t, store); len(got) != 2 {
				t.Errorf("in the ledger: %q", got)
			}
		})
	}
}

func (r *round) pickAdded(button, name string) {
	r.T.Helper()
	r.Press(button)
	r.Pick(0, name)
	r.Press("Add")
	if r.Asked() {
		r.T.Fatalf("%s: the dialog is still open", button)
	}
}

// A row that is not on the schedule is added to a sheet, and its save leaves the
// sheet as it was laid out.
func TestAddedRowAndColumnBesideTheSchedule(t *testing.T) {
	store, f := storagetest.Room(t)
	r := open(t, store, f.Now, cell(f.Systems[1], chem.Calcium))
	r.pickAdded("Add a system", f.Systems[0].Label())
	r.Type("415")
	r.save()
	r.pickAdded("Add an analyte", "Boron")
	r.Type("4.5")
	r.save()
	same(t, "in the ledger", typed(t, store), "F1 calcium 415 mg/L", "F1 boron 4.5 mg/L")
	if got := r.grid(); got == nil {
		t.Error("the sheet is gone")
	}
}

// The sheet asks for what Rounds asks for: a test that was moved or skipped is not due,
// and one of yesterday evening with an interval of a day is due this morning.
func TestSheetIsDueAsRoundsIs(t *testing.T) {
	store, f := storagetest.Room(t)
	cells := due(t, store, f.Now)
	if len(cells) < 2 {
		t.Fatalf("the room has %d due tests", len(cells))
	}
	emptyCells := func() string {
		r := open(t, store, f.Now)
		for line := range strings.SplitSeq(r.Seen(), "\n") {
			if strings.Contains(line, "empty (first") {
				return line
			}
		}
		return ""
	}
	if got, want := emptyCells(), fmt.Sprintf("%d due cells empty", len(cells)); !strings.Contains(got, want) {
		t.Errorf("the sheet says %q, not %q", got, want)
	}
	var moved []tasks.Completion
	for c := range cells {
		moved = append(moved, tasks.Completion{System: c.System, Analyte: int(c.Analyte), At: f.Now, Outcome: tasks.Moved,
			MovedTo: f.Now.AddDate(0, 0, 3), Reason: "kit on order"})
	}
	if err := store.CompleteAll(t.Context(), moved[1:]); err != nil {
		t.Fatal(err)
	}
	if got := emptyCells(); !strings.Contains(got, "1 due cell empty") {
		t.Errorf("with all but one moved it says %q", got)
	}
}

// due are the tests that Rounds has overdue or today.
func due(t *testing.T, store *storage.Store, now time.Time) map[tanks.Cell]bool {
	t.Helper()
	reads := state.NewReads(store)
	room, err := reads.Room(t.Context(), now)
	if err != nil {
		t.Fatal(err)
	}
	agenda, _, err := state.Work(t.Context(), reads, room, time.UTC, func(a chem.Analyte) chem.Unit {
		info, _ := chem.Lookup(a)
		return info.Units[0]
	})
	if err != nil {
		t.Fatal(err)
	}
	cells := map[tanks.Cell]bool{}
	for _, part := range [][]tasks.Item{agenda.Overdue, agenda.Today} {
		for _, item := range part {
			for _, a := range item.Analytes {
				cells[tanks.Cell{System: item.System, Analyte: a}] = true
			}
		}
	}
	return cells
}
