package widgets

import (
	"cmp"
	"encoding/json"
	"slices"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
)

// Memory keeps small settings between runs, such as the columns of a list.
type Memory interface {
	Recall(key string) string
	Remember(key, value string)
}

// List is a Table that can be filtered and sorted, with columns that can be
// hidden. Letters typed into the table go to the filter. The table is shown by
// its owner, and so are the filter and the button for the columns, its Tools.
type List struct {
	Table *Table

	columns []Column // all of them
	rows    []Row    // all of them, in the order they were given
	filter  *filterEntry
	view    listView
	memory  Memory
	key     string
}

// listView is how a person wants a list: what is remembered of it. Sort is a
// column counted from 1; 0 is the order of the list itself.
type listView struct {
	Hidden     []int `json:"hidden,omitempty"`
	Sort       int   `json:"sort,omitempty"`
	Descending bool  `json:"descending,omitempty"`
}

// NewList returns an empty list that remembers its columns and order under a
// key; a nil memory forgets them.
func NewList(columns []Column, memory Memory, key string) *List {
	l := &List{Table: NewTable(nil), memory: memory, key: "list." + key}
	l.Table.OnHead = l.sortBy
	l.Table.OnTyped = l.typed
	l.filter = newFilterEntry(l)
	if memory != nil {
		// What is remembered may come from another version: an unreadable one is
		// the usual view.
		_ = json.Unmarshal([]byte(memory.Recall(l.key)), &l.view)
	}
	l.SetColumns(columns)
	return l
}

// Tools returns the filter and the button for the columns, to stand near the
// table.
func (l *List) Tools() []fyne.CanvasObject {
	return []fyne.CanvasObject{
		container.NewGridWrap(fyne.NewSize(look.Scaled(150), look.FieldHeight()), l.filter),
		NewSecondary(say.L("Columns"), l.chooseColumns).With(look.IconColumns),
	}
}

// SetColumns changes the columns; the rows are kept only if there are as many.
func (l *List) SetColumns(columns []Column) {
	if len(columns) != len(l.columns) {
		l.rows = nil
	}
	l.columns = columns
	if l.view.Sort > len(columns) {
		l.view.Sort = 0
	}
	l.show()
}

// SetRows changes the rows.
func (l *List) SetRows(rows []Row) {
	l.rows = rows
	l.show()
}

// Filter shows only rows that hold every word of a text; empty shows all.
func (l *List) Filter(text string) { l.filter.SetText(text) }

// show fills the table from the rows, the filter and the order.
func (l *List) show() {
	shown := l.shown()
	columns := make([]Column, len(shown))
	sorted := -1
	for i, n := range shown {
		columns[i] = l.columns[n]
		if l.view.Sort == n+1 {
			sorted = i
		}
	}
	current, had := l.Table.Current()
	l.Table.setColumns(columns)
	l.Table.SetSort(sorted, l.view.Descending)
	l.Table.SetRows(l.arranged(shown))
	if had {
		l.Table.SetCurrent(current)
	}
}

// shown returns the columns that are not hidden, never none.
func (l *List) shown() []int {
	var shown []int
	for n := range l.columns {
		if !slices.Contains(l.view.Hidden, n) {
			shown = append(shown, n)
		}
	}
	if len(shown) == 0 && len(l.columns) > 0 {
		shown = []int{0}
	}
	return shown
}

// arranged returns the rows that the filter leaves, each group's in the chosen
// order, with the cells of the shown columns.
func (l *List) arranged(shown []int) []Row {
	words := strings.Fields(strings.ToLower(l.filter.Text))
	var out, group []Row
	var head *Row
	end := func() {
		if len(group) > 0 {
			if head != nil {
				out = append(out, *head)
			}
			l.sort(group)
			for _, r := range group {
				out = append(out, r.only(shown))
			}
		}
		group, head = nil, nil
	}
	for i, r := range l.rows {
		if r.Group {
			end()
			head = &l.rows[i]
		} else if r.holds(words) {
			group = append(group, r)
		}
	}
	end()
	return out
}

func (l *List) sort(rows []Row) {
	n := l.view.Sort - 1
	if n < 0 {
		return
	}
	slices.SortStableFunc(rows, func(a, b Row) int {
		order := compareCells(a.cell(n), b.cell(n))
		if l.view.Descending {
			return -order
		}
		return order
	})
}

func (r Row) cell(n int) Cell {
	if n < len(r.Cells) {
		return r.Cells[n]
	}
	return Cell{}
}

// only returns the row with the cells of some columns.
func (r Row) only(columns []int) Row {
	cells := make([]Cell, len(columns))
	for i, n := range columns {
		cells[i] = r.cell(n)
	}
	r.Cells = cells
	return r
}

// holds tells whether each word occurs in the row.
func (r Row) holds(words []string) bool {
	if len(words) == 0 {
		return true
	}
	var b strings.Builder
	for _, c := range r.Cells {
		b.WriteString(c.Bold + " " + c.Text + " " + c.Side + "\n")
	}
	text := strings.ToLower(b.String())
	return !slices.ContainsFunc(words, func(w string) bool { return !strings.Contains(text, w) })
}

// compareCells orders cells by what they are sorted by, else by their text;
// those without either come last.
func compareCells(a, b Cell) int {
	switch x := a.By.(type) {
	case float64:
		if y, ok := b.By.(float64); ok {
			return cmp.Compare(x, y)
		}
	case int:
		if y, ok := b.By.(int); ok {
			return cmp.Compare(x, y)
		}
	case time.Time:
		if y, ok := b.By.(time.Time); ok {
			return x.Compare(y)
		}
	}
	if order := compareBools(a.By == nil && a.empty(), b.By == nil && b.empty()); order != 0 {
		return order
	}
	if order := compareBools(a.By == nil, b.By == nil); order != 0 {
		return order
	}
	return strings.Compare(strings.ToLower(a.Bold+a.Text), strings.ToLower(b.Bold+b.Text))
}

func (c Cell) empty() bool { return c.Bold == "" && c.Text == "" }

func compareBools(a, b bool) int {
	switch {
	case a == b:
		return 0
	case a:
		return 1
	}
	return -1
}

// sortBy sorts by a shown column: up, then down, then as the list itself is.
func (l *List) sortBy(column int) {
	n := l.shown()[column] + 1
	switch {
	case l.view.Sort != n:
		l.view.Sort, l.view.Descending = n, false
	case !l.view.Descending:
		l.view.Descending = true
	default:
		l.view.Sort, l.view.Descending = 0, false
	}
	l.changed()
}

func (l *List) changed() {
	l.show()
	if l.memory == nil {
		return
	}
	if kept, err := json.Marshal(l.view); err == nil {
		l.memory.Remember(l.key, string(kept))
	}
}

// typed gives what is typed into the table to the filter.
func (l *List) typed(r rune) {
	c := fyne.CurrentApp().Driver().CanvasForObject(l.filter)
	if c == nil || r == ' ' {
		return
	}
	c.Focus(l.filter)
	l.filter.TypedRune(r)
}

// chooseColumns asks which columns to show and what to sort by: what a click on
// a title does, for the keyboard.
func (l *List) chooseColumns() {
	win := windowOf(l.Table)
	if win == nil {
		return
	}
	none := say.L("as the list is")
	names := []string{none}
	var rows []Row
	for n, c := range l.columns {
		title := c.Title
		if title == "" {
			title = say.F("Column %d", n+1)
		}
		names = append(names, title)
		rows = append(rows, Row{ID: n, Cells: []Cell{{Text: title}}})
	}
	ticks := NewTable([]Column{{Title: say.L("Shown"), Weight: 1}})
	ticks.Checks = true
	ticks.SetRows(rows)
	ticks.SetChecked(l.shown()...)
	by := NewChoice(names, names[l.view.Sort])
	down := NewCheck(say.L("the largest first"), nil)
	down.SetChecked(l.view.Descending)
	height := min(float32(len(rows)+2)*look.RowHeight(), 360)
	form := NewForm(
		Field{Name: "columns", Label: say.L("Columns"), Input: container.NewGridWrap(fyne.NewSize(look.Scaled(260), height), ticks)},
		Field{Name: "by", Label: say.L("Sorted by"), Input: by},
		Field{Name: "down", Label: "", Input: down},
	)
	ShowDialog(win, Dialog{Title: say.L("Columns and order"), Content: form, Confirm: say.L("Show"), Focus: ticks, OnConfirm: func() bool {
		l.view = listView{Sort: max(slices.Index(names, by.Selected()), 0), Descending: down.Checked}
		for n := range l.columns {
			if !slices.Contains(ticks.Checked(), n) {
				l.view.Hidden = append(l.view.Hidden, n)
			}
		}
		l.changed()
		return true
	}})
}

// filterEntry is where a list's filter is typed.
type filterEntry struct {
	TextEntry
	list *List
}

func newFilterEntry(l *List) *filterEntry {
	e := &filterEntry{list: l}
	e.ExtendBaseWidget(e)
	e.setFirst(e, "")
	e.ActionItem = newIcon(look.IconFilter.In(look.Secondary))
	e.SetPlaceHolder(say.L("Filter"))
	e.OnChanged = func(string) { l.show() }
	return e
}

// TypedKey leaves the filter: Down and Enter for the rows, Esc for all rows.
func (e *filterEntry) TypedKey(key *fyne.KeyEvent) {
	c := fyne.CurrentApp().Driver().CanvasForObject(e.list.Table)
	switch key.Name {
	case fyne.KeyDown, fyne.KeyReturn, fyne.KeyEnter:
		if c != nil {
			c.Focus(e.list.Table)
		}
	case fyne.KeyEscape:
		if e.Text == "" {
			e.TextEntry.TypedKey(key)
			return
		}
		e.SetText("")
		if c != nil {
			c.Focus(e.list.Table)
		}
	default:
		e.TextEntry.TypedKey(key)
	}
}

// windowOf returns the window that shows an object, nil for none.
func windowOf(o fyne.CanvasObject) fyne.Window {
	d := fyne.CurrentApp().Driver()
	c := d.CanvasForObject(o)
	for _, w := range d.AllWindows() {
		if w.Canvas() == c {
			return w
		}
	}
	return nil
}
