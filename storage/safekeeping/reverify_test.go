package safekeeping_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"weirkeeper/storage"
	"weirkeeper/storage/safekeeping"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// Backups are proved anew one after the other, the oldest proof first, and one
// that has gone bad is named.
func TestReverify(t *testing.T) {
	now := storagetest.Now
	path := filepath.Join(t.TempDir(), "room.ledger")
	s := value[*storage.Store](
		t,
	)(
		storage.Create(t.Context(), path, tanks.Room{Name: "Cellar", Zone: "UTC"}, func() time.Time { return now }),
	)
	defer s.Close()
	folder := t.TempDir()
	var made []safekeeping.Backup
	for range 3 {
		made = append(made, value[safekeeping.Backup](t)(safekeeping.TakeBackup(t.Context(), s, folder, now, nil)))
		now = now.Add(10 * day)
	}
	next := func() safekeeping.Backup {
		t.Helper()
		return value[safekeeping.Backup](t)(safekeeping.Reverify(t.Context(), folder, path, now, 30*day))
	}
	if b := next(); b.Path != made[0].Path { // 30, 20 and 10 days old
		t.Errorf("proved %+v", b)
	}
	if b := next(); b.Path != "" {
		t.Errorf("proved %+v, though none is due", b)
	}
	now = now.Add(15 * day)
	if b := next(); b.Path != made[1].Path || !b.Verified.Equal(now) {
		t.Errorf("proved %+v", b)
	}
	if b := value[safekeeping.Backup](t)(safekeeping.BackupAt(made[1].Path)); !b.Proved().Equal(now) || !b.Taken.Equal(made[1].Taken) {
		t.Errorf("written down: %+v", b)
	}
	// Two proofs are older than wanted: the oldest first.
	if b := value[safekeeping.Backup](t)(safekeeping.Reverify(t.Context(), folder, path, now.Add(20*day), 21*day)); b.Path != made[2].Path {
		t.Errorf("of two that are due, proved %+v", b)
	}
	now = now.Add(20 * day)
	data := read(t, made[0].Path)
	data[len(data)/2] ^= 1
	must(t, os.WriteFile(made[0].Path, data, 0o644))
	if b, err := safekeeping.Reverify(t.Context(), folder, path, now, 30*day); b.Path != made[0].Path || err == nil ||
		!strings.Contains(err.Error(), "has changed since it was made") {
		t.Errorf("a changed backup: %+v, %v", b, err)
	}
}
