package widgets

import (
	"reflect"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"pgregory.net/rapid"

	"weirkeeper/app/apptest"
)

func TestColumnWidths(t *testing.T) {
	cases := []struct {
		name    string
		columns []Column
		free    float32
		want    []float32
	}{
		{"fixed", []Column{{Width: 50}, {Width: 70}}, 500, []float32{50, 70}},
		{"by weight", []Column{{Weight: 1}, {Weight: 3}}, 400, []float32{100, 300}},
		{"fixed and weight", []Column{{Width: 100}, {}, {}}, 400, []float32{100, 150, 150}},
		{"one at its least, the others share", []Column{{Weight: 1, Min: 200}, {Weight: 1}, {Weight: 1}}, 500, []float32{200, 150, 150}},
		{"too narrow: all at their least", []Column{{Width: 300}, {}, {}}, 320, []float32{300, columnMinWidth(), columnMinWidth()}},
		{"none", nil, 300, []float32{}},
		{
			"a fixed column needs less where others are cut",
			[]Column{{Width: 100, need: 60}, {Weight: 1, Min: 50, need: 200}},
			250,
			[]float32{60, 190},
		},
		{
			"a fixed column has its width where there is room",
			[]Column{{Width: 100, need: 60}, {Weight: 1, Min: 50, need: 200}},
			320,
			[]float32{100, 220},
		},
		{
			"only the longest is cut",
			[]Column{{Min: 50, need: 150}, {Min: 50, need: 400}, {Min: 50, need: 300}},
			550,
			[]float32{150, 200, 200},
		},
		{"needs before weights", []Column{{Weight: 1, Min: 50, need: 150}, {Weight: 9, Min: 50, need: 50}}, 300, []float32{150, 150}},
		{"none wider than its most", []Column{{Weight: 1, Max: 120}, {Weight: 1, Max: 200}}, 1000, []float32{120, 200}},
		{"what one may not take the other has", []Column{{Weight: 1, Max: 120}, {Weight: 1}}, 1000, []float32{120, 880}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if got := columnWidths(c.columns, c.free); !reflect.DeepEqual(got, c.want) {
				t.Errorf("widths %v, want %v", got, c.want)
			}
		})
	}
}

// Nothing is cut while another column has more than it needs, no column has less
// than its least, and all of them together take the room that there is.
func TestColumnWidthsCutNothingBesideEmptySpace(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var columns []Column
		for range rapid.IntRange(1, 8).Draw(t, "columns") {
			c := Column{need: float32(rapid.IntRange(10, 400).Draw(t, "need"))}
			if rapid.Bool().Draw(t, "fixed") {
				c.Width = float32(rapid.IntRange(10, 200).Draw(t, "width"))
			} else {
				c.Min = float32(rapid.IntRange(10, int(c.need)).Draw(t, "min"))
				c.Weight = float32(rapid.IntRange(0, 4).Draw(t, "weight"))
			}
			columns = append(columns, c)
		}
		free := float32(rapid.IntRange(10, 2000).Draw(t, "free"))
		widths := columnWidths(columns, free)
		var sum, lows float32
		cut, more := false, false
		for i, c := range columns {
			sum, lows = sum+widths[i], lows+c.low()
			cut, more = cut || widths[i] < c.need-0.1, more || widths[i] > max(c.need, c.low())+0.1
			if widths[i] < c.low()-0.01 {
				t.Fatalf("column %d of %+v is %v wide", i, columns, widths[i])
			}
		}
		if cut && more {
			t.Fatalf("%v of %+v in %v: one is cut beside another with room", widths, columns, free)
		}
		if sum > max(free, lows)+0.5 {
			t.Fatalf("%v of %+v take %v of %v", widths, columns, sum, free)
		}
	})
}

// In a table as wide as a small window leaves, names and meanings are whole when
// all of them have room, though numbers were given more than they need.
func TestTableCutsNothingThatHasRoom(t *testing.T) {
	table := NewTable(
		[]Column{
			{Title: "What follows", Weight: 2},
			{Title: "Value", Width: 160, Align: fyne.TextAlignTrailing},
			{Title: "What it means", Weight: 1},
		},
	)
	w := apptest.Window(t, table, 640, 200)
	name, meaning := "Carbon dioxide pressure", "above outdoor air (425): aeration lowers it"
	table.SetRows([]Row{
		{ID: 1, Cells: []Cell{{Text: name}, {Text: "600 ± 200"}, {Text: meaning}}},
		{ID: 2, Cells: []Cell{{Text: "pH"}, {Text: "8.26 ± 0.02"}, {Text: "of the sea"}}},
	})
	var seen []string
	for _, s := range apptest.Texts(w) {
		seen = append(seen, s.Text)
	}
	for _, want := range []string{name, meaning, "600 ± 200"} {
		if !strings.Contains(strings.Join(seen, "\n"), want) {
			t.Errorf("%q is cut: %q", want, seen)
		}
	}
}

// The value of a cell with a gauge gives way to the age beside it.
func TestCentredValueGivesWayToItsSide(t *testing.T) {
	table := NewTable([]Column{{Title: "Magnesium", Min: 20, Max: 90}})
	w := apptest.Window(t, table, 118, 120)
	table.RowHeight = 46
	table.SetRows(
		[]Row{
			{
				ID: 1,
				Cells: []Cell{
					{Text: "1307", Side: "11 d", Trend: -1, Mark: MarkWithinFirm, Gauge: &GaugeValue{1250, 1320, 1400, 1307, 20}},
				},
			},
		},
	)
	texts := map[string]apptest.Area{}
	for _, s := range apptest.Texts(w) {
		texts[s.Text] = s.At
	}
	value, age := texts["1307"], texts["11 d"]
	if value.W == 0 || age.W == 0 {
		t.Fatalf("the texts are %v", texts)
	}
	if gap := age.X - value.X - value.W; gap < markSize+2 {
		t.Errorf("between value and age is %v, the arrow needs %v", gap, markSize+2)
	}
}
