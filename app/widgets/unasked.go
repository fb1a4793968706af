package widgets

import (
	"image/color"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
)

// rest is how long hands must have rested before a key is meant for a dialog that
// nobody asked for.
const rest = time.Second

// typedOver has the keyboard first in a dialog that came by itself, perhaps under hands
// that type: it takes what they type for nothing, and presses no button. A key after a
// rest goes on to the buttons; Enter and the space bar never do.
type typedOver struct {
	widget.BaseWidget
	box     *dialogBox
	hint    *Line
	ring    *canvas.Rectangle
	now     func() time.Time
	last    time.Time // when a key was pressed, or the dialog came
	passed  bool      // the keyboard went on once
	focused bool
}

var _ fyne.Tabbable = (*typedOver)(nil)

func newTypedOver(box *dialogBox) *typedOver {
	t := &typedOver{box: box, now: time.Now, ring: canvas.NewRectangle(color.Transparent)}
	t.hint = NewLine(say.L("Tab goes to the buttons. What you type goes nowhere."), look.Secondary, false)
	t.ring.StrokeWidth, t.ring.CornerRadius = 1, look.Radius
	t.ExtendBaseWidget(t)
	return t
}

// CreateRenderer implements fyne.Widget.
func (t *typedOver) CreateRenderer() fyne.WidgetRenderer {
	return widget.NewSimpleRenderer(container.NewStack(t.ring, container.NewPadded(t.hint)))
}

// Refresh draws the ring of what has the keyboard.
func (t *typedOver) Refresh() {
	t.ring.StrokeColor = color.Transparent
	if t.focused {
		t.ring.StrokeColor = look.Color(look.Accent)
	}
	t.BaseWidget.Refresh()
}

// begin takes the keyboard when the dialog comes.
func (t *typedOver) begin() {
	t.last = t.now()
	t.box.canvas.Focus(t)
}

// FocusGained implements fyne.Focusable.
func (t *typedOver) FocusGained() {
	t.focused = true
	t.Refresh()
	reveal(t)
}

// FocusLost implements fyne.Focusable.
func (t *typedOver) FocusLost() {
	t.focused = false
	t.Refresh()
}

// AcceptsTab implements fyne.Tabbable: the first Tab may be one of a sheet.
func (t *typedOver) AcceptsTab() bool { return !t.passed }

// typing tells that a key belongs to what the hands were at, and counts it.
func (t *typedOver) typing() bool {
	now := t.now()
	typing := now.Sub(t.last) < rest
	t.last = now
	return typing
}

// TypedRune implements fyne.Focusable.
func (t *typedOver) TypedRune(rune) { t.typing() }

// TypedKey implements fyne.Focusable.
func (t *typedOver) TypedKey(e *fyne.KeyEvent) {
	if t.typing() {
		return
	}
	switch e.Name {
	case fyne.KeyEscape:
		t.box.escape()
	case fyne.KeyTab, fyne.KeyDown, fyne.KeyUp, fyne.KeyLeft, fyne.KeyRight:
		t.passed = true
		t.box.canvas.FocusNext()
	case fyne.KeyReturn, fyne.KeyEnter, fyne.KeySpace:
	default:
		PassKey(t, e)
	}
}
