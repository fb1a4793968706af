package safekeeping_test

import (
	"bytes"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"weirkeeper/storage/ledgerfile"
	"weirkeeper/storage/safekeeping"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// Photos go with a backup, with an export, and come back from both; one that is
// missing or changed is told.
func TestPhotosTravel(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx := t.Context()
	var picture bytes.Buffer
	must(t, png.Encode(&picture, image.NewGray(image.Rect(0, 0, 5, 1))))
	p := tanks.Photo{System: f.Systems[0].ID, At: f.Now}
	must(t, s.AddPhoto(ctx, &p, &picture))
	must(t, os.WriteFile(filepath.Join(s.Path()+"-photos", ".weirkeeper-half.partial"), nil, 0o644)) // a photo that was not finished
	backups, export := t.TempDir(), filepath.Join(t.TempDir(), "export")
	b := value[safekeeping.Backup](t)(safekeeping.TakeBackup(ctx, s, backups, storagetest.Now, nil))
	must(t, safekeeping.ExportAll(ctx, s, export, storagetest.Now, nil))
	must(t, s.Close())
	for _, folder := range []string{filepath.Join(export, "photos"), filepath.Join(backups, "room-photos")} {
		if entries := value[[]os.DirEntry](t)(os.ReadDir(folder)); len(entries) != 1 || entries[0].Name() != p.File {
			t.Errorf("%s holds %v", folder, entries)
		}
	}

	inFolder := filepath.Join(s.Path()+"-photos", p.File)
	must(t, os.WriteFile(inFolder, []byte("changed"), 0o644))
	if r := value[ledgerfile.Report](t)(safekeeping.Check(ctx, s.Path())); !slices.ContainsFunc(
		r.Faults,
		func(f string) bool { return strings.Contains(f, "has changed") },
	) {
		t.Errorf("of a changed photo: %q", r.Faults)
	}
	missing := filepath.Join(t.TempDir(), "missing.ledger")
	for name, spoil := range map[string]func(path string) error{
		"is missing": os.Remove, "has changed": func(path string) error { return os.WriteFile(path, []byte("other"), 0o644) },
	} {
		spoilt := t.TempDir()
		must(t, os.CopyFS(spoilt, os.DirFS(export)))
		must(t, spoil(filepath.Join(spoilt, "photos", p.File)))
		if err := safekeeping.ImportAll(ctx, spoilt, missing, nil); err == nil || !strings.Contains(err.Error(), name) {
			t.Errorf("an export of which a photo %s is imported: %v", name, err)
		}
		if left := value[[]os.DirEntry](t)(os.ReadDir(filepath.Dir(missing))); len(left) != 0 {
			t.Errorf("it leaves %v", left)
		}
	}
	// A changed photo comes back from a backup.
	value[string](t)(safekeeping.Restore(ctx, b, s.Path(), f.Now))
	if r := value[ledgerfile.Report](t)(safekeeping.Check(ctx, s.Path())); !r.Sound() {
		t.Errorf("restored over a changed photo: %q", r.Faults)
	}
	must(t, os.RemoveAll(filepath.Dir(inFolder)))
	if r := value[ledgerfile.Report](t)(safekeeping.Check(ctx, s.Path())); len(r.Faults) != 1 ||
		!strings.Contains(r.Faults[0], "is missing") {
		t.Errorf("of a missing photo: %q", r.Faults)
	}
	value[string](t)(safekeeping.Restore(ctx, b, s.Path(), f.Now))
	if r := value[ledgerfile.Report](t)(safekeeping.Check(ctx, s.Path())); !r.Sound() {
		t.Errorf("restored: %q", r.Faults)
	}
	imported := filepath.Join(t.TempDir(), "imported.ledger")
	must(t, safekeeping.ImportAll(ctx, export, imported, nil))
	if r := value[ledgerfile.Report](t)(safekeeping.Check(ctx, imported)); !r.Sound() {
		t.Errorf("imported: %q", r.Faults)
	}
}
