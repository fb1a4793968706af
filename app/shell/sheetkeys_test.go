package shell

import (
	"testing"

	"fyne.io/fyne/v2"

	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// On the Test sheet the cursor begins at a due cell, Enter and Tab go on to the next
// one, and the last leads to Save, which Enter then presses; F3 stops at every cell.
func TestSheetKeysGoToDueCells(t *testing.T) {
	for _, key := range []fyne.KeyName{fyne.KeyTab, fyne.KeyReturn} {
		k, store, f := openRoom(t)
		k.w.Show(session.Route{Place: session.TestSheet, Cells: []tanks.Cell{
			{System: f.Systems[0].ID, Analyte: chem.Alkalinity}, {System: f.Systems[1].ID, Analyte: chem.Calcium},
		}})
		k.settle()
		k.types("8.1")
		k.keys(key)
		k.types("421")
		k.keys(key)
		save, ok := k.c.Focused().(*widgets.Button)
		if !ok || save.Text != "Save 2 values" {
			t.Fatalf("%s after the last due cell leads to %T", key, k.c.Focused())
		}
		k.keys(fyne.KeyReturn)
		if n := k.readings(store); n != 2 {
			t.Errorf("%d readings are saved", n)
		}
		all, err := store.Latest(t.Context())
		for _, r := range all {
			if (r.Analyte == chem.Calcium) != (r.System == f.Systems[1].ID) || err != nil {
				t.Errorf("%v of system %d, %v", r.Analyte, r.System, err)
			}
		}
	}
}

// F3 lets a value be typed into a cell that is not due.
func TestSheetKeysGoToEveryCell(t *testing.T) {
	k, store, f := openRoom(t)
	k.w.Show(session.Route{Place: session.TestSheet, Cells: []tanks.Cell{
		{System: f.Systems[0].ID, Analyte: chem.Alkalinity}, {System: f.Systems[1].ID, Analyte: chem.Calcium},
	}})
	k.settle()
	k.keys(fyne.KeyF3, fyne.KeyTab)
	k.types("421")
	k.menu(fyne.KeyS)
	all, err := store.Latest(t.Context())
	if err != nil || len(all) != 1 {
		t.Fatalf("%d readings, %v", len(all), err)
	}
	for _, r := range all {
		if r.System != f.Systems[0].ID || r.Analyte != chem.Calcium {
			t.Errorf("%v of system %d", r.Analyte, r.System)
		}
	}
}
