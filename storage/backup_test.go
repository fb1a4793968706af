package storage_test

import (
	"context"
	"encoding/binary"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/ledgerfile"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// filled is a ledger with n readings of calcium.
func filled(t *testing.T, n int) (*storage.Store, storagetest.Fixture) {
	t.Helper()
	store, f := storagetest.Room(t)
	add(t, store, f, n)
	return store, f
}

func add(t *testing.T, store *storage.Store, f storagetest.Fixture, n int) {
	t.Helper()
	var all []tanks.Reading
	for i := range n {
		all = append(all, tanks.Reading{System: f.Systems[0].ID, Analyte: chem.Calcium, At: f.Now.Add(-time.Duration(i) * time.Hour), Value: 400 + float64(i)})
	}
	if _, err := store.SaveReadings(t.Context(), all); err != nil {
		t.Fatal(err)
	}
}

func TestBackupOfALedgerInUse(t *testing.T) {
	store, f := filled(t, 50)
	folder := filepath.Join(t.TempDir(), "back ups", "of #1")
	var steps []string
	b, err := store.Backup(t.Context(), folder, func(step string) { steps = append(steps, step) })
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(steps, []string{"copying the ledger", "verifying the copy", "copying the photos", "putting it in place"}) || b.Rows["readings"] != 50 || b.Rows["systems"] != len(f.Systems) || b.Version < 1 {
		t.Errorf("steps %q, %+v", steps, b)
	}
	if err := b.Verify(t.Context()); err != nil {
		t.Error(err)
	}
	add(t, store, f, 3) // the ledger goes on
	all, err := storage.Backups(folder, store.Path())
	if err != nil || len(all) != 1 || all[0].SHA256 != b.SHA256 || all[0].Path != b.Path || !all[0].Taken.Equal(f.Now.Truncate(time.Second)) {
		t.Errorf("the folder holds %+v, %v", all, err)
	}
	if others, err := storage.Backups(folder, "other-room.ledger"); err != nil || len(others) != 0 {
		t.Errorf("another ledger has %+v, %v", others, err)
	}
	entries, _ := os.ReadDir(folder)
	if len(entries) != 3 {
		t.Errorf("the folder holds %v", entries)
	}
	if tool, err := exec.LookPath("sha256sum"); err == nil {
		check := exec.Command(tool, "-c", strings.TrimSuffix(filepath.Base(b.Path), ".backup")+".backup.sha256")
		check.Dir = folder
		if out, err := check.CombinedOutput(); err != nil {
			t.Errorf("sha256sum -c: %s, %v", out, err)
		}
	}
	g, err := storage.Look(t.Context(), b.Path)
	if err != nil || g.Readings != 50 || g.Room == "" || !g.Last.Equal(f.Now.Truncate(time.Millisecond)) || !g.First.Equal(f.Now.Add(-49*time.Hour).Truncate(time.Millisecond)) {
		t.Errorf("a look at it shows %+v, %v", g, err)
	}
	if _, err := store.Backup(t.Context(), folder, nil); err == nil || !strings.Contains(err.Error(), "of this second already") {
		t.Errorf("a second backup in the same second gave %v", err)
	}
}

func TestUnfinishedBackupIsNobodys(t *testing.T) {
	store, f := filled(t, 5)
	folder := t.TempDir()
	name := strings.TrimSuffix(filepath.Base(store.Path()), filepath.Ext(store.Path())) + "-" + f.Now.UTC().Format("20060102-150405") + ".backup"
	if err := os.WriteFile(filepath.Join(folder, name+".partial"), []byte("half"), 0o644); err != nil {
		t.Fatal(err)
	}
	if all, err := storage.Backups(folder, store.Path()); err != nil || len(all) != 0 {
		t.Errorf("an unfinished file counts: %v, %v", all, err)
	}
	if _, err := store.Backup(t.Context(), folder, nil); err != nil {
		t.Error(err)
	}
	if all, err := storage.Backups(filepath.Join(folder, "none"), store.Path()); err != nil || all != nil {
		t.Errorf("no folder holds %v, %v", all, err)
	}
}

func TestBackupThatCannotBe(t *testing.T) {
	store, _ := filled(t, 5)
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := store.Backup(t.Context(), file, nil); err == nil || !strings.Contains(err.Error(), "backup folder") {
		t.Errorf("a file for a folder gave %v", err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	folder := t.TempDir()
	if _, err := store.Backup(ctx, folder, nil); !errors.Is(err, context.Canceled) {
		t.Errorf("a cancelled backup gave %v", err)
	}
	if entries, _ := os.ReadDir(folder); len(entries) != 0 {
		t.Errorf("it left %v", entries)
	}
}

func TestRestore(t *testing.T) {
	store, f := filled(t, 10)
	folder := t.TempDir()
	b, err := store.Backup(t.Context(), folder, nil)
	if err != nil {
		t.Fatal(err)
	}
	add(t, store, f, 7)
	path := store.Path()
	if err := store.Close(); err != nil {
		t.Fatal(err)
	}
	// A log that a crash left behind must not meet the restored file.
	if err := os.WriteFile(path+"-wal", []byte("a log of the former file"), 0o644); err != nil {
		t.Fatal(err)
	}
	kept, err := storage.Restore(t.Context(), b, path, f.Now)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(filepath.Join(kept, filepath.Base(path)+"-wal")); err != nil {
		t.Errorf("the former log is not kept: %v", err)
	}
	count := func(path string) int {
		t.Helper()
		s, err := storage.Open(t.Context(), path, storagetest.Clock)
		if err != nil {
			t.Fatal(err)
		}
		defer s.Close()
		all, err := s.Series(t.Context(), f.Systems[0].ID, chem.Calcium, time.Time{}, f.Now.Add(time.Hour))
		if err != nil {
			t.Fatal(err)
		}
		return len(all)
	}
	if n := count(path); n != 10 {
		t.Errorf("%d readings are restored, want 10", n)
	}
	os.Remove(filepath.Join(kept, filepath.Base(path)+"-wal"))
	if n := count(filepath.Join(kept, filepath.Base(path))); n != 17 {
		t.Errorf("%d readings are in the former file, want 17", n)
	}
	elsewhere := filepath.Join(t.TempDir(), "new.ledger")
	if kept, err := storage.Restore(t.Context(), b, elsewhere, f.Now); err != nil || kept != "" || count(elsewhere) != 10 {
		t.Errorf("beside nothing: %q, %v", kept, err)
	}
}

// Every damage to a backup is found, and a restore leaves the ledger alone.
func TestDamagedBackup(t *testing.T) {
	store, f := filled(t, 200)
	b, err := store.Backup(t.Context(), t.TempDir(), nil)
	if err != nil {
		t.Fatal(err)
	}
	path := store.Path()
	if err := store.Close(); err != nil {
		t.Fatal(err)
	}
	before, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	good, err := os.ReadFile(b.Path)
	if err != nil {
		t.Fatal(err)
	}
	for name, bad := range map[string][]byte{
		"a flipped bit": flip(good, len(good)/2), "cut short": good[:len(good)/2], "empty": nil,
		"zeroed": make([]byte, len(good)), "no database": []byte(strings.Repeat("no database ", 5000)),
	} {
		if err := os.WriteFile(b.Path, bad, 0o644); err != nil {
			t.Fatal(err)
		}
		if err := b.Verify(t.Context()); err == nil {
			t.Errorf("%s is taken for good", name)
		}
		if kept, err := storage.Restore(t.Context(), b, path, f.Now); err == nil || kept != "" {
			t.Errorf("%s is restored: %q, %v", name, kept, err)
		}
		if now, err := os.ReadFile(path); err != nil || !slices.Equal(now, before) {
			t.Errorf("after %s the ledger has changed: %v", name, err)
		}
	}
}

func flip(data []byte, at int) []byte {
	out := slices.Clone(data)
	out[at] ^= 1
	return out
}

func TestCheck(t *testing.T) {
	store, _ := filled(t, 300)
	path := store.Path()
	// While it is open, and after it is closed.
	if r, err := storage.Check(t.Context(), path); err != nil || !r.Sound() || r.Rows["readings"] != 300 {
		t.Errorf("%+v, %v", r, err)
	}
	if err := store.Close(); err != nil {
		t.Fatal(err)
	}
	if r, err := storage.Check(t.Context(), path); err != nil || !r.Sound() {
		t.Errorf("%+v, %v", r, err)
	}
	execute(t, path, "UPDATE latest SET reading_id = (SELECT min(id) FROM readings WHERE id <> reading_id)",
		"PRAGMA foreign_keys = OFF", "INSERT INTO latest (system_id, analyte_id, reading_id) VALUES (1, 6, 99999)")
	r, err := storage.Check(t.Context(), path)
	said := strings.Join(r.Faults, "; ")
	if err != nil || r.Sound() || !strings.Contains(said, "refers to no readings") || !strings.Contains(said, "not the newest") {
		t.Errorf("%q, %v", said, err)
	}
	// A page of zeros in the middle.
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	page := int(binary.BigEndian.Uint16(data[16:]))
	for at := len(data) / page / 2; at < len(data)/page/2+3; at++ {
		clear(data[at*page : (at+1)*page])
	}
	if err := os.WriteFile(path, data, 0o644); err != nil {
		t.Fatal(err)
	}
	r, err = storage.Check(t.Context(), path)
	var open *ledgerfile.OpenError
	if err == nil && r.Sound() || err != nil && !errors.As(err, &open) {
		t.Errorf("zeroed pages gave %+v, %v", r, err)
	}
	if after, _ := os.ReadFile(path); !slices.Equal(after, data) {
		t.Error("the check wrote to the damaged file")
	}
	if _, err := storage.Check(t.Context(), filepath.Join(t.TempDir(), "none")); !errors.As(err, &open) {
		t.Errorf("no file gave %v", err)
	}
}

// A backup a day for 400 days and three more today: ten newest, a fortnight of
// days, eight weeks, every month.
func TestSurplus(t *testing.T) {
	today := time.Date(2026, 11, 25, 18, 0, 0, 0, time.UTC)
	var all []storage.Backup
	for i := range 3 {
		all = append(all, storage.Backup{Taken: today.Add(-time.Duration(i) * time.Hour)})
	}
	for d := 1; d <= 400; d++ {
		all = append(all, storage.Backup{Taken: today.AddDate(0, 0, -d)})
	}
	surplus := storage.UsualKeep.Surplus(all, today)
	kept := slices.DeleteFunc(slices.Clone(all), func(b storage.Backup) bool {
		return slices.ContainsFunc(surplus, func(s storage.Backup) bool { return s.Taken.Equal(b.Taken) })
	})
	// 3 of today and 13 days before it; then the weeks that end on Sunday 8, 1 November and
	// before, six of them beyond the days; then the last days of 12 months.
	var days []string
	for _, b := range kept {
		days = append(days, b.Taken.Format("2006-01-02"))
	}
	want := []string{"2026-11-25", "2026-11-25", "2026-11-25"}
	for d := 1; d <= 13; d++ {
		want = append(want, today.AddDate(0, 0, -d).Format("2006-01-02"))
	}
	want = append(want, "2026-11-08", "2026-11-01", "2026-10-31", "2026-10-25", "2026-10-18", "2026-10-11",
		"2026-09-30", "2026-08-31", "2026-07-31", "2026-06-30", "2026-05-31", "2026-04-30", "2026-03-31", "2026-02-28", "2026-01-31", "2025-12-31", "2025-11-30", "2025-10-31")
	if !slices.Equal(days, want) {
		t.Errorf("kept\n%v, want\n%v", days, want)
	}
}

// The newest are always kept, and thinning what was thinned takes nothing more.
func TestSurplusLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		now := time.Date(2026, 11, 25, 18, 0, 0, 0, time.UTC)
		at := now
		var all []storage.Backup
		for range rapid.IntRange(0, 120).Draw(t, "n") {
			at = at.Add(-time.Duration(rapid.IntRange(1, 24*40).Draw(t, "hours")) * time.Hour)
			all = append(all, storage.Backup{Taken: at})
		}
		keep := storage.Keep{Newest: rapid.IntRange(1, 12).Draw(t, "newest"), Days: rapid.IntRange(0, 20).Draw(t, "days"), Weeks: rapid.IntRange(0, 10).Draw(t, "weeks")}
		surplus := keep.Surplus(all, now)
		gone := func(b storage.Backup) bool {
			return slices.ContainsFunc(surplus, func(s storage.Backup) bool { return s.Taken.Equal(b.Taken) })
		}
		for i, b := range all {
			if i < keep.Newest && gone(b) {
				t.Fatalf("the newest but %d goes", i)
			}
		}
		rest := slices.DeleteFunc(slices.Clone(all), gone)
		if again := keep.Surplus(rest, now); len(again) != 0 {
			t.Fatalf("thinned again %d go", len(again))
		}
	})
}

// Backups of before the clock was set back stay, and take no place from others.
func TestSurplusWhenTheClockIsSetBack(t *testing.T) {
	now := time.Date(2026, 11, 25, 18, 0, 0, 0, time.UTC)
	var all []storage.Backup
	for d := 20; d > 0; d-- {
		all = append(all, storage.Backup{Taken: now.AddDate(1, 0, d)})
	}
	for h := range 12 {
		all = append(all, storage.Backup{Taken: now.Add(-time.Duration(h) * time.Hour)})
	}
	surplus := storage.UsualKeep.Surplus(all, now)
	if len(surplus) != 2 || surplus[0].Taken.After(now) || !surplus[1].Taken.Equal(all[31].Taken) {
		t.Errorf("surplus are %+v", surplus)
	}
}

func TestRemoveABackup(t *testing.T) {
	store, _ := filled(t, 3)
	folder := t.TempDir()
	b, err := store.Backup(t.Context(), folder, nil)
	if err != nil {
		t.Fatal(err)
	}
	if err := b.Remove(); err != nil {
		t.Error(err)
	}
	if entries, _ := os.ReadDir(folder); len(entries) != 0 {
		t.Errorf("left are %v", entries)
	}
}
