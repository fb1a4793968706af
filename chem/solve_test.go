package chem

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func almost(a, b, tolerance float64) bool { return math.Abs(a-b) <= tolerance }

func TestSolveCases(t *testing.T) {
	free := math.Inf(1)
	for _, c := range []struct {
		name    string
		problem BoxProblem
		x       []float64
		reached []float64 // residual
		atCap   []bool
	}{
		{
			"one product, one aim",
			BoxProblem{A: [][]float64{{2}}, Want: []float64{10}, Weight: []float64{1}, Cap: []float64{free}},
			[]float64{5}, []float64{0}, []bool{false},
		},
		{
			"the cap binds",
			BoxProblem{A: [][]float64{{2}}, Want: []float64{10}, Weight: []float64{1}, Cap: []float64{3}},
			[]float64{3}, []float64{-4}, []bool{true},
		},
		{
			"too high is never dosed down",
			BoxProblem{A: [][]float64{{2}}, Want: []float64{-10}, Weight: []float64{1}, Cap: []float64{3}},
			[]float64{0}, []float64{10}, []bool{false},
		},
		{
			"two products cross-act",
			BoxProblem{A: [][]float64{{2, 1}, {0, 3}}, Want: []float64{7, 9}, Weight: []float64{1, 1}, Cap: []float64{free, free}},
			[]float64{2, 3}, []float64{0, 0}, []bool{false, false},
		},
		{
			"like products share",
			BoxProblem{A: [][]float64{{1, 1}}, Want: []float64{4}, Weight: []float64{1}, Cap: []float64{10, 10}},
			[]float64{2, 2}, []float64{0}, []bool{false, false},
		},
		{
			"a product without effect is left out",
			BoxProblem{A: [][]float64{{1, 0}}, Want: []float64{4}, Weight: []float64{1}, Cap: []float64{10, free}},
			[]float64{4, 0}, []float64{0}, []bool{false, false},
		},
		{
			"none of it may be used",
			BoxProblem{A: [][]float64{{1}}, Want: []float64{4}, Weight: []float64{1}, Cap: []float64{0}},
			[]float64{0}, []float64{-4}, []bool{false},
		},
		{
			// min 9(x−2)² + (x−4)²: x = 22/10.
			"weights",
			BoxProblem{A: [][]float64{{1}, {1}}, Want: []float64{2, 4}, Weight: []float64{3, 1}, Cap: []float64{free}},
			[]float64{2.2}, []float64{0.2, -1.8}, []bool{false},
		},
		{
			// min (x−2)² + 2x: x = 1.
			"cost",
			BoxProblem{A: [][]float64{{1}}, Want: []float64{2}, Weight: []float64{1}, Cap: []float64{5}, Cost: []float64{2}},
			[]float64{1}, []float64{-1}, []bool{false},
		},
		{
			"nothing asked",
			BoxProblem{},
			nil, nil, nil,
		},
	} {
		s := Solve(c.problem)
		if s.Err != nil || s.Gradient > 1e-9 {
			t.Errorf("%s: gradient %g, %v", c.name, s.Gradient, s.Err)
		}
		for j, x := range c.x {
			if !almost(s.X[j], x, 2e-5*math.Max(1, x)) || s.AtCap[j] != c.atCap[j] {
				t.Errorf("%s: amount %d is %g (at cap %v), want %g (%v)", c.name, j, s.X[j], s.AtCap[j], x, c.atCap[j])
			}
		}
		for i, r := range c.reached {
			if !almost(s.Residual[i], r, 1e-4) {
				t.Errorf("%s: residual %d is %g, want %g", c.name, i, s.Residual[i], r)
			}
		}
	}
}

func drawProblem(t *rapid.T) BoxProblem {
	m := rapid.IntRange(1, 6).Draw(t, "aims")
	n := rapid.IntRange(1, 6).Draw(t, "products")
	p := BoxProblem{}
	for range m {
		row := make([]float64, n)
		for j := range row {
			if rapid.Bool().Draw(t, "acts") {
				row[j] = rapid.Float64Range(-1, 10).Draw(t, "a")
			}
		}
		p.A = append(p.A, row)
		p.Want = append(p.Want, rapid.Float64Range(-10, 10).Draw(t, "want"))
		p.Weight = append(p.Weight, rapid.Float64Range(0.1, 10).Draw(t, "weight"))
	}
	for range n {
		p.Cap = append(p.Cap, rapid.Float64Range(0, 5).Draw(t, "cap"))
	}
	return p
}

func misfit(p BoxProblem, x []float64) float64 {
	var sum float64
	for i := range p.Want {
		r := -p.Want[i]
		for j := range x {
			r += p.A[i][j] * x[j]
		}
		sum += p.Weight[i] * p.Weight[i] * r * r
	}
	return sum
}

// The answer keeps to the box, is the same each time, and no other point of
// the box is better by more than the ridge.
func TestSolveLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		s, again := Solve(p), Solve(p)
		best := misfit(p, s.X)
		for j, x := range s.X {
			if x < 0 || x > p.Cap[j] || x != again.X[j] {
				t.Fatalf("amount %d is %g and %g with cap %g", j, x, again.X[j], p.Cap[j])
			}
		}
		other := make([]float64, len(s.X))
		for j := range other {
			other[j] = p.Cap[j] * rapid.Float64Range(0, 1).Draw(t, "other")
		}
		if s.Gradient < 1e-9 && misfit(p, other) < best-1e-5*math.Max(1, best) {
			t.Fatalf("%v with %g is better than %v with %g", other, misfit(p, other), s.X, best)
		}
	})
}

// Two products that are all but alike: the sweeps end, say that some way is
// left, and have come close all the same.
func TestSolveRunsOut(t *testing.T) {
	p := BoxProblem{
		A: [][]float64{{1, 1.0001}, {1.0001, 1}}, Want: []float64{1, 1.00008}, Weight: []float64{300, 300},
		Cap: []float64{2, 2},
	}
	s := Solve(p)
	if s.Err != nil || s.Gradient < smallestStep || s.Gradient > 1e-3 {
		t.Errorf("gradient %g, %v", s.Gradient, s.Err)
	}
	if !almost(s.Residual[0], 0, 1e-4) || !almost(s.Residual[1], 0, 1e-4) {
		t.Errorf("the residual is %v", s.Residual)
	}
}

func TestSolveRefuses(t *testing.T) {
	nan := math.NaN()
	good := func() BoxProblem {
		return BoxProblem{A: [][]float64{{1}}, Want: []float64{1}, Weight: []float64{1}, Cap: []float64{1}}
	}
	for name, spoil := range map[string]func(*BoxProblem){
		"rows":            func(p *BoxProblem) { p.A = nil },
		"columns":         func(p *BoxProblem) { p.A = [][]float64{{1, 2}} },
		"weights":         func(p *BoxProblem) { p.Weight = nil },
		"costs":           func(p *BoxProblem) { p.Cost = []float64{1, 2} },
		"NaN effect":      func(p *BoxProblem) { p.A[0][0] = nan },
		"NaN aim":         func(p *BoxProblem) { p.Want[0] = nan },
		"negative weight": func(p *BoxProblem) { p.Weight[0] = -1 },
		"NaN cap":         func(p *BoxProblem) { p.Cap[0] = nan },
		"negative cap":    func(p *BoxProblem) { p.Cap[0] = -1 },
		"negative cost":   func(p *BoxProblem) { p.Cost = []float64{-1} },
		"infinite cost":   func(p *BoxProblem) { p.Cost = []float64{math.Inf(1)} },
	} {
		p := good()
		spoil(&p)
		if s := Solve(p); s.Err == nil || s.X[0] != 0 {
			t.Errorf("%s: %+v", name, s)
		}
	}
}
