package chem

import (
	"math"
	"strconv"
	"strings"

	"weirkeeper/assets/words"
)

// Quantity is a typed number with its sign of limit.
type Quantity struct {
	Value float64
	Limit string // "", "<" (below, as of a detection limit) or ">" (above the range)
}

// NumberError says what is wrong with a typed number and what to do.
type NumberError struct{ Problem, Remedy words.Text }

// Words implements words.Worded.
func (e *NumberError) Words() words.Text { return words.T("%s: %s", e.Problem, e.Remedy) }

// Error says it in English.
func (e *NumberError) Error() string { return e.Words().String() }

// minusSign is U+2212, what word processors and this program write.
const minusSign = '\u2212'

// ParseNumber reads a decimal number as people type it: "8.3", "8,3", "<0.02",
// "> 100", "1 020". A point and a comma both mean the decimal mark; spaces may
// group thousands. Exponents and words are refused. The error, a
// *NumberError, names the offending character or says what is missing.
func ParseNumber(s string) (Quantity, error) {
	text := strings.TrimSpace(s)
	if text == "" {
		return Quantity{}, &NumberError{"nothing is typed", "give a number such as 8.3 or <0.02"}
	}
	var q Quantity
	if text[0] == '<' || text[0] == '>' {
		q.Limit, text = text[:1], strings.TrimSpace(text[1:])
	}
	plain, err := plainDecimal(s, text)
	if err != nil {
		return Quantity{}, err
	}
	v, err := strconv.ParseFloat(plain, 64)
	if err != nil || math.IsInf(v, 0) {
		return Quantity{}, &NumberError{words.T("%q is too large a number", s), "check the digits"}
	}
	q.Value = v
	return q, nil
}

// ParseExact is ParseNumber for a number that is no bound.
func ParseExact(s string) (float64, error) {
	q, err := ParseNumber(s)
	if err != nil {
		return 0, err
	}
	if q.Limit != "" {
		return 0, BoundError(s)
	}
	return q.Value, nil
}

// BoundError says that a typed number is a bound where none can be.
func BoundError(s string) error {
	return &NumberError{words.T("%q is a bound", s), "give the number alone"}
}

// TwoWays returns both readings of a number whose comma can be the decimal mark or
// divide thousands: one to three digits, no zero first, and three behind its only
// mark, "1,280" or "<1,280 mg/L". ok is false for any other.
func TwoWays(text string) (decimal, thousands string, ok bool) {
	before, behind, found := strings.Cut(text, ",")
	if !found {
		return "", "", false
	}
	whole := strings.TrimLeft(before, "<>+-\u2212 \u00a0\u202f\u2009")
	if len(whole) < 1 || len(whole) > 3 || whole[0] == '0' || !allDigits(whole) {
		return "", "", false
	}
	if len(behind) < 3 || !allDigits(behind[:3]) || (len(behind) > 3 && strings.ContainsRune("0123456789.,", rune(behind[3]))) {
		return "", "", false
	}
	return before + "." + behind, before + behind, true
}

func allDigits(s string) bool { return strings.Trim(s, "0123456789") == "" }

// plainDecimal turns what follows the sign of limit into a number as Go
// writes it; whole is what was typed, for the error.
func plainDecimal(whole, text string) (string, error) {
	var b strings.Builder
	digits, mark, gap := 0, false, -1 // gap: digits since the last space, -1 none
	for i, r := range text {
		switch {
		case r >= '0' && r <= '9':
			b.WriteRune(r)
			digits++
			if gap >= 0 && !mark {
				gap++
			}
		case r == '.' || r == ',':
			if mark {
				return "", &NumberError{words.T("%q has a second decimal mark %q", whole, r),
					"type one point or comma, and no mark between thousands"}
			}
			b.WriteByte('.')
			mark = true
		case (r == '-' || r == minusSign) && i == 0:
			b.WriteByte('-')
		case r == '+' && i == 0:
		case isSpace(r):
			if digits == 0 || mark || (gap < 0 && digits > 3) || (gap >= 0 && gap != 3) {
				return "", badSpace(whole)
			}
			gap = 0
		default:
			return "", &NumberError{words.T("%q has the character %q, which is no part of a number", whole, r),
				"type digits with a point or a comma"}
		}
	}
	if digits == 0 {
		return "", &NumberError{words.T("%q has no digits", whole), "give a number such as 8.3"}
	}
	if gap >= 0 && gap != 3 {
		return "", badSpace(whole)
	}
	return b.String(), nil
}

// isSpace tells the spaces that group thousands: plain, no-break, narrow
// no-break and thin.
func isSpace(r rune) bool {
	return r == ' ' || r == '\u00a0' || r == '\u202f' || r == '\u2009'
}

func badSpace(whole string) error {
	return &NumberError{words.T("%q has a space in a place where it groups no thousands", whole), "type one number without spaces"}
}
