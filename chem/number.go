package chem

import (
	"fmt"
	"strconv"
	"strings"
)

// Quantity is a typed number with its sign of limit.
type Quantity struct {
	Value float64
	Limit string // "", "<" or ">"
}

// ParseNumber reads a number as people type it: "8.3", "8,3", "<0.02",
// "> 100", "1 020". The error names what is wrong and at which character.
func ParseNumber(s string) (Quantity, error) {
	var q Quantity
	text := strings.TrimSpace(s)
	if text == "" {
		return q, fmt.Errorf("nothing is typed: give a number such as 8.3 or <0.02")
	}
	for _, sign := range []string{"<", ">"} {
		if rest, ok := strings.CutPrefix(text, sign); ok {
			q.Limit, text = sign, strings.TrimSpace(rest)
			break
		}
	}
	var b strings.Builder
	points := 0
	for i, r := range text {
		switch {
		case r >= '0' && r <= '9':
			b.WriteRune(r)
		case r == '.' || r == ',':
			points++
			b.WriteByte('.')
		case (r == '-' || r == '−' || r == '+') && i == 0:
			if r != '+' {
				b.WriteByte('-')
			}
		case r == ' ' || r == '\u00a0' || r == '\u202f' || r == '\'':
		default:
			return Quantity{}, fmt.Errorf("%q has the character %q, which is no part of a number: type digits with a point or a comma", s, r)
		}
	}
	if points > 1 {
		return Quantity{}, fmt.Errorf("%q has more than one point or comma: type one, before the decimals", s)
	}
	v, err := strconv.ParseFloat(b.String(), 64)
	if err != nil {
		return Quantity{}, fmt.Errorf("%q is no number: type digits such as 8.3", s)
	}
	q.Value = v
	return q, nil
}
