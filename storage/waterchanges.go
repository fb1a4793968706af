package storage

import (
	"context"
	"slices"
	"time"

	"weirkeeper/assets/words"
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

func (levelRow) TableName() string { return "water_levels" }

// SaveWaterChanges records water changes, all or none; each gets its ID.
func (s *Store) SaveWaterChanges(ctx context.Context, all []tanks.WaterChange) error {
	notice := of(KindWaterChange)
	for _, w := range all {
		if err := w.Validate(s.clock()); err != nil {
			return err
		}
		notice.Systems = append(notice.Systems, w.System)
	}
	saved := slices.Clone(all)
	err := s.act(ctx, "saving the water changes", notice, func(tx *act) error {
		for i := range saved {
			if err := insertChange(tx, &saved[i]); err != nil {
				return err
			}
		}
		return nil
	})
	if err == nil {
		copy(all, saved)
	}
	return err
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

func insertChange(tx *act, w *tanks.WaterChange) error {
	row := changeRow{
		SystemID: int64(w.System), DoneAt: stamp(w.At), Litres: w.Litres, Share: w.Share, FromID: reference(w.From),
		Person: w.Person, Note: w.Note, Status: int(w.Status),
	}
	if err := tx.insert(&row); err != nil {
		return err
	}
	w.ID = tanks.WaterChangeID(row.ID)
	for _, l := range w.Water {
		if err := tx.insert(&levelRow{ChangeID: row.ID, AnalyteID: int(l.Analyte), Value: l.Value}); err != nil {
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
	if err := db.Where("system_id = ? AND done_at BETWEEN ? AND ?", int64(id), low,
		high).Order("done_at, id").Find(&rows).Error; err != nil {
		return nil, words.Errorf("reading the water changes: %w", err)
	}
	var levels []levelRow
	err := db.Raw(
		"SELECT l.* FROM water_changes w JOIN water_levels l ON l.change_id = w.id WHERE w.system_id = ? AND w.done_at BETWEEN ? AND ? "+
			"ORDER BY l.change_id, l.analyte_id",
		int64(id),
		low,
		high,
	).Scan(
		&levels,
	).Error
	if err != nil {
		return nil, words.Errorf("reading the new water: %w", err)
	}
	water := map[int64][]tanks.Level{}
	for _, l := range levels {
		water[l.ChangeID] = append(water[l.ChangeID], tanks.Level{Analyte: chem.Analyte(l.AnalyteID), Value: l.Value})
	}
	out := make([]tanks.WaterChange, len(rows))
	for i, r := range rows {
		out[i] = tanks.WaterChange{
			ID: tanks.WaterChangeID(r.ID), System: tanks.SystemID(r.SystemID), At: instant(r.DoneAt), Litres: r.Litres, Share: r.Share,
			From: referred[tanks.SystemID](r.FromID), Water: water[r.ID], Person: r.Person, Note: r.Note, Status: tanks.Status(r.Status),
		}
	}
	return out, nil
}

// WithdrawWaterChange makes a water change count no more; it stays in the record.
func (s *Store) WithdrawWaterChange(ctx context.Context, id tanks.WaterChangeID, reason, person string) error {
	return s.withdraw(ctx, withdrawal{entity: "water change", table: "water_changes", kind: KindWaterChange}, int64(id), reason, person)
}
