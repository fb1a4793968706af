package widgets

import (
	"unicode"

	"fyne.io/fyne/v2"
)

// TypedRune replaces the cell by what is typed.
func (g *Grid) TypedRune(r rune) {
	if unicode.IsSpace(r) || !unicode.IsPrint(r) {
		return
	}
	g.edit("", true)
	if g.editing {
		g.entry.TypedRune(r)
	}
}

// TypedKey moves, edits and clears.
func (g *Grid) TypedKey(e *fyne.KeyEvent) {
	if handledByDialog(g, e, true) {
		return
	}
	if g.empty() {
		if e.Name == fyne.KeyTab {
			g.leave(g.shift())
		}
		return
	}
	switch e.Name {
	case fyne.KeyF2:
		g.edit(g.model.Cell(g.row, g.col).Text, false)
	case fyne.KeyDelete, fyne.KeyBackspace:
		g.clear()
	default:
		g.move(e.Name)
	}
}

func (g *Grid) shift() bool { return g.Modifiers()&fyne.KeyModifierShift != 0 }

// move does what a moving key asks; false for any other key.
func (g *Grid) move(key fyne.KeyName) bool {
	rows, cols := g.model.Rows(), g.model.Columns()
	shift := g.shift()
	switch key {
	case fyne.KeyUp:
		g.moveTo(g.row-1, g.col, shift)
	case fyne.KeyDown:
		g.moveTo(g.row+1, g.col, shift)
	case fyne.KeyLeft:
		g.moveTo(g.row, g.col-1, shift)
	case fyne.KeyRight:
		g.moveTo(g.row, g.col+1, shift)
	case fyne.KeyHome:
		g.moveTo(g.row, 0, shift)
	case fyne.KeyEnd:
		g.moveTo(g.row, cols-1, shift)
	case fyne.KeyPageUp:
		g.moveTo(g.row-g.view.page(), g.col, shift)
	case fyne.KeyPageDown:
		g.moveTo(g.row+g.view.page(), g.col, shift)
	case fyne.KeyReturn, fyne.KeyEnter:
		g.enter(shift, rows, cols)
	case fyne.KeyTab:
		g.tab(shift, rows, cols)
	default:
		return false
	}
	return true
}

// enter moves down, at the foot of a column to the top of the next; with
// Shift back.
func (g *Grid) enter(back bool, rows, cols int) {
	switch {
	case !back && g.row < rows-1:
		g.moveTo(g.row+1, g.col, false)
	case !back && g.col < cols-1:
		g.moveTo(0, g.col+1, false)
	case back && g.row > 0:
		g.moveTo(g.row-1, g.col, false)
	case back && g.col > 0:
		g.moveTo(rows-1, g.col-1, false)
	}
}

// tab moves right, at the end of a row to the next; at the last cell it leaves
// the grid. With Shift back.
func (g *Grid) tab(back bool, rows, cols int) {
	n := g.row*cols + g.col + 1
	if back {
		n -= 2
	}
	if n < 0 || n >= rows*cols {
		g.leave(back)
		return
	}
	g.moveTo(n/cols, n%cols, false)
}

// leave gives the keyboard to what comes after the grid, or before it.
func (g *Grid) leave(back bool) {
	c := g.canvas()
	if c == nil {
		return
	}
	if back {
		c.FocusPrevious()
		return
	}
	c.FocusNext()
}
