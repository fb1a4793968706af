package storage

import (
	"context"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

type methodRow struct {
	ID                                                                 int64 `gorm:"primaryKey"`
	Name                                                               string
	Kind                                                               int
	AnalyteID                                                          int
	Unit                                                               string
	Resolution, Accuracy, AccuracyShare, Repeatability, Detection, Top float64
	Note                                                               string
	Retired                                                            bool
}

func (methodRow) TableName() string { return "methods" }

// Methods returns every method, retired ones too, oldest first.
func (s *Store) Methods(ctx context.Context) ([]tanks.Method, error) {
	var rows []methodRow
	if err := s.read.WithContext(ctx).Order("id").Find(&rows).Error; err != nil {
		return nil, words.Errorf("reading the methods: %w", err)
	}
	out := make([]tanks.Method, len(rows))
	for i, r := range rows {
		out[i] = tanks.Method{
			ID: tanks.MethodID(
				r.ID,
			), Name: r.Name, Kind: tanks.MethodKind(r.Kind), Analyte: chem.Analyte(r.AnalyteID), Unit: chem.Unit(r.Unit),
			Resolution: r.Resolution, Accuracy: r.Accuracy, AccuracyShare: r.AccuracyShare, Repeatability: r.Repeatability,
			Detection: r.Detection, Top: r.Top, Note: r.Note, Retired: r.Retired,
		}
	}
	return out, nil
}

// SaveMethod writes a method; a new one (ID 0) gets its ID.
func (s *Store) SaveMethod(ctx context.Context, m *tanks.Method) error {
	if err := m.Validate(); err != nil {
		return err
	}
	saved := *m
	err := s.act(ctx, "saving the method", of(KindMethod), func(tx *act) error { return putMethod(tx, &saved) })
	if err == nil {
		*m = saved
	}
	return err
}

// putMethod inserts or replaces a method; a new one gets its ID.
func putMethod(tx *act, m *tanks.Method) error {
	row := methodRow{
		ID: int64(m.ID), Name: m.Name, Kind: int(m.Kind), AnalyteID: int(m.Analyte), Unit: string(m.Unit), Resolution: m.Resolution,
		Accuracy: m.Accuracy, AccuracyShare: m.AccuracyShare, Repeatability: m.Repeatability, Detection: m.Detection, Top: m.Top,
		Note: m.Note, Retired: m.Retired,
	}
	if err := tx.put(&row, row.ID); err != nil {
		return err
	}
	m.ID = tanks.MethodID(row.ID)
	return nil
}
