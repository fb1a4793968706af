package safekeeping_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"weirkeeper/storage/ledgerfile"
	"weirkeeper/storage/safekeeping"
	"weirkeeper/storage/storagetest"
)

// linked is a ledger whose readings are in its log alone, as after a crash, under a
// name of spaces and signs beyond 16 bits, with a photo, and a link to it from
// another folder.
func linked(t *testing.T, readings int) (path, link, photo string) {
	t.Helper()
	crash, _, photo := crashed(t, readings)
	store := filepath.Join(t.TempDir(), "fish room 🐠", "my room 🐟.ledger")
	must(t, os.MkdirAll(ledgerfile.PhotoFolder(store), 0o755))
	for _, end := range []string{"", "-wal"} {
		must(t, os.Rename(crash+end, store+end))
	}
	link = filepath.Join(t.TempDir(), "current.ledger")
	must(t, os.Symlink(store, link))
	return store, link, photo
}

// What lies beside a ledger, its log and its photos, is salvaged through a link too.
func TestSalvageThroughALink(t *testing.T) {
	path, link, photo := linked(t, 17)
	picture := filepath.Join(ledgerfile.PhotoFolder(path), photo)
	must(t, os.WriteFile(picture, []byte("a picture"), 0o600))
	for _, from := range []string{path, link} {
		to := filepath.Join(t.TempDir(), "out.ledger")
		got := value[safekeeping.Salvaged](t)(safekeeping.Salvage(t.Context(), from, to, storagetest.Now, nil))
		if got.Kept["readings"] != 17 || len(got.Lost) != 0 {
			t.Errorf("%s: %d readings are kept, lost are %v", filepath.Base(from), got.Kept["readings"], got.Lost)
		}
		if n := held(t, to); n != 17 {
			t.Errorf("%s: the new ledger holds %d readings", filepath.Base(from), n)
		}
		if _, err := os.Stat(filepath.Join(ledgerfile.PhotoFolder(to), photo)); err != nil {
			t.Errorf("%s: the photo: %v", filepath.Base(from), err)
		}
	}
}

// A damaged log and missing photos are found through a link too.
func TestCheckThroughALink(t *testing.T) {
	path, link, photo := linked(t, 17)
	whole := value[ledgerfile.Report](t)(safekeeping.Check(t.Context(), link))
	if said := strings.Join(whole.Faults, "; "); !strings.Contains(said, photo) {
		t.Errorf("of a missing photo it says %q", said)
	}
	log := read(t, path+"-wal")
	log[len(log)/2] ^= 4
	must(t, os.WriteFile(path+"-wal", log, 0o600))
	for _, at := range []string{path, link} {
		r := value[ledgerfile.Report](t)(safekeeping.Check(t.Context(), at))
		if said := strings.Join(r.Faults, "; "); !strings.Contains(said, "the log beside the ledger") {
			t.Errorf("%s: of a damaged log it says %q", filepath.Base(at), said)
		}
	}
}
