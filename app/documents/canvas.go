package documents

import (
	"image"
	"image/color"
	"math"

	"codeberg.org/go-pdf/fpdf"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"

	"weirkeeper/app/chart"
)

// canvas draws a chart's vectors into a rectangle of a PDF page. Points of the
// chart become unit millimetres each; the chart's origin is the rectangle's
// lower left corner.
type canvas struct {
	pdf    *fpdf.Fpdf
	unit   float64 // mm a point
	matrix matrix
	stack  []matrix
}

// matrix maps chart points to page millimetres: x' = a·x + c·y + e,
// y' = b·x + d·y + f.
type matrix struct{ a, b, c, d, e, f float64 }

var _ vg.Canvas = (*canvas)(nil)

// newCanvas returns what draws a chart on the open page of a document, at left,
// bottom (mm, y down) with unit mm a point. addFonts goes before.
func newCanvas(pdf *fpdf.Fpdf, left, bottom, unit float64) vg.Canvas {
	return &canvas{pdf: pdf, unit: unit, matrix: matrix{a: unit, d: -unit, e: left, f: bottom}}
}

func (c *canvas) at(p vg.Point) (x, y float64) {
	m := c.matrix
	return m.a*float64(p.X) + m.c*float64(p.Y) + m.e, m.b*float64(p.X) + m.d*float64(p.Y) + m.f
}

// SetLineWidth implements vg.Canvas.
func (c *canvas) SetLineWidth(w vg.Length) { c.pdf.SetLineWidth(float64(w) * c.unit) }

// SetLineDash implements vg.Canvas.
func (c *canvas) SetLineDash(pattern []vg.Length, offset vg.Length) {
	dashes := make([]float64, len(pattern))
	for i, d := range pattern {
		dashes[i] = float64(d) * c.unit
	}
	c.pdf.SetDashPattern(dashes, float64(offset)*c.unit)
}

// SetColor implements vg.Canvas; charts use no transparency.
func (c *canvas) SetColor(col color.Color) {
	if col == nil {
		col = color.Black
	}
	n := color.NRGBAModel.Convert(col).(color.NRGBA)
	r, g, b := int(n.R), int(n.G), int(n.B)
	c.pdf.SetDrawColor(r, g, b)
	c.pdf.SetFillColor(r, g, b)
	c.pdf.SetTextColor(r, g, b)
}

// Rotate implements vg.Canvas.
func (c *canvas) Rotate(rad float64) {
	sin, cos := math.Sincos(rad)
	c.apply(matrix{a: cos, b: sin, c: -sin, d: cos})
}

// Translate implements vg.Canvas.
func (c *canvas) Translate(p vg.Point) {
	c.apply(matrix{a: 1, d: 1, e: float64(p.X), f: float64(p.Y)})
}

// Scale implements vg.Canvas.
func (c *canvas) Scale(x, y float64) { c.apply(matrix{a: x, d: y}) }

// apply puts n before what is there.
func (c *canvas) apply(n matrix) {
	m := c.matrix
	c.matrix = matrix{
		a: m.a*n.a + m.c*n.b, b: m.b*n.a + m.d*n.b, c: m.a*n.c + m.c*n.d, d: m.b*n.c + m.d*n.d,
		e: m.a*n.e + m.c*n.f + m.e, f: m.b*n.e + m.d*n.f + m.f,
	}
}

// Push implements vg.Canvas.
func (c *canvas) Push() { c.stack = append(c.stack, c.matrix) }

// Pop implements vg.Canvas.
func (c *canvas) Pop() {
	n := len(c.stack) - 1
	c.matrix, c.stack = c.stack[n], c.stack[:n]
}

// Stroke implements vg.Canvas.
func (c *canvas) Stroke(p vg.Path) { c.draw(p, "D") }

// Fill implements vg.Canvas.
func (c *canvas) Fill(p vg.Path) { c.draw(p, "F") }

func (c *canvas) draw(p vg.Path, how string) {
	drawn := false
	for _, part := range p {
		switch part.Type {
		case vg.MoveComp:
			c.pdf.MoveTo(c.at(part.Pos))
		case vg.LineComp:
			c.pdf.LineTo(c.at(part.Pos))
			drawn = true
		case vg.CurveComp:
			c.curve(part)
			drawn = true
		case vg.ArcComp:
			c.arc(part)
			drawn = true
		case vg.CloseComp:
			c.pdf.ClosePath()
		}
	}
	if drawn {
		c.pdf.DrawPath(how)
	}
}

func (c *canvas) curve(part vg.PathComp) {
	x, y := c.at(part.Pos)
	switch len(part.Control) {
	case 1:
		cx, cy := c.at(part.Control[0])
		c.pdf.CurveTo(cx, cy, x, y)
	case 2:
		ax, ay := c.at(part.Control[0])
		bx, by := c.at(part.Control[1])
		c.pdf.CurveBezierCubicTo(ax, ay, bx, by, x, y)
	}
}

// arc is drawn in short chords: charts use none that are large.
func (c *canvas) arc(part vg.PathComp) {
	const chords = 24
	for i := 1; i <= chords; i++ {
		angle := part.Start + part.Angle*float64(i)/chords
		c.pdf.LineTo(c.at(vg.Point{
			X: part.Pos.X + part.Radius*vg.Length(math.Cos(angle)), Y: part.Pos.Y + part.Radius*vg.Length(math.Sin(angle)),
		}))
	}
}

// FillString implements vg.Canvas for upright text.
func (c *canvas) FillString(f font.Face, p vg.Point, text string) {
	family, style := familyText, ""
	switch f.Font.Typeface {
	case chart.FaceBold:
		style = "B"
	case chart.FaceTextFallback:
		family = familyFallback
	case chart.FaceBoldFallback:
		family, style = familyFallback, "B"
	}
	const pointsPerMM = 72 / 25.4
	c.pdf.SetFont(family, style, float64(f.Font.Size)*c.unit*pointsPerMM)
	x, y := c.at(p)
	c.pdf.Text(x, y, text)
}

// DrawImage implements vg.Canvas; figures have no pictures in them.
func (c *canvas) DrawImage(vg.Rectangle, image.Image) {}
