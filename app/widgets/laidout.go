package widgets

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/widget"
)

// laidOut is a renderer that is laid out whenever it is drawn at a size that it was
// not laid out for. Fyne drops the renderers of what was out of sight for a minute;
// made anew they know no size, and a field that came back with its page had no border
// and no icon. It is needed where a renderer makes objects of its own.
type laidOut struct {
	fyne.WidgetRenderer
	of fyne.CanvasObject
	at fyne.Size
}

func newLaidOut(of fyne.CanvasObject, r fyne.WidgetRenderer) *laidOut {
	return &laidOut{WidgetRenderer: r, of: of}
}

// Layout implements fyne.WidgetRenderer.
func (r *laidOut) Layout(size fyne.Size) {
	r.at = size
	r.WidgetRenderer.Layout(size)
}

// Objects implements fyne.WidgetRenderer.
func (r *laidOut) Objects() []fyne.CanvasObject {
	if size := r.of.Size(); size != r.at {
		r.Layout(size)
	}
	return r.WidgetRenderer.Objects()
}

// icon is a drawing as large as a line of text.
type icon struct{ widget.Icon }

func newIcon(drawing fyne.Resource) *icon {
	i := &icon{}
	i.Resource = drawing
	i.ExtendBaseWidget(i)
	return i
}

// CreateRenderer implements fyne.Widget.
func (i *icon) CreateRenderer() fyne.WidgetRenderer { return newLaidOut(i, i.Icon.CreateRenderer()) }
