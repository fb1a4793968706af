package prefs

import (
	"slices"

	"weirkeeper/app/look"
	"weirkeeper/chem"
)

// Keeper keeps settings between runs; fyne.Preferences is one.
type Keeper interface {
	String(key string) string
	SetString(key, value string)
}

// setting is one preference as it is kept: by a word that a person could write
// into the file, empty for the usual.
type setting struct {
	key string
	get func(Preferences) string
	set func(*Preferences, string)
}

// word makes a setting of one of several words, the first of which is the usual
// one.
func word[T ~int](key string, words []string, field func(*Preferences) *T) setting {
	return setting{key, func(p Preferences) string {
		n := int(*field(&p))
		if n <= 0 || n >= len(words) {
			return ""
		}
		return words[n]
	}, func(p *Preferences, text string) {
		*field(p) = T(max(slices.Index(words, text), 0))
	}}
}

// unit makes a setting of a unit of one analyte.
func unit(key string, units []chem.Unit, field func(*Preferences) *chem.Unit) setting {
	return setting{key, func(p Preferences) string { return string(*field(&p)) }, func(p *Preferences, text string) {
		*field(p) = ""
		if slices.Contains(units, chem.Unit(text)) {
			*field(p) = chem.Unit(text)
		}
	}}
}

var settings = []setting{
	word("look.theme", []string{"desktop", "light", "dark"}, func(p *Preferences) *look.Variant { return &p.Theme }),
	word("look.density", []string{"compact", "comfortable"}, func(p *Preferences) *look.Density { return &p.Density }),
	word("unit.volume", []string{"litre", "us-gallon", "imperial-gallon"}, func(p *Preferences) *chem.VolumeUnit { return &p.Volume }),
	unit("unit.temperature", Temperatures, func(p *Preferences) *chem.Unit { return &p.Temperature }),
	unit("unit.alkalinity", Alkalinities, func(p *Preferences) *chem.Unit { return &p.Alkalinity }),
	unit("unit.salinity", Salinities, func(p *Preferences) *chem.Unit { return &p.Salinity }),
	word("unit.nutrients", []string{"ion", "element"}, func(p *Preferences) *Nutrients { return &p.Nutrients }),
	word("write.decimal", []string{"locale", "point", "comma"}, func(p *Preferences) *Choice { return &p.Decimal }),
	word("write.dates", []string{"locale", "day-first", "month-first", "year-first"}, func(p *Preferences) *Choice { return &p.Dates }),
	word("write.week", []string{"locale", "monday", "sunday", "saturday"}, func(p *Preferences) *Choice { return &p.Week }),
}

// Load reads what is kept. What is not kept, or not understood, is the usual.
func Load(k Keeper, l Locale) Preferences {
	p := Preferences{Locale: l}
	for _, s := range settings {
		s.set(&p, k.String(s.key))
	}
	return p
}

// Save keeps the preferences.
func (p Preferences) Save(k Keeper) {
	for _, s := range settings {
		if value := s.get(p); value != k.String(s.key) {
			k.SetString(s.key, value)
		}
	}
}
