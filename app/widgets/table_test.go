package widgets

import (
	"reflect"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"

	"weirkeeper/app/apptest"
)

func plainRow(id int) Row {
	return Row{ID: id, Cells: []Cell{{Bold: "F", Text: "rack"}, {Text: "8.3"}}}
}

func tableInWindow(t testing.TB, height float32) (*Table, fyne.Window) {
	table := NewTable([]Column{{Title: "System", Weight: 1}, {Title: "Value", Width: 90, Align: fyne.TextAlignTrailing}})
	w := apptest.Window(t, table, 400, height)
	w.Canvas().Focus(table)
	return table, w
}

func TestTableKeys(t *testing.T) {
	rows := []Row{GroupRow("Overdue"), plainRow(10), plainRow(11), GroupRow("Today"), plainRow(20), plainRow(21)}
	cases := []struct {
		name, keys string
		current    int
		opened     []int
	}{
		{"starts on the first row that is no group", "", 10, nil},
		{"down over a group", "Down Down", 20, nil},
		{"up over a group", "Down Down Up", 11, nil},
		{"up at the top stays", "Up Up", 10, nil},
		{"down at the end stays", "End Down Down", 21, nil},
		{"home and end", "End Home", 10, nil},
		{"enter opens", "Down Enter", 11, []int{11}},
		{"page down to the end", "PgDn PgDn", 21, nil},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			table, w := tableInWindow(t, 300)
			var opened []int
			table.OnOpen = func(id int) { opened = append(opened, id) }
			table.SetRows(rows)
			press(t, w.Canvas(), new(bool), c.keys)
			if id, ok := table.Current(); !ok || id != c.current {
				t.Errorf("current %d, want %d", id, c.current)
			}
			if !reflect.DeepEqual(opened, c.opened) {
				t.Errorf("opened %v, want %v", opened, c.opened)
			}
		})
	}
}

func TestTableTicks(t *testing.T) {
	table, w := tableInWindow(t, 300)
	table.Checks = true
	told := 0
	table.OnChecked = func() { told++ }
	table.SetRows([]Row{GroupRow("Today"), plainRow(1), plainRow(2), plainRow(3)})
	apptest.Key(t, w.Canvas(), fyne.KeySpace, fyne.KeyDown, fyne.KeyDown, fyne.KeySpace)
	if got := table.Checked(); !reflect.DeepEqual(got, []int{1, 3}) || told != 2 {
		t.Errorf("ticked %v, told %d times", got, told)
	}
	table.SetRows([]Row{plainRow(3), plainRow(4)})
	if got := table.Checked(); !reflect.DeepEqual(got, []int{3}) {
		t.Errorf("ticked %v after new rows, want those that stayed", got)
	}
	apptest.Shortcut(t, w.Canvas(), &fyne.ShortcutSelectAll{})
	if got := table.Checked(); !reflect.DeepEqual(got, []int{3, 4}) {
		t.Errorf("ticked %v after Ctrl+A", got)
	}
	apptest.Shortcut(t, w.Canvas(), &fyne.ShortcutSelectAll{})
	if got := table.Checked(); len(got) != 0 {
		t.Errorf("ticked %v after a second Ctrl+A", got)
	}
	test.TapAt(table, fyne.NewPos(12, table.view.headHeight()+10))
	if got := table.Checked(); !reflect.DeepEqual(got, []int{3}) {
		t.Errorf("ticked %v after a tap on a box", got)
	}
}

func TestTableTaps(t *testing.T) {
	table, _ := tableInWindow(t, 300)
	var opened, heads []int
	clock := time.Unix(0, 0)
	table.now = func() time.Time { return clock }
	table.OnOpen = func(id int) { opened = append(opened, id) }
	table.OnHead = func(c int) { heads = append(heads, c) }
	table.SetRows([]Row{plainRow(1), plainRow(2)})
	second := fyne.NewPos(50, table.view.headHeight()+table.rowHeight()+5)
	test.TapAt(table, second)
	clock = clock.Add(time.Second)
	test.TapAt(table, second)
	if len(opened) != 0 {
		t.Errorf("two slow taps opened %v", opened)
	}
	clock = clock.Add(doubleTap / 2)
	test.TapAt(table, second)
	if !reflect.DeepEqual(opened, []int{2}) {
		t.Errorf("two quick taps opened %v", opened)
	}
	test.TapAt(table, fyne.NewPos(380, 5))
	if !reflect.DeepEqual(heads, []int{1}) {
		t.Errorf("tapped heads %v, want the second", heads)
	}
}

func TestTableScrollsWithTheCursor(t *testing.T) {
	table, w := tableInWindow(t, 200)
	var rows []Row
	for i := range 1000 {
		rows = append(rows, plainRow(i))
	}
	table.SetRows(rows)
	apptest.Key(t, w.Canvas(), fyne.KeyEnd)
	if from, to := table.view.inSight(); to != 1000 || from < 990 {
		t.Errorf("rows %d to %d are in sight after End", from, to)
	}
	if n := len(table.view.pool); n > 12 {
		t.Errorf("%d rows have objects: they are not lent on", n)
	}
	apptest.Key(t, w.Canvas(), fyne.KeyHome)
	if from, _ := table.view.inSight(); from != 0 {
		t.Errorf("row %d is on top after Home", from)
	}
	table.SetRows(rows[:2])
	if id, ok := table.Current(); !ok || id != 0 {
		t.Errorf("current %d, %v after fewer rows", id, ok)
	}
	table.SetRows(nil)
	if _, ok := table.Current(); ok {
		t.Error("an empty table has a current row")
	}
	apptest.Key(t, w.Canvas(), fyne.KeyDown, fyne.KeyReturn)
}

func TestShorten(t *testing.T) {
	test.NewTempApp(t)
	if got := shorten("short", 13, 200, fyne.TextStyle{}); got != "short" {
		t.Errorf("got %q", got)
	}
	got := shorten("a name that is far too long for its column", 13, 100, fyne.TextStyle{})
	if width := fyne.MeasureText(got, 13, fyne.TextStyle{}).Width; width > 100 || width < 80 || got[len(got)-len("…"):] != "…" {
		t.Errorf("got %q, %v wide", got, width)
	}
	if got := shorten("word", 13, 2, fyne.TextStyle{}); got != "" {
		t.Errorf("got %q in no room", got)
	}
}

func BenchmarkTable(b *testing.B) {
	table, w := tableInWindow(b, 800)
	var rows []Row
	for i := range 2000 {
		rows = append(
			rows,
			Row{
				ID: i,
				Cells: []Cell{
					{Bold: "F1", Text: "Frag rack, north"},
					{Text: "447", Side: "1 d", Mark: MarkAboveFirm, Gauge: &GaugeValue{400, 420, 440, 447, 6}},
				},
			},
		)
	}
	table.RowHeight = 44
	table.SetRows(rows)
	b.Run("step", func(b *testing.B) {
		for b.Loop() {
			apptest.Key(b, w.Canvas(), fyne.KeyDown)
			if id, _ := table.Current(); id > 1900 {
				table.SetCurrent(0)
			}
		}
	})
}
