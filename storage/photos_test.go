package storage_test

import (
	"bytes"
	"errors"
	"image"
	"image/png"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// picture is a PNG of a size that makes it differ from others.
func picture(t testing.TB, width int) []byte {
	t.Helper()
	var b bytes.Buffer
	must(t, png.Encode(&b, image.NewGray(image.Rect(0, 0, width, 1))))
	return b.Bytes()
}

func TestPhotosComeBack(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx, one := t.Context(), f.Systems[0].ID
	note := tanks.Observation{System: one, At: f.Now, Text: "tips pale"}
	must(t, s.SaveObservation(ctx, &note))
	data := picture(t, 3)
	p := tanks.Photo{System: one, Note: note.ID, At: f.Now, Caption: "left side", Person: "AB", File: "../../escape.png"}
	must(t, s.AddPhoto(ctx, &p, bytes.NewReader(data)))
	if !strings.HasPrefix(p.File, "20260310-") || !strings.HasSuffix(p.File, ".png") || strings.Contains(p.File, "escape") {
		t.Errorf("the file is called %q", p.File)
	}
	same(t, value[[]tanks.Photo](t)(s.Photos(ctx, one)), []tanks.Photo{p})
	file := value[io.ReadCloser](t)(s.OpenPhoto(p))
	got := value[[]byte](t)(io.ReadAll(file))
	must(t, file.Close())
	same(t, got, data)
	again := tanks.Photo{System: one, At: f.Now}
	must(t, s.AddPhoto(ctx, &again, bytes.NewReader(data))) // one file for both
	if entries := value[[]os.DirEntry](t)(os.ReadDir(s.Path() + "-photos")); len(entries) != 1 {
		t.Errorf("the folder holds %v", entries)
	}
	must(t, s.WithdrawPhoto(ctx, again.ID, "twice", "AB"))

	for name, c := range map[string]struct {
		photo tanks.Photo
		data  string
		field string
	}{
		"no picture": {tanks.Photo{System: one, At: f.Now}, "<html>", "file"},
		"nothing":    {tanks.Photo{System: one, At: f.Now}, "", "file"},
		"no system":  {tanks.Photo{At: f.Now}, string(data), "system"},
		"too large":  {tanks.Photo{System: one, At: f.Now}, "\x89PNG\r\n\x1a\n" + strings.Repeat("x", 65<<20), "file"},
	} {
		if err := s.AddPhoto(ctx, &c.photo, strings.NewReader(c.data)); fault(err) != c.field {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// A photo whose file is gone says so.
func TestPhotoWithoutItsFile(t *testing.T) {
	s, f := storagetest.Room(t)
	p := tanks.Photo{System: f.Systems[0].ID, At: f.Now}
	must(t, s.AddPhoto(t.Context(), &p, bytes.NewReader(picture(t, 5))))
	must(t, os.RemoveAll(s.Path()+"-photos"))
	var missing *storage.PhotoError
	if _, err := s.OpenPhoto(p); !errors.As(err, &missing) || !strings.Contains(err.Error(), "look for it in a backup") {
		t.Errorf("opening it: %v", err)
	}
}

// No name in the ledger, however it came there, leads out of the folder.
func TestPhotoNamesDoNotEscape(t *testing.T) {
	s, f := storagetest.Room(t)
	must(t, os.MkdirAll(s.Path()+"-photos", 0o755))
	secret := filepath.Join(filepath.Dir(s.Path()), "secret.png")
	must(t, os.WriteFile(secret, []byte("secret"), 0o600))
	must(t, os.Symlink(secret, filepath.Join(s.Path()+"-photos", "link.png")))
	for _, name := range []string{"../secret.png", secret, "link.png", "..", "a/../../secret.png"} {
		if file, err := s.OpenPhoto(tanks.Photo{File: name}); err == nil {
			data, _ := io.ReadAll(file)
			if string(data) == "secret" {
				t.Errorf("%q leads out of the folder", name)
			}
		}
	}
	db := plain(t, s.Path())
	for _, name := range []string{"../x.png", "a/b.png", `a\b.png`, "C:x.png", ".hidden", "", "..", "a\x00.png"} {
		_, err := db.Exec(
			"INSERT INTO photos (system_id, taken_at, file, sha256, size) VALUES (?, 1, ?, ?, 1)",
			int64(f.Systems[0].ID),
			name,
			strings.Repeat("a", 64),
		)
		if err == nil {
			t.Errorf("the ledger takes the name %q", name)
		}
	}
}
