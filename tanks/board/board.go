// Package board is the room as it stands: what is known now of every analyte of
// every system, and what it means. It is the only judge: a screen, a paper and a
// command ask it, so that one value has one verdict wherever it stands.
//
// A [Board] knows the newest readings and judges single ones. The verdict of a
// cell rests on an estimate, which takes the record of its system; only
// [Estimated] has it, so that the type says what a screen has at hand.
package board

import (
	"maps"
	"slices"
	"time"

	"weirkeeper/chem"
	"weirkeeper/chem/seawater"
	"weirkeeper/tanks"
)

// Facts is what a board is made from, as the ledger keeps it.
type Facts struct {
	Now     time.Time
	Room    tanks.Room
	Systems []tanks.System // open ones, in walking order
	Bands   map[tanks.SystemID][]tanks.Band
	Methods []tanks.Method
	Latest  []tanks.Reading // the newest live one of every cell
}

// Board is the room as it stands at Now. It is not changed once it is made.
type Board struct {
	Now     time.Time
	Room    tanks.Room
	Systems []tanks.System // open ones, in walking order
	Bands   map[tanks.SystemID][]tanks.Band
	Methods map[tanks.MethodID]tanks.Method
	Latest  map[tanks.Cell]tanks.Reading

	places map[tanks.SystemID]int // in Systems
	newer  []chem.Analyte         // that only a newer version of the program knows
}

// New returns the board of the facts.
func New(f Facts) *Board {
	b := &Board{
		Now: f.Now, Room: f.Room, Systems: f.Systems, Bands: f.Bands,
		Methods: make(map[tanks.MethodID]tanks.Method, len(f.Methods)), Latest: make(map[tanks.Cell]tanks.Reading, len(f.Latest)),
		places: make(map[tanks.SystemID]int, len(f.Systems)),
	}
	for n, s := range f.Systems {
		b.places[s.ID] = n
	}
	for _, m := range f.Methods {
		b.Methods[m.ID] = m
	}
	for _, r := range f.Latest {
		b.Latest[r.Cell()] = r
	}
	for _, bands := range f.Bands {
		for _, band := range bands {
			b.meet(band.Analyte)
		}
	}
	b.meetAll(f.Latest)
	return b
}

// meet remembers an analyte that only a newer version of the program knows.
func (b *Board) meet(a chem.Analyte) {
	if _, known := chem.Lookup(a); !known && !slices.Contains(b.newer, a) {
		b.newer = append(slices.Clip(b.newer), a)
	}
}

func (b *Board) meetAll(readings []tanks.Reading) {
	for _, r := range readings {
		b.meet(r.Analyte)
	}
}

// Analytes returns the catalogue and what else the room holds, of a newer version
// of the program.
func (b *Board) Analytes() []chem.Info { return chem.CatalogueAnd(b.newer) }

// With returns the board at now with other newest readings of some systems.
func (b *Board) With(now time.Time, systems []tanks.SystemID, latest []tanks.Reading) *Board {
	out := *b
	out.Now, out.Latest = now, maps.Clone(b.Latest)
	maps.DeleteFunc(out.Latest, func(c tanks.Cell, _ tanks.Reading) bool { return slices.Contains(systems, c.System) })
	for _, r := range latest {
		out.Latest[r.Cell()] = r
	}
	out.meetAll(latest)
	return &out
}

// System returns the open system with the given id.
func (b *Board) System(id tanks.SystemID) (tanks.System, bool) {
	n, ok := b.places[id]
	if !ok {
		return tanks.System{}, false
	}
	return b.Systems[n], true
}

// Band returns the band of a cell as it was set.
func (b *Board) Band(c tanks.Cell) (tanks.Band, bool) {
	for _, band := range b.Bands[c.System] {
		if band.Analyte == c.Analyte {
			return band, true
		}
	}
	return tanks.Band{}, false
}

// BandHere returns the band of a cell as it holds in the system's own water: its
// edges and the values that are measured there stand on one scale.
func (b *Board) BandHere(c tanks.Cell) (tanks.Band, bool) {
	band, ok := b.Band(c)
	return band.In(b.Water(c.System)), ok
}

// Water returns what is known of a system's water.
func (b *Board) Water(id tanks.SystemID) chem.Water {
	s, _ := b.System(id)
	return s.Water(b.newest(id))
}

// WaterAt is Water with the temperature that was measured within a day of a time, under
// the room's air. Readings of the same water, such as those that are being typed with a
// value, go before the newest of the ledger.
func (b *Board) WaterAt(id tanks.SystemID, at time.Time, same ...tanks.Reading) chem.Water {
	s, _ := b.System(id)
	newest := b.newest(id)
	return s.WaterAt(at, b.Room, func(a chem.Analyte) (tanks.Reading, bool) {
		for _, r := range same {
			if r.Analyte == a {
				return r, true
			}
		}
		return newest(a)
	})
}

// newest returns the newest readings of a system by analyte.
func (b *Board) newest(id tanks.SystemID) func(chem.Analyte) (tanks.Reading, bool) {
	return func(a chem.Analyte) (tanks.Reading, bool) {
		r, ok := b.Latest[tanks.Cell{System: id, Analyte: a}]
		return r, ok
	}
}

// PHScale is the scale of the newest pH of a system.
func (b *Board) PHScale(id tanks.SystemID) seawater.PHScale {
	return b.Methods[b.Latest[tanks.Cell{System: id, Analyte: chem.PH}].Method].PHScale()
}

// Conventions are what computations of a system's water go by: the room's constants and
// air, and the scale of its newest pH.
func (b *Board) Conventions(id tanks.SystemID) chem.Conventions {
	return b.Room.Conventions(b.PHScale(id))
}

// Tested lists the analytes of a system that have a value, in catalogue order,
// those with a band first.
func (b *Board) Tested(id tanks.SystemID) []chem.Analyte {
	var banded, rest []chem.Analyte
	for _, info := range b.Analytes() {
		c := tanks.Cell{System: id, Analyte: info.Analyte}
		if _, ok := b.Latest[c]; !ok {
			continue
		}
		if band, ok := b.Band(c); ok && band.HasEdges() {
			banded = append(banded, info.Analyte)
		} else {
			rest = append(rest, info.Analyte)
		}
	}
	return append(banded, rest...)
}
