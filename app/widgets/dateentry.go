package widgets

import (
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
)

// DateEntry is a field for a day. Up and Down change it by a day, F4 or the
// button opens a calendar. See ParseDay for what can be typed.
type DateEntry struct {
	dayField
}

// NewDateEntry returns a field that holds day, empty for the zero time. Days
// are those of zone; clock tells which is today.
func NewDateEntry(day time.Time, zone *time.Location, clock func() time.Time) *DateEntry {
	e := &DateEntry{}
	e.ExtendBaseWidget(e)
	e.begin(e, day, zone, clock, dayText, ParseDay)
	e.SetPlaceHolder(say.L("today, -2, 2026-03-14"))
	return e
}

// Time returns midnight of the day in the zone, or what is wrong with it. An
// empty field is an error.
func (e *DateEntry) Time() (time.Time, error) { return e.parse(e.Text, e.today()) }

// DateTimeEntry is a field for a moment: day and time of day. See ParseMoment
// for what can be typed; it may be left empty.
type DateTimeEntry struct {
	dayField
}

// NewDateTimeEntry returns a field that holds a moment, empty for the zero
// time, shown and read in zone.
func NewDateTimeEntry(at time.Time, zone *time.Location, clock func() time.Time) *DateTimeEntry {
	e := &DateTimeEntry{}
	e.ExtendBaseWidget(e)
	e.begin(e, at, zone, clock, momentText, ParseMoment)
	e.SetPlaceHolder(say.L("14:30, yesterday"))
	return e
}

// Time returns the moment, the zero time for an empty field, or what is wrong
// with it.
func (e *DateTimeEntry) Time() (time.Time, error) {
	if strings.TrimSpace(e.Text) == "" {
		return time.Time{}, nil
	}
	return e.parse(e.Text, e.today())
}

// dayField is what the two fields share.
type dayField struct {
	TextEntry
	// OnChanged is told the new time when the field is left or stepped
	// through; ok is false when it cannot be read. The zero time: it is empty.
	OnChanged func(at time.Time, ok bool)

	zone  *time.Location
	clock func() time.Time
	form  func(time.Time) string
	parse func(string, time.Time) (time.Time, error)
	told  string // the text that OnChanged knows
}

func (e *dayField) begin(
	whole fyne.CanvasObject,
	at time.Time,
	zone *time.Location,
	clock func() time.Time,
	form func(time.Time) string,
	parse func(string, time.Time) (time.Time, error),
) {
	e.zone, e.clock, e.form, e.parse = zone, clock, form, parse
	e.setFirst(whole, e.format(at))
	e.told = e.Text
	e.ActionItem = newTapIcon(look.IconCalendar, e.openCalendar)
}

// tapIcon is an icon to press with the pointer, for what a key does as well: the
// keyboard does not stop at it.
type tapIcon struct {
	widget.BaseWidget
	icon   *icon
	tapped func()
}

func newTapIcon(drawing look.Icon, tapped func()) *tapIcon {
	t := &tapIcon{icon: newIcon(drawing.Resource()), tapped: tapped}
	t.ExtendBaseWidget(t)
	return t
}

// CreateRenderer implements fyne.Widget.
func (t *tapIcon) CreateRenderer() fyne.WidgetRenderer {
	return newLaidOut(t, widget.NewSimpleRenderer(container.NewPadded(t.icon)))
}

// Tapped implements fyne.Tappable.
func (t *tapIcon) Tapped(*fyne.PointEvent) { t.tapped() }

// Cursor shows that it can be pressed, not typed into.
func (t *tapIcon) Cursor() desktop.Cursor { return desktop.PointerCursor }

func (e *dayField) today() time.Time { return e.clock().In(e.zone) }

func (e *dayField) format(at time.Time) string {
	if at.IsZero() {
		return ""
	}
	return e.form(at.In(e.zone))
}

// SetTime changes what the field holds without telling; the zero time empties
// it.
func (e *dayField) SetTime(at time.Time) {
	e.told = e.format(at)
	e.SetText(e.told)
}

// Check takes over what was typed and returns what is wrong with it, nil for
// an empty field.
func (e *dayField) Check() error {
	if strings.TrimSpace(e.Text) == "" {
		e.tell("", time.Time{}, true)
		return nil
	}
	at, err := e.parse(e.Text, e.today())
	if err != nil {
		e.tell(e.Text, time.Time{}, false)
		return err
	}
	text := e.format(at)
	if text != e.Text {
		e.SetText(text)
	}
	e.tell(text, at, true)
	return nil
}

func (e *dayField) tell(text string, at time.Time, ok bool) {
	if text == e.told {
		return
	}
	e.told = text
	if e.OnChanged != nil {
		e.OnChanged(at, ok)
	}
}

// FocusLost takes over what was typed.
func (e *dayField) FocusLost() {
	e.TextEntry.FocusLost()
	_ = e.Check() // what is wrong stays to be seen; the form says it on confirming
}

// TypedKey steps by a day on Up and Down and takes over on Enter.
func (e *dayField) TypedKey(key *fyne.KeyEvent) {
	switch key.Name {
	case fyne.KeyUp:
		e.step(1)
	case fyne.KeyDown:
		e.step(-1)
	case fyne.KeyF4:
		e.openCalendar()
	case fyne.KeyReturn, fyne.KeyEnter:
		_ = e.Check() // as in FocusLost
		e.TextEntry.TypedKey(key)
	default:
		e.TextEntry.TypedKey(key)
	}
}

// step moves by days; an empty or unreadable field starts from now.
func (e *dayField) step(days int) {
	at, err := e.parse(e.Text, e.today())
	if err != nil {
		at, days = e.today(), 0
	}
	e.put(at.AddDate(0, 0, days))
}

func (e *dayField) put(at time.Time) {
	e.SetText(e.format(at))
	e.CursorColumn = len([]rune(e.Text))
	_ = e.Check() // the field's own form is always readable, but for a clock change it says so
}

// openCalendar shows a month to pick a day from; the time of day stays.
func (e *dayField) openCalendar() {
	c := fyne.CurrentApp().Driver().CanvasForObject(e.whole)
	if c == nil {
		return
	}
	at, err := e.parse(e.Text, e.today())
	if err != nil {
		at = e.today()
	}
	showCalendar(c, e.whole, at, e.today(), func(day time.Time) {
		y, m, d := day.Date()
		e.put(time.Date(y, m, d, at.Hour(), at.Minute(), 0, 0, e.zone))
	})
}
