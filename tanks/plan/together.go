package plan

import (
	"math"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
)

// together chooses the corrections of a system's lines at once, each product's
// effects on every analyte included: the amounts that come closest to all
// aims, weighted by the width of the bands, none above its own days' safe
// amount. What cannot be reached is said.
func (p *SystemPlan) together(opt Options) {
	volume := p.Volume.Litres
	var use []int
	for i, l := range p.Lines {
		if l.Known && l.Product.ID != 0 && l.Gap > 0 && l.wants() && volume > 0 {
			use = append(use, i)
		}
	}
	if len(use) < 2 {
		return
	}
	problem := chem.BoxProblem{}
	for _, j := range use {
		l := p.Lines[j]
		problem.Cap = append(problem.Cap, l.Correction*1.5)
	}
	for _, i := range use {
		l := p.Lines[i]
		row := make([]float64, len(use))
		for n, j := range use {
			effects, err := p.Lines[j].Product.Contents.Effects()
			if err == nil {
				row[n] = effects[l.Analyte] / volume
			}
		}
		problem.A = append(problem.A, row)
		problem.Want = append(problem.Want, l.Gap)
		problem.Weight = append(problem.Weight, 1/math.Max(l.Band.Width(), 1e-9))
	}
	solution := chem.Solve(problem)
	for n, i := range use {
		l := &p.Lines[i]
		l.Correction = solution.X[n]
		l.Days = days(l.rise(l.Correction, volume), l.Band.MaxRise)
		if miss := -solution.Residual[n]; miss > 0.05*l.Band.Width() {
			short := words.T("%s stays %s short of its aim: the products on the shelf cannot do it together.", l.Analyte,
				l.delta(miss, opt))
			p.NotReached = append(p.NotReached, short)
		}
	}
}
