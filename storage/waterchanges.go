package storage

import (
	"context"
	"fmt"
	"strings"
	"time"

	"gorm.io/gorm"

	"weirkeeper/chem"
	"weirkeeper/tanks"
)

type changeRow struct {
	ID       int64 `gorm:"primaryKey"`
	SystemID int64
	DoneAt   int64
	Litres   float64
	Share    float64
	FromID   *int64
	Person   string
	Note     string
	Status   int
}

func (changeRow) TableName() string { return "water_changes" }

type levelRow struct {
	ChangeID  int64
	AnalyteID int
	Value     float64
}

// SaveWaterChanges records water changes, all or none; each gets its ID.
func (s *Store) SaveWaterChanges(ctx context.Context, all []tanks.WaterChange) error {
	notice := of(KindWaterChange)
	for _, w := range all {
		if err := w.Validate(s.clock()); err != nil {
			return err
		}
		notice.Systems = append(notice.Systems, w.System)
	}
	return s.act(ctx, "saving the water changes", notice, func(tx *gorm.DB) error {
		for i := range all {
			if err := insertChange(tx, &all[i]); err != nil {
				return err
			}
		}
		return nil
	})
}

// SaveWaterChange records one water change; it gets its ID.
func (s *Store) SaveWaterChange(ctx context.Context, w *tanks.WaterChange) error {
	one := []tanks.WaterChange{*w}
	if err := s.SaveWaterChanges(ctx, one); err != nil {
		return err
	}
	*w = one[0]
	return nil
}

func insertChange(tx *gorm.DB, w *tanks.WaterChange) error {
	row := changeRow{
		SystemID: int64(w.System), DoneAt: stamp(w.At), Litres: w.Litres, Share: w.Share, FromID: reference(w.From),
		Person: w.Person, Note: w.Note, Status: int(w.Status),
	}
	if err := tx.Create(&row).Error; err != nil {
		return err
	}
	w.ID = tanks.ChangeID(row.ID)
	for _, l := range w.Water {
		if err := tx.Exec("INSERT INTO water_levels (change_id, analyte_id, value) VALUES (?, ?, ?)", row.ID, int(l.Analyte), l.Value).Error; err != nil {
			return err
		}
	}
	return nil
}

// WaterChanges returns a system's water changes, withdrawn ones too, in order
// of time.
func (s *Store) WaterChanges(ctx context.Context, id tanks.SystemID, from, to time.Time) ([]tanks.WaterChange, error) {
	low, high := bounds(from, to)
	db := s.read.WithContext(ctx)
	var rows []changeRow
	if err := db.Where("system_id = ? AND done_at BETWEEN ? AND ?", int64(id), low, high).Order("done_at, id").Find(&rows).Error; err != nil {
		return nil, fmt.Errorf("reading the water changes: %w", err)
	}
	var levels []levelRow
	err := db.Raw("SELECT l.* FROM water_changes w JOIN water_levels l ON l.change_id = w.id WHERE w.system_id = ? AND w.done_at BETWEEN ? AND ? ORDER BY l.change_id, l.analyte_id",
		int64(id), low, high).Scan(&levels).Error
	if err != nil {
		return nil, fmt.Errorf("reading the new water: %w", err)
	}
	water := map[int64][]tanks.Level{}
	for _, l := range levels {
		water[l.ChangeID] = append(water[l.ChangeID], tanks.Level{Analyte: chem.Analyte(l.AnalyteID), Value: l.Value})
	}
	out := make([]tanks.WaterChange, len(rows))
	for i, r := range rows {
		out[i] = tanks.WaterChange{
			ID: tanks.ChangeID(r.ID), System: tanks.SystemID(r.SystemID), At: instant(r.DoneAt), Litres: r.Litres, Share: r.Share,
			From: referred[tanks.SystemID](r.FromID), Water: water[r.ID], Person: r.Person, Note: r.Note, Status: tanks.Status(r.Status),
		}
	}
	return out, nil
}

// WithdrawWaterChange makes a water change count no more; it stays in the record.
func (s *Store) WithdrawWaterChange(ctx context.Context, id tanks.ChangeID, reason, person string) error {
	return s.withdraw(ctx, withdrawal{"water change", "water_changes", KindWaterChange}, int64(id), reason, person)
}

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
	err := s.act(ctx, "saving the note", of(KindObservation, o.System), func(tx *gorm.DB) error { return tx.Create(&row).Error })
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
	if err := s.read.WithContext(ctx).Where("system_id = ? AND seen_at BETWEEN ? AND ?", int64(id), low, high).Order("seen_at, id").Find(&rows).Error; err != nil {
		return nil, fmt.Errorf("reading the notes: %w", err)
	}
	out := make([]tanks.Observation, len(rows))
	for i, r := range rows {
		out[i] = tanks.Observation{ID: tanks.NoteID(r.ID), System: tanks.SystemID(r.SystemID), At: instant(r.SeenAt), Text: r.Text, Person: r.Person, Status: tanks.Status(r.Status)}
	}
	return out, nil
}

// withdrawal names a kind of entry that can be withdrawn, in words and by its
// table.
type withdrawal struct {
	entity, table string
	kind          Kind
}

func (s *Store) withdraw(ctx context.Context, w withdrawal, id int64, reason, person string) error {
	if strings.TrimSpace(reason) == "" {
		return tanks.Fault{Field: "reason", Problem: "The record needs a reason", Remedy: "say in a word or two what was wrong"}
	}
	var owner int64
	notice := of(w.kind)
	err := s.write.WithContext(ctx).Transaction(func(tx *gorm.DB) error {
		var before map[string]any
		if err := tx.Table(w.table).Where("id = ? AND status = 0", id).Limit(1).Find(&before).Error; err != nil {
			return err
		}
		if len(before) == 0 {
			return fmt.Errorf("%s %d: %w", w.entity, id, ErrNotFound)
		}
		owner, _ = before["system_id"].(int64)
		if err := s.remember(tx, w.entity, id, owner, reason, person, before); err != nil {
			return err
		}
		return oneRow(tx.Exec("UPDATE "+w.table+" SET status = 1 WHERE id = ?", id))
	})
	if err != nil {
		return writeFailed("withdrawing the "+w.entity, err)
	}
	notice.Systems = []tanks.SystemID{tanks.SystemID(owner)}
	s.tell(notice)
	return nil
}

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
	var rows []sampleRow
	if err := s.read.WithContext(ctx).Order("drawn_at DESC, id DESC").Find(&rows).Error; err != nil {
		return nil, fmt.Errorf("reading the lab samples: %w", err)
	}
	out := make([]tanks.Sample, len(rows))
	for i, r := range rows {
		out[i] = tanks.Sample{
			ID: tanks.SampleID(r.ID), System: tanks.SystemID(r.SystemID), Code: r.Code, Lab: r.Lab, Drawn: instant(r.DrawnAt),
			Sent: instant(r.SentAt), Expected: instant(r.ExpectedAt), Received: instant(r.ReceivedAt), Note: r.Note,
		}
	}
	return out, nil
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
	err := s.act(ctx, "saving the lab sample", of(KindSample, in.System), func(tx *gorm.DB) error {
		if row.ID == 0 {
			return tx.Create(&row).Error
		}
		return oneRow(tx.Select("*").Updates(&row))
	})
	if err == nil {
		in.ID = tanks.SampleID(row.ID)
	}
	return err
}
