package ledgerfile

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"weirkeeper/storage/durable"
)

// A replacement that cannot be written down leaves the ledger as it was, and no
// folder of second names that would look like a copy of it.
func TestReplacementThatCannotBeWrittenDown(t *testing.T) {
	path := closedLedger(t, "room")
	before, err := os.ReadFile(path)
	must(t, err)
	part, err := durable.Temporary(filepath.Dir(path))
	must(t, err)
	must(t, os.WriteFile(part, []byte("new"), 0o600))
	must(t, os.MkdirAll(filepath.Join(writtenDown(path), "in the way"), 0o755))
	if kept, err := Replace(t.Context(), part, path, durable.Private, Restored, now); err == nil || kept != "" {
		t.Errorf("it gave %q, %v", kept, err)
	}
	if left, err := filepath.Glob(path + "-before-restore-*"); err != nil || len(left) != 0 {
		t.Errorf("left are %v, %v", left, err)
	}
	if after, err := os.ReadFile(path); err != nil || string(after) != string(before) {
		t.Errorf("the ledger has changed: %v", err)
	}
	if _, err := os.Lstat(newFor(path)); err == nil {
		t.Error("the new file is left")
	}
}

// obstruct puts something into the way once a replacement of the ledger at path has come
// to an operation.
func obstruct(t *testing.T, kind durable.Kind, to string, put func() error) {
	t.Helper()
	done := false
	durable.Watch = func(op durable.Op) {
		if op.Kind == kind && op.To == to && !done {
			done = true
			must(t, put())
		}
	}
	t.Cleanup(func() { durable.Watch = nil })
}

// What fails after a replacement was written down is no failure that leaves the ledger as
// it was: that is said, and opening it brings the replacement to its end.
func TestReplacementThatCannotBeFinished(t *testing.T) {
	for name, c := range map[string]struct {
		put   func(path string) (kind durable.Kind, to string, put func() error)
		clear func(path string) error
	}{
		"a log that cannot be removed": {
			func(path string) (durable.Kind, string, func() error) {
				return durable.Renamed, writtenDown(path), func() error { return os.MkdirAll(path+"-journal/x", 0o755) }
			},
			func(path string) error { return os.RemoveAll(path + "-journal") },
		},
		"a place that cannot be had": {
			func(path string) (durable.Kind, string, func() error) {
				return durable.Renamed, writtenDown(path), func() error {
					return errors.Join(os.Remove(path),
						os.MkdirAll(path+"/x", 0o755))
				}
			},
			os.RemoveAll,
		},
		"what is written down goes": {
			func(path string) (durable.Kind, string, func() error) {
				return durable.Renamed, path, func() error { return os.Remove(writtenDown(path)) }
			},
			func(string) error { return nil },
		},
	} {
		t.Run(name, func(t *testing.T) {
			path, other := closedLedger(t, "former"), newLedger(t)
			_, err := other.Writer().Exec("UPDATE room SET name = 'new one'")
			must(t, errors.Join(err, other.Close()))
			part, err := durable.Temporary(filepath.Dir(path))
			must(t, err)
			must(t, durable.CopyInto(t.Context(), part, other.Path()))
			kind, to, put := c.put(path)
			obstruct(t, kind, to, put)
			kept, err := Replace(t.Context(), part, path, durable.Private, Restored, now)
			unfinished := new(UnfinishedError)
			if !errors.As(err, &unfinished) || unfinished.Kept != kept || kept == "" {
				t.Fatalf("it gave %q, %v", kept, err)
			}
			must(t, c.clear(path))
			f, err := Open(t.Context(), path, now, nothing)
			must(t, err)
			defer f.Close()
			if room := roomOf(t, f); room != "new one" || There(writtenDown(path)) {
				t.Errorf("it is %q, or not at its end", room)
			}
			if _, err := os.Stat(filepath.Join(kept, filepath.Base(path))); err != nil {
				t.Errorf("the former file is gone: %v", err)
			}
		})
	}
}
