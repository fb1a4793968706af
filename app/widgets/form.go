package widgets

import (
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/look"
)

// Field is one labelled input of a form. Name is what a Fault's Field says.
type Field struct {
	Name  string
	Label string
	Input fyne.CanvasObject
	Help  string
}

// help is what the field says of itself, and which keys leave it where that is not
// plain.
func (f Field) help() string {
	if note, ok := f.Input.(interface{ keysHelp() string }); ok {
		return strings.TrimSpace(f.Help + " " + note.keysHelp())
	}
	return f.Help
}

// Form is a column of labelled fields, each with its help and, when something
// is wrong with it, the fault under it.
type Form struct {
	widget.BaseWidget
	rows    []*formRow
	general *fyne.Container // faults of no field
	content *fyne.Container
}

type formRow struct {
	field Field
	fault *fyne.Container
	said  string
}

// NewForm returns a form of these fields from top to bottom.
func NewForm(fields ...Field) *Form {
	f := &Form{general: container.NewVBox(), content: container.New(&formLayout{})}
	f.ExtendBaseWidget(f)
	for _, field := range fields {
		row := &formRow{field: field, fault: container.NewStack()}
		f.rows = append(f.rows, row)
		below := []fyne.CanvasObject{field.Input}
		if help := field.help(); help != "" {
			below = append(below, newHelp(help, look.Secondary))
		}
		f.content.Add(NewLine(field.Label, look.Text, false))
		f.content.Add(container.New(layout.NewCustomPaddedVBoxLayout(0), append(below, row.fault)...))
	}
	return f
}

// newHelp is a small paragraph under a field, close to it.
func newHelp(text string, name fyne.ThemeColorName) fyne.CanvasObject {
	style := widget.RichTextStyle{ColorName: name, SizeName: theme.SizeNameCaptionText}
	inset := -theme.InnerPadding()
	return container.New(layout.NewCustomPaddedLayout(inset+1, inset+2, inset+2, inset),
		newParagraph(&widget.TextSegment{Text: text, Style: style}))
}

// targetOf returns what has the keyboard for an input, nil for none.
func targetOf(input fyne.CanvasObject) fyne.Focusable {
	if part, ok := input.(interface{ FocusTarget() fyne.Focusable }); ok {
		return part.FocusTarget()
	}
	f, _ := input.(fyne.Focusable)
	return f
}

// First returns the first input that can have the keyboard, nil for none.
func (f *Form) First() fyne.Focusable {
	for _, row := range f.rows {
		if input := targetOf(row.field.Input); input != nil {
			return input
		}
	}
	return nil
}

// ShowFaults marks the faults and puts the keyboard on the first faulty field.
func (f *Form) ShowFaults(faults []Fault) {
	f.Mark(faults)
	f.focusFault()
}

// Mark shows each fault under its field, those of no field above the form. No
// faults clear what was shown before.
func (f *Form) Mark(faults []Fault) {
	texts := map[string]string{}
	f.general.Objects = nil
	for _, fault := range faults {
		if f.row(fault.Field) == nil {
			f.general.Add(newHelp(fault.Text(), look.Problem))
			continue
		}
		if texts[fault.Field] != "" {
			texts[fault.Field] += " "
		}
		texts[fault.Field] += fault.Text()
	}
	for _, row := range f.rows {
		row.show(texts[row.field.Name])
	}
	f.Refresh()
}

// FaultOf returns what is shown under a field, empty for nothing.
func (f *Form) FaultOf(name string) string {
	if row := f.row(name); row != nil {
		return row.said
	}
	return ""
}

// ShowField shows a field or hides it: one that does not apply, such as what is asked
// of sources alone.
func (f *Form) ShowField(name string, shown bool) {
	for i, row := range f.rows {
		if row.field.Name != name || f.content.Objects[2*i].Visible() == shown {
			continue
		}
		for _, o := range f.content.Objects[2*i : 2*i+2] {
			if shown {
				o.Show()
			} else {
				o.Hide()
			}
		}
		f.Refresh()
	}
}

func (f *Form) row(name string) *formRow {
	for _, row := range f.rows {
		if row.field.Name == name {
			return row
		}
	}
	return nil
}

// saysItself tells whether an input has the same fault under it already.
func saysItself(input fyne.CanvasObject, text string) bool {
	own, can := input.(interface{ fault() string })
	return can && strings.TrimRight(own.fault(), ".") == strings.TrimRight(text, ".")
}

func (r *formRow) show(text string) {
	if r.said == text {
		return
	}
	r.said = text
	r.fault.Objects = nil
	if text != "" && !saysItself(r.field.Input, text) {
		r.fault.Objects = []fyne.CanvasObject{newHelp(text, look.Problem)}
	}
	r.fault.Refresh()
}

func (f *Form) focusFault() {
	c := fyne.CurrentApp().Driver().CanvasForObject(f)
	for _, row := range f.rows {
		if row.said == "" {
			continue
		}
		if input := targetOf(row.field.Input); input != nil && c != nil {
			c.Focus(input)
		}
		return
	}
}

// Refresh lays the form out again, for lines that came or went.
func (f *Form) Refresh() {
	f.general.Refresh()
	f.content.Refresh()
	f.BaseWidget.Refresh()
}

func (f *Form) parts() []fyne.CanvasObject {
	var inputs []fyne.CanvasObject
	for i, row := range f.rows {
		if f.content.Objects[2*i].Visible() {
			inputs = append(inputs, row.field.Input)
		}
	}
	return inputs
}

// CreateRenderer implements fyne.Widget.
func (f *Form) CreateRenderer() fyne.WidgetRenderer {
	return newLaidOut(f, widget.NewSimpleRenderer(container.NewBorder(f.general, nil, nil, nil, f.content)))
}

// formLayout sets pairs of label and field, all labels in one column.
type formLayout struct{}

const (
	formGap     = 12 // between labels and fields
	formRowGap  = 6
	formMinimum = 200 // width of a field
)

func (formLayout) labels(objects []fyne.CanvasObject) (width float32) {
	for i := 0; i < len(objects); i += 2 {
		if !objects[i].Visible() {
			continue
		}
		width = max(width, objects[i].MinSize().Width)
	}
	return width
}

// MinSize implements fyne.Layout.
func (l formLayout) MinSize(objects []fyne.CanvasObject) fyne.Size {
	fields, height := float32(formMinimum), float32(0)
	for i := 1; i < len(objects); i += 2 {
		if !objects[i].Visible() {
			continue
		}
		size := objects[i].MinSize()
		fields = max(fields, size.Width)
		height += size.Height + formRowGap
	}
	return fyne.NewSize(l.labels(objects)+formGap+fields, height)
}

// Layout implements fyne.Layout.
func (l formLayout) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	labels := l.labels(objects)
	left, y := labels+formGap, float32(0)
	for i := 1; i < len(objects); i += 2 {
		label, field := objects[i-1], objects[i]
		if !field.Visible() {
			continue
		}
		field.Resize(fyne.NewSize(size.Width-left, field.MinSize().Height))
		// A paragraph knows its height only at its width.
		field.Resize(fyne.NewSize(size.Width-left, field.MinSize().Height))
		field.Move(fyne.NewPos(left, y))
		text := label.MinSize()
		label.Resize(text)
		label.Move(fyne.NewPos(0, y+max((look.FieldHeight()-text.Height)/2, 0)))
		y += field.Size().Height + formRowGap
	}
}
