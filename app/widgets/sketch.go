package widgets

import (
	"image"
	"image/color"
	"math"

	"golang.org/x/image/vector"
)

// point is a position in design units.
type point struct{ x, y float32 }

func pt(x, y float32) point { return point{x, y} }

// sketch fills shapes given in design units, antialiased, into one picture of
// one colour. The same code draws in every driver, so goldens hold for all.
type sketch struct {
	r     *vector.Rasterizer
	w, h  int
	scale float32
}

func newSketch(w, h int, scale float32) *sketch {
	return &sketch{r: vector.NewRasterizer(w, h), w: w, h: h, scale: scale}
}

func (s *sketch) path(points []point, reversed bool) {
	for i := range points {
		p := points[i]
		if reversed {
			p = points[len(points)-1-i]
		}
		if i == 0 {
			s.r.MoveTo(p.x*s.scale, p.y*s.scale)
		} else {
			s.r.LineTo(p.x*s.scale, p.y*s.scale)
		}
	}
	s.r.ClosePath()
}

// fill adds a closed shape.
func (s *sketch) fill(points ...point) { s.path(points, false) }

// outline adds the border of a convex shape, of that width, inside it.
func (s *sketch) outline(width float32, points ...point) {
	s.path(points, false)
	s.path(inset(points, width), true)
}

// inset moves the sides of a convex shape inwards by d.
func inset(points []point, d float32) []point {
	n := len(points)
	var cx, cy float32
	for _, p := range points {
		cx, cy = cx+p.x/float32(n), cy+p.y/float32(n)
	}
	side := func(i int) (a, b, c float32) { // a x + b y = c, moved towards the centre
		p, q := points[i], points[(i+1)%n]
		a, b = q.y-p.y, p.x-q.x
		length := float32(math.Hypot(float64(a), float64(b)))
		a, b = a/length, b/length
		c = a*p.x + b*p.y
		if a*cx+b*cy > c {
			return a, b, c + d
		}
		return a, b, c - d
	}
	out := make([]point, n)
	for i := range points {
		a1, b1, c1 := side((i + n - 1) % n)
		a2, b2, c2 := side(i)
		det := a1*b2 - a2*b1
		out[i] = pt((c1*b2-c2*b1)/det, (a1*c2-a2*c1)/det)
	}
	return out
}

// stroke adds an open line of that width with square ends.
func (s *sketch) stroke(width float32, points ...point) {
	for i := 0; i+1 < len(points); i++ {
		p, q := points[i], points[i+1]
		length := float32(math.Hypot(float64(q.x-p.x), float64(q.y-p.y)))
		ux, uy := (q.x-p.x)/length*width/2, (q.y-p.y)/length*width/2
		p, q = pt(p.x-ux, p.y-uy), pt(q.x+ux, q.y+uy)
		s.fill(pt(p.x-uy, p.y+ux), pt(q.x-uy, q.y+ux), pt(q.x+uy, q.y-ux), pt(p.x+uy, p.y-ux))
	}
}

func arc(c point, radius float32, from, to float64, steps int) []point {
	points := make([]point, steps+1)
	for i := range points {
		angle := from + (to-from)*float64(i)/float64(steps)
		points[i] = pt(c.x+radius*float32(math.Cos(angle)), c.y+radius*float32(math.Sin(angle)))
	}
	return points
}

// ring adds a circle's border of that width inside the radius; width 0 fills
// the circle.
func (s *sketch) ring(c point, radius, width float32) {
	s.path(arc(c, radius, 0, 2*math.Pi, 32), false)
	if width > 0 {
		s.path(arc(c, radius-width, 0, 2*math.Pi, 32), true)
	}
}

// dashedRing adds a ring in equal dashes with gaps of nearly the same length.
func (s *sketch) dashedRing(c point, radius, width float32, dashes int) {
	step := 2 * math.Pi / float64(dashes)
	for i := range dashes {
		from := float64(i) * step
		outer := arc(c, radius, from, from+step*0.55, 4)
		inner := arc(c, radius-width, from+step*0.55, from, 4)
		s.fill(append(outer, inner...)...)
	}
}

// image returns what was added, in one colour on nothing.
func (s *sketch) image(c color.Color) image.Image {
	mask := image.NewAlpha(image.Rect(0, 0, s.w, s.h))
	s.r.Draw(mask, mask.Bounds(), image.Opaque, image.Point{})
	r, g, b, _ := c.RGBA()
	out := image.NewNRGBA(mask.Bounds())
	for i, a := range mask.Pix {
		out.Pix[4*i], out.Pix[4*i+1], out.Pix[4*i+2], out.Pix[4*i+3] = uint8(r>>8), uint8(g>>8), uint8(b>>8), a
	}
	return out
}
