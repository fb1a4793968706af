package seawater

import (
	"math"

	"weirkeeper/assets/words"
)

// RefTemp is a reference temperature of hydrometers: the density of the sample
// and that of pure water are both meant at this temperature.
type RefTemp int

// The reference temperatures in use.
const (
	Ref60F RefTemp = iota + 1 // 60/60 °F
	Ref20C                    // 20/20 °C
	Ref25C                    // 25/25 °C
)

// Celsius returns the reference temperature in °C, NaN for an unknown one.
func (r RefTemp) Celsius() float64 {
	switch r {
	case Ref60F:
		return (60.0 - 32) * 5 / 9
	case Ref20C:
		return 20
	case Ref25C:
		return 25
	}
	return math.NaN()
}

// String names the reference as hydrometers do: "60/60 °F".
func (r RefTemp) String() string {
	switch r {
	case Ref60F:
		return "60/60 °F"
	case Ref20C:
		return "20/20 °C"
	case Ref25C:
		return "25/25 °C"
	}
	return "no reference temperature"
}

func (r RefTemp) t68() (float64, error) {
	if r < Ref60F || r > Ref25C {
		return 0, RangeError{"reference temperature (60/60 °F, 20/20 °C, 25/25 °C in this order)", float64(r), float64(Ref60F),
			float64(Ref25C), ""}
	}
	return r.Celsius() * t68, nil
}

// GravityFromSalinity returns the specific gravity ρ(s, ref)/ρ(0, ref) of
// water of practical salinity s, 0 to 42. Both densities are EOS-80's: two
// equations of state must not be mixed in one ratio.
func GravityFromSalinity(s float64, ref RefTemp) (float64, error) {
	t, err := ref.t68()
	if err != nil {
		return 0, err
	}
	if err := checkSalinity(s); err != nil {
		return 0, err
	}
	return eos80(s, t) / eos80(0, t), nil
}

// SalinityFromGravity returns the practical salinity of water that shows the
// specific gravity sg when it has the reference temperature. It inverts
// [GravityFromSalinity] and has the same range.
func SalinityFromGravity(sg float64, ref RefTemp) (float64, error) {
	t, err := ref.t68()
	if err != nil {
		return 0, err
	}
	pure := eos80(0, t)
	high := eos80(MaxSalinity, t) / pure
	if !within(sg, 1, high) {
		return 0, RangeError{words.T("specific gravity at %s", ref.String()), sg, 1, high, ""}
	}
	return invert(func(s float64) float64 { return eos80(s, t) }, sg*pure, 0, MaxSalinity), nil
}
