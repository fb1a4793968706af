package chart

import (
	"image/color"
	"math"
	"strings"
	"time"

	"gonum.org/v1/plot/vg"

	"weirkeeper/assets/words"
)

var (
	dashed = []vg.Length{4, 3}
	dotted = []vg.Length{1.5, 2.5}
)

// DrawOn draws the figure on a canvas of w by h points.
func DrawOn(c vg.Canvas, f Figure, s Style, w, h float64) error {
	return drawOn(c, f, s, w, h, false)
}

func drawOn(c vg.Canvas, f Figure, s Style, w, h float64, whole bool) error {
	if err := f.check(); err != nil {
		return err
	}
	d := drawing{pen: pen{c, h, whole, f.fonts()}, Layout: lay(f, w, h), style: s}
	d.header()
	if len(f.Panels) == 0 {
		d.text(w/2, h/2, plainSize, false, s.Secondary, centre, d.figure.say("Nothing to show"))
		return nil
	}
	d.drawLegend()
	times := timeTicks(f.From, f.To, f.zone(), f.language(), int(d.plots[0].w/56))
	for i := range f.Panels {
		d.panel(i, times)
	}
	d.events()
	d.today()
	d.timeAxis(times)
	return nil
}

// drawing is a figure while it is drawn.
type drawing struct {
	pen
	Layout
	style Style
}

func (d drawing) header() {
	y := edge + titleSize - 2
	if d.figure.Title != "" {
		d.shortened(edge, y, titleSize, true, d.style.Text, d.figure.say(d.figure.Title), d.w-2*edge)
		y += plainSize + 5
	}
	d.shortened(edge, y, plainSize, false, d.style.Secondary, d.figure.say(d.figure.Subtitle), d.w-2*edge)
}

// panel draws one analyte: band, grid, forecast, edges, events' lines, the
// course, the points, the words at the right.
func (d drawing) panel(i int, times []timeTick) {
	p, plot := d.figure.Panels[i], d.plots[i]
	s := d.style
	d.text(edge, plot.y-6, plainSize+1, true, s.Text, left, d.figure.say(p.Name))
	name := d.figure.width(d.figure.say(p.Name), plainSize+1, true)
	d.text(edge+name+8, plot.y-6, smallSize, false, s.Secondary, left, p.Unit)
	if p.Band != nil {
		high, low := d.y(i, p.Band.High), d.y(i, p.Band.Low)
		d.rect(plot.x, high, plot.w, low-high, s.BandFill)
	}
	for _, t := range valueTicks(d.ranges[i][0], d.ranges[i][1], d.figure.language(), int(math.Max(2, plot.h/34))) {
		y := d.y(i, t.value)
		d.line(0.8, s.Grid, nil, [2]float64{plot.x, y}, [2]float64{plot.x + plot.w, y})
		d.text(plot.x-6, y+3.5, smallSize, false, s.Secondary, right, t.label)
	}
	for _, t := range times {
		x := d.x(t.at)
		d.line(0.8, s.Grid, nil, [2]float64{x, plot.y}, [2]float64{x, plot.y + plot.h})
	}
	d.forecast(i)
	d.edges(i)
	for _, c := range d.figure.Changes {
		if d.inside(c.At) {
			x := d.x(c.At)
			d.line(0.8, s.Axis, dotted, [2]float64{x, plot.y}, [2]float64{x, plot.y + plot.h})
		}
	}
	d.joining(i)
	d.course(i)
	d.points(i)
	d.line(1, s.Axis, nil, [2]float64{plot.x, plot.y + plot.h}, [2]float64{plot.x + plot.w, plot.y + plot.h})
	d.words(i)
}

func (d drawing) inside(at time.Time) bool {
	return !at.Before(d.figure.From) && !at.After(d.figure.To)
}

func (d drawing) forecast(i int) {
	path := d.figure.Panels[i].Forecast
	if len(path) < 2 {
		return
	}
	for _, layer := range []struct {
		half func(PathPoint) float64
		c    color.NRGBA
	}{{func(p PathPoint) float64 { return p.Half80 }, d.style.Forecast80},
		{func(p PathPoint) float64 { return p.Half50 }, d.style.Forecast50}} {
		var area [][2]float64
		for _, p := range path {
			area = append(area, [2]float64{d.x(p.At), d.y(i, p.Value+layer.half(p))})
		}
		for n := len(path) - 1; n >= 0; n-- {
			area = append(area, [2]float64{d.x(path[n].At), d.y(i, path[n].Value-layer.half(path[n]))})
		}
		d.polygon(layer.c, area...)
	}
	var middle [][2]float64
	for _, p := range path {
		middle = append(middle, [2]float64{d.x(p.At), d.y(i, p.Value)})
	}
	d.line(1.4, d.style.Forecast, dashed, middle...)
}

func (d drawing) edges(i int) {
	b, plot := d.figure.Panels[i].Band, d.plots[i]
	if b == nil {
		return
	}
	for _, v := range []float64{b.Low, b.High} {
		y := d.y(i, v)
		d.line(1, d.style.BandEdge, dashed, [2]float64{plot.x, y}, [2]float64{plot.x + plot.w, y})
	}
}

// joining joins the exact values in order of time, in a quiet line.
func (d drawing) joining(i int) {
	var part [][2]float64
	for _, pt := range d.figure.Panels[i].Points {
		if !d.inside(pt.At) || pt.Lab || pt.Outlier {
			continue
		}
		if pt.Limit != LimitNone {
			d.line(0.9, d.style.Axis, nil, decimate(part)...)
			part = nil
			continue
		}
		part = append(part, [2]float64{d.x(pt.At), d.y(i, pt.Value)})
	}
	d.line(0.9, d.style.Axis, nil, decimate(part)...)
}

func (d drawing) course(i int) {
	var points [][2]float64
	for _, p := range d.figure.Panels[i].Fit {
		if d.inside(p.At) {
			points = append(points, [2]float64{d.x(p.At), d.y(i, p.Value)})
		}
	}
	d.line(1, d.style.Forecast50, nil, points...)
}

// decimate keeps of each column of pixels the first, the lowest, the highest
// and the last point, which looks the same.
func decimate(points [][2]float64) [][2]float64 {
	if len(points) < 512 {
		return points
	}
	var out [][2]float64
	for start := 0; start < len(points); {
		end, low, high := start, start, start
		for end < len(points) && math.Floor(points[end][0]) == math.Floor(points[start][0]) {
			if points[end][1] < points[low][1] {
				low = end
			}
			if points[end][1] > points[high][1] {
				high = end
			}
			end++
		}
		last := -1
		for _, n := range []int{start, min(low, high), max(low, high), end - 1} {
			if n > last {
				out = append(out, points[n])
				last = n
			}
		}
		start = end
	}
	return out
}

// mostMarks is how many marks a panel shows; with more, marks would cover one
// another and the line tells all.
const mostMarks = 1500

func (d drawing) points(i int) {
	p, plot, s := d.figure.Panels[i], d.plots[i], d.style
	plain := len(p.Points) > mostMarks
	for _, pt := range p.Points {
		if !d.inside(pt.At) {
			continue
		}
		x, y, c := d.x(pt.At), d.y(i, pt.Value), s.state(pt.State)
		switch {
		case pt.Limit == LimitBelow:
			d.ring(x, y, plot.y+plot.h-1, c, s.Background)
		case pt.Limit == LimitAbove:
			d.ring(x, y, plot.y+1, c, s.Background)
		case pt.Lab:
			top, bottom := d.y(i, pt.Value+2*pt.U), d.y(i, pt.Value-2*pt.U)
			d.line(1.2, c, nil, [2]float64{x, top}, [2]float64{x, bottom})
			for _, end := range []float64{top, bottom} {
				d.line(1.2, c, nil, [2]float64{x - 3.5, end}, [2]float64{x + 3.5, end})
			}
			d.diamond(x, y, c, s.Background)
		case plain:
		case pt.Outlier:
			d.line(1.2, c, nil, [2]float64{x - 3, y - 3}, [2]float64{x + 3, y + 3})
			d.line(1.2, c, nil, [2]float64{x - 3, y + 3}, [2]float64{x + 3, y - 3})
		default:
			d.mark(x, y, pt.State, c, s.Background)
		}
	}
}

// words are the band's bracket and numbers and the newest value, at the right.
func (d drawing) words(i int) {
	p, plot, s := d.figure.Panels[i], d.plots[i], d.style
	if d.Layout.words == 0 {
		return
	}
	x := plot.x + plot.w + 8
	y := plot.y + 12
	if p.Band != nil {
		high, low := d.y(i, p.Band.High), d.y(i, p.Band.Low)
		d.line(1, s.BandEdge, nil, [2]float64{x, high}, [2]float64{x + 4, high}, [2]float64{x + 4, low}, [2]float64{x, low})
		y = math.Min(math.Max(plot.y+12, (high+low)/2-14), plot.y+plot.h-40)
		d.text(x+9, y, smallSize, false, s.Secondary, left, d.figure.say("band"))
		d.text(x+9, y+12, smallSize, false, s.Secondary, left,
			d.figure.say(words.T("%.*f to %.*f", p.Decimals, p.Band.Low, p.Decimals, p.Band.High)))
		y += 28
	}
	newest := -1
	for n, pt := range p.Points {
		if d.inside(pt.At) && (newest < 0 || !pt.At.Before(p.Points[newest].At)) {
			newest = n
		}
	}
	if newest < 0 {
		d.text(x+9, y, smallSize, false, s.Secondary, left, d.figure.say("no value yet"))
		return
	}
	pt := p.Points[newest]
	state := p.State
	if p.Verdict != "" {
		d.mark(x+13, y-3.5, state, s.state(state), s.Background)
		d.shortened(x+21, y, smallSize, true, s.state(state), d.figure.say(p.Verdict), d.Layout.words-wordsIndent)
		y += 13
	}
	sign := map[Limit]string{LimitBelow: "<", LimitAbove: ">"}[pt.Limit]
	value := strings.Replace(d.figure.say(words.T("%s%.*f", sign, p.Decimals, pt.Value)), "-", "\u2212", 1)
	d.shortened(x+21, y, smallSize, false, s.Text, value+" "+p.Unit, d.Layout.words-wordsIndent)
}

func (d drawing) today() {
	if d.figure.Now.IsZero() || !d.inside(d.figure.Now) || !d.figure.Now.Before(d.figure.To) {
		return
	}
	x := d.x(d.figure.Now)
	for _, plot := range d.plots {
		d.line(1.2, d.style.Text, nil, [2]float64{x, plot.y - 2}, [2]float64{x, plot.y + plot.h})
	}
	d.text(x, d.plots[0].y-6, smallSize, true, d.style.Text, centre, d.figure.say("today"))
}

func (d drawing) timeAxis(times []timeTick) {
	last := d.plots[len(d.plots)-1]
	y := last.y + last.h
	if len(d.plots) == 1 && d.lane.h > 0 {
		y = d.lane.y + d.lane.h
	}
	for _, t := range times {
		x := d.x(t.at)
		d.line(1, d.style.Axis, nil, [2]float64{x, y}, [2]float64{x, y + 3})
		d.text(x, y+14, smallSize, false, d.style.Secondary, centre, t.label)
		d.text(x, y+26, smallSize, false, d.style.Secondary, centre, t.second)
	}
}
