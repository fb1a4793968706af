package seawater

import "math"

// VapourPressure returns the pressure of water vapour in atm over water of
// practical salinity s, 0 to 42, at tC in °C, 0 to 40: Weiss and Price 1980, Mar.
// Chem. 8, 347-359. Outside it returns a [RangeError].
func VapourPressure(s, tC float64) (float64, error) {
	if err := checkSalinity(s); err != nil {
		return 0, err
	}
	if !within(tC, 0, maxDensityTemperature) {
		return 0, RangeError{"temperature", tC, 0, maxDensityTemperature, "°C"}
	}
	h := (tC + zeroCelsius) / 100
	return math.Exp(24.4543 - 67.4509/h - 4.8489*math.Log(h) - 0.000544*s), nil
}

// AirPCO2 returns the partial pressure of carbon dioxide in µatm that air with ppm
// of it when dry, 0 to 100 000, has over a water once it is saturated with its
// vapour: ppm·(P − pH2O). Salinity and temperature are the water's, as in
// [VapourPressure], the barometric pressure is 0.5 to 1.1 atm. Outside it returns a
// [RangeError].
func AirPCO2(ppm, s, tC, pressure float64) (float64, error) {
	if !within(ppm, 0, highestPressure) {
		return 0, RangeError{"carbon dioxide of the air", ppm, 0, highestPressure, "ppm"}
	}
	if !within(pressure, lowestAirPressure, highestAirPressure) {
		return 0, RangeError{"barometric pressure", pressure, lowestAirPressure, highestAirPressure, "atm"}
	}
	vapour, err := VapourPressure(s, tC)
	if err != nil {
		return 0, err
	}
	return ppm * (pressure - vapour), nil
}
