package apptest

import (
	"image"
	"image/color"
	"image/draw"
	"path/filepath"
	"testing"
)

func filled(v uint8) image.Image {
	img := image.NewNRGBA(image.Rect(0, 0, 4, 4))
	draw.Draw(img, img.Bounds(), image.NewUniform(color.NRGBA{v, v, v, 255}), image.Point{}, draw.Src)
	return img
}

func TestCompare(t *testing.T) {
	path := filepath.Join(t.TempDir(), "folder", "want.png")
	if compare(path, filled(100), 0) == "" {
		t.Error("a missing picture is no difference")
	}
	if err := writePNG(path, filled(100)); err != nil {
		t.Fatal(err)
	}
	cases := []struct {
		name      string
		grey      uint8
		tolerance float64
		same      bool
	}{
		{"the same", 100, 0, true}, {"a little off, within tolerance", 102, 0.02, true},
		{"a little off, exact", 102, 0, false}, {"far off", 200, 0.02, false},
	}
	for _, c := range cases {
		if got := compare(path, filled(c.grey), c.tolerance); (got == "") != c.same {
			t.Errorf("%s: %q", c.name, got)
		}
	}
}
