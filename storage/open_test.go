package storage_test

import (
	"bytes"
	"database/sql"
	"errors"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"

	_ "github.com/mattn/go-sqlite3"

	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

var someRoom = tanks.Room{Name: "Back room", Zone: "Europe/Paris", Note: "two doors"}

// plain opens a ledger's file with SQLite alone.
func plain(t testing.TB, path string) *sql.DB {
	t.Helper()
	u := url.URL{Scheme: "file", OmitHost: true, Path: path, RawQuery: "_busy_timeout=5000"}
	db, err := sql.Open("sqlite3", u.String())
	if err != nil {
		t.Fatal(err)
	}
	db.SetMaxOpenConns(1)
	t.Cleanup(func() { db.Close() })
	return db
}

func execute(t testing.TB, path string, statements ...string) {
	t.Helper()
	db := plain(t, path)
	defer db.Close()
	for _, s := range statements {
		if _, err := db.Exec(s); err != nil {
			t.Fatalf("%s: %v", s, err)
		}
	}
}

// closedLedger makes a ledger with a room in it and returns its file.
func closedLedger(t testing.TB, name string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	s, err := storage.Create(t.Context(), path, someRoom, storagetest.Clock)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	return path
}

func TestBadFilesAreRefusedAndUntouched(t *testing.T) {
	for _, c := range []struct {
		name, problem string
		make          func(t *testing.T, path string)
	}{
		{"missing", "no such file", func(*testing.T, string) {}},
		{"empty", "empty", func(t *testing.T, path string) { write(t, path, nil) }},
		{"short text", "no ledger", func(t *testing.T, path string) { write(t, path, []byte("shopping list")) }},
		{"long text", "no ledger", func(t *testing.T, path string) { write(t, path, bytes.Repeat([]byte("salt\n"), 1000)) }},
		{"database of another program", "another program", func(t *testing.T, path string) {
			execute(t, path, "CREATE TABLE recipes (name TEXT)")
		}},
		{"newer program", "newer program (version 99", func(t *testing.T, path string) {
			rename(t, closedLedger(t, "x"), path)
			execute(t, path, "PRAGMA user_version = 99")
		}},
		{"newer program, copied with VACUUM", "newer program (version 99", func(t *testing.T, path string) {
			rename(t, closedLedger(t, "x"), path)
			execute(t, path, "PRAGMA journal_mode = DELETE", "PRAGMA user_version = 99")
		}},
		{"no room in it", "no room", func(t *testing.T, path string) {
			execute(t, path, "PRAGMA journal_mode = WAL", "PRAGMA application_id = 1464158546")
		}},
		{"folder", "folder", func(t *testing.T, path string) {
			if err := os.Mkdir(path, 0o755); err != nil {
				t.Fatal(err)
			}
		}},
		{"truncated to half", "damaged", truncated(2)},
		{"truncated to a page", "damaged", truncated(1 << 20)},
		{"truncated within the header", "no ledger", func(t *testing.T, path string) {
			write(t, path, []byte("SQLite format 3\x00"))
		}},
		{"schema overwritten", "damaged", func(t *testing.T, path string) {
			data := read(t, closedLedger(t, "x"))
			for i := 100; i < 4096; i++ {
				data[i] = 0xa5
			}
			write(t, path, data)
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "bad ledger")
			c.make(t, path)
			before, _ := os.ReadFile(path)
			s, err := storage.Open(t.Context(), path, storagetest.Clock)
			var refused *storage.OpenError
			if s != nil || !errors.As(err, &refused) {
				t.Fatalf("opened: %v, %v", s != nil, err)
			}
			if !strings.Contains(refused.Problem.String(), c.problem) || refused.Remedy == "" || refused.Path != path || !strings.Contains(refused.Error(), refused.Problem.String()) {
				t.Errorf("got %+v", refused)
			}
			// A backup stands in for what is broken, not for what is another's.
			whole := strings.Contains(c.problem, "another") || strings.Contains(c.problem, "newer") || c.problem == "folder"
			if refused.Lost() == whole {
				t.Errorf("%q is lost: %v", refused.Problem, refused.Lost())
			}
			if after, _ := os.ReadFile(path); !bytes.Equal(before, after) {
				t.Errorf("the file was changed: %d bytes before, %d after", len(before), len(after))
			}
		})
	}
}

// truncated cuts a ledger to a part of its length, at least one page.
func truncated(by int) func(*testing.T, string) {
	return func(t *testing.T, path string) {
		data := read(t, closedLedger(t, "x"))
		write(t, path, data[:max(len(data)/by/4096*4096, 4096)])
	}
}

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

func rename(t *testing.T, from, to string) {
	t.Helper()
	if err := os.Rename(from, to); err != nil {
		t.Fatal(err)
	}
}

func TestCreateNeverOverwrites(t *testing.T) {
	path := filepath.Join(t.TempDir(), "notes.txt")
	write(t, path, []byte("keep me"))
	_, err := storage.Create(t.Context(), path, someRoom, storagetest.Clock)
	var refused *storage.OpenError
	if !errors.As(err, &refused) || !strings.Contains(refused.Problem.String(), "already") {
		t.Errorf("got %v", err)
	}
	if got := read(t, path); string(got) != "keep me" {
		t.Errorf("the file now holds %q", got)
	}
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

func TestUnusualFileNames(t *testing.T) {
	for _, name := range []string{"two words.wkr", "50% salt.wkr", "rack #3.wkr", "why?.wkr", "café éà.wkr", "a&b=c;d.wkr", "%20.wkr", "海.wkr"} {
		t.Run(name, func(t *testing.T) {
			path := closedLedger(t, name)
			if left, _ := os.ReadDir(filepath.Dir(path)); len(left) != 2 || left[0].Name() != name || left[1].Name() != name+"-lock" {
				t.Fatalf("the folder holds %v", left)
			}
			s, err := storage.Open(t.Context(), path, storagetest.Clock)
			if err != nil {
				t.Fatal(err)
			}
			defer s.Close()
			if got, err := s.Room(t.Context()); got != someRoom || err != nil || s.Path() != path {
				t.Errorf("got %+v, %v at %s", got, err, s.Path())
			}
		})
	}
}

func TestRelativePath(t *testing.T) {
	t.Chdir(t.TempDir())
	s, err := storage.Create(t.Context(), "room 1.wkr", someRoom, storagetest.Clock)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if _, err := os.Stat("room 1.wkr"); err != nil {
		t.Error(err)
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

func TestCloseEmptiesTheLogWhileAnotherReads(t *testing.T) {
	s, _ := storagetest.Room(t)
	other := plain(t, s.Path())
	var n int
	if err := other.QueryRow("SELECT count(*) FROM systems").Scan(&n); err != nil || n != 2 {
		t.Fatalf("%d, %v", n, err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if wal, err := os.Stat(s.Path() + "-wal"); err != nil || wal.Size() != 0 {
		t.Errorf("log of %v, %v", wal, err)
	}
}
