package apptest

import (
	"bytes"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"fyne.io/fyne/v2"
	"gonum.org/v1/plot/cmpimg"
)

// Settle lays the window out until wrapped text has the height it needs at its
// width, as a real window does from one frame to the next.
func Settle(w fyne.Window) {
	for range 2 {
		w.Content().Refresh()
	}
}

// Capture writes a picture of the settled window to path as PNG.
func Capture(t testing.TB, w fyne.Window, path string) {
	t.Helper()
	Settle(w)
	if err := writePNG(path, w.Canvas().Capture()); err != nil {
		t.Fatal(err)
	}
}

func writePNG(path string, img image.Image) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return err
	}
	file, err := os.Create(path)
	if err != nil {
		return err
	}
	defer file.Close()
	if err := png.Encode(file, img); err != nil {
		return err
	}
	return file.Close()
}

// Golden compares a picture with testdata/name; tolerance is the largest
// difference of a pixel from 0 to 1. A difference fails the test and leaves
// the new picture in testdata/failed/name: look at it, then move it.
func Golden(t testing.TB, name string, img image.Image, tolerance float64) {
	t.Helper()
	if err := compare(filepath.Join("testdata", name), img, tolerance); err != "" {
		failed := filepath.Join("testdata", "failed", name)
		if werr := writePNG(failed, img); werr != nil {
			t.Fatal(werr)
		}
		t.Errorf("%s: %s; see %s", name, err, failed)
	}
}

// compare returns how a picture differs from that in a file, empty when it
// does not.
func compare(path string, img image.Image, tolerance float64) string {
	want, err := os.ReadFile(path)
	if err != nil {
		return "no such picture yet"
	}
	got, err := encoded(img)
	if err != nil {
		return err.Error()
	}
	equal, err := cmpimg.EqualApprox("png", got, want, tolerance)
	if err != nil {
		return err.Error()
	}
	if !equal {
		return "the picture has changed"
	}
	return ""
}

func encoded(img image.Image) ([]byte, error) {
	var b bytes.Buffer
	err := png.Encode(&b, img)
	return b.Bytes(), err
}
