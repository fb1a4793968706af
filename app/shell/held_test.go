package shell

import (
	"strings"
	"testing"

	"weirkeeper/app/apptest"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// A ledger that another window has open is shown only to look, and a save there
// says why it cannot be.
func TestLedgerOpenElsewhere(t *testing.T) {
	store, f := storagetest.Room(t)
	save(t, store, f, 0, chem.Calcium, map[int]float64{1: 421})
	k := newKeeper(t, storagetest.Clock)
	k.w.openFile(store.Path())
	k.settle()
	notice := apptest.Find(t, k.c.Content(), func(*widgets.Notice) bool { return true })
	if title, text := notice.Said(); title != "The ledger is open already" || !strings.Contains(text, "process") {
		t.Fatalf("the welcome page says %q, %q", title, text)
	}
	k.picture("held")
	k.press("Open only to look")
	if k.w.Session() == nil || !k.w.Session().Store.ReadOnly() {
		t.Fatal("it is not open to look")
	}
	k.w.Show(session.Route{Place: session.Room})
	k.settle()
	k.picture("look")
	k.w.Show(session.Route{Place: session.TestSheet, Cells: []tanks.Cell{{System: f.Systems[0].ID, Analyte: chem.Calcium}}})
	k.settle()
	k.types("422")
	k.menu("S")
	if said := k.noticed(); !strings.Contains(said, "open only to look") {
		t.Errorf("a save says %q", said)
	}
	all, err := store.Series(t.Context(), f.Systems[0].ID, chem.Calcium, f.Now.AddDate(0, 0, -30), f.Now)
	if err != nil || len(all) != 1 {
		t.Errorf("the ledger holds %d readings, %v", len(all), err)
	}
}
