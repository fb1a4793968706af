package screentest

import (
	"strings"

	"fyne.io/fyne/v2"

	"weirkeeper/app/apptest"
	"weirkeeper/app/widgets"
)

// Table is the list of what is in front, the first one where there are several.
func (s *Screen) Table() *widgets.Table {
	s.T.Helper()
	return apptest.Find(s.T, apptest.Top(s.Canvas()), func(*widgets.Table) bool { return true })
}

// Lines are the rows of the Table from top to bottom: the texts of their cells
// with " | " between them.
func (s *Screen) Lines() []string {
	s.T.Helper()
	var lines []string
	for _, row := range s.Table().Rows() {
		lines = append(lines, lineOf(row))
	}
	return lines
}

func lineOf(row widgets.Row) string {
	cells := make([]string, len(row.Cells))
	for i, c := range row.Cells {
		cells[i] = strings.Join(strings.Fields(c.Bold+" "+c.Text+" "+c.Side), " ")
	}
	return strings.Join(cells, " | ")
}

// Line is the one row of the Table that contains a text.
func (s *Screen) Line(containing string) widgets.Row {
	s.T.Helper()
	var found []widgets.Row
	for _, row := range s.Table().Rows() {
		if !row.Group && strings.Contains(lineOf(row), containing) {
			found = append(found, row)
		}
	}
	if len(found) != 1 {
		s.T.Fatalf("%d rows contain %q, of:\n%s", len(found), containing, strings.Join(s.Lines(), "\n"))
	}
	return found[0]
}

// Point gives the keyboard to the Table with its cursor on the row that contains a
// text.
func (s *Screen) Point(containing string) {
	s.T.Helper()
	row := s.Line(containing)
	s.Focus(s.Table())
	s.Table().SetCurrent(row.ID)
	s.Drain()
}

// Tick ticks the row that contains a text, or takes its tick away.
func (s *Screen) Tick(containing string) {
	s.T.Helper()
	s.Point(containing)
	s.Keys(fyne.KeySpace)
}

// Ticked are the ticked rows of the Table.
func (s *Screen) Ticked() []string {
	s.T.Helper()
	ticked := map[int]bool{}
	for _, id := range s.Table().Checked() {
		ticked[id] = true
	}
	var lines []string
	for _, row := range s.Table().Rows() {
		if !row.Group && ticked[row.ID] {
			lines = append(lines, lineOf(row))
		}
	}
	return lines
}

// TickAll ticks all rows of the Table, as Ctrl+A does.
func (s *Screen) TickAll() {
	s.T.Helper()
	s.Focus(s.Table())
	apptest.Shortcut(s.T, s.Canvas(), &fyne.ShortcutSelectAll{})
	s.Drain()
}

// Check presses the box with that label on what is in front.
func (s *Screen) Check(label string) {
	s.T.Helper()
	s.Focus(apptest.Find(s.T, apptest.Top(s.Canvas()), func(c *widgets.Check) bool { return c.Text == label }))
	s.Type(" ")
}
