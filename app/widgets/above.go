package widgets

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
)

// NewAbove returns text above something that fills the rest: the text is as high as it
// needs, at most a share of the height, 0 to 1, and scrolls beyond that.
func NewAbove(text, rest fyne.CanvasObject, share float32) *fyne.Container {
	return container.New(&aboveLayout{text: text, share: share}, NewScrolled(text), rest)
}

// aboveLayout lays a scrolled text over the rest.
type aboveLayout struct {
	text  fyne.CanvasObject
	share float32
}

// MinSize implements fyne.Layout.
func (l *aboveLayout) MinSize(objects []fyne.CanvasObject) fyne.Size {
	text, rest := objects[0].MinSize(), objects[1].MinSize()
	return fyne.NewSize(max(text.Width, rest.Width), text.Height+rest.Height)
}

// Layout implements fyne.Layout.
func (l *aboveLayout) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	l.text.Resize(fyne.NewSize(size.Width-scrollBarRoom, l.text.MinSize().Height)) // paragraphs know their height only at a width
	height := min(l.text.MinSize().Height, size.Height*l.share)
	objects[0].Resize(fyne.NewSize(size.Width, height))
	objects[0].Move(fyne.NewPos(0, 0))
	objects[1].Resize(fyne.NewSize(size.Width, size.Height-height))
	objects[1].Move(fyne.NewPos(0, height))
}
