package safekeeping_test

import (
	"bytes"
	"context"
	"errors"
	"image"
	"image/png"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"weirkeeper/storage"
	"weirkeeper/storage/safekeeping"
	"weirkeeper/storage/storagetest"
	"weirkeeper/storage/storagetest/faults"
	"weirkeeper/tanks"
)

// stoppable is a room with readings and a photo, whose ledger is open.
func stoppable(t *testing.T) *storage.Store {
	t.Helper()
	s, f := filled(t, 300)
	var picture bytes.Buffer
	must(t, png.Encode(&picture, image.NewGray(image.Rect(0, 0, 5, 1))))
	must(t, s.AddPhoto(t.Context(), &tanks.Photo{System: f.Systems[0].ID, At: f.Now}, &picture))
	return s
}

// left lists the files below a folder. Of a lock a file stays, and photos that are
// there do no harm where others may lie.
func left(t *testing.T, folder string, photos bool) []string {
	t.Helper()
	all := []string{}
	must(t, filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
		if err != nil || path == folder || strings.HasSuffix(path, "-lock") || photos && strings.Contains(path, "photos") {
			return err
		}
		name, err := filepath.Rel(folder, path)
		all = append(all, name)
		return err
	}))
	return all
}

// enough is how often the work must be allowed to look at its context to get done.
func enough(work func(looks int) error) (looks int) {
	failed, done := 0, 1
	for work(done) != nil {
		failed, done = done, 2*done
	}
	for done-failed > 1 {
		if middle := (failed + done) / 2; work(middle) != nil {
			failed = middle
		} else {
			done = middle
		}
	}
	return done
}

// Work that is stopped at whatever instant says so and leaves nothing behind; what
// it would have replaced is as it was.
func TestStoppedWorkLeavesNothing(t *testing.T) {
	open := stoppable(t)
	closed := stoppable(t)
	kept, exported := t.TempDir(), filepath.Join(t.TempDir(), "exported")
	backup := value[safekeeping.Backup](t)(safekeeping.TakeBackup(t.Context(), closed, kept, storagetest.Now, nil))
	must(t, safekeeping.ExportAll(t.Context(), closed, exported, storagetest.Now, nil))
	must(t, closed.Close())
	present := read(t, closed.Path())
	for _, c := range []struct {
		name   string
		photos bool // may be left
		work   func(ctx context.Context, folder string) error
	}{
		{"backup", true, func(ctx context.Context, folder string) error {
			_, err := safekeeping.TakeBackup(ctx, open, folder, storagetest.Now, nil)
			return err
		}},
		{"export into a new folder", false, func(ctx context.Context, folder string) error {
			return safekeeping.ExportAll(ctx, open, filepath.Join(folder, "new"), storagetest.Now, nil)
		}},
		{"export into an empty folder", false, func(ctx context.Context, folder string) error {
			return safekeeping.ExportAll(ctx, open, folder, storagetest.Now, nil)
		}},
		{"import", false, func(ctx context.Context, folder string) error {
			return safekeeping.ImportAll(ctx, exported, filepath.Join(folder, "imported"), nil)
		}},
		{"restore", true, func(ctx context.Context, folder string) error {
			_, err := safekeeping.Restore(ctx, backup, filepath.Join(folder, "restored"), storagetest.Now)
			return err
		}},
		{"restore over a ledger", true, func(ctx context.Context, folder string) error {
			path := filepath.Join(t.TempDir(), "present")
			must(t, os.WriteFile(path, present, 0o644))
			_, err := safekeeping.Restore(ctx, backup, path, storagetest.Now)
			if err != nil && (!slices.Equal(read(t, path), present) || len(left(t, filepath.Dir(path), true)) != 1) {
				t.Errorf("the ledger has changed, or beside it are %q", left(t, filepath.Dir(path), true))
			}
			return err
		}},
		{"salvage", false, func(ctx context.Context, folder string) error {
			_, err := safekeeping.Salvage(ctx, closed.Path(), filepath.Join(folder, "salvaged"), storagetest.Now, nil)
			return err
		}},
		{"check", false, func(ctx context.Context, folder string) error {
			_, err := safekeeping.Check(ctx, open.Path())
			return err
		}},
		{"proof", false, func(ctx context.Context, folder string) error { return backup.Verify(ctx) }},
	} {
		t.Run(c.name, func(t *testing.T) {
			stopped := func(looks int) error {
				folder := t.TempDir()
				err := c.work(faults.Stopping(t.Context(), looks), folder)
				if err == nil {
					return nil
				}
				if !errors.Is(err, context.Canceled) {
					t.Errorf("stopped after %d looks: %v", looks, err)
				}
				if found := left(t, folder, c.photos); len(found) > 0 {
					t.Errorf("stopped after %d looks it leaves %q", looks, found)
				}
				return err
			}
			n := enough(stopped)
			if n < 8 {
				t.Errorf("it looks %d times", n)
			}
			for looks := n - 1; looks > max(0, n-10); looks-- { // among them the photos
				stopped(looks)
			}
		})
	}
}

// Photos that cannot be copied do not keep a ledger from being restored, or
// salvaged, and are said.
func TestLedgerWithoutItsPhotos(t *testing.T) {
	s := stoppable(t)
	b := value[safekeeping.Backup](t)(safekeeping.TakeBackup(t.Context(), s, t.TempDir(), storagetest.Now, nil))
	must(t, s.Close())
	for name, bring := range map[string]func(to string) error{
		"restored": func(to string) error {
			_, err := safekeeping.Restore(t.Context(), b, to, storagetest.Now)
			return err
		},
		"salvaged": func(to string) error {
			_, err := safekeeping.Salvage(t.Context(), s.Path(), to, storagetest.Now, nil)
			return err
		},
	} {
		to := filepath.Join(t.TempDir(), name)
		must(t, os.WriteFile(to+"-photos", nil, 0o644)) // in the way
		var photos *safekeeping.PhotosError
		if err := bring(to); !errors.As(err, &photos) || !strings.Contains(err.Error(), "not all of its photos") || photos.Unwrap() == nil {
			t.Errorf("%s: %v", name, err)
		}
		if g := value[safekeeping.Glance](t)(safekeeping.Look(t.Context(), to)); g.Readings != 300 {
			t.Errorf("%s are %+v", name, g)
		}
	}
}
