package seawater

import (
	"math"

	"weirkeeper/assets/words"
)

// PHScale is what a pH counts as hydrogen ion. The zero value is [TotalScale].
type PHScale int

// The scales. They differ by up to 0.2 in seawater, so a pH without its scale
// says little.
const (
	// TotalScale counts free hydrogen ions and bisulfate; spectrophotometric
	// methods and laboratories report it.
	TotalScale PHScale = iota
	// FreeScale counts free hydrogen ions alone.
	FreeScale
	// SeawaterScale counts hydrogen fluoride too.
	SeawaterScale
	// NBSScale is the activity scale of the buffers that pH meters are set with.
	// In seawater a glass electrode's junction adds its own error to it.
	NBSScale
)

// Words implements words.Worded: the scale's name.
func (s PHScale) Words() words.Text {
	switch s {
	case TotalScale:
		return "total scale"
	case FreeScale:
		return "free scale"
	case SeawaterScale:
		return "seawater scale"
	case NBSScale:
		return "NBS scale"
	}
	return "no pH scale"
}

// String returns the name in English.
func (s PHScale) String() string { return s.Words().String() }

const (
	// MinPH and MaxPH bound every pH that is taken or found.
	MinPH = 3.0
	MaxPH = 12.0
)

func checkPH(pH float64) error {
	if !within(pH, MinPH, MaxPH) {
		return RangeError{"pH", pH, MinPH, MaxPH, ""}
	}
	return nil
}

// shift returns pH on the scale less pH on the free scale.
func (e *Equilibria) shift(s PHScale) (float64, error) {
	switch s {
	case TotalScale:
		return -math.Log10(e.freeToTotal), nil
	case FreeScale:
		return 0, nil
	case SeawaterScale:
		return -math.Log10(e.freeToSeawater), nil
	case NBSScale:
		return -math.Log10(e.freeToSeawater * e.activity), nil
	}
	return 0, RangeError{"pH scale", float64(s), float64(TotalScale), float64(NBSScale), ""}
}

// takahashiDoubt is what fH is good to, in pH.
const takahashiDoubt = 0.01

// NBSDoubt returns what a step between the NBS scale and another is good to, in
// pH: 0.01 from 20 PSU, as any NBS pH of seawater is; below that what two published
// ways to the activity of hydrogen stand apart comes on top.
func (e *Equilibria) NBSDoubt() float64 { return e.nbsDoubt }

// ConvertPH returns a pH, 3 to 12, on another scale. The NBS scale goes by the
// activity coefficient fH of Takahashi et al. 1982 (GEOSECS), which was measured
// from 20 PSU, in the [Water] of less salt by the activity of hydrogen; see
// [Equilibria.NBSDoubt]. Outside it returns a [RangeError].
func (e *Equilibria) ConvertPH(pH float64, from, to PHScale) (float64, error) {
	if err := checkPH(pH); err != nil {
		return 0, err
	}
	f, err := e.shift(from)
	if err != nil {
		return 0, err
	}
	t, err := e.shift(to)
	if err != nil {
		return 0, err
	}
	if from == to {
		return pH, nil
	}
	return pH - f + t, nil
}
