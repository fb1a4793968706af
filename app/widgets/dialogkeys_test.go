package widgets

import (
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"

	"weirkeeper/app/apptest"
)

// twoFields opens a form of two fields over a window whose F6 goes on.
func twoFields(t *testing.T, confirm func() bool) (w fyne.Window, first, second *TextEntry) {
	t.Helper()
	w = apptest.Window(t, NewSecondary("Back", nil), 700, 500)
	OnKey(w, fyne.KeyF6, w.Canvas().FocusNext)
	first, second = NewTextEntry(""), NewTextEntry("")
	form := NewForm(Field{Name: "code", Label: "Code", Input: first}, Field{Name: "name", Label: "Name", Input: second})
	ShowForm(w, "New system", "Add", form, confirm)
	return w, first, second
}

// F6, like Tab, goes from field to field, then to the main button, then to Cancel.
func TestFieldsThenMainButton(t *testing.T) {
	for _, key := range []fyne.KeyName{fyne.KeyF6, fyne.KeyTab} {
		w, first, second := twoFields(t, func() bool { return false })
		box := openDialog(w.Canvas())
		for i, want := range []fyne.Focusable{first, second, box.confirm, box.cancel, first} {
			if got := w.Canvas().Focused(); got != want {
				t.Errorf("%s pressed %d times: the keyboard is on %T", key, i, got)
			}
			apptest.Key(t, w.Canvas(), key)
		}
		if cancel, add := box.cancel.Position(), box.confirm.Position(); add.X <= cancel.X || add.Y != cancel.Y {
			t.Errorf("the main button stands at %v, Cancel at %v", add, cancel)
		}
	}
}

// What was typed is dropped only when that is asked for a second time, and the
// first time says which button to press.
func TestTypedTextIsDroppedAtTheSecondAsking(t *testing.T) {
	w, _, _ := twoFields(t, func() bool { return true })
	apptest.Type(t, w.Canvas(), "F7")
	apptest.Key(t, w.Canvas(), fyne.KeyEscape)
	box := openDialog(w.Canvas())
	if box == nil {
		t.Fatal("the first Esc drops what was typed")
	}
	if got, want := box.warning.Text(), "Not saved yet. Press Cancel again to drop what you typed."; got != want {
		t.Errorf("it says %q, want %q", got, want)
	}
	apptest.Key(t, w.Canvas(), fyne.KeyEscape)
	if DialogOpen(w) {
		t.Error("the second Esc leaves the dialog open")
	}
}

// ConfirmDialog presses the main button of what is in front, and only that.
func TestConfirmDialog(t *testing.T) {
	confirmed := 0
	w, _, _ := twoFields(t, func() bool { confirmed++; return confirmed == 2 })
	if !ConfirmDialog(w) || confirmed != 1 || !DialogOpen(w) {
		t.Errorf("a refused form: confirmed %d times, open %v", confirmed, DialogOpen(w))
	}
	if !ConfirmDialog(w) || confirmed != 2 || DialogOpen(w) {
		t.Errorf("confirmed %d times, open %v", confirmed, DialogOpen(w))
	}
	if ConfirmDialog(w) {
		t.Error("nothing is open, and it is confirmed")
	}
	ShowMessage(w, "Keys", NewWrapped("to read"))
	if ConfirmDialog(w) || !DialogOpen(w) {
		t.Error("a message that can only be closed is confirmed")
	}
	openDialog(w.Canvas()).close()
	choice := NewChoice(named("Calcium"), "")
	ShowForm(w, "Add", "Add", NewForm(Field{Name: "c", Label: "Analyte", Input: choice}), func() bool { confirmed++; return true })
	choice.open("")
	if ConfirmDialog(w) || confirmed != 2 {
		t.Error("the dialog is confirmed under its open list")
	}
}

// In a note Enter begins a line; Tab goes on, Ctrl+Enter confirms, and the field
// says so.
func TestNoteCanBeLeft(t *testing.T) {
	confirmed := 0
	w := apptest.Window(t, NewSecondary("Back", nil), 700, 500)
	note, day := NewNoteEntry("", 3), NewTextEntry("")
	form := NewForm(Field{Name: "note", Label: "Note", Input: note}, Field{Name: "day", Label: "Day", Input: day, Help: "of the work"})
	ShowForm(w, "Note", "Save", form, func() bool { confirmed++; return true })
	said := ""
	for _, s := range apptest.Texts(w) {
		said += s.Text + " "
	}
	if want := "Enter begins a new line, Tab goes on, Ctrl+S saves."; strings.Count(said, want) != 1 {
		t.Errorf("the form says %q, want %q under the note alone", said, want)
	}
	apptest.Type(t, w.Canvas(), "a")
	apptest.Key(t, w.Canvas(), fyne.KeyReturn)
	apptest.Type(t, w.Canvas(), "b")
	if note.Text != "a\nb" || confirmed != 0 {
		t.Fatalf("the note holds %q, confirmed %d times", note.Text, confirmed)
	}
	apptest.Key(t, w.Canvas(), fyne.KeyTab)
	if w.Canvas().Focused() != fyne.Focusable(day) || note.Text != "a\nb" {
		t.Errorf("Tab leads to %T, the note holds %q", w.Canvas().Focused(), note.Text)
	}
	w.Canvas().Focus(note)
	apptest.Shortcut(t, w.Canvas(), &desktop.CustomShortcut{KeyName: fyne.KeyReturn, Modifier: fyne.KeyModifierShift})
	if confirmed != 0 {
		t.Error("Shift+Enter confirms")
	}
	apptest.Shortcut(t, w.Canvas(), &desktop.CustomShortcut{KeyName: fyne.KeyReturn, Modifier: fyne.KeyModifierShortcutDefault})
	if confirmed != 1 || DialogOpen(w) || note.Text != "a\nb" {
		t.Errorf("Ctrl+Enter: confirmed %d times, open %v, the note holds %q", confirmed, DialogOpen(w), note.Text)
	}
}

// Esc closes the dialog also when nothing has the keyboard, as after a click beside it.
func TestEscapeWithoutTheKeyboard(t *testing.T) {
	w, _, _ := twoFields(t, func() bool { return true })
	w.Canvas().Unfocus()
	w.Canvas().OnTypedKey()(&fyne.KeyEvent{Name: fyne.KeyEscape})
	if openDialog(w.Canvas()) != nil {
		t.Error("the dialog is still open")
	}
}
