package chem

import "weirkeeper/assets/words"

// Why no amount of a product, or no share of new water, closes a gap.
var (
	ErrVolume    = words.New("the volume of the water is not known: give litres above zero")
	ErrNoEffect  = words.New("the product does not change this: choose another")
	ErrOtherWay  = words.New("the product moves this the other way: choose another, or change water")
	ErrFreshCant = words.New("water of this composition cannot lead there: choose a goal between the two waters")
)

// Amount returns how much of a product closes a gap: gap·litres/effect, in the
// product's unit. effect is per unit of product in one litre, gap and effect
// in one unit. The error wraps [ErrVolume], [ErrNoEffect] or [ErrOtherWay].
func Amount(effect, gap, litres float64) (float64, error) {
	if err := checkLitres("a dose for", litres); err != nil {
		return 0, err
	}
	if err := checkNumber("gap", gap); err != nil {
		return 0, err
	}
	switch {
	case effect == 0 || !finite(effect):
		return 0, words.Errorf("a gap of %g with an effect of %g: %w", gap, effect, ErrNoEffect)
	case gap*effect < 0:
		return 0, words.Errorf("a gap of %g with an effect of %g: %w", gap, effect, ErrOtherWay)
	}
	return gap * litres / effect, nil
}

// Delta returns the change of concentration that an amount makes in litres of
// water, above zero: effect·amount/litres. The error wraps [ErrVolume], or is a
// [RangeError] of an effect or amount that is no number.
func Delta(effect, amount, litres float64) (float64, error) {
	if err := checkLitres("a dose for", litres); err != nil {
		return 0, err
	}
	if err := checkNumber("amount", amount); err != nil {
		return 0, err
	}
	if err := checkNumber("effect", effect); err != nil {
		return 0, err
	}
	return effect * amount / litres, nil
}

// checkLitres returns an error that wraps [ErrVolume] unless litres are above
// zero; what begins the message.
func checkLitres(what string, litres float64) error {
	if litres > 0 && finite(litres) {
		return nil
	}
	return words.Errorf("%s %g L: %w", what, litres, ErrVolume)
}

// largestNumber is beyond every amount and level that a room can have.
const largestNumber = 1e18

// checkNumber returns a [RangeError] for what is no number or absurdly large.
func checkNumber(quantity words.Text, v float64) error {
	if v >= -largestNumber && v <= largestNumber {
		return nil
	}
	return RangeError{Quantity: quantity, Value: v, Low: -largestNumber, High: largestNumber}
}

func finite(v float64) bool { return v-v == 0 }
