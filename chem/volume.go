package chem

import "weirkeeper/assets/words"

// VolumeUnit is a unit that volumes of water are shown in. They are kept in
// litres.
type VolumeUnit int

// The units of volume.
const (
	Litre VolumeUnit = iota
	USGallon
	ImperialGallon
)

// VolumeUnits lists the units in the order that lists show them.
func VolumeUnits() []VolumeUnit { return []VolumeUnit{Litre, USGallon, ImperialGallon} }

// Litres returns how many litres one of the unit is: exact, by NIST SP 811
// (2008), appendix B.8, for the US liquid gallon of 231 cubic inches, and by
// the UK Weights and Measures Act 1985, schedule 1, for the imperial gallon.
func (u VolumeUnit) Litres() float64 {
	switch u {
	case USGallon:
		return 3.785411784
	case ImperialGallon:
		return 4.54609
	}
	return 1
}

// Words implements words.Worded: the unit's sign, the same in every language.
func (u VolumeUnit) Words() words.Text { return words.T("%s", u.Sign()) }

// Sign returns the unit's sign.
func (u VolumeUnit) Sign() string {
	switch u {
	case USGallon:
		return "US gal"
	case ImperialGallon:
		return "imp gal"
	}
	return "L"
}

// Of returns litres in the unit.
func (u VolumeUnit) Of(litres float64) float64 { return litres / u.Litres() }

// Volume writes litres in the unit, with decimals as for litres: one more in
// gallons below a hundred of them, which are coarser.
func (u VolumeUnit) Volume(litres float64, decimals int) words.Text {
	return words.T("%s %s", u.Number(litres, decimals), u)
}

// Number is Volume without the unit.
func (u VolumeUnit) Number(litres float64, decimals int) words.Text {
	v := u.Of(litres)
	if u != Litre && v < 100 && v > -100 {
		decimals++
	}
	return Decimal(v, decimals)
}

// VolumeWithin writes litres with their standard uncertainty: "340 ± 7 L"; without
// one the litres alone.
func (u VolumeUnit) VolumeWithin(litres, uncertainty float64) words.Text {
	if uncertainty <= 0 {
		return u.Volume(litres, 0)
	}
	return words.T("%s ± %s %s", u.Number(litres, 0), u.Number(uncertainty, 0), u)
}

// String returns the unit's sign.
func (u VolumeUnit) String() string { return u.Sign() }
