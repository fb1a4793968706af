package seawater

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

var references = map[RefTemp]string{Ref60F: "60F", Ref20C: "20C", Ref25C: "25C"}

// density_sg.csv: relative densities of samples at their own temperature, and
// what a glass hydrometer shows; and TEOS-10 densities (IOC et al. 2010, by
// GSW-Python 3.6.16), which EOS-80 must keep to within 0.005 kg/m³ from 0 to 35 °C.
func TestHydrometerTable(t *testing.T) {
	for _, row := range readTable(t, "density_sg.csv") {
		s, tC := number(t, row["S"]), number(t, row["T90_C"])
		for ref, name := range references {
			d, err := RelativeDensity(s, tC, ref)
			want(t, "relative density", d, err, number(t, row["relrho_t_"+name+"_EOS80"]), 1e-9)
			back, err := SalinityFromRelativeDensity(d, tC, ref)
			want(t, "salinity from relative density", back, err, s, 1e-9)
			reading, err := HydrometerReading(s, tC, ref)
			want(t, "hydrometer", reading, err, number(t, row["hydroread_"+name+"_EOS80"]), 1e-9)
			back, err = SalinityFromHydrometer(reading, tC, ref)
			want(t, "salinity from a hydrometer", back, err, s, 1e-9)
		}
		rho, err := Density(s, tC)
		want(t, "density beside TEOS-10", rho, err, number(t, row["rho_TEOS10_exact"]), 0.006)
	}
	for _, row := range readTable(t, "pure_water_density.csv") {
		rho, err := Density(0, number(t, row["T90_C"]))
		want(t, "pure water", rho, err, number(t, row["rho_EOS80"]), 1e-6)
		want(t, "pure water beside Tanaka et al. 2001", rho, err, number(t, row["rho_Tanaka2001"]), 0.002)
	}
}

// Handbook values of the refractive index of pure water against air at the
// sodium line: 1.33395 at 0 °C, 1.33299 at 20 °C, 1.33250 at 25 °C (CRC Handbook, from
// memory). Of seawater of 35 PSU at 20 °C: 1.3394 (Austin and Halikas 1976, from
// memory).
func TestRefractiveIndex(t *testing.T) {
	for _, c := range []struct{ s, tC, index, tolerance float64 }{
		{0, 0, 1.33395, 1.5e-4}, {0, 20, 1.33299, 3e-5}, {0, 25, 1.33250, 1e-4}, {35, 20, 1.3394, 2e-4},
	} {
		got, err := RefractiveIndex(c.s, c.tC, SodiumLine)
		want(t, "index", got, err, c.index, c.tolerance)
	}
	// By hand from the equation at S 35, 25 °C and 589.3 nm.
	got, err := RefractiveIndex(35, 25, 589.3)
	byHand := 1.31405 + (1.779e-4-1.05e-6*25+1.6e-8*625)*35 - 2.02e-6*625 + (15.868+0.01155*35-0.00423*25)/589.3 - 4382/(589.3*589.3) +
		1.1455e6/(589.3*589.3*589.3)
	want(t, "index by hand", got, err, byHand, 1e-14)
}

// A refractometer scaled for 20 °C reads low in warm water: at 25 °C by about
// 2.5 PSU at S 35. At its own temperature it is right.
func TestRefractometer(t *testing.T) {
	reading, err := RefractometerReading(35, 25, 20)
	want(t, "warm sample", reading, err, 32.3, 0.5)
	reading, err = RefractometerReading(35, 20, 20)
	want(t, "sample at the scale's temperature", reading, err, 35, 1e-9)
	reading, err = RefractometerReading(0, 25, 20)
	if err != nil || reading >= 0 {
		t.Errorf("pure warm water reads %g, %v: it must lie below the line", reading, err)
	}
}

func TestInstrumentRoundTrips(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.Float64Range(0, MaxSalinity).Draw(t, "S")
		tC := rapid.Float64Range(0, 30).Draw(t, "T")
		wavelength := rapid.Float64Range(400, 700).Draw(t, "wavelength")
		scaleAt := rapid.Float64Range(0, 30).Draw(t, "scale at")
		ref := rapid.SampledFrom([]RefTemp{Ref60F, Ref20C, Ref25C}).Draw(t, "ref")
		meter := Compensation{PerDegree: rapid.Float64Range(0, 0.025).Draw(t, "a"),
			Reference: rapid.SampledFrom([]float64{20, 25}).Draw(t, "t0")}

		back := func(name string, forth func() (float64, error), inverse func(float64) (float64, error), tolerance float64) {
			v, err := forth()
			if err != nil {
				t.Fatalf("%s of S %g: %v", name, s, err)
			}
			again, err := inverse(v)
			if err != nil || math.Abs(again-s) > tolerance {
				t.Fatalf("%s of S %g is %g and came back as %g, %v", name, s, v, again, err)
			}
		}
		back("index", func() (float64, error) { return RefractiveIndex(s, tC, wavelength) },
			func(v float64) (float64, error) { return SalinityFromRefraction(v, tC, wavelength) }, 1e-10)
		back("refractometer", func() (float64, error) { return RefractometerReading(s, tC, scaleAt) },
			func(v float64) (float64, error) { return SalinityFromRefractometer(v, tC, scaleAt) }, 1e-9)
		back("relative density", func() (float64, error) { return RelativeDensity(s, tC, ref) },
			func(v float64) (float64, error) { return SalinityFromRelativeDensity(v, tC, ref) }, 1e-9)
		back("hydrometer", func() (float64, error) { return HydrometerReading(s, tC, ref) },
			func(v float64) (float64, error) { return SalinityFromHydrometer(v, tC, ref) }, 1e-9)
		back("compensated conductivity", func() (float64, error) {
			c, err := ConductivityFromSalinity(s, tC)
			if err != nil {
				return 0, err
			}
			return meter.Compensated(c, tC)
		}, func(v float64) (float64, error) { return salinityShown(meter, v, tC) }, 1e-9)
	})
}

// salinityShown is the practical salinity of water that a meter shows as shown.
func salinityShown(meter Compensation, shown, tC float64) (float64, error) {
	c, err := meter.Measured(shown, tC)
	if err != nil {
		return 0, err
	}
	return SalinityFromConductivity(c, tC)
}

// A meter with 2 % per °C at 25 °C that shows seawater of 35 PSU and 20 °C as if at
// 25 °C is nearly right (PSS-78's own change there is 2.06 % a degree).
func TestCompensation(t *testing.T) {
	c, err := ConductivityFromSalinity(35, 20)
	want(t, "conductivity at 20 °C", c, err, 47.9, 0.1)
	shown, err := Compensation{PerDegree: 0.02, Reference: 25}.Compensated(c, 20)
	want(t, "shown", shown, err, c/0.9, 1e-12)
	s, err := salinityShown(Compensation{PerDegree: 0.02, Reference: 25}, shown, 20)
	want(t, "salinity", s, err, 35, 1e-9)
	s, err = salinityShown(Compensation{}, c, 20)
	want(t, "salinity by a meter that compensates nothing", s, err, 35, 1e-9)
}

func TestInstrumentsOutOfRange(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	usual := Compensation{PerDegree: 0.02, Reference: 25}
	for _, c := range []struct {
		name     string
		call     func() (float64, error)
		quantity string
	}{
		{"relative density of S 90", func() (float64, error) { return RelativeDensity(90, 25, Ref20C) }, "salinity"},
		{"relative density, no reference", func() (float64, error) { return RelativeDensity(35, 25, 0) },
			"reference temperature (60/60 °F, 20/20 °C, 25/25 °C in this order)"},
		{"salinity of a light water", func() (float64, error) { return SalinityFromRelativeDensity(0.9, 25, Ref20C) },
			"relative density at this temperature"},
		{"salinity of NaN", func() (float64, error) { return SalinityFromRelativeDensity(nan, 25, Ref20C) },
			"relative density at this temperature"},
		{"salinity when boiling", func() (float64, error) { return SalinityFromRelativeDensity(1.02, 100, Ref20C) }, "temperature"},
		{"salinity, no reference", func() (float64, error) { return SalinityFromRelativeDensity(1.02, 25, 9) },
			"reference temperature (60/60 °F, 20/20 °C, 25/25 °C in this order)"},
		{"hydrometer, no reference", func() (float64, error) { return HydrometerReading(35, 25, 0) },
			"reference temperature (60/60 °F, 20/20 °C, 25/25 °C in this order)"},
		{"hydrometer of 26", func() (float64, error) { return SalinityFromHydrometer(26, 25, Ref20C) },
			"hydrometer reading at this temperature"},
		{"index of S 90", func() (float64, error) { return RefractiveIndex(90, 25, SodiumLine) }, "salinity"},
		{"index when hot", func() (float64, error) { return RefractiveIndex(35, 50, SodiumLine) }, "temperature"},
		{"index in metres", func() (float64, error) { return RefractiveIndex(35, 25, 589e-9) }, "wavelength"},
		{"salinity of glass", func() (float64, error) { return SalinityFromRefraction(1.5, 25, SodiumLine) }, "refractive index"},
		{"salinity of infinity", func() (float64, error) { return SalinityFromRefraction(inf, 25, SodiumLine) }, "refractive index"},
		{"salinity by X-rays", func() (float64, error) { return SalinityFromRefraction(1.34, 25, 1) }, "wavelength"},
		{"refractometer of S 90", func() (float64, error) { return RefractometerReading(90, 25, 20) }, "salinity"},
		{"refractometer scaled in the oven", func() (float64, error) { return RefractometerReading(35, 25, 200) }, "temperature"},
		{"refractometer showing 90", func() (float64, error) { return SalinityFromRefractometer(90, 25, 20) },
			"refractometer reading at this temperature"},
		{"refractometer at NaN", func() (float64, error) { return SalinityFromRefractometer(35, nan, 20) }, "temperature"},
		{"refractometer, no scale", func() (float64, error) { return SalinityFromRefractometer(35, 25, nan) }, "temperature"},
		{"2 for 2 %", func() (float64, error) { return Compensation{PerDegree: 2, Reference: 25}.Compensated(50, 25) },
			"temperature coefficient"},
		{"reference of 77 °F", func() (float64, error) { return Compensation{PerDegree: 0.02, Reference: 77}.Measured(50, 25) },
			"reference temperature"},
		{"meter in the oven", func() (float64, error) { return usual.Measured(50, 77) }, "temperature"},
		{"meter showing less than nothing", func() (float64, error) { return usual.Measured(-1, 25) }, "conductivity"},
		{"meter showing µS", func() (float64, error) { return usual.Measured(53000, 25) }, "conductivity"},
		{"meter that shows nothing", func() (float64, error) { return Compensation{PerDegree: 0.05, Reference: 25}.Compensated(50, -2) },
			"temperature"},
		{"conductivity NaN", func() (float64, error) { return usual.Compensated(nan, 25) }, "conductivity"},
		{"conductivity in µS", func() (float64, error) { return usual.Compensated(53000, 25) }, "conductivity"},
	} {
		got, err := c.call()
		var e RangeError
		if !errors.As(err, &e) || e.Quantity.String() != c.quantity || got != 0 {
			t.Errorf("%s gave %g, %v", c.name, got, err)
		}
	}
	top, err := ConductivityFromSalinity(MaxSalinity, maxConductivityTemperature)
	if err != nil || top > highestConductivity || top < highestConductivity-1 {
		t.Errorf("the highest conductivity is %g, %v", top, err)
	}
}
