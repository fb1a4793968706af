package chem

import (
	"fmt"
	"math"
	"strings"

	"weirkeeper/assets/words"
	"weirkeeper/chem/seawater"
)

// Water is what conversions between volume and mass, and the judging of major
// ions, need to know of the water. Of the zero value the salinity is not known,
// which is not a salinity of zero: conversions then count on the sea's 35 PSU.
type Water struct {
	salinity    float64 // PSU; see known
	known       bool
	Temperature float64 // °C; zero: 25, the temperature that concentrations are kept at

	measured float64 // °C that the water had; see warmth
	warmth   bool    // measured is known
	pressure float64 // of the air over it, atm; zero: one
}

// WaterOf returns water of a practical salinity that is known; zero is fresh
// water.
func WaterOf(psu float64) Water { return Water{salinity: psu, known: true} }

// Salinity returns the practical salinity; known is false where nothing is
// known of it.
func (w Water) Salinity() (psu float64, known bool) { return w.salinity, w.known }

// Under returns the water as it stood at a temperature in °C, under air of a barometric
// pressure in atm, zero for one: what a share of saturation is told by.
func (w Water) Under(tC, pressure float64) Water {
	w.measured, w.warmth, w.pressure = tC, true, pressure
	return w
}

// oxygenPercent returns the oxygen in mg/L that is one per cent of saturation: Benson and
// Krause 1984. The error is a *MissingError where temperature or salinity is not known.
func (w Water) oxygenPercent() (float64, error) {
	var missing []Analyte
	if !w.warmth {
		missing = append(missing, Temperature)
	}
	if !w.known {
		missing = append(missing, Salinity)
	}
	if missing != nil {
		return 0, &MissingError{For: "oxygen in % of saturation", Missing: missing}
	}
	full, err := seawater.OxygenSolubility(w.salinity, w.measured, Conventions{Pressure: w.pressure}.pressure())
	if err != nil {
		return 0, words.Errorf("oxygen that the water can hold: %w", err)
	}
	return full / 100, nil
}

// seaSalt is the practical salinity of the Reference Composition, which stands
// in for one that is not known.
const seaSalt = 35

// density returns kg/L.
func (w Water) density() (float64, error) {
	if !w.known {
		w.salinity = seaSalt
	}
	if w.Temperature == 0 {
		w.Temperature = 25
	}
	d, err := seawater.Density(w.salinity, w.Temperature)
	if err != nil {
		return 0, words.Errorf("density of the water: %w", err)
	}
	return d / 1000, nil
}

// UnitError says that an analyte is not given in a unit.
type UnitError struct {
	Analyte Analyte
	Unit    Unit
	Accepts []Unit
}

// Error says it in English.
func (e *UnitError) Error() string { return e.Words().String() }

// Words implements words.Worded: the units that the analyte is given in.
func (e *UnitError) Words() words.Text { return words.T("%s: %s", e.Problem(), e.Remedy()) }

// Problem says what is wrong.
func (e *UnitError) Problem() words.Text {
	if e.Unit == "" {
		return "The unit is missing"
	}
	return words.T("%s is not given in %q", e.Analyte, e.Unit)
}

// Remedy names the units that the analyte is given in.
func (e *UnitError) Remedy() words.Text {
	names := make([]string, len(e.Accepts))
	for i, u := range e.Accepts {
		names[i] = string(u)
	}
	return words.T("use %s", strings.Join(names, ", "))
}

func scaleOf(a Analyte, u Unit) (scale, error) {
	for _, s := range scales[a] {
		if s.unit == u {
			return s, nil
		}
	}
	info, ok := Lookup(a)
	if !ok && u == unnamedUnit && a > 0 {
		return scale{unit: u, decimals: unnamedDecimals, factor: 1}, nil
	}
	if !ok {
		return scale{}, unknownAnalyte(a)
	}
	return scale{}, &UnitError{Analyte: a, Unit: u, Accepts: info.Units}
}

func unknownAnalyte(a Analyte) error {
	return words.Errorf("there is no analyte %d in the catalogue", int(a))
}

// Convert converts the value v of a from one of its units to another. Between
// volume and mass it uses the density of w (EOS-80); between salinity, specific
// gravity and conductivity the equations of package seawater. The error is a
// *UnitError, a seawater.RangeError inside, or says that v is no number.
func Convert(a Analyte, v float64, from, to Unit, w Water) (float64, error) {
	f, err := scaleOf(a, from)
	if err != nil {
		return 0, err
	}
	t, err := scaleOf(a, to)
	if err != nil {
		return 0, err
	}
	if math.IsNaN(v) || math.IsInf(v, 0) {
		info := catalogue[a]
		return 0, RangeError{Quantity: a.InSentence(), Value: v, Low: info.Low, High: info.High, Unit: string(info.Unit)}
	}
	if from == to && a != Temperature {
		return v, nil
	}
	canonical, err := f.toCanonical(v, w)
	if err != nil {
		return 0, words.Errorf("converting %s from %s: %w", a, from, err)
	}
	if a == Temperature && canonical < absoluteZero {
		return 0, RangeError{Quantity: a.InSentence(), Value: canonical, Low: absoluteZero, High: largestNumber, Unit: string(Celsius)}
	}
	shown, err := t.fromCanonical(canonical, w)
	if err != nil {
		return 0, words.Errorf("converting %s to %s: %w", a, to, err)
	}
	return shown, nil
}

// absoluteZero is in °C.
const absoluteZero = -273.15

// NeedsWater tells whether values of a in u can only be told with the density of
// their water, as µeq/kg in meq/L, or with what it can hold of a gas, as % of oxygen.
func NeedsWater(a Analyte, u Unit) bool {
	s, err := scaleOf(a, u)
	return err == nil && (s.perKilogram || s.ofWater != nil)
}

// canonicalPer returns the canonical units in one unit of a proportional scale.
func (s scale) canonicalPer(w Water) (float64, error) {
	if s.ofWater != nil {
		return s.ofWater(w)
	}
	if !s.perKilogram {
		return s.factor, nil
	}
	d, err := w.density()
	return s.factor * d, err
}

func (s scale) toCanonical(v float64, w Water) (float64, error) {
	if s.curve != nil {
		return s.curve.canonical(v)
	}
	f, err := s.canonicalPer(w)
	return v * f, err
}

func (s scale) fromCanonical(v float64, w Water) (float64, error) {
	if s.curve != nil {
		return s.curve.shown(v)
	}
	f, err := s.canonicalPer(w)
	if err != nil {
		return 0, err
	}
	return v / f, nil
}

// ConvertDelta converts a small change around the value at, both given in from.
// Where the unit is not proportional it is the change from at to at+delta; at
// the edge of an equation's range the change is taken on the side where the
// equation holds.
func ConvertDelta(a Analyte, at, delta float64, from, to Unit, w Water) (float64, error) {
	f, err := scaleOf(a, from)
	if err != nil {
		return 0, err
	}
	t, err := scaleOf(a, to)
	if err != nil {
		return 0, err
	}
	if f.curve == nil && t.curve == nil {
		return Convert(a, delta, from, to, w)
	}
	here, err := Convert(a, at, from, to, w)
	if err != nil {
		return 0, err
	}
	if there, err := Convert(a, at+delta, from, to, w); err == nil {
		return there - here, nil
	}
	back, err := Convert(a, at-delta, from, to, w)
	if err != nil {
		return 0, err
	}
	return here - back, nil
}

// Decimals returns how many decimals are usually shown of a in u, 0 for a unit
// that it is not given in.
func Decimals(a Analyte, u Unit) int {
	s, err := scaleOf(a, u)
	if err != nil {
		return 0
	}
	return s.decimals
}

// Format writes the canonical value v of a, which is of the water w, in u with its
// usual decimals and a true minus sign, without the unit. What cannot be shown in u,
// a NaN or a value outside an equation's range, is "?".
func Format(a Analyte, v float64, u Unit, w Water) words.Text {
	in, err := Convert(a, v, canonicalOf(a), u, w)
	if err != nil {
		return "?"
	}
	return Decimal(in, Decimals(a, u))
}

// FormatChange writes a change of a by a canonical amount in u, with its sign and
// the decimals that values have, "+5 mg/L"; empty when it does not show in those.
// Where the unit is not proportional it is the change from the sea's value.
func FormatChange(a Analyte, change float64, u Unit, w Water) words.Text {
	info, _ := Lookup(a)
	at := info.Seawater
	if math.IsNaN(at) {
		at = info.Low
	}
	d, err := ConvertDelta(a, at, change, info.Unit, u, w)
	text := Decimal(d, Decimals(a, u))
	if err != nil || strings.Trim(text.String(), "\u22120.") == "" {
		return ""
	}
	if d > 0 {
		text = words.T("+%s", text)
	}
	return words.T("%s %s", text, u)
}

// Decimal writes a number with so many decimals and a true minus sign, which a
// zero has not.
func Decimal(v float64, decimals int) words.Text {
	if math.Signbit(v) {
		if text := fmt.Sprintf("%.*f", decimals, -v); strings.Trim(text, "0.") == "" {
			return words.T("%.*f", decimals, 0.0)
		}
		return words.T("\u2212%.*f", decimals, -v)
	}
	return words.T("%.*f", decimals, v)
}
