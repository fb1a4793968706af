package testsheet

import (
	"weirkeeper/app/say"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// gridModel shows the page's sheet in the grid. What has gone from the sheet
// since the grid was told of it is empty.
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
	if col >= m.Columns() {
		return "", ""
	}
	c := m.page.sheet.columns[col]
	return say.Of(c.analyte), c.subtitle()
}

// RowHead implements widgets.GridModel: code and name.
func (m gridModel) RowHead(row int) (bold, text string) {
	if row >= m.Rows() {
		return "", ""
	}
	system := m.page.sheet.systems[row]
	return system.Code, system.Name
}

// Cell implements widgets.GridModel.
func (m gridModel) Cell(row, col int) widgets.GridCell {
	s := m.page.sheet
	if s == nil {
		return widgets.GridCell{}
	}
	cell, ok := s.cellAt(row, col)
	if !ok {
		return widgets.GridCell{}
	}
	e := s.entries[cell]
	out := widgets.GridCell{Text: e.typed, Hint: s.hint(cell), Due: s.due[cell], Bad: e.typed != "" && e.stuck()}
	if !typeable(cell.Analyte) {
		out.Fixed = true
		out.Message = say.F("%s: its values are kept and shown. They are typed in the version of the program that knows it.",
			say.Of(cell.Analyte))
	}
	if v, ok := s.verdict(cell); ok {
		out.Mark = widgets.MarkOf(int(v.Word), int(v.Sure), false)
	}
	return out
}

// hint is the newest value in the unit that the cell is typed in, of the water that it was
// measured in.
func (s *sheet) hint(cell tanks.Cell) string {
	last, ok := s.room.Latest[cell]
	c, has := s.column(cell.Analyte)
	if !ok || !has {
		return ""
	}
	return last.Limit.Sign() + say.L(chem.Format(c.analyte, last.Value, c.unit, s.room.WaterAt(cell.System, last.At)))
}
