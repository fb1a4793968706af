package widgets

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
)

// wheel lies unseen over something with a scroll of its own and takes the turns of
// the mouse wheel: what cannot turn further hands them to the Scrolled around it, as
// in a dialog that is higher than the window.
type wheel struct {
	widget.BaseWidget
	over   fyne.CanvasObject
	scroll *container.Scroll // of what lies under it; nil: none
}

var _ fyne.Scrollable = (*wheel)(nil)

func newWheel(over fyne.CanvasObject, scroll *container.Scroll) *wheel {
	w := &wheel{over: over, scroll: scroll}
	w.ExtendBaseWidget(w)
	return w
}

// CreateRenderer implements fyne.Widget: nothing is drawn.
func (w *wheel) CreateRenderer() fyne.WidgetRenderer {
	return widget.NewSimpleRenderer(container.NewWithoutLayout())
}

// Scrolled implements fyne.Scrollable.
func (w *wheel) Scrolled(e *fyne.ScrollEvent) {
	if w.scroll != nil && turns(w.scroll, e.Scrolled) {
		w.scroll.Scrolled(e)
		return
	}
	if outer := around(w.over); outer != nil && turns(outer.scroll, e.Scrolled) {
		outer.scroll.Scrolled(e)
		return
	}
	if w.scroll != nil {
		w.scroll.Scrolled(e) // a wheel turns sideways what fits in height
	}
}

// turns tells whether a scroll has more to show in the direction of a turn.
func turns(s *container.Scroll, by fyne.Delta) bool {
	content, size := s.Content.MinSize(), s.Size()
	more := func(by, offset, content, size float32) bool {
		return by < 0 && offset+size < content-0.5 || by > 0 && offset > 0
	}
	return s.Direction != container.ScrollHorizontalOnly && more(by.DY, s.Offset.Y, content.Height, size.Height) ||
		s.Direction != container.ScrollVerticalOnly && more(by.DX, s.Offset.X, content.Width, size.Width)
}

// around returns the innermost Scrolled that holds an object, nil for none.
func around(o fyne.CanvasObject) (inner *Scrolled) {
	for s := range drawn {
		if holds(s, o) && (inner == nil || holds(inner, s)) {
			inner = s
		}
	}
	return inner
}

// withWheel is a renderer with a wheel over everything else.
type withWheel struct {
	fyne.WidgetRenderer
	wheel *wheel
}

// newWithWheel lays a wheel over an object's renderer, above the scroll that is among
// its parts, if one is.
func newWithWheel(over fyne.CanvasObject, r fyne.WidgetRenderer) fyne.WidgetRenderer {
	var scroll *container.Scroll
	for _, o := range r.Objects() {
		if s, ok := o.(*container.Scroll); ok {
			scroll = s
		}
	}
	return &withWheel{r, newWheel(over, scroll)}
}

// Layout implements fyne.WidgetRenderer.
func (r *withWheel) Layout(size fyne.Size) {
	r.WidgetRenderer.Layout(size)
	r.wheel.Resize(size)
}

// Objects implements fyne.WidgetRenderer.
func (r *withWheel) Objects() []fyne.CanvasObject {
	parts := r.WidgetRenderer.Objects()
	return append(parts[:len(parts):len(parts)], r.wheel)
}
