package storage

import (
	"context"
	"slices"

	"gorm.io/gorm"

	"weirkeeper/assets/words"
	"weirkeeper/tanks"
)

type systemRow struct {
	ID                int64 `gorm:"primaryKey"`
	Code, Name        string
	Kind              int
	Place             string
	ProfileID         *int64
	Walk              int
	Stated            float64
	StatedUncertainty float64
	Invertebrates     bool
	Purified          bool
	OpenedAt          int64
	ClosedAt          int64
	Note              string
}

func (systemRow) TableName() string { return "systems" }

type tankRow struct {
	ID                               int64 `gorm:"primaryKey"`
	SystemID                         int64
	Name                             string
	Length, Width, Height, Displaced float64
}

func (tankRow) TableName() string { return "tanks" }

func (r systemRow) system() tanks.System {
	return tanks.System{
		ID: tanks.SystemID(r.ID), Code: r.Code, Name: r.Name, Kind: tanks.Kind(r.Kind), Place: r.Place,
		Profile: referred[tanks.ProfileID](r.ProfileID), Order: r.Walk, Stated: r.Stated, StatedUncertainty: r.StatedUncertainty,
		Invertebrates: r.Invertebrates, Purified: r.Purified, Opened: instant(r.OpenedAt), Closed: instant(r.ClosedAt), Note: r.Note,
	}
}

func rowOfSystem(s tanks.System) systemRow {
	return systemRow{
		ID: int64(s.ID), Code: s.Code, Name: s.Name, Kind: int(s.Kind), Place: s.Place, ProfileID: reference(s.Profile),
		Walk: s.Order, Stated: s.Stated, StatedUncertainty: s.StatedUncertainty, Invertebrates: s.Invertebrates,
		Purified: s.Purified, OpenedAt: stamp(s.Opened), ClosedAt: stamp(s.Closed), Note: s.Note,
	}
}

// Systems returns every system, closed ones too, with its tanks, in walking
// order.
func (s *Store) Systems(ctx context.Context) ([]tanks.System, error) {
	return systems(s.read.WithContext(ctx))
}

func systems(db *gorm.DB) ([]tanks.System, error) {
	var rows []systemRow
	if err := db.Order("walk, code").Find(&rows).Error; err != nil {
		return nil, words.Errorf("reading the systems: %w", err)
	}
	var vessels []tankRow
	if err := db.Order("id").Find(&vessels).Error; err != nil {
		return nil, words.Errorf("reading the tanks: %w", err)
	}
	byID := map[int64][]tanks.Tank{}
	for _, t := range vessels {
		byID[t.SystemID] = append(
			byID[t.SystemID],
			tanks.Tank{ID: tanks.TankID(t.ID), Name: t.Name, Length: t.Length, Width: t.Width, Height: t.Height, Displaced: t.Displaced},
		)
	}
	out := make([]tanks.System, len(rows))
	for i, r := range rows {
		out[i] = r.system()
		out[i].Tanks = byID[r.ID]
	}
	return out, nil
}

// System returns one system, open or closed; ErrNotFound when there is none.
func (s *Store) System(ctx context.Context, id tanks.SystemID) (tanks.System, error) {
	return system(s.read.WithContext(ctx), id)
}

func system(db *gorm.DB, id tanks.SystemID) (tanks.System, error) {
	all, err := systems(db)
	if err != nil {
		return tanks.System{}, err
	}
	for _, one := range all {
		if one.ID == id {
			return one, nil
		}
	}
	return tanks.System{}, words.Errorf("system %d: %w", id, ErrNotFound)
}

// SaveSystem writes a system with its tanks; a new one (ID 0) gets its IDs. A
// new system without an opening day is opened now. The code must be unique in
// the room whatever its case.
func (s *Store) SaveSystem(ctx context.Context, in *tanks.System) error {
	if in.ID == 0 && in.Opened.IsZero() {
		in.Opened = s.clock().UTC()
	}
	if err := in.Validate(); err != nil {
		return err
	}
	saved := *in
	saved.Tanks = append([]tanks.Tank(nil), in.Tanks...)
	err := s.act(ctx, "saving the system", of(KindSystem, in.ID), func(tx *act) error {
		if err := freeCode(tx, saved); err != nil {
			return err
		}
		row := rowOfSystem(saved)
		if err := tx.put(&row, row.ID); err != nil {
			return err
		}
		saved.ID = tanks.SystemID(row.ID)
		return saveTanks(tx, &saved)
	})
	if err == nil {
		*in = saved
	}
	return err
}

// freeCode refuses a code that another system has.
func freeCode(tx *act, in tanks.System) error {
	var taken []systemRow
	if err := tx.Where("code = ? COLLATE NOCASE AND id <> ?", in.Code, int64(in.ID)).Limit(1).Find(&taken).Error; err != nil {
		return err
	}
	if len(taken) == 0 {
		return nil
	}
	return tanks.Fault{
		Field:   "code",
		Problem: words.T("The code %s is used by %q", taken[0].Code, taken[0].Name),
		Remedy:  "choose another one",
	}
}

// saveTanks replaces the system's tanks; kept ones keep their IDs.
func saveTanks(tx *act, in *tanks.System) error {
	var there []int64
	if err := tx.Model(&tankRow{}).Where("system_id = ?", int64(in.ID)).Order("id").Pluck("id", &there).Error; err != nil {
		return err
	}
	for _, id := range there {
		if slices.ContainsFunc(in.Tanks, func(t tanks.Tank) bool { return int64(t.ID) == id }) {
			continue
		}
		if _, err := tx.remove("tanks", "id = ?", id); err != nil {
			return err
		}
	}
	for i, t := range in.Tanks {
		row := tankRow{
			ID:        int64(t.ID),
			SystemID:  int64(in.ID),
			Name:      t.Name,
			Length:    t.Length,
			Width:     t.Width,
			Height:    t.Height,
			Displaced: t.Displaced,
		}
		var err error
		if slices.Contains(there, row.ID) {
			err = tx.put(&row, row.ID)
		} else {
			err = tx.insert(&row)
		}
		if err != nil {
			return err
		}
		in.Tanks[i].ID = tanks.TankID(row.ID)
	}
	return nil
}
