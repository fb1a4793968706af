package shell

import (
	"context"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"

	"weirkeeper/app/session"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// A save is taken back by the keys and stands on the sheet again, put back by
// the keys, and taken back once more by the button at the top.
func TestUndoAndRedoByKeys(t *testing.T) {
	k, store, f := openRoom(t)
	count := func() int {
		all, err := store.Series(context.Background(), f.Systems[0].ID, chem.Calcium, time.Time{}, time.Time{})
		if err != nil {
			t.Fatal(err)
		}
		return len(all)
	}
	if !k.w.frame.undo.Hidden || !k.w.frame.redo.Hidden {
		t.Error("before anything is done, it can be undone")
	}
	k.menu(fyne.KeyZ)
	if !strings.Contains(k.noticed(), "nothing is left") {
		t.Errorf("it says %q", k.noticed())
	}
	k.w.Show(session.Route{Place: session.TestSheet, Cells: []tanks.Cell{{System: f.Systems[0].ID, Analyte: chem.Calcium}}})
	k.settle()
	k.types("421")
	k.keys(fyne.KeyReturn)
	k.menu(fyne.KeyS)
	if count() != 1 || k.w.frame.undo.Hidden || k.w.frame.undo.Text != "Undo saving the test sheet" {
		t.Fatalf("%d saved, the button says %q", count(), k.w.frame.undo.Text)
	}
	k.picture("undo")
	k.menu(fyne.KeyZ)
	if count() != 0 || !k.w.frame.undo.Hidden || k.w.frame.redo.Hidden {
		t.Errorf("%d are left, the buttons say %q and %q: %s", count(), k.w.frame.undo.Text, k.w.frame.redo.Text, k.noticed())
	}
	k.picture("redo")
	k.menu(fyne.KeyS) // what was taken back stands on the sheet, so it can be saved again
	if count() != 1 || !k.w.frame.redo.Hidden {
		t.Errorf("%d saved from the sheet: %s", count(), k.noticed())
	}
	k.press("Undo saving the test sheet")
	if count() != 0 {
		t.Errorf("%d are left", count())
	}
	k.press("Redo")
	if count() != 1 {
		t.Errorf("%d are there again", count())
	}
}

// However long the words for an action are, the window can be as narrow as before.
func TestUndoDoesNotWidenTheWindow(t *testing.T) {
	k, _, _ := openRoom(t)
	k.w.frame.showUndo(
		"importing readings from the-spreadsheet-of-the-whole-last-year-with-all-racks.csv",
		"withdrawing the check on a standard",
	)
	if width := k.w.win.Content().MinSize().Width; width > 1024 {
		t.Errorf("the window cannot be narrower than %.0f", width)
	}
}
