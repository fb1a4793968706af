// Package seawater holds published equations of sea water: practical salinity
// from conductivity and back (PSS-78), density (EOS-80 at one atmosphere) and
// specific gravity.
package seawater

import (
	"fmt"
	"math"
)

// RangeError tells that a quantity lies outside the range of an equation.
type RangeError struct {
	Quantity         string
	Value, Low, High float64
	Unit             string
}

// Error names the quantity and its range.
func (e *RangeError) Error() string {
	return fmt.Sprintf("%s %g %s lies outside %g to %g, where the equation holds", e.Quantity, e.Value, e.Unit, e.Low, e.High)
}

func inRange(quantity string, v, low, high float64, unit string) error {
	if v >= low && v <= high {
		return nil
	}
	return &RangeError{quantity, v, low, high, unit}
}

// t68 converts ITS-90 to IPTS-68 (Saunders 1990).
func t68(t float64) float64 { return 1.00024 * t }

// c3515 is the conductivity of sea water of S = 35 at 15 °C in mS/cm.
const c3515 = 42.914

var (
	pssA = [6]float64{0.0080, -0.1692, 25.3851, 14.0941, -7.0261, 2.7081}
	pssB = [6]float64{0.0005, -0.0056, -0.0066, -0.0375, 0.0636, -0.0144}
	pssC = [5]float64{0.6766097, 2.00564e-2, 1.104259e-4, -6.9698e-7, 1.0031e-9}
)

const pssK = 0.0162

// SalinityFromConductivity returns practical salinity from conductivity in
// mS/cm at t °C (ITS-90), at atmospheric pressure, by PSS-78 (UNESCO 1981;
// Fofonoff and Millard 1983). Valid for results of 0 to 50 and −2 to 40 °C;
// below 2 the 1978 formula is used as it is.
func SalinityFromConductivity(c, t float64) (float64, error) {
	if err := inRange("temperature", t, -2, 40, "°C"); err != nil {
		return 0, err
	}
	if err := inRange("conductivity", c, 0, 120, "mS/cm"); err != nil {
		return 0, err
	}
	s := pss78(c, t68(t))
	if err := inRange("salinity", s, -0.02, 50, "PSU"); err != nil {
		return 0, err
	}
	return math.Max(0, s), nil
}

func pss78(c, t float64) float64 {
	rt35 := pssC[0] + t*(pssC[1]+t*(pssC[2]+t*(pssC[3]+t*pssC[4])))
	x := math.Sqrt(c / c3515 / rt35)
	a := pssA[0] + x*(pssA[1]+x*(pssA[2]+x*(pssA[3]+x*(pssA[4]+x*pssA[5]))))
	b := pssB[0] + x*(pssB[1]+x*(pssB[2]+x*(pssB[3]+x*(pssB[4]+x*pssB[5]))))
	return a + (t-15)/(1+pssK*(t-15))*b
}

// ConductivityFromSalinity inverts SalinityFromConductivity.
func ConductivityFromSalinity(s, t float64) (float64, error) {
	if err := inRange("temperature", t, -2, 40, "°C"); err != nil {
		return 0, err
	}
	if err := inRange("salinity", s, 0, 50, "PSU"); err != nil {
		return 0, err
	}
	t = t68(t)
	return bisect(0, 120, func(c float64) float64 { return pss78(c, t) - s }), nil
}

// bisect finds where a rising f crosses zero between low and high.
func bisect(low, high float64, f func(float64) float64) float64 {
	for range 100 {
		middle := (low + high) / 2
		if middle == low || middle == high {
			break
		}
		if f(middle) < 0 {
			low = middle
		} else {
			high = middle
		}
	}
	return (low + high) / 2
}

// Density returns kg/m³ of sea water of practical salinity s at t °C (ITS-90)
// and one atmosphere, by EOS-80 (Millero and Poisson 1981). Valid for s of 0
// to 50 and −2 to 40 °C.
func Density(s, t float64) (float64, error) {
	if err := inRange("salinity", s, 0, 50, "PSU"); err != nil {
		return 0, err
	}
	if err := inRange("temperature", t, -2, 40, "°C"); err != nil {
		return 0, err
	}
	return eos80(s, t68(t)), nil
}

func eos80(s, t float64) float64 {
	w := 999.842594 + t*(6.793952e-2+t*(-9.095290e-3+t*(1.001685e-4+t*(-1.120083e-6+t*6.536332e-9))))
	a := 8.24493e-1 + t*(-4.0899e-3+t*(7.6438e-5+t*(-8.2467e-7+t*5.3875e-9)))
	b := -5.72466e-3 + t*(1.0227e-4-t*1.6546e-6)
	return w + s*(a+b*math.Sqrt(s)+4.8314e-4*s)
}

// GravityFromSalinity returns the specific gravity at reference temperature t
// °C: density of the water over that of pure water, both at t, by EOS-80.
func GravityFromSalinity(s, t float64) (float64, error) {
	d, err := Density(s, t)
	if err != nil {
		return 0, err
	}
	return d / eos80(0, t68(t)), nil
}

// SalinityFromGravity inverts GravityFromSalinity. A specific gravity a little
// below 1 (0.9995 at least) counts as fresh water.
func SalinityFromGravity(sg, t float64) (float64, error) {
	if err := inRange("temperature", t, -2, 40, "°C"); err != nil {
		return 0, err
	}
	t = t68(t)
	pure := eos80(0, t)
	if err := inRange("specific gravity", sg, 0.9995, eos80(50, t)/pure, ""); err != nil {
		return 0, err
	}
	if sg <= 1 {
		return 0, nil
	}
	return bisect(0, 50, func(s float64) float64 { return eos80(s, t)/pure - sg }), nil
}
