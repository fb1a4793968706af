package setup

import (
	"context"
	"fmt"
	"math"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// methodsView lists how values are got.
type methodsView struct {
	session *session.Session
	loaded  *loaded
	table   *widgets.Table
	list    *fyne.Container
	content fyne.CanvasObject
}

func newMethodsView(s *session.Session) *methodsView {
	v := &methodsView{session: s, list: container.NewStack()}
	v.table = widgets.NewTable([]widgets.Column{
		{Title: "Analyte", Weight: 2}, {Title: "Method", Weight: 3}, {Title: "Kind", Width: 90}, {Title: "Unit", Width: 90},
		{Title: "Accuracy", Weight: 2, Align: fyne.TextAlignTrailing}, {Title: "Step", Width: 70, Align: fyne.TextAlignTrailing}, {Title: "From", Width: 70, Align: fyne.TextAlignTrailing},
	})
	v.table.OnOpen = func(n int) { v.edit(v.loaded.methods[n]) }
	buttons := container.NewHBox(widgets.NewPrimary("Add a method", func() { v.edit(tanks.Method{}) }), widgets.NewSecondary("Change", v.editCurrent))
	v.content = container.NewBorder(buttons, nil, nil, nil, v.list)
	return v
}

func (v *methodsView) object() fyne.CanvasObject { return v.content }

func (v *methodsView) focus() fyne.Focusable { return widgets.IfShown(v.list, v.table, v.table) }

func (v *methodsView) show(l *loaded) {
	v.loaded = l
	var rows []widgets.Row
	for _, info := range chem.Catalogue() {
		for n, m := range l.methods {
			if m.Analyte == info.Analyte {
				rows = append(rows, widgets.Row{ID: n, Cells: methodCells(m)})
			}
		}
	}
	v.table.SetRows(rows)
	v.list.Objects = []fyne.CanvasObject{v.table}
	if len(rows) == 0 {
		v.list.Objects = []fyne.CanvasObject{widgets.NewEmpty("No method yet", "A method is how a value is got: kit, photometer, meter, probe or lab. Its accuracy decides how sure a verdict is.",
			widgets.Action{Text: "Add a method", Do: func() { v.edit(tanks.Method{}) }})}
	}
	v.list.Refresh()
}

func methodCells(m tanks.Method) []widgets.Cell {
	name := widgets.Cell{Text: m.Name}
	if m.Retired {
		name = widgets.Cell{Text: m.Name + " (retired)", Quiet: true}
	}
	accuracy := "not stated"
	switch {
	case m.Accuracy > 0 && m.AccuracyShare > 0:
		accuracy = fmt.Sprintf("± %s and %s %%", widgets.PlainNumber(round(inMethod(m, m.Accuracy))), widgets.PlainNumber(round(m.AccuracyShare*100)))
	case m.Accuracy > 0:
		accuracy = "± " + widgets.PlainNumber(round(inMethod(m, m.Accuracy)))
	case m.AccuracyShare > 0:
		accuracy = "± " + widgets.PlainNumber(round(m.AccuracyShare*100)) + " %"
	}
	return []widgets.Cell{
		{Text: m.Analyte.String()}, name, {Text: m.Kind.String()}, {Text: string(m.Unit), Quiet: true}, {Text: accuracy}, {Text: number0(round(inMethod(m, m.Resolution))), Quiet: true}, {Text: number0(round(levelOf(m, m.Detection))), Quiet: true},
	}
}

func (v *methodsView) editCurrent() {
	if n, ok := v.table.Current(); ok && v.loaded != nil {
		v.edit(v.loaded.methods[n])
	}
}

func number0(v float64) string {
	if v == 0 {
		return ""
	}
	return widgets.PlainNumber(v)
}

// methodForm is the form of one method; its numbers are in the method's unit.
type methodForm struct {
	form                                                       *widgets.Form
	name, note                                                 *widgets.TextEntry
	analyte, kind, unit                                        *widgets.Choice
	resolution, accuracy, share, repeatability, detection, top *widgets.NumberEntry
	retired                                                    *widgets.Check
}

func newMethodForm(m tanks.Method) *methodForm {
	var analytes, kinds []string
	for _, info := range chem.Catalogue() {
		analytes = append(analytes, info.Name)
	}
	for _, k := range tanks.MethodKinds() {
		kinds = append(kinds, k.String())
	}
	kind, analyte := "", ""
	if m.Kind != 0 {
		kind = m.Kind.String()
	}
	if m.Analyte != 0 {
		analyte = m.Analyte.String()
	}
	f := &methodForm{
		name: widgets.NewTextEntry(m.Name), note: widgets.NewNoteEntry(m.Note, 2), analyte: widgets.NewChoice(analytes, analyte), kind: widgets.NewChoice(kinds, kind),
		unit: widgets.NewChoice(unitNames(m.Analyte), string(m.Unit)), resolution: widgets.NewNumberEntryOf(round(inMethod(m, m.Resolution))), accuracy: widgets.NewNumberEntryOf(round(inMethod(m, m.Accuracy))),
		share: widgets.NewNumberEntryOf(round(m.AccuracyShare * 100)), repeatability: widgets.NewNumberEntryOf(round(inMethod(m, m.Repeatability))), detection: widgets.NewNumberEntryOf(round(levelOf(m, m.Detection))),
		top: widgets.NewNumberEntryOf(round(levelOf(m, m.Top))), retired: widgets.NewCheck("not offered any more; its readings stay", nil),
	}
	f.retired.SetChecked(m.Retired)
	f.analyte.OnChanged = func(name string) {
		a, err := chem.ParseAnalyte(name)
		if err != nil {
			return
		}
		f.unit.SetOptions(unitNames(a))
		f.unit.SetSelected(unitNames(a)[0])
	}
	f.form = widgets.NewForm(
		widgets.Field{Name: "name", Label: "Name", Input: f.name, Help: "as on your shelf; a laboratory has one for each analyte, by one name"},
		widgets.Field{Name: "kind", Label: "Kind", Input: f.kind}, widgets.Field{Name: "analyte", Label: "Analyte", Input: f.analyte}, widgets.Field{Name: "unit", Label: "Reads in", Input: f.unit},
		widgets.Field{Name: "resolution", Label: "Step", Input: f.resolution, Help: "the smallest difference it shows, in its unit"},
		widgets.Field{Name: "accuracy", Label: "Accuracy ±", Input: f.accuracy, Help: "from its leaflet, in its unit"},
		widgets.Field{Name: "accuracy_share", Label: "and ± %", Input: f.share, Help: "of the value, if the leaflet says so"},
		widgets.Field{Name: "repeatability", Label: "Repeatability", Input: f.repeatability, Help: "standard deviation of repeated tests; empty: half of the accuracy is assumed"},
		widgets.Field{Name: "detection", Label: "Detects from", Input: f.detection, Help: "a result below is written with <"},
		widgets.Field{Name: "top", Label: "Up to", Input: f.top}, widgets.Field{Name: "note", Label: "Note", Input: f.note}, widgets.Field{Name: "retired", Label: "Retired", Input: f.retired},
	)
	return f
}

func unitNames(a chem.Analyte) []string {
	info, _ := chem.Lookup(a)
	names := make([]string, len(info.Units))
	for i, u := range info.Units {
		names[i] = string(u)
	}
	return names
}

// around is the level at which a method's differences are converted, in the
// canonical unit: natural sea water's where there is one.
func around(a chem.Analyte) float64 {
	info, _ := chem.Lookup(a)
	if info.Seawater > 0 && !math.IsNaN(info.Seawater) {
		return info.Seawater
	}
	return math.Max(0, info.Low)
}

// inMethod converts a difference into the method's unit.
func inMethod(m tanks.Method, v float64) float64 {
	info, ok := chem.Lookup(m.Analyte)
	if !ok || v == 0 {
		return 0
	}
	d, err := chem.ConvertDelta(m.Analyte, around(m.Analyte), v, info.Unit, m.Unit, chem.Water{})
	if err != nil {
		return 0
	}
	return d
}

// levelOf converts a level into the method's unit.
func levelOf(m tanks.Method, v float64) float64 {
	info, ok := chem.Lookup(m.Analyte)
	if !ok || v == 0 {
		return 0
	}
	c, err := chem.Convert(m.Analyte, v, info.Unit, m.Unit, chem.Water{})
	if err != nil {
		return 0
	}
	return c
}

// read takes the form over, or returns what is wrong at which field.
func (f *methodForm) read(m tanks.Method) (tanks.Method, []widgets.Fault) {
	var faults []widgets.Fault
	m.Name, m.Note, m.Retired, m.Unit = strings.TrimSpace(f.name.Text), f.note.Text, f.retired.Checked, chem.Unit(f.unit.Selected())
	m.Analyte, _ = chem.ParseAnalyte(f.analyte.Selected())
	m.Kind = 0
	for _, k := range tanks.MethodKinds() {
		if k.String() == f.kind.Selected() {
			m.Kind = k
		}
	}
	info, _ := chem.Lookup(m.Analyte)
	typed := func(field string, e *widgets.NumberEntry) float64 {
		if strings.TrimSpace(e.Text) == "" {
			return 0
		}
		v, err := number(e.Text)
		if err != nil {
			faults = append(faults, widgets.Fault{Field: field, Problem: err.Error()})
		}
		return v
	}
	difference := func(field string, e *widgets.NumberEntry) float64 {
		v := typed(field, e)
		in, err := chem.Convert(m.Analyte, around(m.Analyte), info.Unit, m.Unit, chem.Water{})
		if v == 0 || err != nil {
			return v
		}
		d, err := chem.ConvertDelta(m.Analyte, in, v, m.Unit, info.Unit, chem.Water{})
		if err != nil {
			faults = append(faults, widgets.Fault{Field: field, Problem: err.Error()})
		}
		return math.Copysign(d, v)
	}
	level := func(field string, e *widgets.NumberEntry) float64 {
		v := typed(field, e)
		if v == 0 {
			return 0
		}
		c, err := chem.Convert(m.Analyte, v, m.Unit, info.Unit, chem.Water{})
		if err != nil && m.Analyte != 0 {
			faults = append(faults, widgets.Fault{Field: field, Problem: err.Error()})
		}
		return c
	}
	m.Resolution, m.Accuracy, m.Repeatability = difference("resolution", f.resolution), difference("accuracy", f.accuracy), difference("repeatability", f.repeatability)
	m.AccuracyShare = typed("accuracy_share", f.share) / 100
	m.Detection, m.Top = level("detection", f.detection), level("top", f.top)
	return m, append(faults, session.FormFaults(m.Validate())...)
}

// edit asks for a method; one without ID is new.
func (v *methodsView) edit(m tanks.Method) {
	f := newMethodForm(m)
	title := "Change " + m.Name
	if m.ID == 0 {
		title = "Add a method"
	}
	showSaving(v.session, title, f.form, fyne.NewSize(520, 460), func() (func(context.Context) error, []widgets.Fault) {
		next, faults := f.read(m)
		return func(ctx context.Context) error { return v.session.Store.SaveMethod(ctx, &next) }, faults
	})
}
