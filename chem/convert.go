package chem

import (
	"fmt"
	"math"
	"strings"

	"weirkeeper/chem/seawater"
)

// Water is what conversions by density need to know. The zero value means
// 35 PSU and 25 °C.
type Water struct {
	Salinity    float64 // PSU; zero: 35
	Temperature float64 // °C; zero: 25
}

// density returns kg/L.
func (w Water) density() (float64, error) {
	s, t := w.Salinity, w.Temperature
	if s == 0 {
		s = 35
	}
	if t == 0 {
		t = 25
	}
	d, err := seawater.Density(s, t)
	return d / 1000, err
}

// factors returns how much of the canonical unit one of u is, for units that
// are proportional and need no density. ok is false for others.
func factor(a Analyte, u Unit) (float64, bool) {
	caO := 40.078 + 15.999
	caCO3 := 40.078 + 12.011 + 3*15.999
	switch u {
	case catalogue[a].Unit:
		return 1, true
	case DKH:
		return 20 / caO, true // 1 dKH is 10 mg/L CaO; two equivalents a mole
	case DGH:
		return 10 / caO, true
	case CaCO3:
		if a == Alkalinity {
			return 2 / caCO3, true
		}
		return 1 / caCO3, true
	case MmolL:
		return speciesMolar[a], true
	case UgL:
		return 1e-3, true
	case MgL:
		return 1e3, true // of an analyte kept in µg/L
	case PO4P:
		return speciesMolar[Phosphate] / weights["P"], true
	case UgPO4P:
		return speciesMolar[Phosphate] / weights["P"] / 1000, true
	case NO3N:
		return speciesMolar[Nitrate] / weights["N"], true
	case NO2N:
		return speciesMolar[Nitrite] / weights["N"], true
	case NH4N:
		return speciesMolar[Ammonia] / weights["N"], true
	case Si:
		return speciesMolar[Silicate] / weights["Si"], true
	case MilliSiemens:
		return 1000, a == Conductivity
	}
	return 0, false
}

// Convert converts v of analyte a. The error tells of a unit that the analyte
// does not take, or of a value outside the range of an equation.
func Convert(a Analyte, v float64, from, to Unit, w Water) (float64, error) {
	info, ok := Lookup(a)
	if !ok {
		return 0, fmt.Errorf("no analyte %d in the catalogue", int(a))
	}
	if !info.Accepts(from) && from != info.Unit {
		return 0, fmt.Errorf("%s is not given in %q", info.Name, from)
	}
	if !info.Accepts(to) && to != info.Unit {
		return 0, fmt.Errorf("%s is not given in %q", info.Name, to)
	}
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, fmt.Errorf("%g is no value of %s", v, info.Name)
	}
	if from == to {
		return v, nil
	}
	c, err := toCanonical(a, v, from, w)
	if err != nil {
		return 0, err
	}
	return fromCanonical(a, c, to, w)
}

func toCanonical(a Analyte, v float64, u Unit, w Water) (float64, error) {
	switch {
	case u == Fahrenheit:
		return (v - 32) / 1.8, nil
	case a == Salinity:
		return toPSU(v, u)
	case u == MgKg:
		d, err := w.density()
		return v * d, err
	}
	f, ok := factor(a, u)
	if !ok {
		return 0, fmt.Errorf("no conversion of %s from %q", a, u)
	}
	return v * f, nil
}

func fromCanonical(a Analyte, v float64, u Unit, w Water) (float64, error) {
	switch {
	case u == Fahrenheit:
		return v*1.8 + 32, nil
	case a == Salinity:
		return fromPSU(v, u)
	case u == MgKg:
		d, err := w.density()
		return v / d, err
	}
	f, ok := factor(a, u)
	if !ok {
		return 0, fmt.Errorf("no conversion of %s to %q", a, u)
	}
	return v / f, nil
}

const sixtyF = (60 - 32) / 1.8

func gravityAt(u Unit) (float64, bool) {
	switch u {
	case SG25:
		return 25, true
	case SG20:
		return 20, true
	case SG60F:
		return sixtyF, true
	}
	return 0, false
}

func toPSU(v float64, u Unit) (float64, error) {
	if t, ok := gravityAt(u); ok {
		return seawater.SalinityFromGravity(v, t)
	}
	if u == MilliSiemens {
		return seawater.SalinityFromConductivity(v, 25)
	}
	return v, nil
}

func fromPSU(v float64, u Unit) (float64, error) {
	if t, ok := gravityAt(u); ok {
		return seawater.GravityFromSalinity(v, t)
	}
	if u == MilliSiemens {
		return seawater.ConductivityFromSalinity(v, 25)
	}
	return v, nil
}

// ConvertDelta converts a small change around a value given in from.
func ConvertDelta(a Analyte, at, delta float64, from, to Unit, w Water) (float64, error) {
	if from == to {
		return delta, nil
	}
	before, err := Convert(a, at, from, to, w)
	if err != nil {
		return 0, err
	}
	after, err := Convert(a, at+delta, from, to, w)
	if err != nil {
		return 0, err
	}
	return after - before, nil
}

// Decimals returns the decimals usually shown of a in u.
func Decimals(a Analyte, u Unit) int {
	switch u {
	case SG25, SG20, SG60F:
		return 4
	case DKH, DGH, PSU, Celsius, Fahrenheit, MilliSiemens, UgL:
		return 1
	case MeqL, PHUnit, MmolL:
		return 2
	case CaCO3, MicroSiemens, UgPO4P:
		return 0
	case PO4P, NO2N, NH4N:
		return 3
	}
	switch a {
	case Calcium, Magnesium, Potassium, Sodium, Chloride, Sulfate:
		return 0
	case Nitrate, Oxygen, CarbonDi, Strontium, Bromide:
		return 1
	}
	return 2
}

// Format writes a canonical value in u with its usual decimals and a true
// minus sign; "?" when it cannot be converted.
func Format(a Analyte, v float64, u Unit) string {
	info, ok := Lookup(a)
	if !ok {
		return "?"
	}
	in, err := Convert(a, v, info.Unit, u, Water{})
	if err != nil {
		return "?"
	}
	return strings.Replace(fmt.Sprintf("%.*f", Decimals(a, u), in), "-", "\u2212", 1)
}
