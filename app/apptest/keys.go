package apptest

import (
	"testing"

	"fyne.io/fyne/v2"
)

// Type types text into what has the keyboard.
func Type(t testing.TB, c fyne.Canvas, text string) {
	t.Helper()
	for _, r := range text {
		focused(t, c).TypedRune(r)
	}
}

// Key presses keys one after the other as a window would: Tab moves the
// keyboard on unless the focused object wants it.
func Key(t testing.TB, c fyne.Canvas, names ...fyne.KeyName) {
	t.Helper()
	for _, name := range names {
		if tabbable, ok := c.Focused().(fyne.Tabbable); name == fyne.KeyTab && (!ok || !tabbable.AcceptsTab()) {
			c.FocusNext()
			continue
		}
		focused(t, c).TypedKey(&fyne.KeyEvent{Name: name})
	}
}

// Shortcut gives a shortcut to what has the keyboard.
func Shortcut(t testing.TB, c fyne.Canvas, s fyne.Shortcut) {
	t.Helper()
	o, ok := focused(t, c).(fyne.Shortcutable)
	if !ok {
		t.Fatalf("%T takes no shortcuts", c.Focused())
	}
	o.TypedShortcut(s)
}

// Paste pastes text into what has the keyboard.
func Paste(t testing.TB, c fyne.Canvas, text string) {
	t.Helper()
	Shortcut(t, c, &fyne.ShortcutPaste{Clipboard: &Clipboard{Text: text}})
}

// Clipboard is a clipboard of its own.
type Clipboard struct{ Text string }

// Content returns what is on it.
func (c *Clipboard) Content() string { return c.Text }

// SetContent puts text on it.
func (c *Clipboard) SetContent(text string) { c.Text = text }

func focused(t testing.TB, c fyne.Canvas) fyne.Focusable {
	t.Helper()
	f := c.Focused()
	if f == nil {
		t.Fatal("nothing has the keyboard")
	}
	return f
}
