package storage

import (
	"context"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/tanks"
)

type observationRow struct {
	ID       int64 `gorm:"primaryKey"`
	SystemID int64
	SeenAt   int64
	Text     string
	Person   string
	Status   int
}

func (observationRow) TableName() string { return "observations" }

// SaveObservation records a dated note; it gets its ID.
func (s *Store) SaveObservation(ctx context.Context, o *tanks.Observation) error {
	if err := o.Validate(s.clock()); err != nil {
		return err
	}
	row := observationRow{SystemID: int64(o.System), SeenAt: stamp(o.At), Text: o.Text, Person: o.Person, Status: int(o.Status)}
	err := s.act(ctx, "saving the note", of(KindObservation, o.System), func(tx *act) error { return tx.insert(&row) })
	if err == nil {
		o.ID = tanks.NoteID(row.ID)
	}
	return err
}

// Observations returns the notes on a system, withdrawn ones too, in order of
// time.
func (s *Store) Observations(ctx context.Context, id tanks.SystemID, from, to time.Time) ([]tanks.Observation, error) {
	low, high := bounds(from, to)
	var rows []observationRow
	if err := s.read.WithContext(ctx).Where("system_id = ? AND seen_at BETWEEN ? AND ?", int64(id), low,
		high).Order("seen_at, id").Find(&rows).Error; err != nil {
		return nil, words.Errorf("reading the notes: %w", err)
	}
	out := make([]tanks.Observation, len(rows))
	for i, r := range rows {
		out[i] = tanks.Observation{
			ID:     tanks.NoteID(r.ID),
			System: tanks.SystemID(r.SystemID),
			At:     instant(r.SeenAt),
			Text:   r.Text,
			Person: r.Person,
			Status: tanks.Status(r.Status),
		}
	}
	return out, nil
}
