package seawater

import "math"

const (
	lowestOxygenTemperature  = 0
	highestOxygenTemperature = 40

	// lowestAirPressure and highestAirPressure bound the barometric pressure in
	// atm: a mountain top, and a deep sump on a day of high pressure.
	lowestAirPressure  = 0.5
	highestAirPressure = 1.1
)

func checkOxygen(s, tC, pressure float64) error {
	if err := checkSalinity(s); err != nil {
		return err
	}
	if !within(tC, lowestOxygenTemperature, highestOxygenTemperature) {
		return RangeError{"temperature", tC, lowestOxygenTemperature, highestOxygenTemperature, "°C"}
	}
	if !within(pressure, lowestAirPressure, highestAirPressure) {
		return RangeError{"barometric pressure", pressure, lowestAirPressure, highestAirPressure, "atm"}
	}
	return nil
}

// OxygenSolubility returns the dissolved oxygen in mg/L of water of practical
// salinity s, 0 to 42, at tC in °C, 0 to 40, in equilibrium with moist air at a
// barometric pressure of 0.5 to 1.1 atm: Benson and Krause 1984, Limnol.
// Oceanogr. 29, 620-632, as in Standard Methods 4500-O. Outside it returns a
// [RangeError].
func OxygenSolubility(s, tC, pressure float64) (float64, error) {
	if err := checkOxygen(s, tC, pressure); err != nil {
		return 0, err
	}
	t := tC + zeroCelsius
	ln := -139.34411 + (1.575701e5+(-6.642308e7+(1.243800e10-8.621949e11/t)/t)/t)/t -
		s*(0.017674+(-10.754+2140.7/t)/t)
	return math.Exp(ln) * pressureFactor(tC, pressure), nil
}

// OxygenSaturation returns a measured oxygen of mgL in mg/L, 0 to 60, as a
// percentage of [OxygenSolubility].
func OxygenSaturation(mgL, s, tC, pressure float64) (float64, error) {
	const highestOxygen = 60
	if !within(mgL, 0, highestOxygen) {
		return 0, RangeError{"oxygen", mgL, 0, highestOxygen, "mg/L"}
	}
	full, err := OxygenSolubility(s, tC, pressure)
	if err != nil {
		return 0, err
	}
	return 100 * mgL / full, nil
}

// pressureFactor scales solubility at one atmosphere to another pressure in
// atm: Benson and Krause 1984 as in Standard Methods 4500-O.
func pressureFactor(tC, p float64) float64 {
	t := tC + zeroCelsius
	vapour := math.Exp(11.8571 - 3840.70/t - 216961/(t*t))
	theta := 0.000975 - 1.426e-5*tC + 6.436e-8*tC*tC
	return (p - vapour) * (1 - theta*p) / ((1 - vapour) * (1 - theta))
}

// PressureAtAltitude returns the mean barometric pressure in atm at a height in
// m above the sea, −500 to 5500: the International Standard Atmosphere, ISO
// 2533:1975. Outside it returns a [RangeError].
func PressureAtAltitude(metres float64) (float64, error) {
	const low, high = -500, 5500
	if !within(metres, low, high) {
		return 0, RangeError{"height above the sea", metres, low, high, "m"}
	}
	return math.Pow(1-0.0065*metres/288.15, 9.80665*0.0289644/(8.31432*0.0065)), nil
}
