package chem

// Canonical returns the value v of a, in one of its units, in its canonical one. The
// error is a *UnitError, or a [RangeError] when the value is not plausible by the
// catalogue: NaN, below or above what water can hold.
func Canonical(a Analyte, v float64, u Unit, w Water) (float64, error) {
	canonical, err := Convert(a, v, u, catalogue[a].Unit, w)
	if err != nil {
		return 0, err
	}
	return canonical, plausible(a, canonical)
}

// plausible returns a [RangeError] for a canonical value that the catalogue
// takes for a slip.
func plausible(a Analyte, v float64) error {
	info := catalogue[a]
	if v >= info.Low && v <= info.High {
		return nil
	}
	return RangeError{Quantity: a.InSentence(), Value: v, Low: info.Low, High: info.High, Unit: string(info.Unit)}
}
