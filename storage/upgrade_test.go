package storage_test

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"weirkeeper/storage"
	"weirkeeper/storage/ledgerfile"
	"weirkeeper/storage/safekeeping"
	"weirkeeper/storage/storagetest"
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
