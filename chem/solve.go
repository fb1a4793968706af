package chem

import "math"

// BoxProblem asks for amounts x, 0 ≤ x ≤ Cap, that bring A·x closest to Want,
// each row weighted: the least Σ (Weight·(A·x − Want))².
type BoxProblem struct {
	A      [][]float64 // rows by columns
	Want   []float64   // by row
	Weight []float64   // by row, above 0
	Cap    []float64   // by column, 0 or more; +Inf for none
}

// BoxSolution is the answer. Residual is A·x − Want by row; AtCap tells which
// amounts stand at their cap; Gradient is what is left of the slope that
// could still be followed, scaled, about 0 when solved.
type BoxSolution struct {
	X        []float64
	Residual []float64
	AtCap    []bool
	Gradient float64
}

const mostSweeps = 20000

// Solve finds the amounts by cyclic coordinate descent on columns scaled to
// one, which always ends and gives the same answer for the same problem.
func Solve(p BoxProblem) BoxSolution {
	n, m := len(p.Cap), len(p.Want)
	s := BoxSolution{X: make([]float64, n), Residual: make([]float64, m), AtCap: make([]bool, n)}
	norm := make([]float64, n)
	for j := range n {
		for i := range m {
			norm[j] += sq(p.Weight[i] * p.A[i][j])
		}
	}
	for i := range m {
		s.Residual[i] = -p.Want[i]
	}
	for range mostSweeps {
		s.Gradient = 0
		for j := range n {
			s.Gradient = math.Max(s.Gradient, s.step(p, j, norm[j]))
		}
		if s.Gradient < 1e-12 {
			break
		}
	}
	for j := range n {
		s.AtCap[j] = s.X[j] > 0 && s.X[j] >= p.Cap[j]
	}
	return s
}

// step sets one amount to its best and returns how far it moved, scaled.
func (s *BoxSolution) step(p BoxProblem, j int, norm float64) float64 {
	if norm == 0 {
		return 0
	}
	var slope float64
	for i := range p.Want {
		slope += sq(p.Weight[i]) * p.A[i][j] * s.Residual[i]
	}
	next := math.Min(p.Cap[j], math.Max(0, s.X[j]-slope/norm))
	move := next - s.X[j]
	if move == 0 {
		return 0
	}
	s.X[j] = next
	for i := range p.Want {
		s.Residual[i] += p.A[i][j] * move
	}
	return math.Abs(move) * math.Sqrt(norm)
}

func sq(x float64) float64 { return x * x }
