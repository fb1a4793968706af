package safekeeping_test

import (
	"bytes"
	"errors"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"weirkeeper/storage"
	"weirkeeper/storage/durable"
	"weirkeeper/storage/ledgerfile"
	"weirkeeper/storage/safekeeping"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// crashed leaves beside a ledger the files of a program that ended without closing
// it: what was saved last is in the log alone.
func crashed(t *testing.T, readings int) (path string, b safekeeping.Backup, photo string) {
	t.Helper()
	s, f := filled(t, 10)
	var picture bytes.Buffer
	must(t, png.Encode(&picture, image.NewGray(image.Rect(0, 0, 5, 1))))
	p := tanks.Photo{System: f.Systems[0].ID, At: f.Now}
	must(t, s.AddPhoto(t.Context(), &p, &picture))
	b = value[safekeeping.Backup](t)(safekeeping.TakeBackup(t.Context(), s, t.TempDir(), f.Now, nil))
	add(t, s, f, readings-10)
	path = filepath.Join(t.TempDir(), "room.ledger")
	for _, end := range []string{"", "-wal"} {
		must(t, os.WriteFile(path+end, read(t, s.Path()+end), 0o600))
	}
	return path, b, p.File
}

// held opens a ledger as the next start would, and returns how many readings it
// holds; it must be sound.
func held(t *testing.T, path string) int {
	t.Helper()
	s, err := storage.Open(t.Context(), path, storagetest.Clock)
	if err != nil {
		t.Errorf("%s does not open: %v", path, err)
		return -1
	}
	must(t, s.Close())
	r := value[ledgerfile.Report](t)(safekeeping.Check(t.Context(), path))
	for _, fault := range r.Faults {
		if !strings.Contains(fault, "photo") {
			t.Errorf("%s: %s", path, fault)
		}
	}
	return r.Rows["readings"]
}

// lookedAt returns how many readings a check and who only looks find in a ledger, -1
// when both are told that a restore was cut off.
func lookedAt(t *testing.T, path string) int {
	t.Helper()
	r, checked := safekeeping.Check(t.Context(), path)
	s, err := storage.OpenToLook(t.Context(), path, storagetest.Clock)
	if err != nil {
		if checked == nil || !strings.Contains(checked.Error(), "cut off") || !strings.Contains(err.Error(), "cut off") {
			t.Errorf("%s: a check says %v, a look %v", path, checked, err)
		}
		return -1
	}
	defer s.Close()
	must(t, checked)
	n := len(value[[]tanks.Reading](t)(s.ReadingsOf(t.Context(), 1, time.Time{}, time.Time{})))
	if r.Rows["readings"] != n {
		t.Errorf("%s: a check counts %d readings, a look %d", path, r.Rows["readings"], n)
	}
	return n
}

// A restore that is cut off at any instant leaves the former ledger, with what was
// in its log, or the restored one, whole; the former one is kept in either case.
func TestRestoreCutAnywhere(t *testing.T) {
	path, b, _ := crashed(t, 17)
	cuts, former, restored := t.TempDir(), 0, 0
	var all []string
	durable.Watch = func(op durable.Op) {
		cut := filepath.Join(cuts, string(rune('a'+len(all)/26))+string(rune('a'+len(all)%26)))
		must(t, os.CopyFS(cut, os.DirFS(filepath.Dir(path))))
		all = append(all, cut)
	}
	kept, err := safekeeping.Restore(t.Context(), b, path, storagetest.Now)
	durable.Watch = nil
	must(t, err)
	if len(all) < 15 {
		t.Fatalf("only %d operations are seen", len(all))
	}
	seen := 0
	for _, cut := range all {
		ledger := filepath.Join(cut, filepath.Base(path))
		looked := lookedAt(t, ledger)
		n := held(t, ledger)
		if looked != -1 && looked != n {
			t.Errorf("%s: who looks sees %d readings, who opens it %d", cut, looked, n)
		}
		switch n {
		case 17:
			former++
			if restored > 0 {
				t.Errorf("%s holds the former ledger after the restored one", cut)
			}
		case 10:
			restored++
			seen += held(t, filepath.Join(cut, filepath.Base(kept), filepath.Base(path)))
		default:
			t.Errorf("%s holds %d readings", cut, n)
		}
		for _, e := range value[[]os.DirEntry](t)(os.ReadDir(cut)) {
			if strings.Contains(e.Name(), ".restore-") {
				t.Errorf("the next start leaves %s", e.Name())
			}
		}
	}
	if former < 3 || restored < 3 || seen != 17*restored {
		t.Errorf("%d cuts leave the former ledger, %d the restored one; the kept ones hold %d readings", former, restored, seen)
	}
	if n := held(t, path); n != 10 {
		t.Errorf("restored, it holds %d readings", n)
	}
}

// When the new file is spoilt before it gets its name, the former ledger comes back.
func TestRestoreRollsBack(t *testing.T) {
	path, b, _ := crashed(t, 17)
	var cut string
	durable.Watch = func(op durable.Op) {
		if op.Kind == durable.Removed && strings.HasSuffix(op.Path, "-wal") {
			cut = t.TempDir()
			must(t, os.CopyFS(cut, os.DirFS(filepath.Dir(path))))
		}
	}
	_, err := safekeeping.Restore(t.Context(), b, path, storagetest.Now)
	durable.Watch = nil
	must(t, err)
	ledger := filepath.Join(cut, filepath.Base(path))
	must(t, os.WriteFile(ledger+".restore-new", []byte("spoilt"), 0o600))
	if _, err := safekeeping.Check(t.Context(), ledger); err == nil || !strings.Contains(err.Error(), "cut off") {
		t.Errorf("a check of it says %v", err)
	}
	if _, err := storage.OpenToLook(t.Context(), ledger, storagetest.Clock); err == nil {
		t.Error("half a restore is looked at")
	}
	if n := held(t, ledger); n != 17 {
		t.Errorf("%d readings came back", n)
	}
}

// A log that was left without its ledger never meets another one: a restore keeps
// it, and whoever makes a new ledger there is told.
func TestLogLeftAlone(t *testing.T) {
	path, b, _ := crashed(t, 17)
	must(t, os.Remove(path))
	log := read(t, path+"-wal")
	export := filepath.Join(t.TempDir(), "export")
	s, _ := filled(t, 3)
	must(t, safekeeping.ExportAll(t.Context(), s, export, storagetest.Now, nil))
	damaged := s.Path()
	must(t, s.Close())
	for name, make := range map[string]func() error{
		"a new ledger": func() error {
			_, err := storage.Create(t.Context(), path, tanks.Room{Name: "New", Zone: "UTC"}, storagetest.Clock)
			return err
		},
		"an import": func() error { return safekeeping.ImportAll(t.Context(), export, path, nil) },
		"a salvage": func() error {
			_, err := safekeeping.Salvage(t.Context(), damaged, path, storagetest.Now, nil)
			return err
		},
	} {
		var refused *ledgerfile.OpenError
		if err := make(); !errors.As(err, &refused) || !strings.Contains(err.Error(), "the log of a ledger that is gone") {
			t.Errorf("%s: %v", name, err)
		}
		if !bytes.Equal(read(t, path+"-wal"), log) {
			t.Errorf("%s changed the log", name)
		}
	}
	kept := value[string](t)(safekeeping.Restore(t.Context(), b, path, storagetest.Now))
	if !bytes.Equal(read(t, filepath.Join(kept, filepath.Base(path)+"-wal")), log) {
		t.Error("the log is not kept")
	}
	if n := held(t, path); n != 10 {
		t.Errorf("%d readings are restored", n)
	}
}

// A restore through a link restores what it leads to, and the link stays.
func TestRestoreThroughALink(t *testing.T) {
	path, b, _ := crashed(t, 17)
	link := filepath.Join(t.TempDir(), "current.ledger")
	must(t, os.Symlink(path, link))
	kept := value[string](t)(safekeeping.Restore(t.Context(), b, link, storagetest.Now))
	if to, err := os.Readlink(link); err != nil || to != path || filepath.Dir(kept) != filepath.Dir(path) {
		t.Errorf("the link leads to %q, %v; kept in %s", to, err, kept)
	}
	if n := held(t, path); n != 10 {
		t.Errorf("what the link leads to holds %d readings", n)
	}
}

// The files that a ledger of the keeper's alone leads to are the keeper's alone, and
// what is read by others stays so.
func TestModesAreKept(t *testing.T) {
	for _, mode := range []os.FileMode{0o600, 0o640} {
		s, f := filled(t, 3)
		must(t, os.Chmod(s.Path(), mode))
		folder, export := t.TempDir(), filepath.Join(t.TempDir(), "export")
		b := value[safekeeping.Backup](t)(safekeeping.TakeBackup(t.Context(), s, folder, f.Now, nil))
		must(t, safekeeping.ExportAll(t.Context(), s, export, f.Now, nil))
		path := s.Path()
		must(t, s.Close())
		elsewhere := filepath.Join(t.TempDir(), "new")
		value[string](t)(safekeeping.Restore(t.Context(), b, path, f.Now))
		value[string](t)(safekeeping.Restore(t.Context(), b, elsewhere, f.Now))
		for _, file := range []string{b.Path, path, elsewhere, filepath.Join(export, "readings.csv")} {
			if info, err := os.Stat(file); err != nil || info.Mode().Perm() != mode {
				t.Errorf("of a ledger of %o, %s has %v, %v", mode, filepath.Base(file), info.Mode(), err)
			}
		}
	}
}

// A backup without its description is restored when a check finds it whole.
func TestUndescribedBackup(t *testing.T) {
	_, b, _ := crashed(t, 17)
	must(t, os.Remove(strings.TrimSuffix(b.Path, ".backup")+".backup.json"))
	alone := value[safekeeping.Backup](t)(safekeeping.Undescribed(t.Context(), b.Path))
	if alone.SHA256 != b.SHA256 || alone.Rows["readings"] != 10 {
		t.Errorf("it holds %+v", alone)
	}
	to := filepath.Join(t.TempDir(), "room")
	value[string](t)(safekeeping.Restore(t.Context(), alone, to, storagetest.Now))
	if n := held(t, to); n != 10 {
		t.Errorf("%d readings are restored", n)
	}
	execute(t, b.Path, "UPDATE readings SET value = 1 WHERE id = 1")
	if _, err := safekeeping.Undescribed(t.Context(), b.Path); err == nil {
		t.Error("a changed value is taken for good")
	}
}

// A ledger of a long name can be backed up, found again and restored.
func TestLongName(t *testing.T) {
	name := strings.Repeat("x", 240) + ".ledger"
	s, err := storage.Create(t.Context(), filepath.Join(t.TempDir(), name), tanks.Room{Name: "Long", Zone: "UTC"}, storagetest.Clock)
	must(t, err)
	folder := t.TempDir()
	for range 2 {
		value[safekeeping.Backup](t)(safekeeping.TakeBackup(t.Context(), s, folder, storagetest.Now, nil))
	}
	must(t, s.Close())
	all := value[[]safekeeping.Backup](t)(safekeeping.Backups(folder, s.Path()))
	if len(all) != 2 {
		t.Fatalf("found are %d", len(all))
	}
	kept := value[string](t)(safekeeping.Restore(t.Context(), all[0], s.Path(), storagetest.Now))
	for _, path := range []string{s.Path(), filepath.Join(kept, name)} {
		held(t, path)
	}
	other := strings.Repeat("x", 239) + "y.ledger"
	if all := value[[]safekeeping.Backup](t)(safekeeping.Backups(folder, other)); len(all) != 0 {
		t.Errorf("another ledger has %d of them", len(all))
	}
}

// A link at the name of what lies beside a backup leads to nothing that is written.
func TestLinksBesideABackup(t *testing.T) {
	s, f := filled(t, 3)
	folder, other := t.TempDir(), filepath.Join(t.TempDir(), "another's")
	must(t, os.WriteFile(other, []byte("another's"), 0o600))
	for _, end := range []string{".backup", ".backup.json", ".backup.sha256"} {
		must(t, os.Symlink(other, filepath.Join(folder, "room-20260310-080200"+end)))
	}
	b := value[safekeeping.Backup](t)(safekeeping.TakeBackup(t.Context(), s, folder, f.Now, nil))
	must(t, os.Remove(strings.TrimSuffix(b.Path, ".backup")+".backup.json"))
	must(t, os.Symlink(other, strings.TrimSuffix(b.Path, ".backup")+".backup.json"))
	if _, err := safekeeping.BackupAt(b.Path); err == nil {
		t.Error("a description is read through a link")
	}
	if string(read(t, other)) != "another's" {
		t.Errorf("the other file holds %q", read(t, other))
	}
}
