package widgets

import (
	"image/color"
	"slices"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
)

// Choice is a field that holds one of several names. Typing, Space, Enter or
// Down opens the list with a search over it.
type Choice struct {
	widget.DisableableWidget
	OnChanged func(selected string)
	// Free lets a text be taken that is none of the options.
	Free bool
	// Empty is what stands in the field while nothing is chosen; empty: Choose.
	Empty string

	options  []string
	selected string
	focused  bool
	back     *canvas.Rectangle
	text     *canvas.Text
	arrow    *icon
	list     *choiceList
}

var (
	_ fyne.Focusable = (*Choice)(nil)
	_ fyne.Tappable  = (*Choice)(nil)
)

// NewChoice returns a field with these options; selected is empty for none.
func NewChoice(options []string, selected string) *Choice {
	c := &Choice{options: options, selected: selected, back: canvas.NewRectangle(color.Transparent), text: canvas.NewText("", color.Transparent)}
	c.back.CornerRadius, c.text.TextSize = look.Radius, look.TextSize()
	c.arrow = newIcon(theme.MenuDropDownIcon())
	c.ExtendBaseWidget(c)
	c.restyle()
	return c
}

// Selected returns the chosen option, empty for none.
func (c *Choice) Selected() string { return c.selected }

// Options returns what can be chosen.
func (c *Choice) Options() []string { return c.options }

// SetOptions changes what can be chosen; a choice that is no longer there is
// dropped.
func (c *Choice) SetOptions(options []string) {
	c.options = options
	if !c.Free && !slices.Contains(options, c.selected) {
		c.selected = ""
	}
	c.Refresh()
}

// SetSelected chooses an option and tells OnChanged if that is a change.
func (c *Choice) SetSelected(option string) {
	if c.selected == option || (option != "" && !c.Free && !slices.Contains(c.options, option)) {
		return
	}
	c.selected = option
	c.Refresh()
	if c.OnChanged != nil {
		c.OnChanged(option)
	}
}

func (c *Choice) held() string { return c.selected }

func (c *Choice) restyle() {
	c.back.FillColor, c.back.StrokeColor, c.back.StrokeWidth = look.Color(look.Background), look.Color(look.Axis), 1
	c.text.Color = look.Color(look.Text)
	if c.focused {
		c.back.StrokeColor, c.back.StrokeWidth = look.Color(look.Accent), 2
	}
	if c.Disabled() {
		c.back.FillColor, c.text.Color = look.Color(look.Panel), look.Color(look.Secondary)
	}
}

// Refresh draws the field as it is now.
func (c *Choice) Refresh() {
	c.restyle()
	c.BaseWidget.Refresh()
}

// CreateRenderer implements fyne.Widget.
func (c *Choice) CreateRenderer() fyne.WidgetRenderer { return &choiceRenderer{c} }

type choiceRenderer struct{ c *Choice }

func choiceMinWidth() float32 { return look.Scaled(140) }

func (r *choiceRenderer) Layout(size fyne.Size) {
	c := r.c
	c.back.Resize(size)
	text := c.selected
	if text == "" {
		text, c.text.Color = c.empty(), look.Color(look.Secondary)
	}
	placeText(c.text, text, fyne.TextAlignLeading, look.Inset(), (size.Height-lineHeight(look.TextSize()))/2, size.Width-look.Inset()-24)
	c.arrow.Move(fyne.NewPos(size.Width-22, (size.Height-16)/2))
	c.arrow.Resize(fyne.NewSize(16, 16))
}

func (c *Choice) empty() string {
	if c.Empty != "" {
		return c.Empty
	}
	return say.L("Choose")
}

func (r *choiceRenderer) MinSize() fyne.Size {
	width := fyne.MeasureText(r.c.selected, look.TextSize(), fyne.TextStyle{}).Width + look.Inset() + 28
	return fyne.NewSize(min(max(width, choiceMinWidth()), 320), look.FieldHeight())
}

func (r *choiceRenderer) Refresh() {
	r.Layout(r.c.Size())
	canvas.Refresh(r.c)
}

func (r *choiceRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.c.back, r.c.text, r.c.arrow}
}

func (r *choiceRenderer) Destroy() {}

// FocusGained shows the focus.
func (c *Choice) FocusGained() {
	c.focused = true
	c.Refresh()
	reveal(c)
}

// FocusLost hides it.
func (c *Choice) FocusLost() { c.focused = false; c.Refresh() }

// Tapped opens the list.
func (c *Choice) Tapped(*fyne.PointEvent) {
	if !c.Disabled() {
		c.open("")
	}
}

// TypedRune opens the list and searches for what is typed.
func (c *Choice) TypedRune(r rune) {
	if r != ' ' {
		c.open(string(r))
	}
}

// TypedKey opens the list; Enter in a dialog confirms that once something is
// chosen.
func (c *Choice) TypedKey(key *fyne.KeyEvent) {
	if handledByDialog(c, key, c.selected == "") {
		return
	}
	switch key.Name {
	case fyne.KeySpace, fyne.KeyReturn, fyne.KeyEnter, fyne.KeyDown, fyne.KeyUp:
		c.open("")
	}
}

func (c *Choice) open(typed string) {
	on := fyne.CurrentApp().Driver().CanvasForObject(c)
	if on == nil || c.Disabled() {
		return
	}
	on.Focus(c)
	c.list = newChoiceList(c, on)
	c.list.show(typed)
}

// choiceList is the open list with its search.
type choiceList struct {
	choice *Choice
	canvas fyne.Canvas
	popup  *widget.PopUp
	search *searchEntry
	table  *Table
}

// searchEntry gives the moving keys to the list under it.
type searchEntry struct {
	widget.Entry
	list *choiceList
}

// TypedKey implements fyne.Focusable.
func (e *searchEntry) TypedKey(key *fyne.KeyEvent) {
	switch key.Name {
	case fyne.KeyUp, fyne.KeyDown, fyne.KeyPageUp, fyne.KeyPageDown:
		e.list.table.TypedKey(key)
	case fyne.KeyReturn, fyne.KeyEnter:
		if id, ok := e.list.table.Current(); ok {
			e.list.take(id)
		}
	case fyne.KeyEscape:
		e.list.close()
	default:
		e.Entry.TypedKey(key)
	}
}

func newChoiceList(c *Choice, on fyne.Canvas) *choiceList {
	l := &choiceList{choice: c, canvas: on}
	l.search = &searchEntry{list: l}
	l.search.ExtendBaseWidget(l.search)
	l.search.SetPlaceHolder(say.L("Type a part of the name"))
	l.search.OnChanged = func(string) { l.filter() }
	l.table = NewTable([]Column{{Weight: 1}})
	l.table.NoHead = true
	l.table.OnOpen = l.take
	l.filter()
	if i := slices.Index(c.options, c.selected); i >= 0 {
		l.table.SetCurrent(i)
	}
	return l
}

// filter shows the options that contain what is typed, those that begin with
// it first.
func (l *choiceList) filter() {
	part := strings.ToLower(strings.TrimSpace(l.search.Text))
	var first, later []Row
	for i, option := range l.choice.options {
		row := Row{ID: i, Cells: []Cell{{Text: option}}}
		switch name := strings.ToLower(option); {
		case strings.HasPrefix(name, part):
			first = append(first, row)
		case strings.Contains(name, part):
			later = append(later, row)
		}
	}
	rows := append(first, later...)
	if typed := strings.TrimSpace(l.search.Text); l.choice.Free && !slices.Contains(l.choice.options, typed) {
		what := say.F("take %q", typed)
		if typed == "" {
			what = say.L("leave it empty")
		}
		rows = append([]Row{{ID: typedOption, Cells: []Cell{{Text: what, Quiet: true}}}}, rows...)
	}
	l.table.SetRows(rows)
	if part != "" && len(l.table.rows) > 0 {
		l.table.moveTo(0)
	}
}

func (l *choiceList) show(typed string) {
	const most = 10
	size := fyne.NewSize(max(l.choice.Size().Width, 240), float32(min(max(len(l.choice.options), 1), most))*look.RowHeight()+look.FieldHeight()+20)
	at, size := besideField(fyne.CurrentApp().Driver().AbsolutePositionForObject(l.choice), l.choice.Size(), size, l.canvas.Size())
	under := canvas.NewRectangle(color.Transparent)
	under.SetMinSize(size)
	under.StrokeWidth, under.StrokeColor = 1, look.Color(look.Axis)
	content := container.NewStack(under, container.New(layout.NewCustomPaddedLayout(3, 3, 3, 3), container.NewBorder(l.search, nil, nil, nil, l.table)))
	l.popup = widget.NewPopUp(content, l.canvas)
	l.popup.ShowAtPosition(at)
	l.canvas.Focus(l.search)
	for _, r := range typed {
		l.search.TypedRune(r)
	}
	if i := slices.Index(l.choice.options, l.choice.selected); i >= 0 && typed == "" {
		l.table.SetCurrent(i)
	}
}

func (l *choiceList) close() {
	l.popup.Hide()
	l.canvas.Focus(l.choice)
}

// typedOption is the row of what is typed.
const typedOption = -1

func (l *choiceList) take(i int) {
	l.close()
	if i == typedOption {
		l.choice.SetSelected(strings.TrimSpace(l.search.Text))
		return
	}
	l.choice.SetSelected(l.choice.options[i])
}
