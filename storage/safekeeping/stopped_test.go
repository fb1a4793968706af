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

// left lists the files below a folder with their sizes. Of a lock only a file
// stays, and photos that are there do no harm.
func left(t *testing.T, folder string) []string {
	t.Helper()
	all := []string{}
	must(t, filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
		if err != nil || path == folder || strings.HasSuffix(path, "-lock") || strings.Contains(path, "photos") {
			return err
		}
		name, err := filepath.Rel(folder, path)
		all = append(all, name)
		return err
	}))
	return all
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
		name string
		work func(ctx context.Context, folder string) error
	}{
		{"backup", func(ctx context.Context, folder string) error {
			_, err := safekeeping.TakeBackup(ctx, open, folder, storagetest.Now, nil)
			return err
		}},
		{"export into a new folder", func(ctx context.Context, folder string) error {
			return safekeeping.ExportAll(ctx, open, filepath.Join(folder, "new"), storagetest.Now, nil)
		}},
		{"export into an empty folder", func(ctx context.Context, folder string) error {
			return safekeeping.ExportAll(ctx, open, folder, storagetest.Now, nil)
		}},
		{"import", func(ctx context.Context, folder string) error {
			return safekeeping.ImportAll(ctx, exported, filepath.Join(folder, "imported"), nil)
		}},
		{"restore", func(ctx context.Context, folder string) error {
			_, err := safekeeping.Restore(ctx, backup, filepath.Join(folder, "restored"), storagetest.Now)
			return err
		}},
		{"restore over a ledger", func(ctx context.Context, folder string) error {
			_, err := safekeeping.Restore(ctx, backup, closed.Path(), storagetest.Now)
			if now := read(t, closed.Path()); err != nil && !slices.Equal(now, present) {
				t.Error("the ledger has changed")
			}
			return err
		}},
		{"salvage", func(ctx context.Context, folder string) error {
			_, err := safekeeping.Salvage(ctx, closed.Path(), filepath.Join(folder, "salvaged"), storagetest.Now, nil)
			return err
		}},
		{"check", func(ctx context.Context, folder string) error {
			_, err := safekeeping.Check(ctx, open.Path())
			return err
		}},
		{"proof", func(ctx context.Context, folder string) error { return backup.Verify(ctx) }},
	} {
		t.Run(c.name, func(t *testing.T) {
			stops := 0
			for looks := 1; ; looks = looks*5/4 + 1 {
				folder := t.TempDir()
				err := c.work(faults.Stopping(t.Context(), looks), folder)
				if err == nil {
					break
				}
				stops++
				if !errors.Is(err, context.Canceled) {
					t.Errorf("stopped after %d looks: %v", looks, err)
				}
				if found := left(t, folder); len(found) > 0 {
					t.Errorf("stopped after %d looks it leaves %q", looks, found)
				}
			}
			if stops < 8 {
				t.Errorf("it was stopped at %d places", stops)
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
