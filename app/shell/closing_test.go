package shell

import (
	"context"
	"strings"
	"testing"

	"fyne.io/fyne/v2"

	"weirkeeper/app/apptest"
	"weirkeeper/app/widgets"
	"weirkeeper/storage/storagetest"
)

// Long work that can be stopped is not stopped by closing the window before it was
// asked; what goes on anyway is waited for.
func TestClosingAsksBeforeItStopsWork(t *testing.T) {
	store, f := storagetest.Room(t)
	k := newKeeper(t, storagetest.Clock)
	if err := k.w.Open(t.Context(), store); err != nil {
		t.Fatal(err)
	}
	k.settle()
	k.w.unsaved = false
	closed := false
	k.w.win.SetOnClosed(func() { closed = true })
	ctx, work := k.w.session.Working.Begin("Writing the history of "+f.Systems[0].Code, true)
	k.w.askToClose()
	k.w.askToClose() // again, while it is asked
	if closed || ctx.Err() != nil || !strings.Contains(seenIn(k.w.win), "Writing the history of F1: it is not finished.") {
		t.Fatalf("closed %v, stopped %v:\n%s", closed, ctx.Err(), seenIn(k.w.win))
	}
	k.press("Keep working")
	if closed || ctx.Err() != nil || widgets.DialogOpen(k.w.win) {
		t.Fatalf("kept working: closed %v, stopped %v, asked %v", closed, ctx.Err(), widgets.DialogOpen(k.w.win))
	}
	k.w.askToClose()
	k.press("Stop and close")
	if !closed || ctx.Err() != context.Canceled {
		t.Errorf("closed %v, stopped %v", closed, ctx.Err())
	}
	work.End()
}

// What cannot be stopped, and what is over, is no question.
func TestClosingWithoutAQuestion(t *testing.T) {
	for name, canStop := range map[string]bool{"cannot be stopped": false, "is over": true} {
		t.Run(name, func(t *testing.T) {
			store, _ := storagetest.Room(t)
			k := newKeeper(t, storagetest.Clock)
			if err := k.w.Open(t.Context(), store); err != nil {
				t.Fatal(err)
			}
			k.settle()
			k.w.unsaved = false
			closed := false
			k.w.win.SetOnClosed(func() { closed = true })
			_, work := k.w.session.Working.Begin("Working", canStop)
			if canStop {
				work.End()
			}
			k.w.askToClose()
			if !closed {
				t.Error("it asks")
			}
		})
	}
}

// seenIn is every text that the window shows.
func seenIn(win fyne.Window) string {
	var all []string
	for _, text := range apptest.Texts(win) {
		all = append(all, text.Text)
	}
	return strings.Join(all, "\n")
}

// The question whether to stop work goes when the work has ended: what it says of it
// would be untrue.
func TestQuestionGoesWithTheWork(t *testing.T) {
	k, _, _ := openRoom(t)
	_, work := k.w.session.Working.Begin("Importing readings", true)
	k.w.askToClose()
	if !widgets.DialogOpen(k.w.win) {
		t.Fatal("it is not asked")
	}
	work.End()
	if widgets.DialogOpen(k.w.win) {
		t.Error("it is still asked")
	}
	_, work = k.w.session.Working.Begin("Importing more", true)
	defer work.End()
	k.w.askToClose()
	if !strings.Contains(seenIn(k.w.win), "Importing more: it is not finished.") {
		t.Errorf("of the next work it is not asked:\n%s", seenIn(k.w.win))
	}
}
