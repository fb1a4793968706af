package changes

import "weirkeeper/chem"

// Step is one change of a course, or one day of a continuous change.
type Step struct {
	Number int // from 1
	Day    int // from the first, 0
	After  chem.Analysis
	// Nearest is the limit that it takes most of; Limited is false where none is known.
	Nearest Use
	Limited bool
}

// mostSteps bounds a course: two years of weekly changes, a year of daily ones.
const mostSteps = 400

// Course is what a plan comes to.
type Course struct {
	Changes int     // to the goal; of a continuous change days
	Volumes float64 // of new water in all, in volumes of the system
	Steps   []Step  // 400 at the most
	Nearest Use     // of all steps; Limited is false where no limit is known
	Limited bool
}

// Run returns the course of a plan. The errors are those of [Plan.Changes].
func (p Plan) Run() (Course, error) {
	n, err := p.Changes()
	if err != nil {
		return Course{}, err
	}
	c := Course{Changes: n, Volumes: float64(n) * p.Share}
	for i := 1; i <= min(n, mostSteps); i++ {
		s, err := p.step(i)
		if err != nil {
			return Course{}, err
		}
		c.Steps = append(c.Steps, s)
		if s.Limited && (!c.Limited || s.Nearest.Part() > c.Nearest.Part()) {
			c.Nearest, c.Limited = s.Nearest, true
		}
	}
	return c, nil
}

func (p Plan) step(n int) (Step, error) {
	s := Step{Number: n, Day: (n - 1) * int(p.every()), After: chem.Analysis{}}
	for _, a := range p.known() {
		level, err := p.after(a, n)
		if err != nil {
			return Step{}, err
		}
		s.After[a] = level
	}
	var err error
	s.Nearest, s.Limited, err = p.worst(n)
	return s, err
}

// Missing is what new water lacks of a hardness that is to be kept.
type Missing struct {
	Analyte chem.Analyte // chem.Alkalinity or chem.Hardness
	Has     float64      // the new water
	Aim     float64
}

// Lacks is how much a litre of the new water lacks, canonical.
func (m Missing) Lacks() float64 { return m.Aim - m.Has }

// Lacking lists what the new water lacks of carbonate and general hardness against the
// aims of the bands, and where there is none against the system's present level.
func (p Plan) Lacking() []Missing {
	var all []Missing
	for _, a := range []chem.Analyte{chem.Alkalinity, chem.Hardness} {
		has, known := p.New[a]
		aim, toKeep := p.Now[a]
		for _, b := range p.Bands {
			if b.Analyte == a && b.HasEdges() {
				aim, toKeep = b.Aim, true
			}
		}
		if m := (Missing{a, has, aim}); known && toKeep && m.Lacks() > 0 {
			all = append(all, m)
		}
	}
	return all
}
