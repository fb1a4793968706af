package seawater

import "math"

const (
	// MaxSalinity is the highest practical salinity of PSS-78 and EOS-80; the
	// lowest is zero, below 2 by the extension of Hill et al. 1986.
	MaxSalinity = 42

	minTemperature = -2
	// maxConductivityTemperature is the upper end of PSS-78 in °C.
	maxConductivityTemperature = 35

	// standardConductivity is C(35, 15 °C, 0) in mS/cm, the common value that
	// turns a conductivity into a ratio (Culkin and Smith 1980).
	standardConductivity = 42.914

	// t68 turns an ITS-90 temperature in °C into IPTS-68.
	t68 = 1.00024

	// lowSalinity is where the extension of Hill et al. 1986 takes over.
	lowSalinity = 2
)

// SalinityFromConductivity returns the practical salinity of water with
// conductivity mScm, in mS/cm at its own temperature tC in °C, at one
// atmosphere. PSS-78 (UNESCO 1981; Fofonoff and Millard 1983), below 2 with
// the extension of Hill, Dauphinee and Woods 1986 scaled to join smoothly at
// 2, as TEOS-10 does; that extension falls a hair below zero under 2 µS/cm,
// which is taken as zero. Valid for 0 to 42 and −2 to 35 °C; outside it returns a [RangeError].
func SalinityFromConductivity(mScm, tC float64) (float64, error) {
	if err := checkTemperature(tC, maxConductivityTemperature); err != nil {
		return 0, err
	}
	t := tC * t68
	s := math.NaN()
	if mScm >= 0 {
		s = practical(math.Sqrt(mScm/standardConductivity/ratio(t)), warmth(t))
	}
	// A part in 1e12 is for the rounding of the bound itself.
	if !(s <= MaxSalinity*(1+1e-12)) {
		return 0, RangeError{"conductivity", mScm, 0, standardConductivity * ratio(t) * square(rootFor(MaxSalinity, warmth(t))), "mS/cm"}
	}
	return min(max(0, s), MaxSalinity), nil
}

// ConductivityFromSalinity returns the conductivity in mS/cm of water of
// practical salinity s at temperature tC in °C. It inverts
// [SalinityFromConductivity] and has the same range.
func ConductivityFromSalinity(s, tC float64) (float64, error) {
	if err := checkSalinity(s); err != nil {
		return 0, err
	}
	if err := checkTemperature(tC, maxConductivityTemperature); err != nil {
		return 0, err
	}
	t := tC * t68
	return standardConductivity * ratio(t) * square(rootFor(s, warmth(t))), nil
}

func square(x float64) float64 { return x * x }

// ratio is r_t of PSS-78: C(35, t, 0)/C(35, 15, 0).
func ratio(t float64) float64 {
	return 0.6766097 + t*(2.00564e-2+t*(1.104259e-4+t*(-6.9698e-7+t*1.0031e-9)))
}

// warmth is (t−15)/(1+k(t−15)) of PSS-78.
func warmth(t float64) float64 { return (t - 15) / (1 + 0.0162*(t-15)) }

// pss78 is the plain scale of 1978; x is the square root of R_t, w the warmth.
func pss78(x, w float64) float64 {
	a := 0.0080 + x*(-0.1692+x*(25.3851+x*(14.0941+x*(-7.0261+x*2.7081))))
	b := 0.0005 + x*(-0.0056+x*(-0.0066+x*(-0.0375+x*(0.0636-x*0.0144))))
	return a + w*b
}

// pss78Slope is the derivative of pss78 by x.
func pss78Slope(x, w float64) float64 {
	a := -0.1692 + x*(2*25.3851+x*(3*14.0941+x*(-4*7.0261+x*5*2.7081)))
	b := -0.0056 + x*(-2*0.0066+x*(-3*0.0375+x*(4*0.0636-x*5*0.0144)))
	return a + w*b
}

// hill is the plain scale with the low-salinity terms of Hill et al. 1986.
func hill(x, w float64) float64 {
	a, y := 400*x*x, 10*x // y is the root of 100 R_t
	return pss78(x, w) - 0.0080/(1+1.5*a+a*a) - 0.0005*w/(1+y*(1+y*(1+y)))
}

// hillSlope is the derivative of hill by x.
func hillSlope(x, w float64) float64 {
	a, y := 400*x*x, 10*x
	p, q := 1+1.5*a+a*a, 1+y*(1+y*(1+y))
	return pss78Slope(x, w) + 0.0080*(1.5+2*a)*800*x/(p*p) + 0.0005*w*10*(1+y*(2+3*y))/(q*q)
}

// practical joins the two scales at 2; the ratio makes them meet there.
func practical(x, w float64) float64 {
	s := pss78(x, w)
	if s >= lowSalinity {
		return s
	}
	return hill(x, w) * lowSalinity / hill(joint(w), w)
}

// joint is the root of R_t at which the plain scale reads 2: Newton's rule twice
// from a line through it, which is good to 2e-5.
func joint(w float64) float64 {
	x := 0.26645 + 1.17e-4*w
	x -= (pss78(x, w) - lowSalinity) / pss78Slope(x, w)
	return x - (pss78(x, w)-lowSalinity)/pss78Slope(x, w)
}

// pss78Root is the root of R_t at which the plain scale reads s, 2 to 42. The
// scale rises and is nearly a parabola through zero there, so Newton's rule
// converges in two or three steps from a start that is good to a per cent.
func pss78Root(s, w float64) float64 {
	r := math.Sqrt(s / 35)
	x := r * (1.165 - r*(0.22-0.055*r))
	for range 8 {
		step := (pss78(x, w) - s) / pss78Slope(x, w)
		x -= step
		if math.Abs(step) < lastStep {
			break
		}
	}
	return x
}

// rootFor is the root of R_t at which the joined scale reads s.
func rootFor(s, w float64) float64 {
	switch {
	case s >= lowSalinity:
		return pss78Root(s, w)
	case s == 0:
		return 0
	}
	top := joint(w)
	plain := s / lowSalinity * hill(top, w) // what the extension itself reads
	if s < nearlyFresh {
		return invert(func(x float64) float64 { return hill(x, w) }, plain, hillDip, top)
	}
	r := math.Sqrt(s / 35)
	x := (r*(1.185-0.3*r) + 0.0013) * (1 + 5e-4*w)
	for range 8 {
		step := (hill(x, w) - plain) / hillSlope(x, w)
		x -= step
		if math.Abs(step) < lastStep {
			break
		}
	}
	return x
}

const (
	// lastStep is a step of Newton's rule after which the next would be below
	// 1e-13.
	lastStep = 1e-7
	// nearlyFresh is the salinity below which the extension curves too much for
	// Newton's rule.
	nearlyFresh = 0.05
	// hillDip is a root of R_t at which the extension lies below zero at every
	// temperature; above it the scale rises.
	hillDip = 0.003
)

// invert returns x in low..high where the increasing function f is want. The
// Illinois form of the secant rule keeps the root bracketed, so that it cannot
// run away.
func invert(f func(float64) float64, want, low, high float64) float64 {
	fl, fh := f(low)-want, f(high)-want
	side := 0
	x := high
	for range 100 {
		if fh == fl {
			return x
		}
		next := (low*fh - high*fl) / (fh - fl)
		if math.Abs(next-x) <= 1e-15*math.Abs(next) {
			return next
		}
		x = next
		fx := f(x) - want
		switch {
		case fx == 0:
			return x
		case fx < 0:
			low, fl = x, fx
			if side == -1 {
				fh /= 2
			}
			side = -1
		default:
			high, fh = x, fx
			if side == 1 {
				fl /= 2
			}
			side = 1
		}
	}
	return x
}
