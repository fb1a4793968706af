package widgets

import (
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"
)

// gridEntry is the one entry of a grid: it lies over the cell that is edited
// and gives the keys that end an edit to the grid.
type gridEntry struct {
	widget.Entry
	grid    *Grid
	leaving bool // the keyboard is on its way elsewhere already
}

func newGridEntry(g *Grid) *gridEntry {
	e := &gridEntry{grid: g}
	e.Wrapping, e.Scroll = fyne.TextWrapOff, fyne.ScrollNone
	e.OnChanged = func(string) { g.typing() }
	e.ExtendBaseWidget(e)
	e.Hide()
	return e
}

// CreateRenderer implements fyne.Widget.
func (e *gridEntry) CreateRenderer() fyne.WidgetRenderer {
	return newLaidOut(e, e.Entry.CreateRenderer())
}

// begin shows the entry with that text, the caret at its end.
func (e *gridEntry) begin(text string) {
	e.SetText(text)
	e.CursorRow, e.CursorColumn = 0, len([]rune(text))
	e.Show()
}

// AcceptsTab implements fyne.Tabbable: Tab ends the edit.
func (e *gridEntry) AcceptsTab() bool { return true }

// FocusLost keeps the edit when the keyboard goes elsewhere.
func (e *gridEntry) FocusLost() {
	e.Entry.FocusLost()
	if e.leaving {
		return
	}
	e.leaving = true
	e.grid.Commit()
	e.leaving = false
}

// TypedKey gives the keys that end an edit to the grid.
func (e *gridEntry) TypedKey(key *fyne.KeyEvent) {
	if key.Name != fyne.KeyEscape && PassKey(e.grid, key) {
		return
	}
	g := e.grid
	switch key.Name {
	case fyne.KeyEscape:
		g.drop()
	case fyne.KeyReturn, fyne.KeyEnter, fyne.KeyTab, fyne.KeyUp, fyne.KeyDown, fyne.KeyPageUp, fyne.KeyPageDown:
		g.Commit()
		g.move(key.Name)
	case fyne.KeyLeft, fyne.KeyRight, fyne.KeyHome, fyne.KeyEnd:
		if g.replacing && !g.shift() {
			g.Commit()
			g.move(key.Name)
			return
		}
		e.Entry.TypedKey(key)
	case fyne.KeyF2:
		g.replacing = false
	case fyne.KeyF3:
		g.turnEvery()
	default:
		e.Entry.TypedKey(key)
	}
}

// TypedShortcut lets the grid jump, and pastes a block into it instead of the
// entry.
func (e *gridEntry) TypedShortcut(s fyne.Shortcut) {
	if c, ok := s.(*desktop.CustomShortcut); ok && (c.KeyName == fyne.KeyHome || c.KeyName == fyne.KeyEnd) {
		e.grid.Commit()
		e.grid.TypedShortcut(s)
		return
	}
	if p, ok := s.(*fyne.ShortcutPaste); ok && strings.ContainsAny(strings.TrimRight(p.Clipboard.Content(), "\r\n"), "\t\r\n") {
		e.grid.drop()
		e.grid.TypedShortcut(s)
		return
	}
	e.Entry.TypedShortcut(s)
}
