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
	"weirkeeper/app/look"
)

// kept is a memory for tests.
type kept map[string]string

func (k kept) Recall(key string) string   { return k[key] }
func (k kept) Remember(key, value string) { k[key] = value }

// reading is a record of the test's list.
type reading struct {
	code, name, group string
	value             float64 // zero: not tested
	day               int
}

func theReadings() []Group[reading] {
	return []Group[reading]{
		{"Back", []reading{{"F1", "Frag rack", "Back", 9.5, 9}, {"F2", "Reef", "Back", 10.2, 10}}},
		{"Shop", []reading{{"R1", "Reef window", "Shop", 0, 0}, {"R2", "Reef long", "Shop", 7.1, 2}}},
	}
}

func aList(m Memory) *List[string, reading] {
	l := NewList(ListModel[string, reading]{
		Name: "test", Key: func(r reading) string { return r.code },
		Columns: []ListColumn[reading]{
			{"system", Column{Title: "System", Weight: 1}, func(r reading) Cell { return Cell{Bold: r.code, Text: r.name} }},
			{"value", Column{Title: "Value", Width: 80}, func(r reading) Cell {
				if r.value == 0 {
					return Cell{Text: "not tested"}
				}
				return Cell{Text: fmt.Sprint(r.value), By: r.value}
			}},
			{"day", Column{Title: "Day", Width: 80}, func(r reading) Cell {
				if r.day == 0 {
					return Cell{}
				}
				return Cell{Text: fmt.Sprint(r.day, " Mar"), By: time.Date(2026, 3, r.day, 0, 0, 0, 0, time.UTC)}
			}},
		},
		Checks: true, Empty: func() fyne.CanvasObject { return NewEmpty("Nothing", "There is nothing.") },
	}, m)
	l.SetGroups(theReadings())
	return l
}

// order is what the list shows: the codes of records, and names of groups.
func order(l *List[string, reading]) string {
	var out []string
	for _, r := range l.table.Rows() {
		if r.Group {
			out = append(out, r.Cells[0].Bold)
		} else {
			out = append(out, l.byID[r.ID].code)
		}
	}
	return strings.Join(out, " ")
}

func codes(records []reading) string {
	var out []string
	for _, r := range records {
		out = append(out, r.code)
	}
	return strings.Join(out, " ")
}

func TestListSortsWithinItsGroups(t *testing.T) {
	l := aList(nil)
	apptest.Window(t, l.Object(), 500, 300)
	for _, c := range []struct {
		column int
		want   string
	}{{1, "Back F1 F2 Shop R2 R1"}, {1, "Back F2 F1 Shop R1 R2"}, {1, "Back F1 F2 Shop R1 R2"}, {2, "Back F1 F2 Shop R2 R1"}, {0,
		"Back F1 F2 Shop R1 R2"}} {
		if l.sortBy(c.column); order(l) != c.want {
			t.Errorf("by column %d: %s, want %s", c.column, order(l), c.want)
		}
	}
}

func TestListFilters(t *testing.T) {
	l := aList(nil)
	w := apptest.Window(t, container.NewBorder(NewBar(l.Tools()...), nil, nil, nil, l.Object()), 500, 300)
	w.Canvas().Focus(l.Focus())
	l.SetCurrent("R2")
	apptest.Type(t, w.Canvas(), "reef l")
	if got := order(l); got != "Shop R2" || w.Canvas().Focused() != fyne.Focusable(l.filter) {
		t.Errorf("typed %q: %s", l.filter.Text, got)
	}
	apptest.Key(t, w.Canvas(), fyne.KeyDown)
	if r, ok := l.Current(); !ok || r.code != "R2" || w.Canvas().Focused() != l.Focus() {
		t.Errorf("Down leads to %v, %v", r, ok)
	}
	w.Canvas().Focus(l.filter)
	apptest.Key(t, w.Canvas(), fyne.KeyEscape)
	if got := order(l); got != "Back F1 F2 Shop R1 R2" {
		t.Errorf("Esc shows %s", got)
	}
	l.Filter("nothing like it")
	if len(l.Shown()) != 0 || l.Len() != 4 || !strings.Contains(order(l), "Esc in the filter shows all") {
		t.Errorf("%s", order(l))
	}
}

// Ticks and the row under the cursor stay with their records in another order.
func TestListKeepsTicksAndCursor(t *testing.T) {
	l := aList(nil)
	apptest.Window(t, l.Object(), 500, 300)
	l.Tick("R2", "F2")
	l.SetCurrent("R2")
	l.sortBy(1)
	if r, _ := l.Current(); codes(l.Ticked()) != "F2 R2" || r.code != "R2" {
		t.Errorf("ticked %s, current %s", codes(l.Ticked()), r.code)
	}
}

// When records go, what is ticked is what was ticked: not what took their place.
func TestTicksFollowTheRecords(t *testing.T) {
	for name, c := range map[string]struct {
		gone           int // of the first group
		ticked, chosen string
	}{
		"a row above the ticked one goes": {0, "F2 R2", "F2 R2"},
		"a ticked row goes":               {1, "R2", "R2"},
	} {
		t.Run(name, func(t *testing.T) {
			l := aList(nil)
			apptest.Window(t, l.Object(), 500, 300)
			l.Tick("F2", "R2")
			groups := theReadings()
			groups[0].Records = slices.Delete(groups[0].Records, c.gone, c.gone+1)
			l.SetGroups(groups)
			if got := codes(l.Ticked()); got != c.ticked {
				t.Errorf("ticked %s, want %s", got, c.ticked)
			}
			if got := codes(l.Chosen()); got != c.chosen {
				t.Errorf("chosen %s, want %s", got, c.chosen)
			}
			l.SetGroups(theReadings())
			if got := codes(l.Ticked()); got != c.ticked {
				t.Errorf("when it is back, ticked %s, want %s", got, c.ticked)
			}
		})
	}
}

// With nothing ticked the row under the cursor is chosen, and it is seen which
// that is, whether or not the list has the keyboard.
func TestWhatIsChosenIsSeen(t *testing.T) {
	l := aList(nil)
	apptest.Window(t, l.Object(), 500, 300)
	l.SetCurrent("F2")
	lit := func() string {
		var out []string
		from, _ := l.table.view.inSight()
		for i, row := range l.table.rows {
			if !row.Group && l.table.view.pool[i-from].back.FillColor == look.Color(look.AccentSoft) {
				out = append(out, l.byID[row.ID].code)
			}
		}
		return strings.Join(out, " ")
	}
	if lit() != "F2" || codes(l.Chosen()) != "F2" {
		t.Errorf("%q is lit, %q chosen", lit(), codes(l.Chosen()))
	}
	l.Tick("R1")
	if lit() != "R1" || codes(l.Chosen()) != "R1" {
		t.Errorf("with a tick %q is lit, %q chosen", lit(), codes(l.Chosen()))
	}
}

// Enter opens all that is ticked, else the row under the cursor; a double click
// the one under the pointer.
func TestEnterOpensWhatIsChosen(t *testing.T) {
	l := aList(nil)
	var opened []string
	l.model.Open = func(records []reading) { opened = append(opened, codes(records)) }
	l = NewList(l.model, nil)
	l.SetGroups(theReadings())
	w := apptest.Window(t, l.Object(), 500, 300)
	w.Canvas().Focus(l.Focus())
	apptest.Key(t, w.Canvas(), fyne.KeyReturn)
	apptest.Shortcut(t, w.Canvas(), &fyne.ShortcutSelectAll{})
	apptest.Key(t, w.Canvas(), fyne.KeyReturn)
	at := fyne.NewPos(60, l.table.view.headHeight()+l.table.tops[2]+4)
	test.TapAt(l.table, at)
	test.TapAt(l.table, at)
	if want := []string{"F1", "F1 F2 R1 R2", "F2"}; !slices.Equal(opened, want) {
		t.Errorf("opened %v, want %v", opened, want)
	}
}

func TestListShowsWhatToDoWhenEmpty(t *testing.T) {
	l := aList(nil)
	apptest.Window(t, l.Object(), 500, 300)
	l.SetGroups(nil)
	if l.Focus() != nil || l.box.Objects[0] == fyne.CanvasObject(l.table) {
		t.Error("an empty list shows its table")
	}
	l.SetGroups(theReadings())
	if l.Focus() == nil {
		t.Error("a list with records shows no table")
	}
}

func TestListRemembersColumnsAndOrder(t *testing.T) {
	m := kept{}
	l := aList(m)
	w := apptest.Window(t, container.NewBorder(NewBar(l.Tools()...), nil, nil, nil, l.Object()), 600, 500)
	l.sortBy(1)
	l.sortBy(1)
	test.Tap(l.Tools()[1].(*Button))
	ticks := apptest.Find(t, apptest.Top(w.Canvas()), func(t *Table) bool { return t.Checks })
	ticks.SetChecked(1, 2)
	if err := apptest.PressLabel(w.Canvas(), "Show"); err != nil {
		t.Fatal(err)
	}
	again := aList(m)
	if got := order(again); got != "Back F2 F1 Shop R1 R2" || len(again.table.columns) != 2 || again.table.sorted != 0 ||
		!again.table.descending {
		t.Errorf("%s in %d columns, sorted by %d: kept %v", got, len(again.table.columns), again.table.sorted, m)
	}
	moved := again.model
	moved.Columns = []ListColumn[reading]{moved.Columns[1], moved.Columns[2], moved.Columns[0]}
	l = NewList(moved, m)
	l.SetGroups(theReadings())
	if got := order(l); got != "Back F2 F1 Shop R1 R2" || l.table.columns[0].Title != "Value" || len(l.table.columns) != 2 {
		t.Errorf("in another order of columns: %s, %v", got, l.table.columns)
	}
	m["list.test"] = `{"hidden":[1],"sort":2}`
	if got := order(aList(m)); got != "Back F1 F2 Shop R1 R2" {
		t.Errorf("from the memory of another version: %s", got)
	}
}

func TestShiftTicks(t *testing.T) {
	l := aList(nil)
	w := apptest.Window(t, l.Object(), 500, 300)
	w.Canvas().Focus(l.Focus())
	l.SetCurrent("F1")
	l.table.Modifiers = func() fyne.KeyModifier { return fyne.KeyModifierShift }
	apptest.Key(t, w.Canvas(), fyne.KeyDown, fyne.KeyDown)
	if got := codes(l.Ticked()); got != "F1 F2 R1" {
		t.Errorf("ticked %s", got)
	}
}

func TestSpareColumns(t *testing.T) {
	columns := []Column{{Width: 100}, {Width: 100, Spare: true}, {Width: 100, Spare: true}}
	for free, want := range map[float32][]bool{300: {false, false, false}, 299: {false, false, true}, 150: {false, true, true},
		50: {false, true, true}} {
		if got := dropSpare(columns, free); !slices.Equal(got, want) {
			t.Errorf("in %v: %v, want %v", free, got, want)
		}
	}
}

// Of many records only those that are looked at are put into words: those in sight,
// and some from all over the list for the widths of its columns.
func TestOnlyWhatIsSeenIsMade(t *testing.T) {
	made := map[int]bool{}
	l := NewList(ListModel[int, int]{Name: "many", Key: func(n int) int { return n }, Columns: []ListColumn[int]{
		{"n", Column{Title: "N", Weight: 1}, func(n int) Cell { made[n] = true; return Cell{Text: fmt.Sprint(n), By: n} }},
	}}, nil)
	numbers := make([]int, 5000)
	for n := range numbers {
		numbers[n] = n
	}
	w := apptest.Window(t, l.Object(), 400, 500)
	l.SetRecords(numbers)
	if len(made) > 2*fitRows {
		t.Errorf("%d of 5000 are made", len(made))
	}
	w.Canvas().Focus(l.table)
	apptest.Key(t, w.Canvas(), fyne.KeyEnd)
	if !made[4999] || len(made) > 3*fitRows {
		t.Errorf("at the end %d are made, the last one: %v", len(made), made[4999])
	}
	l.Filter("4998")
	if got := l.Shown(); !slices.Equal(got, []int{4998}) {
		t.Errorf("the filter leaves %v", got)
	}
}
