package widgets

import (
	"runtime"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"

	"weirkeeper/app/say"
)

// ConfirmDialog presses the main button of the dialog that is in front on a
// window; false: there is none, nobody asked for it, or a list or calendar lies over it.
func ConfirmDialog(win fyne.Window) bool { return confirmOn(win.Canvas()) }

func confirmOn(c fyne.Canvas) bool {
	box := openDialog(c)
	if box == nil || box.confirm == nil || box.overlay != c.Overlays().Top() || box.over != nil {
		return false
	}
	box.accept()
	return true
}

// escapes are what Esc does in a window when nothing else wants it. It is used on the
// UI goroutine only.
var escapes = map[fyne.Canvas]func() bool{}

// OnEscape lets Esc do something in the whole window, unless a dialog is open or what
// has the keyboard uses it; do tells whether there was anything to do.
func OnEscape(win fyne.Window, do func() bool) { escapes[win.Canvas()] = do }

func escaped(c fyne.Canvas) bool {
	do := escapes[c]
	return do != nil && c.Overlays().Top() == nil && do()
}

// confirms tells whether a shortcut is Ctrl+Enter, which confirms where Enter
// itself begins a new line.
func confirms(s fyne.Shortcut) bool {
	c, ok := s.(*desktop.CustomShortcut)
	return ok && (c.KeyName == fyne.KeyReturn || c.KeyName == fyne.KeyEnter) && c.Modifier == fyne.KeyModifierShortcutDefault
}

// MainModifier names the key that is held for shortcuts, as the keyboard shows it.
func MainModifier() string {
	if runtime.GOOS == "darwin" {
		return say.L("Cmd")
	}
	return say.L("Ctrl")
}
