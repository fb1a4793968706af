package storage_test

import (
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/storage"
	"weirkeeper/storage/ledgerfile"
	"weirkeeper/storage/safekeeping"
	"weirkeeper/storage/storagetest"
	"weirkeeper/storage/versions"
)

var upgradeTime = time.Date(2026, 3, 10, 8, 2, 0, 0, time.UTC)

// olderLedger opens a copy of the kept ledger of a version.
func olderLedger(t *testing.T, name string) *storage.Store {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "room.ledger")
	if err := os.WriteFile(path, data, 0o644); err != nil {
		t.Fatal(err)
	}
	s, err := storage.Open(t.Context(), path, func() time.Time { return upgradeTime })
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

// schemaOf lists what a ledger is made of.
func schemaOf(t *testing.T, s *storage.Store) []string {
	t.Helper()
	const all = "SELECT type || ' ' || name || ' ' || ifnull(sql, '') FROM sqlite_schema WHERE name NOT LIKE 'sqlite_%' ORDER BY name"
	return value[[]string](t)(ledgerfile.TextColumn(t.Context(), plain(t, s.Path()), all))
}

// A ledger of every version that was ever landed opens, holds what it held, and
// has the schema of a new one.
func TestLedgersOfEveryVersion(t *testing.T) {
	fresh, _ := storagetest.Room(t)
	want := strings.Join(schemaOf(t, fresh), "\n")
	newest := value[int](t)(ledgerfile.Newest())
	for version := 1; version <= newest; version++ {
		name := fmt.Sprintf("version-%d.sqlite", version)
		const readings = 3
		s := olderLedger(t, name)
		if got := strings.Join(schemaOf(t, s), "\n"); got != want {
			t.Errorf("%s has another schema than a new ledger", name)
		}
		room, err := s.Room(t.Context())
		if err != nil || room.Name != "Kept room" {
			t.Errorf("%s holds %+v, %v", name, room, err)
		}
		latest, err := s.Latest(t.Context())
		if err != nil || len(latest) == 0 {
			t.Errorf("%s: %d newest, %v", name, len(latest), err)
		}
		r, err := safekeeping.Check(t.Context(), s.Path())
		// The photo of the kept ledger is not kept with it.
		r.Faults = slices.DeleteFunc(r.Faults, func(f string) bool { return strings.Contains(f, "the photo") })
		if err != nil || !r.Sound() || r.Rows["readings"] != readings {
			t.Errorf("%s: %+v, %v", name, r, err)
		}
	}
}

// keptRows are the rows of the kept ledger of a version, by table, of the columns
// that it has itself; the numbers of drafts came later.
func keptRows(t *testing.T, db *sql.DB, columns map[string]string) map[string][]string {
	t.Helper()
	all := map[string][]string{}
	for table, names := range columns {
		rows, err := db.Query("SELECT " + names + " FROM " + table)
		must(t, err)
		list := value[[]string](t)(rows.Columns())
		for rows.Next() {
			values, into := make([]any, len(list)), make([]any, len(list))
			for i := range values {
				into[i] = &values[i]
			}
			must(t, rows.Scan(into...))
			all[table] = append(all[table], fmt.Sprintf("%#v", values))
		}
		must(t, rows.Close())
	}
	return all
}

// Nothing of an older ledger is changed by the upgrade; a baseline states it, which
// later faults are found against, and nothing from before can be taken back.
func TestUpgradeChangesNothing(t *testing.T) {
	for _, version := range []int{1, 2, 3, 4} {
		name := fmt.Sprintf("version-%d.sqlite", version)
		old := filepath.Join(t.TempDir(), "old.ledger")
		must(t, os.WriteFile(old, read(t, filepath.Join("testdata", name)), 0o600))
		db := plain(t, old)
		if version < 4 { // that of version 4 holds one
			_, err := db.Exec("INSERT INTO drafts (name, data, kept_at) VALUES ('sheet', x'01', 7)")
			must(t, err)
		}
		columns := map[string]string{}
		for _, table := range tableNames(t, db) {
			if table != "sqlite_sequence" && table != "row_sums" { // the baseline makes its own
				columns[table] = ledgerfile.Quoted(value[[]ledgerfile.Column](t)(ledgerfile.Columns(t.Context(), db, table)))
			}
		}
		before := keptRows(t, db, columns)
		must(t, db.Close())

		s := value[*storage.Store](t)(storage.Open(t.Context(), old, func() time.Time { return upgradeTime }))
		defer s.Close()
		db = plain(t, old)
		after := keptRows(t, db, columns)
		actions := value[[]storage.Action](t)(s.Actions(t.Context(), 100))
		if actions[0].Doing.String() != "bringing the ledger to version 5" {
			t.Errorf("%s: the newest action is %+v", name, actions[0])
		}
		for table, rows := range before {
			if table == "actions" || table == "versions" {
				after[table] = after[table][:len(rows)] // the baseline is new
			}
			if table != "analytes" && !slices.Equal(after[table], rows) {
				t.Errorf("%s: %s holds %v, held %v", name, table, after[table], rows)
			}
		}
		for _, a := range actions[1:] {
			if version < 3 && a.Doing.In(shouting{}) != a.Doing.String() { // they were kept as they were said
				t.Errorf("%s: %q is not said as it was kept", name, a.Doing)
			}
		}
		if want := map[int]int{1: 1, 2: 27, 3: 29, 4: 30}[version]; len(actions) != want {
			t.Errorf("%s: %d actions, want %d", name, len(actions), want)
		}
		if _, err := s.Undo(t.Context(), ""); !errors.Is(err, storage.ErrNothingToUndo) {
			t.Errorf("%s: what was done before the upgrade was taken back: %v", name, err)
		}
		_, err := db.Exec("UPDATE readings SET value = 421 WHERE id = 1")
		must(t, err)
		faults := value[[]string](t)(versions.Check(t.Context(), db))
		if !slices.Equal(faults, []string{"readings row 1 (F1, calcium, 2026-03-10 07:02 UTC) has changed"}) {
			t.Errorf("%s: a changed value is found as %v", name, faults)
		}
	}
}

// shouting is a language in which every sentence of the program is said aloud.
type shouting struct{ words.Language }

func (shouting) Phrase(s string) string { return strings.ToUpper(s) }
func (shouting) Point() string          { return "." }
