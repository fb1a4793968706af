package chem

import (
	"weirkeeper/assets/words"
)

// Level is a value of one analyte that knows its unit, so that mg/L of PO4 and
// mg/L of PO4-P, or two analytes, cannot be added unnoticed. The zero value is
// of no analyte.
type Level struct {
	analyte   Analyte
	canonical float64
}

// NewLevel returns the value v of a in one of its units. The error is a
// *UnitError, or a [RangeError] when the value is not plausible by the
// catalogue: NaN, below or above what water can hold.
func NewLevel(a Analyte, v float64, u Unit, w Water) (Level, error) {
	info := catalogue[a]
	canonical, err := Convert(a, v, u, info.Unit, w)
	if err != nil {
		return Level{}, err
	}
	if err := plausible(a, canonical); err != nil {
		return Level{}, err
	}
	return Level{a, canonical}, nil
}

// ParseLevel reads a value with its unit as people type it, "0,05 mg/L PO4-P" or
// "8.3 dKH", of the analyte a. A sign of limit is refused: it is no level.
func ParseLevel(a Analyte, s string, w Water) (Level, error) {
	q, u, err := ParseTyped(a, s)
	if err != nil {
		return Level{}, err
	}
	if q.Limit != "" {
		return Level{}, words.Errorf("%q is a limit, not a level: give a number without %s", s, q.Limit)
	}
	return NewLevel(a, q.Value, u, w)
}

// Analyte returns what the level is of.
func (l Level) Analyte() Analyte { return l.analyte }

// In returns the level in another unit of its analyte.
func (l Level) In(u Unit, w Water) (float64, error) {
	return Convert(l.analyte, l.canonical, catalogue[l.analyte].Unit, u, w)
}

// Add returns the sum of two levels of one analyte, whatever units they were
// given in. Levels of two analytes, or of one that does not add up, such as
// pH, are refused.
func (l Level) Add(o Level) (Level, error) { return l.plus(o, 1) }

// Sub returns l less o, which may be below zero; the rules of [Level.Add] hold.
func (l Level) Sub(o Level) (Level, error) { return l.plus(o, -1) }

func (l Level) plus(o Level, sign float64) (Level, error) {
	switch {
	case l.analyte != o.analyte:
		return Level{}, words.Errorf("%s and %s cannot be added: convert one first", l.analyte.InSentence(), o.analyte.InSentence())
	case !l.analyte.Additive():
		return Level{}, words.Errorf("values of %s do not add up: mix the waters instead", l.analyte.InSentence())
	}
	return Level{l.analyte, l.canonical + sign*o.canonical}, nil
}

// String writes the level in its canonical unit with the usual decimals.
func (l Level) String() string {
	info, ok := Lookup(l.analyte)
	if !ok {
		return "no level"
	}
	return Format(l.analyte, l.canonical, info.Unit, Water{}).String() + " " + string(info.Unit)
}

// plausible returns a [RangeError] for a canonical value that the catalogue
// takes for a slip.
func plausible(a Analyte, v float64) error {
	info := catalogue[a]
	if v >= info.Low && v <= info.High {
		return nil
	}
	return RangeError{Quantity: a.InSentence(), Value: v, Low: info.Low, High: info.High, Unit: string(info.Unit)}
}
