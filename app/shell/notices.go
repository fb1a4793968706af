package shell

import (
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
)

// notices are what was said to the person and not closed yet. They lie over the page
// in its lower right corner, the newest in front, and never move it. What is said
// while no ledger is open waits for the next one, or for the welcome page.
type notices struct {
	canvas  fyne.Canvas
	said    []saidNotice // the newest last
	at      int          // which is in front
	visible bool         // the layer is on the window
	front   *widgets.Notice
	next    *widgets.Button // that shows another one
	before  fyne.Focusable  // what had the keyboard before the notice's buttons
	layer   *fyne.Container
}

type saidNotice struct {
	session.Notice
	seen bool
}

func newNotices(c fyne.Canvas) *notices {
	return &notices{canvas: c, layer: container.New(inCorner{})}
}

// say puts a notice in front. One that says the same as another takes its place.
func (n *notices) say(what session.Notice) {
	n.said = slices.DeleteFunc(n.said, func(s saidNotice) bool { return s.Title == what.Title && s.Text == what.Text })
	n.said = append(n.said, saidNotice{Notice: what})
	n.toNewest()
}

func (n *notices) toNewest() {
	n.at = len(n.said) - 1
	n.show()
}

// onWindow says whether the layer is on the window from now on.
func (n *notices) onWindow(visible bool) {
	n.visible = visible
	n.toNewest()
}

// show draws the notice in front, if there is one.
func (n *notices) show() {
	n.keepKeyboard()
	n.front, n.next, n.layer.Objects = nil, nil, nil
	if len(n.said) > 0 {
		n.draw(&n.said[n.at])
	}
	n.layer.Refresh()
}

func (n *notices) draw(s *saidNotice) {
	s.seen = s.seen || n.visible
	var actions []widgets.Action
	if s.Do != "" {
		then := s.Then
		actions = append(actions, widgets.Action{Text: s.Do, Do: func() { n.closeFront(); then() }})
	}
	actions = append(actions, widgets.Action{Text: say.L("Close"), Do: func() { n.closeFront() }})
	n.front = widgets.NewNotice(s.Title, s.Text, s.Bad, actions...)
	if all := len(n.said); all > 1 {
		n.next = widgets.NewSecondary(say.L("The one before"), n.older)
		n.front.And(n.next, widgets.NewLine(say.F("%d of %d", all-n.at, all), look.Secondary, false))
	}
	n.layer.Objects = []fyne.CanvasObject{n.front}
}

// older shows the notice said before the one in front, after the oldest the newest.
func (n *notices) older() {
	n.at--
	if n.at < 0 {
		n.at = len(n.said) - 1
	}
	n.show()
	n.canvas.Focus(n.next)
}

// closeFront takes the notice in front away; false: there is none.
func (n *notices) closeFront() bool {
	if len(n.said) == 0 || !n.visible {
		return false
	}
	n.said = slices.Delete(n.said, n.at, n.at+1)
	n.toNewest()
	return true
}

// leave forgets what was seen, since the person goes to another page.
func (n *notices) leave() {
	n.said = slices.DeleteFunc(n.said, func(s saidNotice) bool { return s.seen && !s.Stays })
	n.toNewest()
}

// hold tells whether something is said under a title.
func (n *notices) hold(title string) bool {
	return slices.ContainsFunc(n.said, func(s saidNotice) bool { return s.Title == title })
}

// settle takes away what was said under a title.
func (n *notices) settle(title string) {
	n.said = slices.DeleteFunc(n.said, func(s saidNotice) bool { return s.Title == title })
	n.toNewest()
}

// take returns what was said and forgets it.
func (n *notices) take() []session.Notice {
	var all []session.Notice
	for _, s := range n.said {
		all = append(all, s.Notice)
	}
	n.said = nil
	n.show()
	return all
}

// keepKeyboard gives the keyboard back to what had it before the buttons of the
// notice in front, which goes.
func (n *notices) keepKeyboard() {
	focused := n.canvas.Focused()
	if o, ok := focused.(fyne.CanvasObject); !ok || n.front == nil || !n.front.Holds(o) {
		n.before = focused
		return
	}
	n.canvas.Unfocus()
	if o, ok := n.before.(fyne.CanvasObject); ok && fyne.CurrentApp().Driver().CanvasForObject(o) == n.canvas {
		n.canvas.Focus(n.before)
	}
}

// inCorner lays its object into the lower right corner, as wide as a sentence or two
// need and as high as it must be.
type inCorner struct{}

const (
	cornerGap   = 10
	cornerWidth = 480
)

// MinSize implements fyne.Layout: what lies over a page asks for no room.
func (inCorner) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.Size{} }

// Layout implements fyne.Layout.
func (inCorner) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	for _, o := range objects {
		width := min(look.Scaled(cornerWidth), size.Width-2*cornerGap)
		for range 2 { // a paragraph knows its height only at its width
			o.Resize(fyne.NewSize(width, o.MinSize().Height))
		}
		o.Move(fyne.NewPos(size.Width-cornerGap-width, max(size.Height-cornerGap-o.Size().Height, 0)))
	}
}
