// Package state reads from the ledger what most screens show, and hands it to
// the board, which knows what it means: package state computes nothing.
package state

import (
	"context"
	"slices"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/storage"
	"weirkeeper/tanks"
	"weirkeeper/tanks/board"
)

// Read returns the room as it stands at now, without estimates.
func Read(ctx context.Context, store *storage.Store, now time.Time) (*board.Board, error) {
	f := board.Facts{Now: now}
	systems, err := store.Systems(ctx)
	if err != nil {
		return nil, words.Errorf("reading the systems: %w", err)
	}
	if f.Room, err = store.Room(ctx); err != nil {
		return nil, err
	}
	f.Systems = slices.DeleteFunc(systems, func(s tanks.System) bool { return !s.Open() })
	if f.Bands, err = store.AllBands(ctx); err != nil {
		return nil, words.Errorf("reading the bands: %w", err)
	}
	if f.Methods, err = store.Methods(ctx); err != nil {
		return nil, words.Errorf("reading the methods: %w", err)
	}
	if f.Latest, err = store.Latest(ctx); err != nil {
		return nil, words.Errorf("reading the newest values: %w", err)
	}
	return board.New(f), nil
}

// ReadEstimated returns the room as it stands at now with estimates of the given
// systems, of all without any.
func ReadEstimated(ctx context.Context, store *storage.Store, now time.Time, systems ...tanks.SystemID) (*board.Estimated, error) {
	b, err := Read(ctx, store, now)
	if err != nil {
		return nil, err
	}
	records, err := store.Records(ctx, now.Add(-board.Window), now, systems...)
	if err != nil {
		return nil, words.Errorf("reading the last weeks: %w", err)
	}
	return b.Estimate(records), nil
}

// History is what happened to one system since a time, for trends and the log.
type History struct {
	System       tanks.SystemID
	Additions    []tanks.Addition
	WaterChanges []tanks.WaterChange
	Observations []tanks.Observation
}

// ReadHistory returns what was put into, changed in and seen at a system.
func ReadHistory(ctx context.Context, store *storage.Store, id tanks.SystemID, from, to time.Time) (History, error) {
	h := History{System: id}
	var err error
	if h.Additions, err = store.Additions(ctx, id, from, to); err != nil {
		return h, words.Errorf("reading the additions: %w", err)
	}
	if h.WaterChanges, err = store.WaterChanges(ctx, id, from, to); err != nil {
		return h, words.Errorf("reading the water changes: %w", err)
	}
	if h.Observations, err = store.Observations(ctx, id, from, to); err != nil {
		return h, words.Errorf("reading the notes: %w", err)
	}
	return h, nil
}
