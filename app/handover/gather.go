package handover

import (
	"context"
	"slices"
	"time"

	"weirkeeper/app/chart"
	"weirkeeper/app/documents"
	"weirkeeper/app/figure"
	"weirkeeper/app/prefs"
	"weirkeeper/app/state"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/tanks"
	"weirkeeper/tanks/board"
)

// asked is what a history is wanted of, and how it is written.
type asked struct {
	room     tanks.Room
	system   tanks.System
	from, to time.Time
	made     time.Time
	zone     *time.Location
	prefs    prefs.Preferences
	language words.Language
}

// Unit implements figure.Units.
func (q asked) Unit(a chem.Analyte) chem.Unit { return q.prefs.Unit(a) }

// VolumeUnit implements figure.Units.
func (q asked) VolumeUnit() chem.VolumeUnit { return q.prefs.Volume }

// Language implements figure.Units.
func (q asked) Language() words.Language { return q.language }

// gather reads a system's whole history of a period, with one chart for each
// analyte that has a band and values. progress is told what share of it is read.
func gather(ctx context.Context, store *storage.Store, q asked, progress func(float64)) (documents.History, error) {
	room, err := state.ReadEstimated(ctx, store, q.made, q.system.ID)
	if err != nil {
		return documents.History{}, err
	}
	h := documents.History{
		Room: q.room, System: q.system, Bands: room.Bands[q.system.ID], Methods: room.Methods, Judge: room.JudgeReading,
		From: q.from, To: q.to, Made: q.made, Zone: q.zone,
		Units: map[chem.Analyte]chem.Unit{}, Volume: q.VolumeUnit(), Language: q.language,
	}
	for _, info := range room.Analytes() {
		h.Units[info.Analyte] = q.Unit(info.Analyte)
	}
	if h, err = record(ctx, store, h); err != nil {
		return h, err
	}
	progress(shareRecord)
	h.Figures, err = figures(ctx, store, q, room, func(share float64) { progress(shareRecord + share*(1-shareRecord)) })
	return h, err
}

// shareRecord is the part of the time that reading the record takes; the rest
// goes into the charts.
const shareRecord = 0.3

// record returns h with everything that happened to its system in its period.
func record(ctx context.Context, store *storage.Store, h documents.History) (documents.History, error) {
	id := h.System.ID
	products, err := store.Products(ctx)
	if err != nil {
		return h, words.Errorf("reading the shelf: %w", err)
	}
	h.Products = map[tanks.ProductID]tanks.Product{}
	for _, p := range products {
		h.Products[p.ID] = p
	}
	if h.Readings, err = store.ReadingsOf(ctx, id, h.From, h.To); err != nil {
		return h, words.Errorf("reading the values: %w", err)
	}
	happened, err := state.ReadHistory(ctx, store, id, h.From, h.To)
	if err != nil {
		return h, err
	}
	h.Additions, h.Changes, h.Observations = happened.Additions, happened.WaterChanges, happened.Observations
	samples, err := store.Samples(ctx)
	if err != nil {
		return h, words.Errorf("reading the lab samples: %w", err)
	}
	for _, sample := range samples {
		if sample.System == id && !sample.Drawn.Before(h.From) && !sample.Drawn.After(h.To) {
			h.Samples = append(h.Samples, sample)
		}
	}
	if h.Amendments, err = store.Amendments(ctx, id); err != nil {
		return h, words.Errorf("reading the amendments: %w", err)
	}
	return h, nil
}

// figures draws one chart for each analyte with a band and a value.
func figures(ctx context.Context, store *storage.Store, q asked, room *board.Estimated, progress func(float64)) ([]chart.Figure, error) {
	analytes := slices.DeleteFunc(room.Tested(q.system.ID), func(a chem.Analyte) bool {
		band, ok := room.Band(tanks.Cell{System: q.system.ID, Analyte: a})
		return !ok || !band.HasEdges()
	})
	var out []chart.Figure
	for n, a := range analytes {
		request := figure.Request{System: q.system, Analytes: []chem.Analyte{a}, From: q.from, To: q.to}
		f, err := figure.Build(ctx, store, room, q, q.zone, request)
		if err != nil {
			return nil, words.Errorf("drawing %s: %w", a, err)
		}
		out = append(out, f)
		progress(float64(n+1) / float64(len(analytes)))
	}
	return out, nil
}
