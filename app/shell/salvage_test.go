package shell

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	sqlite3 "github.com/mattn/go-sqlite3"

	"weirkeeper/app/apptest"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/safekeeping"
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

// Damage that is met while the ledger is open is said in plain words and leads
// to what helps.
func TestDamageMetLaterLeadsToSalvage(t *testing.T) {
	k, store, _ := openRoom(t)
	path := store.Path()
	met := words.Errorf("copying the ledger: %w", sqlite3.Error{Code: sqlite3.ErrCorrupt})
	for range 2 {
		k.w.Session().Read("Reading", func(context.Context, *storage.Store) error { return met }, func() {})
		k.settle()
	}
	if said := k.noticed(); !strings.HasPrefix(said, "The ledger's file is damaged: ") ||
		!strings.Contains(said, "salvage what can be read") {
		t.Fatalf("it says %q", said)
	}
	k.press("Show the ways")
	k.settle()
	if k.w.Session() != nil {
		t.Fatal("the damaged ledger is still open")
	}
	notice := apptest.Find(t, k.c.Content(), func(*widgets.Notice) bool { return true })
	if title, said := notice.Said(); title != "The ledger could not be opened" || !strings.Contains(said, path+": it is damaged") {
		t.Errorf("the welcome page says %q", said)
	}
}

// What a salvage brought is said in a few words: what is lost first, of each the first
// few, and how many more there are.
func TestSalvageText(t *testing.T) {
	many := func(n int) (all []words.Text) {
		for i := range n {
			all = append(all, words.T("readings of F%d: 3", i+1))
		}
		return all
	}
	for name, c := range map[string]struct {
		got  safekeeping.Salvaged
		want string
	}{
		"all of it": {safekeeping.Salvaged{}, "Nothing is lost as far as can be told. The damaged file is kept: room.ledger."},
		"some rows": {
			safekeeping.Salvaged{Losses: many(2), Doubtful: []words.Text{"drafts 1"}, Invented: []string{"1 of the systems"}, Unread: 2,
				Unnamed: 40},
			"Lost: readings of F1: 3; readings of F2: 3. 2 pages cannot be read; at the most 40 more entries stood in them. " +
				"Kept, but not as it was written, so look at it: drafts 1. Made up, since others refer to them: 1 of the systems. " +
				"The damaged file is kept: room.ledger.",
		},
		"a lot": {
			safekeeping.Salvaged{Losses: many(9)},
			"Lost: readings of F1: 3; readings of F2: 3; readings of F3: 3; readings of F4: 3; readings of F5: 3; readings of F6: 3; " +
				"and 3 more, which the command salvage lists. The damaged file is kept: room.ledger.",
		},
	} {
		if got := salvageText(c.got, "/a/room.ledger"); got != c.want {
			t.Errorf("%s: %q, want %q", name, got, c.want)
		}
	}
}
