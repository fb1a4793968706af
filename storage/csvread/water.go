package csvread

import (
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// waters are what is known of the systems' waters while a file is read.
type waters struct {
	room    tanks.Room
	systems map[tanks.SystemID]tanks.System
	salt    map[tanks.SystemID]chem.Water // by the newest readings of the ledger
	newest  map[tanks.Cell]tanks.Reading  // temperatures: those that the file gave last
}

func watersOf(room Room) waters {
	w := waters{
		room: room.Itself, systems: make(map[tanks.SystemID]tanks.System, len(room.Systems)),
		salt: make(map[tanks.SystemID]chem.Water, len(room.Systems)), newest: make(map[tanks.Cell]tanks.Reading, len(room.Latest)),
	}
	for _, r := range room.Latest {
		w.newest[r.Cell()] = r
	}
	for _, s := range room.Systems {
		w.systems[s.ID], w.salt[s.ID] = s, s.Water(w.newestOf(s.ID))
	}
	return w
}

// newestOf returns the newest readings of a system by analyte.
func (w waters) newestOf(id tanks.SystemID) func(chem.Analyte) (tanks.Reading, bool) {
	return func(a chem.Analyte) (tanks.Reading, bool) {
		r, ok := w.newest[tanks.Cell{System: id, Analyte: a}]
		return r, ok
	}
}

// of returns the water that a reading is of. Only of oxygen, which can be a share of
// saturation, the temperature matters.
func (w waters) of(r tanks.Reading) chem.Water {
	if r.Analyte != chem.Oxygen {
		return w.salt[r.System]
	}
	return w.systems[r.System].WaterAt(r.At, w.room, w.newestOf(r.System))
}

// saw remembers the temperature of a water.
func (w waters) saw(r tanks.Reading) {
	if r.Analyte == chem.Temperature {
		w.newest[r.Cell()] = r
	}
}
