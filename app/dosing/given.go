package dosing

import (
	"errors"

	"weirkeeper/app/session"
	"weirkeeper/app/sums"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/tanks"
	"weirkeeper/tanks/board"
)

// givenOf is what a sum is told of a system and of the water that goes into it.
func givenOf(room *board.Estimated, system tanks.System, source tanks.SystemID) sums.Given {
	g := sums.Given{
		Name: system.Code, Litres: system.NetVolume().Litres, Levels: chem.Analysis{}, Aims: chem.Analysis{},
		Source: waterOf(room, source),
	}
	for a, e := range room.Estimates(system.ID) {
		g.Levels[a] = e.Value
	}
	for _, band := range room.Bands[system.ID] {
		if band.HasEdges() {
			g.Aims[band.Analyte] = band.Aim
		}
	}
	return g
}

func temperatureEntry(s *session.Session, celsius float64) *widgets.QuantityEntry {
	e := s.ValueEntry(chem.Temperature, chem.Water{})
	e.SetValue(celsius)
	return e
}

// fieldOf is the field in which the quantity of a range error was typed, or
// otherwise.
func fieldOf(err error, fields map[string]string, otherwise string) string {
	var r chem.RangeError
	if errors.As(err, &r) && fields[string(r.Quantity)] != "" {
		return fields[string(r.Quantity)]
	}
	return otherwise
}
