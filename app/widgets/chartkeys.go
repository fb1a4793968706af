package widgets

import (
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
)

const (
	zoomStep   = 0.6            // of the stretch that a zoom leaves
	panStep    = 0.25           // of the stretch that a move goes
	leastShown = 12 * time.Hour // that a zoom leaves
)

// FocusGained shows the focus.
func (v *ChartView) FocusGained() {
	v.focused = true
	v.BaseWidget.Refresh()
	reveal(v)
}

// FocusLost hides it.
func (v *ChartView) FocusLost() { v.focused = false; v.Refresh() }

// Tapped takes the keyboard.
func (v *ChartView) Tapped(*fyne.PointEvent) {
	if c := fyne.CurrentApp().Driver().CanvasForObject(v); c != nil {
		c.Focus(v)
	}
}

// TypedRune zooms.
func (v *ChartView) TypedRune(r rune) {
	switch r {
	case '+', '=':
		v.zoom(zoomStep, 0.5)
	case '-', '\u2212':
		v.zoom(1/zoomStep, 0.5)
	case '0':
		v.whole()
	}
}

// TypedKey goes from point to point and moves the stretch.
func (v *ChartView) TypedKey(e *fyne.KeyEvent) {
	if v.picture == nil || handledByDialog(v, e, true) {
		return
	}
	shift := v.Modifiers()&fyne.KeyModifierShift != 0
	switch e.Name {
	case fyne.KeyLeft, fyne.KeyRight:
		by := 1
		if e.Name == fyne.KeyLeft {
			by = -1
		}
		if shift {
			v.pan(float64(by) * panStep)
			return
		}
		v.step(by)
	case fyne.KeyPageUp:
		v.pan(-2 * panStep)
	case fyne.KeyPageDown:
		v.pan(2 * panStep)
	case fyne.KeyHome:
		v.end(-1)
	case fyne.KeyEnd:
		v.end(1)
	case fyne.KeyEscape:
		v.say(Spot{})
	}
}

// step moves the readout to the next point; without a readout it begins at the
// newest point.
func (v *ChartView) step(by int) {
	if len(v.spot.Lines) == 0 {
		v.end(1)
		return
	}
	if s, ok := v.picture.Next(v.frame, v.spot.X, v.spot.Y, by); ok {
		v.say(s)
	}
}

// end moves the readout to the first or the last point that is shown.
func (v *ChartView) end(by int) {
	x := float32(-1)
	if by > 0 {
		x = v.Size().Width + 1
	}
	if s, ok := v.picture.Next(v.frame, x, v.spot.Y, -by); ok {
		v.say(s)
	}
}

// zoom leaves a part of the stretch, around a place from 0 to 1 of it.
func (v *ChartView) zoom(part, around float64) {
	if v.picture == nil {
		return
	}
	from, to := v.Stretch()
	length := to.Sub(from)
	next := max(time.Duration(float64(length)*part), leastShown)
	v.showStretch(from.Add(time.Duration(float64(length-next)*around)), next)
}

// pan moves the stretch by a part of it.
func (v *ChartView) pan(part float64) {
	if v.picture == nil {
		return
	}
	from, to := v.Stretch()
	v.showStretch(from.Add(time.Duration(float64(to.Sub(from))*part)), to.Sub(from))
}

func (v *ChartView) whole() {
	if v.picture != nil {
		from, to := v.picture.Span()
		v.showStretch(from, to.Sub(from))
	}
}

// showStretch shows a stretch of time within the span.
func (v *ChartView) showStretch(from time.Time, length time.Duration) {
	first, last := v.picture.Span()
	if length >= last.Sub(first) {
		from, length = first, last.Sub(first)
	}
	if end := last.Add(-length); from.After(end) {
		from = end
	}
	if from.Before(first) {
		from = first
	}
	v.from, v.to = from, from.Add(length)
	v.Refresh()
}

// Scrolled zooms around the pointer.
func (v *ChartView) Scrolled(e *fyne.ScrollEvent) {
	if v.Size().Width <= 0 || e.Scrolled.DY == 0 {
		return
	}
	around := float64(min(max(e.Position.X/v.Size().Width, 0), 1))
	if e.Scrolled.DY > 0 {
		v.zoom(zoomStep, around)
	} else {
		v.zoom(1/zoomStep, around)
	}
}

// Dragged moves the stretch with the pointer.
func (v *ChartView) Dragged(e *fyne.DragEvent) {
	if v.Size().Width > 0 {
		v.pan(-float64(e.Dragged.DX / v.Size().Width))
	}
}

// DragEnd implements fyne.Draggable.
func (v *ChartView) DragEnd() {}

// MouseIn shows the readout.
func (v *ChartView) MouseIn(e *desktop.MouseEvent) { v.MouseMoved(e) }

// MouseMoved lets the readout follow; the chart itself is not drawn again.
func (v *ChartView) MouseMoved(e *desktop.MouseEvent) {
	if v.picture == nil || v.frame.W == 0 {
		return
	}
	s, ok := v.picture.Near(v.frame, e.Position.X, e.Position.Y)
	if !ok {
		s = Spot{}
	}
	v.say(s)
}

// MouseOut takes the readout away.
func (v *ChartView) MouseOut() { v.say(Spot{}) }
