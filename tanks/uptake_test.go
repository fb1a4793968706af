package tanks

import (
	"fmt"
	"testing"
)

// Quantiles of Student's t: NIST/SEMATECH e-Handbook of Statistical Methods,
// table 1.3.6.7.2, for 0.9 and 0.975; Abramowitz and Stegun 1964, table 26.10, for
// 0.75, from memory. The last row is the normal distribution's.
func TestIntervalsOfStudentsT(t *testing.T) {
	for _, c := range []struct{ df, half50, half80, half95 float64 }{
		{1, 1.000, 3.078, 12.706},
		{2, 0.816, 1.886, 4.303},
		{5, 0.727, 1.476, 2.571},
		{10, 0.700, 1.372, 2.228},
		{20, 0.687, 1.325, 2.086},
		{30, 0.683, 1.310, 2.042},
		{0, 0.674, 1.282, 1.960},
	} {
		t.Run(fmt.Sprintf("%g degrees of freedom", c.df), func(t *testing.T) {
			p := CoursePoint{SE: 2, DF: c.df}
			near(t, "50 %", p.Half(0.5), 2*c.half50, 0.0011)
			near(t, "80 %", p.Half(0.8), 2*c.half80, 0.0011)
			near(t, "95 %", p.Half(0.95), 2*c.half95, 0.0011)
			near(t, "of an uptake", Uptake{SE: 3, DF: c.df}.Half(0.95), 3*c.half95, 0.0016)
		})
	}
	near(t, "what is known", CoursePoint{DF: 3}.Half(0.95), 0, 0)
}
