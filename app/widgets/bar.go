package widgets

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/look"
)

// Bar sets buttons and words beside one another and goes on in the next line
// where the window is too narrow for them.
type Bar struct {
	widget.BaseWidget
	layout  *barLayout
	content *fyne.Container
}

// NewBar returns the objects in one line, or as many as they need.
func NewBar(objects ...fyne.CanvasObject) *Bar {
	b := &Bar{layout: &barLayout{}}
	b.content = container.New(b.layout, objects...)
	b.ExtendBaseWidget(b)
	return b
}

// And adds objects at the end.
func (b *Bar) And(objects ...fyne.CanvasObject) *Bar {
	b.content.Objects = append(b.content.Objects, objects...)
	return b
}

func (b *Bar) parts() []fyne.CanvasObject { return b.content.Objects }

// CreateRenderer implements fyne.Widget.
func (b *Bar) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(b.content) }

// Resize lays the objects out; the bar's height follows its width.
func (b *Bar) Resize(size fyne.Size) {
	if b.layout.width != size.Width {
		b.layout.width = size.Width
		b.BaseWidget.Resize(size)
		b.content.Refresh()
		return
	}
	b.BaseWidget.Resize(size)
}

// barLayout flows objects in lines of a width; zero: not known yet.
type barLayout struct{ width float32 }

// MinSize implements fyne.Layout.
func (l *barLayout) MinSize(objects []fyne.CanvasObject) fyne.Size {
	least := float32(0)
	for _, o := range objects {
		if o.Visible() {
			least = max(least, o.MinSize().Width)
		}
	}
	return fyne.NewSize(least, l.flow(objects, l.width, nil))
}

// Layout implements fyne.Layout.
func (l *barLayout) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	l.flow(objects, size.Width, func(o fyne.CanvasObject, at fyne.Position, size fyne.Size) {
		o.Move(at)
		o.Resize(size)
	})
}

// flow finds the place of each object and returns the height of all lines.
func (l *barLayout) flow(objects []fyne.CanvasObject, width float32, place func(fyne.CanvasObject, fyne.Position, fyne.Size)) float32 {
	var x, y, line float32
	for _, o := range objects {
		if !o.Visible() {
			continue
		}
		size := o.MinSize()
		if x > 0 && width > 0 && x+size.Width > width+0.5 {
			x, y, line = 0, y+line+look.Padding, 0
		}
		height := max(size.Height, look.FieldHeight())
		if place != nil {
			place(o, fyne.NewPos(x, y+(height-size.Height)/2), size)
		}
		x += size.Width + look.Padding
		line = max(line, height)
	}
	return y + line
}
