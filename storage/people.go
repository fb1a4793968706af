package storage

import (
	"context"

	"weirkeeper/assets/words"
	"weirkeeper/tanks"
)

type personRow struct {
	ID             int64 `gorm:"primaryKey"`
	Initials, Name string
	Gone           bool
}

func (personRow) TableName() string { return "people" }

// People returns everybody who works or worked in the room, by initials.
func (s *Store) People(ctx context.Context) ([]tanks.Person, error) {
	var rows []personRow
	if err := s.read.WithContext(ctx).Order("initials").Find(&rows).Error; err != nil {
		return nil, words.Errorf("reading the people: %w", err)
	}
	out := make([]tanks.Person, len(rows))
	for i, r := range rows {
		out[i] = tanks.Person{ID: tanks.PersonID(r.ID), Initials: r.Initials, Name: r.Name, Gone: r.Gone}
	}
	return out, nil
}

// SavePerson writes a person; a new one (ID 0) gets an ID. Entries keep the
// initials that they were made with.
func (s *Store) SavePerson(ctx context.Context, p *tanks.Person) error {
	if err := p.Validate(); err != nil {
		return err
	}
	row := personRow{ID: int64(p.ID), Initials: p.Initials, Name: p.Name, Gone: p.Gone}
	err := s.act(ctx, "saving the person", of(KindPerson), func(tx *act) error {
		var other int64
		if err := tx.Model(&personRow{}).Where("initials = ? AND id <> ?", p.Initials, row.ID).Count(&other).Error; err != nil {
			return err
		}
		if other > 0 {
			return tanks.Fault{Field: "initials", Problem: words.T("Somebody else has the initials %s", p.Initials), Remedy: "add a letter"}
		}
		return tx.put(&row, row.ID)
	})
	if err == nil {
		p.ID = tanks.PersonID(row.ID)
	}
	return err
}
