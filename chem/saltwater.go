package chem

import (
	"weirkeeper/assets/words"
	"weirkeeper/chem/seawater"
)

// SeaSalt is a salt mix as it lies in the bag. The zero value is dry reference
// salt.
type SeaSalt struct {
	// Moisture is the share of its mass that is water, of crystallisation or
	// damp, 0 to 0.4. Mixes hold a tenth or more; a batch of known salinity tells
	// it (common practice, no source).
	Moisture float64
}

func (s SeaSalt) check() error {
	if !(s.Moisture >= 0 && s.Moisture <= 0.4) {
		return RangeError{Quantity: "moisture of the salt", Value: 100 * s.Moisture, Low: 0, High: 40, Unit: "%"}
	}
	return nil
}

// brine is water of one salinity by mass.
type brine struct {
	density float64 // kg/L
	salt    float64 // kg in a kg
}

func brineOf(s, tC float64) (brine, error) {
	rho, err := seawater.Density(s, tC)
	if err != nil {
		return brine{}, err
	}
	grams, err := seawater.ReferenceSalinity(s)
	return brine{rho / 1000, grams / 1000}, err
}

// Batch is what makes a vat of salt water.
type Batch struct {
	SaltKg      float64
	WaterLitres float64 // of the source water, at the temperature of the batch
}

// Batch returns what makes litres of salt water of salinity s in PSU at tC in
// °C, from source water of salinity source (0 for RO/DI): masses are conserved,
// with the densities of EOS-80. The error wraps [ErrVolume], [ErrFreshCant] when
// the source is the saltier, or is a [RangeError].
func (x SeaSalt) Batch(litres, s, tC, source float64) (Batch, error) {
	if err := checkLitres("a batch of", litres); err != nil {
		return Batch{}, err
	}
	if err := x.check(); err != nil {
		return Batch{}, err
	}
	made, err := brineOf(s, tC)
	if err != nil {
		return Batch{}, err
	}
	from, err := brineOf(source, tC)
	if err != nil {
		return Batch{}, err
	}
	if source > s {
		return Batch{}, words.Errorf("a batch of %g PSU from water of %g PSU: %w", s, source, ErrFreshCant)
	}
	mass := made.density * litres
	salt := mass * (made.salt - from.salt) / (1 - x.Moisture - from.salt)
	return Batch{SaltKg: salt, WaterLitres: (mass - salt) / from.density}, nil
}

// SaltToRaise returns the kg of salt that raise litres of water at tC from
// salinity s to goal. The volume grows a little. The error wraps [ErrVolume],
// [ErrOtherWay] when the goal lies below s, or is a [RangeError].
func (x SeaSalt) SaltToRaise(litres, s, goal, tC float64) (float64, error) {
	if err := checkLitres("a system of", litres); err != nil {
		return 0, err
	}
	if err := x.check(); err != nil {
		return 0, err
	}
	now, then, err := twoBrines(s, goal, tC)
	if err != nil {
		return 0, err
	}
	if goal < s {
		return 0, words.Errorf("salt from %g to %g PSU: %w", s, goal, ErrOtherWay)
	}
	return now.density * litres * (then.salt - now.salt) / (1 - x.Moisture - then.salt), nil
}

func twoBrines(a, b, tC float64) (brine, brine, error) {
	first, err := brineOf(a, tC)
	if err != nil {
		return brine{}, brine{}, err
	}
	second, err := brineOf(b, tC)
	return first, second, err
}

// SwapForSalinity returns the litres to take out of a system and to replace by as
// much water of salinity fresh, so that its salinity goes from s to goal, up or
// down; masses are conserved. The error wraps [ErrVolume] or [ErrFreshCant], or
// is a [RangeError].
func SwapForSalinity(litres, s, goal, fresh, tC float64) (float64, error) {
	if err := checkLitres("a system of", litres); err != nil {
		return 0, err
	}
	old, then, err := twoBrines(s, goal, tC)
	if err != nil {
		return 0, err
	}
	in, err := brineOf(fresh, tC)
	if err != nil {
		return 0, err
	}
	if _, err := ShareFor(s, goal, fresh); err != nil {
		return 0, err
	}
	if s == goal {
		return 0, nil
	}
	lost, won := old.density*(old.salt-then.salt), in.density*(in.salt-then.salt)
	return litres * lost / (lost - won), nil
}

// FreshToLower returns the litres of pure water to add, with none taken out, so
// that salinity falls from s to goal, above 0: the system must have the room
// for it. The error wraps [ErrVolume], [ErrOtherWay] when the goal lies above s, or
// is a [RangeError].
func FreshToLower(litres, s, goal, tC float64) (float64, error) {
	if err := checkLitres("a system of", litres); err != nil {
		return 0, err
	}
	now, then, err := twoBrines(s, goal, tC)
	if err != nil {
		return 0, err
	}
	switch {
	case goal > s:
		return 0, words.Errorf("pure water from %g to %g PSU: %w", s, goal, ErrOtherWay)
	case goal == s:
		return 0, nil
	case goal == 0:
		return 0, words.Errorf("pure water from %g to 0 PSU: %w", s, ErrFreshCant)
	}
	pure, err := brineOf(0, tC)
	return now.density * litres * (now.salt/then.salt - 1) / pure.density, err
}

// SaltTopOff returns the litres of evaporated water to replace by salt water of
// salinity top instead of pure water, so that a system kept at its volume goes
// from s up to goal. The error wraps [ErrVolume], [ErrOtherWay] when the goal
// lies below s, [ErrNoEffect] when top is 0, or is a [RangeError].
func SaltTopOff(litres, s, goal, top, tC float64) (float64, error) {
	if err := checkLitres("a system of", litres); err != nil {
		return 0, err
	}
	now, then, err := twoBrines(s, goal, tC)
	if err != nil {
		return 0, err
	}
	in, err := brineOf(top, tC)
	switch {
	case err != nil:
		return 0, err
	case goal < s:
		return 0, words.Errorf("salt top-off from %g to %g PSU: %w", s, goal, ErrOtherWay)
	case top == 0:
		return 0, words.Errorf("top-off of 0 PSU: %w", ErrNoEffect)
	}
	return litres * (then.density*then.salt - now.density*now.salt) / (in.density * in.salt), nil
}
