package seawater

import "weirkeeper/assets/words"

// Total is the total concentration of something dissolved, which may have been
// measured. The zero value was not: it stands for that of the sea, in proportion
// to salinity. [Measured] of zero is none at all.
type Total struct {
	umolKg   float64
	measured bool
}

// Measured returns a total that was measured, in µmol per kg of water, 0 to
// 1 000 000.
func Measured(umolKg float64) Total { return Total{umolKg, true} }

// Value returns what was measured, zero where nothing was.
func (t Total) Value() float64 { return t.umolKg }

// Known tells whether the total was measured.
func (t Total) Known() bool { return t.measured }

// or returns mol/kg: what was measured, else what is proportional to salinity.
func (t Total) or(proportional float64) float64 {
	if t.measured {
		return t.umolKg * 1e-6
	}
	return proportional
}

func (t Total) check(quantity words.Text, high float64) error {
	if !t.measured || within(t.umolKg, 0, high) {
		return nil
	}
	return RangeError{quantity, t.umolKg, 0, high, "µmol/kg"}
}
