package seawater

import (
	"errors"
	"math"
	"testing"
)

// Every range that is stated is the range that is kept: its ends are taken, what
// lies a hair outside is refused with both ends named.
func TestBounds(t *testing.T) {
	sea := Conditions{Salinity: 35, Temperature: 25}
	solve := func(c Conditions) error { _, err := c.FromPH(2300, 8, TotalScale); return err }
	fresh := func(f Fresh) error { _, err := f.FromPH(1, 7); return err }
	scalar := func(_ float64, err error) error { return err }
	for _, c := range []struct {
		name      string
		quantity  string
		low, high float64
		call      func(v float64) error
	}{
		{"density", "salinity", 0, 42, func(v float64) error { return scalar(Density(v, 25)) }},
		{"density", "temperature", -2, 40, func(v float64) error { return scalar(Density(35, v)) }},
		{"conductivity", "temperature", -2, 35, func(v float64) error { return scalar(ConductivityFromSalinity(35, v)) }},
		{"Lueker", "salinity", 19, 43, func(v float64) error { return solve(Conditions{Salinity: v, Temperature: 25}) }},
		{"Lueker", "temperature", 2, 35, func(v float64) error { return solve(Conditions{Salinity: 35, Temperature: v}) }},
		{"Millero", "salinity", 5, 42, func(v float64) error { return solve(Conditions{Salinity: v, Temperature: 25, Set: SetEstuary}) }},
		{"Millero", "temperature", 5, 40,
			func(v float64) error { return solve(Conditions{Salinity: 35, Temperature: v, Set: SetEstuary}) }},
		{"conditions", "calcium", 0, 100000, func(v float64) error { return solve(Conditions{Salinity: 35, Temperature: 25, Calcium: v}) }},
		{"conditions", "phosphate", 0, 2000, func(v float64) error {
			_, err := Conditions{Salinity: 35, Temperature: 25, Phosphate: v}.Equilibria()
			return err
		}},
		{"conditions", "silicate", 0, 2000, func(v float64) error {
			_, err := Conditions{Salinity: 35, Temperature: 25, Silicate: v}.Equilibria()
			return err
		}},
		{"pH", "pH", 3, 12, func(v float64) error {
			e, err := sea.Equilibria()
			if err != nil {
				return err
			}
			return scalar(e.ConvertPH(v, TotalScale, FreeScale))
		}},
		{"air", "partial pressure of CO2", 0.001, 100000, func(v float64) error { _, err := sea.FromPCO2(300, v); return err }},
		{"fresh", "temperature", 0, 40, func(v float64) error { return fresh(Fresh{Temperature: v}) }},
		{"fresh", "ionic strength", 0, 100, func(v float64) error { return fresh(Fresh{Temperature: 25, IonicStrength: v}) }},
		{"fresh", "calcium", 0, 100, func(v float64) error { return fresh(Fresh{Temperature: 25, Calcium: v}) }},
		{"fresh", "alkalinity", 0, 100, func(v float64) error { _, err := Fresh{Temperature: 25}.FromPH(v, 6); return err }},
		{"fresh", "inorganic carbon", 0, 100, func(v float64) error { _, err := Fresh{Temperature: 25}.FromDIC(1, v); return err }},
		{"fresh", "conductivity of fresh water", 0, 6000, func(v float64) error { return scalar(IonicStrengthFromConductivity(v)) }},
		{"oxygen", "salinity", 0, 42, func(v float64) error { return scalar(OxygenSolubility(v, 25, 1)) }},
		{"oxygen", "temperature", 0, 40, func(v float64) error { return scalar(OxygenMolality(35, v)) }},
		{"oxygen", "barometric pressure", 0.5, 1.1, func(v float64) error { return scalar(OxygenSolubility(35, 25, v)) }},
		{"oxygen", "oxygen", 0, 60, func(v float64) error { return scalar(OxygenSaturation(v, 35, 25, 1)) }},
		{"altitude", "height above the sea", -500, 5500, func(v float64) error { return scalar(PressureAtAltitude(v)) }},
		{"ammonia", "temperature", 0, 40, func(v float64) error { return scalar(UnionizedFresh(v, 7)) }},
		{"ammonia", "pH", 3, 12, func(v float64) error { return scalar(UnionizedFresh(25, v)) }},
		{"sea ammonia", "salinity", 0, 40, func(v float64) error { return scalar(UnionizedSeawater(v, 25, 8)) }},
		{"sea ammonia", "temperature", 0, 40, func(v float64) error { return scalar(UnionizedSeawater(35, v, 8)) }},
		{"refraction", "temperature", 0, 35, func(v float64) error { return scalar(RefractiveIndex(35, v, SodiumLine)) }},
		{"refraction", "wavelength", 400, 700, func(v float64) error { return scalar(RefractiveIndex(35, 25, v)) }},
		{"refraction", "salinity", 0, 42, func(v float64) error { return scalar(RefractiveIndex(v, 25, SodiumLine)) }},
		{"compensation", "temperature coefficient", 0, 5, func(v float64) error {
			return scalar(Compensation{PerDegree: v / 100, Reference: 25}.Compensated(50, 25))
		}},
		{"compensation", "reference temperature", 0, 35,
			func(v float64) error { return scalar(Compensation{Reference: v}.Compensated(50, 25)) }},
		{"compensation", "conductivity", 0, 75, func(v float64) error { return scalar(Compensation{}.Compensated(v, 25)) }},
	} {
		for _, end := range []float64{c.low, c.high} {
			var e RangeError
			if err := c.call(end); errors.As(err, &e) && e.Quantity.String() == c.quantity {
				t.Errorf("%s: %s %g is refused: %v", c.name, c.quantity, end, err)
			}
		}
		hair := 1e-4 * max(1, math.Abs(c.high-c.low)/100)
		if c.quantity == "partial pressure of CO2" {
			hair = 5e-4
		}
		for _, outside := range []float64{c.low - hair, c.high + hair, math.NaN(), math.Inf(1), math.Inf(-1)} {
			var e RangeError
			err := c.call(outside)
			if !errors.As(err, &e) || e.Quantity.String() != c.quantity || e.Low != c.low || e.High != c.high {
				t.Errorf("%s: %s %g gave %v, want %g to %g", c.name, c.quantity, outside, err, c.low, c.high)
			}
		}
	}
}
