package shell

import (
	"fmt"
	"image"
	"math"
	"testing"

	"fyne.io/fyne/v2"

	"weirkeeper/app/apptest"
	"weirkeeper/app/look"
	"weirkeeper/app/tour"
)

// Tab leads to everything that the keyboard can use, on every screen and in every
// dialog, and one sees where the keyboard is.
func TestTabReachesEverythingAndIsSeen(t *testing.T) {
	store := demoStore(t)
	stops, err := tour.Stops(t.Context(), store)
	if err != nil {
		t.Fatal(err)
	}
	// Large things in a small window, so that most is out of sight at first.
	w := show(t, tour.Variant{Size: tour.Small, Theme: look.AlwaysDark, Density: look.Comfortable, Scale: 1, Pseudo: true}, store)
	for _, s := range stops {
		visit(t, w, s)
		t.Run(s.Name, func(t *testing.T) { walkFocus(t, w.win.Canvas()) })
	}
}

// walkFocus presses Tab until it comes round.
func walkFocus(t *testing.T, c fyne.Canvas) {
	wanted := map[fyne.Focusable]string{}
	apptest.Each(apptest.Top(c), func(o fyne.CanvasObject) {
		f, ok := o.(fyne.Focusable)
		if d, can := o.(fyne.Disableable); ok && !(can && d.Disabled()) {
			wanted[f] = fmt.Sprintf("%T %s", f, labelOf(o))
		}
	})
	c.Unfocus()
	before := c.Capture()
	var first fyne.Focusable
	for range 2 * len(wanted) {
		c.FocusNext()
		f := c.Focused()
		if f == first || f == nil {
			break
		}
		if first == nil {
			first = f
		}
		now := c.Capture()
		o := f.(fyne.CanvasObject)
		if changed(before, now, o) < 20 { // as where a scroll brings one field to the place of another
			c.Unfocus()
			before = c.Capture()
			c.Focus(f)
		}
		if n := changed(before, now, o); n < 20 {
			t.Errorf("%T %s has the keyboard, %d pixels show it", f, labelOf(o), n)
		}
		before = now
		delete(wanted, f)
	}
	for _, name := range wanted {
		t.Errorf("Tab does not lead to %s", name)
	}
}

func labelOf(o fyne.CanvasObject) string {
	if b, ok := o.(interface{ Label() string }); ok {
		return b.Label()
	}
	return ""
}

// changed counts the pixels of an object's place that differ.
func changed(a, b image.Image, o fyne.CanvasObject) int {
	d := fyne.CurrentApp().Driver()
	at, scale := d.AbsolutePositionForObject(o), d.CanvasForObject(o).Scale()
	place := image.Rect(
		int(at.X*scale),
		int(at.Y*scale),
		int(math.Ceil(float64((at.X+o.Size().Width)*scale))),
		int(math.Ceil(float64((at.Y+o.Size().Height)*scale))),
	).Intersect(
		a.Bounds(),
	)
	n := 0
	for y := place.Min.Y; y < place.Max.Y; y++ {
		for x := place.Min.X; x < place.Max.X; x++ {
			if a.At(x, y) != b.At(x, y) {
				n++
			}
		}
	}
	return n
}
