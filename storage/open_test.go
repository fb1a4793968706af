package storage_test

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"weirkeeper/storage"
	"weirkeeper/storage/ledgerfile"
	"weirkeeper/storage/storagetest"
	"weirkeeper/storage/storagetest/faults"
	"weirkeeper/tanks"
)

var someRoom = tanks.Room{Name: "Back room", Zone: "Europe/Paris", Note: "two doors"}

var (
	plain   = faults.Plain
	execute = faults.Execute
)

func write(t *testing.T, path string, data []byte) {
	t.Helper()
	if err := os.WriteFile(path, data, 0o644); err != nil {
		t.Fatal(err)
	}
}

func read(t *testing.T, path string) []byte {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func TestCreateFailingLeavesNothing(t *testing.T) {
	dir := t.TempDir()
	for name, c := range map[string]struct {
		path string
		room tanks.Room
	}{
		"no folder":          {filepath.Join(dir, "none", "room"), someRoom},
		"room without name":  {filepath.Join(dir, "room"), tanks.Room{Zone: "UTC"}},
		"zone that is not":   {filepath.Join(dir, "room"), tanks.Room{Name: "x", Zone: "Mars/Olympus"}},
		"zone of this desk":  {filepath.Join(dir, "room"), tanks.Room{Name: "x", Zone: "Local"}},
		"name only of space": {filepath.Join(dir, "room"), tanks.Room{Name: " ", Zone: "UTC"}},
	} {
		t.Run(name, func(t *testing.T) {
			if s, err := storage.Create(t.Context(), c.path, c.room, storagetest.Clock); s != nil || err == nil {
				t.Fatalf("created: %v, %v", s != nil, err)
			}
			if left, _ := os.ReadDir(dir); len(left) != 0 {
				t.Errorf("left behind: %v", left)
			}
		})
	}
}

func TestCloseFoldsEverythingIntoOneFile(t *testing.T) {
	s, f := storagetest.Room(t)
	if wal, err := os.Stat(s.Path() + "-wal"); err != nil || wal.Size() == 0 {
		t.Fatalf("no write-ahead log while open: %v", err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if wal, err := os.Stat(s.Path() + "-wal"); err == nil && wal.Size() > 0 {
		t.Errorf("%d bytes are left in the log", wal.Size())
	}
	alone := filepath.Join(t.TempDir(), "copy")
	write(t, alone, read(t, s.Path()))
	copied, err := storage.Open(t.Context(), alone, storagetest.Clock)
	if err != nil {
		t.Fatal(err)
	}
	defer copied.Close()
	if got, err := copied.System(t.Context(), f.Systems[1].ID); err != nil || got.Code != "F2" {
		t.Errorf("got %+v, %v", got, err)
	}
	if err := s.Close(); err != nil {
		t.Errorf("closing twice: %v", err)
	}
}

// A ledger whose declarations are damaged, so that a table goes with rows of one that
// is not there, is said to be damaged.
func TestOpenDamagedDeclarations(t *testing.T) {
	s, _ := storagetest.Room(t)
	must(t, s.Close())
	execute(t, s.Path(), "PRAGMA writable_schema = 1",
		"UPDATE sqlite_schema SET sql = replace(sql, 'REFERENCES systems(id) ON DELETE CASCADE', 'REFERENCES zystems(id) ON DELETE "+
			"CASCADE') WHERE name = 'tanks'")
	var broken *ledgerfile.OpenError
	if s, err := storage.Open(t.Context(), s.Path(), storagetest.Clock); s != nil || !errors.As(err, &broken) || !broken.Damaged() {
		t.Errorf("it opens as %v with %v", s, err)
	}
}
