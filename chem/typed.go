package chem

import (
	"errors"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// ParseTyped reads a value of a as people type it, with its unit behind it or
// without: "8,3", "<0.02", "> 100 mg/L", "8.3 dKH". A number alone is in the first
// of the usual units. A specific gravity without its reference temperature, "1.026
// sg", is on the first usual scale of gravity; without one it is refused. The error
// is a *NumberError or a *UnitError.
func ParseTyped(a Analyte, s string, usual ...Unit) (Quantity, Unit, error) {
	s = strings.TrimSpace(s)
	number, unit := cutUnit(s)
	q, err := ParseNumber(number)
	if err != nil {
		return Quantity{}, "", err
	}
	if unit == "" && len(usual) > 0 && usual[0] != "" {
		return q, usual[0], nil
	}
	if i := slices.IndexFunc(usual, isGravity); i >= 0 && isBareGravity(a, unit) {
		return q, usual[i], nil
	}
	u, err := ParseUnit(a, unit)
	if errors.As(err, new(*UnitError)) && unit != "" && strings.HasSuffix(s, number+unit) {
		_, err = ParseNumber(s) // with nothing between them the letters are a slip in the number
	}
	return q, u, err
}

// cutUnit parts a typed value into its number and its unit. Text without a unit
// that could be one is all number, for the error to name what is wrong.
func cutUnit(s string) (number, unit string) {
	end := strings.IndexFunc(s, func(r rune) bool { // units may hold digits, numbers no letters
		return !strings.ContainsRune("0123456789.,+-<>\u2212\u00a0\u202f\u2009 ", r)
	})
	if end <= 0 {
		return s, ""
	}
	if first, _ := utf8.DecodeRuneInString(s[end:]); !unicode.IsLetter(first) && !strings.ContainsRune("°º‰%", first) {
		return s, ""
	}
	return strings.TrimSpace(s[:end]), s[end:]
}

func isGravity(u Unit) bool { return u == SG25 || u == SG20 || u == SG60F }

// isBareGravity tells a specific gravity that does not say its reference
// temperature.
func isBareGravity(a Analyte, unit string) bool {
	n := normal(unit)
	return a == Salinity && (n == "sg" || n == "d")
}
