package widgets

import (
	"slices"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
)

// Dialog describes a dialog to show.
type Dialog struct {
	Title   string
	Content fyne.CanvasObject
	// Confirm labels the main button; empty: the dialog can only be closed.
	Confirm string
	// Cancel labels the closing button; empty: "Cancel", or "Close" without a
	// main button.
	Cancel string
	// OnConfirm does the work; false keeps the dialog open.
	OnConfirm func() bool
	// OnClosed runs when the dialog has gone, however that came about.
	OnClosed func()
	// Focus has the keyboard first; nil: the first thing that can.
	Focus fyne.Focusable
	// Unasked tells that it comes by itself, perhaps under typing hands: no key answers
	// it until the keyboard was moved to a button. Focus is then not used.
	Unasked bool
	// Width of the content; zero: as the content asks, at least 360.
	Width float32
}

const dialogMinWidth = 360

// ShowDialog opens a dialog over the window. Enter confirms, Esc closes, the
// keyboard goes back to where it was. While a dialog is open a second one
// waits until the first is closed. The returned function closes the dialog.
func ShowDialog(win fyne.Window, d Dialog) (closeDialog func()) {
	box := newDialogBox(win.Canvas(), d)
	if first := openDialog(win.Canvas()); first != nil {
		first.waiting = append(first.waiting, box)
		return box.close
	}
	box.show()
	return box.close
}

// ShowForm opens a form with a button that confirms it; confirm returns false
// to keep it open, for example after Form.ShowFaults.
func ShowForm(win fyne.Window, title, confirmText string, form *Form, confirm func() bool) {
	ShowDialog(win, Dialog{Title: title, Content: form, Confirm: confirmText, OnConfirm: confirm, Focus: form.First(), Width: 480})
}

// ticksSize is the room of a list in a dialog.
var ticksSize = fyne.NewSize(360, 380)

// ShowTicks asks to tick rows of a list; take gets the IDs of the ticked ones
// and keeps the dialog open by returning false.
func ShowTicks(win fyne.Window, title string, rows []Row, checked []int, take func(ids []int) bool) {
	table := NewTable([]Column{{Title: title, Weight: 1}})
	table.Checks = true
	table.SetRows(rows)
	table.SetChecked(checked...)
	ShowDialog(win, Dialog{Title: title, Content: container.NewGridWrap(ticksSize, table), Confirm: say.L("Show"), Focus: table,
		OnConfirm: func() bool { return take(table.Checked()) }})
}

// ShowMessage opens a dialog that can only be read and closed.
func ShowMessage(win fyne.Window, title string, content fyne.CanvasObject) {
	ShowDialog(win, Dialog{Title: title, Content: content})
}

// ShowUnasked asks what nobody asked for, perhaps while somebody types.
func ShowUnasked(win fyne.Window, title, text, confirmText string, confirm func()) {
	ShowDialog(win, Dialog{Title: title, Content: NewWrapped(text), Confirm: confirmText, Width: 420, Unasked: true,
		OnConfirm: func() bool { confirm(); return true }})
}

// ShowQuestion asks before something that cannot be undone.
func ShowQuestion(win fyne.Window, title, text, confirmText string, confirm func()) {
	ShowDialog(win, Dialog{Title: title, Content: NewWrapped(text), Confirm: confirmText, Width: 420,
		OnConfirm: func() bool { confirm(); return true }})
}

// dialogBox is an open dialog; it is the content of the window's overlay.
type dialogBox struct {
	widget.BaseWidget
	canvas  fyne.Canvas
	spec    Dialog
	popup   *widget.PopUp
	overlay fyne.CanvasObject // what the popup lies in
	content fyne.CanvasObject
	confirm *Button
	cancel  *Button
	before  fyne.Focusable
	waiting []*dialogBox
	closed  bool
	held    string     // what the content held when it was opened
	warning *Line      // that what was typed would be lost
	over    *typedOver // nil: somebody asked for the dialog
}

func newDialogBox(c fyne.Canvas, d Dialog) *dialogBox {
	b := &dialogBox{canvas: c, spec: d}
	label := d.Cancel
	if label == "" && d.Confirm == "" {
		label = say.L("Close")
	} else if label == "" {
		label = say.L("Cancel")
	}
	b.warning = NewLine("", look.Problem, false)
	buttons := container.New(dialogButtons{}, b.warning)
	if d.Confirm != "" {
		b.confirm = NewPrimary(d.Confirm, b.accept)
		buttons.Add(b.confirm)
	}
	b.cancel = NewSecondary(label, b.escape)
	buttons.Add(b.cancel)
	title := newTitle(d.Title)
	width := canvas.NewRectangle(nil)
	width.SetMinSize(fyne.NewSize(max(d.Width, dialogMinWidth), 0))
	middle := d.Content
	if middle == nil {
		middle = layout.NewSpacer()
	}
	top := container.NewVBox(title, width)
	if d.Unasked {
		b.over = newTypedOver(b)
		top.Add(b.over)
	}
	b.content = container.New(layout.NewCustomPaddedLayout(12, 12, 16, 16),
		container.NewBorder(top, container.NewPadded(buttons), nil, nil, middle))
	b.ExtendBaseWidget(b)
	return b
}

// newTitle is the heading of a dialog.
func newTitle(text string) *Line {
	l := NewLine(text, look.Text, true)
	l.text.TextSize = 15
	return l
}

// CreateRenderer implements fyne.Widget.
func (b *dialogBox) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(b.content) }

func (b *dialogBox) show() {
	b.before = b.canvas.Focused()
	b.popup = widget.NewModalPopUp(b, b.canvas)
	b.popup.Show()
	b.overlay = b.canvas.Overlays().Top()
	open[b.canvas] = b
	b.held = heldBy(b.spec.Content)
	switch {
	case b.over != nil:
		b.over.begin()
	case b.spec.Focus != nil:
		b.canvas.Focus(b.spec.Focus)
	default:
		b.canvas.FocusNext()
	}
}

// accept does the work of the dialog and closes it, unless it is refused.
func (b *dialogBox) accept() {
	if b.closed {
		return
	}
	if b.spec.OnConfirm == nil || b.spec.OnConfirm() {
		b.close()
	}
}

// escape closes the dialog; what was typed into it must be dropped twice.
func (b *dialogBox) escape() {
	if b.spec.Confirm != "" && b.warning.Text() == "" && heldBy(b.spec.Content) != b.held {
		b.warning.SetText(say.F("Not saved yet. Press %s again to drop what you typed.", b.cancel.Text))
		b.content.Refresh()
		return
	}
	b.close()
}

// heldBy returns what the fields within an object hold, as one text.
func heldBy(o fyne.CanvasObject) string {
	var b strings.Builder
	eachWithin(o, func(o fyne.CanvasObject) {
		switch o := o.(type) {
		case interface{ held() string }:
			b.WriteString(o.held() + "\x00")
		}
	})
	return b.String()
}

// TypedField is what stands in a field of a form.
type TypedField struct{ Label, Text string }

// TypedInto returns the title of the open dialog and what stands in the fields of
// its forms; none without a dialog.
func TypedInto(win fyne.Window) (title string, fields []TypedField) {
	box := openDialog(win.Canvas())
	if box == nil {
		return "", nil
	}
	eachWithin(box.spec.Content, func(o fyne.CanvasObject) {
		form, ok := o.(*Form)
		if !ok {
			return
		}
		for _, row := range form.rows {
			if text := typedIn(row.field.Input); text != "" {
				fields = append(fields, TypedField{row.field.Label, text})
			}
		}
	})
	return box.spec.Title, fields
}

// typedIn is what a person sees in a field.
func typedIn(input fyne.CanvasObject) string {
	switch in := input.(type) {
	case interface{ Shown() string }:
		return in.Shown()
	case interface{ held() string }:
		return in.held()
	}
	return ""
}

// eachWithin calls see for an object and all that it holds.
func eachWithin(o fyne.CanvasObject, see func(fyne.CanvasObject)) {
	if o == nil {
		return
	}
	see(o)
	switch o := o.(type) {
	case *fyne.Container:
		for _, child := range o.Objects {
			eachWithin(child, see)
		}
	case *container.Scroll:
		eachWithin(o.Content, see)
	case interface{ parts() []fyne.CanvasObject }:
		for _, child := range o.parts() {
			eachWithin(child, see)
		}
	}
}

func (b *dialogBox) close() {
	if b.closed {
		return
	}
	b.closed = true
	if b.popup == nil {
		return
	}
	b.popup.Hide()
	delete(open, b.canvas)
	if b.before != nil {
		b.canvas.Focus(b.before)
	}
	if b.spec.OnClosed != nil {
		b.spec.OnClosed()
	}
	b.showWaiting()
}

// showWaiting opens the next dialog that was asked for meanwhile.
func (b *dialogBox) showWaiting() {
	for i, next := range b.waiting {
		if next.closed {
			continue
		}
		if other := openDialog(b.canvas); other != nil {
			other.waiting = append(other.waiting, b.waiting[i:]...)
			return
		}
		next.waiting = append(next.waiting, b.waiting[i+1:]...)
		next.show()
		return
	}
}

// open holds the open dialog of each window's canvas. It is used on the UI
// goroutine only.
var open = map[fyne.Canvas]*dialogBox{}

// openDialog returns the dialog that is open over the canvas, nil for none.
func openDialog(c fyne.Canvas) *dialogBox {
	box := open[c]
	if box == nil || !slices.Contains(c.Overlays().List(), box.overlay) {
		return nil
	}
	return box
}

// DialogOpen tells whether a dialog or a menu lies over the window.
func DialogOpen(win fyne.Window) bool { return win.Canvas().Overlays().Top() != nil }

// handledByDialog lets the window have its own keys and the dialog around an
// object Esc, and Enter unless the object has its own use for it.
func handledByDialog(o fyne.CanvasObject, key *fyne.KeyEvent, ownEnter bool) bool {
	if PassKey(o, key) {
		return true
	}
	c := fyne.CurrentApp().Driver().CanvasForObject(o)
	enter := key.Name == fyne.KeyReturn || key.Name == fyne.KeyEnter
	if key.Name != fyne.KeyEscape && (ownEnter || !enter) {
		return false
	}
	box := openDialog(c)
	if box == nil || box.overlay != box.canvas.Overlays().Top() {
		return false
	}
	if enter {
		box.accept()
	} else {
		box.escape()
	}
	return true
}

// escapeDialog is Esc for the dialog in front when nothing has the keyboard, as after
// a click beside it.
func escapeDialog(c fyne.Canvas) {
	if box := openDialog(c); box != nil && box.overlay == c.Overlays().Top() {
		box.escape()
	}
}

// PassKey does what a key means in the whole window; false: nothing. Widgets call
// it for the keys that they are given.
func PassKey(o fyne.CanvasObject, key *fyne.KeyEvent) bool {
	c := fyne.CurrentApp().Driver().CanvasForObject(o)
	if key.Name == fyne.KeyEscape {
		return escaped(c)
	}
	do := windowKeys[c][key.Name]
	if do != nil {
		do()
	}
	return do != nil
}

// windowKeys are the keys that mean the same whatever has the keyboard. It is
// used on the UI goroutine only.
var windowKeys = map[fyne.Canvas]map[fyne.KeyName]func(){}

// OnKey lets a key without modifiers do something in the whole window. Fyne hands
// such keys to what has the keyboard, so the widgets here pass them on.
func OnKey(win fyne.Window, key fyne.KeyName, do func()) {
	c := win.Canvas()
	if windowKeys[c] == nil {
		windowKeys[c] = map[fyne.KeyName]func(){}
		c.SetOnTypedKey(func(e *fyne.KeyEvent) {
			if do := windowKeys[c][e.Name]; do != nil {
				do()
			} else if e.Name == fyne.KeyEscape && !escaped(c) {
				escapeDialog(c)
			}
		})
	}
	windowKeys[c][key] = do
}
