package chart

import (
	"math"
	"time"
)

// Sizes in points.
const (
	edge        = 10.0
	titleSize   = 14.0
	plainSize   = 11.0
	smallSize   = 10.0
	axisLeft    = 52.0
	wordsLeast  = 104.0
	wordsIndent = 30.0 // left of the longest words, and right of them
	laneHeight  = 24.0
	timeHeight  = 32.0
	panelHead   = 20.0
	panelGap    = 8.0
)

// rect is a place on the figure, y down.
type rect struct{ x, y, w, h float64 }

// Layout says where things stand in a figure of a given size. Positions are
// in points, which are the window's device-independent pixels, y down.
type Layout struct {
	figure Figure
	w, h   float64
	legend float64 // its base line; 0: none
	lane   rect
	words  float64 // width of the words at the right; 0: none
	plots  []rect
	ranges [][2]float64 // low and high of each panel's axis
}

// LayoutOf lays a figure out in w by h pixels at a scale.
func LayoutOf(f Figure, w, h int, scale float64) Layout {
	return lay(f, float64(w)/scale, float64(h)/scale)
}

func lay(f Figure, w, h float64) Layout {
	l := Layout{figure: f, w: w, h: h}
	top := edge
	if f.Title != "" {
		top += titleSize + 4
	}
	if f.Subtitle != "" {
		top += plainSize + 5
	}
	if h > 220 {
		l.legend = top + plainSize
		top += plainSize + 10
	}
	x, right := axisLeft, edge
	if w >= 420 {
		l.words = wordsWidth(f, w)
		right = l.words
	}
	width := math.Max(40, w-x-right)
	bottom := h - timeHeight
	lane := 0.0
	if len(f.Doses)+len(f.Changes)+len(f.Notes) > 0 && h > 180 {
		lane = laneHeight + panelGap
	}
	n := float64(max(1, len(f.Panels)))
	each := (bottom - top - lane) / n
	y := top
	for i := range f.Panels {
		l.plots = append(l.plots, rect{x, y + panelHead, width, math.Max(20, each-panelHead-panelGap)})
		l.ranges = append(l.ranges, rangeOf(f.Panels[i], f.From, f.To))
		y += each
		if i == 0 && lane > 0 {
			l.lane = rect{x, y, width, laneHeight}
			y += lane
		}
	}
	return l
}

// wordsWidth is the room for the words at the right in a figure of width w: as
// wide as they need, a quarter of the figure at the most.
func wordsWidth(f Figure, w float64) float64 {
	width := wordsLeast
	for _, p := range f.Panels {
		width = math.Max(width, f.width(f.say(p.Verdict), smallSize, true)+wordsIndent)
	}
	return math.Min(width, math.Max(wordsLeast, w/4))
}

// rangeOf is what a panel's axis spans: its values, its band and its forecast,
// with some room, and never below zero where nothing is.
func rangeOf(p Panel, from, to time.Time) [2]float64 {
	low, high := math.Inf(1), math.Inf(-1)
	take := func(v float64) { low, high = math.Min(low, v), math.Max(high, v) }
	for _, pt := range p.Points {
		if !pt.At.Before(from) && !pt.At.After(to) {
			take(pt.Value)
			if pt.Lab {
				take(pt.Value - 2*pt.U)
				take(pt.Value + 2*pt.U)
			}
		}
	}
	positive := low >= 0
	if p.Band != nil {
		take(p.Band.Low)
		take(p.Band.High)
	}
	for _, pt := range p.Forecast {
		take(pt.Value - pt.Half50)
		take(pt.Value + pt.Half50)
	}
	if math.IsInf(low, 1) {
		return [2]float64{0, 1}
	}
	room := (high - low) * 0.08
	if room == 0 {
		room = math.Max(math.Abs(high)*0.1, 0.5)
	}
	low, high = low-room, high+room
	if positive && low < 0 {
		low = 0
	}
	return [2]float64{low, high}
}

// x returns where an instant stands.
func (l Layout) x(at time.Time) float64 {
	span := l.figure.To.Sub(l.figure.From).Seconds()
	return l.plots[0].x + l.plots[0].w*at.Sub(l.figure.From).Seconds()/span
}

// y returns where a value of a panel stands, kept within the plot.
func (l Layout) y(panel int, v float64) float64 {
	plot, r := l.plots[panel], l.ranges[panel]
	share := (v - r[0]) / (r[1] - r[0])
	return plot.y + plot.h*(1-math.Min(1, math.Max(0, share)))
}

// reach is how far from a point the pointer may be to mean it.
const reach = 24.0

// Nearest returns the point nearest to a position, if one is within reach.
func (l Layout) Nearest(x, y float64) (panel, point int, ok bool) {
	best := reach
	for i, p := range l.figure.Panels {
		plot := l.plots[i]
		if y < plot.y-reach || y > plot.y+plot.h+reach {
			continue
		}
		for j, pt := range p.Points {
			if pt.At.Before(l.figure.From) || pt.At.After(l.figure.To) {
				continue
			}
			if d := math.Hypot(l.x(pt.At)-x, l.y(i, pt.Value)-y); d < best {
				best, panel, point, ok = d, i, j, true
			}
		}
	}
	return panel, point, ok
}

// Place returns where a point of a panel stands, in points.
func (l Layout) Place(panel, point int) (x, y float64) {
	pt := l.figure.Panels[panel].Points[point]
	return l.x(pt.At), l.y(panel, pt.Value)
}

// Next returns the point that lies by points after a place, or before it, in the
// panel that the place is in; ok is false when there is none on the axis.
func (l Layout) Next(x, y float64, by int) (panel, point int, ok bool) {
	for i := range l.plots {
		if y >= l.plots[i].y-panelHead {
			panel = i
		}
	}
	if panel >= len(l.figure.Panels) {
		return 0, 0, false
	}
	points := l.figure.Panels[panel].Points
	const beside = 0.01 // of a point: the place of a point is not after itself
	for n := range points {
		j := n
		if by < 0 {
			j = len(points) - 1 - n
		}
		at := points[j].At
		if at.Before(l.figure.From) || at.After(l.figure.To) {
			continue
		}
		if d := l.x(at) - x; (by > 0 && d > beside) || (by < 0 && d < -beside) {
			return panel, j, true
		}
	}
	return panel, 0, false
}
