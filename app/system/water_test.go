package system

import "testing"

// One digit of an uncertainty, two where the first is 1 or 2, as GUM 7.2.6 (JCGM
// 100:2008) has it.
func TestDeservedDecimals(t *testing.T) {
	for _, c := range []struct {
		half float64
		most int
		want int
	}{
		{0.5, 4, 1}, {0.05, 4, 2}, {0.031, 4, 2}, {0.3, 4, 1}, {0.12, 4, 2}, {0.029, 4, 3}, {0.0123, 4, 3}, {0.0123, 2, 2},
		{4.2, 2, 0}, {1.4, 2, 1}, {14, 2, 0}, {140, 2, 0}, {-0.05, 4, 2}, {0, 3, 3}, {1e-9, 3, 3},
	} {
		if got := deserved(c.half, c.most); got != c.want {
			t.Errorf("± %g, %d decimals at most: %d, want %d", c.half, c.most, got, c.want)
		}
	}
}
