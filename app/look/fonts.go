package look

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/theme"

	"weirkeeper/app/crash"
	"weirkeeper/assets/fonts"
)

var (
	regular = inPlaceOf(theme.DefaultTextFont(), "weirkeeper-regular.ttf", fonts.Regular)
	bold    = inPlaceOf(theme.DefaultTextBoldFont(), "weirkeeper-bold.ttf", fonts.Bold)
)

// inPlaceOf puts a face into the place of Fyne's copy of it. Fyne reads its own copy
// beside each face of a theme, to look for signs that the face lacks; ours has all
// signs of that copy, which need then be neither read nor kept.
func inPlaceOf(copied fyne.Resource, name string, face []byte) fyne.Resource {
	if static, ok := copied.(*fyne.StaticResource); ok {
		static.StaticName, static.StaticContent = name, face
		return static
	}
	return fyne.NewStaticResource(name, face)
}

// Font implements fyne.Theme: the face of charts and reports, whose digits have equal
// width, and which has the minus and the arrows that Fyne's copy of it lacks.
func (t *Theme) Font(style fyne.TextStyle) fyne.Resource {
	switch {
	case style.Monospace, style.Italic, style.Symbol:
		return theme.DefaultTheme().Font(style)
	case style.Bold:
		return bold
	}
	return regular
}

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
