package setup

import (
	"fmt"
	"strconv"
	"strings"

	"weirkeeper/app/widgets"
	"weirkeeper/chem"
)

// number reads a typed number that is no bound.
func number(text string) (float64, error) {
	q, err := chem.ParseNumber(text)
	if err != nil {
		return 0, err
	}
	if q.Limit != "" {
		return 0, fmt.Errorf("%q is a bound: give the number alone", text)
	}
	return q.Value, nil
}

// numberField is a field that is empty for zero.
func numberField(v float64) *widgets.NumberEntry {
	if v == 0 {
		return widgets.NewNumberEntry("")
	}
	return widgets.NewNumberEntry(plain(v))
}

// plain writes a number for a field, without the dust of a conversion.
func plain(v float64) string {
	text := strconv.FormatFloat(v, 'f', 6, 64)
	return strings.TrimRight(strings.TrimRight(text, "0"), ".")
}
