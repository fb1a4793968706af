package seawater

import "math"

// highestAmmoniaTemperature bounds both equations for un-ionised ammonia in °C.
const highestAmmoniaTemperature = 40

// UnionizedFresh returns the share of total ammonia, 0 to 1, that is NH3 in
// fresh water at tC in °C, 0 to 40, and a pH on the NBS scale: Emerson, Russo,
// Lund and Thurston 1975, J. Fish. Res. Board Can. 32, 2379-2383, pKa =
// 0.09018 + 2729.92/T, measured from 0 to 30 °C. Outside it returns a
// [RangeError].
func UnionizedFresh(tC, pH float64) (float64, error) {
	if !within(tC, 0, highestAmmoniaTemperature) {
		return 0, RangeError{"temperature", tC, 0, highestAmmoniaTemperature, "°C"}
	}
	if err := checkPH(pH); err != nil {
		return 0, err
	}
	return shareOfBase(pH, 0.09018+2729.92/(tC+zeroCelsius)), nil
}

// UnionizedSeawater returns the share of total ammonia, 0 to 1, that is NH3 in
// water of practical salinity s, 0 to 40, at tC in °C, 0 to 40, and a pH on the
// total scale: Clegg and Whitfield 1995, Geochim. Cosmochim. Acta 59, 2403-2421,
// brought from molality to a kg of seawater. The constant is good to about 5 %.
// A pH on the NBS scale must be converted first: it reads 0.1 to 0.17 higher
// and would overstate NH3 by a quarter to a half. Outside it returns a
// [RangeError].
func UnionizedSeawater(s, tC, pH float64) (float64, error) {
	const highestSalinity = 40
	if !within(s, 0, highestSalinity) {
		return 0, RangeError{"salinity", s, 0, highestSalinity, "PSU"}
	}
	if !within(tC, 0, highestAmmoniaTemperature) {
		return 0, RangeError{"temperature", tC, 0, highestAmmoniaTemperature, "°C"}
	}
	if err := checkPH(pH); err != nil {
		return 0, err
	}
	return shareOfBase(pH, ammoniumClegg(s, tC+zeroCelsius)-math.Log10(1-0.001005*s)), nil
}

func shareOfBase(pH, pKa float64) float64 { return 1 / (1 + exp10(pKa-pH)) }

// ammoniumClegg is pKa of ammonium in molality on the total scale.
func ammoniumClegg(s, t float64) float64 {
	r, q := math.Sqrt(s), math.Sqrt(t)
	return 9.244605 - 2729.33*(1/298.15-1/t) +
		(0.04203362-11.24742/t)*math.Sqrt(r) +
		(-13.6416+1.176949*q-0.02860785*t+545.4834/t)*r +
		(-0.1462507+0.0090226468*q-0.0001471361*t+10.5425/t)*s*r +
		(0.004669309-0.0001691742*q-0.5677934/t)*s*s +
		(-2.354039e-05+0.009698623/t)*s*s*r
}
