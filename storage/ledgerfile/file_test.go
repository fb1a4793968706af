package ledgerfile

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"weirkeeper/storage/storagetest/faults"
)

// now is the instant at which the files are opened.
var now = time.Date(2026, 3, 10, 8, 2, 0, 0, time.UTC)

// newLedger makes a ledger with a room in it, which is open.
func newLedger(t testing.TB) *File { return newLedgerAt(t, filepath.Join(t.TempDir(), "room")) }

func newLedgerAt(t testing.TB, path string) *File {
	t.Helper()
	f, err := Create(t.Context(), path, now)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { f.Close() })
	if _, err := f.Writer().Exec("INSERT INTO room (id, name, zone) VALUES (1, 'Back room', 'Europe/Paris')"); err != nil {
		t.Fatal(err)
	}
	return f
}

// closedLedger makes a ledger with a room in it and returns its file.
func closedLedger(t testing.TB, name string) string {
	t.Helper()
	f := newLedgerAt(t, filepath.Join(t.TempDir(), name))
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	return f.Path()
}

// roomOf returns the name of the room in a ledger.
func roomOf(t testing.TB, f *File) (name string) {
	t.Helper()
	if err := f.Reader().QueryRow("SELECT name FROM room").Scan(&name); err != nil {
		t.Fatal(err)
	}
	return name
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
			faults.Execute(t, path, "CREATE TABLE recipes (name TEXT)")
		}},
		{"newer program", "newer program (version 99", func(t *testing.T, path string) {
			rename(t, closedLedger(t, "x"), path)
			faults.Execute(t, path, "PRAGMA user_version = 99")
		}},
		{"a program newer by one", "newer program (version ", func(t *testing.T, path string) {
			rename(t, closedLedger(t, "x"), path)
			newest, err := Newest()
			must(t, err)
			faults.Execute(t, path, fmt.Sprintf("PRAGMA user_version = %d", newest+1))
		}},
		{"newer program, copied with VACUUM", "newer program (version 99", func(t *testing.T, path string) {
			rename(t, closedLedger(t, "x"), path)
			faults.Execute(t, path, "PRAGMA journal_mode = DELETE", "PRAGMA user_version = 99")
		}},
		{"no room in it", "no room", func(t *testing.T, path string) {
			faults.Execute(t, path, "PRAGMA journal_mode = WAL", "PRAGMA application_id = 1464158546")
		}},
		{"no tables in it", "no room", func(t *testing.T, path string) {
			faults.Execute(t, path, "PRAGMA journal_mode = WAL", "PRAGMA application_id = 1464158546", "PRAGMA user_version = 2")
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
			f, err := Open(t.Context(), path, now, nothing)
			var refused *OpenError
			if f != nil || !errors.As(err, &refused) {
				t.Fatalf("opened: %v, %v", f != nil, err)
			}
			if !strings.Contains(refused.Problem.String(), c.problem) || refused.Remedy == "" || refused.Path != path ||
				!strings.Contains(refused.Error(), refused.Problem.String()) {
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
	_, err := Create(t.Context(), path, now)
	var refused *OpenError
	if !errors.As(err, &refused) || !strings.Contains(refused.Problem.String(), "already") {
		t.Errorf("got %v", err)
	}
	if got := read(t, path); string(got) != "keep me" {
		t.Errorf("the file now holds %q", got)
	}
}

func TestUnusualFileNames(t *testing.T) {
	for _, name := range []string{"two words.wkr", "50% salt.wkr", "rack #3.wkr", "why?.wkr", "café éà.wkr", "a&b=c;d.wkr", "%20.wkr",
		"海.wkr"} {
		t.Run(name, func(t *testing.T) {
			path := closedLedger(t, name)
			if left, _ := os.ReadDir(filepath.Dir(path)); len(left) != 2 || left[0].Name() != name || left[1].Name() != name+"-lock" {
				t.Fatalf("the folder holds %v", left)
			}
			f, err := Open(t.Context(), path, now, nothing)
			if err != nil {
				t.Fatal(err)
			}
			defer f.Close()
			if got := roomOf(t, f); got != "Back room" || f.Path() != path {
				t.Errorf("got %q at %s", got, f.Path())
			}
		})
	}
}

func TestRelativePath(t *testing.T) {
	t.Chdir(t.TempDir())
	f, err := Create(t.Context(), "room 1.wkr", now)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if _, err := os.Stat("room 1.wkr"); err != nil {
		t.Error(err)
	}
}

func TestCloseFoldsEverythingIntoOneFile(t *testing.T) {
	f := newLedger(t)
	if wal, err := os.Stat(f.Path() + "-wal"); err != nil || wal.Size() == 0 {
		t.Fatalf("no write-ahead log while open: %v", err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	if wal, err := os.Stat(f.Path() + "-wal"); err == nil && wal.Size() > 0 {
		t.Errorf("%d bytes are left in the log", wal.Size())
	}
	alone := filepath.Join(t.TempDir(), "copy")
	write(t, alone, read(t, f.Path()))
	copied, err := Open(t.Context(), alone, now, nothing)
	if err != nil {
		t.Fatal(err)
	}
	defer copied.Close()
	if got := roomOf(t, copied); got != "Back room" {
		t.Errorf("got %q", got)
	}
	if err := f.Close(); err != nil {
		t.Errorf("closing twice: %v", err)
	}
}

func TestCloseEmptiesTheLogWhileAnotherReads(t *testing.T) {
	f := newLedger(t)
	other := faults.Plain(t, f.Path())
	var n int
	if err := other.QueryRow("SELECT count(*) FROM room").Scan(&n); err != nil || n != 1 {
		t.Fatalf("%d, %v", n, err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	if wal, err := os.Stat(f.Path() + "-wal"); err != nil || wal.Size() != 0 {
		t.Errorf("log of %v, %v", wal, err)
	}
}
