package seawater

import "weirkeeper/assets/words"

// RangeError says that a quantity lies outside the range in which an equation
// is valid. A NaN is outside every range.
type RangeError struct {
	Quantity  words.Text // "salinity", "temperature", "conductivity", "specific gravity"
	Value     float64
	Low, High float64
	Unit      string // of Value, Low and High; empty where there is none
}

// Words implements words.Worded: the quantity, its value and the valid range.
func (e RangeError) Words() words.Text {
	unit := e.Unit
	if unit != "" {
		unit = " " + unit
	}
	return words.T("%s is %.6g%s, outside %.6g to %.6g%s: check the value and its unit", e.Quantity, e.Value, unit, e.Low, e.High, unit)
}

// Error says it in English.
func (e RangeError) Error() string { return e.Words().String() }

func within(v, low, high float64) bool { return v >= low && v <= high }

func checkSalinity(s float64) error {
	if !within(s, 0, MaxSalinity) {
		return RangeError{"salinity", s, 0, MaxSalinity, "PSU"}
	}
	return nil
}

func checkTemperature(t, high float64) error {
	if !within(t, minTemperature, high) {
		return RangeError{"temperature", t, minTemperature, high, "°C"}
	}
	return nil
}
