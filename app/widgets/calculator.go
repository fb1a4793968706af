package widgets

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/say"
)

// Calculator is a form whose answer is written below it as one types. In each
// computation the fields are read first, then Say shows what is wrong at them,
// or the answer.
type Calculator struct {
	Form    *Form
	faults  []Fault // of the computation under way
	shown   []Fault // of the last one
	answer  *fyne.Container
	body    *fyne.Container // form and answer
	content fyne.CanvasObject
}

// calculatorSize is the room of a calculator in a dialog.
var calculatorSize = fyne.NewSize(520, 480)

// NewCalculator returns a calculator with these fields.
func NewCalculator(fields ...Field) *Calculator {
	c := &Calculator{Form: NewForm(fields...), answer: container.NewVBox()}
	c.body = container.NewVBox(c.Form, c.answer)
	scroll := NewScrolled(c.body)
	scroll.SetMinSize(calculatorSize)
	c.content = scroll
	return c
}

// Content is what a dialog shows of the calculator.
func (c *Calculator) Content() fyne.CanvasObject { return c.content }

// Number reads the field of that name; what is wrong will stand at it.
func (c *Calculator) Number(name string, e *NumberEntry) float64 {
	v, err := e.Value()
	c.Wrong(name, err)
	return v
}

// Quantity is Number for a field with a unit: the value to keep.
func (c *Calculator) Quantity(name string, e *QuantityEntry) float64 {
	v, err := e.Value()
	c.Wrong(name, err)
	return v
}

// Wrong notes an error at a field; nil is no error.
func (c *Calculator) Wrong(name string, err error) {
	if err != nil {
		c.faults = append(c.faults, Fault{Field: name, Problem: say.Of(err)})
	}
}

// Fine tells whether nothing is wrong so far.
func (c *Calculator) Fine() bool { return len(c.faults) == 0 }

// Say ends a computation: it shows the faults or, without any, the lines, the
// first of them bold.
func (c *Calculator) Say(lines ...string) {
	c.Form.Mark(c.faults) // the keyboard stays where one types
	c.answer.Objects = nil
	for i, line := range lines {
		if !c.Fine() {
			break
		}
		label := NewWrapped(line)
		label.SetBold(i == 0)
		c.answer.Add(label)
	}
	c.shown, c.faults = c.faults, nil
	c.body.Refresh() // lines that came or went move what is below them
}

// Shown returns what the last computation found wrong.
func (c *Calculator) Shown() []Fault { return c.shown }
