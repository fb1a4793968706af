package widgets

import (
	"image"
	"image/color"
	"image/draw"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/theme"

	"weirkeeper/app/apptest"
	"weirkeeper/app/look"
)

func TestMarkOf(t *testing.T) {
	cases := []struct {
		word, sure int
		stale      bool
		want       MarkKind
	}{
		{0, 2, false, MarkNone}, {0, 2, true, MarkNone}, {4, 2, false, MarkNone},
		{1, 2, false, MarkBelowFirm}, {1, 1, false, MarkBelowLikely}, {1, 0, false, MarkUnsure}, {1, 2, true, MarkStale},
		{2, 2, false, MarkWithinFirm}, {2, 1, false, MarkWithinLikely}, {2, 0, false, MarkUnsure},
		{3, 2, false, MarkAboveFirm}, {3, 1, false, MarkAboveLikely}, {3, 1, true, MarkStale},
	}
	for _, c := range cases {
		if got := MarkOf(c.word, c.sure, c.stale); got != c.want {
			t.Errorf("word %d, sure %d, stale %v: %v (%s), want %v (%s)", c.word, c.sure, c.stale, got, got.Word(), c.want, c.want.Word())
		}
	}
}

// Every mark has a word of its own, and a shape of its own without its colour.
func TestMarksDifferInGrey(t *testing.T) {
	words, shapes := map[string]bool{}, map[string]bool{}
	for k := MarkBelowFirm; k <= MarkStale; k++ {
		img := markImage(k, color.Black, 12, 12).(*image.NRGBA)
		if k.Word() == "" || words[k.Word()] || shapes[string(img.Pix)] {
			t.Errorf("mark %d has no word or shape of its own (%q)", k, k.Word())
		}
		words[k.Word()], shapes[string(img.Pix)] = true, true
	}
	if MarkNone.Word() != "" {
		t.Errorf("no mark says %q", MarkNone.Word())
	}
}

func ink(img image.Image) (sum float64) {
	b := img.Bounds()
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			_, _, _, a := img.At(x, y).RGBA()
			sum += float64(a) / 0xffff
		}
	}
	return sum
}

func TestMarksPointWhereTheValueLies(t *testing.T) {
	halves := func(k MarkKind) (top, bottom float64) {
		img := markImage(k, color.Black, 48, 48).(*image.NRGBA)
		return ink(img.SubImage(image.Rect(0, 0, 48, 24))), ink(img.SubImage(image.Rect(0, 24, 48, 48)))
	}
	if top, bottom := halves(MarkBelowFirm); top < 1.5*bottom {
		t.Errorf("below: ink %v over %v, want it wide on top", top, bottom)
	}
	if top, bottom := halves(MarkAboveFirm); bottom < 1.5*top {
		t.Errorf("above: ink %v over %v, want it wide at the foot", top, bottom)
	}
	firm, likely := ink(markImage(MarkAboveFirm, color.Black, 48, 48)), ink(markImage(MarkAboveLikely, color.Black, 48, 48))
	if likely > 0.75*firm {
		t.Errorf("a likely mark has ink %v of %v: it is no outline", likely, firm)
	}
}

// onGround lays pictures side by side on the ground of the theme.
func onGround(images []image.Image) image.Image {
	width, height := 0, 0
	for _, img := range images {
		width += img.Bounds().Dx() + 4
		height = max(height, img.Bounds().Dy()+4)
	}
	out := image.NewNRGBA(image.Rect(0, 0, width, height))
	draw.Draw(out, out.Bounds(), image.NewUniform(look.Color(look.Background)), image.Point{}, draw.Src)
	x := 2
	for _, img := range images {
		draw.Draw(out, image.Rect(x, 2, x+img.Bounds().Dx(), 2+img.Bounds().Dy()), img, image.Point{}, draw.Over)
		x += img.Bounds().Dx() + 4
	}
	return out
}

func TestMarksAndGaugesGolden(t *testing.T) {
	gauges := []GaugeValue{
		{400, 420, 440, 421, 3}, {400, 420, 440, 388, 6}, {400, 420, 440, 447, 4}, {400, 420, 440, 900, 4}, {400, 420, 440, 100, 4},
		{400, 0, 440, 405, 12}, {0, 0, 0, 5, 1},
	}
	for name, variant := range map[string]fyne.ThemeVariant{"light": theme.VariantLight, "dark": theme.VariantDark} {
		t.Run(name, func(t *testing.T) {
			apptest.WindowIn(t, variant, NewLine("", "", false), 10, 10)
			var images []image.Image
			for _, size := range []int{12, 24} {
				for k := MarkBelowFirm; k <= markSortedDown; k++ {
					images = append(images, markImage(k, look.Color(k.ColorName()), size, size))
				}
			}
			apptest.Golden(t, "marks-"+name+".png", onGround(images), 0.02)
			images = nil
			for _, g := range gauges {
				images = append(images, gaugeImage(g, 90, gaugeHeight, 1), gaugeImage(g, 180, 2*gaugeHeight, 2))
			}
			apptest.Golden(t, "gauges-"+name+".png", onGround(images), 0.02)
		})
	}
}

func TestGaugePlace(t *testing.T) {
	g := GaugeValue{Low: 400, Aim: 420, High: 440}
	low, aim, high := g.place(400), g.place(420), g.place(440)
	if aim != 0.5 || low >= aim || high <= aim || low+high < 0.999 || low+high > 1.001 {
		t.Errorf("band at %v, %v, %v: want it in the middle", low, aim, high)
	}
	if g.place(-1e9) != 0 || g.place(1e9) != 1 {
		t.Error("a value beyond the rule does not stay at its end")
	}
	for name, want := range map[fyne.ThemeColorName]float64{look.Below: 399, look.Text: 400, look.Above: 441} {
		g.Value = want
		if got := g.ColorName(); got != name {
			t.Errorf("%v is drawn in %s, want %s", want, got, name)
		}
	}
}
