package storage_test

import (
	"database/sql"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"weirkeeper/assets/words"
	"weirkeeper/storage"
	"weirkeeper/storage/csvread"
	"weirkeeper/storage/ledgerfile"
	"weirkeeper/storage/safekeeping"
	"weirkeeper/storage/storagetest"
	"weirkeeper/storage/versions"
	"weirkeeper/tanks"
	"weirkeeper/tasks"
)

// awkward are texts that a careless way of writing SQL would spoil.
var awkward = []string{
	"plain", "it's", `say "so"`, "one\u00a0two", "\u202eright to left", "🐠", "=1+1", "a\u2003b", "'; DROP TABLE readings; --", "%s %d ?",
}

// own is the ledger for somebody at a workstation.
func own(s *storage.Store) *storage.Store {
	return s.As(storage.Author{Person: "AB", Workstation: "bench"})
}

// undoable are what can be taken back and put back of AB's actions.
func undoable(t testing.TB, s *storage.Store) (undo, redo words.Text) {
	t.Helper()
	undo, redo, err := s.Undoable(t.Context(), "AB")
	must(t, err)
	return undo, redo
}

// contents returns every row of a ledger as text, but for the account of what
// was done and imports that were taken back.
func contents(t testing.TB, db *sql.DB) []string {
	t.Helper()
	var all []string
	for _, table := range tableNames(t, db) {
		if slices.Contains([]string{"actions", "versions", "row_sums", "amendments", "drafts", "sqlite_sequence", "analytes"}, table) {
			continue
		}
		rows, err := db.Query("SELECT * FROM " + table)
		must(t, err)
		columns, err := rows.Columns()
		must(t, err)
		for rows.Next() {
			values := make([]any, len(columns))
			into := make([]any, len(columns))
			for i := range values {
				into[i] = &values[i]
			}
			must(t, rows.Scan(into...))
			status := slices.Index(columns, "status")
			if table == "readings" && values[status] == int64(tanks.Withdrawn) && slices.Contains(values, any("imported")) {
				continue // what was taken back of an import stays, withdrawn
			}
			all = append(all, fmt.Sprintf("%s %#v", table, values))
		}
		must(t, rows.Close())
	}
	slices.Sort(all)
	return all
}

// TestUndoLaw does actions of every kind in any order, takes some back and puts
// some back: the ledger is each time exactly as it was.
func TestUndoLaw(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		s, f := storagetest.Room(t)
		defer s.Close()
		db := plain(t, s.Path())
		defer db.Close()
		s = own(s)
		all := deeds(t, s, f)
		names := slices.Sorted(maps.Keys(all))
		states := [][]string{contents(t, db)} // after each action that stands
		var ahead [][]string                  // of those taken back, the next last
		for range 14 {
			switch what := rapid.IntRange(0, 5).Draw(r, "what"); {
			case what <= 2:
				name := rapid.SampledFrom(names).Draw(r, "deed")
				before, _ := undoable(t, s)
				count := len(value[[]storage.Action](t)(s.Actions(t.Context(), 1000)))
				err := all[name](rapid.IntRange(0, 1_000_000).Draw(r, "n"))
				if len(value[[]storage.Action](t)(s.Actions(t.Context(), 1000))) == count {
					if after, _ := undoable(t, s); after != before {
						r.Fatalf("%s did nothing (%v), but %q can be taken back", name, err, after)
					}
					continue
				}
				must(t, err)
				states, ahead = append(states, contents(t, db)), nil
			case what <= 4:
				_, err := s.Undo(t.Context(), "AB")
				if len(states) == 1 {
					if !errors.Is(err, storage.ErrNothingToUndo) {
						r.Fatalf("with nothing to take back: %v", err)
					}
					continue
				}
				must(t, err)
				ahead = append(ahead, states[len(states)-1])
				states = states[:len(states)-1]
			default:
				_, err := s.Redo(t.Context(), "AB")
				if len(ahead) == 0 {
					if !errors.Is(err, storage.ErrNothingToUndo) {
						r.Fatalf("with nothing to put back: %v", err)
					}
					continue
				}
				must(t, err)
				states = append(states, ahead[len(ahead)-1])
				ahead = ahead[:len(ahead)-1]
			}
			if got := contents(t, db); !slices.Equal(got, states[len(states)-1]) {
				r.Fatalf("the ledger differs:\n%s", difference(got, states[len(states)-1]))
			}
			if wrong := value[int](t)(s.CheckLatest(t.Context())); wrong != 0 {
				r.Fatalf("%d of the newest are not", wrong)
			}
		}
		report := value[ledgerfile.Report](t)(safekeeping.Check(t.Context(), s.Path()))
		if !report.Sound() {
			r.Fatalf("%v", report.Faults)
		}
	})
}

// TestUndoOfTwoPeople lets two people act in turn and take back their own: what is
// refused changes nothing, and the ledger stays sound whatever they do.
func TestUndoOfTwoPeople(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		s, f := storagetest.Room(t)
		defer s.Close()
		db := plain(t, s.Path())
		defer db.Close()
		people := []string{"AB", "CD"}
		turned, refused := 0, 0
		for range 16 {
			person := rapid.SampledFrom(people).Draw(r, "person")
			theirs := s.As(storage.Author{Person: person, Workstation: "bench"})
			before := contents(t, db)
			var err error
			switch rapid.IntRange(0, 4).Draw(r, "what") {
			case 0:
				_, err = theirs.Undo(t.Context(), person)
			case 1:
				_, err = theirs.Redo(t.Context(), person)
			default:
				name := rapid.SampledFrom([]string{
					"readings", "amendment", "withdrawal", "product", "stock", "addition", "addition withdrawn", "system changed",
				}).Draw(r, "deed")
				err = deeds(t, theirs, f)[name](rapid.IntRange(0, 1000).Draw(r, "n"))
			}
			if err == nil {
				turned++
				continue
			}
			refused++
			if got := contents(t, db); !slices.Equal(got, before) {
				r.Fatalf("%v, but it changed\n%s", err, difference(got, before))
			}
		}
		if faults := value[[]string](t)(versions.Check(t.Context(), db)); len(faults) != 0 {
			r.Fatalf("after %d acts and %d refusals: %v", turned, refused, faults)
		}
		if wrong := value[int](t)(s.CheckLatest(t.Context())); wrong != 0 {
			r.Fatalf("%d of the newest are not", wrong)
		}
	})
}

// difference lists the rows that only one of two states has.
func difference(got, want []string) string {
	var out []string
	for _, row := range got {
		if !slices.Contains(want, row) {
			out = append(out, "+ "+row)
		}
	}
	for _, row := range want {
		if !slices.Contains(got, row) {
			out = append(out, "- "+row)
		}
	}
	return strings.Join(out, "\n")
}

// What is taken back is not there any more, but the account says that it was,
// what it said, and who took it back.
func TestUndoKeepsTheAccount(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx, one := t.Context(), f.Systems[0].ID
	if _, err := s.SaveReadings(ctx, []tanks.Reading{calcium(f, 50, 415)}); err != nil {
		t.Fatal(err)
	}
	s = own(s)
	if undo, redo := undoable(t, s); undo != "" || redo != "" {
		t.Errorf("of what another did %q and %q can be taken back and put back", undo, redo)
	}
	other := s.As(storage.Author{Person: "CD", Workstation: "bench"})
	ids := value[[]tanks.ReadingID](t)(s.SaveReadings(ctx, []tanks.Reading{calcium(f, 1, 420)}))
	must(t, s.AmendReading(ctx, ids[0], calcium(f, 1, 425), "slip", "AB"))
	var heard []storage.Touched
	defer s.Listen(func(c storage.Touched) { heard = append(heard, c) })()

	if _, err := other.Undo(ctx, "CD"); !errors.Is(err, storage.ErrNothingToUndo) {
		t.Errorf("CD took back what AB did: %v", err)
	}
	same(t, value[words.Text](t)(other.Undo(ctx, "AB")).String(), "correcting the reading")
	if undo, redo := undoable(t, s); undo != "saving the readings" || redo != "correcting the reading" {
		t.Errorf("can be taken back: %q, put back: %q", undo, redo)
	}
	same(t, newest(t, s), []float64{420})
	same(t, value[words.Text](t)(other.Undo(ctx, "AB")).String(), "saving the readings")
	same(t, newest(t, s), []float64{415})
	same(t, heard[1:], []storage.Touched{{Kinds: []storage.Kind{storage.KindReading}, Systems: []tanks.SystemID{one}}})
	if _, err := s.Undo(ctx, "AB"); !errors.Is(err, storage.ErrNothingToUndo) {
		t.Errorf("got %v", err)
	}
	all := value[[]tanks.Amendment](t)(s.Amendments(ctx, one))
	if len(all) != 3 {
		t.Fatalf("amendments %+v", all)
	}
	for n, want := range []struct {
		id                     tanks.ReadingID
		person, before, reason string
	}{{ids[0], "AB", `"Value":420`, "slip"}, {ids[0], "CD", `"Value":425`, "taken back"}, {0, "CD", `"Value":420`, "taken back"}} {
		got := all[n]
		if got.ID != int64(want.id) || got.Entity != "reading" || !strings.Contains(got.Before, want.before) ||
			got.Person != want.person || got.Reason.String() != want.reason {
			t.Errorf("amendment %d: %+v", n, got)
		}
	}
	same(t, value[words.Text](t)(s.Redo(ctx, "AB")).String(), "saving the readings")
	same(t, newest(t, s), []float64{420})
	actions := value[[]storage.Action](t)(s.Actions(ctx, 3))
	if actions[0].Doing.String() != "putting back: saving the readings" || actions[0].Undoes != actions[1].ID ||
		actions[2].Doing.String() != "taking back: correcting the reading" {
		t.Errorf("actions %+v", actions)
	}
	if actions[0].Person != "AB" || actions[1].Person != "CD" || actions[1].Workstation != "bench" {
		t.Errorf("authors of %+v", actions)
	}
	// Something new ends what could be put back.
	must(t, s.SaveObservation(ctx, &tanks.Observation{System: one, At: f.Now, Text: "seen"}))
	if _, err := s.Redo(ctx, "AB"); !errors.Is(err, storage.ErrNothingToUndo) {
		t.Errorf("got %v", err)
	}
}

// What was done is taken back and put back after the ledger was closed, too; what
// was done at another workstation is not.
func TestUndoAfterReopening(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx := t.Context()
	s = own(s)
	db := plain(t, s.Path())
	states := [][]string{contents(t, db)}
	for n, text := range []string{"one", "two", "three"} {
		must(t, s.SaveObservation(ctx, &tanks.Observation{System: f.Systems[n%2].ID, At: f.Now, Text: text}))
		states = append(states, contents(t, db))
	}
	elsewhere := s.As(storage.Author{Person: "AB", Workstation: "office"})
	must(t, elsewhere.SavePerson(ctx, &tanks.Person{Initials: "zz"}))
	must(t, s.As(storage.Author{Person: "AB", Workstation: "office"}).SavePerson(ctx, &tanks.Person{Initials: "yy"}))
	value[words.Text](t)(elsewhere.Undo(ctx, "AB"))
	value[words.Text](t)(elsewhere.Undo(ctx, "AB"))
	for turn := range 3 {
		s = own(reopen(t, s))
		var heard []storage.Touched
		stop := s.Listen(func(c storage.Touched) { heard = append(heard, c) })
		same(t, value[words.Text](t)(s.Undo(ctx, "AB")).String(), "saving the note")
		if got := contents(t, db); difference(got, states[2-turn]) != "" {
			t.Errorf("turn %d: %s", turn, difference(got, states[2-turn]))
		}
		want := []tanks.SystemID{f.Systems[(2-turn)%2].ID}
		same(t, heard, []storage.Touched{{Kinds: []storage.Kind{storage.KindObservation}, Systems: want}})
		stop()
	}
	for turn := range 3 {
		s = own(reopen(t, s))
		value[words.Text](t)(s.Redo(ctx, "AB"))
		if got := contents(t, db); difference(got, states[turn+1]) != "" {
			t.Errorf("put back, turn %d: %s", turn, difference(got, states[turn+1]))
		}
	}
	if _, redo := undoable(t, s); redo != "" {
		t.Errorf("%q can be put back", redo)
	}
}

// What another action changed since is not taken back: the error names that action,
// and nothing is changed.
func TestUndoOfWhatChangedSince(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx, one := t.Context(), f.Systems[0].ID
	mine, other := own(s), s.As(storage.Author{Person: "CD", Workstation: "bench"})
	db := plain(t, s.Path())
	for name, c := range map[string]struct {
		mine, other func() error
		want        string
	}{
		"a reading that was corrected": {
			func() error { _, err := mine.SaveReadings(ctx, []tanks.Reading{calcium(f, 1, 420)}); return err },
			func() error {
				all := value[[]tanks.Reading](t)(s.ReadingsOf(ctx, one, time.Time{}, time.Time{}))
				return other.AmendReading(ctx, all[len(all)-1].ID, calcium(f, 1, 430), "slip", "CD")
			}, "changed since (correcting the reading, by CD)"},
		"a product that was counted": {
			func() error { p := f.Products["calcium"]; p.Stock = 900; return mine.SaveProduct(ctx, &p) },
			func() error {
				return other.MoveStock(ctx, &tanks.Movement{Product: f.Products["calcium"].ID, At: f.Now, Kind: tanks.Counted, Left: 800})
			}, "changed since (recording the stock, by CD)"},
		"an import of which a value was withdrawn": {
			func() error {
				file := head + "2026-02-01T08:00:01Z,F1,Ca,401,mg/L,,,\n2026-02-01T08:00:02Z,F1,Ca,402,mg/L,,,\n"
				return imports(mine, file, csvread.ColumnMap{})
			},
			func() error {
				all := value[[]tanks.Reading](t)(s.ReadingsOf(ctx, one, time.Time{}, time.Time{}))
				return other.WithdrawReading(ctx, all[0].ID, "slip", "CD")
			}, "changed since (withdrawing the readings, by CD)"},
		"a system that was given a tank": {
			func() error { return mine.SaveSystem(ctx, &tanks.System{Code: "N1", Name: "New", Kind: tanks.Marine}) },
			func() error {
				all := value[[]tanks.System](t)(s.Systems(ctx))
				sys := all[slices.IndexFunc(all, func(s tanks.System) bool { return s.Code == "N1" })]
				sys.Tanks = []tanks.Tank{{Length: 10, Width: 10, Height: 10}}
				return other.SaveSystem(ctx, &sys)
			}, "belong to it"},
		"a code that another system has by now": {
			func() error { sys := f.Systems[1]; sys.Code = "M2"; return mine.SaveSystem(ctx, &sys) },
			func() error { return other.SaveSystem(ctx, &tanks.System{Code: "F2", Name: "New", Kind: tanks.Marine}) },
			"something else has its name or code by now"},
		"a column map that was deleted": {
			func() error { return mine.SaveColumnMap(ctx, &csvread.ColumnMap{Name: "lab", System: "F1"}) },
			func() error { return other.DropColumnMap(ctx, value[[]csvread.ColumnMap](t)(s.ColumnMaps(ctx))[0].ID) },
			"changed since (deleting the column map, by CD)"},
	} {
		t.Run(name, func(t *testing.T) {
			must(t, c.mine())
			must(t, c.other())
			before := contents(t, db)
			actions := value[[]storage.Action](t)(s.Actions(ctx, 1))[0].ID
			_, err := mine.Undo(ctx, "AB")
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v", err)
			}
			if got := contents(t, db); difference(got, before) != "" || value[[]storage.Action](t)(s.Actions(ctx, 1))[0].ID != actions {
				t.Errorf("changed all the same: %s", difference(got, before))
			}
			value[words.Text](t)(other.Undo(ctx, "CD"))
			value[words.Text](t)(mine.Undo(ctx, "AB"))
		})
	}
}

// What is taken back concerns the systems of its rows, and the whole room when a
// row belongs to none.
func TestUndoTellsWhomItConcerns(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx, one, two := t.Context(), f.Systems[0].ID, f.Systems[1].ID
	s = own(s)
	chore := tasks.Task{Title: "Filter floss", Every: 7, Start: f.Now}
	must(t, s.SaveTask(ctx, &chore))
	lot := tanks.Lot{System: one, Species: "invented"}
	must(t, s.SaveLot(ctx, &lot))
	done := func(systems ...tanks.SystemID) error {
		var all []tasks.Completion
		for _, id := range systems {
			all = append(all, tasks.Completion{Task: chore.ID, System: id, At: f.Now})
		}
		return s.CompleteAll(ctx, all)
	}
	for name, c := range map[string]struct {
		do   func() error
		kind storage.Kind
		want []tanks.SystemID
	}{
		"work on two systems": {func() error { return done(one, two) }, storage.KindTask, []tanks.SystemID{one, two}},
		"tasks of two systems": {
			func() error {
				return s.SaveTasks(ctx, []tasks.Task{{System: one, Title: "a", Start: f.Now}, {System: two, Title: "b", Start: f.Now}})
			}, storage.KindTask, []tanks.SystemID{one, two},
		},
		"work on a system and the room": {func() error { return done(one, 0) }, storage.KindTask, nil},
		"a person": {func() error { return s.SavePerson(ctx, &tanks.Person{Initials: "zz"}) }, storage.KindPerson,
			nil},
		"a system": {
			func() error { sys := f.Systems[1]; sys.Note = "x"; return s.SaveSystem(ctx, &sys) },
			storage.KindSystem, []tanks.SystemID{two},
		},
		"a lot that moved between systems": {
			func() error {
				return s.SaveLotEvent(ctx, &tanks.LotEvent{Lot: lot.ID, At: f.Now, Kind: tanks.Moved, To: two})
			},
			storage.KindLot, []tanks.SystemID{one, two},
		},
	} {
		must(t, c.do())
		var heard []storage.Touched
		stop := s.Listen(func(c storage.Touched) { heard = append(heard, c) })
		value[words.Text](t)(s.Undo(ctx, "AB"))
		stop()
		if len(heard) == 1 {
			slices.Sort(heard[0].Systems)
		}
		if len(heard) != 1 || !heard[0].Has(c.kind) || !slices.Equal(heard[0].Systems, c.want) {
			t.Errorf("%s: heard %+v", name, heard)
		}
	}
}

// A sheet that is taken back is typed again; what was typed since stays.
func TestUndoBringsTheSheetBack(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx := t.Context()
	s = own(s)
	must(t, s.SaveDraft(ctx, "sheet", []byte("typed")))
	value[[]tanks.ReadingID](t)(s.SaveSheet(ctx, []tanks.Reading{calcium(f, 1, 420)}, "sheet"))
	value[words.Text](t)(s.Undo(ctx, "AB"))
	same(t, value[[]byte](t)(s.Draft(ctx, "sheet")), []byte("typed"))
	value[words.Text](t)(s.Redo(ctx, "AB"))
	same(t, value[[]byte](t)(s.Draft(ctx, "sheet")), []byte(nil))
	must(t, s.SaveDraft(ctx, "sheet", []byte("typed since")))
	value[words.Text](t)(s.Undo(ctx, "AB"))
	same(t, value[[]byte](t)(s.Draft(ctx, "sheet")), []byte("typed since"))
	same(t, newest(t, s), []float64(nil))

	sample := tanks.Sample{System: f.Systems[0].ID, Code: "K", Drawn: f.Now.Add(-day), Received: f.Now}
	must(t, s.SaveSample(ctx, &sample))
	must(t, s.SaveDraft(ctx, "results", []byte("of the lab")))
	must(t, s.SaveResults(ctx, sample, []tanks.Reading{calcium(f, 1, 420)}, "results"))
	same(t, value[[]byte](t)(s.Draft(ctx, "results")), []byte(nil))
	value[words.Text](t)(s.Undo(ctx, "AB"))
	same(t, value[[]byte](t)(s.Draft(ctx, "results")), []byte("of the lab"))
	same(t, newest(t, s), []float64(nil))
}

// An action that fails leaves nothing to take back, and a hundred are kept.
func TestUndoRemembersAHundred(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx := t.Context()
	s = own(s)
	if err := s.SaveObservation(ctx, &tanks.Observation{System: 99, At: f.Now, Text: "nowhere"}); err == nil {
		t.Error("a note on no system was taken")
	}
	if undo, _ := undoable(t, s); undo != "" {
		t.Errorf("%q can be taken back", undo)
	}
	for n := range 105 {
		must(t, s.SaveObservation(ctx, &tanks.Observation{System: 1, At: f.Now, Text: fmt.Sprint(n)}))
	}
	taken := 0
	for ; ; taken++ {
		if _, err := s.Undo(ctx, "AB"); errors.Is(err, storage.ErrNothingToUndo) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
	if left := value[[]tanks.Observation](t)(s.Observations(ctx, 1, time.Time{}, time.Time{})); taken != 100 || len(left) != 5 {
		t.Errorf("%d were taken back, %d notes are left", taken, len(left))
	}
}

func TestUndoOfALedgerOpenToLook(t *testing.T) {
	s, _ := storagetest.Room(t)
	look := value[*storage.Store](t)(storage.OpenToLook(t.Context(), s.Path(), storagetest.Clock))
	defer look.Close()
	if _, err := look.Undo(t.Context(), ""); !errors.Is(err, storage.ErrReadOnly) {
		t.Errorf("got %v", err)
	}
	if undo, redo, err := look.Undoable(t.Context(), ""); undo != "" || redo != "" || err != nil {
		t.Errorf("%q and %q can be taken back and put back, %v", undo, redo, err)
	}
}

// The making of a system cannot be taken back while readings of an import, which
// stay withdrawn, belong to it: that is said, and the ledger works on.
func TestUndoOfASystemWithAnImport(t *testing.T) {
	s, _ := storagetest.Room(t)
	ctx := t.Context()
	s = own(s)
	system := tanks.System{Code: "N1", Name: "New", Kind: tanks.Marine}
	must(t, s.SaveSystem(ctx, &system))
	must(t, imports(s, head+"2026-03-09 08:30,N1,Ca,420,mg/L,,,\n", csvread.ColumnMap{}))
	value[words.Text](t)(s.Undo(ctx, "AB"))
	if _, err := s.Undo(ctx, "AB"); err == nil || !strings.Contains(err.Error(), "entries that stay in the record belong to it") {
		t.Errorf("got %v", err)
	}
	same(t, value[tanks.System](t)(s.System(ctx, system.ID)).Code, "N1")
	if undo, redo := undoable(t, s); undo != "saving the system" || redo == "" {
		t.Errorf("can be taken back: %q, put back: %q", undo, redo)
	}
	value[words.Text](t)(s.Redo(ctx, "AB"))
	must(t, s.SaveObservation(ctx, &tanks.Observation{System: system.ID, At: storagetest.Now, Text: "goes on"}))
	r := value[ledgerfile.Report](t)(safekeeping.Check(ctx, s.Path()))
	if !r.Sound() {
		t.Error(r.Faults)
	}
}
