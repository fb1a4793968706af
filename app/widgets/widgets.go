// Package widgets holds the parts that screens are made of: the number grid,
// the list table, marks and gauges, fields and forms, notices and dialogs.
// They know plain values only, nothing of tanks, tasks or the ledger.
//
// Like all of Fyne, they belong to the UI goroutine.
package widgets

import (
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
)

// Action is a labelled thing to do, shown as a button.
type Action struct {
	Text string
	Do   func()
}

// Fault is what is wrong with one field and what to do about it.
type Fault struct {
	Field   string
	Problem string
	Remedy  string
}

// Text returns the fault as one sentence or two.
func (f Fault) Text() string {
	problem := strings.TrimRight(f.Problem, ".")
	if f.Remedy == "" {
		return problem + "."
	}
	return problem + ": " + strings.TrimRight(f.Remedy, ".") + "."
}

// FaultsFrom turns faults of another kind into those of a form.
func FaultsFrom[F any](faults []F, one func(F) Fault) []Fault {
	out := make([]Fault, len(faults))
	for i, f := range faults {
		out[i] = one(f)
	}
	return out
}

// shorten returns text cut to width with an ellipsis, as it is when it fits.
func shorten(text string, size, width float32, style fyne.TextStyle) string {
	if text == "" || fyne.MeasureText(text, size, style).Width <= width {
		return text
	}
	runes := []rune(text)
	low, high := 0, len(runes)
	for low < high {
		mid := (low + high + 1) / 2
		if fyne.MeasureText(string(runes[:mid])+"…", size, style).Width <= width {
			low = mid
		} else {
			high = mid - 1
		}
	}
	if low == 0 {
		return ""
	}
	return strings.TrimRight(string(runes[:low]), " ") + "…"
}

// driverModifiers asks the window driver which modifier keys are down; a
// driver without a keyboard has none.
func driverModifiers() fyne.KeyModifier {
	if d, ok := fyne.CurrentApp().Driver().(desktop.Driver); ok {
		return d.CurrentKeyModifiers()
	}
	return 0
}

// IfShown returns f when box shows o, nil otherwise: only what is shown can
// have the keyboard.
func IfShown(box *fyne.Container, o fyne.CanvasObject, f fyne.Focusable) fyne.Focusable {
	if len(box.Objects) == 0 || box.Objects[0] != o {
		return nil
	}
	return f
}
