package storage

import (
	"context"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

type profileRow struct {
	ID     int64 `gorm:"primaryKey"`
	Name   string
	Kind   int
	Source string
}

func (profileRow) TableName() string { return "profiles" }

type bandRow struct {
	ID             int64 `gorm:"primaryKey"`
	ProfileID      *int64
	SystemID       *int64
	AnalyteID      int
	Place          int
	Low, Aim, High float64
	MaxRise        float64
	MaxStep        float64
	TestEvery      int64 // milliseconds
	AtSalinity     float64
}

func (bandRow) TableName() string { return "bands" }

func (r bandRow) band() tanks.Band {
	return tanks.Band{
		Analyte: chem.Analyte(r.AnalyteID), Low: r.Low, Aim: r.Aim, High: r.High, MaxRise: r.MaxRise,
		MaxStep: r.MaxStep, TestEvery: millis(r.TestEvery), AtSalinity: r.AtSalinity,
	}
}

// Profiles returns every profile with its bands, by name.
func (s *Store) Profiles(ctx context.Context) ([]tanks.Profile, error) {
	db := s.read.WithContext(ctx)
	var rows []profileRow
	if err := db.Order("name, id").Find(&rows).Error; err != nil {
		return nil, words.Errorf("reading the profiles: %w", err)
	}
	var bands []bandRow
	if err := db.Where("profile_id IS NOT NULL").Order("profile_id, place").Find(&bands).Error; err != nil {
		return nil, words.Errorf("reading the bands: %w", err)
	}
	byID := map[int64][]tanks.Band{}
	for _, b := range bands {
		byID[*b.ProfileID] = append(byID[*b.ProfileID], b.band())
	}
	out := make([]tanks.Profile, len(rows))
	for i, r := range rows {
		out[i] = tanks.Profile{ID: tanks.ProfileID(r.ID), Name: r.Name, Kind: tanks.Kind(r.Kind), Source: r.Source, Bands: byID[r.ID]}
	}
	return out, nil
}

// SaveProfile writes a profile with its bands; a new one (ID 0) gets its ID.
func (s *Store) SaveProfile(ctx context.Context, p *tanks.Profile) error {
	if err := p.Validate(); err != nil {
		return err
	}
	saved := *p
	err := s.act(ctx, "saving the profile", of(KindProfile), func(tx *act) error { return putProfile(tx, &saved) })
	if err == nil {
		*p = saved
	}
	return err
}

// putProfile inserts or replaces a profile with its bands; a new one gets its
// ID.
func putProfile(tx *act, p *tanks.Profile) error {
	row := profileRow{ID: int64(p.ID), Name: p.Name, Kind: int(p.Kind), Source: p.Source}
	if err := tx.put(&row, row.ID); err != nil {
		return err
	}
	p.ID = tanks.ProfileID(row.ID)
	return tx.replaceAll("bands", "profile_id = ?", row.ID, rowsOfBands(p.Bands, &row.ID, nil))
}

func rowsOfBands(bands []tanks.Band, profile, system *int64) []any {
	rows := make([]any, len(bands))
	for n, b := range bands {
		rows[n] = &bandRow{
			ProfileID: profile, SystemID: system, AnalyteID: int(b.Analyte), Place: n, Low: b.Low, Aim: b.Aim, High: b.High,
			MaxRise: b.MaxRise, MaxStep: b.MaxStep, TestEvery: b.TestEvery.Milliseconds(), AtSalinity: b.AtSalinity,
		}
	}
	return rows
}

// OwnBands returns the bands that a system overrides or adds to its profile's.
func (s *Store) OwnBands(ctx context.Context, id tanks.SystemID) ([]tanks.Band, error) {
	var rows []bandRow
	if err := s.read.WithContext(ctx).Where("system_id = ?", int64(id)).Order("place").Find(&rows).Error; err != nil {
		return nil, words.Errorf("reading the system's own bands: %w", err)
	}
	out := make([]tanks.Band, len(rows))
	for i, r := range rows {
		out[i] = r.band()
	}
	return out, nil
}

// SaveOwnBands replaces the system's own bands.
func (s *Store) SaveOwnBands(ctx context.Context, id tanks.SystemID, bands []tanks.Band) error {
	if err := (tanks.Profile{Name: "own", Kind: tanks.Marine, Bands: bands}).Validate(); err != nil {
		return err
	}
	return s.act(ctx, "saving the system's own bands", of(KindProfile, id), func(tx *act) error {
		n := int64(id)
		return tx.replaceAll("bands", "system_id = ?", n, rowsOfBands(bands, nil, &n))
	})
}

// AllBands returns the bands that hold for each system: its profile's, merged
// with its own.
func (s *Store) AllBands(ctx context.Context) (map[tanks.SystemID][]tanks.Band, error) {
	all, err := s.Systems(ctx)
	if err != nil {
		return nil, err
	}
	var rows []bandRow
	if err := s.read.WithContext(ctx).Order("place").Find(&rows).Error; err != nil {
		return nil, words.Errorf("reading the bands: %w", err)
	}
	profile, own := map[tanks.ProfileID][]tanks.Band{}, map[tanks.SystemID][]tanks.Band{}
	for _, r := range rows {
		if r.ProfileID != nil {
			profile[tanks.ProfileID(*r.ProfileID)] = append(profile[tanks.ProfileID(*r.ProfileID)], r.band())
		} else {
			own[tanks.SystemID(*r.SystemID)] = append(own[tanks.SystemID(*r.SystemID)], r.band())
		}
	}
	out := make(map[tanks.SystemID][]tanks.Band, len(all))
	for _, sys := range all {
		out[sys.ID] = tanks.MergeBands(profile[sys.Profile], own[sys.ID])
	}
	return out, nil
}
