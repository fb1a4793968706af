package tanks

import (
	"errors"
	"strings"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
)

// Typed is a value of an analyte as a person typed it or a file gives it.
type Typed struct {
	Analyte chem.Analyte
	Text    string // "8,3", "<0.02", ">100", "1.026 sg", "8.3 dKH"
	// Unit is meant where none is typed; Own is the person's unit, by whose scale
	// a specific gravity is meant that does not say its own. Own may be empty.
	Unit, Own chem.Unit
	Water     chem.Water // that the value is of
	// Comma says that a comma is the decimal mark, as a file or a person has said:
	// what could be read in two ways is then not asked about.
	Comma bool
}

// Value is what was typed, as the ledger keeps it.
type Value struct {
	Canonical float64 // in the analyte's canonical unit; with a Limit, the bound
	Limit     Limit
	Typed     string    // what was typed, without spaces around it
	Unit      chem.Unit // that it was typed in
}

// ReadTyped is the only way from a typed text to a value: it understands bounds,
// commas and units behind the number, converts in the water that the value is of,
// and refuses what cannot be and what can be two things: "1,280" where 1.28 and 1280
// both can, and a bare 1.025 for PSU, which is a specific gravity. The error is a Fault of "value", of "unit" for a unit
// that the analyte is not given in, or of "analyte" for one that is none; its
// numbers are in the typed unit, with the decimals that the analyte has in that.
func ReadTyped(t Typed) (Value, error) {
	v := Value{Typed: strings.TrimSpace(t.Text)}
	q, unit, err := chem.ParseTyped(t.Analyte, v.Typed, t.Unit, t.Own)
	if err != nil {
		return Value{}, faultOf(err)
	}
	info, ok := chem.Lookup(t.Analyte)
	if !ok {
		return Value{}, Fault{"analyte", "The analyte is not in the catalogue", "choose one from the list"}
	}
	v.Limit, v.Unit = limitOf(q.Limit), unit
	v.Canonical, err = chem.Canonical(t.Analyte, q.Value, unit, t.Water)
	var missing *chem.MissingError
	if errors.As(err, &missing) {
		return Value{}, needs(missing, info.Unit)
	}
	if err != nil {
		return Value{}, cannotBe(t.Analyte, chem.Decimal(q.Value, chem.Decimals(t.Analyte, unit)), unit, t.Water)
	}
	if f, bad := noBound(v.Canonical, v.Limit); bad {
		return Value{}, f
	}
	if f, bad := t.twoThings(q, unit); bad {
		return Value{}, f
	}
	return v, nil
}

// twoThings asks about a text that can be read in two ways.
func (t Typed) twoThings(q chem.Quantity, unit chem.Unit) (_ Fault, bad bool) {
	text := strings.TrimSpace(t.Text)
	if decimal, thousands, ok := chem.TwoWays(text); ok && !t.Comma && t.can(thousands) {
		return Fault{"value", words.T("%q can be %s or %s", text, decimal, thousands),
			"type the one that is meant, without the comma"}, true
	}
	if t.Analyte == chem.Salinity && unit == chem.PSU && isGravity(text, q.Value) {
		return Fault{"value", words.T("%s is a specific gravity and no PSU", text),
			words.T("type it with its scale, such as %s %s, or a PSU with its unit", text, chem.SG25)}, true
	}
	return Fault{}, false
}

// can tells whether water can have what a text says.
func (t Typed) can(text string) bool {
	t.Text = text
	_, err := ReadTyped(t)
	return err == nil
}

// isGravity tells a number of salt water's specific gravities, written with their
// decimals and without a unit: 1.000 to 1.040.
func isGravity(text string, v float64) bool {
	const lightest, heaviest, decimals = 1, 1.04, 3
	mark := strings.LastIndexAny(text, ".,")
	return v >= lightest && v <= heaviest && mark >= 0 && len(text)-mark-1 >= decimals &&
		strings.Trim(text[mark+1:], "0123456789") == ""
}

// Exact returns the canonical value; the error of a bound says that none can be
// here.
func (v Value) Exact() (float64, error) {
	if v.Limit != Exact {
		return 0, chem.BoundError(v.Typed)
	}
	return v.Canonical, nil
}

// In returns the reading with the value in the place of what it said.
func (v Value) In(r Reading) Reading {
	r.Value, r.Limit, r.Typed, r.Unit = v.Canonical, v.Limit, v.Typed, v.Unit
	return r
}

// Number returns the number that was typed and its unit; of a reading that was not
// typed the value itself.
func (r Reading) Number() (float64, chem.Unit) {
	q, unit, err := chem.ParseTyped(r.Analyte, r.Typed, r.Unit)
	if err != nil {
		info, _ := chem.Lookup(r.Analyte)
		return r.Value, info.Unit
	}
	return q.Value, unit
}

// faultOf is what is wrong with a typed text.
func faultOf(err error) Fault {
	var number *chem.NumberError
	var unit *chem.UnitError
	switch {
	case errors.As(err, &number):
		return Fault{"value", number.Problem, number.Remedy}
	case errors.As(err, &unit):
		return Fault{"unit", unit.Problem(), unit.Remedy()}
	}
	return Fault{Field: "analyte", Problem: words.Of(err)}
}

// noBound tells a bound that bounds nothing.
func noBound(v float64, l Limit) (_ Fault, bad bool) {
	if l != Below || v > 0 {
		return Fault{}, false
	}
	return Fault{"value", "A result below zero or nothing cannot be", "give the limit of detection after the <"}, true
}

// needs says what of the water must be known for a value in its unit.
func needs(m *chem.MissingError, other chem.Unit) Fault {
	names := make([]words.Text, len(m.Missing))
	for i, a := range m.Missing {
		names[i] = a.InSentence()
	}
	return Fault{"value", words.T("%s needs the water's %s", m.For, words.Join(names, ", ")),
		words.T("measure it within a day of this value, or give the value in %s", other)}
}

// cannotBe says that a value, written in a unit, is none that water can have.
func cannotBe(a chem.Analyte, shown words.Text, u chem.Unit, w chem.Water) Fault {
	info, _ := chem.Lookup(a)
	problem := words.T("%s of %s %s cannot be", info.Name, shown, u)
	low, high := chem.Format(a, info.Low, u, w), chem.Format(a, info.High, u, w)
	if low != "?" && high != "?" {
		problem = words.T("%s (%s to %s can)", problem, low, high)
	}
	return Fault{"value", problem, "check the decimal point and the unit"}
}

func limitOf(sign string) Limit {
	switch sign {
	case "<":
		return Below
	case ">":
		return Above
	}
	return Exact
}

// Sign returns the sign in front of a bound, empty for a value.
func (l Limit) Sign() string {
	switch l {
	case Below:
		return "<"
	case Above:
		return ">"
	}
	return ""
}
