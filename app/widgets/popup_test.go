package widgets

import (
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"pgregory.net/rapid"

	"weirkeeper/app/apptest"
)

func TestBesideField(t *testing.T) {
	window, field := fyne.NewSize(1024, 700), fyne.NewSize(96, 30)
	cases := []struct {
		name     string
		at       fyne.Position
		wish     fyne.Size
		want     fyne.Position
		wantSize fyne.Size
	}{
		{"under the field", fyne.NewPos(300, 100), fyne.NewSize(240, 200), fyne.NewPos(300, 130), fyne.NewSize(240, 200)},
		{"shifted at the right edge", fyne.NewPos(900, 4), fyne.NewSize(240, 200), fyne.NewPos(780, 34), fyne.NewSize(240, 200)},
		{"over the field at the foot", fyne.NewPos(300, 600), fyne.NewSize(240, 200), fyne.NewPos(300, 400), fyne.NewSize(240, 200)},
		{"as high as there is room under it", fyne.NewPos(300, 100), fyne.NewSize(240, 900), fyne.NewPos(300, 130), fyne.NewSize(240, 566)},
		{"as high as there is room over it", fyne.NewPos(300, 500), fyne.NewSize(240, 900), fyne.NewPos(300, 4), fyne.NewSize(240, 496)},
		{"wider than the window", fyne.NewPos(300, 100), fyne.NewSize(2000, 200), fyne.NewPos(4, 130), fyne.NewSize(1016, 200)},
	}
	for _, c := range cases {
		if got, size := besideField(c.at, field, c.wish, window); got != c.want || size != c.wantSize {
			t.Errorf("%s: %v of %v, want %v of %v", c.name, got, size, c.want, c.wantSize)
		}
	}
}

// Wherever the field stands, its pop-up lies in the window, beside the field.
func TestBesideFieldStaysInTheWindow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		whole := func(most int, name string) float32 { return float32(rapid.IntRange(1, most).Draw(t, name)) }
		window := fyne.NewSize(200+whole(1800, "width"), 200+whole(1000, "height"))
		field := fyne.NewSize(whole(150, "field width"), whole(40, "field height"))
		at := fyne.NewPos(whole(int(window.Width-field.Width), "x"), whole(int(window.Height-field.Height), "y"))
		p, size := besideField(at, field, fyne.NewSize(whole(400, "wide"), whole(900, "high")), window)
		if p.X < 0 || p.X+size.Width > window.Width || p.Y < 0 || p.Y+size.Height > window.Height {
			t.Fatalf("%v of %v in a window of %v", p, size, window)
		}
		if p.Y < at.Y+field.Height && p.Y+size.Height > at.Y {
			t.Fatalf("%v of %v lies over the field at %v", p, size, at)
		}
	})
}

// The lists of choices and the calendars of dates open inside the window, in each
// of its corners.
func TestPopUpsStayInTheWindow(t *testing.T) {
	var names []string
	for range 40 {
		names = append(names, "A name in the list "+string(rune('a'+len(names))))
	}
	choice := NewChoice(named(names...), "")
	day := NewDateEntry(apptest.Noon, time.UTC, apptest.Clock)
	place := container.NewWithoutLayout(choice, day)
	w := apptest.Window(t, place, 640, 480)
	for _, corner := range []fyne.Position{{X: 0, Y: 0}, {X: 540, Y: 0}, {X: 0, Y: 450}, {X: 540, Y: 450}, {X: 540, Y: 240}} {
		for name, open := range map[string]func(){"choice": func() { choice.open("") }, "calendar": day.openCalendar} {
			choice.Resize(fyne.NewSize(96, 30))
			choice.Move(corner)
			day.Resize(fyne.NewSize(96, 30))
			day.Move(corner)
			open()
			overlay := w.Canvas().Overlays().Top()
			for _, s := range apptest.Texts(w) {
				if s.At.X < 0 || s.At.Y < 0 || s.At.X+s.At.W > 640 || s.Clip.Y+s.Clip.H > 480 || (s.At.Y+s.At.H > 480 && !s.Scrolls) {
					t.Errorf("%s of a field at %v: %q stands at %v", name, corner, s.Text, s.At)
				}
			}
			w.Canvas().Overlays().Remove(overlay)
		}
	}
}
