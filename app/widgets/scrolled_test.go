package widgets

import (
	"fmt"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/apptest"
)

func TestScrolledFollowsTheKeyboard(t *testing.T) {
	fields := make([]Field, 20)
	for i := range fields {
		fields[i] = Field{Name: fmt.Sprint(i), Label: fmt.Sprint(i), Input: NewTextEntry("")}
	}
	fields[19].Input = NewCheck("last", nil)
	form := NewForm(fields...)
	s := NewScrolled(form)
	below := NewSecondary("Below", nil)
	w := apptest.Window(t, container.NewBorder(nil, below, nil, nil, s), 400, 200)
	seen := func(o fyne.CanvasObject) bool {
		d := fyne.CurrentApp().Driver()
		y := d.AbsolutePositionForObject(o).Y - d.AbsolutePositionForObject(s).Y
		return y >= 0 && y+o.Size().Height <= s.Size().Height
	}
	for _, i := range []int{0, 3, 10, 19, 2} {
		input := fields[i].Input
		w.Canvas().Focus(input.(fyne.Focusable))
		if !seen(input) {
			t.Errorf("field %d is out of sight at %v", i, s.scroll.Offset)
		}
		if right := input.Position().X + input.Size().Width; right > s.Size().Width-scrollBarRoom {
			t.Errorf("field %d ends at %v, under the bar", i, right)
		}
	}
	before := s.scroll.Offset
	w.Canvas().Focus(below)
	if s.scroll.Offset != before {
		t.Errorf("a button outside scrolls it to %v", s.scroll.Offset)
	}
}

func TestPlaceHolderFits(t *testing.T) {
	e := NewTextEntry("")
	e.SetPlaceHolder("a place holder that is far too long for its entry")
	w := apptest.Window(t, container.NewWithoutLayout(e), 400, 100)
	e.Resize(fyne.NewSize(160, 30))
	if !strings.HasSuffix(e.PlaceHolder, "…") && !strings.HasSuffix(e.PlaceHolder, "...") ||
		fyne.MeasureText(e.PlaceHolder, 13, fyne.TextStyle{}).Width > 150 {
		t.Errorf("in 160 it says %q", e.PlaceHolder)
	}
	w.Canvas().Focus(e)
	apptest.Type(t, w.Canvas(), "x")
	e.Resize(fyne.NewSize(390, 30))
	if e.PlaceHolder != "a place holder that is far too long for its entry" || e.Text != "x" {
		t.Errorf("in 390 it says %q", e.PlaceHolder)
	}
}
