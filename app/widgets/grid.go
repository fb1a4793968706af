package widgets

import (
	"slices"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/look"
)

// GridModel is what a Grid shows. It is asked for the cells in sight at each
// drawing, so its answers should be at hand.
type GridModel interface {
	Rows() int
	Columns() int
	// ColumnHead returns what stands over a column: a title, and a subtitle
	// such as method and unit.
	ColumnHead(col int) (title, subtitle string)
	// RowHead returns what stands before a row: a bold code and a name.
	RowHead(row int) (bold, text string)
	Cell(row, col int) GridCell
}

// GridCell is one cell of a Grid as it is now.
type GridCell struct {
	Text string
	Hint string   // small and grey at the left, such as the last value
	Mark MarkKind // left of the text
	Due  bool     // to be typed: on the page's ground; a cell that is not due is shaded
	Bad  bool     // filled and flagged: wrong, or it wants a look
	// Fixed cells are shown, and nothing is typed or pasted into them.
	Fixed bool
	// Message says what is wrong; it is shown under the grid while the cursor
	// is on the cell.
	Message string
}

// Edit is a text for one cell.
type Edit struct {
	Row, Col int
	Text     string
}

// Grid is a block of numbers to type: one cursor, one entry over the cell that
// is being edited, frozen heads.
//
// A letter or digit replaces a cell, F2 changes it. Enter, Tab and the arrows
// keep the edit and move: arrows to the next cell, Enter and Tab to the next one that
// is due, after F3 to any. Esc drops the edit; Delete clears. Shift with arrows
// selects a block, Ctrl+C and Ctrl+V copy and paste it as spreadsheets do, and
// UndoEdit takes the last edit or paste back. Tab after the last cell and Shift+Tab
// before the first leave the grid.
type Grid struct {
	widget.BaseWidget
	// OnEdit takes over a cell's new text; the grid then asks the model how
	// the cell stands.
	OnEdit func(row, col int, text string)
	// OnPaste takes over a pasted block instead of OnEdit for each cell.
	// outside counts the pasted values that found no cell.
	OnPaste func(edits []Edit, outside int)
	// OnTyping is told of each change of the text that is being typed into a cell,
	// and when that ends, however it ends; see Typing.
	OnTyping func()
	// OnCursor is told where the cursor went.
	OnCursor func(row, col int)
	// OnLast is called for Enter and Tab when no further cell is to be typed; nil:
	// Enter stays, and Tab leaves the grid.
	OnLast func()
	// Modifiers tells which modifier keys are down.
	Modifiers func() fyne.KeyModifier

	model      GridModel
	row, col   int // the cursor
	ar, ac     int // the other corner of the selection
	focused    bool
	editing    bool
	every      bool // Enter and Tab stop at every cell, also where it is not due
	replacing  bool // the edit began by typing: Left, Right, Home, End move on
	before     string
	tapped     time.Time
	now        func() time.Time
	entry      *gridEntry
	view       *gridView
	committing bool
	done       []gridEdits // that can be taken back
	undone     []gridEdits // that can be put back
}

var (
	_ fyne.Focusable      = (*Grid)(nil)
	_ fyne.Tabbable       = (*Grid)(nil)
	_ fyne.Tappable       = (*Grid)(nil)
	_ fyne.Shortcutable   = (*Grid)(nil)
	_ fyne.WidgetRenderer = (*gridRenderer)(nil)
)

// NewGrid returns a grid on the model.
func NewGrid(m GridModel) *Grid {
	g := &Grid{model: m, Modifiers: driverModifiers, now: time.Now}
	g.entry = newGridEntry(g)
	g.view = newGridView(g)
	g.ExtendBaseWidget(g)
	return g
}

// Reload asks the model anew: sizes, heads and cells. A pending edit is
// dropped when its cell is gone.
func (g *Grid) Reload() {
	rows, cols := g.model.Rows(), g.model.Columns()
	if g.editing && (g.row >= rows || g.col >= cols) {
		g.stopEdit()
		defer g.typing()
	}
	g.row, g.col = clampTo(g.row, rows), clampTo(g.col, cols)
	g.ar, g.ac = clampTo(g.ar, rows), clampTo(g.ac, cols)
	g.view.measureHeads()
	g.Refresh()
}

func clampTo(i, n int) int { return min(max(i, 0), max(n-1, 0)) }

// Start keeps a pending edit and puts the cursor on the first cell that is due, on
// the first of all where none is.
func (g *Grid) Start() {
	row, col := 0, 0
	if !g.empty() && !g.model.Cell(0, 0).Due {
		row, col, _ = g.next(0, 0, false, false, true)
	}
	g.MoveTo(row, col)
}

// Cursor returns where the cursor is.
func (g *Grid) Cursor() (row, col int) { return g.row, g.col }

// Editing tells whether a cell is being edited.
func (g *Grid) Editing() bool { return g.editing }

// Typing returns the cell that is being edited with what stands in it by now; ok
// is false while none is.
func (g *Grid) Typing() (e Edit, ok bool) {
	if !g.editing {
		return Edit{}, false
	}
	return Edit{g.row, g.col, g.entry.Text}, true
}

func (g *Grid) typing() {
	if g.OnTyping != nil {
		g.OnTyping()
	}
}

// MoveTo keeps a pending edit and moves the cursor.
func (g *Grid) MoveTo(row, col int) {
	g.Commit()
	g.moveTo(row, col, false)
}

func (g *Grid) empty() bool { return g.model.Rows() == 0 || g.model.Columns() == 0 }

func (g *Grid) moveTo(row, col int, extend bool) {
	row, col = clampTo(row, g.model.Rows()), clampTo(col, g.model.Columns())
	changed := row != g.row || col != g.col
	g.row, g.col = row, col
	if !extend {
		g.ar, g.ac = row, col
	}
	g.view.reveal(row, col)
	g.Refresh()
	if changed && g.OnCursor != nil {
		g.OnCursor(row, col)
	}
}

// selection returns the corners of the selected block, both inside.
func (g *Grid) selection() (top, left, bottom, right int) {
	return min(g.row, g.ar), min(g.col, g.ac), max(g.row, g.ar), max(g.col, g.ac)
}

// Commit takes over the pending edit, if there is one. Pages call it before
// they act on what was typed.
func (g *Grid) Commit() {
	if !g.editing || g.committing {
		return
	}
	g.committing = true
	text, changed := g.entry.Text, g.entry.Text != g.before
	g.stopEdit()
	if changed && g.OnEdit != nil {
		g.note([]Edit{{g.row, g.col, text}})
		g.OnEdit(g.row, g.col, text)
	}
	g.committing = false
	g.Refresh()
	g.typing()
}

// drop forgets the pending edit.
func (g *Grid) drop() {
	g.stopEdit()
	g.Refresh()
	g.typing()
}

// stopEdit takes the entry away; the keyboard goes back to the grid if the
// entry had it.
func (g *Grid) stopEdit() {
	g.editing = false
	if c := g.canvas(); !g.entry.leaving && c != nil && c.Focused() == fyne.Focusable(g.entry) {
		g.entry.leaving = true
		c.Focus(g)
		g.entry.leaving = false
	}
	g.entry.Hide()
}

// edit puts the entry over the cell under the cursor.
func (g *Grid) edit(text string, replacing bool) {
	c := g.canvas()
	if g.empty() || c == nil || g.model.Cell(g.row, g.col).Fixed {
		return
	}
	g.ar, g.ac = g.row, g.col
	g.before = g.model.Cell(g.row, g.col).Text
	g.editing, g.replacing = true, replacing
	g.view.reveal(g.row, g.col)
	g.entry.begin(text)
	g.Refresh()
	c.Focus(g.entry)
}

func (g *Grid) canvas() fyne.Canvas { return fyne.CurrentApp().Driver().CanvasForObject(g) }

// held is every text of the grid.
func (g *Grid) held() string {
	var b strings.Builder
	for r := range g.model.Rows() {
		for c := range g.model.Columns() {
			b.WriteString(g.model.Cell(r, c).Text + "\t")
		}
	}
	return b.String()
}

// FocusGained shows the cursor.
func (g *Grid) FocusGained() {
	g.focused = true
	g.Refresh()
	reveal(g)
}

// FocusLost shows it faintly.
func (g *Grid) FocusLost() { g.focused = false; g.Refresh() }

// AcceptsTab implements fyne.Tabbable: Tab moves from cell to cell.
func (g *Grid) AcceptsTab() bool { return true }

// clear empties the selected cells.
func (g *Grid) clear() { g.fill("") }

// fill puts one text into every selected cell.
func (g *Grid) fill(text string) {
	top, left, bottom, right := g.selection()
	var edits []Edit
	for r := top; r <= bottom; r++ {
		for c := left; c <= right; c++ {
			edits = append(edits, Edit{r, c, text})
		}
	}
	g.apply(edits, 0)
}

// apply hands over what a block changes, as one where there is someone to
// take it so. What fixed cells do not take counts as outside.
func (g *Grid) apply(edits []Edit, outside int) {
	edits = slices.DeleteFunc(edits, func(e Edit) bool {
		cell := g.model.Cell(e.Row, e.Col)
		if cell.Fixed && e.Text != "" {
			outside++
		}
		return cell.Fixed || cell.Text == e.Text
	})
	if len(edits) == 0 && outside == 0 {
		return
	}
	if len(edits) > 0 {
		g.note(edits)
	}
	g.hand(edits, outside)
}

// hand gives edits to who takes them over.
func (g *Grid) hand(edits []Edit, outside int) {
	switch {
	case g.OnPaste != nil && (len(edits) != 1 || outside > 0):
		g.OnPaste(edits, outside)
	case g.OnEdit != nil:
		for _, e := range edits {
			g.OnEdit(e.Row, e.Col, e.Text)
		}
	}
	g.Refresh()
}

// TypedShortcut copies, cuts, pastes and jumps.
func (g *Grid) TypedShortcut(s fyne.Shortcut) {
	if g.empty() {
		return
	}
	switch s := s.(type) {
	case *fyne.ShortcutCopy:
		s.Clipboard.SetContent(g.copied())
	case *fyne.ShortcutCut:
		s.Clipboard.SetContent(g.copied())
		g.clear()
	case *fyne.ShortcutPaste:
		g.paste(s.Clipboard.Content())
	case *fyne.ShortcutSelectAll:
		g.row, g.col, g.ar, g.ac = 0, 0, g.model.Rows()-1, g.model.Columns()-1
		g.Refresh()
	case *desktop.CustomShortcut:
		g.jump(s)
	}
}

// jump goes to the first or last cell on Ctrl+Home and Ctrl+End.
func (g *Grid) jump(s *desktop.CustomShortcut) {
	extend := s.Modifier&fyne.KeyModifierShift != 0
	if s.Modifier&fyne.KeyModifierShortcutDefault == 0 {
		return
	}
	switch s.KeyName {
	case fyne.KeyHome:
		g.moveTo(0, 0, extend)
	case fyne.KeyEnd:
		g.moveTo(g.model.Rows()-1, g.model.Columns()-1, extend)
	}
}

// Tapped moves the cursor to the cell under the pointer; a second tap edits
// it.
func (g *Grid) Tapped(e *fyne.PointEvent) {
	g.Commit()
	if c := g.canvas(); c != nil {
		c.Focus(g)
	}
	row, col, ok := g.view.at(e.Position)
	if !ok {
		return
	}
	again := row == g.row && col == g.col && g.now().Sub(g.tapped) < doubleTap
	g.tapped = g.now()
	g.moveTo(row, col, g.shift())
	if again {
		g.tapped = time.Time{}
		g.edit(g.model.Cell(row, col).Text, false)
	}
}

// Refresh draws the grid as it is now.
func (g *Grid) Refresh() {
	g.view.place()
	g.BaseWidget.Refresh()
}

// CreateRenderer implements fyne.Widget.
func (g *Grid) CreateRenderer() fyne.WidgetRenderer {
	return newWithWheel(g, newLaidOut(g, &gridRenderer{g.view}))
}

type gridRenderer struct{ view *gridView }

func (r *gridRenderer) Layout(size fyne.Size) { r.view.layout(size) }

func (r *gridRenderer) MinSize() fyne.Size {
	return fyne.NewSize(r.view.headWidth+gridColumnMin(), r.view.headHeight()+3*gridRowHeight()+gridMessageHeight())
}

func (r *gridRenderer) Refresh() { canvas.Refresh(r.view.grid) }

func (r *gridRenderer) Objects() []fyne.CanvasObject {
	v := r.view
	return []fyne.CanvasObject{v.scroll, v.rowClip, v.columnClip, v.headRule, v.message}
}

func (r *gridRenderer) Destroy() {}

// textOnGrid is the size of the numbers.
func textOnGrid() float32 { return look.TextSize() + 1 }
