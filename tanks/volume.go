package tanks

import (
	"fmt"
	"math"
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

// Volume returns the net volume V = m/(c₂ − c₁) in litres with its standard
// uncertainty by first-order propagation (GUM, JCGM 100:2008, 5.1.2):
// (u/V)² = (u_m/m)² + (s₁² + s₂²)/(c₂ − c₁)² + slope². It refuses a rise that
// is less than five of its own standard deviations: the volume would be a
// guess, and the formula no longer holds.
func (k KnownAddition) Volume() (Volume, error) {
	rise, noise := k.After-k.Before, math.Hypot(k.BeforeScatter, k.AfterScatter)
	switch {
	case !finite(k.Mass) || k.Mass <= 0 || !finite(k.MassUncertainty) || k.MassUncertainty < 0:
		return Volume{}, Fault{Field: "mass", Problem: fmt.Sprintf("An added mass of %g cannot be", k.Mass), Remedy: "give a mass above zero"}
	case !finite(rise) || rise <= 0:
		return Volume{}, Fault{Field: "after", Problem: "The concentration has not risen", Remedy: "check both readings, and wait until it is mixed"}
	case !finite(noise) || !finite(k.Slope) || rise < 5*noise:
		return Volume{}, Fault{Field: "after", Problem: fmt.Sprintf("The rise of %.3g is too small beside the readings' scatter of %.3g", rise, noise), Remedy: "repeat the readings, or measure with something safe to add more of"}
	}
	v := k.Mass / rise
	share := math.Sqrt(sq(k.MassUncertainty/k.Mass) + sq(noise/rise) + sq(k.Slope))
	return Volume{Litres: v, Uncertainty: v * share, How: "known addition"}, nil
}

func sq(x float64) float64 { return x * x }
