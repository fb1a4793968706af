package storage

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"weirkeeper/tanks"
)

var upgradeTime = time.Date(2026, 3, 10, 8, 2, 0, 0, time.UTC)

// olderLedger opens a copy of the kept ledger of a version.
func olderLedger(t *testing.T, name string) *Store {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "room.ledger")
	if err := os.WriteFile(path, data, 0o644); err != nil {
		t.Fatal(err)
	}
	s, err := Open(t.Context(), path, func() time.Time { return upgradeTime })
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

// schemaOf lists what a ledger is made of.
func schemaOf(t *testing.T, s *Store) []string {
	t.Helper()
	pool, err := s.read.DB()
	if err != nil {
		t.Fatal(err)
	}
	all, err := textColumn(t.Context(), pool, "SELECT type || ' ' || name || ' ' || ifnull(sql, '') FROM sqlite_schema WHERE name NOT LIKE 'sqlite_%' ORDER BY name")
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// A ledger of every version that was ever landed opens, holds what it held, and
// has the schema of a new one.
func TestLedgersOfEveryVersion(t *testing.T) {
	fresh, err := Create(t.Context(), filepath.Join(t.TempDir(), "new.ledger"), tanks.Room{Name: "New", Zone: "UTC"}, time.Now)
	if err != nil {
		t.Fatal(err)
	}
	defer fresh.Close()
	want := strings.Join(schemaOf(t, fresh), "\n")
	steps, err := migrations()
	if err != nil {
		t.Fatal(err)
	}
	for version := 1; version <= len(steps); version++ {
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
		r, err := Check(t.Context(), s.Path())
		// The photo of the kept ledger is not kept with it.
		r.Faults = slices.DeleteFunc(r.Faults, func(f string) bool { return strings.Contains(f, "the photo") })
		if err != nil || !r.Sound() || r.Rows["readings"] != readings {
			t.Errorf("%s: %+v, %v", name, r, err)
		}
	}
}

func kept(t *testing.T, s *Store) []string {
	t.Helper()
	all, err := filepath.Glob(s.path + "-before-version-*")
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// A change of the schema is made on a ledger of which a copy is kept; one that
// fails leaves the ledger as it was.
func TestUpgradeKeepsACopy(t *testing.T) {
	s := olderLedger(t, "version-1.sqlite")
	steps, err := migrations()
	if err != nil {
		t.Fatal(err)
	}
	for _, copied := range kept(t, s) { // of the upgrade from version 1
		if g, err := Look(t.Context(), copied); err != nil || g.Room != "Kept room" || g.Readings == 0 {
			t.Errorf("the copy kept on opening holds %+v, %v", g, err)
		}
		if err := os.Remove(copied); err != nil {
			t.Fatal(err)
		}
	}
	if err := s.upgrade(t.Context(), len(steps), steps); err != nil || len(kept(t, s)) != 0 {
		t.Errorf("with nothing to do: %v, %v", err, kept(t, s))
	}
	failing := append(steps, "ALTER TABLE systems ADD COLUMN extra TEXT; ALTER TABLE no_table ADD COLUMN x TEXT;")
	if err := s.upgrade(t.Context(), len(steps), failing); err == nil || !strings.Contains(err.Error(), "bringing the ledger to version") {
		t.Errorf("a failing step gave %v", err)
	}
	if version, err := s.version(t.Context()); version != len(steps) || err != nil {
		t.Errorf("after it the version is %d, %v", version, err)
	}
	copies := kept(t, s)
	if len(copies) != 1 {
		t.Fatalf("kept are %v", copies)
	}
	if g, err := Look(t.Context(), copies[0]); err != nil || g.Room != "Kept room" || g.Readings == 0 {
		t.Errorf("the copy holds %+v, %v", g, err)
	}
	if err := os.Remove(copies[0]); err != nil {
		t.Fatal(err)
	}
	good := append(steps, "ALTER TABLE systems ADD COLUMN extra TEXT;")
	if err := s.upgrade(t.Context(), len(steps), good); err != nil {
		t.Fatal(err)
	}
	if version, err := s.version(t.Context()); version != len(good) || err != nil || len(kept(t, s)) != 1 {
		t.Errorf("after a good step the version is %d, %v, kept %v", version, err, kept(t, s))
	}
	if err := os.WriteFile(s.path+"-before-version-99-"+upgradeTime.Format(backupStamp), []byte("in the way"), 0o644); err != nil {
		t.Fatal(err)
	}
	blocked := append(good, make([]string, 99-len(good))...)
	if err := s.upgrade(t.Context(), len(good), blocked); err == nil || !strings.Contains(err.Error(), "nothing was changed") {
		t.Errorf("without a copy: %v", err)
	}
}
