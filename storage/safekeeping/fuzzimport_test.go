package safekeeping_test

import (
	"encoding/json"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"weirkeeper/storage/safekeeping"
	"weirkeeper/storage/storagetest"
)

// FuzzBackupAt reads any description of a backup: it is understood or refused, and
// a backup of which something else is said than what it is is not taken for good.
func FuzzBackupAt(f *testing.F) {
	s, _ := storagetest.Room(f)
	folder := f.TempDir()
	b, err := safekeeping.TakeBackup(f.Context(), s, folder, time.Date(2026, 3, 10, 9, 0, 0, 0, time.UTC), nil)
	must(f, err)
	about := filepath.Join(folder, filepath.Base(b.Path)+".json")
	good, err := os.ReadFile(about)
	must(f, err)
	f.Add(good)
	for _, other := range []string{"", "{}", "null", "[]", `{"taken":"x"}`, `{"size":-1,"rows":{"readings":1e99}}`, `{"sha256":"\u0000"}`} {
		f.Add([]byte(other))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		must(t, os.WriteFile(about, data, 0o600))
		got, err := safekeeping.BackupAt(b.Path)
		if err != nil {
			return
		}
		if got.Path != b.Path {
			t.Fatalf("the backup is at %s", got.Path)
		}
		if got.SHA256 == b.SHA256 && got.Size == b.Size {
			return // it says what is so; the rest is compared by the proof
		}
		if err := got.Verify(t.Context()); err == nil {
			t.Fatalf("a backup passed for one of %d bytes with the sum %q", got.Size, got.SHA256)
		}
	})
}

// FuzzImportAll imports what an older program exported, without sums of its files,
// and in which bytes of one file were changed: it is refused and leaves nothing, or
// makes a sound ledger.
func FuzzImportAll(f *testing.F) {
	s, _ := storagetest.Room(f)
	work := f.TempDir()
	folder, to := filepath.Join(work, "export"), filepath.Join(work, "again.ledger")
	must(f, safekeeping.ExportAll(f.Context(), s, folder, storagetest.Now, nil))
	about := filepath.Join(folder, "ledger.json")
	var all map[string]any
	data, err := os.ReadFile(about)
	must(f, err)
	must(f, json.Unmarshal(data, &all))
	delete(all, "files")
	data, err = json.Marshal(all)
	must(f, err)
	must(f, os.WriteFile(about, data, 0o600))
	files := map[string][]byte{}
	entries, err := os.ReadDir(folder)
	must(f, err)
	for _, e := range entries {
		if !e.IsDir() {
			files[e.Name()], err = os.ReadFile(filepath.Join(folder, e.Name()))
			must(f, err)
		}
	}
	names := slices.Sorted(maps.Keys(files))
	for i := range names {
		f.Add(byte(i), []byte{})
		f.Add(byte(i), []byte{0, 0, 90, '"', 0, 1, 7, 0xff})
	}
	f.Fuzz(func(t *testing.T, which byte, changes []byte) {
		name := names[int(which)%len(names)]
		data := files[name]
		if len(data) > 1 {
			data = mutated(data, changes)
		}
		must(t, os.WriteFile(filepath.Join(folder, name), data, 0o600))
		defer os.WriteFile(filepath.Join(folder, name), files[name], 0o600)
		if err := safekeeping.ImportAll(t.Context(), folder, to, nil); err != nil {
			if left, _ := filepath.Glob(to + "*"); len(left) > 0 {
				t.Fatalf("refused with %v, and %q is left", err, left)
			}
			return
		}
		if r, err := safekeeping.Check(t.Context(), to); err != nil || !r.Sound() {
			t.Fatalf("%s was changed; the imported ledger has the faults %q, %v", name, r.Faults, err)
		}
		must(t, os.Remove(to))
	})
}
