package widgets

import (
	"fmt"
	"image"
	"image/color"
	"reflect"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/driver/software"
	"fyne.io/fyne/v2/test"

	"weirkeeper/app/apptest"
)

var firstOfMarch = time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)

// tenDays is a picture of ten days with a point at each noon.
type tenDays struct{ drawn *[]Frame }

func (p tenDays) Draw(f Frame) image.Image {
	*p.drawn = append(*p.drawn, f)
	return image.NewUniform(color.White)
}

func (tenDays) Span() (from, to time.Time) { return firstOfMarch, firstOfMarch.AddDate(0, 0, 10) }

func (tenDays) place(f Frame, day int) (float32, bool) {
	at := firstOfMarch.AddDate(0, 0, day).Add(12 * time.Hour)
	x := float32(at.Sub(f.From)) / float32(f.To.Sub(f.From)) * float32(f.W) / float32(f.Scale)
	return x, day >= 0 && day < 10 && !at.Before(f.From) && !at.After(f.To)
}

func (p tenDays) Near(f Frame, x, _ float32) (Spot, bool) {
	for day := range 10 {
		if at, ok := p.place(f, day); ok && at > x-10 && at < x+10 {
			return Spot{at, 50, []string{fmt.Sprint("day ", day)}}, true
		}
	}
	return Spot{}, false
}

func (p tenDays) Next(f Frame, x, _ float32, by int) (Spot, bool) {
	for n := range 10 {
		day := n
		if by < 0 {
			day = 9 - n
		}
		if at, ok := p.place(f, day); ok && (at-x)*float32(by) > 0.1 {
			return Spot{at, 50, []string{fmt.Sprint("day ", day)}}, true
		}
	}
	return Spot{}, false
}

func showTenDays(t *testing.T) (v *ChartView, w fyne.Window, drawn *[]Frame) {
	t.Helper()
	drawn = &[]Frame{}
	v = NewChartView()
	v.Modifiers = func() fyne.KeyModifier { return 0 }
	w = apptest.Window(t, v, 300, 200)
	w.Canvas().(software.WindowlessCanvas).SetScale(2)
	v.SetPicture(tenDays{drawn})
	w.Canvas().Capture()
	return v, w, drawn
}

// The picture is drawn at the window's pixels, once, until something changes.
func TestChartIsDrawnAtDevicePixels(t *testing.T) {
	v, w, drawn := showTenDays(t)
	if len(*drawn) == 0 || (*drawn)[0].W != 600 || (*drawn)[0].H != 400 || (*drawn)[0].Scale != 2 {
		t.Fatalf("drawn %+v", *drawn)
	}
	n := len(*drawn)
	v.MouseMoved(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: fyne.NewPos(284, 20)}})
	if !reflect.DeepEqual(v.Said(), []string{"day 9"}) {
		t.Fatalf("the readout says %q", v.Said())
	}
	if right := v.box.Position().X + v.box.Size().Width; right > 300 || v.box.Position().Y < 0 {
		t.Errorf("the readout reaches %v and begins at %v", right, v.box.Position().Y)
	}
	w.Canvas().Capture()
	if len(*drawn) != n {
		t.Error("the readout draws the chart again")
	}
	v.MouseOut()
	if v.Said() != nil {
		t.Error("the readout stays")
	}
	v.SetPicture(tenDays{drawn})
	w.Canvas().Capture()
	if len(*drawn) != n+1 {
		t.Error("another picture is not drawn")
	}
}

// While a picture is being drawn elsewhere the view goes on; what changed
// meanwhile is drawn next.
func TestChartIsDrawnOffTheWindow(t *testing.T) {
	drawn := &[]Frame{}
	v := NewChartView()
	var works, dones []func()
	v.Run = func(work, done func()) { works, dones = append(works, work), append(dones, done) }
	w := apptest.Window(t, v, 300, 200)
	v.SetPicture(tenDays{drawn})
	w.Canvas().Capture()
	w.Canvas().Capture()
	if len(works) != 1 || len(*drawn) != 0 {
		t.Fatalf("%d drawings begun, %d drawn", len(works), len(*drawn))
	}
	v.zoom(zoomStep, 0.5)
	works[0]()
	dones[0]()
	w.Canvas().Capture()
	if len(works) != 2 {
		t.Fatalf("%d drawings begun after a zoom", len(works))
	}
	works[1]()
	if f := (*drawn)[1]; !f.From.After(firstOfMarch) {
		t.Errorf("drawn %+v", f)
	}
}

func TestChartKeys(t *testing.T) {
	v, w, _ := showTenDays(t)
	w.Canvas().Focus(v)
	key := func(names ...fyne.KeyName) string {
		apptest.Key(t, w.Canvas(), names...)
		return fmt.Sprint(v.Said())
	}
	for _, c := range []struct {
		keys []fyne.KeyName
		want string
	}{
		{[]fyne.KeyName{fyne.KeyLeft}, "[day 9]"}, {[]fyne.KeyName{fyne.KeyLeft, fyne.KeyLeft}, "[day 7]"}, {[]fyne.KeyName{fyne.KeyRight},
			"[day 8]"},
		{[]fyne.KeyName{fyne.KeyHome}, "[day 0]"}, {[]fyne.KeyName{fyne.KeyLeft}, "[day 0]"}, {[]fyne.KeyName{fyne.KeyEnd},
			"[day 9]"}, {[]fyne.KeyName{fyne.KeyEscape}, "[]"},
	} {
		if got := key(c.keys...); got != c.want {
			t.Errorf("%v: the readout says %s, want %s", c.keys, got, c.want)
		}
	}
}

func TestChartZoomAndPan(t *testing.T) {
	v, w, drawn := showTenDays(t)
	w.Canvas().Focus(v)
	stretch := func() string {
		w.Canvas().Capture()
		f := (*drawn)[len(*drawn)-1]
		if from, to := v.Stretch(); from != f.From || to != f.To {
			t.Errorf("it draws %v to %v and says %v to %v", f.From, f.To, from, to)
		}
		return fmt.Sprintf("%.1f to %.1f", f.From.Sub(firstOfMarch).Hours()/24, f.To.Sub(firstOfMarch).Hours()/24)
	}
	apptest.Type(t, w.Canvas(), "+")
	if got := stretch(); got != "2.0 to 8.0" {
		t.Errorf("zoomed to %s", got)
	}
	apptest.Key(t, w.Canvas(), fyne.KeyPageDown)
	if got := stretch(); got != "4.0 to 10.0" {
		t.Errorf("moved to %s", got)
	}
	v.Modifiers = func() fyne.KeyModifier { return fyne.KeyModifierShift }
	apptest.Key(t, w.Canvas(), fyne.KeyLeft)
	if got := stretch(); got != "2.5 to 8.5" {
		t.Errorf("moved back to %s", got)
	}
	test.Scroll(w.Canvas(), fyne.NewPos(0, 50), 0, 10)
	if got := stretch(); got != "2.5 to 6.1" {
		t.Errorf("the wheel zooms to %s", got)
	}
	v.Dragged(&fyne.DragEvent{Dragged: fyne.NewDelta(-300, 0)})
	if got := stretch(); got != "6.1 to 9.7" {
		t.Errorf("dragged to %s", got)
	}
	apptest.Type(t, w.Canvas(), "0")
	if got := stretch(); got != "0.0 to 10.0" {
		t.Errorf("whole again: %s", got)
	}
	for range 40 {
		apptest.Type(t, w.Canvas(), "+")
	}
	if from, to := v.Stretch(); to.Sub(from) != leastShown {
		t.Errorf("zoomed to %v", to.Sub(from))
	}
}
