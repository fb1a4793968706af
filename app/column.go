package app

import "fyne.io/fyne/v2"

// tightColumn sets objects under one another without a gap, each as wide as
// the column.
type tightColumn struct{}

// MinSize implements fyne.Layout.
func (tightColumn) MinSize(objects []fyne.CanvasObject) fyne.Size {
	var size fyne.Size
	for _, o := range objects {
		least := o.MinSize()
		size.Width = max(size.Width, least.Width)
		size.Height += least.Height
	}
	return size
}

// Layout implements fyne.Layout.
func (tightColumn) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	var y float32
	for _, o := range objects {
		h := o.MinSize().Height
		o.Move(fyne.NewPos(0, y))
		o.Resize(fyne.NewSize(size.Width, h))
		y += h
	}
}

func objects[T fyne.CanvasObject](all []T) []fyne.CanvasObject {
	out := make([]fyne.CanvasObject, len(all))
	for i, o := range all {
		out[i] = o
	}
	return out
}
