package setup

import (
	"fmt"

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
