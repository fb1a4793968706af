package widgets

import (
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/test"

	"weirkeeper/app/apptest"
)

func TestCalendarKeys(t *testing.T) {
	var chosen time.Time
	left := false
	c := NewCalendar(time.Date(2026, 3, 31, 0, 0, 0, 0, time.UTC), apptest.Noon, func(day time.Time) { chosen = day })
	c.OnLeft = func() { left = true }
	w := apptest.Window(t, container.NewCenter(c), 400, 400)
	w.Canvas().Focus(c)
	for _, step := range []struct {
		key  fyne.KeyName
		want string
	}{
		{fyne.KeyPageUp, "2026-02-28"}, {fyne.KeyRight, "2026-03-01"}, {fyne.KeyUp, "2026-02-22"}, {fyne.KeyDown,
			"2026-03-01"}, {fyne.KeyLeft, "2026-02-28"},
		{fyne.KeyPageDown, "2026-03-28"}, {fyne.KeyHome, "2026-03-10"},
	} {
		apptest.Key(t, w.Canvas(), step.key)
		if got := c.day.Format(time.DateOnly); got != step.want {
			t.Errorf("%s leads to %s, want %s", step.key, got, step.want)
		}
	}
	apptest.Key(t, w.Canvas(), fyne.KeyReturn, fyne.KeyEscape)
	if chosen.Format(time.DateOnly) != "2026-03-10" || !left {
		t.Errorf("chosen %v, left %v", chosen, left)
	}
}

func TestCalendarBeginsWeeksAsAsked(t *testing.T) {
	t.Cleanup(func() { BeginWeeksOn(time.Monday) })
	for first, corner := range map[time.Weekday]string{time.Monday: "2026-02-23", time.Sunday: "2026-03-01", time.Saturday: "2026-02-28"} {
		BeginWeeksOn(first)
		c := NewCalendar(apptest.Noon, apptest.Noon, nil)
		apptest.Window(t, c, 280, 320)
		if got := c.first().Format(time.DateOnly); got != corner || c.texts[0].Text != first.String()[:3] {
			t.Errorf("weeks from %s begin on %s under %q", first, got, c.texts[0].Text)
		}
		var tapped time.Time
		c.OnChosen = func(day time.Time) { tapped = day }
		test.TapAt(c, fyne.NewPos(5, c.Size().Height/8*2+5))
		if tapped.Format(time.DateOnly) != corner {
			t.Errorf("the upper left day is %v", tapped)
		}
	}
}

// F4 opens the calendar of a field; what is chosen goes into it, the time of day
// stays, and the keyboard comes back.
func TestCalendarOfAField(t *testing.T) {
	e := NewDateTimeEntry(apptest.Noon, time.UTC, apptest.Clock)
	w := apptest.Window(t, container.NewVBox(e), 400, 500)
	w.Canvas().Focus(e)
	apptest.Key(t, w.Canvas(), fyne.KeyF4, fyne.KeyDown, fyne.KeyReturn)
	if e.Text != "17 Mar 2026, 12:00" || w.Canvas().Focused() != fyne.Focusable(e) || w.Canvas().Overlays().Top() != nil {
		t.Errorf("%q, the keyboard is on %T", e.Text, w.Canvas().Focused())
	}
}
