package shell

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"weirkeeper/chem"
	"weirkeeper/storage/durable"
	"weirkeeper/storage/storagetest"
)

// When a restore fails it is said what the ledger is now: as it was, until the restore
// was written down, and from then on one that is restored when it is opened.
func TestRestoreThatFails(t *testing.T) {
	for name, c := range map[string]struct {
		at        func(path string) (durable.Kind, string) // the operation at which something comes into the way
		says      string
		unchanged bool
	}{
		"before": {func(path string) (durable.Kind, string) { return durable.Renamed, path + ".restore-new" }, "The ledger is as it was.",
			true},
		"after": {func(path string) (durable.Kind, string) { return durable.Renamed, path + ".restore-journal" },
			"takes its place when the ledger is opened", false},
	} {
		t.Run(name, func(t *testing.T) {
			store, f := storagetest.Room(t)
			path := store.Path()
			backup, err := takeBackup(t, store, filepath.Join(t.TempDir(), "backups"))
			if err != nil {
				t.Fatal(err)
			}
			save(t, store, f, 0, chem.Calcium, map[int]float64{1: 421})
			if err := store.Close(); err != nil {
				t.Fatal(err)
			}
			before, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			k := newKeeper(t, storagetest.Clock)
			kind, at := c.at(path)
			inTheWay := path + "-journal"
			durable.Watch = func(op durable.Op) {
				if op.Kind == kind && op.To == at {
					if err := os.MkdirAll(filepath.Join(inTheWay, "x"), 0o755); err != nil {
						t.Error(err)
					}
				}
			}
			k.w.restore(backup, path)
			k.settle()
			durable.Watch = nil
			if said := strings.Join(strings.Fields(wordsInFront(k.w.win)), " "); !strings.Contains(said, c.says) ||
				strings.Contains(said, "as it was") != c.unchanged {
				t.Errorf("it says %s", said)
			}
			after, err := os.ReadFile(path)
			if err != nil || string(after) != string(before) {
				t.Errorf("the file at its place is another one: %v", err)
			}
			if err := os.RemoveAll(inTheWay); err != nil {
				t.Fatal(err)
			}
			k.press("Open the ledger")
			k.settle()
			if k.w.Session() == nil {
				t.Fatal("it does not open")
			}
			readings, err := k.w.Session().Store.ReadingsOf(t.Context(), f.Systems[0].ID, f.Now.AddDate(0, 0, -30), f.Now)
			if err != nil || (len(readings) == 1) != c.unchanged {
				t.Errorf("it holds %d readings, %v", len(readings), err)
			}
		})
	}
}
