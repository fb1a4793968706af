package widgets

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
)

// border is one of four bars. A rectangle's stroke is drawn shifted by the
// software driver where it is cut by a scroll's edge; bars are not.
type border [4]*canvas.Rectangle

func newBorder() *border {
	var f border
	for i := range f {
		f[i] = canvas.NewRectangle(color.Transparent)
	}
	return &f
}

// place draws the border of that width just inside the area.
func (f *border) place(c color.Color, width float32, at fyne.Position, size fyne.Size) {
	bars := [4]struct{ x, y, w, h float32 }{
		{at.X, at.Y, size.Width, width}, {at.X, at.Y + size.Height - width, size.Width, width},
		{at.X, at.Y, width, size.Height}, {at.X + size.Width - width, at.Y, width, size.Height},
	}
	for i, b := range bars {
		f[i].FillColor = c
		f[i].Move(fyne.NewPos(b.x, b.y))
		f[i].Resize(fyne.NewSize(b.w, b.h))
	}
}

func (f *border) addTo(objects []fyne.CanvasObject) []fyne.CanvasObject {
	return append(objects, f[0], f[1], f[2], f[3])
}
