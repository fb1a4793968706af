package widgets_test

import (
	"image/color"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/theme"

	"weirkeeper/app/apptest"
	"weirkeeper/app/widgets"
)

// Sides that stack stand beside one another where both have room, else one above the
// other, each within the window.
func TestSidesStackWhereThereIsNoRoom(t *testing.T) {
	wide := func() *canvas.Rectangle {
		r := canvas.NewRectangle(color.Black)
		r.SetMinSize(fyne.NewSize(300, 10))
		return r
	}
	for _, c := range []struct {
		width, least float32
		beside       bool
	}{{1000, 200, true}, {500, 200, false}, {1000, 480, true}, {1000, 500, false}} {
		left, right := wide(), wide()
		apptest.WindowIn(t, theme.VariantLight, widgets.NewSides(left, right, 0.5).Stacking(c.least), c.width, 600)
		at := func(o fyne.CanvasObject) fyne.Position {
			return fyne.CurrentApp().Driver().AbsolutePositionForObject(o)
		}
		if beside := at(right).X > at(left).X && at(right).Y == at(left).Y; beside != c.beside {
			t.Errorf("at %g wide they stand at %v and %v", c.width, at(left), at(right))
		}
		if end := at(right).X + right.Size().Width; end > c.width+0.5 {
			t.Errorf("at %g wide the right one ends at %g", c.width, end)
		}
		if !c.beside && left.Size().Height > right.Size().Height+1 {
			t.Errorf("they are %g and %g high", left.Size().Height, right.Size().Height)
		}
	}
}

// In a pair the second keeps room enough for a number, however narrow the field is.
func TestPairKeepsRoomForItsNumber(t *testing.T) {
	choice := widgets.NewChoice([]widgets.Option[int]{{Value: 1, Name: "A water with a long name"}}, 1)
	number := widgets.NewNumberEntryOf(3)
	pair := widgets.NewPair(choice, number, 0.9)
	apptest.WindowIn(t, theme.VariantLight, pair, 260, 60)
	if number.Size().Width < 90 || choice.Size().Width < 100 {
		t.Errorf("they are %g and %g wide", choice.Size().Width, number.Size().Width)
	}
	if pair.FocusTarget() != fyne.Focusable(choice) {
		t.Error("the first does not have the keyboard")
	}
}
