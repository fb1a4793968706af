package sums

import (
	"errors"
	"math"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// sheet is a sum while it is made and while it is open: fields above, the answer
// below, which is worked out anew whenever something is typed.
type sheet struct {
	in     *session.Session
	c      *widgets.Calculator
	fields []widgets.Field
	inputs []func() (missing string) // read what is typed before each answer; the label of one that waits
	// quantities name the field of a range error's quantity where it is not the
	// quantity's own name; otherwise has the errors of no field.
	quantities map[string]string
	otherwise  string
	first      fyne.Focusable
	compute    func() (answer, error)
	found      string // what is copied of the answer that is shown; empty while there is none
}

// answer is what a sum comes to.
type answer struct {
	results []string // the first is the answer itself
	value   string   // of it, with its unit, as a field or the Test sheet takes it; empty: the first result as it is
	formula string   // with the numbers put in
	source  string   // of the formula, and where it holds
	notes   []string // cautions
}

func (a answer) lines() []string {
	lines := append([]string{}, a.results...)
	lines = append(lines, a.notes...)
	for _, text := range []string{a.formula, a.source} {
		if text != "" {
			lines = append(lines, text)
		}
	}
	return lines
}

// fieldError is an error that belongs to a field.
type fieldError struct {
	field string
	err   error
}

func (e fieldError) Error() string { return e.err.Error() }
func (e fieldError) Unwrap() error { return e.err }

// at says at which field an error belongs; nil stays nil.
func at(field string, err error) error {
	if err == nil {
		return nil
	}
	return fieldError{field, err}
}

func newSheet(s *session.Session) *sheet { return &sheet{in: s, quantities: map[string]string{}} }

// typed is what stands in a field.
type typed struct {
	v     float64
	given bool // false: the field is empty
}

// or is the value, or another where the field is empty.
func (t *typed) or(v float64) float64 {
	if t.given {
		return t.v
	}
	return v
}

func (b *sheet) add(f widgets.Field, first fyne.Focusable) {
	b.fields = append(b.fields, f)
	if b.first == nil {
		b.first = first
	}
}

// Whether a field may stay empty.
const (
	required = false
	optional = true
)

// watch reads a field before each answer.
func (b *sheet) watch(name, label string, mayBeEmpty bool, value func() (float64, error)) *typed {
	t := &typed{}
	b.inputs = append(b.inputs, func() string {
		v, err := value()
		*t = typed{v, err == nil}
		switch {
		case !errors.Is(err, widgets.ErrNoNumber):
			b.c.Wrong(name, err)
		case !mayBeEmpty:
			return label
		}
		return ""
	})
	return t
}

// quantity adds a field for a number with a unit.
func (b *sheet) quantity(name, label, help string, e *widgets.QuantityEntry, mayBeEmpty bool) *typed {
	e.OnChanged = b.run
	b.add(widgets.Field{Name: name, Label: label, Input: e, Help: help}, e.FocusTarget())
	return b.watch(name, label, mayBeEmpty, e.Value)
}

// number adds a field for a number without a unit, which begins as text.
func (b *sheet) number(name, label, help, text string, mayBeEmpty bool) *typed {
	e := widgets.NewNumberEntry(text)
	e.OnChanged = func(string) { b.run() }
	b.add(widgets.Field{Name: name, Label: label, Input: e, Help: help}, e)
	return b.watch(name, label, mayBeEmpty, e.Value)
}

// level adds a field for a level of the analyte that a choice has, in its unit or
// in one that is typed behind the number.
func (b *sheet) level(name, label, help string, of *widgets.Choice[chem.Analyte], mayBeEmpty bool) (*typed, *widgets.NumberEntry) {
	e := widgets.NewNumberEntry("")
	e.OnChanged = func(string) { b.run() }
	b.add(widgets.Field{Name: name, Label: label, Input: e, Help: help}, e)
	return b.watch(name, label, mayBeEmpty, func() (float64, error) {
		if strings.TrimSpace(e.Text) == "" {
			return 0, widgets.ErrNoNumber
		}
		a := of.Value()
		v, err := tanks.ReadTyped(tanks.Typed{Analyte: a, Text: e.Text, Unit: b.in.Unit(a), Own: b.in.Unit(a)})
		if err != nil {
			return 0, err
		}
		return v.Exact()
	}), e
}

// choose adds a field with options, of which selected is taken at first.
func choose[T comparable](b *sheet, name, label, help string, options []widgets.Option[T], selected T) *widgets.Choice[T] {
	c := widgets.NewChoice(options, selected)
	c.OnChanged = func(T) { b.run() }
	b.add(widgets.Field{Name: name, Label: label, Input: c, Help: help}, c)
	return c
}

// analytes offers analytes, each with the unit that its levels are typed in.
func (b *sheet) analytes(has func(chem.Analyte) bool, selected chem.Analyte) *widgets.Choice[chem.Analyte] {
	var options []widgets.Option[chem.Analyte]
	for _, info := range chem.Catalogue() {
		if has(info.Analyte) {
			name := say.F("%s, %s", say.L(info.Name), string(b.in.Unit(info.Analyte)))
			options = append(options, widgets.Option[chem.Analyte]{Value: info.Analyte, Name: name})
		}
	}
	return choose(b, "analyte", say.L("Analyte"), say.L("its levels are typed in this unit, or with another behind the number"),
		options, selected)
}

// run works the answer out, or shows at its field what is wrong; a field that waits
// for a number is named.
func (b *sheet) run() {
	if b.c == nil {
		return
	}
	b.found = ""
	var missing []string
	for _, read := range b.inputs {
		if label := read(); label != "" {
			missing = append(missing, label)
		}
	}
	if !b.c.Fine() {
		b.c.Say()
		return
	}
	if len(missing) > 0 {
		b.c.Say(say.F("To fill in: %s.", strings.Join(missing, ", ")))
		return
	}
	a, err := b.compute()
	b.c.Wrong(b.fieldOf(err), err)
	if err == nil && len(a.results) > 0 {
		b.found = a.results[0]
	}
	if err == nil && a.value != "" {
		b.found = a.value
	}
	b.c.Say(a.lines()...)
}

// fieldOf is the field where an error is shown.
func (b *sheet) fieldOf(err error) string {
	var of fieldError
	if errors.As(err, &of) {
		return of.field
	}
	var r chem.RangeError
	if errors.As(err, &r) {
		quantity := string(r.Quantity)
		if field := b.quantities[quantity]; field != "" {
			return field
		}
		for _, f := range b.fields {
			if f.Name == quantity {
				return quantity
			}
		}
	}
	return b.otherwise
}

// width of a sum's dialog.
const width = 520

// show opens the sum.
func (b *sheet) show(title string, compute func() (answer, error)) {
	b.compute = compute
	b.c = widgets.NewCalculator(b.fields...)
	b.run()
	copies := widgets.NewBar(widgets.NewSecondary(say.L("Copy the answer"), b.copy).With(look.IconSend))
	widgets.ShowDialog(b.in.Window, widgets.Dialog{Title: title, Content: container.NewBorder(nil, copies, nil, nil, b.c.Content()),
		Focus: b.first, Width: width})
}

// copy puts the answer on the clipboard, for a field, the Test sheet or a note.
func (b *sheet) copy() {
	if b.found == "" {
		b.run() // says what it waits for
		return
	}
	fyne.CurrentApp().Clipboard().SetContent(b.found)
	b.in.Say(session.Notice{Title: say.F("Copied: %s", b.found), Text: say.L("Ctrl+V puts it into a field or onto the Test sheet.")})
}

// value is a field for a value of an analyte of fresh water or of any; NaN leaves it
// empty.
func (b *sheet) value(a chem.Analyte, v float64) *widgets.QuantityEntry {
	e := b.in.ValueEntry(a, chem.Water{})
	if v == v {
		e.SetValue(v)
	}
	return e
}

// shown writes a value of an analyte with its unit.
func (b *sheet) shown(a chem.Analyte, v float64) string {
	return say.F("%s %s", b.in.Value(a, v), string(b.in.Unit(a)))
}

// change writes a change of an analyte with its sign and unit, to three figures.
func (b *sheet) change(a chem.Analyte, canonical float64) string {
	v, sign := b.inUnit(a, canonical), "+"
	if v < 0 {
		sign = "−"
	}
	const exponents = 1000 // from which three figures are written with a power of ten
	if math.Abs(v) >= exponents {
		return say.F("%s%.0f %s", sign, math.Abs(v), string(b.in.Unit(a)))
	}
	return say.F("%s%.3g %s", sign, math.Abs(v), string(b.in.Unit(a)))
}

// inUnit is a change of an analyte in the unit shown.
func (b *sheet) inUnit(a chem.Analyte, canonical float64) float64 {
	info, _ := chem.Lookup(a)
	v, err := chem.ConvertDelta(a, info.Low, canonical, info.Unit, b.in.Unit(a), chem.Water{})
	if err != nil {
		return 0
	}
	return v
}

// span says the range that a field takes, in the unit shown.
func (b *sheet) span(a chem.Analyte, low, high float64) string {
	return say.F("%s to %s %s", b.in.Value(a, low), b.in.Value(a, high), string(b.in.Unit(a)))
}

// aboveZero is the error of an amount that must be more than nothing.
func aboveZero() error { return words.New("nothing comes of nothing: give a number above zero") }
