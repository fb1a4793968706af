package look

import (
	"math"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
)

// Signs of reckoning and arrows are drawn with the words around them: a space behind
// one is no wider than elsewhere, and a true minus is as wide as a plus.
func TestSignsStandInText(t *testing.T) {
	test.NewTempApp(t).Settings().SetTheme(New())
	for _, style := range []fyne.TextStyle{{}, {Bold: true}} {
		width := func(text string) float64 { return float64(fyne.MeasureText(text, 20, style).Width) }
		for _, sign := range []string{"→", "←", "−", "≤", "≥", "≈", "√", "±", "×"} {
			if got, want := width("8 "+sign+" 9"), width("8 ")+width(sign)+width(" 9"); math.Abs(got-want) > 0.6 {
				t.Errorf("%s between words takes %v, its parts %v", sign, got, want)
			}
		}
		if minus, plus := width("−"), width("+"); math.Abs(minus-plus) > 0.1 {
			t.Errorf("a minus is %v wide, a plus %v", minus, plus)
		}
	}
}
