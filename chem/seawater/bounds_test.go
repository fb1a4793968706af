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
	fresh := func(w Water) error { _, _, err := w.FromPH(1000, 7, NBSScale); return err }
	ammonia := func(w Water, pH float64) error { _, _, err := w.UnionizedAmmonia(pH, NBSScale); return err }
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
		{"conditions", "calcium", 0, 100000, func(v float64) error {
			return solve(Conditions{Salinity: 35, Temperature: 25,
				Calcium: Measured(v)})
		}},
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
		{"any water", "salinity", 0, 43, func(v float64) error { return fresh(Water{Salinity: v, Temperature: 25}) }},
		{"fresh", "temperature", 0, 40, func(v float64) error { return fresh(Water{Temperature: v}) }},
		{"brackish", "temperature", 5, 40, func(v float64) error { return fresh(Water{Salinity: 15, Temperature: v}) }},
		{"nearly the sea", "temperature", 5, 35, func(v float64) error { return fresh(Water{Salinity: 22, Temperature: v}) }},
		{"the sea", "temperature", 2, 35, func(v float64) error { return fresh(Water{Salinity: 35, Temperature: v}) }},
		{"fresh", "ionic strength", 0, 300000, func(v float64) error { return fresh(Water{Temperature: 25, IonicStrength: Measured(v)}) }},
		{"fresh", "calcium", 0, 100000, func(v float64) error { return fresh(Water{Temperature: 25, Calcium: Measured(v)}) }},
		{"fresh", "boron", 0, 100000, func(v float64) error { return fresh(Water{Temperature: 25, Boron: Measured(v)}) }},
		{"fresh", "sulfate", 0, 100000, func(v float64) error { return fresh(Water{Temperature: 25, Sulfate: Measured(v)}) }},
		{"fresh", "magnesium", 0, 100000, func(v float64) error { return fresh(Water{Temperature: 25, Magnesium: Measured(v)}) }},
		{"fresh", "sodium", 0, 1000000, func(v float64) error { return fresh(Water{Temperature: 25, Sodium: Measured(v)}) }},
		{"fresh", "potassium", 0, 100000, func(v float64) error { return fresh(Water{Temperature: 25, Potassium: Measured(v)}) }},
		{"fresh", "alkalinity", 0, 100000, func(v float64) error {
			_, _,
				err := Water{Temperature: 25}.FromPH(v, 6, NBSScale)
			return err
		}},
		{"fresh", "inorganic carbon", 0, 100000, func(v float64) error {
			_, _,
				err := Water{Temperature: 25}.FromDIC(1000, v)
			return err
		}},
		{"ionic strength", "salinity", 0, 42, func(v float64) error { return scalar(IonicStrength(v)) }},
		{"oxygen", "salinity", 0, 42, func(v float64) error { return scalar(OxygenSolubility(v, 25, 1)) }},
		{"oxygen", "temperature", 0, 40, func(v float64) error { return scalar(OxygenSolubility(35, v, 1)) }},
		{"oxygen", "barometric pressure", 0.5, 1.1, func(v float64) error { return scalar(OxygenSolubility(35, 25, v)) }},
		{"oxygen", "oxygen", 0, 60, func(v float64) error { return scalar(OxygenSaturation(v, 35, 25, 1)) }},
		{"altitude", "height above the sea", -500, 5500, func(v float64) error { return scalar(PressureAtAltitude(v)) }},
		{"ammonia", "salinity", 0, 40, func(v float64) error { return ammonia(Water{Salinity: v, Temperature: 25}, 8) }},
		{"ammonia", "temperature", 0, 40, func(v float64) error { return ammonia(Water{Temperature: v}, 8) }},
		{"ammonia", "pH", 3, 12, func(v float64) error { return ammonia(Water{Temperature: 25}, v) }},
		{"vapour", "temperature", 0, 40, func(v float64) error { return scalar(VapourPressure(35, v)) }},
		{"vapour", "salinity", 0, 42, func(v float64) error { return scalar(VapourPressure(v, 25)) }},
		{"air", "carbon dioxide of the air", 0, 100000, func(v float64) error { return scalar(AirPCO2(v, 35, 25, 1)) }},
		{"air", "barometric pressure", 0.5, 1.1, func(v float64) error { return scalar(AirPCO2(425, 35, 25, v)) }},
		{"refraction", "temperature", 0, 30, func(v float64) error { return scalar(RefractiveIndex(35, v, SodiumLine)) }},
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
