package exhibit

import (
	"image"
	"reflect"
	"testing"
	"testing/synctest"
	"time"

	"fyne.io/fyne/v2/theme"

	"weirkeeper/app/apptest"
	"weirkeeper/app/widgets"
)

// A page that comes back after it was away for long is drawn as before. Fyne drops
// what draws a widget that was not seen for a minute, and makes it anew without
// laying it out.
func TestPagesComeBackWhole(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		w := apptest.WindowIn(t, theme.VariantLight, widgets.NewWrapped("another page"), 900, 600)
		other := w.Content()
		for _, p := range Pages() {
			page := p.Show()
			shown := func() image.Image {
				w.SetContent(page)
				apptest.Settle(w)
				return w.Canvas().Capture()
			}
			before := shown()
			w.SetContent(other)
			for range 3 {
				time.Sleep(time.Minute + time.Second)
				w.Canvas().Capture()
			}
			if after := shown(); !reflect.DeepEqual(before, after) {
				t.Errorf("%s is drawn otherwise when it comes back", p.Title)
			}
		}
	})
}
