package chart

import (
	"image"
	"image/png"
	"io"
	"math"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/vgimg"
	"gonum.org/v1/plot/vg/vgsvg"

	"weirkeeper/assets/words"
)

// Draw draws the figure as a picture of w by h device pixels, at scale pixels
// per point.
func Draw(f Figure, s Style, w, h int, scale float64) (image.Image, error) {
	if w < 1 || h < 1 || !(scale > 0) {
		return nil, words.Errorf("drawing %q: a picture of %d by %d pixels at scale %g cannot be", f.Title, w, h, scale)
	}
	dpi := math.Round(72 * scale)
	width, height := float64(w)*72/dpi, float64(h)*72/dpi
	c := vgimg.NewWith(vgimg.UseWH(vg.Length(width), vg.Length(height)), vgimg.UseDPI(int(dpi)), vgimg.UseBackgroundColor(s.Background))
	if err := drawOn(c, f, s, width, height, scale == 1); err != nil {
		return nil, err
	}
	return c.Image(), nil
}

// WritePNG writes the figure as a PNG of w by h pixels.
func WritePNG(out io.Writer, f Figure, s Style, w, h int, scale float64) error {
	img, err := Draw(f, s, w, h, scale)
	if err != nil {
		return err
	}
	if err := png.Encode(out, img); err != nil {
		return words.Errorf("writing the picture: %w", err)
	}
	return nil
}

// WriteSVG writes the figure as an SVG of w by h points.
func WriteSVG(out io.Writer, f Figure, s Style, w, h float64) error {
	c := vgsvg.New(vg.Length(w), vg.Length(h))
	if err := DrawOn(c, f, s, w, h); err != nil {
		return err
	}
	if _, err := c.WriteTo(out); err != nil {
		return words.Errorf("writing the picture: %w", err)
	}
	return nil
}
