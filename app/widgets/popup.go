package widgets

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/widget"
)

// popupMargin is the room kept between a pop-up and the window's edge. Fyne would
// put one at 0, 0 into the middle.
const popupMargin = 4

// besideField returns where a pop-up of a size goes that belongs to a field: under
// it, over it where there is more room, lower than it wishes where neither is
// enough, and never over the window's edge.
func besideField(at fyne.Position, field, wish, window fyne.Size) (fyne.Position, fyne.Size) {
	under, over := window.Height-popupMargin-at.Y-field.Height, at.Y-popupMargin
	size := fyne.NewSize(min(wish.Width, window.Width-2*popupMargin), wish.Height)
	y := at.Y + field.Height
	if wish.Height > under && over > under {
		size.Height = min(wish.Height, over)
		y = at.Y - size.Height
	} else {
		size.Height = min(wish.Height, max(under, 0))
	}
	x := min(at.X, window.Width-popupMargin-size.Width)
	return fyne.NewPos(max(x, popupMargin), y), size
}

// showBeside shows a pop-up beside its field. One that cannot be lower than it is
// lies over the field where it must.
func showBeside(popup *widget.PopUp, field fyne.CanvasObject) {
	window, size := popup.Canvas.Size(), popup.MinSize()
	at, _ := besideField(fyne.CurrentApp().Driver().AbsolutePositionForObject(field), field.Size(), size, window)
	at.Y = max(min(at.Y, window.Height-popupMargin-size.Height), popupMargin)
	popup.ShowAtPosition(at)
}
