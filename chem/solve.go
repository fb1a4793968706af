package chem

import (
	"math"

	"weirkeeper/assets/words"
)

// BoxProblem asks for amounts x, 0 ≤ x ≤ Cap, that bring A·x closest to Want:
// the least Σ (Weight·(A·x − Want))² + Cost·x. Rows are aims, columns products.
// The weight of an aim is one over the width of its band.
type BoxProblem struct {
	A      [][]float64 // rows by columns
	Want   []float64   // by row
	Weight []float64   // by row, 0 or more
	Cap    []float64   // by column, 0 or more; +Inf for none
	Cost   []float64   // by column; nil for none
}

// BoxSolution is the answer; it is always within the caps.
type BoxSolution struct {
	X        []float64 // by column
	Residual []float64 // A·X − Want by row: what could not be reached
	AtCap    []bool    // by column: the cap binds
	// Gradient is the largest step that is still left in any one amount,
	// counted in weighted units of Want. Above about 1e-9 the sweeps ran out on
	// products that are nearly alike.
	Gradient float64
	// Err tells that the problem is not well posed; X is then all zeros.
	Err error
}

const (
	mostSweeps   = 20000
	smallestStep = 1e-10
	// ridge makes the answer single where products do the same: they share.
	ridge = 1e-6
)

// Solve finds the amounts by cyclic coordinate descent, in units of the caps
// and with a ridge of 1e-6 in these units. It needs no feasible aim, always
// ends, and gives the same answer for the same problem.
func Solve(p BoxProblem) BoxSolution {
	n, m := len(p.Cap), len(p.Want)
	s := BoxSolution{X: make([]float64, n), Residual: make([]float64, m), AtCap: make([]bool, n)}
	if s.Err = p.check(); s.Err != nil {
		return s
	}
	d := newDescent(p)
	d.startEvenly()
	for range mostSweeps {
		if s.Gradient = d.sweep(); s.Gradient < smallestStep {
			break
		}
	}
	for j := range n {
		s.X[j] = d.z[j] * d.unit[j]
		s.AtCap[j] = p.Cap[j] > 0 && d.z[j] >= d.top[j]
	}
	for i := range m {
		s.Residual[i] = -p.Want[i]
		for j := range n {
			s.Residual[i] += p.A[i][j] * s.X[j]
		}
	}
	return s
}

func (p BoxProblem) check() error {
	n, m := len(p.Cap), len(p.Want)
	if len(p.A) != m || len(p.Weight) != m || (p.Cost != nil && len(p.Cost) != n) {
		return words.Errorf("%d rows of effects and %d weights for %d aims, %d costs for %d products", len(p.A), len(p.Weight), m,
			len(p.Cost), n)
	}
	for i, effects := range p.A {
		if len(effects) != n {
			return words.Errorf("row %d has %d effects for %d products", i, len(effects), n)
		}
		for j, a := range effects {
			if !finite(a) {
				return words.Errorf("the effect of product %d on aim %d is %g", j, i, a)
			}
		}
		if !finite(p.Want[i]) || !finite(p.Weight[i]) || p.Weight[i] < 0 {
			return words.Errorf("aim %d is %g with weight %g", i, p.Want[i], p.Weight[i])
		}
	}
	for j, c := range p.Cap {
		if !(c >= 0) {
			return words.Errorf("the cap of product %d is %g", j, c)
		}
	}
	for j, c := range p.Cost {
		if !(c >= 0) || !finite(c) {
			return words.Errorf("the cost of product %d is %g", j, c)
		}
	}
	return nil
}

// descent is the problem in scaled amounts z = x/unit, with weighted rows.
type descent struct {
	a         [][]float64 // by column: weighted effects of a unit
	cost      []float64   // half the cost of a unit
	unit, top []float64   // top: the cap in units
	norm      []float64   // Σ a² + ridge
	z         []float64
	residual  []float64 // weighted
}

func newDescent(p BoxProblem) *descent {
	n, m := len(p.Cap), len(p.Want)
	d := &descent{
		a: make([][]float64, n), cost: make([]float64, n), unit: make([]float64, n), top: make([]float64, n),
		norm: make([]float64, n), z: make([]float64, n), residual: make([]float64, m),
	}
	for i := range m {
		d.residual[i] = -p.Weight[i] * p.Want[i]
	}
	for j := range n {
		d.a[j] = make([]float64, m)
		var squares float64
		for i := range m {
			d.a[j][i] = p.Weight[i] * p.A[i][j]
			squares += d.a[j][i] * d.a[j][i]
		}
		d.unit[j], d.top[j] = unitOf(p.Cap[j], squares)
		for i := range m {
			d.a[j][i] *= d.unit[j]
		}
		d.norm[j] = squares*d.unit[j]*d.unit[j] + ridge
		if p.Cost != nil {
			d.cost[j] = p.Cost[j] * d.unit[j] / 2
		}
	}
	return d
}

// unitOf scales an amount by its cap, or without one by its effect.
func unitOf(limit, squares float64) (unit, top float64) {
	switch {
	case limit == 0:
		return 1, 0
	case !math.IsInf(limit, 0):
		return limit, 1
	case squares > 0:
		return 1 / math.Sqrt(squares), limit
	}
	return 1, limit
}

// startEvenly begins with the best even share of all units, so that products
// that do the same also share.
func (d *descent) startEvenly() {
	var slope, squares float64
	for i, r := range d.residual {
		var sum float64
		for j := range d.a {
			sum += d.a[j][i]
		}
		slope += sum * r
		squares += sum * sum
	}
	if squares == 0 {
		return
	}
	even := max(0, -slope/squares)
	for j := range d.z {
		d.move(j, min(even, d.top[j]))
	}
}

func (d *descent) move(j int, z float64) {
	for i, a := range d.a[j] {
		d.residual[i] += a * (z - d.z[j])
	}
	d.z[j] = z
}

// sweep sets each amount to its best in turn and returns the largest step.
func (d *descent) sweep() float64 {
	var largest float64
	for j, z := range d.z {
		slope := ridge*z + d.cost[j]
		for i, a := range d.a[j] {
			slope += a * d.residual[i]
		}
		next := min(d.top[j], max(0, z-slope/d.norm[j]))
		if next != z {
			d.move(j, next)
			largest = max(largest, math.Abs(next-z)*math.Sqrt(d.norm[j]))
		}
	}
	return largest
}
