package setup

import (
	"context"
	"math"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/forms"
	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/tanks"
)

// methodsView lists how values are got.
type methodsView struct {
	session *session.Session
	list    *chooser[tanks.MethodID, tanks.Method]
	content fyne.CanvasObject
}

func newMethodsView(s *session.Session) *methodsView {
	v := &methodsView{session: s}
	add := v.add
	v.list = newChooser(widgets.ListModel[tanks.MethodID, tanks.Method]{
		Name: "setup.methods", Key: func(m tanks.Method) tanks.MethodID { return m.ID }, Columns: methodColumns(),
		Open: func(methods []tanks.Method) { v.edit(methods[0]) },
		Empty: func() fyne.CanvasObject {
			return widgets.NewEmpty(
				say.L("No method yet"),
				say.L("A method is how a value is got: kit, photometer, meter, probe or lab. Its accuracy decides how sure a verdict is."),
				widgets.Action{Text: say.L("Add a method"), Do: add},
			)
		},
	}, s.Memory)
	buttons := widgets.NewBar(
		widgets.NewPrimary(say.L("Add a method"), add).With(look.IconAdd),
		widgets.NewSecondary(say.L("Change"), v.editCurrent).With(look.IconChange),
	).And(
		v.list.Tools()...)
	v.content = container.NewBorder(buttons, nil, nil, nil, v.list.Object())
	return v
}

func methodColumns() []widgets.ListColumn[tanks.Method] {
	number := func(id widgets.ColumnID, title string, of func(tanks.Method) float64) widgets.ListColumn[tanks.Method] {
		return widgets.ListColumn[tanks.Method]{
			ID:     id,
			Column: widgets.Column{Title: title, Width: 70, Align: fyne.TextAlignTrailing},
			Cell: func(m tanks.Method) widgets.Cell {
				return widgets.Cell{Text: number0(of(m)), Quiet: true}
			},
		}
	}
	return []widgets.ListColumn[tanks.Method]{
		{
			ID:     "analyte",
			Column: widgets.Column{Title: say.L("Analyte"), Weight: 2},
			Cell:   func(m tanks.Method) widgets.Cell { return widgets.Cell{Text: say.Of(m.Analyte)} },
		},
		{ID: "method", Column: widgets.Column{Title: say.L("Method"), Weight: 3}, Cell: func(m tanks.Method) widgets.Cell {
			if m.Retired {
				return widgets.Cell{Text: say.F("%s (retired)", m.Name), Quiet: true}
			}
			return widgets.Cell{Text: m.Name}
		}},
		{
			ID:     "kind",
			Column: widgets.Column{Title: say.L("Kind"), Width: 90},
			Cell:   func(m tanks.Method) widgets.Cell { return widgets.Cell{Text: say.Of(m.Kind)} },
		},
		{
			ID:     "unit",
			Column: widgets.Column{Title: say.L("Unit"), Width: 90},
			Cell:   func(m tanks.Method) widgets.Cell { return widgets.Cell{Text: string(m.Unit), Quiet: true} },
		},
		{
			ID:     "accuracy",
			Column: widgets.Column{Title: say.L("Accuracy"), Weight: 2, Align: fyne.TextAlignTrailing},
			Cell:   func(m tanks.Method) widgets.Cell { return widgets.Cell{Text: accuracyOf(m)} },
		},
		number("step", say.L("Step"), func(m tanks.Method) float64 { return round(inMethod(m, m.Resolution)) }),
		number("from", say.L("From"), func(m tanks.Method) float64 { return round(levelOf(m, m.Detection)) }),
	}
}

func (v *methodsView) object() fyne.CanvasObject { return v.content }

func (v *methodsView) focus() fyne.Focusable { return v.list.Focus() }

// show lists the methods in the catalogue's order of what they measure.
func (v *methodsView) show(l *loaded) {
	var methods []tanks.Method
	for _, info := range chem.Catalogue() {
		for _, m := range l.methods {
			if m.Analyte == info.Analyte {
				methods = append(methods, m)
			}
		}
	}
	v.list.show(methods)
}

// accuracyOf writes what a method's leaflet claims, in its unit.
func accuracyOf(m tanks.Method) string {
	switch {
	case m.Accuracy > 0 && m.AccuracyShare > 0:
		return say.F("± %s and %s %%", widgets.PlainNumber(round(inMethod(m, m.Accuracy))), widgets.PlainNumber(round(m.AccuracyShare*100)))
	case m.Accuracy > 0:
		return "± " + widgets.PlainNumber(round(inMethod(m, m.Accuracy)))
	case m.AccuracyShare > 0:
		return "± " + widgets.PlainNumber(round(m.AccuracyShare*100)) + " %"
	}
	return say.L("not stated")
}

// add asks for a new one.
func (v *methodsView) add() { v.edit(tanks.Method{}) }

func (v *methodsView) editCurrent() {
	if m, ok := v.list.Current(); ok {
		v.edit(m)
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
	analyte                                                    *widgets.Choice[chem.Analyte]
	kind                                                       *widgets.Choice[tanks.MethodKind]
	unit                                                       *widgets.Choice[chem.Unit]
	resolution, accuracy, share, repeatability, detection, top *widgets.NumberEntry
	retired                                                    *widgets.Check
}

func newMethodForm(m tanks.Method) *methodForm {
	f := &methodForm{
		name: widgets.NewTextEntry(
			m.Name,
		), note: widgets.NewNoteEntry(m.Note, 2), analyte: widgets.NewChoice(session.AnalyteOptions(nil), m.Analyte),
		kind: widgets.NewChoice(widgets.OptionsOf(tanks.MethodKinds(), func(k tanks.MethodKind) string { return say.Of(k) }), m.Kind),
		unit: widgets.NewChoice(
			unitOptions(m.Analyte),
			m.Unit,
		), resolution: widgets.NewNumberEntryOf(round(inMethod(m, m.Resolution))), accuracy: widgets.NewNumberEntryOf(round(inMethod(m,
			m.Accuracy))),
		share: widgets.NewNumberEntryOf(
			round(m.AccuracyShare * 100),
		), repeatability: widgets.NewNumberEntryOf(round(inMethod(m,
			m.Repeatability))), detection: widgets.NewNumberEntryOf(round(levelOf(m, m.Detection))),
		top: widgets.NewNumberEntryOf(
			round(levelOf(m, m.Top)),
		), retired: widgets.NewCheck(say.L("not offered any more; its readings stay"), nil),
	}
	f.retired.SetChecked(m.Retired)
	f.analyte.OnChanged = func(a chem.Analyte) {
		units := unitOptions(a)
		f.unit.SetOptions(units)
		f.unit.SetSelected(units[0].Value)
	}
	f.form = widgets.NewForm(
		widgets.Field{
			Name:  "name",
			Label: say.L("Name"),
			Input: f.name,
			Help:  say.L("as on your shelf; a laboratory has one for each analyte, by one name"),
		},
		widgets.Field{
			Name:  "kind",
			Label: say.L("Kind"),
			Input: f.kind,
		},
		widgets.Field{Name: "analyte", Label: say.L("Analyte"), Input: f.analyte},
		widgets.Field{Name: "unit", Label: say.L("Reads in"), Input: f.unit},
		widgets.Field{
			Name:  "resolution",
			Label: say.L("Step"),
			Input: f.resolution,
			Help:  say.L("the smallest difference it shows, in its unit"),
		},
		widgets.Field{Name: "accuracy", Label: say.L("Accuracy ±"), Input: f.accuracy, Help: say.L("from its leaflet, in its unit")},
		widgets.Field{Name: "accuracy_share", Label: say.L("and ± %"), Input: f.share, Help: say.L("of the value, if the leaflet says so")},
		widgets.Field{
			Name:  "repeatability",
			Label: say.L("Repeatability"),
			Input: f.repeatability,
			Help:  say.L("standard deviation of repeated tests; empty: half of the accuracy is assumed"),
		},
		widgets.Field{Name: "detection", Label: say.L("Detects from"), Input: f.detection, Help: say.L("a result below is written with <")},
		widgets.Field{
			Name:  "top",
			Label: say.L("Up to"),
			Input: f.top,
		},
		widgets.Field{Name: "note", Label: say.L("Note"), Input: f.note},
		widgets.Field{Name: "retired", Label: say.L("Retired"), Input: f.retired},
	)
	return f
}

// unitOptions offers the units that an analyte can be read in, the usual one first.
func unitOptions(a chem.Analyte) []widgets.Option[chem.Unit] {
	info, _ := chem.Lookup(a)
	return widgets.OptionsOf(info.Units, func(u chem.Unit) string { return string(u) })
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

// waterOf is the water that a method's differences are converted in: a share of
// saturation counts as that of fresh water of 25 °C at sea level.
func waterOf(u chem.Unit) chem.Water {
	if u == chem.Saturation {
		return chem.WaterOf(0).Under(25, 1)
	}
	return chem.Water{}
}

// inMethod converts a difference into the method's unit.
func inMethod(m tanks.Method, v float64) float64 {
	info, ok := chem.Lookup(m.Analyte)
	if !ok || v == 0 {
		return 0
	}
	d, err := chem.ConvertDelta(m.Analyte, around(m.Analyte), v, info.Unit, m.Unit, waterOf(m.Unit))
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
	c, err := chem.Convert(m.Analyte, v, info.Unit, m.Unit, waterOf(m.Unit))
	if err != nil {
		return 0
	}
	return c
}

// read takes the form over, or returns what is wrong at which field.
func (f *methodForm) read(m tanks.Method) (tanks.Method, []widgets.Fault) {
	var faults []widgets.Fault
	m.Name, m.Note, m.Retired = strings.TrimSpace(f.name.Text), f.note.Text, f.retired.Checked
	m.Analyte, m.Kind, m.Unit = f.analyte.Value(), f.kind.Value(), f.unit.Value()
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
		in, err := chem.Convert(m.Analyte, around(m.Analyte), info.Unit, m.Unit, waterOf(m.Unit))
		if v == 0 || err != nil {
			return v
		}
		d, err := chem.ConvertDelta(m.Analyte, in, v, m.Unit, info.Unit, waterOf(m.Unit))
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
		c, err := chem.Convert(m.Analyte, v, m.Unit, info.Unit, waterOf(m.Unit))
		if err != nil && m.Analyte != 0 {
			faults = append(faults, widgets.Fault{Field: field, Problem: say.Of(err)})
		}
		return c
	}
	m.Resolution, m.Accuracy, m.Repeatability = difference(
		"resolution",
		f.resolution,
	), difference(
		"accuracy",
		f.accuracy,
	), difference(
		"repeatability",
		f.repeatability,
	)
	m.AccuracyShare = typed("accuracy_share", f.share) / 100
	m.Detection, m.Top = level("detection", f.detection), level("top", f.top)
	return m, append(faults, forms.Faults(m.Validate())...)
}

// edit asks for a method; one without ID is new.
func (v *methodsView) edit(m tanks.Method) {
	f := newMethodForm(m)
	title := say.F("Change %s", m.Name)
	if m.ID == 0 {
		title = say.L("Add a method")
	}
	var next tanks.Method
	forms.Show(v.session, forms.Ask{Title: title, Form: f.form, Size: fyne.NewSize(520, 460), Read: func() (session.Deed, []widgets.Fault) {
		var faults []widgets.Fault
		next, faults = f.read(m)
		return func(ctx context.Context, store *storage.Store) error { return store.SaveMethod(ctx, &next) }, faults
	}, Saved: func() {
		v.list.choose(next.ID)
		saySaved(v.session, next.Name)
	}})
}
