// Package wcag measures how well one colour stands out from another, by the Web
// Content Accessibility Guidelines 2.2. It imports nothing of the program, so that
// every room's tests can use it.
package wcag

import (
	"image/color"
	"math"
)

// Contrast is the contrast ratio, 1 to 21, of ink on an opaque ground; ink that lets
// the ground through is mixed with it first.
func Contrast(ink, ground color.Color) float64 {
	a, b := luminance(over(ink, ground)), luminance(ground)
	if a < b {
		a, b = b, a
	}
	return (a + 0.05) / (b + 0.05)
}

// over is what is seen of ink that lies on a ground.
func over(ink, ground color.Color) color.Color {
	r, g, b, a := ink.RGBA()
	gr, gg, gb, _ := ground.RGBA()
	mix := func(i, g uint32) uint16 { return uint16(i + g*(0xffff-a)/0xffff) }
	return color.RGBA64{R: mix(r, gr), G: mix(g, gg), B: mix(b, gb), A: 0xffff}
}

// luminance is the relative luminance.
func luminance(c color.Color) float64 {
	r, g, b, _ := c.RGBA()
	linear := func(v uint32) float64 {
		s := float64(v) / 0xffff
		if s <= 0.04045 {
			return s / 12.92
		}
		return math.Pow((s+0.055)/1.055, 2.4)
	}
	return 0.2126*linear(r) + 0.7152*linear(g) + 0.0722*linear(b)
}
