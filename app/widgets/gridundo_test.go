package widgets

import (
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"pgregory.net/rapid"

	"weirkeeper/app/apptest"
)

// Whatever is typed, pasted, cleared and taken back, undoing all of it leaves the
// grid as it was, and redoing all of it as it had become.
func TestGridUndoLaw(t *testing.T) {
	s := newSheet(4, 3)
	g := NewGrid(s)
	g.OnEdit = s.set
	apptest.Window(t, g, 600, 300)
	rapid.Check(t, func(rt *rapid.T) {
		g.ForgetEdits()
		before := textsOf(s)
		for range rapid.IntRange(1, 8).Draw(rt, "steps") {
			row, col := rapid.IntRange(0, 3).Draw(rt, "row"), rapid.IntRange(0, 2).Draw(rt, "col")
			g.MoveTo(row, col)
			switch rapid.IntRange(0, 3).Draw(rt, "what") {
			case 0:
				g.fill(rapid.SampledFrom([]string{"1", "2.5", "<3"}).Draw(rt, "text"))
			case 1:
				g.paste("1\t2\n3\t4")
			case 2:
				g.clear()
			case 3:
				g.UndoEdit()
			}
		}
		after := textsOf(s)
		undone := 0
		for g.UndoEdit() {
			undone++
		}
		if got := textsOf(s); got != before {
			rt.Fatalf("undone to %s, it was %s", got, before)
		}
		for range undone {
			g.RedoEdit()
		}
		if got := textsOf(s); got != after {
			rt.Fatalf("redone to %s, it was %s", got, after)
		}
	})
}

// An edit under way is dropped first.
func TestGridUndoDropsTheEdit(t *testing.T) {
	s := newSheet(2, 2)
	g := NewGrid(s)
	g.OnEdit = s.set
	w := apptest.Window(t, g, 600, 300)
	w.Canvas().Focus(g)
	apptest.Type(t, w.Canvas(), "5")
	apptest.Key(t, w.Canvas(), fyne.KeyReturn)
	apptest.Type(t, w.Canvas(), "7")
	if !g.UndoEdit() || g.Editing() || s.Cell(0, 0).Text != "5" {
		t.Errorf("%v, editing %v", textsOf(s), g.Editing())
	}
	if !g.UndoEdit() || s.Cell(0, 0).Text != "" || g.UndoEdit() {
		t.Errorf("%v", textsOf(s))
	}
}

// textsOf is all that a sheet holds.
func textsOf(s *sheet) string {
	var rows []string
	for r := range s.Rows() {
		var cells []string
		for c := range s.Columns() {
			cells = append(cells, s.Cell(r, c).Text)
		}
		rows = append(rows, strings.Join(cells, "|"))
	}
	return strings.Join(rows, "\n")
}
