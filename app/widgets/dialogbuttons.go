package widgets

import "fyne.io/fyne/v2"

// dialogButtons sets the warning at the left of a dialog's foot and the buttons
// at its right. The main button comes first for the keyboard, so that it follows
// the last field, and last for the eye: objects are warning, main button if there
// is one, closing button.
type dialogButtons struct{}

// dialogButtonGap is the room between them.
const dialogButtonGap = 4

// MinSize implements fyne.Layout.
func (dialogButtons) MinSize(objects []fyne.CanvasObject) fyne.Size {
	var size fyne.Size
	for i, o := range objects {
		least := o.MinSize()
		size.Height = max(size.Height, least.Height)
		size.Width += least.Width
		if i > 0 {
			size.Width += dialogButtonGap
		}
	}
	return size
}

// Layout implements fyne.Layout.
func (dialogButtons) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	right := size.Width
	for i, o := range objects {
		least := o.MinSize()
		o.Resize(least)
		y := (size.Height - least.Height) / 2
		if i == 0 {
			o.Move(fyne.NewPos(0, y))
			continue
		}
		right -= least.Width
		o.Move(fyne.NewPos(right, y))
		right -= dialogButtonGap
	}
}
