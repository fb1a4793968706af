package setup

import (
	"context"
	"math"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
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
	listing *widgets.List // what table shows
	list    *fyne.Container
	content fyne.CanvasObject
}

func newMethodsView(s *session.Session) *methodsView {
	v := &methodsView{session: s, list: container.NewStack()}
	v.listing = widgets.NewList([]widgets.Column{
		{Title: say.L("Analyte"), Weight: 2}, {Title: say.L("Method"), Weight: 3}, {Title: say.L("Kind"), Width: 90}, {Title: say.L("Unit"), Width: 90},
		{Title: say.L("Accuracy"), Weight: 2, Align: fyne.TextAlignTrailing}, {Title: say.L("Step"), Width: 70, Align: fyne.TextAlignTrailing}, {Title: say.L("From"), Width: 70, Align: fyne.TextAlignTrailing},
	}, s.Memory, "setup.methods")
	v.table = v.listing.Table
	v.table.OnOpen = func(n int) { v.edit(v.loaded.methods[n]) }
	buttons := widgets.NewBar(widgets.NewPrimary(say.L("Add a method"), func() { v.edit(tanks.Method{}) }).With(look.IconAdd), widgets.NewSecondary(say.L("Change"), v.editCurrent).With(look.IconChange)).And(v.listing.Tools()...)
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
	v.listing.SetRows(rows)
	v.list.Objects = []fyne.CanvasObject{v.table}
	if len(rows) == 0 {
		v.list.Objects = []fyne.CanvasObject{widgets.NewEmpty(say.L("No method yet"), say.L("A method is how a value is got: kit, photometer, meter, probe or lab. Its accuracy decides how sure a verdict is."),
			widgets.Action{Text: say.L("Add a method"), Do: func() { v.edit(tanks.Method{}) }})}
	}
	v.list.Refresh()
}

func methodCells(m tanks.Method) []widgets.Cell {
	name := widgets.Cell{Text: m.Name}
	if m.Retired {
		name = widgets.Cell{Text: say.F("%s (retired)", m.Name), Quiet: true}
	}
	accuracy := say.L("not stated")
	switch {
	case m.Accuracy > 0 && m.AccuracyShare > 0:
		accuracy = say.F("± %s and %s %%", widgets.PlainNumber(round(inMethod(m, m.Accuracy))), widgets.PlainNumber(round(m.AccuracyShare*100)))
	case m.Accuracy > 0:
		accuracy = "± " + widgets.PlainNumber(round(inMethod(m, m.Accuracy)))
	case m.AccuracyShare > 0:
		accuracy = "± " + widgets.PlainNumber(round(m.AccuracyShare*100)) + " %"
	}
	return []widgets.Cell{
		{Text: say.Of(m.Analyte)}, name, {Text: say.Of(m.Kind)}, {Text: string(m.Unit), Quiet: true}, {Text: accuracy}, {Text: number0(round(inMethod(m, m.Resolution))), Quiet: true}, {Text: number0(round(levelOf(m, m.Detection))), Quiet: true},
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
	var kinds []string
	for _, k := range tanks.MethodKinds() {
		kinds = append(kinds, say.Of(k))
	}
	kind, analyte := "", ""
	if m.Kind != 0 {
		kind = say.Of(m.Kind)
	}
	if m.Analyte != 0 {
		analyte = say.Of(m.Analyte)
	}
	f := &methodForm{
		name: widgets.NewTextEntry(m.Name), note: widgets.NewNoteEntry(m.Note, 2), analyte: widgets.NewChoice(session.AnalyteNames(nil), analyte), kind: widgets.NewChoice(kinds, kind),
		unit: widgets.NewChoice(unitNames(m.Analyte), string(m.Unit)), resolution: widgets.NewNumberEntryOf(round(inMethod(m, m.Resolution))), accuracy: widgets.NewNumberEntryOf(round(inMethod(m, m.Accuracy))),
		share: widgets.NewNumberEntryOf(round(m.AccuracyShare * 100)), repeatability: widgets.NewNumberEntryOf(round(inMethod(m, m.Repeatability))), detection: widgets.NewNumberEntryOf(round(levelOf(m, m.Detection))),
		top: widgets.NewNumberEntryOf(round(levelOf(m, m.Top))), retired: widgets.NewCheck(say.L("not offered any more; its readings stay"), nil),
	}
	f.retired.SetChecked(m.Retired)
	f.analyte.OnChanged = func(name string) {
		a, ok := session.AnalyteNamed(name)
		if !ok {
			return
		}
		f.unit.SetOptions(unitNames(a))
		f.unit.SetSelected(unitNames(a)[0])
	}
	f.form = widgets.NewForm(
		widgets.Field{Name: "name", Label: say.L("Name"), Input: f.name, Help: say.L("as on your shelf; a laboratory has one for each analyte, by one name")},
		widgets.Field{Name: "kind", Label: say.L("Kind"), Input: f.kind}, widgets.Field{Name: "analyte", Label: say.L("Analyte"), Input: f.analyte}, widgets.Field{Name: "unit", Label: say.L("Reads in"), Input: f.unit},
		widgets.Field{Name: "resolution", Label: say.L("Step"), Input: f.resolution, Help: say.L("the smallest difference it shows, in its unit")},
		widgets.Field{Name: "accuracy", Label: say.L("Accuracy ±"), Input: f.accuracy, Help: say.L("from its leaflet, in its unit")},
		widgets.Field{Name: "accuracy_share", Label: say.L("and ± %"), Input: f.share, Help: say.L("of the value, if the leaflet says so")},
		widgets.Field{Name: "repeatability", Label: say.L("Repeatability"), Input: f.repeatability, Help: say.L("standard deviation of repeated tests; empty: half of the accuracy is assumed")},
		widgets.Field{Name: "detection", Label: say.L("Detects from"), Input: f.detection, Help: say.L("a result below is written with <")},
		widgets.Field{Name: "top", Label: say.L("Up to"), Input: f.top}, widgets.Field{Name: "note", Label: say.L("Note"), Input: f.note}, widgets.Field{Name: "retired", Label: say.L("Retired"), Input: f.retired},
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
	m.Analyte, _ = session.AnalyteNamed(f.analyte.Selected())
	m.Kind = 0
	for _, k := range tanks.MethodKinds() {
		if say.Of(k) == f.kind.Selected() {
			m.Kind = k
		}
	}
	info, _ := chem.Lookup(m.Analyte)
	typed := func(field string, e *widgets.NumberEntry) float64 {
		if strings.TrimSpace(e.Text) == "" {
			return 0
		}
		v, err := chem.ParseExact(e.Text)
		if err != nil {
			faults = append(faults, widgets.Fault{Field: field, Problem: say.Of(err)})
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
			faults = append(faults, widgets.Fault{Field: field, Problem: say.Of(err)})
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
			faults = append(faults, widgets.Fault{Field: field, Problem: say.Of(err)})
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
	title := say.F("Change %s", m.Name)
	if m.ID == 0 {
		title = say.L("Add a method")
	}
	showSaving(v.session, title, f.form, fyne.NewSize(520, 460), func() (func(context.Context) error, []widgets.Fault) {
		next, faults := f.read(m)
		return func(ctx context.Context) error { return v.session.Store.SaveMethod(ctx, &next) }, faults
	})
}
