package testsheet

import (
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// addSystem asks for a system to add as a row; without any it leads to where
// they are made.
func (p *Page) addSystem() {
	if p.sheet == nil {
		return
	}
	if len(p.sheet.room.Systems) == 0 {
		p.session.Go(session.Route{Place: session.Setup, Section: session.SetupSystems})
		return
	}
	var options []widgets.Option[tanks.SystemID]
	for _, system := range p.sheet.room.Systems {
		options = append(options, widgets.Option[tanks.SystemID]{Value: system.ID, Name: system.Label()})
	}
	ask(p.session, say.L("Add a system"), say.L("System"), options, func(id tanks.SystemID) {
		if system, ok := p.sheet.room.System(id); ok {
			p.sheet.addSystem(system)
			p.added(func(c tanks.Cell) bool { return c.System == id })
		}
	})
}

// addAnalyte asks for an analyte to add as a column.
func (p *Page) addAnalyte() {
	if p.sheet == nil {
		return
	}
	var options []widgets.Option[chem.Analyte]
	for _, info := range chem.Catalogue() {
		options = append(options, widgets.Option[chem.Analyte]{Value: info.Analyte, Name: say.Of(info.Analyte)})
	}
	ask(p.session, say.L("Add an analyte"), say.L("Analyte"), options, func(a chem.Analyte) {
		p.sheet.addAnalyte(a)
		p.added(func(c tanks.Cell) bool { return c.Analyte == a })
	})
}

// added shows the sheet with what was added, the cursor on the first of its
// cells, and reads what is to be expected there.
func (p *Page) added(is func(tanks.Cell) bool) {
	p.grid.ForgetEdits() // cells have moved
	p.kept.Keep()
	p.lay()
	for _, cell := range p.sheet.cells() {
		if is(cell) {
			p.goTo(cell)
			break
		}
	}
	p.load()
}

// ask asks for one of several values, and takes it when the dialog has gone and
// has given the keyboard back.
func ask[T comparable](s *session.Session, title, label string, options []widgets.Option[T], take func(T)) {
	var none T
	choice := widgets.NewChoice(options, none)
	form := widgets.NewForm(widgets.Field{Name: "choice", Label: label, Input: choice})
	confirmed := false
	widgets.ShowDialog(s.Window, widgets.Dialog{
		Title: title, Content: form, Confirm: say.L("Add"), Focus: choice,
		OnConfirm: func() bool {
			if _, confirmed = choice.Selected(); !confirmed {
				form.ShowFaults([]widgets.Fault{{
					Field: "choice", Problem: say.L("None of the list is chosen"), Remedy: say.L("type a part of the name and choose it"),
				}})
			}
			return confirmed
		},
		OnClosed: func() {
			if confirmed {
				take(choice.Value())
			}
		},
	})
}

// changeMethod asks by which method the column under the cursor is read, and in
// which unit it is typed.
func (p *Page) changeMethod() {
	cell, ok := p.current()
	if !ok {
		return
	}
	c, _ := p.sheet.column(cell.Analyte)
	if c.fixed() {
		p.session.Say(session.Notice{Title: say.Of(c.analyte),
			Text: say.L("How its values are read is said in the version of the program that knows it.")})
		return
	}
	methods := p.sheet.methodsFor(c.analyte)
	if len(methods) == 0 {
		p.session.Say(session.Notice{
			Title: say.F(
				"No method for %s",
				c.analyte.InSentence(),
			), Text: say.L("Methods carry the accuracy of a kit or meter. Add one in Setup."),
			Do: say.L("Methods"), Then: func() { p.session.Go(session.Route{Place: session.Setup, Section: session.SetupMethods}) },
		})
		return
	}
	var options []widgets.Option[tanks.MethodID]
	for _, m := range methods {
		options = append(options, widgets.Option[tanks.MethodID]{Value: m.ID, Name: m.Name, Detail: say.Of(m.Kind) + ", " + string(m.Unit)})
	}
	info, _ := chem.Lookup(c.analyte)
	by := widgets.NewChoice(options, c.method.ID)
	unit := widgets.NewChoice(widgets.OptionsOf(info.Units, func(u chem.Unit) string { return string(u) }), c.unit)
	by.OnChanged = func(id tanks.MethodID) { unit.SetSelected(p.sheet.columnBy(c.analyte, p.sheet.room.Methods[id]).unit) }
	form := widgets.NewForm(
		widgets.Field{Name: "method", Label: say.L("Method"), Input: by},
		widgets.Field{Name: "unit", Label: say.L("Typed in"), Input: unit, Help: say.L("What is typed already keeps its digits.")},
	)
	widgets.ShowForm(p.session.Window, say.F("How is %s read?", c.analyte.InSentence()), say.L("Change"), form, func() bool {
		p.sheet.setMethod(column{c.analyte, p.sheet.room.Methods[by.Value()], unit.Value()}, p.session.Clock())
		p.kept.Keep()
		p.lay()
		return true
	})
}

// askClear asks before typed values are dropped.
func (p *Page) askClear() {
	if p.sheet == nil || len(p.sheet.entries) == 0 {
		return
	}
	text := say.N(len(p.sheet.entries), "%d values typed and not saved will be gone.")
	widgets.ShowQuestion(p.session.Window, say.L("Clear the sheet"), text, say.L("Clear"), func() {
		p.sheet.clear()
		p.taken.SetTime(p.sheet.takenAt)
		p.kept.Keep()
		p.lay()
	})
}
