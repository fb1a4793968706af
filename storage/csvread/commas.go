package csvread

import (
	"regexp"
	"strings"

	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// twoWays finds numbers whose comma can be the decimal mark or divide thousands:
// one to three digits, no zero first, and three behind a comma.
var twoWays = regexp.MustCompile(`^[<>]?\s*[-+\x{2212}]?[1-9][0-9]{0,2},[0-9]{3}(?:[^0-9.,]|$)`)

// grouped finds numbers with several groups of thousands, or a point behind them.
var grouped = regexp.MustCompile(`^[<>]?\s*[-+\x{2212}]?[1-9][0-9]{0,2}(?:,[0-9]{3})+(?:\.[0-9]*)?(?:[^0-9.,]|$)`)

func asDecimal(text string) string   { return strings.Replace(text, ",", ".", 1) }
func asThousands(text string) string { return strings.ReplaceAll(text, ",", "") }

// number returns a value's text with its comma as the file means it. sure is false
// when nobody said what it means and both can be; of two readings of which water
// can have one, that is meant.
func (rr *rowReader) number(text string, r tanks.Reading, w chem.Water) (_ string, sure bool) {
	if !strings.Contains(text, ",") {
		return text, true
	}
	switch rr.commas {
	case CommasDecimal:
		return text, true
	case CommasThousands:
		if grouped.MatchString(text) {
			return asThousands(text), true
		}
		return text, true
	}
	if !twoWays.MatchString(text) {
		if grouped.MatchString(text) {
			return asThousands(text), true
		}
		return text, true
	}
	can := func(text string) bool {
		_, err := tanks.ReadTyped(tanks.Typed{Analyte: r.Analyte, Text: text, Unit: r.Unit, Water: w})
		return err == nil
	}
	switch decimal, thousands := can(asDecimal(text)), can(asThousands(text)); {
	case decimal && thousands:
		return text, false
	case thousands:
		return asThousands(text), true
	}
	return text, true
}
