package widgets

import (
	"encoding/json"
	"slices"
	"strings"

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

// ColumnID is what a list's column is remembered by; it is never shown.
type ColumnID string

// ListColumn is one column of a list of records.
type ListColumn[R any] struct {
	ID ColumnID
	Column
	// Cell is what the column shows of a record.
	Cell func(R) Cell
}

// Group is a part of a list with a title; an empty title shows none.
type Group[R any] struct {
	Title   string
	Records []R
}

// ListModel says what a list shows and what is done with it. Name is what its
// columns and order are remembered by.
type ListModel[K comparable, R any] struct {
	Name    string
	Key     func(R) K
	Columns []ListColumn[R]
	// Checks lets records be ticked.
	Checks bool
	// Open is given the ticked records on Enter, else the one under the cursor; a
	// double click opens the one under the pointer.
	Open func([]R)
	// Chose is told that other records are ticked or under the cursor.
	Chose func()
	// Empty is what stands in the place of a list without records.
	Empty func() fyne.CanvasObject
	// RowHeight of the rows, zero: the usual one.
	RowHeight float32
}

// List shows records that can be filtered and sorted, with columns that can be
// hidden. Ticks and the cursor belong to records, whatever their place; a record
// that goes, or that the filter hides, loses its tick: what is done is done with
// what is seen. Letters typed into the list go to the filter. Filter and the
// button for the columns, its Tools, are shown by its owner.
type List[K comparable, R any] struct {
	table  *Table
	box    *fyne.Container // the table, or what to do when it is empty
	model  ListModel[K, R]
	groups []Group[R]
	rows   []Row // of all records, in the order they were given; their cells are made when they are seen
	shows  []int // the columns that are not hidden
	ids    map[K]int
	byID   map[int]*R // in the groups
	filter *filterEntry
	view   listView
	memory Memory
}

// listView is how a person wants a list: what is remembered of it. An empty Sort
// is the order of the list itself.
type listView struct {
	Hidden     []ColumnID `json:"hide,omitempty"`
	Sort       ColumnID   `json:"by,omitempty"`
	Descending bool       `json:"descending,omitempty"`
}

// NewList returns an empty list; a nil memory forgets its columns and order.
func NewList[K comparable, R any](model ListModel[K, R], memory Memory) *List[K, R] {
	l := &List[K, R]{table: NewTable(nil), box: container.NewStack(), model: model, ids: map[K]int{}, byID: map[int]*R{}, memory: memory}
	l.table.cellsOf = l.cellsShown
	l.table.Checks, l.table.RowHeight = model.Checks, model.RowHeight
	l.table.OnHead, l.table.OnTyped = l.sortBy, l.typed
	l.table.OnChecked = l.chose
	l.table.OnCurrent = func(int) { l.chose() }
	if model.Open != nil {
		l.table.OnOpen = func(id int) { l.open(l.records([]int{id})) }
		l.table.OnEnter = func() { l.open(l.Chosen()) }
	}
	l.filter = newFilterEntry(l.table, l.show)
	if memory != nil {
		// What is remembered may come from another version: an unreadable one is
		// the usual view.
		_ = json.Unmarshal([]byte(memory.Recall(l.memoryKey())), &l.view)
	}
	l.show()
	return l
}

func (l *List[K, R]) memoryKey() string { return "list." + l.model.Name }

func (l *List[K, R]) open(records []R) {
	if len(records) > 0 {
		l.model.Open(records)
	}
}

func (l *List[K, R]) chose() {
	if l.model.Chose != nil {
		l.model.Chose()
	}
}

// Object returns what shows the list.
func (l *List[K, R]) Object() fyne.CanvasObject { return l.box }

// Focus returns what takes the keyboard, nil while there is no record.
func (l *List[K, R]) Focus() fyne.Focusable { return IfShown(l.box, l.table, l.table) }

// Tools returns the filter and the button for the columns, to stand near the
// list.
func (l *List[K, R]) Tools() []fyne.CanvasObject {
	return []fyne.CanvasObject{
		container.NewGridWrap(fyne.NewSize(look.Scaled(150), look.FieldHeight()), l.filter),
		NewSecondary(say.L("Columns"), l.chooseColumns).With(look.IconColumns),
	}
}

// SetColumns changes the columns.
func (l *List[K, R]) SetColumns(columns []ListColumn[R]) {
	l.model.Columns = columns
	l.fill()
}

// SetRecords changes the records of a list without groups.
func (l *List[K, R]) SetRecords(records []R) { l.SetGroups([]Group[R]{{Records: records}}) }

// SetGroups changes the records; a group without any is not shown.
func (l *List[K, R]) SetGroups(groups []Group[R]) {
	l.groups = groups
	l.fill()
}

// fill makes the rows of the records.
func (l *List[K, R]) fill() {
	l.rows = nil
	clear(l.byID)
	for _, g := range l.groups {
		if g.Title != "" && len(g.Records) > 0 {
			l.rows = append(l.rows, GroupRow(g.Title))
		}
		for n := range g.Records {
			record := &g.Records[n]
			id := l.idOf(l.model.Key(*record))
			l.byID[id] = record
			l.rows = append(l.rows, Row{ID: id})
		}
	}
	l.show()
	l.chose()
}

// cell is what a column shows of a record.
func (l *List[K, R]) cell(id, column int) Cell { return l.model.Columns[column].Cell(*l.byID[id]) }

// cells are what some columns show of a record.
func (l *List[K, R]) cells(id int, columns []int) []Cell {
	cells := make([]Cell, len(columns))
	for i, n := range columns {
		cells[i] = l.cell(id, n)
	}
	return cells
}

// cellsShown are what the columns that are not hidden show of a record.
func (l *List[K, R]) cellsShown(id int) []Cell { return l.cells(id, l.shows) }

// idOf returns the number of a key, the same one for as long as the list lives.
func (l *List[K, R]) idOf(key K) int {
	id, ok := l.ids[key]
	if !ok {
		id = len(l.ids)
		l.ids[key] = id
	}
	return id
}

// Len is how many records there are, hidden ones too.
func (l *List[K, R]) Len() int { return len(l.byID) }

// Ticked returns the ticked records from top to bottom.
func (l *List[K, R]) Ticked() []R { return l.records(l.table.Checked()) }

// Chosen returns the ticked records, without any the one under the cursor.
func (l *List[K, R]) Chosen() []R {
	if ticked := l.Ticked(); len(ticked) > 0 {
		return ticked
	}
	if id, ok := l.table.Current(); ok {
		return l.records([]int{id})
	}
	return nil
}

// Shown returns the records that the filter leaves, from top to bottom.
func (l *List[K, R]) Shown() []R {
	var out []R
	for _, row := range l.table.rows {
		if !row.Group {
			out = append(out, *l.byID[row.ID])
		}
	}
	return out
}

func (l *List[K, R]) records(ids []int) []R {
	out := make([]R, len(ids))
	for i, id := range ids {
		out[i] = *l.byID[id]
	}
	return out
}

// Tick ticks exactly the records with these keys.
func (l *List[K, R]) Tick(keys ...K) {
	ids := make([]int, len(keys))
	for i, key := range keys {
		ids[i] = l.idOf(key)
	}
	l.table.SetChecked(ids...)
}

// SetCurrent moves the cursor to the record of a key.
func (l *List[K, R]) SetCurrent(key K) { l.table.SetCurrent(l.idOf(key)) }

// Current returns the record under the cursor.
func (l *List[K, R]) Current() (record R, ok bool) {
	id, ok := l.table.Current()
	if !ok {
		return record, false
	}
	return *l.byID[id], true
}

// Filter shows only records that hold every word of a text; empty shows all.
func (l *List[K, R]) Filter(text string) { l.filter.SetText(text) }

// show fills the table from the rows, the filter and the order.
func (l *List[K, R]) show() {
	l.shows = l.shown()
	columns := make([]Column, len(l.shows))
	sorted := -1
	for i, n := range l.shows {
		columns[i] = l.model.Columns[n].Column
		if l.model.Columns[n].ID == l.view.Sort {
			sorted = i
		}
	}
	current, had := l.table.Current()
	l.table.setColumns(columns)
	l.table.SetSort(sorted, l.view.Descending)
	rows := l.arranged()
	if len(rows) == 0 && len(l.byID) > 0 {
		rows = []Row{GroupRow(say.L("No line holds all of these words. Esc in the filter shows all."))}
	}
	l.table.SetRows(rows)
	if had {
		l.table.SetCurrent(current)
	}
	l.box.Objects = []fyne.CanvasObject{l.table}
	if len(l.byID) == 0 && l.model.Empty != nil {
		l.box.Objects = []fyne.CanvasObject{l.model.Empty()}
	}
	l.box.Refresh()
}

// shown returns the columns that are not hidden, never none.
func (l *List[K, R]) shown() []int {
	var shown []int
	for n, c := range l.model.Columns {
		if !slices.Contains(l.view.Hidden, c.ID) {
			shown = append(shown, n)
		}
	}
	if len(shown) == 0 && len(l.model.Columns) > 0 {
		shown = []int{0}
	}
	return shown
}

// arranged returns the rows that the filter leaves, each group's in the chosen
// order.
func (l *List[K, R]) arranged() []Row {
	words := strings.Fields(strings.ToLower(l.filter.Text))
	out := make([]Row, 0, len(l.rows))
	var head *Row
	group := 0 // where the rows of the group begin
	for i, r := range l.rows {
		switch {
		case r.Group:
			l.sort(out[group:])
			head = &l.rows[i]
			group = len(out)
		case l.holds(r.ID, words):
			if head != nil {
				out = append(out, *head)
				head = nil
				group = len(out)
			}
			out = append(out, r)
		}
	}
	l.sort(out[group:])
	return out
}

// sort orders rows of one group by the column that is chosen.
func (l *List[K, R]) sort(rows []Row) {
	n := slices.IndexFunc(l.model.Columns, func(c ListColumn[R]) bool { return c.ID == l.view.Sort })
	if n < 0 || len(rows) < 2 {
		return
	}
	by := make(map[int]Cell, len(rows))
	for _, r := range rows {
		by[r.ID] = l.cell(r.ID, n)
	}
	slices.SortStableFunc(rows, func(a, b Row) int {
		order := compareCells(by[a.ID], by[b.ID])
		if l.view.Descending {
			return -order
		}
		return order
	})
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
