package shell

import (
	"runtime"

	"fyne.io/fyne/v2"

	"weirkeeper/app/look"
)

// nativeMenus tells whether the desktop draws the menus, and their keys, itself.
const nativeMenus = runtime.GOOS == "darwin"

// silentKeys is a shortcut that a menu does not write: Fyne writes keys in a fifth of
// the text's ink, which can hardly be read. They are part of the label instead.
type silentKeys struct{ fyne.Shortcut }

// silent returns a shortcut that a menu does not write; nil stays nil.
func silent(s fyne.Shortcut) fyne.Shortcut {
	if s == nil {
		return nil
	}
	return silentKeys{s}
}

// keysGap is the least room between a label and its keys.
const keysGap = 16

// keysColumn is where the keys of a menu begin, behind its longest label.
func keysColumn(commands []command) (x float32) {
	for _, c := range commands {
		x = max(x, labelWidth(c.label))
	}
	return x + keysGap
}

// withKeys writes keys behind a label, at the first tab stop after column.
func withKeys(label, keys string, column float32) string {
	if keys == "" {
		return label
	}
	label += "\t"
	for labelWidth(label) < column {
		label += "\t"
	}
	return label + keys
}

func labelWidth(text string) float32 {
	return fyne.MeasureText(text, look.TextSize(), fyne.TextStyle{}).Width
}
