package seawater

// SodiumLine is the wavelength in nm that refractometers are scaled for.
const SodiumLine = 589.3

// RefractiveIndex returns the refractive index against air of water of
// practical salinity s, 0 to 42, at tC in °C, 0 to 30, for light of a
// wavelength of 400 to 700 nm: Quan and Fry 1995, Appl. Opt. 34, 3477-3480,
// fitted from 0 to 35 PSU, in which it is linear, and from 0 to 30 °C, beyond
// which it goes astray. Outside it returns a [RangeError].
func RefractiveIndex(s, tC, wavelength float64) (float64, error) {
	if err := checkRefraction(tC, wavelength); err != nil {
		return 0, err
	}
	if err := checkSalinity(s); err != nil {
		return 0, err
	}
	pure, slope := quanFry(tC, wavelength)
	return pure + slope*s, nil
}

// SalinityFromRefraction returns the practical salinity of water that refracts
// by index at tC. It inverts [RefractiveIndex] and has the same range.
func SalinityFromRefraction(index, tC, wavelength float64) (float64, error) {
	if err := checkRefraction(tC, wavelength); err != nil {
		return 0, err
	}
	pure, slope := quanFry(tC, wavelength)
	// A part in 1e12 is for the rounding of the bounds themselves.
	if high := pure + slope*MaxSalinity; !within(index, pure*(1-1e-12), high*(1+1e-12)) {
		return 0, RangeError{"refractive index", index, pure, high, ""}
	}
	return min(max(0, (index-pure)/slope), MaxSalinity), nil
}

func checkRefraction(tC, wavelength float64) error {
	const hottest = 30
	if !within(tC, 0, hottest) {
		return RangeError{"temperature", tC, 0, hottest, "°C"}
	}
	if !within(wavelength, 400, 700) {
		return RangeError{"wavelength", wavelength, 400, 700, "nm"}
	}
	return nil
}

// quanFry returns the index of pure water and its rise for each PSU: the
// equation is linear in salinity.
func quanFry(t, l float64) (pure, slope float64) {
	pure = 1.31405 - 2.02e-6*t*t + (15.868-0.00423*t)/l - 4382/(l*l) + 1.1455e6/(l*l*l)
	slope = 1.779e-4 - 1.05e-6*t + 1.6e-8*t*t + 0.01155/l
	return pure, slope
}

// RefractometerReading returns what a refractometer without temperature
// compensation, with a salinity scale made for tScale, shows for water of
// salinity s at tC, both in °C, 0 to 30. The reading may lie below zero, which
// such an instrument shows below its line. It returns a [RangeError] outside
// the range of [RefractiveIndex].
func RefractometerReading(s, tC, tScale float64) (float64, error) {
	index, err := RefractiveIndex(s, tC, SodiumLine)
	if err != nil {
		return 0, err
	}
	if err := checkRefraction(tScale, SodiumLine); err != nil {
		return 0, err
	}
	pure, slope := quanFry(tScale, SodiumLine)
	return (index - pure) / slope, nil
}

// SalinityFromRefractometer returns the salinity of water at tC that such a
// refractometer shows as reading. It inverts [RefractometerReading]; a reading
// whose salinity lies outside 0 to 42 returns a [RangeError].
func SalinityFromRefractometer(reading, tC, tScale float64) (float64, error) {
	if err := checkRefraction(tC, SodiumLine); err != nil {
		return 0, err
	}
	if err := checkRefraction(tScale, SodiumLine); err != nil {
		return 0, err
	}
	pureScale, slopeScale := quanFry(tScale, SodiumLine)
	pure, slope := quanFry(tC, SodiumLine)
	s := (pureScale + slopeScale*reading - pure) / slope
	// A part in 1e9 is for the rounding of the way there and back.
	if !within(s, -1e-9, MaxSalinity+1e-9) {
		low, high := (pure-pureScale)/slopeScale, (pure+slope*MaxSalinity-pureScale)/slopeScale
		return 0, RangeError{"refractometer reading at this temperature", reading, low, high, "PSU"}
	}
	return min(max(0, s), MaxSalinity), nil
}
