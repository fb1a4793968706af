package csvread

import (
	"regexp"
	"strings"

	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// grouped finds numbers with several groups of thousands, or a point behind them.
var grouped = regexp.MustCompile(`^[<>]?\s*[-+\x{2212}]?[1-9][0-9]{0,2}(?:,[0-9]{3})+(?:\.[0-9]*)?(?:[^0-9.,]|$)`)

func ungrouped(text string) string { return strings.ReplaceAll(text, ",", "") }

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
			return ungrouped(text), true
		}
		return text, true
	}
	asDecimal, asThousands, twoWays := chem.TwoWays(text)
	if !twoWays {
		if grouped.MatchString(text) {
			return ungrouped(text), true
		}
		return text, true
	}
	can := func(text string) bool {
		_, err := tanks.ReadTyped(tanks.Typed{Analyte: r.Analyte, Text: text, Unit: r.Unit, Water: w})
		return err == nil
	}
	switch decimal, thousands := can(asDecimal), can(asThousands); {
	case decimal && thousands:
		return text, false
	case thousands:
		return asThousands, true
	}
	return text, true
}
