package widgets

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/words"
)

// Tabs is a row of names, one of them chosen: the sections of a screen. Left,
// Right, Home and End choose another while it has the keyboard.
type Tabs struct {
	widget.BaseWidget
	names    []words.Text
	chosen   int
	focused  bool
	onChosen func(name words.Text)
	lefts    []float32 // of each name
	texts    []*canvas.Text
	lines    []*canvas.Rectangle
	ring     *canvas.Rectangle
	content  *fyne.Container
}

var (
	_ fyne.Focusable = (*Tabs)(nil)
	_ fyne.Tappable  = (*Tabs)(nil)
)

// NewTabs returns the names with the first one chosen; chosen is told when a
// person chooses another.
func NewTabs(names []words.Text, chosen func(name words.Text)) *Tabs {
	t := &Tabs{names: names, onChosen: chosen, ring: canvas.NewRectangle(color.Transparent)}
	t.ring.StrokeWidth, t.ring.CornerRadius = 2, look.Radius
	objects := []fyne.CanvasObject{}
	var left float32
	for i, name := range names {
		text, line := canvas.NewText(say.L(name), color.Transparent), canvas.NewRectangle(color.Transparent)
		text.TextSize = look.TextSize()
		t.texts, t.lines = append(t.texts, text), append(t.lines, line)
		objects = append(objects, text, line)
		t.lefts = append(t.lefts, left)
		left += t.width(i)
	}
	t.content = container.New(&tabsLayout{t}, append(objects, t.ring)...)
	t.ExtendBaseWidget(t)
	t.restyle()
	return t
}

// Selected returns the chosen name.
func (t *Tabs) Selected() words.Text { return t.names[t.chosen] }

// Select chooses a name without telling; an unknown one changes nothing.
func (t *Tabs) Select(name words.Text) {
	for i, have := range t.names {
		if have == name {
			t.chosen = i
		}
	}
	t.Refresh()
}

func (t *Tabs) choose(i int) {
	if i < 0 || i >= len(t.names) || i == t.chosen {
		return
	}
	t.chosen = i
	t.Refresh()
	if t.onChosen != nil {
		t.onChosen(t.names[i])
	}
}

func (t *Tabs) restyle() {
	for i := range t.names {
		t.texts[i].TextStyle.Bold = i == t.chosen
		t.texts[i].Color = look.Color(look.Secondary)
		t.lines[i].FillColor = look.Color(look.Rule)
		if i == t.chosen {
			t.texts[i].Color, t.lines[i].FillColor = look.Color(look.Text), look.Color(look.Accent)
		}
	}
	t.ring.StrokeColor = color.Transparent
	if t.focused {
		t.ring.StrokeColor = look.Color(look.Accent)
	}
}

// Refresh draws the tabs anew.
func (t *Tabs) Refresh() {
	t.restyle()
	t.content.Refresh()
	t.BaseWidget.Refresh()
}

// CreateRenderer implements fyne.Widget.
func (t *Tabs) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(t.content) }

// FocusGained shows the focus.
func (t *Tabs) FocusGained() { t.focused = true; t.Refresh() }

// FocusLost hides it.
func (t *Tabs) FocusLost() { t.focused = false; t.Refresh() }

// TypedRune is for text; tabs take none.
func (t *Tabs) TypedRune(rune) {}

// TypedKey chooses the neighbour.
func (t *Tabs) TypedKey(e *fyne.KeyEvent) {
	if PassKey(t, e) {
		return
	}
	switch e.Name {
	case fyne.KeyLeft:
		t.choose(t.chosen - 1)
	case fyne.KeyRight:
		t.choose(t.chosen + 1)
	case fyne.KeyHome:
		t.choose(0)
	case fyne.KeyEnd:
		t.choose(len(t.names) - 1)
	}
}

// Tapped chooses the name under the pointer.
func (t *Tabs) Tapped(e *fyne.PointEvent) {
	for i, left := range t.lefts {
		if e.Position.X >= left && e.Position.X < left+t.width(i) {
			t.choose(i)
		}
	}
}

const tabInset = 12

func tabHeight() float32 { return look.FieldHeight() }

// width of a tab is that of its bold name, so that choosing moves nothing.
func (t *Tabs) width(i int) float32 {
	return fyne.MeasureText(say.L(t.names[i]), look.TextSize(), fyne.TextStyle{Bold: true}).Width + 2*tabInset
}

// tabsLayout sets each name over its line, and the ring around the chosen one.
type tabsLayout struct{ tabs *Tabs }

// MinSize implements fyne.Layout.
func (l *tabsLayout) MinSize([]fyne.CanvasObject) fyne.Size {
	var width float32
	for i := range l.tabs.names {
		width += l.tabs.width(i)
	}
	return fyne.NewSize(width, tabHeight())
}

// Layout implements fyne.Layout.
func (l *tabsLayout) Layout([]fyne.CanvasObject, fyne.Size) {
	for i, text := range l.tabs.texts {
		x, w := l.tabs.lefts[i], l.tabs.width(i)
		size := text.MinSize()
		text.Resize(size)
		text.Move(fyne.NewPos(x+(w-size.Width)/2, (tabHeight()-size.Height)/2))
		line, thick := l.tabs.lines[i], float32(1)
		if i == l.tabs.chosen {
			thick = 2
			l.tabs.ring.Resize(fyne.NewSize(w-4, tabHeight()-6))
			l.tabs.ring.Move(fyne.NewPos(x+2, 2))
		}
		line.Resize(fyne.NewSize(w, thick))
		line.Move(fyne.NewPos(x, tabHeight()-thick))
	}
}
