package shell

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"

	"weirkeeper/app/apptest"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// place is where the open page stands on the window.
func (k *keeper) place() (fyne.Position, fyne.Size) {
	page := k.w.pages[k.w.now]
	return fyne.CurrentApp().Driver().AbsolutePositionForObject(page), page.Size()
}

// A notice lies over the page inside the window: nothing of the page moves, and a
// click on the notice does not reach what it hides.
func TestNoticeDoesNotMoveThePage(t *testing.T) {
	k, _, f := openRoom(t)
	k.w.win.Resize(fyne.NewSize(1024, 700))
	k.w.Show(session.Route{Place: session.TestSheet, Cells: []tanks.Cell{{System: f.Systems[0].ID, Analyte: chem.Calcium}}})
	k.settle()
	apptest.Settle(k.w.win)
	at, size := k.place()
	for _, text := range []string{"short", strings.Repeat("A long sentence about what was kept and what to do next. ", 8)} {
		k.w.session.Say(session.Notice{Title: "Said", Text: text, Do: "Go on", Then: func() {}})
		apptest.Settle(k.w.win)
		if nowAt, nowSize := k.place(); nowAt != at || nowSize != size {
			t.Errorf("the page moves from %v, %v to %v, %v", at, size, nowAt, nowSize)
		}
		front := k.w.notices.front
		p, s := fyne.CurrentApp().Driver().AbsolutePositionForObject(front), front.Size()
		if p.X < at.X || p.X+s.Width > 1024 || p.Y < 0 || p.Y+s.Height > at.Y+size.Height || s.Height < front.MinSize().Height {
			t.Errorf("the notice lies at %v, %v high it needs %v", p, s, front.MinSize())
		}
		k.c.Unfocus() // a click on the page would give the keyboard to what it hits
		for _, by := range []fyne.Delta{{DX: 30, DY: 8}, {DX: s.Width / 2, DY: s.Height / 2}, {DX: s.Width - 8, DY: s.Height - 8}} {
			test.TapCanvas(k.c, p.AddXY(by.DX, by.DY))
		}
		if f := k.c.Focused(); f != nil {
			t.Errorf("a click on the notice reaches %T under it", f)
		}
	}
}

// Esc closes the notice in front, but not while it drops an edit or closes a dialog;
// the keyboard stays where it was.
func TestEscClosesTheNotice(t *testing.T) {
	k, _, f := openRoom(t)
	k.w.Show(session.Route{Place: session.TestSheet, Cells: []tanks.Cell{{System: f.Systems[0].ID, Analyte: chem.Calcium}}})
	k.settle()
	grid := k.c.Focused()
	k.w.session.Say(session.Notice{Title: "Said", Text: "to be closed"})
	k.types("4")
	k.keys(fyne.KeyEscape)
	if k.noticed() != "Said: to be closed" {
		t.Fatal("dropping an edit closes the notice")
	}
	widgets.ShowMessage(k.w.win, "Keys", widgets.NewWrapped("to read"))
	k.keys(fyne.KeyEscape)
	if widgets.DialogOpen(k.w.win) || k.noticed() != "Said: to be closed" {
		t.Fatalf("Esc in a dialog: open %v, %q is said", widgets.DialogOpen(k.w.win), k.noticed())
	}
	k.keys(fyne.KeyEscape)
	if k.noticed() != ": " || k.c.Focused() != grid {
		t.Errorf("Esc leaves %q, the keyboard on %T", k.noticed(), k.c.Focused())
	}
	k.w.focusRail()
	k.w.session.Say(session.Notice{Title: "Said", Text: "again"})
	k.keys(fyne.KeyEscape)
	if k.noticed() != ": " {
		t.Errorf("Esc on the rail leaves %q", k.noticed())
	}
}

// Several notices are all there: the newest in front, the others behind it, none
// twice; closing one gives the keyboard back.
func TestSeveralNotices(t *testing.T) {
	k, _, f := openRoom(t)
	k.w.Show(session.Route{Place: session.TestSheet, Cells: []tanks.Cell{{System: f.Systems[0].ID, Analyte: chem.Calcium}}})
	k.settle()
	grid := k.c.Focused()
	done := ""
	for _, text := range []string{"first", "second", "third", "second"} {
		k.w.session.Say(session.Notice{Title: "Said", Text: text, Do: "Do " + text, Then: func() { done += text }})
	}
	for _, step := range []struct{ press, text, count string }{
		{"", "second", "1 of 3"}, {"The one before", "third", "2 of 3"}, {"The one before", "first", "3 of 3"}, {"The one before", "second",
			"1 of 3"},
		{"The one before", "third", "2 of 3"}, {"Do third", "second", "1 of 2"}, {"Close", "first", ""},
	} {
		if step.press != "" {
			apptest.Find(t, k.c.Content(), func(b *widgets.Button) bool { return b.Text == step.press }).Tapped(&fyne.PointEvent{})
		}
		if want := "Said: " + step.text; k.noticed() != want {
			t.Fatalf("after %q it says %q, want %q", step.press, k.noticed(), want)
		}
		counted := ""
		for _, s := range apptest.Texts(k.w.win) {
			if strings.Contains(s.Text, " of ") && len(s.Text) == len("1 of 3") {
				counted = s.Text
			}
		}
		if counted != step.count {
			t.Errorf("after %q it counts %q, want %q", step.press, counted, step.count)
		}
	}
	if done != "third" {
		t.Errorf("done is %q", done)
	}
	k.press("Close")
	if k.noticed() != ": " || k.c.Focused() != grid {
		t.Errorf("at the end it says %q, the keyboard is on %T", k.noticed(), k.c.Focused())
	}
}

// Going to another page forgets what was seen and keeps what was hidden behind it.
func TestLeavingAPageKeepsUnseenNotices(t *testing.T) {
	k, _, _ := openRoom(t)
	k.w.notices.onWindow(false)
	for n := range 2 {
		k.w.session.Say(session.Notice{Title: "Said", Text: fmt.Sprint(n)})
	}
	k.w.notices.onWindow(true)
	k.w.Show(session.Route{Place: session.Room})
	k.settle()
	if k.noticed() != "Said: 0" {
		t.Errorf("after leaving the page it says %q", k.noticed())
	}
	k.w.Show(session.Route{Place: session.Rounds})
	k.settle()
	if k.noticed() != ": " {
		t.Errorf("after leaving again it says %q", k.noticed())
	}
}

// What happened before a ledger was open is said when it is: after restoring a backup
// and after salvaging, though both end before the ledger is read.
func TestNoticesWaitForTheLedger(t *testing.T) {
	t.Run("restored", func(t *testing.T) {
		store, _ := storagetest.Room(t)
		path := store.Path()
		backup, err := takeBackup(t, store, filepath.Join(t.TempDir(), "backups"))
		if err != nil {
			t.Fatal(err)
		}
		if err := store.Close(); err != nil {
			t.Fatal(err)
		}
		k := newKeeper(t, storagetest.Clock)
		k.w.restore(backup, path)
		k.settle()
		if k.w.Session() == nil || !strings.HasPrefix(k.noticed(), "Restored: The ledger as it was before is kept in ") {
			t.Errorf("open %v, it says %q", k.w.Session() != nil, k.noticed())
		}
		k.w.ShowWelcome(session.Notice{})
		if said := wordsInFront(k.w.win); strings.Contains(said, "Restored") {
			t.Errorf("what was said of one ledger goes on after it: %s", said)
		}
	})
	t.Run("salvaged", func(t *testing.T) {
		store, f := storagetest.Room(t)
		save(t, store, f, 0, chem.Calcium, map[int]float64{1: 421})
		path := store.Path()
		if err := store.Close(); err != nil {
			t.Fatal(err)
		}
		k := newKeeper(t, storagetest.Clock)
		k.w.salvage(path)
		k.settle()
		if k.w.Session() == nil || !strings.HasPrefix(k.noticed(), "Salvaged 1 reading of 2 systems: ") {
			t.Errorf("open %v, it says %q", k.w.Session() != nil, k.noticed())
		}
	})
	t.Run("the ledger does not open after it", func(t *testing.T) {
		k := newKeeper(t, storagetest.Clock)
		k.w.notices.say(session.Notice{Title: "Restored", Text: "The ledger as it was before is kept in x."})
		file := filepath.Join(t.TempDir(), "no.ledger")
		if err := os.WriteFile(file, []byte("nothing"), 0o644); err != nil {
			t.Fatal(err)
		}
		k.w.openFile(file)
		k.settle()
		said := wordsInFront(k.w.win)
		if !strings.Contains(said, "is kept in x") || !strings.Contains(said, "it is no ledger") {
			t.Errorf("the welcome page says %s", said)
		}
	})
}

// What ends after its ledger was closed is not said over the next one.
func TestNoticeOfAClosedLedger(t *testing.T) {
	k, _, _ := openRoom(t)
	old := k.w.session
	k.w.ShowWelcome(session.Notice{})
	other, err := storage.Create(
		t.Context(),
		filepath.Join(t.TempDir(), "other.ledger"),
		tanks.Room{Name: "Other", Zone: "UTC"},
		storagetest.Clock,
	)
	if err != nil {
		t.Fatal(err)
	}
	if err := k.w.Open(t.Context(), other); err != nil {
		t.Fatal(err)
	}
	old.Say(session.Notice{Title: "Late"})
	if k.noticed() != ": " {
		t.Errorf("it says %q", k.noticed())
	}
}
