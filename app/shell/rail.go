package shell

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
)

const railStripe = 3

func railWidth() float32  { return look.Scaled(148) }
func railHeight() float32 { return look.FieldHeight() + 4 }

// railItem is one place on the rail: focusable, so that the rail can be used
// from the keyboard.
type railItem struct {
	widget.BaseWidget
	place   session.Place
	open    func(session.Place)
	step    func(from session.Place, by int)
	chosen  bool
	focused bool
	hovered bool
	stripe  *canvas.Rectangle
	back    *canvas.Rectangle
	ring    *canvas.Rectangle
	icon    *canvas.Image
	label   *canvas.Text
	content *fyne.Container // lives as long as the item: Fyne may drop its renderer
}

var (
	_ fyne.Tappable     = (*railItem)(nil)
	_ fyne.Focusable    = (*railItem)(nil)
	_ desktop.Hoverable = (*railItem)(nil)
)

func newRailItem(p session.Place, open func(session.Place), step func(session.Place, int)) *railItem {
	i := &railItem{
		place:  p,
		open:   open,
		step:   step,
		stripe: canvas.NewRectangle(color.Transparent),
		back:   canvas.NewRectangle(color.Transparent),
		ring:   canvas.NewRectangle(color.Transparent),
		icon:   canvas.NewImageFromResource(placeIcon(p).Resource()),
		label:  canvas.NewText(say.Of(p), color.Black),
	}
	i.ring.StrokeWidth = 2
	i.content = container.New(railItemLayout{}, i.back, i.stripe, i.ring, i.icon, i.label)
	i.ExtendBaseWidget(i)
	i.restyle()
	return i
}

func (i *railItem) restyle() {
	i.stripe.FillColor, i.back.FillColor, i.ring.StrokeColor = color.Transparent, color.Transparent, color.Transparent
	i.label.Color = look.Color(look.Text)
	i.label.TextSize = look.TextSize()
	i.label.TextStyle.Bold = i.chosen
	i.icon.Resource = placeIcon(i.place).Resource() // in the theme's colour of now
	i.icon.FillMode = canvas.ImageFillContain
	if i.hovered {
		i.back.FillColor = look.Color(look.AccentSoft)
	}
	if i.chosen {
		i.stripe.FillColor = look.Color(look.Accent)
		i.back.FillColor = look.Color(look.Background)
	}
	if i.focused {
		i.ring.StrokeColor = look.Color(look.Accent)
	}
}

// Refresh draws the item again, in the theme's colours of now.
func (i *railItem) Refresh() {
	i.restyle()
	i.BaseWidget.Refresh()
}

// CreateRenderer implements fyne.Widget.
func (i *railItem) CreateRenderer() fyne.WidgetRenderer {
	return widget.NewSimpleRenderer(i.content)
}

// Tapped opens the place.
func (i *railItem) Tapped(*fyne.PointEvent) { i.open(i.place) }

// FocusGained shows the focus.
func (i *railItem) FocusGained() { i.focused = true; i.Refresh() }

// FocusLost hides it.
func (i *railItem) FocusLost() { i.focused = false; i.Refresh() }

// TypedRune is for text; the rail takes none.
func (i *railItem) TypedRune(rune) {}

// TypedKey opens the place or moves along the rail.
func (i *railItem) TypedKey(e *fyne.KeyEvent) {
	if widgets.PassKey(i, e) {
		return
	}
	switch e.Name {
	case fyne.KeyReturn, fyne.KeyEnter, fyne.KeySpace, fyne.KeyRight:
		i.open(i.place)
	case fyne.KeyUp:
		i.step(i.place, -1)
	case fyne.KeyDown:
		i.step(i.place, +1)
	}
}

// MouseIn, MouseMoved and MouseOut tint the item under the pointer.
func (i *railItem) MouseIn(*desktop.MouseEvent) { i.hovered = true; i.Refresh() }

// MouseMoved implements desktop.Hoverable.
func (i *railItem) MouseMoved(*desktop.MouseEvent) {}

// MouseOut implements desktop.Hoverable.
func (i *railItem) MouseOut() { i.hovered = false; i.Refresh() }

// railItemLayout sets stripe, icon and label on the item's ground.
type railItemLayout struct{}

// MinSize implements fyne.Layout.
func (railItemLayout) MinSize([]fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(railWidth(), railHeight())
}

// Layout implements fyne.Layout for back, stripe, ring, icon, label.
func (railItemLayout) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	back, stripe, ring, icon, label := objects[0], objects[1], objects[2], objects[3], objects[4]
	back.Move(fyne.NewPos(0, 0))
	back.Resize(size)
	stripe.Move(fyne.NewPos(0, 0))
	stripe.Resize(fyne.NewSize(railStripe, size.Height))
	ring.Move(fyne.NewPos(1, 1))
	ring.Resize(fyne.NewSize(size.Width-2, size.Height-2))
	const side = 16
	icon.Move(fyne.NewPos(12, (size.Height-side)/2))
	icon.Resize(fyne.NewSize(side, side))
	text := label.MinSize()
	label.Move(fyne.NewPos(12+side+8, (size.Height-text.Height)/2))
	label.Resize(text)
}

// rail is the column of places.
type rail struct {
	items  []*railItem
	object fyne.CanvasObject
}

func newRail(places []session.Place, open func(session.Place), focus func(fyne.Focusable)) *rail {
	r := &rail{}
	step := func(from session.Place, by int) {
		for n, item := range r.items {
			if item.place == from && n+by >= 0 && n+by < len(r.items) {
				focus(r.items[n+by])
			}
		}
	}
	box := container.NewVBox()
	for _, p := range places {
		item := newRailItem(p, open, step)
		r.items = append(r.items, item)
		box.Add(item)
	}
	r.object = container.NewStack(widgets.NewPanel(look.Panel), container.New(tightColumn{}, objects(r.items)...))
	return r
}

// choose marks the open place; a system's page belongs to Room.
func (r *rail) choose(p session.Place) {
	if p == session.System {
		p = session.Room
	}
	for _, item := range r.items {
		if item.chosen != (item.place == p) {
			item.chosen = item.place == p
			item.Refresh()
		}
	}
}
