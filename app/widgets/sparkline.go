package widgets

import (
	"image"
	"image/color"
	"image/draw"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"

	"weirkeeper/app/look"
)

// Course is values over time for a small line: X rises from 0 to 1, Y is in any
// unit. Low and High are the band, equal for none.
type Course struct {
	X, Y      []float64
	Low, High float64
}

// span returns the values between which the course is drawn: those of its
// points and of the band.
func (c Course) span() (low, high float64) {
	low, high = c.Y[0], c.Y[0]
	for _, y := range c.Y {
		low, high = min(low, y), max(high, y)
	}
	if c.High > c.Low {
		low, high = min(low, c.Low), max(high, c.High)
	}
	if high == low {
		return low - 1, high + 1
	}
	return low, high
}

const (
	courseHeight   = 20
	courseMinWidth = 60
)

// courseImage draws the course into w by h pixels at that scale: the band as a
// stretch of the ground, the line, and its newest point in the colour of where
// it lies.
func courseImage(c Course, w, h int, scale float32) image.Image {
	out := image.NewNRGBA(image.Rect(0, 0, w, h))
	if len(c.X) < 2 || len(c.X) != len(c.Y) || w < 4 || h < 4 {
		return out
	}
	const inset = 3
	low, high := c.span()
	width, height := float32(w)/scale-2*inset, float32(h)/scale-2*inset
	at := func(i int) point {
		return pt(inset+float32(c.X[i])*width, inset+height*(1-float32((c.Y[i]-low)/(high-low))))
	}
	if c.High > c.Low {
		top := int((inset + height*(1-float32((c.High-low)/(high-low)))) * scale)
		bottom := int((inset+height*(1-float32((c.Low-low)/(high-low))))*scale + 0.5)
		draw.Draw(out, image.Rect(0, top, w, bottom), image.NewUniform(look.Color(look.Band)), image.Point{}, draw.Src)
	}
	line := newSketch(w, h, scale)
	for i := 1; i < len(c.X); i++ {
		if from, to := at(i-1), at(i); from != to {
			line.stroke(1.2, from, to)
		}
	}
	draw.Draw(out, out.Bounds(), line.image(look.Color(look.Inside)), image.Point{}, draw.Over)
	last := GaugeValue{Low: c.Low, High: c.High, Value: c.Y[len(c.Y)-1]}
	ink := look.Text
	if c.High > c.Low {
		ink = last.ColorName()
	}
	dot := newSketch(w, h, scale)
	dot.ring(at(len(c.X)-1), 2.2, 0)
	draw.Draw(out, out.Bounds(), dot.image(look.Color(ink)), image.Point{}, draw.Over)
	return out
}

func newCourseRaster(course func() *Course) *canvas.Raster {
	var r *canvas.Raster
	r = canvas.NewRaster(func(w, h int) image.Image {
		c := course()
		if c == nil || r.Size().Width <= 0 {
			return image.NewUniform(color.Transparent)
		}
		return courseImage(*c, w, h, float32(w)/r.Size().Width)
	})
	r.ScaleMode = canvas.ImageScalePixels
	r.SetMinSize(fyne.NewSize(courseMinWidth, courseHeight))
	return r
}
