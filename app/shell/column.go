package shell

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

// lineUp sets objects beside one another as long as there is room; those that
// have none are not shown. The first one always is.
type lineUp struct{ gap float32 }

// MinSize implements fyne.Layout: that of the first object.
func (lineUp) MinSize(objects []fyne.CanvasObject) fyne.Size {
	size := objects[0].MinSize()
	for _, o := range objects[1:] {
		size.Height = max(size.Height, o.MinSize().Height)
	}
	return size
}

// Layout implements fyne.Layout.
func (l lineUp) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	x := float32(0)
	for i, o := range objects {
		least := o.MinSize()
		if fits := i == 0 || x+least.Width <= size.Width; fits != o.Visible() {
			if fits {
				o.Show()
			} else {
				o.Hide()
			}
		}
		if !o.Visible() || least.Width == 0 {
			continue
		}
		o.Move(fyne.NewPos(x, (size.Height-least.Height)/2))
		o.Resize(least)
		x += least.Width + l.gap
	}
}
