package board

import "weirkeeper/tanks"

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

// expectBy is how many of the newest values let expect the next one (our choice).
const expectBy = 6
