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
// and refuses what cannot be. The error is a Fault of "value", of "unit" for a unit
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
	level, err := chem.NewLevel(t.Analyte, q.Value, unit, t.Water)
	if err == nil {
		v.Canonical, err = level.In(info.Unit, t.Water)
	}
	if err != nil {
		return Value{}, cannotBe(t.Analyte, chem.Decimal(q.Value, chem.Decimals(t.Analyte, unit)), unit, t.Water)
	}
	if f, bad := noBound(v.Canonical, v.Limit); bad {
		return Value{}, f
	}
	return v, nil
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
