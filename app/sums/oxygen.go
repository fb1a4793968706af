package sums

import (
	"math"

	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/chem/seawater"
)

// oxygen turns oxygen in per cent into a concentration and back.
func oxygen(s *session.Session, g Given) {
	b := newSheet(s)
	b.otherwise = "temperature"
	b.quantities["oxygen saturation"], b.quantities["oxygen"] = "percent", "concentration"
	known := choose(b, "known", say.L("Known"), "", []widgets.Option[bool]{
		{Value: true, Name: say.L("per cent of saturation")}, {Value: false, Name: say.L("concentration")},
	}, true)
	percent := b.number("percent", say.L("Saturation"), say.L("%, 0 to 300"), "", optional)
	level := b.quantity("concentration", say.L("Concentration"), say.L("mL/L of gas at 0 °C can be typed too"),
		b.value(chem.Oxygen, g.level(chem.Oxygen, math.NaN())), optional)
	warmth := b.quantity("temperature", say.L("Temperature"), say.L("0 to 40 °C"),
		b.value(chem.Temperature, g.level(chem.Temperature, math.NaN())), required)
	psu := b.quantity("salinity", say.L("Salinity"), say.L("empty: fresh water"),
		b.value(chem.Salinity, g.level(chem.Salinity, math.NaN())), optional)
	by := s.Room.Conventions(seawater.TotalScale)
	b.show(say.L("Oxygen in other units"), func() (answer, error) {
		water := chem.Analysis{chem.Temperature: warmth.v, chem.Salinity: psu.or(0)}
		mgL, share := level.v, percent.v
		var err error
		switch {
		case known.Value() && !percent.given:
			return answer{}, at("percent", widgets.ErrNoNumber)
		case known.Value():
			mgL, err = water.OxygenFrom(share, by)
		case !level.given:
			return answer{}, at("concentration", widgets.ErrNoNumber)
		default:
			water[chem.Oxygen] = mgL
			share, err = water.OxygenSaturation(by)
		}
		if err != nil {
			return answer{}, err
		}
		return b.oxygenOf(water, mgL, share, by)
	})
}

func (b *sheet) oxygenOf(water chem.Analysis, mgL, percent float64, by chem.Conventions) (answer, error) {
	millilitres, err := chem.Convert(chem.Oxygen, mgL, chem.MgL, chem.MlL, chem.Water{})
	if err != nil {
		return answer{}, err
	}
	full, err := water.OxygenFrom(100, by)
	pressure := by.Pressure
	if pressure == 0 {
		pressure = 1
	}
	return answer{
		results: []string{say.F("%.1f %% = %.2f mg/L = %.2f mL/L", percent, mgL, millilitres)},
		value:   b.shown(chem.Oxygen, mgL),
		formula: say.F("Saturated at %.1f °C, %.1f PSU and %.3f atm it holds %.2f mg/L; %.2f ÷ %.2f = %.1f %%", water[chem.Temperature],
			water[chem.Salinity], pressure, full, mgL, full, percent),
		source: say.L("Benson and Krause 1984, as in Standard Methods 4500-O, 0 to 42 PSU, 0 to 40 °C; the pressure is that of the room's " +
			"height above the sea, of which the weather takes or gives some 3 %."),
	}, err
}
