package widgets

import (
	"runtime"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"

	"weirkeeper/app/say"
)

// ConfirmDialog presses the main button of the dialog that is in front on a
// window; false: there is none, or a list or calendar lies over it.
func ConfirmDialog(win fyne.Window) bool { return confirmOn(win.Canvas()) }

func confirmOn(c fyne.Canvas) bool {
	box := openDialog(c)
	if box == nil || box.confirm == nil || box.overlay != c.Overlays().Top() {
		return false
	}
	box.accept()
	return true
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
