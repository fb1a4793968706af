package testsheet

import (
	"slices"
	"time"

	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// merge adds the cells of another sheet that this one lacks.
func (s *sheet) merge(other *sheet) {
	for _, system := range other.systems {
		s.addSystem(system)
	}
	for _, c := range other.columns {
		s.addColumn(c.analyte)
	}
	for cell, due := range other.due {
		s.due[cell] = s.due[cell] || due
	}
}

// sameShape tells whether another sheet has the same cells in the same places.
func (s *sheet) sameShape(other *sheet) bool {
	return slices.EqualFunc(s.systems, other.systems, func(a, b tanks.System) bool { return a.ID == b.ID }) &&
		slices.EqualFunc(s.columns, other.columns, func(a, b column) bool { return a.analyte == b.analyte })
}

// reread reads every entry again, after the time or a method changed.
func (s *sheet) reread(now time.Time) {
	for row := range s.systems {
		for col := range s.columns {
			if e, ok := s.entries[s.cell(row, col)]; ok {
				s.typeIn(row, col, e.typed, now)
			}
		}
	}
}

// clear drops every entry.
func (s *sheet) clear() {
	s.entries = map[tanks.Cell]entry{}
	s.at = time.Time{}
}

// drop takes saved readings off the sheet; what was typed over one since stays.
func (s *sheet) drop(readings []tanks.Reading) {
	for _, r := range readings {
		cell := r.Cell()
		if s.entries[cell].typed == r.Typed {
			s.unjudge(r.System)
			delete(s.entries, cell)
		}
	}
}

// put sets a cell back to what was typed for a reading.
func (s *sheet) put(r tanks.Reading, now time.Time) {
	row := slices.IndexFunc(s.systems, func(t tanks.System) bool { return t.ID == r.System })
	if row < 0 {
		system, ok := s.room.System(r.System)
		if !ok {
			return
		}
		s.addSystem(system)
		row = len(s.systems) - 1
	}
	s.addColumn(r.Analyte)
	col := slices.IndexFunc(s.columns, func(c column) bool { return c.analyte == r.Analyte })
	e := s.typeIn(row, col, r.Typed, now)
	e.kept = true
	s.entries[s.cell(row, col)] = e
}

// setMethod changes how a column is read.
func (s *sheet) setMethod(col int, m tanks.Method, now time.Time) {
	s.columns[col] = s.columnBy(s.columns[col].analyte, m)
	s.reread(now)
}

// gridModel shows the page's sheet in the grid.
type gridModel struct{ page *Page }

// Rows implements widgets.GridModel.
func (m gridModel) Rows() int {
	if m.page.sheet == nil {
		return 0
	}
	return len(m.page.sheet.systems)
}

// Columns implements widgets.GridModel.
func (m gridModel) Columns() int {
	if m.page.sheet == nil {
		return 0
	}
	return len(m.page.sheet.columns)
}

// ColumnHead implements widgets.GridModel: analyte, then method and unit.
func (m gridModel) ColumnHead(col int) (title, subtitle string) {
	c := m.page.sheet.columns[col]
	return say.Of(c.analyte), c.subtitle()
}

// RowHead implements widgets.GridModel: code and name.
func (m gridModel) RowHead(row int) (bold, text string) {
	system := m.page.sheet.systems[row]
	return system.Code, system.Name
}

// Cell implements widgets.GridModel.
func (m gridModel) Cell(row, col int) widgets.GridCell {
	s := m.page.sheet
	cell := s.cell(row, col)
	e := s.entries[cell]
	out := widgets.GridCell{Text: e.typed, Hint: m.hint(cell, s.columns[col]), Due: s.due[cell], Bad: e.typed != "" && !e.ready()}
	if v, ok := s.verdict(cell); ok {
		out.Mark = widgets.MarkOf(int(v.Word), int(v.Sure), false)
	}
	return out
}

// hint is the newest value in the column's unit.
func (m gridModel) hint(cell tanks.Cell, c column) string {
	s := m.page.sheet
	last, ok := s.room.Latest[cell]
	if !ok {
		return ""
	}
	v, err := chem.Convert(c.analyte, last.Value, canonical(c.analyte), c.unit, s.room.Water(cell.System))
	if err != nil {
		return ""
	}
	sign := map[tanks.Limit]string{tanks.Below: "<", tanks.Above: ">"}[last.Limit]
	return say.F("%s%.*f", sign, chem.Decimals(c.analyte, c.unit), v)
}

// addSystem asks for a system to add as a row.
func (p *Page) addSystem() {
	if p.sheet == nil {
		return
	}
	var names []string
	byName := map[string]tanks.System{}
	for _, system := range p.sheet.room.Systems {
		names = append(names, system.Label())
		byName[system.Label()] = system
	}
	p.pick(say.L("Add a system"), say.L("System"), names, func(name string) bool {
		system, ok := byName[name]
		if ok {
			p.sheet.addSystem(system)
			p.keep()
			p.lay()
		}
		return ok
	})
}

// addAnalyte asks for an analyte to add as a column.
func (p *Page) addAnalyte() {
	if p.sheet == nil {
		return
	}
	p.pick(say.L("Add an analyte"), say.L("Analyte"), session.AnalyteNames(nil), func(name string) bool {
		a, ok := session.AnalyteNamed(name)
		if !ok {
			return false
		}
		p.sheet.addColumn(a)
		p.keep()
		p.lay()
		return true
	})
}

// changeMethod asks by which method the column under the cursor is read.
func (p *Page) changeMethod() {
	if p.sheet == nil || len(p.sheet.columns) == 0 {
		return
	}
	_, col := p.grid.Cursor()
	col = min(max(col, 0), len(p.sheet.columns)-1)
	c := p.sheet.columns[col]
	methods := p.sheet.methodsFor(c.analyte)
	if len(methods) == 0 {
		p.session.Say(session.Notice{Title: say.F("No method for %s", c.analyte.InSentence()), Text: say.L("Methods carry the accuracy of a kit or meter. Add one in Setup."),
			Do: say.L("Methods"), Then: func() { p.session.Go(session.Route{Place: session.Setup, Section: "Methods"}) }})
		return
	}
	var names []string
	for _, m := range methods {
		names = append(names, m.Name+", "+string(m.Unit))
	}
	p.pick(say.F("How is %s read?", c.analyte.InSentence()), say.L("Method"), names, func(name string) bool {
		n := slices.Index(names, name)
		if n < 0 {
			return false
		}
		p.sheet.setMethod(col, methods[n], p.session.Clock())
		p.keep()
		p.lay()
		return true
	})
}

// pick asks for one of several names.
func (p *Page) pick(title, label string, names []string, take func(string) bool) {
	choice := widgets.NewChoice(names, "")
	form := widgets.NewForm(widgets.Field{Name: "choice", Label: label, Input: choice})
	widgets.ShowForm(p.session.Window, title, say.L("Add"), form, func() bool {
		if take(choice.Selected()) {
			return true
		}
		form.ShowFaults([]widgets.Fault{{Field: "choice", Problem: say.L("None of the list is chosen"), Remedy: say.L("type a part of the name and choose it")}})
		return false
	})
}

// askClear asks before typed values are dropped.
func (p *Page) askClear() {
	if p.sheet == nil || len(p.sheet.entries) == 0 {
		return
	}
	n := len(p.sheet.entries)
	form := widgets.NewForm(widgets.Field{Name: "sure", Label: "", Input: widgets.NewWrapped(say.F("%s typed and not saved will be gone.", values(n)))})
	widgets.ShowForm(p.session.Window, say.L("Clear the sheet"), say.L("Clear"), form, func() bool {
		p.sheet.clear()
		p.keep()
		p.lay()
		return true
	})
}
