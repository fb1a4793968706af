package handover

import (
	"context"
	"time"

	"weirkeeper/app/chart"
	"weirkeeper/app/dossier"
	"weirkeeper/app/figure"
	"weirkeeper/app/session"
	"weirkeeper/app/state"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
	"weirkeeper/tanks/board"
)

// gather reads a system's whole history of a period, with one chart for each
// analyte that has a band and values.
func gather(ctx context.Context, s *session.Session, id tanks.SystemID, from, to time.Time) (dossier.History, error) {
	room, err := state.ReadEstimated(ctx, s.Store, s.Clock(), id)
	if err != nil {
		return dossier.History{}, err
	}
	h := dossier.History{
		Room: s.Room, Bands: room.Bands[id], Methods: room.Methods, Judge: room.JudgeReading, Products: map[tanks.ProductID]tanks.Product{},
		From: from, To: to, Made: s.Clock(), Zone: s.Zone, Units: map[chem.Analyte]chem.Unit{}, Volume: s.VolumeUnit(), Language: s.Language(),
	}
	if h.System, err = s.Store.System(ctx, id); err != nil {
		return h, words.Errorf("reading the system: %w", err)
	}
	for _, info := range chem.Catalogue() {
		h.Units[info.Analyte] = s.Unit(info.Analyte)
	}
	if err := record(ctx, s, &h); err != nil {
		return h, err
	}
	h.Figures, err = figures(ctx, s, room, h)
	return h, err
}

// record fills in everything that happened.
func record(ctx context.Context, s *session.Session, h *dossier.History) (err error) {
	id := h.System.ID
	products, err := s.Store.Products(ctx)
	if err != nil {
		return words.Errorf("reading the shelf: %w", err)
	}
	for _, p := range products {
		h.Products[p.ID] = p
	}
	if h.Readings, err = s.Store.ReadingsOf(ctx, id, h.From, h.To); err != nil {
		return words.Errorf("reading the values: %w", err)
	}
	happened, err := state.ReadHistory(ctx, s.Store, id, h.From, h.To)
	if err != nil {
		return err
	}
	h.Additions, h.Changes, h.Observations = happened.Additions, happened.WaterChanges, happened.Observations
	samples, err := s.Store.Samples(ctx)
	if err != nil {
		return words.Errorf("reading the lab samples: %w", err)
	}
	for _, sample := range samples {
		if sample.System == id && !sample.Drawn.Before(h.From) && !sample.Drawn.After(h.To) {
			h.Samples = append(h.Samples, sample)
		}
	}
	if h.Amendments, err = s.Store.Amendments(ctx, id); err != nil {
		return words.Errorf("reading the amendments: %w", err)
	}
	return nil
}

// figures draws one chart for each analyte with a band and a value.
func figures(ctx context.Context, s *session.Session, room *board.Estimated, h dossier.History) ([]chart.Figure, error) {
	var out []chart.Figure
	for _, a := range room.Tested(h.System.ID) {
		band, ok := room.Band(tanks.Cell{System: h.System.ID, Analyte: a})
		if !ok || !band.HasEdges() {
			continue
		}
		f, err := figure.Build(ctx, s.Store, room, s, s.Zone, figure.Request{System: h.System, Analytes: []chem.Analyte{a}, From: h.From, To: h.To})
		if err != nil {
			return nil, words.Errorf("drawing %s: %w", a, err)
		}
		out = append(out, f)
	}
	return out, nil
}
