package seawater

import "math"

// maxDensityTemperature is the upper end of EOS-80 at one atmosphere in °C.
const maxDensityTemperature = 40

// Density returns the density in kg/m³ of water of practical salinity s at tC
// in °C and one atmosphere: EOS-80 (Millero and Poisson 1981; UNESCO 1983).
// Valid for 0 to 42 and −2 to 40 °C; outside it returns a [RangeError].
func Density(s, tC float64) (float64, error) {
	if err := checkSalinity(s); err != nil {
		return 0, err
	}
	if err := checkTemperature(tC, maxDensityTemperature); err != nil {
		return 0, err
	}
	return eos80(s, tC*t68), nil
}

func eos80(s, t float64) float64 {
	pure := 999.842594 + t*(6.793952e-2+t*(-9.095290e-3+t*(1.001685e-4+t*(-1.120083e-6+t*6.536332e-9))))
	a := 8.24493e-1 + t*(-4.0899e-3+t*(7.6438e-5+t*(-8.2467e-7+t*5.3875e-9)))
	b := -5.72466e-3 + t*(1.0227e-4-t*1.6546e-6)
	return pure + s*(a+b*math.Sqrt(s)+4.8314e-4*s)
}
