package safekeeping_test

import (
	"os"
	"path/filepath"
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
