package widgets

import (
	"fmt"
	"image/color"
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
)

// Option is one thing that a Choice offers: a value, the name that is shown for
// it, and a few words that tell it from another of the same name.
type Option[T any] struct {
	Value  T
	Name   string
	Detail string
}

// OptionsOf returns an option for each value.
func OptionsOf[T any](values []T, name func(T) string) []Option[T] {
	options := make([]Option[T], len(values))
	for i, v := range values {
		options[i] = Option[T]{Value: v, Name: name(v)}
	}
	return options
}

// Choice is a field that holds one of several values, each shown by its name;
// two values may have the same name. Typing, Space, Enter or Down opens the list
// with a search over it.
type Choice[T comparable] struct {
	ChoiceField
	// OnChanged is told of another value; not of none.
	OnChanged func(T)

	values []T
}

// NewChoice returns a field with these options. A selected value that is none of
// theirs leaves it empty.
func NewChoice[T comparable](options []Option[T], selected T) *Choice[T] {
	c := &Choice[T]{}
	c.begin(c)
	c.offer(options)
	c.chosen = slices.Index(c.values, selected)
	c.changed = func() {
		if c.OnChanged != nil && c.chosen >= 0 {
			c.OnChanged(c.values[c.chosen])
		}
	}
	return c
}

func (c *Choice[T]) offer(options []Option[T]) {
	c.values, c.rows = make([]T, len(options)), make([]choiceRow, len(options))
	for i, o := range options {
		c.values[i], c.rows[i] = o.Value, choiceRow{o.Name, o.Detail}
	}
}

// Selected returns the chosen value; ok is false while nothing is chosen.
func (c *Choice[T]) Selected() (value T, ok bool) {
	if c.chosen < 0 {
		return value, false
	}
	return c.values[c.chosen], true
}

// Value returns the chosen value, the zero value while nothing is chosen.
func (c *Choice[T]) Value() T {
	value, _ := c.Selected()
	return value
}

// SetOptions changes what can be chosen; a chosen value that is not among it is
// dropped.
func (c *Choice[T]) SetOptions(options []Option[T]) {
	value, ok := c.Selected()
	c.offer(options)
	c.chosen = -1
	if ok {
		c.chosen = slices.Index(c.values, value)
	}
	c.Refresh()
}

// SetSelected chooses a value and tells OnChanged if that is a change; one that
// is not offered changes nothing.
func (c *Choice[T]) SetSelected(value T) {
	if i := slices.Index(c.values, value); i >= 0 {
		c.choose(i)
	}
}

// Clear chooses nothing.
func (c *Choice[T]) Clear() {
	c.chosen = -1
	c.Refresh()
}

// TextChoice is a field that takes any text and offers some.
type TextChoice struct {
	ChoiceField
	// OnChanged is told of another text.
	OnChanged func(string)
}

// NewTextChoice returns a field with a text that offers others.
func NewTextChoice(offered []string, text string) *TextChoice {
	c := &TextChoice{}
	c.begin(c)
	c.free, c.chosen = true, -1
	c.changed = func() {
		if c.OnChanged != nil {
			c.OnChanged(c.Shown())
		}
	}
	c.SetOffered(offered)
	c.text = text
	c.chosen = slices.Index(offered, text)
	return c
}

// SetOffered changes what is offered; the text stays.
func (c *TextChoice) SetOffered(offered []string) {
	text := c.Shown()
	c.rows = make([]choiceRow, len(offered))
	for i, name := range offered {
		c.rows[i] = choiceRow{name: name}
	}
	c.text, c.chosen = text, slices.Index(offered, text)
	c.Refresh()
}

// SetText changes the text and tells OnChanged if that is a change.
func (c *TextChoice) SetText(text string) { c.take(text) }

// choiceRow is how an option is shown.
type choiceRow struct{ name, detail string }

// ChoiceField is what a Choice and a TextChoice have in common: the field and its
// list.
type ChoiceField struct {
	widget.DisableableWidget
	// Empty is what stands in the field while nothing is chosen; empty: Choose.
	Empty string

	self    choiceWidget // the whole widget
	rows    []choiceRow
	chosen  int    // index of a row, -1: none
	free    bool   // text may be taken that is none of the rows
	text    string // the taken text
	changed func()
	focused bool
	back    *canvas.Rectangle
	shown   *canvas.Text
	arrow   *icon
	list    *choiceList
}

type choiceWidget interface {
	fyne.Widget
	fyne.Focusable
}

var (
	_ fyne.Focusable = (*ChoiceField)(nil)
	_ fyne.Tappable  = (*ChoiceField)(nil)
)

// begin makes the field's parts; self is the widget that it is part of.
func (c *ChoiceField) begin(self choiceWidget) {
	c.self, c.chosen = self, -1
	c.back, c.shown = canvas.NewRectangle(color.Transparent), canvas.NewText("", color.Transparent)
	c.back.CornerRadius, c.shown.TextSize = look.Radius, look.TextSize()
	c.arrow = newIcon(theme.MenuDropDownIcon())
	c.ExtendBaseWidget(self)
	c.restyle()
}

// Shown returns what stands in the field, empty while nothing is chosen.
func (c *ChoiceField) Shown() string {
	if c.chosen < 0 {
		return c.text
	}
	row := c.rows[c.chosen]
	if row.detail != "" && c.ambiguous(row.name) {
		return row.name + ", " + row.detail
	}
	return row.name
}

func (c *ChoiceField) ambiguous(name string) bool {
	n := 0
	for _, row := range c.rows {
		if row.name == name {
			n++
		}
	}
	return n > 1
}

// Names returns the names of what is offered, in its order.
func (c *ChoiceField) Names() []string {
	names := make([]string, len(c.rows))
	for i, row := range c.rows {
		names[i] = row.name
	}
	return names
}

// Pick chooses the first option of a name as a person does; false: there is none.
func (c *ChoiceField) Pick(name string) bool {
	i := slices.IndexFunc(c.rows, func(row choiceRow) bool { return row.name == name })
	if i < 0 {
		return false
	}
	c.choose(i)
	return true
}

// choose takes the option of an index.
func (c *ChoiceField) choose(i int) {
	if i == c.chosen {
		return
	}
	c.chosen = i
	c.Refresh()
	c.changed()
}

// take takes a text that may be none of the options.
func (c *ChoiceField) take(text string) {
	if text == c.Shown() {
		return
	}
	c.text, c.chosen = text, slices.IndexFunc(c.rows, func(row choiceRow) bool { return row.name == text })
	c.Refresh()
	c.changed()
}

func (c *ChoiceField) held() string { return fmt.Sprint(c.chosen, c.text) }

func (c *ChoiceField) restyle() {
	c.back.FillColor, c.back.StrokeColor, c.back.StrokeWidth = look.Color(look.Background), look.Color(look.Axis), 1
	c.shown.Color = look.Color(look.Text)
	if c.focused {
		c.back.StrokeColor, c.back.StrokeWidth = look.Color(look.Accent), 2
	}
	if c.Disabled() {
		c.back.FillColor, c.shown.Color = look.Color(look.Panel), look.Color(look.Secondary)
	}
}

// Refresh draws the field as it is now.
func (c *ChoiceField) Refresh() {
	c.restyle()
	c.BaseWidget.Refresh()
}

// CreateRenderer implements fyne.Widget.
func (c *ChoiceField) CreateRenderer() fyne.WidgetRenderer { return &choiceRenderer{c} }

type choiceRenderer struct{ c *ChoiceField }

func choiceMinWidth() float32 { return look.Scaled(140) }

func (r *choiceRenderer) Layout(size fyne.Size) {
	c := r.c
	c.back.Resize(size)
	text := c.Shown()
	if text == "" {
		text, c.shown.Color = c.empty(), look.Color(look.Secondary)
	}
	placeText(c.shown, text, fyne.TextAlignLeading, look.Inset(), (size.Height-lineHeight(look.TextSize()))/2, size.Width-look.Inset()-24)
	c.arrow.Move(fyne.NewPos(size.Width-22, (size.Height-16)/2))
	c.arrow.Resize(fyne.NewSize(16, 16))
}

func (c *ChoiceField) empty() string {
	if c.Empty != "" {
		return c.Empty
	}
	return say.L("Choose")
}

func (r *choiceRenderer) MinSize() fyne.Size {
	width := fyne.MeasureText(r.c.Shown(), look.TextSize(), fyne.TextStyle{}).Width + look.Inset() + 28
	return fyne.NewSize(min(max(width, choiceMinWidth()), 320), look.FieldHeight())
}

func (r *choiceRenderer) Refresh() {
	r.Layout(r.c.Size())
	canvas.Refresh(r.c.self)
}

func (r *choiceRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.c.back, r.c.shown, r.c.arrow}
}

func (r *choiceRenderer) Destroy() {}

// FocusGained shows the focus.
func (c *ChoiceField) FocusGained() {
	c.focused = true
	c.Refresh()
	reveal(c.self)
}

// FocusLost hides it.
func (c *ChoiceField) FocusLost() { c.focused = false; c.Refresh() }

// Tapped opens the list.
func (c *ChoiceField) Tapped(*fyne.PointEvent) {
	if !c.Disabled() {
		c.open("")
	}
}

// TypedRune opens the list and searches for what is typed.
func (c *ChoiceField) TypedRune(r rune) {
	if r != ' ' {
		c.open(string(r))
	}
}

// TypedKey opens the list; Enter in a dialog confirms that once something is
// chosen.
func (c *ChoiceField) TypedKey(key *fyne.KeyEvent) {
	if handledByDialog(c.self, key, c.Shown() == "") {
		return
	}
	switch key.Name {
	case fyne.KeySpace, fyne.KeyReturn, fyne.KeyEnter, fyne.KeyDown, fyne.KeyUp:
		c.open("")
	}
}

func (c *ChoiceField) open(typed string) {
	on := fyne.CurrentApp().Driver().CanvasForObject(c.self)
	if on == nil || c.Disabled() {
		return
	}
	on.Focus(c.self)
	c.list = newChoiceList(c, on)
	c.list.show(typed)
}
