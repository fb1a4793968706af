package storage_test

import (
	"context"
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
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/csvread"
	"weirkeeper/storage/ledgerfile"
	"weirkeeper/storage/safekeeping"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
	"weirkeeper/tasks"
)

// awkward are texts that a careless way of writing SQL would spoil.
var awkward = []string{"plain", "it's", `say "so"`, "one\x00two", "\u202eright to left", "🐠", "=1+1", "a\r\nb", "'; DROP TABLE readings; --", "%s %d ?"}

// contents returns every row of a ledger as text, but for the account of what
// was done and imports that were taken back.
func contents(t testing.TB, db *sql.DB) []string {
	t.Helper()
	var all []string
	for _, table := range tableNames(t, db) {
		if slices.Contains([]string{"actions", "amendments", "drafts", "sqlite_sequence", "analytes"}, table) {
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
			if status := slices.Index(columns, "status"); table == "readings" && values[status] == int64(tanks.Withdrawn) && slices.Contains(values, any("imported")) {
				continue // what was taken back of an import stays, withdrawn
			}
			all = append(all, fmt.Sprintf("%s %#v", table, values))
		}
		must(t, rows.Close())
	}
	slices.Sort(all)
	return all
}

// deeds are one of every kind of action, given a number that makes them differ.
func deeds(s *storage.Store, f storagetest.Fixture) map[string]func(n int) error {
	ctx := context.Background()
	one, two := f.Systems[0].ID, f.Systems[1].ID
	text := func(n int) string { return awkward[n%len(awkward)] }
	lastReading := func() (tanks.Reading, error) {
		all, err := s.ReadingsOf(ctx, one, time.Time{}, time.Time{})
		if err != nil || len(all) == 0 {
			return tanks.Reading{}, errors.Join(err, storage.ErrNotFound)
		}
		return all[len(all)-1], nil
	}
	return map[string]func(n int) error{
		"readings": func(n int) error {
			r := calcium(f, n%1000+1, 400+float64(n%50))
			r.Note, r.Uncertainty = text(n), 1.0/3
			_, err := s.SaveSheet(ctx, []tanks.Reading{r, calcium(f, n%77+1, 410.1)}, "sheet")
			return err
		},
		"amendment": func(n int) error {
			r, err := lastReading()
			if err != nil {
				return err
			}
			r.Value, r.Note = 405+float64(n%10), text(n)
			return s.AmendReading(ctx, r.ID, r, "slip", "AB")
		},
		"withdrawal": func(int) error {
			r, err := lastReading()
			if err != nil {
				return err
			}
			return s.WithdrawReading(ctx, r.ID, "slip", "AB")
		},
		"addition": func(n int) error {
			return s.SaveAddition(ctx, &tanks.Addition{System: one, Product: f.Products["calcium"].ID, At: f.Now, Amount: float64(n%90 + 1), Note: text(n)})
		},
		"addition withdrawn": func(int) error {
			all, err := s.Additions(ctx, one, time.Time{}, time.Time{})
			if err != nil || len(all) == 0 {
				return errors.Join(err, storage.ErrNotFound)
			}
			return s.WithdrawAddition(ctx, all[len(all)-1].ID, "not given", "AB")
		},
		"water change": func(n int) error {
			return s.SaveWaterChange(ctx, &tanks.WaterChange{System: two, At: f.Now, Litres: 20, Share: 0.1, Water: []tanks.Level{{Analyte: chem.Calcium, Value: 420}}, Note: text(n)})
		},
		"note": func(n int) error {
			return s.SaveObservation(ctx, &tanks.Observation{System: one, At: f.Now, Text: text(n)})
		},
		"plan": func(n int) error {
			return s.CommitPlan(ctx, &tanks.DosingPlan{Made: f.Now, Caution: 0.5, Note: text(n), Lines: []tanks.PlanLine{{System: one, Analyte: chem.Calcium,
				Product: f.Products["calcium"].ID, Now: 400, Aim: 420, After: 410, Computed: 10, Doses: []tanks.Dose{{Due: f.Now, Amount: 5}, {Due: f.Now.Add(day), Amount: 5}}}}})
		},
		"dose": func(n int) error {
			all, err := s.RunItems(ctx, f.Now, f.Now.Add(9*day))
			if err != nil {
				return err
			}
			all = slices.DeleteFunc(all, func(i tanks.RunItem) bool { return !i.Dose.Waiting() })
			all = all[:min(len(all), n%2+1)]
			if len(all) == 0 {
				return storage.ErrNotFound
			}
			if n%3 == 0 {
				return s.DropDoses(ctx, doseIDs(all), "late", "AB")
			}
			return s.GiveDoses(ctx, given(f.Now, 4, doseIDs(all)...), "AB")
		},
		"system": func(n int) error {
			sys := tanks.System{Code: fmt.Sprintf("N%d", n%100000), Name: text(n), Kind: tanks.Marine, Tanks: []tanks.Tank{{Length: 60, Width: 40, Height: 1.0 / 3 * 100}}}
			if err := s.SaveSystem(ctx, &sys); err != nil {
				return err
			}
			return nil
		},
		"system changed": func(n int) error {
			sys, err := s.System(ctx, two)
			if err != nil {
				return err
			}
			sys.Note, sys.Tanks = text(n), []tanks.Tank{{Name: text(n), Length: float64(n%50 + 40), Width: 30, Height: 30}}
			return s.SaveSystem(ctx, &sys)
		},
		"own bands": func(n int) error {
			return s.SaveOwnBands(ctx, one, []tanks.Band{{Analyte: chem.Nitrate, Low: 1, Aim: 2, High: 5 + float64(n%9)}})
		},
		"profile": func(n int) error {
			return s.SaveProfile(ctx, &tanks.Profile{Name: text(n) + "p", Kind: tanks.Marine, Bands: []tanks.Band{{Analyte: chem.Calcium, Low: 400, Aim: 420, High: 440}}})
		},
		"method": func(n int) error {
			m := f.Methods[chem.Calcium]
			m.Note, m.Accuracy = text(n), float64(n%20)
			return s.SaveMethod(ctx, &m)
		},
		"product": func(n int) error {
			p := f.Products["magnesium"]
			p.Stock, p.Caution = float64(n%2000), text(n)
			return s.SaveProduct(ctx, &p)
		},
		"stock": func(n int) error {
			return s.MoveStock(ctx, &tanks.Movement{Product: f.Products["calcium"].ID, At: f.Now, Kind: tanks.Bought, Change: float64(n%500 + 1), Price: 12.5, Note: text(n)})
		},
		"work": func(n int) error {
			chore := tasks.Task{System: one, Title: text(n) + "t", Every: 7, Start: f.Now}
			return s.SaveTask(ctx, &chore)
		},
		"work done": func(n int) error {
			return s.Complete(ctx, &tasks.Completion{System: one, Analyte: int(chem.Calcium), At: f.Now, Outcome: tasks.Skipped, Reason: text(n) + "r"})
		},
		"room": func(n int) error {
			return s.SaveRoom(ctx, tanks.Room{Name: "Room " + text(n), Zone: "Europe/Paris", Note: text(n)})
		},
		"person": func(n int) error {
			return s.SavePerson(ctx, &tanks.Person{Initials: fmt.Sprintf("p%d", n%1000000), Name: text(n)})
		},
		"lot": func(n int) error {
			lot := tanks.Lot{System: one, Species: text(n) + "s"}
			if err := s.SaveLot(ctx, &lot); err != nil {
				return err
			}
			return nil
		},
		"import": func(n int) error {
			text := fmt.Sprintf("2026-02-01T08:00:%02dZ,F1,Ca,%d,mg/L,,,imported\n2026-02-01T08:00:%02dZ,F2,Mg,1300,mg/L,,,imported\n", n%60, 400+n%40, n%60)
			_, err := s.ImportCSV(ctx, strings.NewReader(head+text), storage.CSVOptions{Name: "x.csv"})
			return err
		},
	}
}

// TestUndoLaw does actions of every kind in any order, takes some back and puts
// some back: the ledger is each time exactly as it was.
func TestUndoLaw(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		s, f := storagetest.Room(t)
		defer s.Close()
		db := plain(t, s.Path())
		defer db.Close()
		must(t, s.KeepUndo(t.Context()))
		all := deeds(s, f)
		names := slices.Sorted(maps.Keys(all))
		states := [][]string{contents(t, db)} // after each action that stands
		var ahead [][]string                  // of those taken back, the next last
		for range 14 {
			switch what := rapid.IntRange(0, 5).Draw(r, "what"); {
			case what <= 2:
				name := rapid.SampledFrom(names).Draw(r, "deed")
				before, _ := s.Undoable()
				count := len(value[[]storage.Action](t)(s.Actions(t.Context(), 1000)))
				err := all[name](rapid.IntRange(0, 1_000_000).Draw(r, "n"))
				if len(value[[]storage.Action](t)(s.Actions(t.Context(), 1000))) == count {
					if after, _ := s.Undoable(); after != before {
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
	if undo, redo := s.Undoable(); undo != "" || redo != "" {
		t.Errorf("before it is kept, %q and %q can be taken back and put back", undo, redo)
	}
	must(t, s.KeepUndo(ctx))
	must(t, s.KeepUndo(ctx)) // twice does no harm
	ids := value[[]tanks.ReadingID](t)(s.SaveReadings(ctx, []tanks.Reading{calcium(f, 1, 420)}))
	must(t, s.AmendReading(ctx, ids[0], calcium(f, 1, 425), "slip", "AB"))
	var heard []storage.Change
	defer s.Listen(func(c storage.Change) { heard = append(heard, c) })()

	same(t, value[words.Text](t)(s.Undo(ctx, "CD")).String(), "correcting the reading")
	if undo, redo := s.Undoable(); undo != "saving the readings" || redo != "correcting the reading" {
		t.Errorf("can be taken back: %q, put back: %q", undo, redo)
	}
	same(t, newest(t, s), []float64{420})
	same(t, value[words.Text](t)(s.Undo(ctx, "CD")).String(), "saving the readings")
	same(t, newest(t, s), []float64{415})
	if len(heard) != 2 || !heard[1].Has(storage.KindReading) || !slices.Equal(heard[1].Systems, []tanks.SystemID{one}) {
		t.Errorf("heard %+v", heard)
	}
	if _, err := s.Undo(ctx, "CD"); !errors.Is(err, storage.ErrNothingToUndo) {
		t.Errorf("got %v", err)
	}
	all := value[[]tanks.Amendment](t)(s.Amendments(ctx, one))
	if len(all) != 3 {
		t.Fatalf("amendments %+v", all)
	}
	for n, want := range []struct {
		id             tanks.ReadingID
		person, before string
	}{{ids[0], "AB", `"Value":420`}, {ids[0], "CD", `"Value":425`}, {0, "CD", `"Value":420`}} {
		if got := all[n]; got.ID != int64(want.id) || got.Person != want.person || !strings.Contains(got.Before, want.before) || got.Entity != "reading" {
			t.Errorf("amendment %d: %+v", n, got)
		}
	}
	same(t, value[words.Text](t)(s.Redo(ctx, "CD")).String(), "saving the readings")
	same(t, newest(t, s), []float64{420})
	actions := value[[]storage.Action](t)(s.Actions(ctx, 3))
	if actions[0].Doing != "putting back: saving the readings" || actions[0].Undoes != actions[1].ID || actions[2].Doing != "taking back: correcting the reading" {
		t.Errorf("actions %+v", actions)
	}
	// Something new ends what could be put back.
	must(t, s.SaveObservation(ctx, &tanks.Observation{System: one, At: f.Now, Text: "seen"}))
	if _, err := s.Redo(ctx, ""); !errors.Is(err, storage.ErrNothingToUndo) {
		t.Errorf("got %v", err)
	}
	// What was done in another session stays.
	s = reopen(t, s)
	must(t, s.KeepUndo(ctx))
	if _, err := s.Undo(ctx, ""); !errors.Is(err, storage.ErrNothingToUndo) {
		t.Errorf("got %v", err)
	}
}

// A sheet that is taken back is typed again; what was typed since stays.
func TestUndoBringsTheSheetBack(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx := t.Context()
	must(t, s.KeepUndo(ctx))
	must(t, s.SaveDraft(ctx, "sheet", []byte("typed")))
	value[[]tanks.ReadingID](t)(s.SaveSheet(ctx, []tanks.Reading{calcium(f, 1, 420)}, "sheet"))
	value[words.Text](t)(s.Undo(ctx, ""))
	same(t, value[[]byte](t)(s.Draft(ctx, "sheet")), []byte("typed"))
	value[words.Text](t)(s.Redo(ctx, ""))
	same(t, value[[]byte](t)(s.Draft(ctx, "sheet")), []byte(nil))
	must(t, s.SaveDraft(ctx, "sheet", []byte("typed since")))
	value[words.Text](t)(s.Undo(ctx, ""))
	same(t, value[[]byte](t)(s.Draft(ctx, "sheet")), []byte("typed since"))
	same(t, newest(t, s), []float64(nil))
}

// An action that fails leaves nothing to take back, and a hundred are kept.
func TestUndoRemembersAHundred(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx := t.Context()
	must(t, s.KeepUndo(ctx))
	if err := s.SaveObservation(ctx, &tanks.Observation{System: 99, At: f.Now, Text: "nowhere"}); err == nil {
		t.Error("a note on no system was taken")
	}
	if undo, _ := s.Undoable(); undo != "" {
		t.Errorf("%q can be taken back", undo)
	}
	for n := range 105 {
		must(t, s.SaveObservation(ctx, &tanks.Observation{System: 1, At: f.Now, Text: fmt.Sprint(n)}))
	}
	taken := 0
	for ; ; taken++ {
		if _, err := s.Undo(ctx, ""); errors.Is(err, storage.ErrNothingToUndo) {
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
	must(t, look.KeepUndo(t.Context()))
	if _, err := look.Undo(t.Context(), ""); !errors.Is(err, storage.ErrNothingToUndo) {
		t.Errorf("got %v", err)
	}
}

// The making of a system cannot be taken back while readings of an import, which
// stay withdrawn, belong to it: that is said, and the ledger works on.
func TestUndoOfASystemWithAnImport(t *testing.T) {
	s, _ := storagetest.Room(t)
	ctx := t.Context()
	must(t, s.KeepUndo(ctx))
	system := tanks.System{Code: "N1", Name: "New", Kind: tanks.Marine}
	must(t, s.SaveSystem(ctx, &system))
	must(t, imports(s, head+"2026-03-09 08:30,N1,Ca,420,mg/L,,,\n", csvread.ColumnMap{}))
	value[words.Text](t)(s.Undo(ctx, ""))
	if _, err := s.Undo(ctx, ""); err == nil || !strings.Contains(err.Error(), "entries that stay in the record belong to it") {
		t.Errorf("got %v", err)
	}
	same(t, value[tanks.System](t)(s.System(ctx, system.ID)).Code, "N1")
	if undo, redo := s.Undoable(); undo != "saving the system" || redo == "" {
		t.Errorf("can be taken back: %q, put back: %q", undo, redo)
	}
	value[words.Text](t)(s.Redo(ctx, ""))
	must(t, s.SaveObservation(ctx, &tanks.Observation{System: system.ID, At: storagetest.Now, Text: "goes on"}))
	r := value[ledgerfile.Report](t)(safekeeping.Check(ctx, s.Path()))
	if !r.Sound() {
		t.Error(r.Faults)
	}
}
