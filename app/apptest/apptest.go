// Package apptest helps to test screens without a display: a fixed clock,
// keys, pictures and their comparison. The runner whose work is drained is
// session.Drained.
package apptest

import (
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/theme"

	"weirkeeper/app/look"
)

// Noon is the time of the fixed clock: 10 March 2026, 12:00 UTC.
var Noon = time.Date(2026, 3, 10, 12, 0, 0, 0, time.UTC)

// Clock always tells Noon.
func Clock() time.Time { return Noon }

// ClockAt returns a clock that always tells t.
func ClockAt(t time.Time) func() time.Time { return func() time.Time { return t } }

// Window starts a test program in the light theme and shows content in a
// window of that size. One window a test: the test driver knows only the
// newest.
func Window(t testing.TB, content fyne.CanvasObject, width, height float32) fyne.Window {
	t.Helper()
	return WindowIn(t, theme.VariantLight, content, width, height)
}

// WindowIn is Window in a variant of the theme.
func WindowIn(t testing.TB, variant fyne.ThemeVariant, content fyne.CanvasObject, width, height float32) fyne.Window {
	t.Helper()
	a := test.NewTempApp(t)
	a.Settings().SetTheme(look.New(variant))
	w := test.NewTempWindow(t, content)
	w.SetPadded(false)
	w.Resize(fyne.NewSize(width, height))
	return w
}
