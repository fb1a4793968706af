package chem

import (
	"math"

	"weirkeeper/assets/words"
)

// Goal is what a water is to have of an analyte, in its canonical unit.
type Goal struct {
	Analyte Analyte
	Value   float64
	// Within is how near is near enough, above zero: goals that cannot all be
	// reached are weighed against one another by it.
	Within float64
}

func checkGoals(goals []Goal) error {
	if len(goals) == 0 {
		return words.Errorf("no goal is given: say what the water is to have")
	}
	seen := map[Analyte]bool{}
	for _, g := range goals {
		switch {
		case seen[g.Analyte]:
			return words.Errorf("%s is asked for twice: keep one", g.Analyte)
		case !(g.Within > 0) || !finite(g.Within):
			return words.Errorf("how near to the goal is near enough for %s must be above zero", g.Analyte.InSentence())
		}
		if err := plausible(g.Analyte, g.Value); err != nil {
			return err
		}
		seen[g.Analyte] = true
	}
	return nil
}

// Missed is a goal that was not come near enough to, and what the water would
// have instead.
type Missed struct {
	Goal
	Got float64
}

// missedOf lists the goals that a water misses. A goal is met within its Within and
// a millionth of its value, for the rounding of a solver.
func missedOf(goals []Goal, water Analysis) []Missed {
	var out []Missed
	for _, g := range goals {
		if got := water.known(g.Analyte); !(math.Abs(got-g.Value) <= g.Within+1e-6*math.Abs(g.Value)) {
			out = append(out, Missed{g, got})
		}
	}
	return out
}

// Blending is how much of each water makes a blend.
type Blending struct {
	Litres []float64 // by water, in their order; they add up to the whole
	Made   Blended
	Missed []Missed
}

// Source is a water that a blend may take from.
type Source struct {
	Water    Analysis
	Purified bool    // see [Portion]
	Most     float64 // litres that there are; +Inf or 0: enough
}

// BlendTo returns how much of each of some sources makes litres of water as near
// to the goals as they allow, each goal weighed by its Within: every source must
// know the analytes asked for, unless it is purified. The error is a
// *MissingError, wraps [ErrVolume], or says that the sources do not hold so much.
func BlendTo(litres float64, goals []Goal, sources ...Source) (Blending, error) {
	if err := checkLitres("a blend of", litres); err != nil {
		return Blending{}, err
	}
	if err := checkGoals(goals); err != nil {
		return Blending{}, err
	}
	b, err := newShares(litres, goals, sources)
	if err != nil {
		return Blending{}, err
	}
	// Salinity and temperature do not mix quite by volume: what is still lacking is
	// asked for besides, and settles in a few rounds.
	asked := make([]float64, len(goals))
	for i, g := range goals {
		asked[i] = g.Value
	}
	var out Blending
	for range 6 {
		b.solve(asked)
		if out, err = b.blending(litres, sources); err != nil {
			return Blending{}, err
		}
		for i, g := range goals {
			asked[i] += g.Value - out.Made.Water.known(g.Analyte)
		}
		if out.Missed = missedOf(goals, out.Made.Water); len(out.Missed) == 0 {
			break
		}
	}
	return out, nil
}

// shares is the search for parts of a whole: parts of 0 to top each, together 1,
// with the least sum of squares of weighted misses.
type shares struct {
	a        [][]float64 // by source: weighted level of each goal
	weight   []float64   // by goal
	top      []float64   // by source
	part     []float64
	residual []float64 // weighted
}

func newShares(litres float64, goals []Goal, sources []Source) (*shares, error) {
	b := &shares{weight: make([]float64, len(goals)), part: make([]float64, len(sources)), residual: make([]float64, len(goals))}
	for i, g := range goals {
		b.weight[i] = 1 / g.Within
	}
	left := 1.0
	for j, s := range sources {
		most := s.Most / litres
		if s.Most == 0 || most > 1 {
			most = 1
		}
		if !(most >= 0) {
			return nil, words.Errorf("source %d holds %g L: give zero or more", j+1, s.Most)
		}
		levels := make([]float64, len(goals))
		for i, g := range goals {
			v, known := s.Water[g.Analyte]
			if !known && !s.Purified {
				return nil, &MissingError{For: "the blend", Missing: []Analyte{g.Analyte}}
			}
			levels[i] = b.weight[i] * v
		}
		b.a, b.top = append(b.a, levels), append(b.top, most)
		b.part[j] = min(most, left)
		left -= b.part[j]
	}
	if left > 1e-9 {
		return nil, words.Errorf("the sources hold less than %g L together: make less, or add a source", litres)
	}
	return b, nil
}

// solve moves parts between pairs of sources, each time by the best step, until no
// pair gains: the problem is convex and the answer within the bounds.
func (b *shares) solve(asked []float64) {
	for i := range b.residual {
		b.residual[i] = -b.weight[i] * asked[i]
		for j, part := range b.part {
			b.residual[i] += b.a[j][i] * part
		}
	}
	const mostRounds, small = 20000, 1e-13
	for range mostRounds {
		largest := 0.0
		for j := range b.part {
			for k := range j {
				largest = max(largest, b.trade(j, k))
			}
		}
		if largest < small {
			return
		}
	}
}

// trade moves the best part from source k to source j, or back, and returns how
// much.
func (b *shares) trade(j, k int) float64 {
	var slope, curve float64
	for i, r := range b.residual {
		d := b.a[j][i] - b.a[k][i]
		slope += d * r
		curve += d * d
	}
	if curve == 0 {
		return 0
	}
	step := -slope / curve
	step = min(step, b.part[k], b.top[j]-b.part[j])
	step = max(step, -b.part[j], b.part[k]-b.top[k])
	b.part[j] += step
	b.part[k] -= step
	for i := range b.residual {
		b.residual[i] += step * (b.a[j][i] - b.a[k][i])
	}
	return math.Abs(step)
}

// blending makes the blend of the parts; a part too small to be measured out is
// left away.
func (b *shares) blending(litres float64, sources []Source) (Blending, error) {
	out := Blending{Litres: make([]float64, len(sources))}
	var portions []Portion
	for j, part := range b.part {
		const least = 1e-9
		if part < least {
			continue
		}
		out.Litres[j] = part * litres
		portions = append(portions, Portion{Water: sources[j].Water, Litres: part * litres, Purified: sources[j].Purified})
	}
	var err error
	out.Made, err = BlendMany(portions...)
	return out, err
}
