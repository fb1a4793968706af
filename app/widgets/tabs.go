package widgets

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/assets/words"
)

// Tab is one section of a screen: what the program knows it by, and its name.
type Tab[S comparable] struct {
	ID   S
	Name words.Text
}

// TabsOf returns a tab for each section, by the name that it has itself.
func TabsOf[S interface {
	comparable
	words.Worded
}](sections []S) []Tab[S] {
	tabs := make([]Tab[S], len(sections))
	for i, s := range sections {
		tabs[i] = Tab[S]{s, s.Words()}
	}
	return tabs
}

// Tabs is a row of names, one of them chosen: the sections of a screen. Left,
// Right, Home and End choose another while it has the keyboard.
type Tabs[S comparable] struct {
	widget.BaseWidget
	tabs     []Tab[S]
	chosen   int
	focused  bool
	onChosen func(S)
	places   []fyne.Position // of each name
	texts    []*canvas.Text
	lines    []*canvas.Rectangle
	ring     *canvas.Rectangle
	content  *fyne.Container
}

var (
	_ fyne.Focusable = (*Tabs[int])(nil)
	_ fyne.Tappable  = (*Tabs[int])(nil)
)

// NewTabs returns the tabs with the first one chosen; chosen is told when a person
// chooses another.
func NewTabs[S comparable](tabs []Tab[S], chosen func(S)) *Tabs[S] {
	t := &Tabs[S]{tabs: tabs, onChosen: chosen, ring: canvas.NewRectangle(color.Transparent)}
	t.ring.StrokeWidth, t.ring.CornerRadius = 2, look.Radius
	objects := []fyne.CanvasObject{}
	for _, tab := range tabs {
		text, line := canvas.NewText(say.L(tab.Name), color.Transparent), canvas.NewRectangle(color.Transparent)
		text.TextSize = look.TextSize()
		t.texts, t.lines = append(t.texts, text), append(t.lines, line)
		objects = append(objects, text, line)
	}
	t.places = make([]fyne.Position, len(tabs))
	t.content = container.New(&tabsLayout[S]{tabs: t}, append(objects, t.ring)...)
	t.ExtendBaseWidget(t)
	t.restyle()
	return t
}

// Selected returns the chosen section.
func (t *Tabs[S]) Selected() S { return t.tabs[t.chosen].ID }

// Select chooses a section without telling; an unknown one changes nothing.
func (t *Tabs[S]) Select(id S) {
	for i, have := range t.tabs {
		if have.ID == id {
			t.chosen = i
		}
	}
	t.Refresh()
}

func (t *Tabs[S]) choose(i int) {
	if i < 0 || i >= len(t.tabs) || i == t.chosen {
		return
	}
	t.chosen = i
	t.Refresh()
	if t.onChosen != nil {
		t.onChosen(t.tabs[i].ID)
	}
}

func (t *Tabs[S]) restyle() {
	for i := range t.tabs {
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
func (t *Tabs[S]) Refresh() {
	t.restyle()
	t.content.Refresh()
	t.BaseWidget.Refresh()
}

// CreateRenderer implements fyne.Widget.
func (t *Tabs[S]) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(t.content) }

// FocusGained shows the focus.
func (t *Tabs[S]) FocusGained() {
	t.focused = true
	t.Refresh()
	reveal(t)
}

// FocusLost hides it.
func (t *Tabs[S]) FocusLost() { t.focused = false; t.Refresh() }

// TypedRune is for text; tabs take none.
func (t *Tabs[S]) TypedRune(rune) {}

// TypedKey chooses the neighbour.
func (t *Tabs[S]) TypedKey(e *fyne.KeyEvent) {
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
		t.choose(len(t.tabs) - 1)
	}
}

// Tapped chooses the name under the pointer.
func (t *Tabs[S]) Tapped(e *fyne.PointEvent) {
	for i, at := range t.places {
		in := e.Position.Subtract(at)
		if in.X >= 0 && in.X < t.width(i) && in.Y >= 0 && in.Y < tabHeight() {
			t.choose(i)
			return
		}
	}
}

const tabInset = 12

func tabHeight() float32 { return look.FieldHeight() }

// width of a tab is that of its bold name, so that choosing moves nothing.
func (t *Tabs[S]) width(i int) float32 {
	return fyne.MeasureText(say.L(t.tabs[i].Name), look.TextSize(), fyne.TextStyle{Bold: true}).Width + 2*tabInset
}

// tabsLayout sets each name over its line, and the ring around the chosen one;
// names that have no room go on in the next line.
type tabsLayout[S comparable] struct {
	tabs  *Tabs[S]
	width float32 // of the place; zero: not known yet
}

// flow finds the place of each tab and returns the size of all.
func (l *tabsLayout[S]) flow(width float32) fyne.Size {
	var x, y, widest float32
	t := l.tabs
	for i := range t.tabs {
		w := t.width(i)
		if x > 0 && width > 0 && x+w > width+0.5 {
			x, y = 0, y+tabHeight()
		}
		t.places[i] = fyne.NewPos(x, y)
		x += w
		widest = max(widest, x)
	}
	return fyne.NewSize(widest, y+tabHeight())
}

// MinSize implements fyne.Layout.
func (l *tabsLayout[S]) MinSize([]fyne.CanvasObject) fyne.Size {
	least := float32(0)
	for i := range l.tabs.tabs {
		least = max(least, l.tabs.width(i))
	}
	return fyne.NewSize(least, l.flow(l.width).Height)
}

// Layout implements fyne.Layout.
func (l *tabsLayout[S]) Layout(_ []fyne.CanvasObject, size fyne.Size) {
	l.width = size.Width
	l.flow(size.Width)
	for i, text := range l.tabs.texts {
		at, w := l.tabs.places[i], l.tabs.width(i)
		size := text.MinSize()
		text.Resize(size)
		text.Move(at.AddXY((w-size.Width)/2, (tabHeight()-size.Height)/2))
		line, thick := l.tabs.lines[i], float32(1)
		if i == l.tabs.chosen {
			thick = 2
			l.tabs.ring.Resize(fyne.NewSize(w-4, tabHeight()-6))
			l.tabs.ring.Move(at.AddXY(2, 2))
		}
		line.Resize(fyne.NewSize(w, thick))
		line.Move(at.AddXY(0, tabHeight()-thick))
	}
}
