package look

import (
	"fyne.io/fyne/v2"

	"weirkeeper/app/crash"
)

// ReadFonts reads the fonts of the theme while something else is done; the
// channel is closed when they are there. Until then no text may be measured or
// drawn.
func ReadFonts() <-chan struct{} {
	there := make(chan struct{})
	crash.Go(fyne.Do, func() {
		defer close(there)
		for _, bold := range []bool{false, true} {
			fyne.MeasureText("x", TextSize(), fyne.TextStyle{Bold: bold})
		}
	})
	return there
}
