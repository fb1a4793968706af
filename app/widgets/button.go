package widgets

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/look"
)

// Button is a flat button: filled for the main action of a screen, outlined
// for the others. Its focus is a ring, so that it shows on both.
type Button struct {
	widget.DisableableWidget
	Text     string
	OnTapped func()

	primary, focused, hovered bool
	ring, back                *canvas.Rectangle
	label                     *canvas.Text
	drawing                   look.Icon // left of the label; empty: none
	icon                      *canvas.Image
}

var (
	_ fyne.Tappable     = (*Button)(nil)
	_ fyne.Focusable    = (*Button)(nil)
	_ fyne.Disableable  = (*Button)(nil)
	_ desktop.Hoverable = (*Button)(nil)
)

// NewPrimary returns the button of a screen's main action.
func NewPrimary(text string, tapped func()) *Button { return newButton(text, true, tapped) }

// NewSecondary returns the button of any other action.
func NewSecondary(text string, tapped func()) *Button { return newButton(text, false, tapped) }

func newButton(text string, primary bool, tapped func()) *Button {
	b := &Button{Text: text, OnTapped: tapped, primary: primary}
	b.ring, b.back = canvas.NewRectangle(color.Transparent), canvas.NewRectangle(color.Transparent)
	b.ring.StrokeWidth, b.ring.CornerRadius, b.back.CornerRadius = 2, look.Radius+2, look.Radius
	b.label = canvas.NewText(text, color.Black)
	b.label.TextSize, b.label.Alignment = look.TextSize(), fyne.TextAlignCenter
	b.icon = &canvas.Image{FillMode: canvas.ImageFillContain}
	b.icon.Hide()
	b.ExtendBaseWidget(b)
	b.restyle()
	return b
}

// With gives the button a drawing left of its label.
func (b *Button) With(icon look.Icon) *Button {
	b.drawing = icon
	b.icon.Show()
	b.restyle()
	return b
}

// SetText changes the label.
func (b *Button) SetText(text string) {
	if b.Text == text {
		return
	}
	b.Text = text
	b.Refresh()
}

// Label returns what stands on the button.
func (b *Button) Label() string { return b.Text }

func (b *Button) restyle() {
	b.label.Text, b.label.TextStyle.Bold = b.Text, b.primary
	b.back.StrokeWidth, b.back.StrokeColor = 1, look.Color(look.Axis)
	b.back.FillColor, b.label.Color = look.Color(look.Background), look.Color(b.ink())
	switch {
	case b.Disabled():
		b.back.FillColor = look.Color(look.Panel)
		b.back.StrokeColor = look.Color(look.Rule)
	case b.primary:
		b.back.FillColor = look.Color(look.Accent)
		b.back.StrokeWidth = 0
	case b.hovered:
		b.back.FillColor = look.Color(look.AccentSoft)
	}
	b.label.TextSize = look.TextSize()
	if b.drawing != "" {
		b.icon.Resource = b.drawing.In(b.ink())
	}
	b.ring.StrokeColor = color.Transparent
	if b.focused {
		b.ring.StrokeColor = look.Color(look.Accent)
		if b.primary {
			b.ring.StrokeColor = look.Color(look.Text)
		}
	}
}

// ink is the colour of the label.
func (b *Button) ink() fyne.ThemeColorName {
	switch {
	case b.Disabled():
		return look.Secondary
	case b.primary:
		return look.OnAccent
	}
	return look.Text
}

// Refresh draws the button as it is now.
func (b *Button) Refresh() {
	b.restyle()
	b.BaseWidget.Refresh()
}

// CreateRenderer implements fyne.Widget.
func (b *Button) CreateRenderer() fyne.WidgetRenderer { return &buttonRenderer{b} }

type buttonRenderer struct{ b *Button }

// buttonIcon is the side of a button's drawing, buttonIconGap the room behind it.
const (
	buttonIcon    = 15
	buttonIconGap = 6
)

// ringGap is the room that the focus ring takes around the button.
const ringGap = 2

func (r *buttonRenderer) Layout(size fyne.Size) {
	r.b.ring.Resize(size)
	r.b.back.Move(fyne.NewPos(ringGap, ringGap))
	r.b.back.Resize(size.SubtractWidthHeight(2*ringGap, 2*ringGap))
	text, left := r.b.label.MinSize(), float32(0)
	if r.b.drawing != "" {
		left = buttonIcon + buttonIconGap
		r.b.icon.Resize(fyne.NewSquareSize(buttonIcon))
		r.b.icon.Move(fyne.NewPos((size.Width-text.Width-left)/2, (size.Height-buttonIcon)/2))
	}
	r.b.label.Move(fyne.NewPos(left, (size.Height-text.Height)/2))
	r.b.label.Resize(fyne.NewSize(size.Width-left, text.Height))
}

func (r *buttonRenderer) MinSize() fyne.Size {
	width := r.b.label.MinSize().Width + 24
	if r.b.drawing != "" {
		width += buttonIcon + buttonIconGap
	}
	return fyne.NewSize(width, look.FieldHeight())
}

func (r *buttonRenderer) Refresh() {
	r.Layout(r.b.Size())
	for _, o := range r.Objects() {
		o.Refresh()
	}
}

func (r *buttonRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.b.back, r.b.ring, r.b.label, r.b.icon}
}

func (r *buttonRenderer) Destroy() {}

// Tapped takes the keyboard and does the action, so that a dialog it opens
// knows where to give the keyboard back.
func (b *Button) Tapped(*fyne.PointEvent) {
	if b.Disabled() {
		return
	}
	if c := fyne.CurrentApp().Driver().CanvasForObject(b); c != nil {
		c.Focus(b)
	}
	b.act()
}

func (b *Button) act() {
	if !b.Disabled() && b.OnTapped != nil {
		b.OnTapped()
	}
}

// FocusGained shows the focus.
func (b *Button) FocusGained() {
	b.focused = true
	b.Refresh()
	reveal(b)
}

// FocusLost hides it.
func (b *Button) FocusLost() { b.focused = false; b.Refresh() }

// TypedRune implements fyne.Focusable; a button takes no text.
func (b *Button) TypedRune(rune) {}

// TypedKey does the action on Space and Enter.
func (b *Button) TypedKey(e *fyne.KeyEvent) {
	if handledByDialog(b, e, true) {
		return
	}
	switch e.Name {
	case fyne.KeySpace, fyne.KeyReturn, fyne.KeyEnter:
		b.act()
	}
}

// MouseIn tints the button.
func (b *Button) MouseIn(*desktop.MouseEvent) { b.hovered = true; b.Refresh() }

// MouseMoved implements desktop.Hoverable.
func (b *Button) MouseMoved(*desktop.MouseEvent) {}

// MouseOut takes the tint away.
func (b *Button) MouseOut() { b.hovered = false; b.Refresh() }
