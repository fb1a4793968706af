// Package state reads what most screens show: the systems with their bands,
// the newest readings, what they are taken to mean, and the verdicts.
package state

import (
	"context"
	"slices"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/chem/seawater"
	"weirkeeper/storage"
	"weirkeeper/tanks"
	"weirkeeper/tanks/trend"
)

// Room is the room as it stands at Now.
type Room struct {
	Now      time.Time
	Systems  []tanks.System // open ones, in walking order
	Bands    map[tanks.SystemID][]tanks.Band
	Methods  map[tanks.MethodID]tanks.Method
	Latest   map[tanks.Cell]tanks.Reading
	Estimate map[tanks.Cell]tanks.Estimate
	Verdict  map[tanks.Cell]tanks.Verdict
	Fits     map[tanks.Cell]trend.Fit // filled by WithFits
	// Standing is the change a day by regular additions of the last week, in
	// canonical units; filled by WithFits.
	Standing map[tanks.Cell]float64
}

// System returns the open system with the given id.
func (r *Room) System(id tanks.SystemID) (tanks.System, bool) {
	for _, s := range r.Systems {
		if s.ID == id {
			return s, true
		}
	}
	return tanks.System{}, false
}

// Band returns the band that holds for k.
func (r *Room) Band(k tanks.Cell) (tanks.Band, bool) {
	for _, b := range r.Bands[k.System] {
		if b.Analyte == k.Analyte {
			return b, true
		}
	}
	return tanks.Band{}, false
}

// Water returns what is known of a system's water.
func (r *Room) Water(id tanks.SystemID) chem.Water {
	s, ok := r.System(id)
	if !ok {
		return chem.Water{}
	}
	return s.Water(func(a chem.Analyte) (tanks.Reading, bool) {
		reading, ok := r.Latest[tanks.Cell{System: id, Analyte: a}]
		return reading, ok
	})
}

// PHScale is the scale of the newest pH of a system.
func (r *Room) PHScale(id tanks.SystemID) seawater.PHScale {
	return r.Methods[r.Latest[tanks.Cell{System: id, Analyte: chem.PH}].Method].PHScale()
}

// Read returns the room as it stands at now, judged by its newest readings.
func Read(ctx context.Context, store *storage.Store, now time.Time) (*Room, error) {
	r := &Room{
		Now:      now,
		Methods:  map[tanks.MethodID]tanks.Method{},
		Latest:   map[tanks.Cell]tanks.Reading{},
		Estimate: map[tanks.Cell]tanks.Estimate{},
		Verdict:  map[tanks.Cell]tanks.Verdict{},
		Fits:     map[tanks.Cell]trend.Fit{},
		Standing: map[tanks.Cell]float64{},
	}
	systems, err := store.Systems(ctx)
	if err != nil {
		return nil, words.Errorf("reading the systems: %w", err)
	}
	for _, s := range systems {
		if s.Open() {
			r.Systems = append(r.Systems, s)
		}
	}
	if r.Bands, err = store.AllBands(ctx); err != nil {
		return nil, words.Errorf("reading the bands: %w", err)
	}
	methods, err := store.Methods(ctx)
	if err != nil {
		return nil, words.Errorf("reading the methods: %w", err)
	}
	for _, m := range methods {
		r.Methods[m.ID] = m
	}
	latest, err := store.Latest(ctx)
	if err != nil {
		return nil, words.Errorf("reading the newest values: %w", err)
	}
	for _, reading := range latest {
		r.Latest[reading.Cell()] = reading
	}
	for k, reading := range r.Latest {
		r.Estimate[k] = tanks.EstimateOf(reading, r.Methods[reading.Method])
	}
	r.judge()
	return r, nil
}

// judge fills Verdict from Estimate.
func (r *Room) judge() {
	for k, e := range r.Estimate {
		band, ok := r.Band(k)
		if !ok {
			continue
		}
		r.Verdict[k] = tanks.Judge(e, band, r.Water(k.System), r.Now)
	}
}

// Banded returns the cells that have a band with edges or a test interval and
// at least one reading.
func (r *Room) Banded() []tanks.Cell {
	var keys []tanks.Cell
	for _, s := range r.Systems {
		for _, b := range r.Bands[s.ID] {
			k := tanks.Cell{System: s.ID, Analyte: b.Analyte}
			if _, ok := r.Latest[k]; ok {
				keys = append(keys, k)
			}
		}
	}
	return keys
}

// BandedOf returns the cells of Banded that belong to one system.
func (r *Room) BandedOf(id tanks.SystemID) []tanks.Cell {
	return slices.DeleteFunc(r.Banded(), func(k tanks.Cell) bool { return k.System != id })
}

// Tested lists the analytes of a system that have a value, in catalogue order,
// those with a band first.
func (r *Room) Tested(id tanks.SystemID) []chem.Analyte {
	var banded, rest []chem.Analyte
	for _, info := range chem.Catalogue() {
		k := tanks.Cell{System: id, Analyte: info.Analyte}
		if _, ok := r.Latest[k]; !ok {
			continue
		}
		if band, ok := r.Band(k); ok && band.HasEdges() {
			banded = append(banded, info.Analyte)
		} else {
			rest = append(rest, info.Analyte)
		}
	}
	return append(banded, rest...)
}
