package widgets

import (
	"math"
	"strconv"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
)

// TextEntry is a line of text that lets a dialog have its Enter and Esc keys.
type TextEntry struct {
	widget.Entry
	whole fyne.CanvasObject // the field that this is part of, as the window knows it
	hint  string            // the place holder in full
}

// NewTextEntry returns an entry that holds text.
func NewTextEntry(text string) *TextEntry {
	e := &TextEntry{}
	e.ExtendBaseWidget(e)
	e.setFirst(e, text)
	return e
}

// Begin makes the entry the part of a field of another type: what has the
// keyboard is then that field.
func (e *TextEntry) Begin(whole fyne.CanvasObject) { e.setFirst(whole, "") }

// setFirst puts in the text that the entry starts with.
func (e *TextEntry) setFirst(whole fyne.CanvasObject, text string) {
	e.whole = whole
	e.Wrapping, e.Scroll = fyne.TextWrapOff, fyne.ScrollHorizontalOnly
	e.Text, e.CursorColumn = text, len([]rune(text))
}

func (e *TextEntry) held() string { return e.Text }

// CreateRenderer implements fyne.Widget: the wheel over a field scrolls the form.
func (e *TextEntry) CreateRenderer() fyne.WidgetRenderer {
	return newWithWheel(e.whole, newLaidOut(e, e.Entry.CreateRenderer()))
}

// TypedKey implements fyne.Focusable.
func (e *TextEntry) TypedKey(key *fyne.KeyEvent) {
	if handledByDialog(e.whole, key, e.OnSubmitted != nil || e.MultiLine) {
		return
	}
	e.Entry.TypedKey(key)
}

// FocusGained shows the cursor.
func (e *TextEntry) FocusGained() {
	e.Entry.FocusGained()
	reveal(e.whole)
}

// SetPlaceHolder sets what stands in the empty entry, as much as there is room
// for.
func (e *TextEntry) SetPlaceHolder(text string) {
	e.hint = text
	e.fitHint(e.Size().Width)
}

// Resize implements fyne.CanvasObject.
func (e *TextEntry) Resize(size fyne.Size) {
	e.fitHint(size.Width)
	e.Entry.Resize(size)
}

// fitHint shortens the place holder; Fyne would let it be scrolled.
func (e *TextEntry) fitHint(width float32) {
	room := width - 2*theme.InnerPadding() - theme.InputBorderSize()
	if e.ActionItem != nil {
		room -= e.ActionItem.MinSize().Width
	}
	text := e.hint
	if width > 0 && !e.MultiLine {
		text = shorten(e.hint, look.TextSize(), room, e.TextStyle)
	}
	if text != e.PlaceHolder {
		e.Entry.SetPlaceHolder(text)
	}
}

// AcceptsTab implements fyne.Tabbable: Tab goes on, also out of a note.
func (e *TextEntry) AcceptsTab() bool { return false }

// TypedShortcut confirms the dialog around the entry on Ctrl+Enter.
func (e *TextEntry) TypedShortcut(s fyne.Shortcut) {
	if c := fyne.CurrentApp().Driver().CanvasForObject(e.whole); confirms(s) && c != nil {
		confirmOn(c)
		return
	}
	e.Entry.TypedShortcut(s)
}

// keysHelp says which keys leave an entry whose Enter stays in it; empty for a
// line.
func (e *TextEntry) keysHelp() string {
	if !e.MultiLine {
		return ""
	}
	return say.F("Enter begins a new line, Tab goes on, %s+S saves.", MainModifier())
}

// NewNoteEntry returns an entry of several lines that wraps at words.
func NewNoteEntry(text string, lines int) *TextEntry {
	e := &TextEntry{}
	e.ExtendBaseWidget(e)
	e.MultiLine, e.Wrapping = true, fyne.TextWrapWord
	e.whole, e.Text = e, text
	e.SetMinRowsVisible(lines)
	return e
}

// NumberEntry is a field for one number, with decimal comma or point.
type NumberEntry struct {
	TextEntry
}

// NewNumberEntryOf returns a field that holds v, empty for zero, without the
// dust of a computation: at most six decimals.
func NewNumberEntryOf(v float64) *NumberEntry {
	if v == 0 {
		return NewNumberEntry("")
	}
	return NewNumberEntry(PlainNumber(v))
}

// PlainNumber writes v with the person's decimal sign and as many decimals as
// it has, six at the most.
func PlainNumber(v float64) string {
	text := strconv.FormatFloat(v, 'f', 6, 64)
	text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	return strings.Replace(text, ".", say.Language().Point(), 1)
}

// rounded is v with so many decimals.
func rounded(v float64, decimals int) float64 {
	scale := math.Pow(10, float64(decimals))
	return math.Round(v*scale) / scale
}

// NewNumberEntry returns a number field that holds text, empty for none.
func NewNumberEntry(text string) *NumberEntry {
	e := &NumberEntry{}
	e.ExtendBaseWidget(e)
	e.setFirst(e, text)
	return e
}

// ErrNoNumber is returned for a number field that is empty.
var ErrNoNumber = words.New("no number is given: type one")

// Value returns the number. The error of an empty field is ErrNoNumber; any
// other says what cannot be read.
func (e *NumberEntry) Value() (float64, error) {
	if strings.TrimSpace(e.Text) == "" {
		return 0, ErrNoNumber
	}
	return chem.ParseExact(e.Text)
}

// Check is a box to tick that lets a dialog have its Enter and Esc keys.
type Check struct {
	widget.Check
}

// NewCheck returns a box with a label; changed may be nil.
func NewCheck(label string, changed func(bool)) *Check {
	c := &Check{}
	c.Text, c.OnChanged = label, changed
	c.ExtendBaseWidget(c)
	return c
}

func (c *Check) held() string { return strconv.FormatBool(c.Checked) }

// CreateRenderer implements fyne.Widget.
func (c *Check) CreateRenderer() fyne.WidgetRenderer { return newLaidOut(c, c.Check.CreateRenderer()) }

// FocusGained shows the focus.
func (c *Check) FocusGained() {
	c.Check.FocusGained()
	reveal(c)
}

// TypedKey ticks on Space.
func (c *Check) TypedKey(key *fyne.KeyEvent) {
	if !handledByDialog(c, key, false) {
		c.Check.TypedKey(key)
	}
}
