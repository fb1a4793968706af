package chart

import (
	"bytes"
	"encoding/xml"
	"errors"
	"image/color"
	"io"
	"math"
	"testing"
	"time"

	"weirkeeper/app/apptest/wcag"
	"weirkeeper/assets/words"
)

func in(zone, text string) time.Time {
	loc, err := time.LoadLocation(zone)
	if err != nil {
		panic(err)
	}
	t, err := time.ParseInLocation("2006-01-02 15:04", text, loc)
	if err != nil {
		panic(err)
	}
	return t
}

func TestTimeTicks(t *testing.T) {
	cases := map[string]struct {
		from, to string
		most     int
		want     []string // "label/second"
	}{
		"half a year": {"2025-10-15 00:00", "2026-04-10 00:00", 8,
			[]string{"Nov/2025", "Dec/", "Jan/2026", "Feb/", "Mar/", "Apr/"}},
		"days over the spring change":  {"2026-03-27 12:00", "2026-03-31 12:00", 6, []string{"28/Mar 2026", "29/", "30/", "31/"}},
		"hours over the autumn change": {"2026-10-24 22:00", "2026-10-25 08:00", 5, []string{"00:00/25 Oct", "03:00/", "06:00/"}},
		"over a leap day": {"2028-02-27 00:00", "2028-03-02 00:00", 5,
			[]string{"27/Feb 2028", "28/", "29/", "1/Mar 2028", "2/"}},
		"weeks begin on Monday": {"2026-03-01 00:00", "2026-03-31 00:00", 6, []string{"2/Mar 2026", "9/", "16/", "23/", "30/"}},
		"ten years":             {"2016-06-01 00:00", "2026-06-01 00:00", 6, []string{"2018/", "2020/", "2022/", "2024/", "2026/"}},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			from, to := in("Europe/Paris", c.from), in("Europe/Paris", c.to)
			var got []string
			for _, tick := range timeTicks(from, to, from.Location(), words.English, c.most) {
				got = append(got, tick.label+"/"+tick.second)
				if h, m, s := tick.at.Clock(); m != 0 || s != 0 || (c.most > 5 && h != 0) {
					t.Errorf("a tick stands at %v", tick.at)
				}
			}
			if len(got) != len(c.want) {
				t.Fatalf("got %q, want %q", got, c.want)
			}
			for i := range got {
				if got[i] != c.want[i] {
					t.Errorf("got %q, want %q", got, c.want)
				}
			}
		})
	}
	if got := timeTicks(in("UTC", "2026-01-01 00:00"), in("UTC", "2026-01-01 00:00"), time.UTC, words.English, 5); got != nil {
		t.Errorf("an empty axis has ticks %v", got)
	}
}

func TestValueTicks(t *testing.T) {
	cases := map[string]struct {
		low, high float64
		most      int
		want      []string
	}{
		"tens":            {398, 442, 5, []string{"400", "410", "420", "430", "440"}},
		"quarters":        {7.4, 8.4, 4, []string{"7.50", "7.75", "8.00", "8.25"}},
		"across zero":     {-1.1, 1.1, 5, []string{"\u22121.0", "\u22120.5", "0.0", "0.5", "1.0"}},
		"hundredths":      {0, 0.1, 6, []string{"0.00", "0.02", "0.04", "0.06", "0.08", "0.10"}},
		"thousands":       {0, 20000, 5, []string{"0", "5000", "10000", "15000", "20000"}},
		"nothing to show": {1, 1, 5, nil},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			var got []string
			for _, tick := range valueTicks(c.low, c.high, words.English, c.most) {
				got = append(got, tick.label)
			}
			if len(got) != len(c.want) {
				t.Fatalf("got %q, want %q", got, c.want)
			}
			for i := range got {
				if got[i] != c.want[i] {
					t.Errorf("got %q, want %q", got, c.want)
				}
			}
		})
	}
}

var start = time.Date(2026, 1, 1, 8, 0, 0, 0, time.UTC)

// figure is a figure with everything in it; the data is invented.
func figure() Figure {
	f := Figure{Title: "F2  Frag rack, south", Subtitle: "1 January to 1 March 2026, 341 L", Zone: time.UTC, From: start,
		To: start.AddDate(0, 0, 70), Now: start.AddDate(0, 0, 60)}
	calcium := Panel{Name: "Calcium", Unit: "mg/L", Band: &Band{400, 420, 440}, Verdict: "below, firm", State: StateBelow}
	phosphate := Panel{Name: "Phosphate", Unit: "mg/L", Decimals: 2, Band: &Band{0.02, 0.05, 0.1}, Verdict: "within, likely",
		State: StateWithin}
	for d := range 60 {
		v := 445 - float64(d)
		state := StateWithin
		if v > 440 {
			state = StateAbove
		} else if v < 400 {
			state = StateBelow
		}
		calcium.Points = append(calcium.Points, Point{At: start.AddDate(0, 0, d), Value: v, U: 8, State: state, Lab: d == 30,
			Outlier: d == 40})
		calcium.Fit = append(calcium.Fit, PathPoint{At: start.AddDate(0, 0, d), Value: v + 1})
		if d%6 == 0 {
			phosphate.Points = append(phosphate.Points, Point{At: start.AddDate(0, 0, d), Value: 0.02 + float64(d%4)/50, U: 0.01,
				State: StateWithin})
		}
		if d%9 == 1 {
			phosphate.Points = append(phosphate.Points, Point{At: start.AddDate(0, 0, d), Value: 0.02, Limit: LimitBelow})
		}
		f.Doses = append(f.Doses, Dose{At: start.AddDate(0, 0, d), Amount: 20 + float64(d%5)})
	}
	for d := range 10 {
		calcium.Forecast = append(calcium.Forecast, PathPoint{At: f.Now.AddDate(0, 0, d), Value: 385 - float64(d),
			Half50: 0.7 * (2 + float64(d)), Half80: 1.3 * (2 + float64(d))})
	}
	f.Panels = []Panel{calcium, phosphate}
	f.Changes = []WaterChange{{start.AddDate(0, 0, 7), 10}, {start.AddDate(0, 0, 35), 15}}
	f.Notes = []Note{{start.AddDate(0, 0, 20), "Lamp cleaned"}}
	return f
}

func TestPictureHasItsPixels(t *testing.T) {
	for _, scale := range []float64{1, 1.25, 1.5, 2} {
		img, err := Draw(figure(), Light, int(800*scale), int(420*scale), scale)
		if err != nil {
			t.Fatal(err)
		}
		if b := img.Bounds(); b.Dx() != int(800*scale) || b.Dy() != int(420*scale) {
			t.Errorf("at scale %g the picture has %v", scale, b)
		}
	}
}

// Below, above and the band are there, in their colours.
func TestColoursAreThere(t *testing.T) {
	for name, s := range map[string]Style{"light": Light, "dark": Dark} {
		img, err := Draw(figure(), s, 1200, 600, 1)
		if err != nil {
			t.Fatal(err)
		}
		seen := map[color.NRGBA]int{}
		for y := range 600 {
			for x := range 1200 {
				seen[color.NRGBAModel.Convert(img.At(x, y)).(color.NRGBA)]++
			}
		}
		for what, c := range map[string]color.NRGBA{"ground": s.Background, "band": s.BandFill, "below": s.Below, "above": s.Above,
			"forecast 50": s.Forecast50, "forecast 80": s.Forecast80, "dose": s.Dose} {
			if seen[c] < 20 {
				t.Errorf("%s: %d pixels of %s", name, seen[c], what)
			}
		}
	}
}

func TestOddFigures(t *testing.T) {
	single := figure()
	single.Panels = []Panel{{Name: "pH", Unit: "pH", Points: []Point{{At: start.AddDate(0, 0, 3), Value: 8.1}}}}
	bounds := figure()
	bounds.Panels = []Panel{{Name: "Nitrite", Unit: "mg/L", Points: []Point{{At: start.AddDate(0, 0, 3), Value: 0.01, Limit: LimitBelow},
		{At: start.AddDate(0, 0, 5), Value: 1, Limit: LimitAbove}}}}
	for name, f := range map[string]Figure{"no panel": {Title: "x", From: start, To: start.AddDate(0, 0, 1)},
		"no value": {From: start, To: start.AddDate(0, 0, 1), Panels: []Panel{{Name: "Calcium"}}}, "one value": single,
		"only bounds": bounds} {
		t.Run(name, func(t *testing.T) {
			for _, size := range [][2]int{{2, 2}, {80, 60}, {560, 300}, {1600, 1000}} {
				if _, err := Draw(f, Light, size[0], size[1], 1); err != nil {
					t.Errorf("%v: %v", size, err)
				}
			}
		})
	}
}

func TestWhatCannotBeDrawnIsSaid(t *testing.T) {
	nan, backwards, course := figure(), figure(), figure()
	nan.Panels[0].Points[3].Value = math.NaN()
	backwards.From, backwards.To = backwards.To, backwards.From
	course.Panels[0].Forecast[0].Half80 = math.Inf(1)
	for name, f := range map[string]Figure{"a value that is no number": nan, "an axis that runs backwards": backwards,
		"a forecast without end": course} {
		if _, err := Draw(f, Light, 400, 300, 1); err == nil {
			t.Errorf("%s is drawn", name)
		}
	}
	if _, err := Draw(figure(), Light, 0, 300, 1); err == nil {
		t.Error("a picture without pixels is drawn")
	}
}

func TestNearest(t *testing.T) {
	f := figure()
	l := LayoutOf(f, 1200, 600, 1)
	pt := f.Panels[0].Points[12]
	x, y := l.x(pt.At), l.y(0, pt.Value)
	if panel, point, ok := l.Nearest(x+3, y-2); !ok || panel != 0 || point != 12 {
		t.Errorf("found %d %d %v, want the 12th of the first", panel, point, ok)
	}
	if _, _, ok := l.Nearest(x, y+80); ok {
		t.Error("a place far from every point finds one")
	}
}

func TestDecimateKeepsExtremes(t *testing.T) {
	var points [][2]float64
	for i := range 10000 {
		y := math.Sin(float64(i) / 50)
		if i == 4321 {
			y = 9
		}
		points = append(points, [2]float64{float64(i) / 20, y})
	}
	out := decimate(points)
	if len(out) > 4*501 || out[0] != points[0] || out[len(out)-1] != points[len(points)-1] {
		t.Errorf("%d points from %v to %v", len(out), out[0], out[len(out)-1])
	}
	found := false
	for i, p := range out {
		found = found || p[1] == 9
		if i > 0 && p[0] < out[i-1][0] {
			t.Fatal("the points are out of order")
		}
	}
	if !found {
		t.Error("the spike is gone")
	}
}

func TestSVGIsXML(t *testing.T) {
	var out bytes.Buffer
	if err := WriteSVG(&out, figure(), Print, 800, 400); err != nil {
		t.Fatal(err)
	}
	d := xml.NewDecoder(&out)
	elements := 0
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		if _, ok := token.(xml.StartElement); ok {
			elements++
		}
	}
	if elements < 100 {
		t.Errorf("%d elements", elements)
	}
}

// Contrast by WCAG 2: 4.5 for text, 3 for marks and lines that carry meaning.
func TestContrast(t *testing.T) {
	for name, s := range map[string]Style{"light": Light, "dark": Dark} {
		for what, c := range map[string]color.NRGBA{"text": s.Text, "secondary": s.Secondary, "below": s.Below, "above": s.Above,
			"inside": s.Inside} {
			if r := wcag.Contrast(c, s.Background); r < 4.5 {
				t.Errorf("%s: %s has %.2f", name, what, r)
			}
			if r := wcag.Contrast(c, s.BandFill); r < 3 {
				t.Errorf("%s: %s on the band has %.2f", name, what, r)
			}
		}
		for what, c := range map[string]color.NRGBA{"axis": s.Axis, "edge": s.BandEdge, "forecast": s.Forecast, "dose": s.Dose} {
			if r := wcag.Contrast(c, s.Background); r < 3 {
				t.Errorf("%s: %s has %.2f", name, what, r)
			}
		}
	}
}

// contrast is the ratio of WCAG 2.1, relative luminance by sRGB.
// A chart of 4 x 3650 points at 1200 x 600.
func BenchmarkDraw(b *testing.B) {
	f := Figure{From: start, To: start.AddDate(10, 0, 0)}
	for p := range 4 {
		panel := Panel{Name: "Panel", Unit: "mg/L", Band: &Band{-1, 0, 1}}
		for d := range 3650 {
			panel.Points = append(panel.Points, Point{At: start.AddDate(0, 0, d), Value: math.Sin(float64(d*(p+1)) / 40)})
		}
		f.Panels = append(f.Panels, panel)
	}
	for b.Loop() {
		if _, err := Draw(f, Light, 1200, 600, 1); err != nil {
			b.Fatal(err)
		}
	}
}

// A hundred thousand points: the cost is that of the pixels.
func BenchmarkDrawLong(b *testing.B) {
	panel := Panel{Name: "Panel", Unit: "mg/L"}
	for d := range 100000 {
		panel.Points = append(panel.Points, Point{At: start.Add(time.Duration(d) * 50 * time.Minute), Value: math.Sin(float64(d) / 4000)})
	}
	f := Figure{From: start, To: panel.Points[len(panel.Points)-1].At, Panels: []Panel{panel}}
	for b.Loop() {
		if _, err := Draw(f, Light, 1200, 600, 1); err != nil {
			b.Fatal(err)
		}
	}
}

// The words at the right get the room that they need, within bounds.
func TestWordsHaveRoom(t *testing.T) {
	f := figure()
	usual := lay(f, 900, 400)
	f.Panels[0].Verdict = "a verdict in a language of long words"
	long, narrow := lay(f, 900, 400), lay(f, 500, 400)
	need := f.width(string(f.Panels[0].Verdict), smallSize, true) + wordsIndent
	if usual.words != wordsLeast || long.words != need || narrow.words != 125 || lay(f, 400, 400).words != 0 {
		t.Errorf("words have %v, %v of %v, %v", usual.words, long.words, need, narrow.words)
	}
	if got := long.plots[0].w + axisLeft + long.words; got != 900 {
		t.Errorf("axis, plot and words are %v wide", got)
	}
}
