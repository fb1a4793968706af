package seawater

import "weirkeeper/assets/words"

// glassExpansion is the cubic expansion of a glass hydrometer per °C, the usual
// value of ISO 1768:1975 for glass hydrometers.
const glassExpansion = 25e-6

// RelativeDensity returns ρ(s, tC)/ρ(0, ref): the density of a sample at its
// own temperature tC, −2 to 40 °C, over that of pure water at a reference. Both
// are EOS-80's. Outside the range it returns a [RangeError].
func RelativeDensity(s, tC float64, ref RefTemp) (float64, error) {
	t, err := ref.t68()
	if err != nil {
		return 0, err
	}
	rho, err := Density(s, tC)
	if err != nil {
		return 0, err
	}
	return rho / eos80(0, t), nil
}

// SalinityFromRelativeDensity inverts [RelativeDensity] and has the same range.
func SalinityFromRelativeDensity(d, tC float64, ref RefTemp) (float64, error) {
	return salinityAt("relative density at this temperature", d, tC, ref, 1)
}

// salinityAt solves ρ(s, tC)·factor/ρ(0, ref) = d for s.
func salinityAt(quantity words.Text, d, tC float64, ref RefTemp, factor float64) (float64, error) {
	tRef, err := ref.t68()
	if err != nil {
		return 0, err
	}
	if err := checkTemperature(tC, maxDensityTemperature); err != nil {
		return 0, err
	}
	t, scale := tC*t68, factor/eos80(0, tRef)
	low, high := eos80(0, t)*scale, eos80(MaxSalinity, t)*scale
	// A part in 1e12 is for the rounding of the bounds themselves.
	if !within(d, low*(1-1e-12), high*(1+1e-12)) {
		return 0, RangeError{quantity, d, low, high, ""}
	}
	if d <= low {
		return 0, nil
	}
	return invert(func(s float64) float64 { return eos80(s, t) }, min(d, high)/scale, 0, MaxSalinity), nil
}

func glass(tC float64, ref RefTemp) float64 { return 1 + glassExpansion*(tC-ref.Celsius()) }

// HydrometerReading returns what a glass hydrometer marked for the reference
// temperature shows in water of salinity s at tC in °C: the relative density,
// times the expansion of the glass, which sinks less when warm. It returns a
// [RangeError] outside the range of [RelativeDensity].
func HydrometerReading(s, tC float64, ref RefTemp) (float64, error) {
	d, err := RelativeDensity(s, tC, ref)
	if err != nil {
		return 0, err
	}
	return d * glass(tC, ref), nil
}

// SalinityFromHydrometer returns the salinity of water at tC in which a glass
// hydrometer marked for the reference temperature shows reading. It inverts
// [HydrometerReading] and has the same range.
func SalinityFromHydrometer(reading, tC float64, ref RefTemp) (float64, error) {
	return salinityAt("hydrometer reading at this temperature", reading, tC, ref, glass(tC, ref))
}

// Compensation is how a conductivity meter turns the conductivity at the
// sample's temperature into one at a reference: C/(1 + a·(t − t0)). Meters'
// manuals state both numbers; 2 % per °C and 25 °C are common practice, no
// source. The compensation of a meter that works by PSS-78 needs no undoing.
type Compensation struct {
	PerDegree float64 // share per °C, 0 to 0.05
	Reference float64 // °C, 0 to 35
}

func (c Compensation) factor(tC float64) (float64, error) {
	switch {
	case !within(c.PerDegree, 0, 0.05):
		return 0, RangeError{"temperature coefficient", 100 * c.PerDegree, 0, 5, "% per °C"}
	case !within(c.Reference, 0, maxConductivityTemperature):
		return 0, RangeError{"reference temperature", c.Reference, 0, maxConductivityTemperature, "°C"}
	}
	if err := checkTemperature(tC, maxConductivityTemperature); err != nil {
		return 0, err
	}
	f := 1 + c.PerDegree*(tC-c.Reference)
	if f <= 0 {
		return 0, RangeError{"temperature", tC, c.Reference - 1/c.PerDegree, maxConductivityTemperature, "°C"}
	}
	return f, nil
}

// Compensated returns what the meter shows of a conductivity mScm at tC.
func (c Compensation) Compensated(mScm, tC float64) (float64, error) {
	f, err := c.factor(tC)
	if err != nil {
		return 0, err
	}
	if !within(mScm, 0, highestConductivity) {
		return 0, RangeError{"conductivity", mScm, 0, highestConductivity, "mS/cm"}
	}
	return mScm / f, nil
}

// highestConductivity is C(42, 35 °C) rounded up to whole mS/cm.
const highestConductivity = 75

// Measured returns the conductivity at tC of water that the meter shows as shown in
// mS/cm: the compensation undone, for PSS-78 or for a table of natural waters. In
// seawater the linear rule alone would be some per cent off away from its reference.
func (c Compensation) Measured(shown, tC float64) (float64, error) {
	f, err := c.factor(tC)
	if err != nil {
		return 0, err
	}
	if !within(shown, 0, highestConductivity/f) {
		return 0, RangeError{"conductivity", shown, 0, highestConductivity / f, "mS/cm"}
	}
	return shown * f, nil
}
