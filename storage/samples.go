package storage

import (
	"context"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/tanks"
)

type sampleRow struct {
	ID         int64 `gorm:"primaryKey"`
	SystemID   int64
	Code       string
	Lab        string
	DrawnAt    int64
	SentAt     int64
	ExpectedAt int64
	ReceivedAt int64
	Note       string
}

func (sampleRow) TableName() string { return "samples" }

// Samples returns every lab sample, newest first.
func (s *Store) Samples(ctx context.Context) ([]tanks.Sample, error) {
	return s.SamplesSince(ctx, time.Time{})
}

// SamplesSince returns the lab samples drawn at an instant or later, newest first; of
// the zero time, all.
func (s *Store) SamplesSince(ctx context.Context, from time.Time) ([]tanks.Sample, error) {
	low, _ := bounds(from, time.Time{})
	rows, err := s.read.WithContext(ctx).Raw(`SELECT id, system_id, code, lab, drawn_at, sent_at, expected_at, received_at, note
		FROM samples WHERE drawn_at >= ? ORDER BY drawn_at DESC, id DESC`, low).Rows()
	if err != nil {
		return nil, words.Errorf("reading the lab samples: %w", err)
	}
	defer rows.Close()
	var all parts[tanks.Sample]
	var r sampleRow
	for rows.Next() {
		if err := rows.Scan(&r.ID, &r.SystemID, &r.Code, &r.Lab, &r.DrawnAt, &r.SentAt, &r.ExpectedAt, &r.ReceivedAt, &r.Note); err != nil {
			return nil, words.Errorf("reading the lab samples: %w", err)
		}
		all.add(tanks.Sample{
			ID: tanks.SampleID(r.ID), System: tanks.SystemID(r.SystemID), Code: r.Code, Lab: r.Lab, Drawn: instant(r.DrawnAt),
			Sent: instant(r.SentAt), Expected: instant(r.ExpectedAt), Received: instant(r.ReceivedAt), Note: r.Note,
		})
	}
	if err := rows.Err(); err != nil {
		return nil, words.Errorf("reading the lab samples: %w", err)
	}
	return all.all(), nil
}

// SaveSample writes a lab sample; a new one (ID 0) gets its ID.
func (s *Store) SaveSample(ctx context.Context, in *tanks.Sample) error {
	if err := in.Validate(s.clock()); err != nil {
		return err
	}
	row := sampleRow{
		ID: int64(in.ID), SystemID: int64(in.System), Code: in.Code, Lab: in.Lab, DrawnAt: stamp(in.Drawn), SentAt: stamp(in.Sent),
		ExpectedAt: stamp(in.Expected), ReceivedAt: stamp(in.Received), Note: in.Note,
	}
	err := s.act(ctx, "saving the lab sample", of(KindSample, in.System), func(tx *act) error { return tx.put(&row, row.ID) })
	if err == nil {
		in.ID = tanks.SampleID(row.ID)
	}
	return err
}
