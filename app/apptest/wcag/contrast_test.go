package wcag

import (
	"image/color"
	"math"
	"testing"
)

// The ends of the scale, and a grey that the guidelines' readers know: #767676 is the
// lightest that has 4.5 on white (from memory, computed by hand to 4.54).
func TestContrast(t *testing.T) {
	cases := []struct {
		name        string
		ink, ground color.Color
		want        float64
	}{
		{"white on black", color.White, color.Black, 21},
		{"black on white", color.Black, color.White, 21},
		{"nothing", color.White, color.White, 1},
		{"grey", color.NRGBA{0x76, 0x76, 0x76, 0xff}, color.White, 4.54},
		{"black that lets half through is grey", color.NRGBA{0, 0, 0, 0x89}, color.White, 4.54},
		{"unseen", color.NRGBA{0, 0, 0, 0}, color.White, 1},
	}
	for _, c := range cases {
		if got := Contrast(c.ink, c.ground); math.Abs(got-c.want) > 0.03 {
			t.Errorf("%s: %.3f, want %.2f", c.name, got, c.want)
		}
	}
}
