package widgets

import (
	"image"
	"image/color"
	"image/draw"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"

	"weirkeeper/app/look"
)

// GaugeValue is a value against its band, all in one unit. Aim outside Low to
// High is not drawn. U is the standard uncertainty of Value; the whiskers
// reach 2 U each way (about 95 %, from memory of the normal distribution).
type GaugeValue struct{ Low, Aim, High, Value, U float64 }

// shown is how many band widths lie on the rule on each side of the band.
const shown = 0.7

// place returns where v lies on a rule from 0 to 1; a value beyond the rule
// stays at its end.
func (g GaugeValue) place(v float64) float64 {
	width := g.High - g.Low
	if !(width > 0) || math.IsNaN(v) {
		return 0.5
	}
	x := (v - g.Low + shown*width) / ((1 + 2*shown) * width)
	return min(max(x, 0), 1)
}

// ColorName returns the name of the colour of the value's tick.
func (g GaugeValue) ColorName() fyne.ThemeColorName {
	switch {
	case g.Value < g.Low:
		return look.Below
	case g.Value > g.High:
		return look.Above
	}
	return look.Text
}

const (
	gaugeHeight   = 11
	gaugeMinWidth = 60
)

// gaugeImage draws the gauge into w by h pixels at that scale: the rule, the
// band as a thicker stretch with its aim, the value's tick and whiskers.
func gaugeImage(g GaugeValue, w, h int, scale float32) image.Image {
	img := image.NewNRGBA(image.Rect(0, 0, w, h))
	unit := max(int(math.Round(float64(scale))), 1)
	mid := (h - unit) / 2
	margin := 2 * unit
	span := float64(max(w-2*margin-unit, 1))
	at := func(v float64) int { return margin + int(math.Round(g.place(v)*span)) }
	box := func(name fyne.ThemeColorName, x0, y0, x1, y1 int) {
		draw.Draw(img, image.Rect(x0, y0, x1, y1), image.NewUniform(look.Color(name)), image.Point{}, draw.Src)
	}
	box(look.Axis, margin, mid, w-margin, mid+unit)
	if !(g.High > g.Low) {
		return img
	}
	low, high := at(g.Low), at(g.High)+unit
	box(look.BandEdge, low, mid-2*unit, high, mid+3*unit)
	box(look.Band, low+unit, mid-unit, high-unit, mid+2*unit)
	if g.Aim > g.Low && g.Aim < g.High {
		box(look.BandEdge, at(g.Aim), mid-2*unit, at(g.Aim)+unit, mid+3*unit)
	}
	name := g.ColorName()
	thick := (3*unit + 1) / 2
	box(name, at(g.Value-2*g.U), mid+unit/2-thick/2, at(g.Value+2*g.U)+unit, mid+unit/2-thick/2+thick)
	tick := at(g.Value) + unit/2 - unit
	box(name, tick, mid-5*unit, tick+2*unit, mid+6*unit)
	return img
}

// newGaugeRaster returns a raster that draws the gauge asked for at each
// painting; nil draws nothing.
func newGaugeRaster(value func() *GaugeValue) *canvas.Raster {
	var r *canvas.Raster
	r = canvas.NewRaster(func(w, h int) image.Image {
		g := value()
		if g == nil || r.Size().Width <= 0 {
			return image.NewUniform(color.Transparent)
		}
		return gaugeImage(*g, w, h, float32(w)/r.Size().Width)
	})
	r.ScaleMode = canvas.ImageScalePixels
	r.SetMinSize(fyne.NewSize(gaugeMinWidth, gaugeHeight))
	return r
}
