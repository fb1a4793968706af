package testsheet

import (
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"

	"weirkeeper/app/apptest"
	"weirkeeper/app/screentest"
	"weirkeeper/app/session"
	"weirkeeper/chem"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// An analyte of a newer version of the program has a column that says so and shows its
// values. Nothing is typed or pasted into it; what was typed there in that version waits,
// and keeps nothing else from being saved.
func TestNewerAnalyteIsShownAndNotTyped(t *testing.T) {
	store, f := storagetest.Room(t)
	storagetest.AddNewer(t, store.Path(), f.Now)
	newer := tanks.Cell{System: f.Systems[0].ID, Analyte: storagetest.NewerAnalyte}
	kept := `{"Cells":[{"System":1,"Analyte":210}],"Systems":[1,2],"Columns":[{"Analyte":4,"Method":0},{"Analyte":210,"Method":4}],
		"Entries":[{"Cell":{"System":1,"Analyte":210},"Typed":"6.1"}]}`
	if err := store.SaveDraft(t.Context(), "test sheet", []byte(kept)); err != nil {
		t.Fatal(err)
	}
	show := func() (*screentest.Screen, *Page) {
		var page *Page
		s := screentest.Open(t, store, f.Now, func(in *session.Session) screentest.Page {
			page = New(in)
			return page
		})
		s.Visit(session.Route{Place: session.TestSheet, Cells: []tanks.Cell{newer, {System: f.Systems[0].ID, Analyte: chem.Calcium}}})
		return s, page
	}
	r, page := show()
	grid, model := page.grid, gridModel{page}
	last := model.Columns() - 1
	title, how := model.ColumnHead(last)
	cell := model.Cell(0, last)
	if title != "analyte 210, of a newer version" || how != "shown, not typed" || !cell.Fixed || cell.Due || cell.Bad ||
		cell.Text != "6.1" ||
		cell.Hint != "4.500" || model.Cell(1, last).Hint != "4.500" {
		t.Errorf("the column is %q, %q, its cell %+v", title, how, cell)
	}
	grid.MoveTo(0, last)
	r.Focus(grid)
	apptest.Type(t, r.Canvas(), "9")
	for _, key := range []fyne.KeyName{fyne.KeyF2, fyne.KeyDelete} {
		apptest.Key(t, r.Canvas(), key)
	}
	r.Drain()
	if got := model.Cell(0, last).Text; got != "6.1" || grid.Editing() {
		t.Errorf("after typing it holds %q, editing %v", got, grid.Editing())
	}
	if seen := r.Seen(); !strings.Contains(seen, "typed in the version of the program that knows it") {
		t.Errorf("it is not said why: %s", seen)
	}
	grid.MoveTo(0, last-1)
	r.Focus(grid)
	clip := test.NewClipboard()
	clip.SetContent("421\t7")
	apptest.Shortcut(t, r.Canvas(), &fyne.ShortcutPaste{Clipboard: clip})
	r.Drain()
	if got := r.LastSaid(); got.Title != "1 value found no cell" || model.Cell(0, last).Text != "6.1" {
		t.Errorf("after a block it holds %q, said is %q", model.Cell(0, last).Text, got.Title)
	}
	page.Save()
	r.Drain()
	readings, err := store.ReadingsOf(t.Context(), f.Systems[0].ID, f.Now.AddDate(0, 0, -1), f.Now)
	if err != nil || len(readings) != 1 || readings[0].Value != 421 {
		t.Errorf("saved are %v, %v", readings, err)
	}
	draft, err := store.Draft(t.Context(), "test sheet")
	if got := model.Cell(0, last).Text; got != "6.1" {
		t.Errorf("after the save the sheet has %q; kept is %q, %v", got, draft, err)
	}
	_, page = show()
	if got := (gridModel{page}).Cell(0, last).Text; got != "6.1" {
		t.Errorf("in the next run it is %q", got)
	}
}
