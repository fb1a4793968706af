package compare

import (
	"errors"
	"math"
	"strconv"
	"testing"

	"weirkeeper/assets/words"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %g, want %g ± %g", what, got, want, tol)
	}
}

func show(v float64) words.Text { return words.Text(strconv.FormatFloat(v, 'f', 1, 64)) }

func TestPair(t *testing.T) {
	for _, c := range []struct {
		name     string
		a, b     Result
		en       float64
		agree    bool
		sentence string
	}{
		{"equal values", Result{420, 3}, Result{420, 4}, 0, true, "They agree: 0.0 apart, up to 10.0 is expected of them (En 0.00)."},
		{"just apart enough", Result{430, 3}, Result{420, 4}, 1, true, "They agree: 10.0 apart, up to 10.0 is expected of them (En 1.00)."},
		{"too far apart, lower first", Result{405, 3}, Result{420, 4}, 1.5, false,
			"They disagree: 15.0 apart, only up to 10.0 is expected of them (En 1.50). Check one of them on a standard."},
		{"one exact standard", Result{8, 0.5}, Result{10, 0}, 2, false,
			"They disagree: 2.0 apart, only up to 1.0 is expected of them (En 2.00). Check one of them on a standard."},
	} {
		t.Run(c.name, func(t *testing.T) {
			g, err := Pair(c.a, c.b)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "En", g.En, c.en, 1e-12)
			near(t, "difference", g.Difference, c.a.Value-c.b.Value, 0)
			if g.Agree != c.agree || g.Sentence(show).String() != c.sentence {
				t.Errorf("agree %v, %q", g.Agree, g.Sentence(show))
			}
		})
	}
}

func TestPairRefuses(t *testing.T) {
	if _, err := Pair(Result{1, 0}, Result{2, 0}); !errors.Is(err, ErrNoUncertainty) {
		t.Errorf("no uncertainty: %v", err)
	}
	for name, r := range map[string]Result{
		"not a number": {math.NaN(), 1}, "infinite": {math.Inf(1), 1}, "negative uncertainty": {1, -1},
		"infinite uncertainty": {1, math.Inf(1)},
	} {
		if _, err := Pair(Result{1, 1}, r); err == nil {
			t.Errorf("%s is accepted", name)
		}
	}
}

// The worked example of Bland and Altman 1986: peak expiratory flow of 17
// people by two meters, first readings, in L/min; published: bias −2.1, s
// 38.8, limits −79.7 and 75.5 (they use 2 s). Data and results are from
// memory.
func TestManyBlandAltman1986(t *testing.T) {
	large := []float64{494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478, 178, 423, 427}
	mini := []float64{512, 430, 520, 428, 500, 600, 364, 380, 658, 445, 432, 626, 260, 477, 259, 350, 451}
	l, err := Many(large, mini)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "bias", l.Bias, -2.1, 0.05)
	near(t, "sd", l.SD, 38.8, 0.05)
	near(t, "low at 2 s", l.Bias-2*l.SD, -79.7, 0.1)
	near(t, "high at 2 s", l.Bias+2*l.SD, 75.5, 0.1)
	near(t, "se of bias", l.BiasSE, 9.4, 0.05)
	near(t, "se of limits", l.LimitSE, 16.3, 0.05)
	near(t, "bias from", l.BiasLow, -22.0, 0.1)
	near(t, "bias to", l.BiasTop, 17.8, 0.1)
	if l.Biased() || l.N != 17 {
		t.Errorf("biased %v, n %d", l.Biased(), l.N)
	}
}

func TestManyFindsBias(t *testing.T) {
	l, err := Many([]float64{10.1, 11, 12.1, 13}, []float64{9, 10, 11, 12})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "bias", l.Bias, 1.05, 1e-12)
	near(t, "sd", l.SD, math.Sqrt(0.01/3), 1e-12)
	near(t, "width", l.High-l.Low, 2*1.96*l.SD, 1e-12)
	// Student's t of 3 degrees of freedom at 97.5 %, tabulated: 3.182446.
	near(t, "bias from", l.BiasLow, 1.05-3.182446*math.Sqrt(0.01/3)/2, 1e-6)
	near(t, "bias to", l.BiasTop, 1.05+3.182446*math.Sqrt(0.01/3)/2, 1e-6)
}

// A bias is one when its 95 % interval leaves out zero, to either side. Of 0, 1, 2
// and 3 the mean is 1.5 and its standard error 1.291/√4; with a t of 3.182 the
// interval begins at −0.55.
func TestBiased(t *testing.T) {
	for _, c := range []struct {
		name string
		by   []float64 // first less second
		want bool
	}{
		{"clearly high", []float64{1.1, 1, 1.1, 1}, true},
		{"clearly low", []float64{-1.1, -1, -1.1, -1}, true},
		{"none", []float64{1, -1, 2, -2}, false},
		{"not clearly high", []float64{0, 1, 2, 3}, false},
		{"not clearly low", []float64{0, -1, -2, -3}, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			second := []float64{8.1, 9.3, 7.7, 10.2} // alkalinities of four waters, dKH
			first := make([]float64, len(second))
			for i, by := range c.by {
				first[i] = second[i] + by
			}
			l, err := Many(first, second)
			if err != nil || l.Biased() != c.want {
				t.Errorf("%+v, %v", l, err)
			}
		})
	}
}

func TestManyRefuses(t *testing.T) {
	for _, c := range []struct {
		name string
		a, b []float64
		want string
	}{
		{"unequal", []float64{1, 2, 3}, []float64{1, 2}, "comparing methods: 3 results of the one, 2 of the other"},
		{"one pair", []float64{1}, []float64{1}, "comparing methods: 1 pair of results, 3 are needed"},
		{"two pairs", []float64{1, 2}, []float64{1, 2}, "comparing methods: 2 pairs of results, 3 are needed"},
		{"not a number", []float64{1, 2, math.NaN()}, []float64{1, 2, 3}, "comparing methods: pair 3 is NaN and 3"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if _, err := Many(c.a, c.b); err == nil || err.Error() != c.want {
				t.Errorf("got %v, want %s", err, c.want)
			}
		})
	}
}
