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

// sortBy sorts by a shown column: up, then down, then as the list itself is.
func (l *List[K, R]) sortBy(column int) {
	id := l.model.Columns[l.shown()[column]].ID
	switch {
	case l.view.Sort != id:
		l.view.Sort, l.view.Descending = id, false
	case !l.view.Descending:
		l.view.Descending = true
	default:
		l.view.Sort, l.view.Descending = "", false
	}
	l.changed()
}

func (l *List[K, R]) changed() {
	l.show()
	if l.memory == nil {
		return
	}
	if kept, err := json.Marshal(l.view); err == nil {
		l.memory.Remember(l.memoryKey(), string(kept))
	}
}

// typed gives what is typed into the table to the filter.
func (l *List[K, R]) typed(r rune) {
	c := fyne.CurrentApp().Driver().CanvasForObject(l.filter)
	if c == nil || r == ' ' {
		return
	}
	c.Focus(l.filter)
	l.filter.TypedRune(r)
}

// chooseColumns asks which columns to show and what to sort by: what a click on
// a title does, for the keyboard.
func (l *List[K, R]) chooseColumns() {
	win := windowOf(l.table)
	if win == nil {
		return
	}
	orders := []Option[ColumnID]{{Name: say.L("as the list is")}}
	var rows []Row
	for n, c := range l.model.Columns {
		title := c.Title
		if title == "" {
			title = say.F("Column %d", n+1)
		}
		orders = append(orders, Option[ColumnID]{Value: c.ID, Name: title})
		rows = append(rows, Row{ID: n, Cells: []Cell{{Text: title}}})
	}
	ticks := NewTable([]Column{{Title: say.L("Shown"), Weight: 1}})
	ticks.Checks = true
	ticks.SetRows(rows)
	ticks.SetChecked(l.shown()...)
	by := NewChoice(orders, l.view.Sort)
	down := NewCheck(say.L("the largest first"), nil)
	down.SetChecked(l.view.Descending)
	height := min(float32(len(rows)+2)*look.RowHeight(), 360)
	form := NewForm(
		Field{Name: "columns", Label: say.L("Columns"), Input: container.NewGridWrap(fyne.NewSize(look.Scaled(260), height), ticks)},
		Field{Name: "by", Label: say.L("Sorted by"), Input: by},
		Field{Name: "down", Label: "", Input: down},
	)
	ShowDialog(win, Dialog{Title: say.L("Columns and order"), Content: form, Confirm: say.L("Show"), Focus: ticks, OnConfirm: func() bool {
		l.view = listView{Sort: by.Value(), Descending: down.Checked}
		for n, c := range l.model.Columns {
			if !slices.Contains(ticks.Checked(), n) {
				l.view.Hidden = append(l.view.Hidden, c.ID)
			}
		}
		l.changed()
		return true
	}})
}

// filterEntry is where a list's filter is typed.
type filterEntry struct {
	TextEntry
	table *Table // what it filters
}

func newFilterEntry(table *Table, changed func()) *filterEntry {
	e := &filterEntry{table: table}
	e.ExtendBaseWidget(e)
	e.setFirst(e, "")
	e.ActionItem = newIcon(look.IconFilter.In(look.Secondary))
	e.SetPlaceHolder(say.L("Filter"))
	e.OnChanged = func(string) { changed() }
	return e
}

// TypedKey leaves the filter: Down and Enter for the rows, Esc for all rows.
func (e *filterEntry) TypedKey(key *fyne.KeyEvent) {
	c := fyne.CurrentApp().Driver().CanvasForObject(e.table)
	switch key.Name {
	case fyne.KeyDown, fyne.KeyReturn, fyne.KeyEnter:
		if c != nil {
			c.Focus(e.table)
		}
	case fyne.KeyEscape:
		if e.Text == "" {
			e.TextEntry.TypedKey(key)
			return
		}
		e.SetText("")
		if c != nil {
			c.Focus(e.table)
		}
	default:
		e.TextEntry.TypedKey(key)
	}
}

// holds tells whether each word occurs in what the columns show of a record, hidden
// ones too.
func (l *List[K, R]) holds(id int, words []string) bool {
	if len(words) == 0 {
		return true
	}
	var b strings.Builder
	for n := range l.model.Columns {
		c := l.cell(id, n)
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
