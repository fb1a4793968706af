package seawater

import "math"

// highestAmmoniaTemperature bounds both equations for un-ionised ammonia in °C.
const highestAmmoniaTemperature = 40

// emerson is pKa of ammonium at zero ionic strength at t in K: Emerson, Russo, Lund
// and Thurston 1975, J. Fish. Res. Board Can. 32, 2379-2383, measured from 0 to 30
// °C.
func emerson(t float64) float64 { return 0.09018 + 2729.92/t }

func checkAmmonia(s, tC float64) error {
	const highestSalinity = 40
	if !within(s, 0, highestSalinity) {
		return RangeError{"salinity", s, 0, highestSalinity, "PSU"}
	}
	if !within(tC, 0, highestAmmoniaTemperature) {
		return RangeError{"temperature", tC, 0, highestAmmoniaTemperature, "°C"}
	}
	return nil
}

// pKClegg is pKa of ammonium on the total scale, for a kg of seawater: Clegg and
// Whitfield 1995, Geochim. Cosmochim. Acta 59, 2403-2421, good to about 5 %, from 0
// to 40 PSU, brought from molality to a kg of seawater.
func pKClegg(s, tC float64) float64 {
	return ammoniumClegg(s, tC+zeroCelsius) - math.Log10(1-0.001005*s)
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
