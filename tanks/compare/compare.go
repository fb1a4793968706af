// Package compare tells whether two methods agree: for one pair of results by
// the E_n number, for many by bias and limits of agreement.
package compare

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"weirkeeper/assets/words"
)

// Result is a value with its standard uncertainty, in one unit.
type Result struct {
	Value, Uncertainty float64
}

// coverage makes an expanded uncertainty of about 95 % from a standard one.
const coverage = 2

// Agreement is the comparison of two results for the same water.
type Agreement struct {
	Difference float64 // first less second
	Expanded   float64 // expanded uncertainty of the difference, coverage factor 2
	En         float64 // |Difference| / Expanded
	Agree      bool    // En ≤ 1
}

// ErrNoUncertainty tells that results without any uncertainty cannot be compared.
var ErrNoUncertainty = words.New("neither result has an uncertainty: state the accuracy of a method")

// Pair compares two results by the E_n number of ISO 13528:2022, 9.7:
// |x1 − x2| / √(U1² + U2²) with expanded uncertainties U = 2u; up to 1 they
// agree. The error tells of a number that is missing, negative or infinite,
// or of no uncertainty on either side.
func Pair(a, b Result) (Agreement, error) {
	for _, r := range [...]Result{a, b} {
		if !finite(r.Value) || !finite(r.Uncertainty) || r.Uncertainty < 0 {
			return Agreement{}, words.Errorf("comparing %g ± %g with %g ± %g: values must be numbers, uncertainties zero or more", a.Value,
				a.Uncertainty, b.Value, b.Uncertainty)
		}
	}
	g := Agreement{Difference: a.Value - b.Value, Expanded: coverage * math.Hypot(a.Uncertainty, b.Uncertainty)}
	if g.Expanded == 0 {
		return Agreement{}, ErrNoUncertainty
	}
	g.En = math.Abs(g.Difference) / g.Expanded
	g.Agree = g.En <= 1
	return g, nil
}

// Sentence says the comparison in plain words, the numbers written by show:
// "They agree: 5 apart, up to 14 is expected of them (En 0.36)."
func (g Agreement) Sentence(show func(float64) words.Text) words.Text {
	apart, expected := show(math.Abs(g.Difference)), show(g.Expanded)
	if g.Agree {
		return words.T("They agree: %s apart, up to %s is expected of them (En %.2f).", apart, expected, g.En)
	}
	return words.T("They disagree: %s apart, only up to %s is expected of them (En %.2f). Check one of them on a standard.", apart,
		expected, g.En)
}

// Limits are the bias and the limits of agreement of two methods.
type Limits struct {
	N                int
	Bias             float64 // mean of first less second
	SD               float64 // standard deviation of the differences
	Low, High        float64 // Bias ∓ 1.96 SD: 95 % of differences lie between
	BiasSE           float64 // standard error of Bias: SD/√n
	LimitSE          float64 // standard error of Low and High: √(3/n)·SD
	BiasLow, BiasTop float64 // 95 % confidence interval of Bias, Student's t
}

// Biased tells whether the 95 % confidence interval of the bias leaves out zero.
func (l Limits) Biased() bool { return l.BiasLow > 0 || l.BiasTop < 0 }

// fewestPairs is the least number of pairs for limits of agreement (our
// choice): with fewer their own error exceeds the standard deviation.
const fewestPairs = 3

// Many compares two methods over pairs of results of the same waters, by the
// limits of agreement of Bland and Altman (Lancet 1986, 327, 307-310): bias d̄
// ± 1.96 s of the differences, with the standard errors s/√n of the bias and
// √(3s²/n) of the limits given there. The error tells of slices of unequal
// length, of fewer than three pairs, or of values that are not finite.
func Many(first, second []float64) (Limits, error) {
	if len(first) != len(second) {
		return Limits{}, words.Errorf("comparing methods: %s",
			words.N(len(first), "%d result of the one, %d of the other", "%d results of the one, %d of the other", len(second)))
	}
	n := len(first)
	if n < fewestPairs {
		return Limits{}, words.Errorf("comparing methods: %s",
			words.N(n, "%d pair of results, %d are needed", "%d pairs of results, %d are needed", fewestPairs))
	}
	var mean, squares float64
	for i := range first {
		d := first[i] - second[i]
		if !finite(d) {
			return Limits{}, words.Errorf("comparing methods: pair %d is %g and %g", i+1, first[i], second[i])
		}
		delta := d - mean
		mean += delta / float64(i+1)
		squares += delta * (d - mean)
	}
	sd := math.Sqrt(squares / float64(n-1))
	l := Limits{N: n, Bias: mean, SD: sd, Low: mean - 1.96*sd, High: mean + 1.96*sd}
	l.BiasSE, l.LimitSE = sd/math.Sqrt(float64(n)), sd*math.Sqrt(3/float64(n))
	t := distuv.StudentsT{Sigma: 1, Nu: float64(n - 1)}.Quantile(0.975)
	l.BiasLow, l.BiasTop = mean-t*l.BiasSE, mean+t*l.BiasSE
	return l, nil
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
