package widgets

import (
	"fmt"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/test"

	"weirkeeper/app/apptest"
)

// The wheel over a part of a dialog that is higher than its place scrolls that part
// as far as it goes, then the dialog: over a grid that fits, a table that goes on, a
// line of text and a note.
func TestWheelIsHandedOn(t *testing.T) {
	type part struct {
		name  string
		input func() fyne.CanvasObject
		own   bool // it has more to show than fits
	}
	var rows []Row
	for i := range 40 {
		rows = append(rows, Row{ID: i, Cells: []Cell{{Text: fmt.Sprint("row ", i)}}})
	}
	sized := func(o fyne.CanvasObject) fyne.CanvasObject {
		return container.NewGridWrap(fyne.NewSize(300, 150), o)
	}
	for _, p := range []part{
		{"a grid that fits", func() fyne.CanvasObject { return sized(NewGrid(newSheet(1, 1))) }, false},
		{"a grid that fits in height", func() fyne.CanvasObject { return sized(NewGrid(newSheet(1, 9))) }, false},
		{"a grid that goes on", func() fyne.CanvasObject { return sized(NewGrid(newSheet(40, 1))) }, true},
		{"a table that fits", func() fyne.CanvasObject { return sized(NewTable([]Column{{Title: "Row"}})) }, false},
		{"a table that goes on", func() fyne.CanvasObject {
			table := NewTable([]Column{{Title: "Row"}})
			table.SetRows(rows)
			return sized(table)
		}, true},
		{"a line of text", func() fyne.CanvasObject { return NewTextEntry("F2") }, false},
		{"a number", func() fyne.CanvasObject { return NewNumberEntry("12") }, false},
		{"a note that fits", func() fyne.CanvasObject { return NewNoteEntry("a", 3) }, false},
	} {
		t.Run(p.name, func(t *testing.T) {
			input := p.input()
			fields := []Field{{Name: "part", Label: "Part", Input: input}}
			for i := range 12 {
				fields = append(fields, Field{Name: fmt.Sprint(i), Label: "Field", Input: NewCheck("", nil)})
			}
			outer := NewScrolled(NewForm(fields...))
			w := apptest.Window(t, outer, 500, 250)
			apptest.Settle(w)
			over := fyne.CurrentApp().Driver().AbsolutePositionForObject(input).AddXY(input.Size().Width/2, 14)
			test.Scroll(w.Canvas(), over, 0, -20)
			if moved := outer.scroll.Offset.Y > 0; moved == p.own {
				t.Fatalf("after a turn of the wheel the dialog is at %v", outer.scroll.Offset.Y)
			}
			outer.scroll.ScrollToOffset(fyne.NewPos(0, 0))
			for range 200 {
				test.Scroll(w.Canvas(), over, 0, -20)
				if outer.scroll.Offset.Y > 0 {
					break
				}
			}
			if outer.scroll.Offset.Y == 0 {
				t.Fatal("at its end it keeps the wheel")
			}
			outer.scroll.ScrollToOffset(fyne.NewPos(0, 20))
			for range 200 {
				test.Scroll(w.Canvas(), over.AddXY(0, -10), 0, 20)
			}
			if outer.scroll.Offset.Y != 0 {
				t.Errorf("turned back the dialog is at %v", outer.scroll.Offset.Y)
			}
		})
	}
}

// Where nothing around it scrolls, the wheel still turns a wide grid sideways.
func TestWheelTurnsWideGridSideways(t *testing.T) {
	g := NewGrid(newSheet(1, 9))
	w := apptest.Window(t, g, 300, 150)
	test.Scroll(w.Canvas(), fyne.NewPos(200, 60), 0, -20)
	if g.view.scroll.Offset.X == 0 {
		t.Error("it does not move")
	}
}
