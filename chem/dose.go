package chem

import (
	"errors"
	"fmt"
)

// Why no amount of a product, or no share of new water, closes a gap.
var (
	ErrVolume    = errors.New("the volume of the water is not known: give litres above zero")
	ErrNoEffect  = errors.New("the product does not change this: choose another")
	ErrOtherWay  = errors.New("the product moves this the other way: choose another, or change water")
	ErrFreshCant = errors.New("water of this composition cannot lead there: choose a goal between the two waters")
)

// Amount returns how much of a product closes a gap: gap·litres/effect, in the
// product's unit. effect is per unit of product in one litre, gap and effect
// in one unit. The error wraps [ErrVolume], [ErrNoEffect] or [ErrOtherWay].
func Amount(effect, gap, litres float64) (float64, error) {
	if err := checkLitres("a dose for", litres); err != nil {
		return 0, err
	}
	switch {
	case effect == 0 || !finite(effect):
		return 0, fmt.Errorf("a gap of %g with an effect of %g: %w", gap, effect, ErrNoEffect)
	case !finite(gap):
		return 0, fmt.Errorf("a gap of %g is no number", gap)
	case gap*effect < 0:
		return 0, fmt.Errorf("a gap of %g with an effect of %g: %w", gap, effect, ErrOtherWay)
	}
	return gap * litres / effect, nil
}

// Change returns the change of concentration that an amount makes in litres of
// water, above zero: effect·amount/litres.
func Change(effect, amount, litres float64) float64 { return effect * amount / litres }

// checkLitres returns an error that wraps [ErrVolume] unless litres are above
// zero; what begins the message.
func checkLitres(what string, litres float64) error {
	if litres > 0 && finite(litres) {
		return nil
	}
	return fmt.Errorf("%s %g L: %w", what, litres, ErrVolume)
}

func finite(v float64) bool { return v-v == 0 }
