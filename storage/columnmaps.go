package storage

import (
	"context"
	"encoding/json"
	"strings"

	"weirkeeper/assets/words"
	"weirkeeper/storage/csvread"
	"weirkeeper/tanks"
)

type mapRow struct {
	ID   int64 `gorm:"primaryKey"`
	Name string
	Map  string
}

func (mapRow) TableName() string { return "column_maps" }

// ColumnMaps returns the saved column maps by name.
func (s *Store) ColumnMaps(ctx context.Context) ([]csvread.ColumnMap, error) {
	var rows []mapRow
	if err := s.read.WithContext(ctx).Order("name").Find(&rows).Error; err != nil {
		return nil, words.Errorf("reading the column maps: %w", err)
	}
	out := make([]csvread.ColumnMap, len(rows))
	for i, r := range rows {
		if err := json.Unmarshal([]byte(r.Map), &out[i]); err != nil {
			return nil, words.Errorf("reading the column map %q: %w", r.Name, err)
		}
		out[i].ID, out[i].Name = r.ID, r.Name
	}
	return out, nil
}

// SaveColumnMap writes a column map under its name, in the place of one that has
// the name already; it gets its ID.
func (s *Store) SaveColumnMap(ctx context.Context, m *csvread.ColumnMap) error {
	if strings.TrimSpace(m.Name) == "" {
		return tanks.Fault{Field: "name", Problem: "The column map has no name", Remedy: "name it after where the files come from"}
	}
	if err := m.Validate(); err != nil {
		return err
	}
	data, err := json.Marshal(m)
	if err != nil {
		return words.Errorf("saving the column map: %w", err)
	}
	var id int64
	err = s.act(ctx, "saving the column map", of(KindColumnMap), func(tx *act) error {
		if err := tx.Model(&mapRow{}).Where("name = ?", m.Name).Limit(1).Pluck("id", &id).Error; err != nil {
			return err
		}
		row := mapRow{ID: id, Name: m.Name, Map: string(data)}
		if err := tx.put(&row, id); err != nil {
			return err
		}
		id = row.ID
		return nil
	})
	if err == nil {
		m.ID = id
	}
	return err
}

// DropColumnMap deletes a column map.
func (s *Store) DropColumnMap(ctx context.Context, id int64) error {
	return s.act(ctx, "deleting the column map", of(KindColumnMap), func(tx *act) error {
		n, err := tx.remove("column_maps", "id = ?", id)
		if err == nil && n == 0 {
			err = ErrNotFound
		}
		return err
	})
}
