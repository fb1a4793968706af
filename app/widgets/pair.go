package widgets

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
)

// Pair is one field of a form that takes two things side by side, such as a water
// and how much of it.
type Pair struct {
	widget.BaseWidget
	first, second fyne.CanvasObject
	share         float32
	content       *fyne.Container
}

// pairGap is the room between the two, pairSecond what the second has at least.
const (
	pairGap    = 8
	pairSecond = 92
)

// NewPair gives the first input a share, 0 to 1, of the width.
func NewPair(first, second fyne.CanvasObject, share float32) *Pair {
	p := &Pair{first: first, second: second, share: share}
	p.content = container.New(pairLayout{p}, first, second)
	p.ExtendBaseWidget(p)
	return p
}

// fault is what the second thing says of itself.
func (p *Pair) fault() string {
	if own, can := p.second.(interface{ fault() string }); can {
		return own.fault()
	}
	return ""
}

// FocusTarget is what has the keyboard for the field.
func (p *Pair) FocusTarget() fyne.Focusable { return targetOf(p.first) }

func (p *Pair) parts() []fyne.CanvasObject { return []fyne.CanvasObject{p.first, p.second} }

// CreateRenderer implements fyne.Widget.
func (p *Pair) CreateRenderer() fyne.WidgetRenderer {
	return newLaidOut(p, widget.NewSimpleRenderer(p.content))
}

type pairLayout struct{ pair *Pair }

// MinSize implements fyne.Layout.
func (l pairLayout) MinSize([]fyne.CanvasObject) fyne.Size {
	a, b := l.pair.first.MinSize(), l.pair.second.MinSize()
	return fyne.NewSize(a.Width+pairGap+max(b.Width, pairSecond), max(a.Height, b.Height))
}

// Layout implements fyne.Layout.
func (l pairLayout) Layout(_ []fyne.CanvasObject, size fyne.Size) {
	room := size.Width - pairGap
	left := max(room*l.pair.share, l.pair.first.MinSize().Width)
	left = min(left, max(0, room-max(pairSecond, l.pair.second.MinSize().Width)))
	height := l.pair.first.MinSize().Height
	l.pair.first.Resize(fyne.NewSize(left, height))
	l.pair.second.Move(fyne.NewPos(left+pairGap, 0))
	l.pair.second.Resize(fyne.NewSize(max(0, room-left), l.pair.second.MinSize().Height))
}
