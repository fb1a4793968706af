package chart

import "image/color"

// Half sizes of marks in points.
const (
	dotSize      = 2.6
	triangleSize = 4.2
	diamondSize  = 5.0
	ringSize     = 3.4
)

// mark draws a state's shape with a halo in the ground's colour.
func (p pen) mark(x, y float64, s State, c, ground color.Color) {
	switch s {
	case StateBelow:
		p.polygon(ground, triangle(x, y, triangleSize+1.6, false)...)
		p.polygon(c, triangle(x, y, triangleSize, false)...)
	case StateAbove:
		p.polygon(ground, triangle(x, y, triangleSize+1.6, true)...)
		p.polygon(c, triangle(x, y, triangleSize, true)...)
	default:
		p.polygon(ground, circle(x, y, dotSize+1.2)...)
		p.polygon(c, circle(x, y, dotSize)...)
	}
}

func triangle(x, y, r float64, up bool) [][2]float64 {
	if up {
		return [][2]float64{{x, y - r}, {x + r, y + 0.8*r}, {x - r, y + 0.8*r}}
	}
	return [][2]float64{{x, y + r}, {x + r, y - 0.8*r}, {x - r, y - 0.8*r}}
}

// diamond draws a laboratory's value, open.
func (p pen) diamond(x, y float64, c, ground color.Color) {
	corners := [][2]float64{{x, y - diamondSize}, {x + diamondSize, y}, {x, y + diamondSize}, {x - diamondSize, y}}
	p.polygon(ground, corners...)
	p.line(1.6, c, nil, append(corners, corners[0], corners[1])...)
}

// ring draws a bound: an open ring, a dotted stem and a small arrow towards
// where the value may lie.
func (p pen) ring(x, y, end float64, c, ground color.Color) {
	p.line(1, c, dotted, [2]float64{x, y}, [2]float64{x, end})
	corners := circle(x, y, ringSize)
	p.polygon(ground, corners...)
	p.line(1.4, c, nil, append(corners, corners[0])...)
	up := 3.0
	if end < y {
		up = -3
	}
	p.polygon(c, [2]float64{x, end}, [2]float64{x + 2.4, end - up*1.2}, [2]float64{x - 2.4, end - up*1.2})
}
