package session

import (
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// VolumeEntry is a field for a volume of water that is kept in litres, in the
// person's unit; zero leaves it empty. Decimals are those of litres.
func (s *Session) VolumeEntry(litres float64, decimals int) *widgets.QuantityEntry {
	units := []widgets.QuantityUnit{volumeUnit(s.VolumeUnit(), decimals)}
	for _, u := range chem.VolumeUnits() {
		if u != s.VolumeUnit() {
			units = append(units, volumeUnit(u, decimals))
		}
	}
	e := widgets.NewQuantityEntry(units...)
	if litres != 0 {
		e.SetValue(litres)
	}
	return e
}

func volumeUnit(u chem.VolumeUnit, decimals int) widgets.QuantityUnit {
	if u != chem.Litre {
		decimals++ // a gallon is several litres
	}
	return widgets.QuantityUnit{
		Name: u.Words(), Decimals: decimals,
		Of:   func(litres float64) (float64, error) { return u.Of(litres), nil },
		Kept: func(v float64) (float64, error) { return v * u.Litres(), nil },
	}
}

// ValueEntry is a field for a value of an analyte that is kept in its canonical
// unit, in the person's unit and the others that it can be given in. It is
// empty until SetValue.
func (s *Session) ValueEntry(a chem.Analyte, water chem.Water) *widgets.QuantityEntry {
	own := s.Unit(a)
	units := []widgets.QuantityUnit{valueUnit(a, own, water)}
	info, _ := chem.Lookup(a)
	for _, u := range info.Units {
		if u != own {
			units = append(units, valueUnit(a, u, water))
		}
	}
	e := widgets.NewQuantityEntry(units...)
	e.Read = func(text string) (float64, string, error) {
		v, err := tanks.ReadTyped(tanks.Typed{Analyte: a, Text: text, Unit: own, Water: water})
		return v.Canonical, v.Limit.Sign(), err
	}
	return e
}

func valueUnit(a chem.Analyte, u chem.Unit, water chem.Water) widgets.QuantityUnit {
	info, _ := chem.Lookup(a)
	return widgets.QuantityUnit{
		Name: words.Text(u), Decimals: chem.Decimals(a, u),
		Of: func(v float64) (float64, error) { return chem.Convert(a, v, info.Unit, u, water) },
	}
}
