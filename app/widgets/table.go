package widgets

import (
	"slices"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/look"
)

// Column describes one column of a Table. One with a Width has that, or what its
// cells need where room is short; columns without it share what is left by Weight
// (zero counts as one), each at least Min wide (zero: 84, or what its cells need) and
// at most Max (zero: any).
type Column struct {
	Title    string
	Subtitle string
	Width    float32
	Weight   float32
	Min      float32
	Max      float32
	Align    fyne.TextAlign
	// Spare columns are left out, the last one first, where there is no room for
	// all.
	Spare bool

	need float32 // width that its cells and its title take
}

// Cell is what a Table shows in one place: a mark, a bold part, the text, and
// a small grey text at the right edge. A gauge goes under the text.
type Cell struct {
	Bold  string
	Text  string
	Side  string
	Quiet bool // the text in the secondary colour
	Mark  MarkKind
	Trend int // -1 falling, +1 rising: a small arrow before Side
	Gauge *GaugeValue
	// Course is a course of values drawn as a small line.
	Course *Course
	// By is what a List sorts the cell by: a float64, an int or a time.Time; nil:
	// its text.
	By any
	// Color names the text's colour; empty: the usual one.
	Color fyne.ThemeColorName
}

// Row is one line of a Table. ID is what the callbacks tell; a group row
// divides the list and cannot be chosen. The rows of a List come without Cells, which
// are made when they are seen: few of thousands are.
type Row struct {
	ID    int
	Cells []Cell
	Group bool
}

// GroupRow returns a line that names the rows under it.
func GroupRow(text string) Row { return Row{Group: true, Cells: []Cell{{Bold: text}}} }

// Table is a list to read and to choose from, by mouse or by keys: arrows,
// Page Up and Down, Home and End move, Space ticks a row, Enter opens it.
type Table struct {
	widget.BaseWidget
	// Checks adds a column of boxes to tick.
	Checks bool
	// NoHead leaves the column titles out.
	NoHead bool
	// RowHeight of the rows, zero: look.RowHeight(). Gauges need 44.
	RowHeight float32
	OnOpen    func(id int)
	// OnEnter takes Enter in place of OnOpen: a list opens all that is ticked.
	OnEnter   func()
	OnCurrent func(id int)
	OnChecked func()
	// OnHead is told which column's title was clicked, to sort by it.
	OnHead func(column int)
	// OnTyped is told what is typed, but for Space.
	OnTyped func(r rune)
	// Modifiers tells which modifier keys are down.
	Modifiers func() fyne.KeyModifier

	columns    []Column
	sorted     int // column marked as sorted, -1: none
	descending bool
	rows       []Row
	cellsOf    func(id int) []Cell // makes the cells of rows that have none
	made       map[int][]Cell      // the cells that it made, by ID
	tops       []float32           // of each row, and the end of the last
	current    int                 // index of a row, -1: none
	checked    map[int]bool
	focused    bool
	tapped     time.Time
	now        func() time.Time

	view *tableView
}

var (
	_ fyne.Focusable      = (*Table)(nil)
	_ fyne.Tappable       = (*Table)(nil)
	_ fyne.Shortcutable   = (*Table)(nil)
	_ fyne.WidgetRenderer = (*tableRenderer)(nil)
)

// NewTable returns an empty table; nil columns may be set later.
func NewTable(columns []Column) *Table {
	t := &Table{
		columns:   columns,
		sorted:    -1,
		current:   -1,
		checked:   map[int]bool{},
		made:      map[int][]Cell{},
		now:       time.Now,
		Modifiers: driverModifiers,
		tops:      []float32{0},
	}
	t.view = newTableView(t)
	t.view.scale()
	t.ExtendBaseWidget(t)
	return t
}

// SetColumns changes the columns; follow it with SetRows.
func (t *Table) SetColumns(columns []Column) {
	t.setColumns(columns)
	t.Refresh()
}

func (t *Table) setColumns(columns []Column) {
	t.columns, t.rows, t.tops = columns, nil, []float32{0}
	clear(t.made)
	t.view.scale()
}

// SetSort marks a column's title as the one the rows are sorted by; -1 none.
func (t *Table) SetSort(column int, descending bool) {
	t.sorted, t.descending = column, descending
	t.Refresh()
}

// SetRows changes the rows. Ticks are kept for the IDs that stay, the current
// row by its place.
func (t *Table) SetRows(rows []Row) {
	t.rows = rows
	clear(t.made)
	height := t.rowHeight()
	t.tops = make([]float32, len(rows)+1)
	here := map[int]bool{}
	for i, r := range rows {
		t.tops[i+1] = t.tops[i] + height
		if r.Group {
			t.tops[i+1] = t.tops[i] + look.RowHeight()
		} else if t.checked[r.ID] {
			here[r.ID] = true
		}
	}
	t.view.scale()
	t.checked = here
	t.current = t.nearest(min(max(t.current, 0), len(rows)-1), +1)
	t.Refresh()
}

// Rows returns the rows as they are shown, with their cells.
func (t *Table) Rows() []Row {
	rows := slices.Clone(t.rows)
	for i, r := range rows {
		rows[i].Cells = t.cells(r)
	}
	return rows
}

// cells returns the cells of a row.
func (t *Table) cells(r Row) []Cell {
	if r.Group || r.Cells != nil || t.cellsOf == nil {
		return r.Cells
	}
	cells, ok := t.made[r.ID]
	if !ok {
		cells = t.cellsOf(r.ID)
		t.made[r.ID] = cells
	}
	return cells
}

func (t *Table) rowHeight() float32 {
	if t.RowHeight > 0 {
		return t.RowHeight
	}
	return look.RowHeight()
}

// nearest returns the first row that is no group from i in direction step,
// else in the other direction; -1 when there is none.
func (t *Table) nearest(i, step int) int {
	for _, d := range []int{step, -step} {
		for n := i; n >= 0 && n < len(t.rows); n += d {
			if !t.rows[n].Group {
				return n
			}
		}
	}
	return -1
}

// Current returns the ID of the row under the cursor.
func (t *Table) Current() (id int, ok bool) {
	if t.current < 0 || t.current >= len(t.rows) {
		return 0, false
	}
	return t.rows[t.current].ID, true
}

// SetCurrent moves the cursor to the row with that ID.
func (t *Table) SetCurrent(id int) {
	for i, r := range t.rows {
		if !r.Group && r.ID == id {
			t.moveTo(i)
			return
		}
	}
}

// Checked returns the IDs of the ticked rows from top to bottom.
func (t *Table) Checked() []int {
	var ids []int
	for _, r := range t.rows {
		if !r.Group && t.checked[r.ID] {
			ids = append(ids, r.ID)
		}
	}
	return ids
}

// SetChecked ticks exactly the rows with these IDs.
func (t *Table) SetChecked(ids ...int) {
	t.checked = map[int]bool{}
	for _, id := range ids {
		t.checked[id] = true
	}
	t.changedChecks()
}

// anyChecked tells whether a row is ticked.
func (t *Table) anyChecked() bool {
	for _, on := range t.checked {
		if on {
			return true
		}
	}
	return false
}

func (t *Table) changedChecks() {
	t.Refresh()
	if t.OnChecked != nil {
		t.OnChecked()
	}
}

func (t *Table) toggle(i int) {
	if i < 0 || t.rows[i].Group {
		return
	}
	id := t.rows[i].ID
	t.checked[id] = !t.checked[id]
	t.changedChecks()
}

func (t *Table) moveTo(i int) {
	if i < 0 || i >= len(t.rows) {
		return
	}
	changed := t.current != i
	t.current = i
	t.view.reveal(i)
	t.Refresh()
	if changed && t.OnCurrent != nil {
		t.OnCurrent(t.rows[i].ID)
	}
}

func (t *Table) open(i int) {
	if i >= 0 && !t.rows[i].Group && t.OnOpen != nil {
		t.OnOpen(t.rows[i].ID)
	}
}

// FocusGained shows where the cursor is.
func (t *Table) FocusGained() {
	t.focused = true
	t.Refresh()
	reveal(t)
}

// FocusLost hides it.
func (t *Table) FocusLost() { t.focused = false; t.Refresh() }

// TypedRune hands on what is typed.
func (t *Table) TypedRune(r rune) {
	if t.OnTyped != nil && r != ' ' {
		t.OnTyped(r)
	}
}

// TypedKey moves, ticks and opens.
func (t *Table) TypedKey(e *fyne.KeyEvent) {
	if handledByDialog(t, e, t.OnOpen != nil) {
		return
	}
	if len(t.rows) == 0 {
		return
	}
	switch e.Name {
	case fyne.KeyUp:
		t.walk(-1)
	case fyne.KeyDown:
		t.walk(+1)
	case fyne.KeyPageUp:
		t.step(-t.view.page())
	case fyne.KeyPageDown:
		t.step(t.view.page())
	case fyne.KeyHome:
		t.moveTo(t.nearest(0, +1))
	case fyne.KeyEnd:
		t.moveTo(t.nearest(len(t.rows)-1, -1))
	case fyne.KeyLeft:
		t.view.shift(-60)
	case fyne.KeyRight:
		t.view.shift(60)
	case fyne.KeySpace:
		if t.Checks {
			t.toggle(t.current)
		} else {
			t.open(t.current)
		}
	case fyne.KeyReturn, fyne.KeyEnter:
		if t.OnEnter != nil {
			t.OnEnter()
			return
		}
		t.open(t.current)
	}
}

// walk moves by a row; with Shift the rows are ticked that are passed.
func (t *Table) walk(by int) {
	from := t.current
	t.step(by)
	if t.Checks && t.Modifiers()&fyne.KeyModifierShift != 0 && from >= 0 {
		t.tick(from, t.current)
	}
}

// tick ticks the rows from one to another, both with them.
func (t *Table) tick(from, to int) {
	for i := min(from, to); i <= max(from, to); i++ {
		if !t.rows[i].Group {
			t.checked[t.rows[i].ID] = true
		}
	}
	t.changedChecks()
}

// step moves by n rows, over groups, as far as there are rows.
func (t *Table) step(n int) {
	direction := 1
	if n < 0 {
		direction = -1
	}
	to := min(max(t.current+n, 0), len(t.rows)-1)
	for to >= 0 && to < len(t.rows) && t.rows[to].Group {
		to += direction
	}
	if to < 0 || to >= len(t.rows) {
		t.view.reveal(min(max(to, 0), len(t.rows)-1))
		t.Refresh()
		return
	}
	t.moveTo(to)
}

// TypedShortcut ticks all rows on Ctrl+A, none when all are ticked.
func (t *Table) TypedShortcut(s fyne.Shortcut) {
	if _, all := s.(*fyne.ShortcutSelectAll); !all || !t.Checks {
		return
	}
	var ids []int
	for _, r := range t.rows {
		if !r.Group {
			ids = append(ids, r.ID)
		}
	}
	if len(t.Checked()) == len(ids) {
		ids = nil
	}
	t.SetChecked(ids...)
}

// doubleTap is the longest time between two taps that open a row.
const doubleTap = 400 * time.Millisecond

// Tapped chooses the row under the pointer; a second tap opens it, a tap on
// the box ticks it.
func (t *Table) Tapped(e *fyne.PointEvent) {
	if c := fyne.CurrentApp().Driver().CanvasForObject(t); c != nil {
		c.Focus(t)
	}
	row, column, onCheck := t.view.at(e.Position)
	if row == onHead {
		if column >= 0 && t.OnHead != nil {
			t.OnHead(column)
		}
		return
	}
	if row < 0 || t.rows[row].Group {
		return
	}
	if from := t.current; t.Checks && from >= 0 && t.Modifiers()&fyne.KeyModifierShift != 0 {
		t.moveTo(row)
		t.tick(from, row)
		return
	}
	again := row == t.current && t.now().Sub(t.tapped) < doubleTap
	t.tapped = t.now()
	t.moveTo(row)
	switch {
	case onCheck:
		t.toggle(row)
	case again:
		t.tapped = time.Time{}
		t.open(row)
	}
}

// Refresh draws the table as it is now.
func (t *Table) Refresh() {
	t.view.place()
	t.BaseWidget.Refresh()
}

// CreateRenderer implements fyne.Widget.
func (t *Table) CreateRenderer() fyne.WidgetRenderer {
	return newWithWheel(t, newLaidOut(t, &tableRenderer{t.view}))
}

type tableRenderer struct{ view *tableView }

func (r *tableRenderer) Layout(size fyne.Size) { r.view.layout(size) }

func (r *tableRenderer) MinSize() fyne.Size {
	return fyne.NewSize(120, r.view.headHeight()+2*look.RowHeight())
}

func (r *tableRenderer) Refresh() { canvas.Refresh(r.view.table) }

func (r *tableRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.view.headClip, r.view.headRule, r.view.scroll}
}

func (r *tableRenderer) Destroy() {}

// fixedSize is the layout of a container whose objects are placed by hand.
type fixedSize struct{ size fyne.Size }

// Layout implements fyne.Layout.
func (*fixedSize) Layout([]fyne.CanvasObject, fyne.Size) {}

// MinSize implements fyne.Layout.
func (f *fixedSize) MinSize([]fyne.CanvasObject) fyne.Size { return f.size }

// newHandPlaced returns a container for objects placed by hand and the layout
// that holds its size.
func newHandPlaced() (*fyne.Container, *fixedSize) {
	l := &fixedSize{}
	return container.New(l), l
}
