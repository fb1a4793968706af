package widgets

import (
	"image/color"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
)

// QuantityUnit is one unit of a quantity. Of puts a value that is kept into the
// unit, Kept the other way.
type QuantityUnit struct {
	Name     words.Text
	Decimals int
	Of, Kept func(float64) (float64, error)
}

// QuantityEntry is a field for a number with its unit. The first unit is the
// person's own; another one of the list may be typed behind the number. Under
// the number stands what it is in the next unit, or what is wrong with it.
type QuantityEntry struct {
	widget.BaseWidget
	// OnChanged is told that something was typed.
	OnChanged func()
	// Limits lets a bound be typed, "<0.02".
	Limits bool
	// Read, if set, reads what is typed in place of the units' Kept: the value to
	// keep and the sign of a bound.
	Read func(text string) (kept float64, limit string, err error)

	units   []QuantityUnit
	entry   *NumberEntry
	below   *Paragraph
	content fyne.CanvasObject
}

// The room of a unit behind its number.
const unitWidth, unitGap = 34, 2

// NewQuantityEntry returns an empty field. There is at least one unit.
func NewQuantityEntry(units ...QuantityUnit) *QuantityEntry {
	e := &QuantityEntry{units: units, entry: NewNumberEntry(""), below: NewSmall("")}
	e.entry.OnChanged = func(string) {
		e.update()
		if e.OnChanged != nil {
			e.OnChanged()
		}
	}
	// A box of one width, so that fields of several units end alike.
	width := canvas.NewRectangle(color.Transparent)
	width.SetMinSize(fyne.NewSize(look.Scaled(unitWidth), 0))
	unit := container.New(layout.NewCustomPaddedLayout(0, 0, unitGap, 0), container.NewStack(width,
		container.NewVBox(layout.NewSpacer(), NewLine(say.L(units[0].Name), look.Secondary, false), layout.NewSpacer())))
	e.content = container.New(layout.NewCustomPaddedVBoxLayout(0), container.NewBorder(nil, nil, nil, unit, e.entry), e.below)
	e.ExtendBaseWidget(e)
	e.update()
	return e
}

// CreateRenderer implements fyne.Widget.
func (e *QuantityEntry) CreateRenderer() fyne.WidgetRenderer {
	return widget.NewSimpleRenderer(e.content)
}

func (e *QuantityEntry) parts() []fyne.CanvasObject { return []fyne.CanvasObject{e.entry} }

// FocusTarget is what has the keyboard for the field.
func (e *QuantityEntry) FocusTarget() fyne.Focusable { return e.entry }

// Text returns what is typed.
func (e *QuantityEntry) Text() string { return e.entry.Text }

// SetText types a text in place of what is there.
func (e *QuantityEntry) SetText(text string) { e.entry.SetText(text) }

// Empty tells that nothing is typed.
func (e *QuantityEntry) Empty() bool { return strings.TrimSpace(e.entry.Text) == "" }

// SetValue shows a value that is kept, in the person's unit with its decimals;
// one that the unit cannot show empties the field.
func (e *QuantityEntry) SetValue(kept float64) {
	v, err := e.units[0].Of(kept)
	if err != nil {
		e.entry.SetText("")
		return
	}
	e.entry.SetText(PlainNumber(rounded(v, e.units[0].Decimals)))
}

// Value returns the value to keep. The error of an empty field is ErrNoNumber;
// any other says what cannot be read, or is no value of the unit.
func (e *QuantityEntry) Value() (float64, error) {
	v, _, err := e.Bound()
	return v, err
}

// Bound is Value with the sign of a bound, "<" or ">", empty for a value. Bounds
// are refused unless Limits is set.
func (e *QuantityEntry) Bound() (kept float64, limit string, err error) {
	if e.Empty() {
		return 0, "", ErrNoNumber
	}
	read := e.Read
	if read == nil {
		read = e.read
	}
	kept, limit, err = read(e.entry.Text)
	if err == nil && limit != "" && !e.Limits {
		return 0, "", chem.BoundError(e.entry.Text)
	}
	return kept, limit, err
}

// read reads a number with one of the units behind it.
func (e *QuantityEntry) read(string) (kept float64, limit string, err error) {
	number, unit := e.typed()
	q, err := chem.ParseNumber(number)
	if err != nil {
		return 0, "", err
	}
	kept, err = unit.Kept(q.Value)
	return kept, q.Limit, err
}

// typed parts what was typed into the number and its unit.
func (e *QuantityEntry) typed() (number string, unit QuantityUnit) {
	text := strings.TrimSpace(e.entry.Text)
	number, unit = text, e.units[0]
	longest := 0 // "gal" ends like "L"
	for _, u := range e.units {
		name := say.L(u.Name)
		start := len(text) - len(name)
		if start > 0 && len(name) > longest && strings.EqualFold(text[start:], name) {
			number, unit, longest = strings.TrimSpace(text[:start]), u, len(name)
		}
	}
	return number, unit
}

// update writes the line under the number.
func (e *QuantityEntry) update() {
	text, name := "", look.Secondary
	kept, limit, err := e.Bound()
	switch {
	case e.Empty():
	case err != nil:
		text, name = say.Of(err), look.Problem
	default:
		text = e.otherwise(kept, limit)
	}
	e.below.SetColor(name)
	e.below.SetText(text)
	e.below.Hidden = text == ""
	e.Refresh()
}

// fault is what stands under the field of what is typed, empty for nothing wrong.
func (e *QuantityEntry) fault() string {
	if _, _, err := e.Bound(); err != nil && !e.Empty() {
		return say.Of(err)
	}
	return ""
}

// otherwise writes a value in the first unit that it was not typed in.
func (e *QuantityEntry) otherwise(kept float64, limit string) string {
	_, typed := e.typed()
	for _, u := range e.units {
		if u.Name == typed.Name {
			continue
		}
		if v, err := u.Of(kept); err == nil {
			return say.F("= %s%s %s", limit, chem.Decimal(v, u.Decimals), u.Name)
		}
	}
	return ""
}
