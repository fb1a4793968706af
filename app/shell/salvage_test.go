package shell

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"weirkeeper/chem"
	"weirkeeper/storage/storagetest"
)

// A damaged ledger without a backup is salvaged into a new one beside it; the
// damaged file stays as it is.
func TestDamagedLedgerIsSalvaged(t *testing.T) {
	store, f := storagetest.Room(t)
	save(t, store, f, 0, chem.Calcium, map[int]float64{1: 421, 2: 422})
	path := store.Path()
	if err := store.Close(); err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	// The catalogue's page: it is read when a ledger is opened.
	at := strings.Index(string(data), "alkalinity")
	if at < 0 {
		t.Fatal("the catalogue is not found")
	}
	copy(data[at/4096*4096:], make([]byte, 4096))
	if err := os.WriteFile(path, data, 0o644); err != nil {
		t.Fatal(err)
	}
	k := newKeeper(t, storagetest.Clock)
	k.w.openFile(path)
	k.settle()
	if k.w.Session() != nil {
		t.Fatal("the damaged ledger is open")
	}
	k.picture("salvage")
	k.press("Salvage it")
	if k.w.Session() == nil || !strings.HasPrefix(k.noticed(), "Salvaged 2 readings of 2 systems") {
		t.Fatalf("after salvaging: %v", k.w.Session() != nil)
	}
	if got := filepath.Base(k.w.Session().Store.Path()); got != "room-salvaged-20260310-080200.wkr" {
		t.Errorf("the new ledger is %s", got)
	}
	if after, err := os.ReadFile(path); err != nil || string(after) != string(data) {
		t.Errorf("the damaged file was changed: %v", err)
	}
}
