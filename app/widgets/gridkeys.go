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
	case fyne.KeyF3:
		g.turnEvery()
	case fyne.KeyDelete, fyne.KeyBackspace:
		g.clear()
	default:
		g.move(e.Name)
	}
}

func (g *Grid) shift() bool { return g.Modifiers()&fyne.KeyModifierShift != 0 }

// move does what a moving key asks; false for any other key.
func (g *Grid) move(key fyne.KeyName) bool {
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
		g.moveTo(g.row, g.model.Columns()-1, shift)
	case fyne.KeyPageUp:
		g.moveTo(g.row-g.view.page(), g.col, shift)
	case fyne.KeyPageDown:
		g.moveTo(g.row+g.view.page(), g.col, shift)
	case fyne.KeyReturn, fyne.KeyEnter:
		g.enter(shift)
	case fyne.KeyTab:
		g.tab(shift)
	default:
		return false
	}
	return true
}

// enter goes down to the next cell to stop at, at the foot of a column to the next
// column; with Shift back.
func (g *Grid) enter(back bool) {
	if !g.onward(back, true) && !back && g.OnLast != nil {
		g.OnLast()
	}
}

// tab goes right to the next cell to stop at, at the end of a row to the next row;
// after the last one it leaves the grid. With Shift back.
func (g *Grid) tab(back bool) {
	switch {
	case g.onward(back, false):
	case !back && g.OnLast != nil:
		g.OnLast()
	default:
		g.leave(back)
	}
}

// onward moves to the next cell to stop at, by rows or down the columns: one that is
// due, or any where none is due or every one is wanted. False: there is none.
func (g *Grid) onward(back, down bool) bool {
	if row, col, ok := g.next(g.row, g.col, back, down, !g.every); ok {
		g.moveTo(row, col, false)
		return true
	}
	if g.every || g.anyDue() {
		return false
	}
	row, col, ok := g.next(g.row, g.col, back, down, false)
	if ok {
		g.moveTo(row, col, false)
	}
	return ok
}

// next looks for the cell after another one, or the next that is due.
func (g *Grid) next(row, col int, back, down, due bool) (nextRow, nextCol int, ok bool) {
	rows, cols := g.model.Rows(), g.model.Columns()
	at, step := row*cols+col, 1
	if down {
		at = col*rows + row
	}
	if back {
		step = -1
	}
	for at += step; at >= 0 && at < rows*cols; at += step {
		row, col = at/cols, at%cols
		if down {
			row, col = at%rows, at/rows
		}
		if !due || g.model.Cell(row, col).Due {
			return row, col, true
		}
	}
	return 0, 0, false
}

func (g *Grid) anyDue() bool {
	for row := range g.model.Rows() {
		for col := range g.model.Columns() {
			if g.model.Cell(row, col).Due {
				return true
			}
		}
	}
	return false
}

// turnEvery switches between stopping at every cell and at those that are due.
func (g *Grid) turnEvery() {
	g.every = !g.every
	g.Refresh()
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
