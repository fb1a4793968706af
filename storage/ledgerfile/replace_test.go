package ledgerfile

import (
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
