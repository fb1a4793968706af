package chem

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Quantity is a typed number with its sign of limit.
type Quantity struct {
	Value float64
	Limit string // "", "<" (below, as of a detection limit) or ">" (above the range)
}

// minusSign is U+2212, what word processors and this program write.
const minusSign = '\u2212'

// ParseNumber reads a decimal number as people type it: "8.3", "8,3", "<0.02",
// "> 100", "1 020". A point and a comma both mean the decimal mark; spaces may
// group thousands. Exponents and words are refused. The error names the
// offending character or says what is missing.
func ParseNumber(s string) (Quantity, error) {
	text := strings.TrimSpace(s)
	if text == "" {
		return Quantity{}, fmt.Errorf("nothing is typed: give a number such as 8.3 or <0.02")
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
		return Quantity{}, fmt.Errorf("%q is too large a number: check the digits", s)
	}
	q.Value = v
	return q, nil
}

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
				return "", fmt.Errorf("%q has a second decimal mark %q: type one point or comma, and no mark between thousands", whole, r)
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
			return "", fmt.Errorf("%q has the character %q, which is no part of a number: type digits with a point or a comma", whole, r)
		}
	}
	if digits == 0 {
		return "", fmt.Errorf("%q has no digits: give a number such as 8.3", whole)
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
	return fmt.Errorf("%q has a space in a place where it groups no thousands: type one number without spaces", whole)
}
