package tanks

import (
	"math"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
)

// Estimate is the best knowledge of one analyte in one system. All numbers
// are in the analyte's canonical unit.
type Estimate struct {
	Value float64 // with Limit Below half of the bound, with Above the bound itself
	// Uncertainty is the standard uncertainty of Value: Scatter and Trueness
	// in quadrature.
	Uncertainty float64
	// Scatter is the part that differs between readings, Trueness the part
	// that all readings of the method share.
	Scatter, Trueness float64
	At                time.Time // of the last reading that it rests on
	Limit             Limit
	From              words.Text // "reading" or "fit of 9 readings"
	N                 int        // readings that it rests on
	// Assumed says in words what had to be assumed of the uncertainty, empty
	// when the method states both parts.
	Assumed words.Text
}

// AssumedShare is the relative accuracy assumed of a method that is not named
// or states none: ±5 % standard uncertainty (common practice, no source).
const AssumedShare = 0.05

// Absolute standard uncertainties assumed where a share of the value has no
// meaning or would be far off (common practice, no source).
const (
	assumedPH          = 0.1 // pH
	assumedTemperature = 0.5 // °C
	assumedSalinity    = 1.0 // PSU
)

// StatesAccuracy tells whether the method says how true it is.
func (m Method) StatesAccuracy() bool { return m.Accuracy > 0 || m.AccuracyShare > 0 }

// Trueness returns the standard uncertainty in canonical units that all
// results v of the method share: the stated ±a as rectangular, a/√3, the
// proportional part likewise, in quadrature (GUM, JCGM 100:2008, 4.3.7 and
// 5.1.2). When no accuracy is stated, [AssumedShare] of v is taken, or 0.1 pH,
// 0.5 °C, 1 PSU (common practice, no source).
func (m Method) Trueness(v float64) float64 {
	if !m.StatesAccuracy() {
		return assumedTrueness(m.Analyte, v)
	}
	return math.Hypot(m.Accuracy, m.AccuracyShare*v) / math.Sqrt(3)
}

// Scatter returns the standard deviation in canonical units of repeated
// results around v: the repeatability and the resolution r as r/√12, in
// quadrature (GUM, JCGM 100:2008, F.2.2.1). When no repeatability is stated,
// half of the trueness is assumed, and assumed is true (common practice, no
// source).
func (m Method) Scatter(v float64) (u float64, assumed bool) {
	repeat := m.Repeatability
	if repeat <= 0 {
		repeat, assumed = m.Trueness(v)/2, true
	}
	return math.Hypot(repeat, m.Resolution/math.Sqrt(12)), assumed
}

// Parts returns the two parts of the standard uncertainty of an exact result,
// canonical unit. An uncertainty that came with the value is the whole: the
// method's scatter is taken out of it, and the rest is trueness.
func (m Method) Parts(r Reading) (scatter, trueness float64) {
	scatter, _ = m.Scatter(r.Value)
	if r.Uncertainty == 0 {
		return scatter, m.Trueness(r.Value)
	}
	scatter = min(scatter, r.Uncertainty)
	return scatter, math.Sqrt(r.Uncertainty*r.Uncertainty - scatter*scatter)
}

func assumedTrueness(a chem.Analyte, v float64) float64 {
	switch a {
	case chem.PH:
		return assumedPH
	case chem.Temperature:
		return assumedTemperature
	case chem.Salinity:
		return assumedSalinity
	}
	return AssumedShare * math.Abs(v)
}

// EstimateOf returns what reading r by method m tells. A result below the
// bound L is L/2 with the standard uncertainty L/(2√3) of a rectangular
// distribution on 0 to L; to be drawn as that interval. A result above a
// bound says only that: Value is the bound and no uncertainty is claimed. The
// zero Method stands for a method that was not named.
func EstimateOf(r Reading, m Method) Estimate {
	e := Estimate{At: r.At, Limit: r.Limit, From: "reading", N: 1}
	switch r.Limit {
	case Below:
		e.Value = r.Value / 2
		e.Scatter = r.Value / (2 * math.Sqrt(3))
	case Above:
		e.Value = r.Value
	default:
		m.Analyte = r.Analyte
		e.Value = r.Value
		e.Scatter, e.Trueness = m.Parts(r)
		if r.Uncertainty == 0 {
			e.Assumed = m.assumption()
		}
	}
	e.Uncertainty = math.Hypot(e.Scatter, e.Trueness)
	return e
}

// assumption says what Trueness and Scatter had to assume, empty when both
// are stated.
func (m Method) assumption() words.Text {
	switch {
	case !m.StatesAccuracy():
		what := words.T("%g %%", AssumedShare*100)
		switch m.Analyte {
		case chem.PH:
			what = words.T("%g pH", assumedPH)
		case chem.Temperature:
			what = words.T("%g °C", assumedTemperature)
		case chem.Salinity:
			what = words.T("%g PSU", assumedSalinity)
		}
		if m.Name == "" {
			return words.T("no method named: %s assumed, common practice, no source", what)
		}
		return words.T("%s states no accuracy: %s assumed, common practice, no source", m.Name, what)
	case m.Repeatability <= 0:
		return words.T("%s states no repeatability: half of its trueness assumed", m.Name)
	}
	return ""
}
