package widgets

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/widget"
)

// Scrolled lets its content be scrolled up and down when it is higher than its
// place, beside the bar and not under it. It moves by itself to what gets the
// keyboard.
type Scrolled struct {
	widget.BaseWidget
	scroll *container.Scroll
}

const (
	// scrollBarRoom is kept free at the right of the content for the bar.
	scrollBarRoom = 14
	// revealMargin is what is shown over and under the thing with the keyboard.
	revealMargin = 8
)

// NewScrolled returns content that can be scrolled.
func NewScrolled(content fyne.CanvasObject) *Scrolled {
	s := &Scrolled{scroll: container.NewVScroll(container.New(layout.NewCustomPaddedLayout(0, 0, 0, scrollBarRoom), content))}
	s.ExtendBaseWidget(s)
	return s
}

// SetMinSize sets the least size of the place.
func (s *Scrolled) SetMinSize(size fyne.Size) { s.scroll.SetMinSize(size) }

func (s *Scrolled) parts() []fyne.CanvasObject { return []fyne.CanvasObject{s.scroll} }

// CreateRenderer implements fyne.Widget.
func (s *Scrolled) CreateRenderer() fyne.WidgetRenderer {
	drawn[s] = true
	return newLaidOut(s, &scrolledRenderer{widget.NewSimpleRenderer(s.scroll), s})
}

type scrolledRenderer struct {
	fyne.WidgetRenderer
	s *Scrolled
}

// Layout implements fyne.WidgetRenderer.
func (r *scrolledRenderer) Layout(size fyne.Size) {
	r.WidgetRenderer.Layout(size)
	r.s.scroll.Refresh() // its bars
}

func (r *scrolledRenderer) Destroy() {
	delete(drawn, r.s)
	r.WidgetRenderer.Destroy()
}

// drawn holds what is scrolled and has been drawn: Fyne tells nobody that the
// keyboard has moved, and things do not know what they lie in. It is used on the
// UI goroutine only.
var drawn = map[*Scrolled]bool{}

// reveal scrolls to an object that has got the keyboard.
func reveal(o fyne.CanvasObject) {
	d := fyne.CurrentApp().Driver()
	for s := range drawn {
		if holds(s, o) {
			s.reveal(d.AbsolutePositionForObject(o).Subtract(d.AbsolutePositionForObject(s.scroll.Content)), o.Size())
		}
	}
}

// holds tells whether an object is the other one or it lies within.
func holds(whole, part fyne.CanvasObject) bool {
	found := false
	eachWithin(whole, func(o fyne.CanvasObject) { found = found || o == part })
	return found
}

// reveal scrolls to a rectangle of the content. What is higher than the place is
// shown from its top.
func (s *Scrolled) reveal(at fyne.Position, size fyne.Size) {
	top, bottom, height := max(0, at.Y-revealMargin), at.Y+size.Height+revealMargin, s.scroll.Size().Height
	y := s.scroll.Offset.Y
	if bottom > y+height {
		y = bottom - height
	}
	if top < y {
		y = top
	}
	if y != s.scroll.Offset.Y {
		s.scroll.ScrollToOffset(fyne.NewPos(0, y))
	}
}
