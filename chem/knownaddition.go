package chem

import (
	"math"

	"weirkeeper/assets/words"
)

// KnownAddition is an experiment that measures a system's net volume: a known
// mass of something is added and mixed in, and its concentration read before
// and after by the same method.
type KnownAddition struct {
	// Mass of the analyte added and its standard uncertainty, in mg (for
	// alkalinity in meq, for µg/L analytes in µg).
	Mass, MassUncertainty float64
	// Before and After are concentrations in the canonical unit, with the
	// standard deviation of each.
	Before, BeforeScatter float64
	After, AfterScatter   float64
	// Slope is the relative standard uncertainty of the method's slope; an
	// offset of the method cancels. Zero: none.
	Slope float64
}

// AdditionError says what is wrong with a known addition.
type AdditionError struct {
	Field   string     // "mass", "after", "scatter" or "slope"
	Problem words.Text // what is wrong, a sentence without full stop
	Remedy  words.Text // what to do
}

// Words implements words.Worded: what is wrong and what to do in one line.
func (e *AdditionError) Words() words.Text { return words.T("%s: %s", e.Problem, e.Remedy) }

// Error says it in English.
func (e *AdditionError) Error() string { return e.Words().String() }

// Volume returns the net volume V = m/(c₂ − c₁) in litres with its standard
// uncertainty by first-order propagation (GUM, JCGM 100:2008, 5.1.2):
// (u/V)² = (u_m/m)² + (s₁² + s₂²)/(c₂ − c₁)² + slope². It refuses a rise that
// is less than five of its own standard deviations: the volume would be a
// guess, and the formula no longer holds. The error is an *AdditionError.
func (k KnownAddition) Volume() (litres, uncertainty float64, err error) {
	rise, noise := k.After-k.Before, math.Hypot(k.BeforeScatter, k.AfterScatter)
	switch {
	case !finite(k.Mass) || k.Mass <= 0 || !finite(k.MassUncertainty) || k.MassUncertainty < 0:
		return 0, 0, &AdditionError{"mass", words.T("An added mass of %g cannot be", k.Mass), "give a mass above zero"}
	case !(k.Slope >= 0) || !finite(k.Slope):
		return 0, 0, &AdditionError{"slope", words.T("A doubt of the method's slope of %g cannot be", k.Slope), "give zero or more"}
	case !(k.BeforeScatter >= 0) || !(k.AfterScatter >= 0):
		return 0, 0, &AdditionError{"scatter", "A scatter below zero cannot be", "give zero or more"}
	case !finite(rise) || rise <= 0:
		return 0, 0, &AdditionError{"after", "The concentration has not risen", "check both readings, and wait until it is mixed"}
	case !finite(noise) || rise < 5*noise:
		return 0, 0, &AdditionError{"after", words.T("The rise of %.3g is too small beside the readings' scatter of %.3g", rise, noise),
			"repeat the readings, or measure with something safe to add more of"}
	}
	litres = k.Mass / rise
	share := math.Hypot(math.Hypot(k.MassUncertainty/k.Mass, noise/rise), k.Slope)
	return litres, litres * share, nil
}
