package widgets

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/test"

	"weirkeeper/app/apptest"
)

// kept is a memory for tests.
type kept map[string]string

func (k kept) Recall(key string) string   { return k[key] }
func (k kept) Remember(key, value string) { k[key] = value }

func aList(m Memory) *List {
	l := NewList([]Column{{Title: "System", Weight: 1}, {Title: "Value", Width: 80}, {Title: "Day", Width: 80}}, m, "test")
	day := func(n int) Cell {
		return Cell{Text: fmt.Sprint(n, " Mar"), By: time.Date(2026, 3, n, 0, 0, 0, 0, time.UTC)}
	}
	l.SetRows([]Row{
		GroupRow("Back"), {ID: 0, Cells: []Cell{{Bold: "F1", Text: "Frag rack"}, {Text: "9.5", By: 9.5}, day(9)}}, {ID: 1, Cells: []Cell{{Bold: "F2", Text: "Reef"}, {Text: "10.2", By: 10.2}, day(10)}},
		GroupRow("Shop"), {ID: 2, Cells: []Cell{{Bold: "R1", Text: "Reef window"}, {Text: "not tested"}, {}}}, {ID: 3, Cells: []Cell{{Bold: "R2", Text: "Reef long"}, {Text: "7.1", By: 7.1}, day(2)}},
	})
	return l
}

// order is what the list shows: IDs, and names of groups.
func order(l *List) string {
	var out []string
	for _, r := range l.Table.Rows() {
		if r.Group {
			out = append(out, r.Cells[0].Bold)
		} else {
			out = append(out, fmt.Sprint(r.ID))
		}
	}
	return strings.Join(out, " ")
}

func TestListSortsWithinItsGroups(t *testing.T) {
	l := aList(nil)
	apptest.Window(t, l.Table, 500, 300)
	for _, c := range []struct {
		column int
		want   string
	}{{1, "Back 0 1 Shop 3 2"}, {1, "Back 1 0 Shop 2 3"}, {1, "Back 0 1 Shop 2 3"}, {2, "Back 0 1 Shop 3 2"}, {0, "Back 0 1 Shop 2 3"}} {
		if l.sortBy(c.column); order(l) != c.want {
			t.Errorf("by column %d: %s, want %s", c.column, order(l), c.want)
		}
	}
}

func TestListFilters(t *testing.T) {
	l := aList(nil)
	w := apptest.Window(t, container.NewBorder(NewBar(l.Tools()...), nil, nil, nil, l.Table), 500, 300)
	w.Canvas().Focus(l.Table)
	l.Table.SetCurrent(3)
	apptest.Type(t, w.Canvas(), "reef l")
	if got := order(l); got != "Shop 3" || w.Canvas().Focused() != fyne.Focusable(l.filter) {
		t.Errorf("typed %q: %s", l.filter.Text, got)
	}
	apptest.Key(t, w.Canvas(), fyne.KeyDown)
	if id, ok := l.Table.Current(); !ok || id != 3 || w.Canvas().Focused() != fyne.Focusable(l.Table) {
		t.Errorf("Down leads to %d, %v", id, ok)
	}
	w.Canvas().Focus(l.filter)
	apptest.Key(t, w.Canvas(), fyne.KeyEscape)
	if got := order(l); got != "Back 0 1 Shop 2 3" {
		t.Errorf("Esc shows %s", got)
	}
	l.Filter("nothing like it")
	if len(l.Table.Rows()) != 0 {
		t.Errorf("%s", order(l))
	}
}

// Ticks and the row under the cursor stay with their rows in another order.
func TestListKeepsTicksAndCursor(t *testing.T) {
	l := aList(nil)
	l.Table.Checks = true
	apptest.Window(t, l.Table, 500, 300)
	l.Table.SetChecked(3, 1)
	l.Table.SetCurrent(3)
	l.sortBy(1)
	id, _ := l.Table.Current()
	if got := l.Table.Checked(); !slices.Equal(got, []int{1, 3}) || id != 3 {
		t.Errorf("ticked %v, current %d", got, id)
	}
}

func TestListRemembersColumnsAndOrder(t *testing.T) {
	m := kept{}
	l := aList(m)
	w := apptest.Window(t, container.NewBorder(NewBar(l.Tools()...), nil, nil, nil, l.Table), 600, 500)
	l.sortBy(1)
	l.sortBy(1)
	test.Tap(l.Tools()[1].(*Button))
	ticks := apptest.Find(t, apptest.Top(w.Canvas()), func(t *Table) bool { return t.Checks })
	ticks.SetChecked(0, 1)
	if err := apptest.PressLabel(w.Canvas(), "Show"); err != nil {
		t.Fatal(err)
	}
	again := aList(m)
	if got := order(again); got != "Back 1 0 Shop 2 3" || len(again.Table.columns) != 2 || again.Table.sorted != 1 || !again.Table.descending {
		t.Errorf("%s in %d columns, sorted by %d: kept %v", got, len(again.Table.columns), again.Table.sorted, m)
	}
	m["list.test"] = "{broken"
	if got := order(aList(m)); got != "Back 0 1 Shop 2 3" {
		t.Errorf("from a broken memory: %s", got)
	}
}

func TestShiftTicks(t *testing.T) {
	l := aList(nil)
	l.Table.Checks = true
	w := apptest.Window(t, l.Table, 500, 300)
	w.Canvas().Focus(l.Table)
	l.Table.SetCurrent(0)
	l.Table.Modifiers = func() fyne.KeyModifier { return fyne.KeyModifierShift }
	apptest.Key(t, w.Canvas(), fyne.KeyDown, fyne.KeyDown)
	if got := l.Table.Checked(); !slices.Equal(got, []int{0, 1, 2}) {
		t.Errorf("ticked %v", got)
	}
}

func TestSpareColumns(t *testing.T) {
	columns := []Column{{Width: 100}, {Width: 100, Spare: true}, {Width: 100, Spare: true}}
	for free, want := range map[float32][]bool{300: {false, false, false}, 299: {false, false, true}, 150: {false, true, true}, 50: {false, true, true}} {
		if got := dropSpare(columns, free); !slices.Equal(got, want) {
			t.Errorf("in %v: %v, want %v", free, got, want)
		}
	}
}
