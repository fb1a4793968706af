package widgets

import (
	"fmt"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
)

// dueSheet is a sheet of 3 by 3 cells of which those named are due.
func dueSheet(due ...[2]int) *sheet {
	s := newSheet(3, 3)
	for at := range s.cells {
		s.cells[at] = GridCell{}
	}
	for _, at := range due {
		s.cells[at] = GridCell{Due: true}
	}
	return s
}

// Enter and Tab stop at the cells that are due; F3 lets them stop at every cell.
func TestGridStopsAtDueCells(t *testing.T) {
	//   due: . x .
	//        x . .
	//        . x x
	due := [][2]int{{0, 1}, {1, 0}, {2, 1}, {2, 2}}
	cases := []struct {
		name, keys string
		due        [][2]int
		row, col   int
		last       int // times that the grid is left for what follows the last cell
	}{
		{"starts at the first due cell", "", due, 0, 1, 0},
		{"Tab by rows", "Tab", due, 1, 0, 0},
		{"Tab on", "Tab Tab", due, 2, 1, 0},
		{"Tab to the last", "Tab Tab Tab", due, 2, 2, 0},
		{"Tab after the last", "Tab Tab Tab Tab", due, 2, 2, 1},
		{"Shift+Tab back", "Tab Tab S+Tab", due, 1, 0, 0},
		{"Shift+Tab before the first", "S+Tab", due, 0, 1, 0},
		{"Shift+Enter before the first", "S+Tab S+Enter", [][2]int{{0, 0}}, 0, 0, 0},
		{"Enter down the column", "Enter", due, 2, 1, 0},
		{"Enter on to the next column", "Enter Enter", due, 2, 2, 0},
		{"Enter after the last", "Enter Enter Enter", due, 2, 2, 1},
		{"Shift+Enter back", "Enter S+Enter S+Enter", due, 1, 0, 0},
		{"typing goes the same way", "8 Tab 9 Tab", due, 2, 1, 0},
		{"arrows go to every cell", "Left Down Right", due, 1, 1, 0},
		{"Tab from a cell that is not due", "Left Tab", due, 0, 1, 0},
		{"after F3 at every cell", "F3 Tab", due, 0, 2, 0},
		{"after F3 Enter too", "F3 Enter", due, 1, 1, 0},
		{"F3 while typing", "8 F3 Tab", due, 0, 2, 0},
		{"F3 again", "F3 F3 Tab", due, 1, 0, 0},
		{"none due: every cell", "Tab Enter", nil, 1, 1, 0},
		{"none due: after the last cell", "C+End Tab", nil, 2, 2, 1},
		{"none due: Shift+Tab back", "Down S+Tab", nil, 0, 2, 0},
		{"the last of all is due", "C+End Enter", [][2]int{{2, 2}}, 2, 2, 1},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			s := dueSheet(c.due...)
			g, _, _, w, shift := gridInWindow(t, s)
			last := 0
			g.OnLast = func() { last++ }
			g.Start()
			press(t, w.Canvas(), shift, c.keys)
			if row, col := g.Cursor(); row != c.row || col != c.col || last != c.last {
				t.Errorf("at %d,%d and %d times past the last, want %d,%d and %d", row, col, last, c.row, c.col, c.last)
			}
			if got := s.filled(); strings.Contains(c.keys, "8") && !strings.HasPrefix(got, "0,1=8") {
				t.Errorf("the cells hold %q", got)
			}
		})
	}
}

// Where every cell is stopped at, the line under the grid says so; what is wrong with
// a cell comes first.
func TestGridSaysThatItStopsEverywhere(t *testing.T) {
	s := dueSheet([2]int{0, 0})
	g, _, _, w, shift := gridInWindow(t, s)
	for _, step := range []struct{ keys, want string }{
		{"", ""}, {"F3", "Enter and Tab stop at every cell. F3: only at those that are due."}, {"abc Tab S+Tab",
			"This is no number: type digits, such as 8.3."},
		{"Del F3", ""},
	} {
		press(t, w.Canvas(), shift, step.keys)
		if got := g.view.message.Text; got != step.want {
			t.Errorf("after %q it says %q, want %q", step.keys, got, step.want)
		}
	}
}

// Without anything that follows the last cell, Tab after it leaves the grid.
func TestTabLeavesAfterTheLastDueCell(t *testing.T) {
	g, before, after, w, shift := gridInWindow(t, dueSheet([2]int{1, 1}))
	g.Start()
	for keys, want := range map[string]fyne.Focusable{"Tab": after, "S+Tab": before, "Enter": g} {
		w.Canvas().Focus(g)
		press(t, w.Canvas(), shift, keys)
		if got := w.Canvas().Focused(); got != want {
			t.Errorf("%s leads to %T", keys, got)
		}
	}
	told := ""
	g.OnCursor = func(row, col int) { told += fmt.Sprint(row, col, " ") }
	g.MoveTo(0, 0)
	g.Start()
	if told != "0 0 1 1 " {
		t.Errorf("of the cursor's way it told %q", told)
	}
}
