package shell

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"weirkeeper/app/apptest"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/safekeeping"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// backups lists what the open ledger's folder holds.
func (k *keeper) backups() []safekeeping.Backup {
	k.t.Helper()
	all, err := safekeeping.Backups(k.w.Session().Backups.Folder(), k.w.Session().Store.Path())
	if err != nil {
		k.t.Fatal(err)
	}
	return all
}

// A ledger is backed up when it is opened, a day later, and on closing when
// something was saved; Setup restores.
func TestBackupsOfARoom(t *testing.T) {
	store, f := storagetest.Room(t)
	path := store.Path()
	if err := store.Close(); err != nil {
		t.Fatal(err)
	}
	now := f.Now
	k := newKeeper(t, func() time.Time { return now })
	k.w.openFile(path)
	k.settle()
	if n := len(k.backups()); n != 1 {
		t.Fatalf("%d backups after opening, want 1", n)
	}
	if text := k.w.frame.backup.Text(); !strings.HasPrefix(text, "last backup ") {
		t.Errorf("the bottom line says %q", text)
	}
	now = now.Add(23 * time.Hour)
	k.w.backUpIfDue()
	k.settle()
	if n := len(k.backups()); n != 1 {
		t.Errorf("%d backups after 23 hours, want 1", n)
	}
	now = now.Add(2 * time.Hour)
	k.w.backUpIfDue()
	k.settle()
	if n := len(k.backups()); n != 2 {
		t.Errorf("%d backups after 25 hours, want 2", n)
	}
	closed := false
	now = now.Add(time.Hour)
	k.w.backUpBeforeClosing(func() { closed = true })
	k.settle()
	if n := len(k.backups()); n != 2 || !closed {
		t.Errorf("nothing was saved, but closing made %d backups; closed %v", n-2, closed)
	}
	save(t, k.w.Session().Store, f, 0, chem.Calcium, map[int]float64{1: 421})
	k.w.unsaved = true // what the store's notice sets in the running program
	closed = false
	k.w.backUpBeforeClosing(func() { closed = true })
	k.settle()
	if n := len(k.backups()); n != 3 || !closed || k.w.unsaved {
		t.Errorf("closing after a save left %d backups; closed %v", n, closed)
	}

	k.w.Show(session.Route{Place: session.Setup, Section: session.SetupBackups})
	k.settle()
	k.picture("backups")
	table := apptest.Find(t, k.c.Content(), func(*widgets.Table) bool { return true })
	if rows := table.Rows(); len(rows) != 3 || rows[0].Cells[2].Text != "1" || rows[2].Cells[2].Text != "0" {
		t.Fatalf("the list is %+v", rows)
	}
	k.press("Export all as CSV")
	if files, err := filepath.Glob(filepath.Join(k.w.Session().Backups.Folder(), "csv-*", "readings.csv")); err != nil || len(files) != 1 ||
		!strings.HasPrefix(k.noticed(), "Exported: ") {
		t.Errorf("exported %v, %v; %s", files, err, k.noticed())
	}
	table.SetCurrent(0)
	k.press("Verify")
	if rows := table.Rows(); rows[0].Cells[4].Text != "good, just now" {
		t.Errorf("verified: %q", rows[0].Cells[4].Text)
	}
	table.SetCurrent(2)
	k.press("Restore")
	k.picture("restore")
	k.press("Restore")
	if k.w.Session() == nil || !strings.HasPrefix(k.noticed(), "Restored: ") {
		t.Fatalf("after restoring: %v", k.w.Session() != nil)
	}
	all, err := k.w.Session().Store.Series(t.Context(), f.Systems[0].ID, chem.Calcium, time.Time{}, now)
	if err != nil || len(all) != 0 {
		t.Errorf("the backup of before the save holds %d readings, %v", len(all), err)
	}
	kept, err := filepath.Glob(path + "-before-restore-*")
	if err != nil || len(kept) != 1 {
		t.Errorf("kept are %v, %v", kept, err)
	}
}

// A folder that cannot be written is said, nothing is lost, and the person may
// close all the same.
func TestBackupThatFails(t *testing.T) {
	k, _, _ := openRoom(t)
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	k.w.Show(session.Route{Place: session.Setup, Section: session.SetupBackups})
	k.settle()
	entry := apptest.Find(t, k.c.Content(), func(e *widgets.TextEntry) bool { return e.Text == k.w.Session().Backups.Folder() })
	entry.SetText(file)
	k.press("Use this folder")
	k.press("Back up now")
	if said := k.noticed(); !strings.Contains(said, "plug in the drive that it is on") {
		t.Errorf("it says %q", said)
	}
	k.w.unsaved = true
	closed := false
	k.w.backUpBeforeClosing(func() { closed = true })
	k.settle()
	if closed {
		t.Error("it closes without a word")
	}
	k.press("Close")
	if !closed {
		t.Error("it does not close")
	}
}

// takeBackup makes a backup into a folder, which is made first.
func takeBackup(t *testing.T, store *storage.Store, folder string) (safekeeping.Backup, error) {
	t.Helper()
	if err := os.MkdirAll(folder, 0o755); err != nil {
		t.Fatal(err)
	}
	return safekeeping.TakeBackup(t.Context(), store, folder, storagetest.Now, nil)
}

// A damaged ledger is not touched; its newest good backup is offered, and the
// broken file is kept.
func TestDamagedLedgerOffersItsBackup(t *testing.T) {
	store, f := storagetest.Room(t)
	save(t, store, f, 0, chem.Calcium, map[int]float64{1: 421})
	path := store.Path()
	if _, err := takeBackup(t, store, filepath.Join(filepath.Dir(path), "backups")); err != nil {
		t.Fatal(err)
	}
	if err := store.Close(); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte("overwritten by something else"), 0o644); err != nil {
		t.Fatal(err)
	}
	alone := filepath.Join(t.TempDir(), "alone.ledger")
	k := newKeeper(t, storagetest.Clock)
	k.w.openFile(path)
	k.settle()
	notice := apptest.Find(t, k.c.Content(), func(*widgets.Notice) bool { return true })
	if title, text := notice.Said(); title != "The ledger could not be opened" || !strings.Contains(text, "There is a good backup of") {
		t.Fatalf("the welcome page says %q, %q", title, text)
	}
	k.picture("damaged")
	k.press("Restore it")
	if k.w.Session() == nil {
		t.Fatal("it is not open")
	}
	all, err := k.w.Session().Store.Series(t.Context(), f.Systems[0].ID, chem.Calcium, time.Time{}, f.Now)
	if err != nil || len(all) != 1 || all[0].Value != 421 {
		t.Errorf("restored are %+v, %v", all, err)
	}
	kept, err := filepath.Glob(filepath.Join(path+"-before-restore-*", "room*"))
	if err != nil || len(kept) == 0 {
		t.Errorf("kept are %v, %v", kept, err)
	}
	// Without any backup it only says what is wrong.
	if err := os.WriteFile(alone, []byte("nothing"), 0o644); err != nil {
		t.Fatal(err)
	}
	k.w.ShowWelcome(session.Notice{})
	k.settle()
	k.w.openFile(alone)
	k.settle()
	notice = apptest.Find(t, k.c.Content(), func(*widgets.Notice) bool { return true })
	if _, text := notice.Said(); !strings.Contains(text, "it is no ledger") || strings.Contains(text, "backup of") {
		t.Errorf("without a backup it says %q", text)
	}
}

// Of a ledger that is gone nothing is kept, and nothing is said to be.
func TestMissingLedgerIsRestored(t *testing.T) {
	store, _ := storagetest.Room(t)
	path := store.Path()
	if _, err := takeBackup(t, store, filepath.Join(filepath.Dir(path), "backups")); err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(store.Close(), os.Remove(path)); err != nil {
		t.Fatal(err)
	}
	k := newKeeper(t, storagetest.Clock)
	k.w.openFile(path)
	k.settle()
	k.press("Restore it")
	if said := k.noticed(); k.w.Session() == nil || !strings.Contains(said, "There was no ledger in its place.") ||
		strings.Contains(said, "kept in") {
		t.Errorf("it says %q, and is open: %v", said, k.w.Session() != nil)
	}
}

// A photo that cannot be copied does not keep the ledger from being restored, and
// is said.
func TestRestoreWithoutItsPhotos(t *testing.T) {
	store, f := storagetest.Room(t)
	path := store.Path()
	photo := tanks.Photo{System: f.Systems[0].ID, At: f.Now}
	if err := store.AddPhoto(t.Context(), &photo, strings.NewReader("GIF89a")); err != nil {
		t.Fatal(err)
	}
	if _, err := takeBackup(t, store, filepath.Join(filepath.Dir(path), "backups")); err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(store.Close(), os.WriteFile(path, []byte("overwritten"), 0o644), os.RemoveAll(path+"-photos"),
		os.WriteFile(path+"-photos", nil, 0o644)); err != nil {
		t.Fatal(err)
	}
	k := newKeeper(t, storagetest.Clock)
	k.w.openFile(path)
	k.settle()
	k.press("Restore it")
	if said := k.noticed(); k.w.Session() == nil || !strings.Contains(said, "Not all of its photos could be copied") {
		t.Errorf("it says %q, and is open: %v", said, k.w.Session() != nil)
	}
}

func TestDemoIsNotBackedUp(t *testing.T) {
	k := newKeeper(t, storagetest.Clock)
	k.w.openDemo("")
	k.settle()
	if n := len(k.backups()); n != 0 || k.w.frame.backup.Text() != "" {
		t.Errorf("%d backups of invented data, and %q", n, k.w.frame.backup.Text())
	}
}
