package chart

import (
	"image/color"
	"math"

	"gonum.org/v1/plot/vg"

	"weirkeeper/app/typeset"
)

// pen draws on a vector canvas with y running down from the top, in points.
type pen struct {
	canvas vg.Canvas
	height float64
	whole  bool // round text to whole points, for crisp pixels at 1x
	fonts  *typeset.Fonts
}

func (p pen) point(x, y float64) vg.Point {
	return vg.Point{X: vg.Length(x), Y: vg.Length(p.height - y)}
}

// rect fills a rectangle.
func (p pen) rect(x, y, w, h float64, c color.Color) {
	p.polygon(c, [2]float64{x, y}, [2]float64{x + w, y}, [2]float64{x + w, y + h}, [2]float64{x, y + h})
}

// frame strokes a rectangle's border.
func (p pen) frame(x, y, w, h, width float64, c color.Color) {
	p.line(width, c, nil, [2]float64{x, y}, [2]float64{x + w, y}, [2]float64{x + w, y + h}, [2]float64{x, y + h}, [2]float64{x, y})
}

func (p pen) path(points [][2]float64, closed bool) vg.Path {
	var path vg.Path
	for i, pt := range points {
		if i == 0 {
			path.Move(p.point(pt[0], pt[1]))
		} else {
			path.Line(p.point(pt[0], pt[1]))
		}
	}
	if closed {
		path.Close()
	}
	return path
}

// polygon fills a closed shape.
func (p pen) polygon(c color.Color, points ...[2]float64) {
	p.canvas.SetColor(c)
	p.canvas.Fill(p.path(points, true))
}

// pieceLength is how many points a long solid line is stroked in at a time:
// the rasteriser's cost grows with the square of a stroke's points.
const pieceLength = 32

// line strokes an open line; dashes nil: solid. A width of zero draws nothing.
func (p pen) line(width float64, c color.Color, dashes []vg.Length, points ...[2]float64) {
	if width <= 0 || len(points) < 2 {
		return
	}
	p.canvas.SetColor(c)
	p.canvas.SetLineWidth(vg.Length(width))
	p.canvas.SetLineDash(dashes, 0)
	if dashes != nil {
		p.canvas.Stroke(p.path(points, false))
		p.canvas.SetLineDash(nil, 0)
		return
	}
	for start := 0; start < len(points)-1; start += pieceLength {
		end := min(start+pieceLength+1, len(points))
		p.canvas.Stroke(p.path(points[start:end], false))
	}
}

// circle returns the corners of a circle drawn as a polygon.
func circle(x, y, radius float64) [][2]float64 {
	const corners = 24
	out := make([][2]float64, corners)
	for i := range out {
		angle := 2 * math.Pi * float64(i) / corners
		out[i] = [2]float64{x + radius*math.Cos(angle), y + radius*math.Sin(angle)}
	}
	return out
}

// Alignments of text.
const (
	left   = 0.0
	centre = 0.5
	right  = 1.0
)

// text writes one line with its base line at y; align is the share of its
// width that lies left of x.
func (p pen) text(x, y, size float64, bold bool, c color.Color, align float64, s string) {
	p.set(x, y, size, bold, c, align, p.fonts.Set(s, bold))
}

// shortened writes one line from x, with an ellipsis where it is wider than
// width.
func (p pen) shortened(x, y, size float64, bold bool, c color.Color, s string, width float64) {
	p.set(x, y, size, bold, c, left, p.fonts.Shorten(s, bold, width/size))
}

func (p pen) set(x, y, size float64, bold bool, c color.Color, align float64, line typeset.Line) {
	x -= align * line.Width * size
	if p.whole {
		x, y = math.Round(x), math.Round(y)
	}
	p.canvas.SetColor(c)
	for _, r := range line.Runs {
		if r.Face == typeset.FaceNone {
			p.canvas.Fill(outline(r.Outline, p.point(x, y), size))
		} else {
			p.canvas.FillString(face(r.Face, bold, size), p.point(x, y), r.Text)
		}
		x += r.Width * size
	}
}
