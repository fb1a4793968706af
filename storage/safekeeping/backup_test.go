package safekeeping_test

import (
	"context"
	"encoding/json"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/safekeeping"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

func TestBackupOfALedgerInUse(t *testing.T) {
	store, f := filled(t, 50)
	folder := filepath.Join(t.TempDir(), "back ups", "of #1")
	must(t, os.MkdirAll(folder, 0o755))
	var steps []string
	b, err := safekeeping.TakeBackup(t.Context(), store, folder, storagetest.Now, func(step string) { steps = append(steps, step) })
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(steps, []string{"copying the ledger", "verifying the copy", "copying the photos", "putting it in place"}) ||
		b.Rows["readings"] != 50 ||
		b.Rows["systems"] != len(f.Systems) ||
		b.Version < 1 {
		t.Errorf("steps %q, %+v", steps, b)
	}
	if err := b.Verify(t.Context()); err != nil {
		t.Error(err)
	}
	add(t, store, f, 3) // the ledger goes on
	all, err := safekeeping.Backups(folder, store.Path())
	if err != nil || len(all) != 1 || all[0].SHA256 != b.SHA256 || all[0].Path != b.Path ||
		!all[0].Taken.Equal(f.Now.Truncate(time.Second)) {
		t.Errorf("the folder holds %+v, %v", all, err)
	}
	if others, err := safekeeping.Backups(folder, "other-room.ledger"); err != nil || len(others) != 0 {
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
	g, err := safekeeping.Look(t.Context(), b.Path)
	if err != nil || g.Readings != 50 || g.Room == "" || !g.Last.Equal(f.Now.Truncate(time.Millisecond)) ||
		!g.First.Equal(f.Now.Add(-49*time.Hour).Truncate(time.Millisecond)) {
		t.Errorf("a look at it shows %+v, %v", g, err)
	}
}

// Backups of one second have names of their own, and each is found, proved and
// thinned out.
func TestBackupsOfOneSecond(t *testing.T) {
	store, f := filled(t, 3)
	folder := t.TempDir()
	const together = 4
	ended := make(chan error)
	for range together {
		go func() {
			_, err := safekeeping.TakeBackup(t.Context(), store, folder, f.Now, nil)
			ended <- err
		}()
	}
	for range together {
		must(t, <-ended)
	}
	all := value[[]safekeeping.Backup](t)(safekeeping.Backups(folder, store.Path()))
	names := map[string]bool{}
	for _, b := range all {
		names[filepath.Base(b.Path)] = true
		must(t, b.Verify(t.Context()))
	}
	if len(names) != together || !names["room-20260310-080200.backup"] || !names["room-20260310-080200-4.backup"] {
		t.Errorf("there are %v", names)
	}
}

// A file that has a backup's name already, without a description, stays as it is.
func TestBackupBesideAFileOfItsName(t *testing.T) {
	store, f := filled(t, 3)
	folder := t.TempDir()
	for _, end := range []string{".backup", "-2.backup.sha256"} {
		must(t, os.WriteFile(filepath.Join(folder, "room-20260310-080200"+end), []byte("another's"), 0o600))
	}
	b := value[safekeeping.Backup](t)(safekeeping.TakeBackup(t.Context(), store, folder, f.Now, nil))
	if filepath.Base(b.Path) != "room-20260310-080200-3.backup" {
		t.Errorf("it is called %s", filepath.Base(b.Path))
	}
	for _, end := range []string{".backup", "-2.backup.sha256"} {
		if got := read(t, filepath.Join(folder, "room-20260310-080200"+end)); string(got) != "another's" {
			t.Errorf("%s holds %q", end, got)
		}
	}
}

// Of several backups of one second the last one is the newest: the one that is
// offered first, and that a ledger which was cut off is compared with.
func TestOrderOfBackupsOfOneSecond(t *testing.T) {
	store, f := filled(t, 3)
	folder := t.TempDir()
	var want []int
	for range 12 {
		b := value[safekeeping.Backup](t)(safekeeping.TakeBackup(t.Context(), store, folder, f.Now, nil))
		want = slices.Insert(want, 0, b.Rows["readings"])
		add(t, store, f, 1)
	}
	var got []int
	for _, b := range value[[]safekeeping.Backup](t)(safekeeping.Backups(folder, store.Path())) {
		got = append(got, b.Rows["readings"])
	}
	same(t, got, want)
}

func TestUnfinishedBackupIsNobodys(t *testing.T) {
	store, f := filled(t, 5)
	folder := t.TempDir()
	name := strings.TrimSuffix(
		filepath.Base(store.Path()),
		filepath.Ext(store.Path()),
	) + "-" + f.Now.UTC().Format(
		"20060102-150405",
	) + ".backup"
	if err := os.WriteFile(filepath.Join(folder, name+".partial"), []byte("half"), 0o644); err != nil {
		t.Fatal(err)
	}
	if all, err := safekeeping.Backups(folder, store.Path()); err != nil || len(all) != 0 {
		t.Errorf("an unfinished file counts: %v, %v", all, err)
	}
	if _, err := safekeeping.TakeBackup(t.Context(), store, folder, storagetest.Now, nil); err != nil {
		t.Error(err)
	}
	if all, err := safekeeping.Backups(filepath.Join(folder, "none"), store.Path()); err != nil || all != nil {
		t.Errorf("no folder holds %v, %v", all, err)
	}
}

func TestBackupThatCannotBe(t *testing.T) {
	store, _ := filled(t, 5)
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	gone := filepath.Join(t.TempDir(), "drive", "that is not plugged in")
	for _, folder := range []string{file, gone} {
		if _, err := safekeeping.TakeBackup(t.Context(), store, folder, storagetest.Now, nil); err == nil ||
			!strings.Contains(err.Error(), "backup folder") {
			t.Errorf("%s for a folder gave %v", folder, err)
		}
	}
	if _, err := os.Lstat(filepath.Dir(gone)); err == nil {
		t.Error("the folder of a drive is made without the drive")
	}
	// What is written beside a backup goes with it.
	folder := t.TempDir()
	must(t, os.Mkdir(store.Path()+"-photos", 0o755))
	must(t, os.WriteFile(filepath.Join(store.Path()+"-photos", "a.png"), nil, 0o644))
	must(t, os.WriteFile(filepath.Join(folder, "room-photos"), nil, 0o644)) // in the way
	if _, err := safekeeping.TakeBackup(t.Context(), store, folder, storagetest.Now, nil); err == nil {
		t.Error("it has no photos beside it")
	}
	if entries, _ := os.ReadDir(folder); len(entries) != 1 {
		t.Errorf("it left %v", entries)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	folder = t.TempDir()
	if _, err := safekeeping.TakeBackup(ctx, store, folder, storagetest.Now, nil); !errors.Is(err, context.Canceled) {
		t.Errorf("a cancelled backup gave %v", err)
	}
	if entries, _ := os.ReadDir(folder); len(entries) != 0 {
		t.Errorf("it left %v", entries)
	}
}

func TestRestore(t *testing.T) {
	store, f := filled(t, 10)
	folder := t.TempDir()
	b, err := safekeeping.TakeBackup(t.Context(), store, folder, storagetest.Now, nil)
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
	kept, err := safekeeping.Restore(t.Context(), b, path, f.Now)
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
	if kept, err := safekeeping.Restore(t.Context(), b, elsewhere, f.Now); err != nil || kept != "" || count(elsewhere) != 10 {
		t.Errorf("beside nothing: %q, %v", kept, err)
	}
}

// Every damage to a backup is found, and a restore leaves the ledger alone.
func TestDamagedBackup(t *testing.T) {
	store, f := filled(t, 200)
	b, err := safekeeping.TakeBackup(t.Context(), store, t.TempDir(), storagetest.Now, nil)
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
		if kept, err := safekeeping.Restore(t.Context(), b, path, f.Now); err == nil || kept != "" {
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

func TestRemoveABackup(t *testing.T) {
	store, _ := filled(t, 3)
	folder := t.TempDir()
	b, err := safekeeping.TakeBackup(t.Context(), store, folder, storagetest.Now, nil)
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

// Two ledgers of one name may have one backup folder: neither is shown, or thinned out
// with, the backups of the other.
func TestBackupsOfTwoLedgersOfOneName(t *testing.T) {
	folder := t.TempDir()
	mine, f := filled(t, 3)
	theirs, err := storage.Create(
		t.Context(), filepath.Join(t.TempDir(), filepath.Base(mine.Path())), tanks.Room{Name: "Other room", Zone: "UTC"}, storagetest.Clock,
	)
	must(t, err)
	defer theirs.Close()
	of := map[*storage.Store][]string{}
	for i := range 3 {
		for _, s := range []*storage.Store{mine, theirs} {
			b := value[safekeeping.Backup](t)(safekeeping.TakeBackup(t.Context(), s, folder, f.Now.Add(time.Duration(i)*time.Hour), nil))
			of[s] = append([]string{b.Path}, of[s]...)
		}
	}
	// One of each is from before a backup said whose it is.
	for _, s := range []*storage.Store{mine, theirs} {
		about := of[s][1] + ".json"
		var all map[string]any
		must(t, json.Unmarshal(read(t, about), &all))
		delete(all, "ledger")
		delete(all, "origin")
		must(t, os.WriteFile(about, value[[]byte](t)(json.Marshal(all)), 0o600))
	}
	found := func(s *storage.Store) (paths []string) {
		t.Helper()
		for _, b := range value[[]safekeeping.Backup](t)(safekeeping.Backups(folder, s.Path())) {
			paths = append(paths, b.Path)
		}
		return paths
	}
	for _, s := range []*storage.Store{mine, theirs} {
		same(t, found(s), of[s])
	}
	// Under another name, and in another place, a ledger has its own.
	must(t, theirs.Close())
	moved := filepath.Join(t.TempDir(), filepath.Base(theirs.Path()))
	must(t, os.Rename(theirs.Path(), moved))
	if all := value[[]safekeeping.Backup](t)(safekeeping.Backups(folder, moved)); len(all) != 3 || all[0].Path != of[theirs][0] {
		t.Errorf("of the moved one there are %v", all)
	}
	// One that is gone or damaged has those that were made of it at its place.
	must(t, mine.Close())
	must(t, os.Truncate(mine.Path(), 200))
	same(t, found(mine), of[mine])
}

// A backup is good to the byte: one that stands for nothing counts too.
func TestUnusedByteOfABackup(t *testing.T) {
	s, _ := filled(t, 3)
	b := value[safekeeping.Backup](t)(safekeeping.TakeBackup(t.Context(), s, t.TempDir(), storagetest.Now, nil))
	must(t, b.Verify(t.Context()))
	data := read(t, b.Path)
	data[80] ^= 1 // of the header, reserved
	must(t, os.Chmod(b.Path, 0o600))
	must(t, os.WriteFile(b.Path, data, 0o600))
	if err := b.Verify(t.Context()); err == nil || !strings.Contains(err.Error(), "has changed since it was made") {
		t.Errorf("it says %v", err)
	}
}
