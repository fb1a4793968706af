package apptest

import (
	"fmt"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/widget"
)

// Area is a rectangle on a window.
type Area struct{ X, Y, W, H float32 }

// Within returns what of the area lies in another one; it is empty when nothing
// does.
func (a Area) Within(b Area) Area {
	x, y := max(a.X, b.X), max(a.Y, b.Y)
	w, h := min(a.X+a.W, b.X+b.W)-x, min(a.Y+a.H, b.Y+b.H)-y
	return Area{x, y, max(w, 0), max(h, 0)}
}

// Empty tells that there is nothing of the area.
func (a Area) Empty() bool { return a.W <= 0.5 || a.H <= 0.5 }

// SeenText is a text on a window.
type SeenText struct {
	Text string
	At   Area // of its letters
	Clip Area // what of the window it may be seen in
	// Scrolls tells that a scroll brings the rest of it into sight.
	Scrolls bool
	// In names the widgets around it, the outermost first.
	In []string
}

// Texts returns every text of what is in front on a window, with its place.
func Texts(w fyne.Window) []SeenText {
	var out []SeenText
	size := w.Canvas().Size()
	look := lookAt{found: &out, clip: Area{0, 0, size.Width, size.Height}}
	look.see(Top(w.Canvas()), fyne.NewPos(0, 0))
	return out
}

// lookAt walks down what is shown.
type lookAt struct {
	found   *[]SeenText
	clip    Area
	scrolls bool
	in      []string
}

func (l lookAt) see(o fyne.CanvasObject, at fyne.Position) {
	if o == nil || !o.Visible() {
		return
	}
	at = at.Add(o.Position())
	area := Area{at.X, at.Y, o.Size().Width, o.Size().Height}
	switch o := o.(type) {
	case *canvas.Text:
		l.text(o, area)
	case *fyne.Container:
		for _, child := range o.Objects {
			l.see(child, at)
		}
	case *container.Scroll:
		l.clip, l.scrolls = l.clip.Within(area), true
		l.children(o, at)
	case *container.Clip:
		l.clip = l.clip.Within(area)
		l.children(o, at)
	case *widget.PopUp:
		l.children(o, at)
	case fyne.Widget:
		l.in = append(l.in[:len(l.in):len(l.in)], nameOf(o))
		l.children(o, at)
	}
}

func (l lookAt) children(o fyne.Widget, at fyne.Position) {
	for _, child := range test.WidgetRenderer(o).Objects() {
		l.see(child, at)
	}
}

func (l lookAt) text(t *canvas.Text, area Area) {
	if t.Text == "" {
		return
	}
	size := fyne.MeasureText(t.Text, t.TextSize, t.TextStyle)
	x := area.X
	switch t.Alignment {
	case fyne.TextAlignTrailing:
		x += area.W - size.Width
	case fyne.TextAlignCenter:
		x += (area.W - size.Width) / 2
	}
	*l.found = append(*l.found, SeenText{
		Text: t.Text, At: Area{x, area.Y + (area.H-size.Height)/2, size.Width, size.Height}, Clip: l.clip, Scrolls: l.scrolls, In: l.in,
	})
}

// nameOf is the type of a widget, without its package and what it holds.
func nameOf(w fyne.Widget) string {
	name, _, _ := strings.Cut(fmt.Sprintf("%T", w), "[")
	return name[strings.LastIndexByte(name, '.')+1:]
}
