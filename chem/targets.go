package chem

import (
	"maps"
	"math"

	"weirkeeper/assets/words"
)

// Aim is what a dose is to bring a water to.
type Aim int

// The aims.
const (
	AimPH           Aim = iota + 1 // on the scale that is asked for
	AimCO2                         // mg/L of free carbon dioxide
	AimAragonite                   // saturation state of aragonite
	AimCalcite                     // saturation state of calcite
	AimCalciteIndex                // its logarithm: in fresh water the Langelier index
)

// of reads the aim from a carbon dioxide system.
func (a Aim) of(c Carbonates) float64 {
	switch a {
	case AimPH:
		return c.PH
	case AimCO2:
		return c.CO2
	case AimAragonite:
		return c.OmegaAragonite
	case AimCalcite:
		return c.OmegaCalcite
	case AimCalciteIndex:
		return c.SaturationIndex()
	}
	return none
}

// Target asks how much of a product brings a water to a value.
type Target struct {
	Aim    Aim
	Value  float64
	Litres float64
	// Aired asks for the value in balance with air that has Air ppm of carbon dioxide
	// when dry, such as [AirCO2]; else it is the value right after the dose.
	Aired bool
	Air   float64
	By    Conventions
}

// ErrTarget is returned for a value that no sensible amount of a product leads to.
var ErrTarget = words.New("no amount of this product leads there: choose another product or another goal")

// steepestDose bounds the search, in meq/L of alkalinity or mg/L of calcium.
const (
	steepestAlkalinity = 20
	steepestCalcium    = 1500
)

// DoseFor returns the amount of a product, in its unit, that brings the water to a
// target, and what it does: the other way round of [Analysis.Response]. It finds
// the smallest amount, up to some 20 meq/L or 1500 mg/L of calcium. The error
// wraps [ErrTarget], [ErrVolume], [ErrNoEffect] or [ErrCarbon], is a *MissingError
// or a [RangeError].
func (a Analysis) DoseFor(p Product, t Target) (float64, Response, error) {
	unit, err := p.CarbonateDose(1, t.Litres)
	if err != nil {
		return 0, Response{}, err
	}
	most := min(steepestAlkalinity/math.Abs(unit.Alkalinity), steepestCalcium/math.Abs(unit.Calcium))
	if math.IsInf(most, 1) {
		return 0, Response{}, ErrNoEffect
	}
	at := func(amount float64) (Response, float64, error) {
		d := AlkalinityDose{unit.Alkalinity * amount, unit.Carbon * amount, unit.Calcium * amount}
		r, err := a.Response(d, t.Air, t.By)
		if err != nil {
			return r, none, err
		}
		c := r.AtOnce
		if t.Aired {
			c = r.Aired
		}
		return r, t.Aim.of(c) - t.Value, nil
	}
	amount, err := smallestRoot(func(x float64) (float64, error) { _, v, err := at(x); return v, err }, most)
	if err != nil {
		return 0, Response{}, err
	}
	r, _, err := at(amount)
	return amount, r, err
}

// smallestRoot finds the least x of 0 to most at which f is zero: it walks outwards
// in growing steps until the sign changes, then halves. Where f cannot be computed
// the walk ends. At 0 an error is the question's own.
func smallestRoot(f func(float64) (float64, error), most float64) (float64, error) {
	low := 0.0
	here, err := f(0)
	switch {
	case err != nil:
		return 0, err
	case math.IsNaN(here):
		return 0, &MissingError{For: "the saturation", Missing: []Analyte{Calcium}}
	case math.Abs(here) < closeEnough:
		return 0, nil
	}
	const steps = 200
	for i := 1; i <= steps; i++ {
		high := most * math.Pow(float64(i)/steps, 3)
		there, err := f(high)
		if err != nil {
			return beforeTheEdge(f, low, high, here > 0)
		}
		if (there > 0) != (here > 0) || there == 0 {
			return halve(f, low, high, here > 0)
		}
		low = high
	}
	return 0, ErrTarget
}

// closeEnough is a miss that no instrument sees, in pH, mg/L or a saturation.
const closeEnough = 1e-7

// beforeTheEdge looks for the change of sign between low and high, where f cannot
// be computed: it goes ever nearer to the edge of what can be.
func beforeTheEdge(f func(float64) (float64, error), low, high float64, above bool) (float64, error) {
	for range 60 {
		middle := (low + high) / 2
		v, err := f(middle)
		switch {
		case err != nil:
			high = middle
		case (v > 0) != above:
			return halve(f, low, middle, above)
		default:
			low = middle
		}
	}
	return 0, ErrTarget
}

// halve narrows a change of sign down to the rounding of numbers; above tells that
// f is above zero at low.
func halve(f func(float64) (float64, error), low, high float64, above bool) (float64, error) {
	for range 100 {
		middle := (low + high) / 2
		v, err := f(middle)
		if err != nil {
			return 0, err
		}
		if (v > 0) == above && v != 0 {
			low = middle
		} else {
			high = middle
		}
	}
	return high, nil
}

// WithCO2 returns the carbon dioxide system when the water holds mg/L of free carbon
// dioxide, 0.01 to 200, and the mg/L of the gas that it takes to get there from
// what is in it now, below zero to drive out: the pH is what a controller would be
// set to. The errors are those of [Analysis.Carbonates].
func (a Analysis) WithCO2(mgL float64, by Conventions) (Carbonates, float64, error) {
	const least = 0.01
	if high := catalogue[CarbonDi].High; !(mgL >= least && mgL <= high) {
		return Carbonates{}, 0, RangeError{Quantity: CarbonDi.InSentence(), Value: mgL, Low: least, High: high, Unit: "mg/L"}
	}
	now, err := a.Carbonates(by)
	if err != nil {
		return Carbonates{}, 0, err
	}
	// Free carbon dioxide goes with its pressure at one temperature and salinity.
	then, err := a.CarbonatesAt(mgL*now.PCO2/now.CO2, by)
	return then, (then.DIC - now.DIC) * molCO2, err
}

// PHAt returns the pH of the same water, nothing let in or out, at another
// temperature in °C. The errors are those of [Analysis.Carbonates].
func (a Analysis) PHAt(tC float64, by Conventions) (float64, error) {
	now, err := a.Carbonates(by)
	if err != nil {
		return 0, err
	}
	other := maps.Clone(a)
	other[Temperature] = tC
	then, err := other.CarbonatesOfDIC(now.DIC, by)
	return then.PH, err
}
