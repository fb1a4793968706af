// Package prefs is what a person prefers: the units that values are shown in,
// how numbers and dates are written, and the look. Ledgers are not changed by it:
// they keep canonical units.
package prefs

import (
	"slices"
	"time"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/chem"
)

// Nutrients says by what the mass of a nutrient is given.
type Nutrients int

// The ways of giving nutrients.
const (
	AsIon     Nutrients = iota // NO3, PO4
	AsElement                  // NO3-N, PO4-P
)

// Choice is a preference that may be left to the desktop's locale.
type Choice int

// ByLocale is the choice of none. A choice n above it is the value n-1.
const ByLocale Choice = 0

// Preferences are one person's. The zero value follows the desktop, in litres,
// degrees Celsius, and the first unit of the catalogue.
type Preferences struct {
	Theme   look.Variant
	Density look.Density

	Volume      chem.VolumeUnit
	Temperature chem.Unit // empty: °C, as an empty unit below is the catalogue's first
	Alkalinity  chem.Unit
	Salinity    chem.Unit
	Nutrients   Nutrients

	Decimal Choice // of Decimals
	Dates   Choice // of say.Dates
	Week    Choice // of Weeks

	Locale Locale // of the desktop, not kept
}

// Decimals are the decimal signs that can be chosen.
var Decimals = []string{".", ","}

// Weeks are the first days of a week that can be chosen.
var Weeks = []time.Weekday{time.Monday, time.Sunday, time.Saturday}

// The units that can be chosen.
var (
	Temperatures = []chem.Unit{chem.Celsius, chem.Fahrenheit}
	Alkalinities = []chem.Unit{chem.DKH, chem.MeqL, chem.CaCO3}
	Salinities   = []chem.Unit{chem.PSU, chem.SG25, chem.SG20, chem.SG60F, chem.MilliSiemens}
)

// elements are the units of nutrients as their element.
var elements = map[chem.Analyte]chem.Unit{
	chem.Nitrate: chem.NO3N, chem.Nitrite: chem.NO2N, chem.Ammonia: chem.NH4N, chem.Phosphate: chem.PO4P, chem.Silicate: chem.Si,
}

// Unit returns the unit in which an analyte is shown; empty for an analyte that
// the catalogue does not know.
func (p Preferences) Unit(a chem.Analyte) chem.Unit {
	info, ok := chem.Lookup(a)
	if !ok {
		return ""
	}
	wanted := p.Typed(a)
	if p.Nutrients == AsElement && wanted == "" {
		wanted = elements[a]
	}
	if slices.Contains(info.Units, wanted) {
		return wanted
	}
	return info.Units[0]
}

// Typed returns the unit in which the person types an analyte by whatever method,
// empty where the method's own holds: what the scale of a kit for a nutrient shows
// is what it counts.
func (p Preferences) Typed(a chem.Analyte) chem.Unit {
	switch a {
	case chem.Temperature:
		return p.Temperature
	case chem.Alkalinity:
		return p.Alkalinity
	case chem.Salinity:
		return p.Salinity
	}
	return ""
}

// Value writes a canonical value of a in the unit shown, without the unit. No unit
// that can be chosen depends on the water.
func (p Preferences) Value(a chem.Analyte, v float64) string {
	return say.L(chem.Format(a, v, p.Unit(a), chem.Water{}))
}

// Litres writes litres in the unit that volumes are shown in, with so many
// decimals of a litre.
func (p Preferences) Litres(litres float64, decimals int) string {
	return say.L(p.Volume.Volume(litres, decimals))
}

// Style returns how numbers and dates are written.
func (p Preferences) Style() say.Style {
	s := say.Style{Comma: p.Locale.comma(), Dates: p.Locale.dates()}
	if p.Decimal != ByLocale {
		s.Comma = Decimals[p.Decimal-1] == ","
	}
	if p.Dates != ByLocale {
		s.Dates = say.Dates(p.Dates - 1)
	}
	return s
}

// FirstDay returns the day that a week begins with.
func (p Preferences) FirstDay() time.Weekday {
	if p.Week != ByLocale {
		return Weeks[p.Week-1]
	}
	return p.Locale.firstDay()
}
