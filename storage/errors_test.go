package storage

import (
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	sqlite3 "github.com/mattn/go-sqlite3"

	"weirkeeper/chem"
	"weirkeeper/tanks"
)

func TestErrorsSayWhatToDo(t *testing.T) {
	for _, c := range []struct {
		code         sqlite3.ErrNo
		open, saving string
	}{
		{sqlite3.ErrNotADB, "no ledger", ""},
		{sqlite3.ErrCorrupt, "damaged", ""},
		{sqlite3.ErrReadonly, "not written", "permissions"},
		{sqlite3.ErrPerm, "not written", "permissions"},
		{sqlite3.ErrCantOpen, "cannot be opened", ""},
		{sqlite3.ErrBusy, "another program", "another program"},
		{sqlite3.ErrLocked, "another program", "another program"},
		{sqlite3.ErrFull, "", "disk is full"},
		{sqlite3.ErrIoErr, "", "check the drive"},
	} {
		cause := fmt.Errorf("deep down: %w", sqlite3.Error{Code: c.code})
		var refused *OpenError
		if got := openFailed("room", cause); errors.As(got, &refused) != (c.open != "") || !strings.Contains(got.Error(), c.open) || !strings.Contains(got.Error(), "room") {
			t.Errorf("opening, code %d: %v", c.code, got)
		}
		got := writeFailed("saving", cause)
		if !errors.Is(got, cause) || !strings.Contains(got.Error(), c.saving) || strings.Contains(got.Error(), "not saved") != (c.saving != "") {
			t.Errorf("saving, code %d: %v", c.code, got)
		}
	}
	if got := openFailed("room", syscall.EIO); !errors.Is(got, syscall.EIO) {
		t.Errorf("got %v", got)
	}
	for cause, want := range map[error]string{fs.ErrPermission: "no permission", fs.ErrNotExist: "folder does not exist", syscall.ENOSPC: "disk is full", syscall.EIO: syscall.EIO.Error()} {
		if got := plainCause(cause); !strings.Contains(got.String(), want) {
			t.Errorf("%v: %s", cause, got)
		}
	}
}

// TestFullDisk caps the file's size, as a full disk does: the save fails and
// says so, nothing of it is kept, and saving goes on when there is room again.
func TestFullDisk(t *testing.T) {
	ctx := t.Context()
	now := time.Date(2026, 3, 10, 8, 2, 0, 0, time.UTC)
	s, err := Create(ctx, filepath.Join(t.TempDir(), "room"), tanks.Room{Name: "x", Zone: "UTC"}, func() time.Time { return now })
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	system := tanks.System{Code: "F1", Name: "Rack", Kind: tanks.Marine}
	if err := s.SaveSystem(ctx, &system); err != nil {
		t.Fatal(err)
	}
	sheet := make([]tanks.Reading, 2000)
	for i := range sheet {
		sheet[i] = tanks.Reading{System: system.ID, Analyte: chem.Calcium, At: now.Add(-time.Duration(i) * time.Minute), Value: 420, Note: strings.Repeat("x", 50)}
	}
	if err := s.write.Exec("PRAGMA max_page_count = 80").Error; err != nil {
		t.Fatal(err)
	}
	ids, err := s.SaveReadings(ctx, sheet)
	if ids != nil || err == nil || !strings.Contains(err.Error(), "not saved, the disk is full") {
		t.Fatalf("%d saved, %v", len(ids), err)
	}
	if got, err := s.ReadingsOf(ctx, system.ID, time.Time{}, time.Time{}); len(got) != 0 || err != nil {
		t.Errorf("half saved: %d, %v", len(got), err)
	}
	if err := s.write.Exec("PRAGMA max_page_count = 1000000").Error; err != nil {
		t.Fatal(err)
	}
	if ids, err = s.SaveReadings(ctx, sheet); len(ids) != 2000 || err != nil {
		t.Errorf("%d saved, %v", len(ids), err)
	}
}

// TestWriterSettings reads back what durability rests on, from the connection
// that writes.
func TestWriterSettings(t *testing.T) {
	s, err := Create(t.Context(), filepath.Join(t.TempDir(), "room"), tanks.Room{Name: "x", Zone: "UTC"}, time.Now)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	for pragma, want := range map[string]string{
		"journal_mode": "wal", "synchronous": "2", "foreign_keys": "1", "fullfsync": "1", "checkpoint_fullfsync": "1",
		"trusted_schema": "0", "cell_size_check": "1", "busy_timeout": "10000", "cache_size": "-65536",
	} {
		var got string
		if err := s.write.Raw("PRAGMA " + pragma).Row().Scan(&got); err != nil || got != want {
			t.Errorf("%s is %s, want %s (%v)", pragma, got, want, err)
		}
	}
	if err := s.read.Exec("UPDATE room SET name = 'y'").Error; err == nil {
		t.Error("a reading connection wrote")
	}
	if err := s.write.Exec("PRAGMA foreign_keys = OFF").Error; err != nil {
		t.Fatal(err)
	}
	if err := s.assertSafe(t.Context()); err == nil || !strings.Contains(err.Error(), "foreign_keys") {
		t.Errorf("foreign keys off, yet %v", err)
	}
}

// TestMigrationThatBreaksReferencesIsUndone gives a step that leaves rows
// pointing nowhere.
func TestMigrationThatBreaksReferencesIsUndone(t *testing.T) {
	s, err := Create(t.Context(), filepath.Join(t.TempDir(), "room"), tanks.Room{Name: "x", Zone: "UTC"}, time.Now)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	steps, err := migrations()
	if err != nil {
		t.Fatal(err)
	}
	now := len(steps)
	for name, c := range map[string]struct{ script, want string }{
		"rows that point nowhere": {"INSERT INTO tanks (system_id, length, width, height) VALUES (99, 1, 1, 1)", "1 rows would point nowhere"},
		"wrong SQL":               {"CREATE TABLE extra (id INTEGER); SELECT nonsense", "no such column"},
	} {
		t.Run(name, func(t *testing.T) {
			if err := s.step(t.Context(), now+1, c.script); err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v", err)
			}
			var left int
			err := s.read.Raw("SELECT (SELECT count(*) FROM tanks) + (SELECT count(*) FROM sqlite_schema WHERE name = 'extra')").Row().Scan(&left)
			if v, verr := s.version(t.Context()); left != 0 || v != now || err != nil || verr != nil {
				t.Errorf("%d left, version %d, %v, %v", left, v, err, verr)
			}
			if err := s.assertSafe(t.Context()); err != nil {
				t.Error(err)
			}
		})
	}
	if err := s.step(t.Context(), 1, "nonsense"); err != nil {
		t.Errorf("a step that is done already: %v", err)
	}
}
