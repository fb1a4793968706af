package widgets

import (
	"testing"
	"time"

	"fyne.io/fyne/v2"

	"weirkeeper/app/apptest"
)

// A dialog that comes under typing hands is not answered by what they type: neither by
// Enter and Tab in the middle of it nor by Esc. After a rest Tab goes to its buttons.
func TestUnaskedDialogUnderTypingHands(t *testing.T) {
	answered := 0
	w := apptest.Window(t, NewTextEntry(""), 700, 500)
	c := w.Canvas()
	c.FocusNext()
	before := c.Focused()
	ShowUnasked(w, "Gone", "The file is gone.", "Write it", func() { answered++ })
	box := openDialog(c)
	now := time.Date(2026, 3, 10, 8, 2, 0, 0, time.UTC)
	box.over.now = func() time.Time { return now }
	box.over.last = now
	after := func(d time.Duration, names ...fyne.KeyName) {
		t.Helper()
		for _, name := range names {
			now = now.Add(d)
			apptest.Key(t, c, name)
		}
	}
	// A sheet is typed: values, each with the key that goes on.
	for _, on := range []fyne.KeyName{fyne.KeyTab, fyne.KeyReturn, fyne.KeyEnter, fyne.KeyDown, fyne.KeyEscape, fyne.KeySpace} {
		now = now.Add(30 * time.Second) // to read the next kit
		apptest.Type(t, c, "8.3")
		after(rest-time.Millisecond, on, fyne.KeyReturn)
	}
	after(2*rest, fyne.KeyReturn, fyne.KeySpace, fyne.KeyEnter) // slow hands
	if answered != 0 || openDialog(c) == nil || c.Focused() != fyne.Focusable(box.over) || ConfirmDialog(w) {
		t.Fatalf("typed hands answered it %d times, open %v, the keyboard is on %T", answered, openDialog(c) != nil, c.Focused())
	}
	after(2*rest, fyne.KeyTab)
	if c.Focused() != fyne.Focusable(box.confirm) {
		t.Fatalf("Tab after a rest goes to %T", c.Focused())
	}
	after(0, fyne.KeyTab, fyne.KeyTab, fyne.KeyTab) // round, and at once
	if c.Focused() != fyne.Focusable(box.confirm) {
		t.Fatalf("Tab goes round to %T", c.Focused())
	}
	after(0, fyne.KeyReturn)
	if answered != 1 || openDialog(c) != nil || c.Focused() != before {
		t.Errorf("Enter on the button answered it %d times, open %v, the keyboard is on %T", answered, openDialog(c) != nil, c.Focused())
	}
}

// After a rest Esc closes it unanswered; a press with the mouse answers it at once.
func TestUnaskedDialogIsClosedOrPressed(t *testing.T) {
	answered := 0
	w := apptest.Window(t, NewTextEntry(""), 700, 500)
	show := func() *dialogBox {
		ShowUnasked(w, "Gone", "The file is gone.", "Write it", func() { answered++ })
		return openDialog(w.Canvas())
	}
	box := show()
	box.over.last = box.over.last.Add(-2 * rest)
	apptest.Key(t, w.Canvas(), fyne.KeyEscape)
	if answered != 0 || openDialog(w.Canvas()) != nil {
		t.Errorf("Esc answered it %d times, open %v", answered, openDialog(w.Canvas()) != nil)
	}
	show().confirm.Tapped(nil)
	if answered != 1 || openDialog(w.Canvas()) != nil {
		t.Errorf("a press answered it %d times, open %v", answered, openDialog(w.Canvas()) != nil)
	}
}
