package trendview

import (
	"image"
	"time"

	"weirkeeper/app/chart"
	"weirkeeper/app/say"
	"weirkeeper/app/widgets"
)

// Picture lets a chart view show a figure.
type Picture struct {
	Figure chart.Figure
	Minute func(time.Time) string // writes a moment for the readout
}

var _ widgets.Picture = Picture{}

// showFigure gives the figure to the chart view.
func (v *View) showFigure() {
	if len(v.figure.Panels) == 0 {
		v.chart.SetPicture(nil)
		return
	}
	v.chart.SetPicture(Picture{v.figure, v.session.Minute})
}

// Span implements widgets.Picture.
func (p Picture) Span() (from, to time.Time) { return p.Figure.From, p.Figure.To }

// within is the figure of a stretch of time.
func (p Picture) within(f widgets.Frame) chart.Figure {
	figure := p.Figure
	figure.From, figure.To = f.From, f.To
	return figure
}

// Draw implements widgets.Picture. A figure that cannot be drawn says so in its
// place.
func (p Picture) Draw(f widgets.Frame) image.Image {
	style := chart.Light
	if f.Dark {
		style = chart.Dark
	}
	img, err := chart.Draw(p.within(f), style, f.W, f.H, f.Scale)
	if err != nil {
		img, err = chart.Draw(
			chart.Figure{
				Title:    p.Figure.Title,
				Subtitle: "The figure cannot be drawn.",
				From:     f.From,
				To:       f.To,
				Language: p.Figure.Language,
			},
			style,
			f.W,
			f.H,
			f.Scale,
		)
	}
	if err != nil {
		return nil
	}
	return img
}

func (p Picture) layout(f widgets.Frame) chart.Layout {
	return chart.LayoutOf(p.within(f), f.W, f.H, f.Scale)
}

// Near implements widgets.Picture.
func (p Picture) Near(f widgets.Frame, x, y float32) (widgets.Spot, bool) {
	l := p.layout(f)
	panel, point, ok := l.Nearest(float64(x), float64(y))
	return p.spot(l, panel, point), ok
}

// Next implements widgets.Picture.
func (p Picture) Next(f widgets.Frame, x, y float32, by int) (widgets.Spot, bool) {
	l := p.layout(f)
	panel, point, ok := l.Next(float64(x), float64(y), by)
	if !ok {
		return widgets.Spot{}, false
	}
	return p.spot(l, panel, point), true
}

// spot says what a point is: its value, when it was taken, and whether the fit
// leaves it out.
func (p Picture) spot(l chart.Layout, panel, point int) widgets.Spot {
	on := p.Figure.Panels[panel]
	if point >= len(on.Points) {
		return widgets.Spot{}
	}
	at := on.Points[point]
	x, y := l.Place(panel, point)
	sign := map[chart.Limit]string{chart.LimitBelow: "<", chart.LimitAbove: ">"}[at.Limit]
	s := widgets.Spot{X: float32(x), Y: float32(y), Lines: []string{
		say.F("%s %s%.*f %s", on.Name, sign, on.Decimals, at.Value, on.Unit), p.Minute(at.At),
	}}
	if at.Outlier {
		s.Lines = append(s.Lines, say.L("off the fit: not counted in the uptake"))
	}
	return s
}
