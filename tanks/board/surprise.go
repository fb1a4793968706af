package board

import (
	"math"
	"slices"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// Surprise compares a reading that was just typed with what its cell lets expect:
// the course, or else what its newest readings were [Board.Expecting]. What neither
// can tell is no surprise, nor is a bound.
func (e *Estimated) Surprise(r tanks.Reading, recent []float64) tanks.Finding {
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
	number, in := e.asTyped(r)
	return tanks.Surprise(r.Value, scatter, expected, number, in)
}

// Slip compares an exact value of a file with the values of its cell before it, and
// finds what a slip of the decimal point explains; Places is 0 when none does. A slip
// multiplies what was typed, and so in every unit that is a multiple: temperature and
// pH have others and are left out.
func Slip(r tanks.Reading, before []float64, m tanks.Method) tanks.Finding {
	m.Analyte = r.Analyte
	scatter, _ := m.Scatter(r.Value)
	expected, ok := tanks.Expect(before, scatter)
	number, _ := r.Number()
	if !ok || number == 0 || r.Analyte == chem.Temperature || r.Analyte == chem.PH {
		return tanks.Finding{}
	}
	found := tanks.Surprise(r.Value, scatter, expected, number, func(v float64) (float64, error) { return r.Value * v / number, nil })
	if found.Places == 0 {
		return tanks.Finding{}
	}
	return found
}

// asTyped returns the number of a reading as it was typed, and how such numbers
// become canonical.
func (e *Estimated) asTyped(r tanks.Reading) (number float64, in func(float64) (float64, error)) {
	info, _ := chem.Lookup(r.Analyte)
	water := e.WaterAt(r.System, r.At)
	number, unit := r.Number()
	return number, func(v float64) (float64, error) { return chem.Convert(r.Analyte, v, unit, info.Unit, water) }
}

func (e *Estimated) expectation(r tanks.Reading, recent []float64, scatter float64) (tanks.Expectation, bool) {
	if course, ok := e.Course(r.Cell()); ok {
		return course.estimate(r.At).Expectation(), true
	}
	return tanks.Expect(recent, scatter)
}

// Expecting returns the values that let expect the next one of a cell, of its newest
// readings in the order of time: the last few of the bench. Bounds and results of
// laboratories let expect nothing of it.
func (b *Board) Expecting(readings []tanks.Reading) []float64 {
	values := make([]float64, 0, ExpectBy)
	for n := len(readings) - 1; n >= 0 && len(values) < ExpectBy; n-- {
		if r := readings[n]; r.Limit == tanks.Exact && !b.byLab(r) {
			values = append(values, r.Value)
		}
	}
	slices.Reverse(values)
	return values
}

// Specific gravities of the waters that are kept, from brackish to brine.
const lowGravity, highGravity = 1.001, 1.035

// mostFresh is the salinity in PSU above which no fresh system lies, leastMarine that below
// which no marine one does, treated or not (common practice, no source).
const mostFresh, leastMarine = 3, 5

// Mistaken asks about a salinity that does not go with the kind of the system's water:
// in PSU it reads like a specific gravity, or it is another kind's. Where the reading
// before it was alike nothing is asked again. Empty: it does go with it.
func (b *Board) Mistaken(r tanks.Reading) words.Text {
	s, _ := b.System(r.System)
	salt := s.Kind == tanks.Marine || s.Kind == tanks.Brackish
	if r.Analyte != chem.Salinity {
		return ""
	}
	if salt && r.Unit == chem.PSU && r.Value >= lowGravity && r.Value <= highGravity {
		return words.T(
			"%s PSU is almost fresh water. A specific gravity is typed with its scale, such as %s %s.",
			words.Text(r.Typed),
			words.Text(r.Typed),
			chem.SG25,
		)
	}
	if before, known := b.Latest[r.Cell()]; known && math.Abs(before.Value-r.Value) < mostFresh {
		return ""
	}
	switch {
	case s.Kind == tanks.Freshwater && r.Value > mostFresh:
		return words.T("%s is a freshwater system, and this is salt water: is it another system's row?", s.Code)
	case s.Kind == tanks.Marine && r.Value < leastMarine:
		return words.T("%s is a marine system, and this is nearly fresh water: is it another system's row?", s.Code)
	}
	return ""
}

// ExpectBy is how many of the newest values let expect the next one (our choice).
const ExpectBy = 6
