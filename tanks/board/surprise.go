package board

import (
	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// Surprise compares a reading that was just typed with what its cell lets expect:
// the course, or else the newest values of the cell, recent, in the order of time.
// What neither can tell is no surprise, nor is a bound.
func (e *Estimated) Surprise(r tanks.Reading, recent []tanks.Reading) tanks.Finding {
	if r.Limit != tanks.Exact {
		return tanks.Finding{}
	}
	m := e.Methods[r.Method]
	m.Analyte = r.Analyte
	scatter, _ := m.Scatter(r.Value)
	expected, ok := e.expectation(r, recent, scatter)
	if !ok {
		return tanks.Finding{}
	}
	return tanks.Surprise(r.Value, scatter, expected)
}

func (e *Estimated) expectation(r tanks.Reading, recent []tanks.Reading, scatter float64) (tanks.Expectation, bool) {
	if course, ok := e.Course(r.Cell()); ok {
		return course.estimate(r.At).Expectation(), true
	}
	var values []float64
	for _, old := range recent {
		if old.Limit == tanks.Exact && !e.byLab(old) {
			values = append(values, old.Value)
		}
	}
	return tanks.Expect(values[max(0, len(values)-expectBy):], scatter)
}

// Specific gravities of the waters that are kept, from brackish to brine.
const lowGravity, highGravity = 1.001, 1.035

// Mistaken asks about a salinity of salt water in PSU that reads like a specific
// gravity; empty: it does not.
func (b *Board) Mistaken(r tanks.Reading) words.Text {
	s, _ := b.System(r.System)
	salt := s.Kind == tanks.Marine || s.Kind == tanks.Brackish
	if !salt || r.Analyte != chem.Salinity || r.Unit != chem.PSU || r.Value < lowGravity || r.Value > highGravity {
		return ""
	}
	return words.T(
		"%s PSU is almost fresh water. A specific gravity is typed with its scale, such as %s %s.",
		words.Text(r.Typed),
		words.Text(r.Typed),
		chem.SG25,
	)
}

// expectBy is how many of the newest values let expect the next one (our choice).
const expectBy = 6
