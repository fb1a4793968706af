package tanks

import (
	"math"
	"slices"

	"weirkeeper/assets/words"
)

// Expectation is what a reading should show before it is taken: a value and
// its standard uncertainty in the same unit.
type Expectation struct {
	Value, Uncertainty float64
}

// Expect returns what the last few values of a system let expect: their
// median, with the spread of a single further value. The spread is 1.4826
// times the median absolute deviation, at least the given scatter of the
// method, times √(1 + 1/n) for a mean that is itself uncertain. ok is false
// for fewer than three values: they cannot tell a surprise.
func Expect(values []float64, scatter float64) (e Expectation, ok bool) {
	if len(values) < 3 {
		return Expectation{}, false
	}
	e.Value = median(values)
	off := make([]float64, len(values))
	for i, v := range values {
		off[i] = math.Abs(v - e.Value)
	}
	e.Uncertainty = max(1.4826*median(off), scatter) * math.Sqrt(1+1/float64(len(values)))
	return e, finite(e.Value) && finite(e.Uncertainty)
}

// Expectation returns the estimate as what a further reading should show.
func (e Estimate) Expectation() Expectation {
	return Expectation{Value: e.Value, Uncertainty: e.Uncertainty}
}

func median(values []float64) float64 {
	sorted := slices.Sorted(slices.Values(values))
	n := len(sorted)
	return (sorted[(n-1)/2] + sorted[n/2]) / 2
}

// surpriseFrom is how many combined standard uncertainties off the expected
// value are a surprise: once in 2,000 normal readings (our choice).
const surpriseFrom = 3.5

// slipWithin is how close, in the same measure, a corrected slip must come to
// the expected value to be proposed (our choice).
const slipWithin = 2

// Finding is the outcome of comparing a typed value with what was expected.
type Finding struct {
	Surprising bool
	Typed      float64
	Expected   Expectation
	// Off is how many combined standard uncertainties lie between the two.
	Off float64
	// Slip is the value that a slip of the decimal point explains, and Places
	// by how many places: 1 for a typed 1.2 that should be 12, −1 for 0.12.
	// Places 0: none fits.
	Slip   float64
	Places int
}

// Surprise compares a typed value of standard uncertainty u with the
// expected one. All numbers but number are in one unit: number is what was typed in
// the unit that it was typed in, and in turns such a number into theirs, as a slip of
// the decimal point happens where it is typed. A value that cannot be compared (not a
// number, no uncertainty at all) is no surprise.
func Surprise(typed, u float64, e Expectation, number float64, in func(float64) (float64, error)) Finding {
	f := Finding{Typed: typed, Expected: e, Off: distance(typed, u, e)}
	if !finite(f.Off) || f.Off <= surpriseFrom {
		return f
	}
	f.Surprising = true
	nearest := float64(slipWithin)
	for _, places := range [...]int{-1, 1, -2, 2, -3, 3} {
		meant, err := in(number * math.Pow10(places))
		if err != nil || number == 0 {
			continue
		}
		if off := distance(meant, u*math.Abs(meant/typed), e); off < nearest {
			nearest, f.Slip, f.Places = off, meant, places
		}
	}
	return f
}

// distance returns |typed − expected| in combined standard uncertainties.
func distance(typed, u float64, e Expectation) float64 {
	return math.Abs(typed-e.Value) / math.Hypot(u, e.Uncertainty)
}

// Sentence says the finding in plain words, numbers written by show: "Expected
// 0.11 ± 0.03. A slip of the decimal point would give 0.12." It is empty when
// the value is no surprise.
func (f Finding) Sentence(show func(float64) words.Text) words.Text {
	if !f.Surprising {
		return ""
	}
	text := words.T("Expected %s ± %s.", show(f.Expected.Value), show(f.Expected.Uncertainty))
	if f.Places != 0 {
		text = words.T("%s A slip of the decimal point would give %s.", text, show(f.Slip))
	}
	return text
}
