package chem

import (
	"fmt"
	"math"
)

// Amount returns how much of a product closes a gap: gap·litres/effect, in the
// product's unit. effect is per unit in one litre. The error tells of an
// effect that is zero or points the other way.
func Amount(effect, gap, litres float64) (float64, error) {
	switch {
	case litres <= 0 || math.IsNaN(litres) || math.IsInf(litres, 0):
		return 0, fmt.Errorf("a volume of %g L cannot be dosed", litres)
	case effect == 0 || math.IsNaN(effect):
		return 0, fmt.Errorf("the product does not change this")
	case gap/effect < 0:
		return 0, fmt.Errorf("the product moves this the other way")
	}
	return gap * litres / effect, nil
}

// Change returns the change of concentration that an amount makes.
func Change(effect, amount, litres float64) float64 { return effect * amount / litres }

// DilutedBy returns the concentration after a share f of the water is replaced
// by water of concentration fresh: (1−f)·c + f·fresh.
func DilutedBy(c, share, fresh float64) float64 { return (1-share)*c + share*fresh }

// ShareFor returns the share of the water, 0 to 1, to replace so that c
// becomes goal. The error tells that the new water cannot lead there.
func ShareFor(c, goal, fresh float64) (float64, error) {
	if c == goal {
		return 0, nil
	}
	share := (c - goal) / (c - fresh)
	if c == fresh || share < 0 || share > 1 || math.IsNaN(share) {
		return 0, fmt.Errorf("water of %g cannot bring %g to %g", fresh, c, goal)
	}
	return share, nil
}
