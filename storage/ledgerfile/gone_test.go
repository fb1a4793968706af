package ledgerfile

import (
	"os"
	"path/filepath"
	"testing"

	"weirkeeper/storage/durable"
)

// A copy of a ledger whose file is gone has a name of its own: not that of a file, nor
// one beside which a log lies. It has the ledger's mode, and the file stays open.
func TestKeptCopiesHaveNamesOfTheirOwn(t *testing.T) {
	path := filepath.Join(t.TempDir(), "room.ledger")
	f := newLedgerAt(t, path)
	must(t, os.Chmod(path, 0o640))
	f.remember()
	must(t, os.Remove(path))
	stem := filepath.Join(filepath.Dir(path), "room-rescued-"+now.UTC().Format(Stamp))
	must(t, os.WriteFile(stem+".ledger", []byte("another's"), 0o600))
	must(t, os.WriteFile(stem+"-2.ledger-wal", []byte("another's log"), 0o600))
	for _, want := range []string{stem + "-3.ledger", stem + "-4.ledger"} {
		to, err := f.Keep(t.Context(), filepath.Dir(path), now)
		if err != nil || to != want || durable.ModeOf(to, 0) != 0o640 {
			t.Errorf("the copy is %s of mode %v, %v, not %s", to, durable.ModeOf(to, 0), err, want)
		}
		if f.Rescued() {
			t.Error("the file counts as rescued")
		}
		must(t, Identify(to))
	}
	if data, err := os.ReadFile(stem + ".ledger"); err != nil || string(data) != "another's" {
		t.Errorf("the other file holds %q, %v", data, err)
	}
	if _, err := f.Keep(t.Context(), filepath.Join(filepath.Dir(path), "none"), now); err == nil {
		t.Error("a copy is kept in a folder that is not there")
	}
}
