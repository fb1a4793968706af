package widgets

import (
	"image"
	"image/color"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/theme"

	"weirkeeper/app/apptest"
	"weirkeeper/app/look"
)

func TestBarGoesOnInTheNextLine(t *testing.T) {
	var buttons []fyne.CanvasObject
	for range 5 {
		buttons = append(buttons, NewSecondary("A button", nil))
	}
	bar := NewBar(buttons...)
	w := apptest.Window(t, container.NewVBox(bar, NewSecondary("under it", nil)), 600, 300)
	apptest.Settle(w)
	one := bar.Size().Height
	w.Resize(fyne.NewSize(200, 300))
	apptest.Settle(w)
	if two := bar.Size().Height; two < 2*one {
		t.Errorf("%v high at 600, %v at 200", one, two)
	}
	for i, b := range buttons {
		if right := b.Position().X + b.Size().Width; right > 200 {
			t.Errorf("button %d reaches %v", i, right)
		}
	}
	buttons[0].Hide()
	bar.Refresh()
	apptest.Settle(w)
	if buttons[1].Position() != fyne.NewPos(0, 0) {
		t.Errorf("a hidden button leaves a gap: the next is at %v", buttons[1].Position())
	}
}

func TestProgress(t *testing.T) {
	p := NewProgress()
	w := apptest.Window(t, container.NewHBox(p), 500, 60)
	if p.Visible() || p.Doing() != "" {
		t.Error("it shows before anything goes on")
	}
	stopped := 0
	p.Begin("Importing", func() { stopped++ })
	p.Set(0.42)
	apptest.Settle(w)
	if p.Doing() != "Importing" || p.percent.Text() != "42 %" || p.bar.Size().Width < 50 || p.bar.Size().Width > 51 {
		t.Errorf("%q %q, the bar is %v", p.Doing(), p.percent.Text(), p.bar.Size())
	}
	test.Tap(p.cancel)
	p.End()
	p.Stop()
	if stopped != 1 || p.Visible() {
		t.Errorf("stopped %d times, visible %v", stopped, p.Visible())
	}
	p.Begin("Backing up", nil)
	if p.cancel.Visible() || p.percent.Text() != "" {
		t.Error("work that cannot be stopped can")
	}
}

// Each two marks differ in grey, so that nothing is said by colour alone.
func TestMarksReadInGrey(t *testing.T) {
	kinds := []MarkKind{
		MarkBelowFirm,
		MarkBelowLikely,
		MarkWithinFirm,
		MarkWithinLikely,
		MarkAboveFirm,
		MarkAboveLikely,
		MarkUnsure,
		MarkStale,
	}
	for name, variant := range map[string]fyne.ThemeVariant{"light": theme.VariantLight, "dark": theme.VariantDark} {
		test.NewTempApp(t).Settings().SetTheme(look.New(variant))
		inGrey := func(k MarkKind) *image.Gray {
			img := markImage(k, look.Color(k.ColorName()), 24, 24)
			out := image.NewGray(img.Bounds())
			ground := color.GrayModel.Convert(look.Color(look.Background)).(color.Gray).Y
			for y := range 24 {
				for x := range 24 {
					c := color.NRGBAModel.Convert(img.At(x, y)).(color.NRGBA)
					ink := color.GrayModel.Convert(color.NRGBA{c.R, c.G, c.B, 255}).(color.Gray).Y
					out.SetGray(x, y, color.Gray{uint8((int(ink)*int(c.A) + int(ground)*(255-int(c.A))) / 255)})
				}
			}
			return out
		}
		for i, a := range kinds {
			for _, b := range kinds[i+1:] {
				first, second, differ := inGrey(a), inGrey(b), 0
				for n := range first.Pix {
					if d := int(first.Pix[n]) - int(second.Pix[n]); d > 60 || d < -60 {
						differ++
					}
				}
				if differ < 30 { // of 576 pixels
					t.Errorf("%s: %q and %q differ in %d pixels", name, a.Word(), b.Word(), differ)
				}
			}
		}
	}
}

// The gauge says in grey on which side of its band a value lies.
func TestGaugeReadsInGrey(t *testing.T) {
	test.NewTempApp(t).Settings().SetTheme(look.New(theme.VariantLight))
	darkest := func(value float64) int {
		img := gaugeImage(GaugeValue{Low: 400, Aim: 420, High: 440, Value: value, U: 1}, 200, 22, 2)
		best, at := 256, 0
		for x := range 200 {
			sum := 0
			for y := range 22 {
				c := color.NRGBAModel.Convert(img.At(x, y)).(color.NRGBA)
				sum += (255 - int(color.GrayModel.Convert(c).(color.Gray).Y)) * int(c.A) / 255
			}
			if 256-sum < best {
				best, at = 256-sum, x
			}
		}
		return at
	}
	if below, within, above := darkest(385), darkest(420), darkest(460); !(below < 60 && within > 80 && within < 120 && above > 140) {
		t.Errorf("the tick of a value stands at %d, %d and %d of 200", below, within, above)
	}
}

func TestSparkline(t *testing.T) {
	test.NewTempApp(t).Settings().SetTheme(look.New(theme.VariantLight))
	falling := Course{X: []float64{0, 0.5, 1}, Y: []float64{440, 420, 390}, Low: 400, High: 440}
	img := courseImage(falling, 120, 40, 2)
	inked := func(x0, x1, y0, y1 int) (n int) {
		for y := y0; y < y1; y++ {
			for x := x0; x < x1; x++ {
				c := color.NRGBAModel.Convert(img.At(x, y)).(color.NRGBA)
				if c.A > 128 && int(c.R)+int(c.G)+int(c.B) < 400 {
					n++
				}
			}
		}
		return n
	}
	if inked(0, 40, 0, 20) == 0 || inked(80, 120, 20, 40) == 0 || inked(0, 40, 28, 40) != 0 || inked(80, 120, 0, 12) != 0 {
		t.Error("a falling course does not fall")
	}
	for name, c := range map[string]Course{"none": {}, "one": {X: []float64{1}, Y: []float64{2}},
		"flat": {X: []float64{0, 1}, Y: []float64{3, 3}}, "uneven": {X: []float64{0, 1}, Y: []float64{3}}} {
		if got := courseImage(c, 60, 20, 1); got.Bounds().Dx() != 60 {
			t.Errorf("%s: %v", name, got.Bounds())
		}
	}
}

// What was typed into a dialog is dropped only by the second Esc.
func TestDialogGuardsWhatWasTyped(t *testing.T) {
	w := apptest.Window(t, container.NewVBox(NewSecondary("Behind", nil)), 500, 400)
	entry := NewTextEntry("F1")
	form := NewForm(
		Field{Name: "code", Label: "Code", Input: entry},
		Field{Name: "retired", Label: "Retired", Input: NewCheck("gone", nil)},
	)
	ShowForm(w, "Change F1", "Save", form, func() bool { return true })
	apptest.Type(t, w.Canvas(), "2")
	apptest.Key(t, w.Canvas(), fyne.KeyEscape)
	if !DialogOpen(w) {
		t.Fatal("the first Esc drops what was typed")
	}
	apptest.Key(t, w.Canvas(), fyne.KeyEscape)
	if DialogOpen(w) {
		t.Fatal("the second Esc keeps the dialog")
	}
	ShowForm(w, "Change F1", "Save", form, func() bool { return true })
	apptest.Key(t, w.Canvas(), fyne.KeyEscape)
	if DialogOpen(w) {
		t.Error("an untouched dialog asks")
	}
}

func TestOnKey(t *testing.T) {
	button := NewSecondary("Behind", nil)
	w := apptest.Window(t, container.NewVBox(button, NewTextEntry("")), 500, 400)
	pressed := 0
	OnKey(w, fyne.KeyF1, func() { pressed++ })
	w.Canvas().Focus(button)
	apptest.Key(t, w.Canvas(), fyne.KeyF1)
	w.Canvas().FocusNext()
	apptest.Key(t, w.Canvas(), fyne.KeyF1)
	w.Canvas().Unfocus()
	w.Canvas().OnTypedKey()(&fyne.KeyEvent{Name: fyne.KeyF1})
	if pressed != 3 {
		t.Errorf("F1 was heard %d times of 3", pressed)
	}
}
