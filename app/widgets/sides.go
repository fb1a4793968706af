package widgets

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/look"
)

// Sides sets two things beside one another with a thin rule between them; the
// left one has a fixed share of the width.
type Sides struct {
	widget.BaseWidget
	share       float32
	least       float32 // that each side is to have beside the other; 0: they never stack
	left, right fyne.CanvasObject
	rule        *canvas.Rectangle
	content     *fyne.Container
}

// sidesGap is the room on each side of the rule.
const sidesGap = 10

// NewSides gives left a share, 0 to 1, of the width.
func NewSides(left, right fyne.CanvasObject, share float32) *Sides {
	s := &Sides{share: share, left: left, right: right, rule: canvas.NewRectangle(look.Color(look.Rule))}
	s.content = container.New(sidesLayout{s}, left, s.rule, right)
	s.ExtendBaseWidget(s)
	return s
}

// Stacking sets the left thing above the right one, each half as high, where one of them
// would be narrower than least beside the other.
func (s *Sides) Stacking(least float32) *Sides {
	s.least = least
	return s
}

// Refresh takes the theme's colour of now.
func (s *Sides) Refresh() {
	s.rule.FillColor = look.Color(look.Rule)
	s.content.Refresh()
	s.BaseWidget.Refresh()
}

func (s *Sides) parts() []fyne.CanvasObject { return []fyne.CanvasObject{s.left, s.right} }

// CreateRenderer implements fyne.Widget.
func (s *Sides) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(s.content) }

type sidesLayout struct{ sides *Sides }

// MinSize implements fyne.Layout.
func (l sidesLayout) MinSize([]fyne.CanvasObject) fyne.Size {
	a, b := l.sides.left.MinSize(), l.sides.right.MinSize()
	if l.sides.least > 0 {
		return fyne.NewSize(max(a.Width, b.Width), a.Height+b.Height+2*sidesGap+1)
	}
	return fyne.NewSize(a.Width+b.Width+2*sidesGap+1, max(a.Height, b.Height))
}

// Layout implements fyne.Layout. A side is never narrower than it must be, as
// long as there is room for both.
func (l sidesLayout) Layout(_ []fyne.CanvasObject, size fyne.Size) {
	room := size.Width - 2*sidesGap - 1
	share := min(l.sides.share, 1-l.sides.share)
	if least := l.sides.least; least > 0 && (room*share < least || room < l.sides.left.MinSize().Width+l.sides.right.MinSize().Width) {
		l.stack(size)
		return
	}
	left := max(room*l.sides.share, l.sides.left.MinSize().Width)
	left = min(left, max(room-l.sides.right.MinSize().Width, l.sides.left.MinSize().Width))
	l.sides.left.Move(fyne.NewPos(0, 0))
	l.sides.left.Resize(fyne.NewSize(left, size.Height))
	l.sides.rule.Move(fyne.NewPos(left+sidesGap, 0))
	l.sides.rule.Resize(fyne.NewSize(1, size.Height))
	l.sides.right.Move(fyne.NewPos(left+2*sidesGap+1, 0))
	l.sides.right.Resize(fyne.NewSize(max(0, room-left), size.Height))
}

func (l sidesLayout) stack(size fyne.Size) {
	half := (size.Height - 2*sidesGap - 1) / 2
	l.sides.left.Move(fyne.NewPos(0, 0))
	l.sides.left.Resize(fyne.NewSize(size.Width, half))
	l.sides.rule.Move(fyne.NewPos(0, half+sidesGap))
	l.sides.rule.Resize(fyne.NewSize(size.Width, 1))
	l.sides.right.Move(fyne.NewPos(0, half+2*sidesGap+1))
	l.sides.right.Resize(fyne.NewSize(size.Width, half))
}
