package storage

import (
	"context"
	"errors"

	"gorm.io/gorm"

	"weirkeeper/assets/words"
	"weirkeeper/chem/seawater"
	"weirkeeper/storage/ledgerfile"
	"weirkeeper/storage/versions"
	"weirkeeper/tanks"
)

type roomRow struct {
	ID   int64 `gorm:"primaryKey"`
	Name string
	Zone string
	Note string
	Demo bool

	Height    *float64
	Constants int
}

func (roomRow) TableName() string { return "room" }

// Room returns the ledger's room.
func (s *Store) Room(ctx context.Context) (tanks.Room, error) {
	var r roomRow
	err := s.read.WithContext(ctx).Take(&r, 1).Error
	if err != nil && ledgerfile.Damage(err) {
		return tanks.Room{}, ledgerfile.OpenFailed(s.Path(), err)
	}
	if err != nil {
		return tanks.Room{}, words.Errorf("reading the room: %w", err)
	}
	return r.room(), nil
}

func (r roomRow) room() tanks.Room {
	room := tanks.Room{Name: r.Name, Zone: r.Zone, Note: r.Note, Demo: r.Demo, Constants: seawater.Set(r.Constants)}
	if r.Height != nil {
		room.Height = tanks.HeightOf(*r.Height)
	}
	return room
}

func rowOfRoom(room tanks.Room) roomRow {
	row := roomRow{ID: 1, Name: room.Name, Zone: room.Zone, Note: room.Note, Demo: room.Demo, Constants: int(room.Constants)}
	if metres, said := room.Height.Metres(); said {
		row.Height = &metres
	}
	return row
}

// SaveRoom writes what is said of the room.
func (s *Store) SaveRoom(ctx context.Context, room tanks.Room) error {
	if err := room.Validate(); err != nil {
		return err
	}
	return s.act(ctx, "saving the room", of(KindRoom), func(tx *act) error {
		row := rowOfRoom(room)
		var rooms int64
		if err := tx.Model(&roomRow{}).Count(&rooms).Error; err != nil {
			return err
		}
		if rooms == 0 {
			return tx.insert(&row)
		}
		return tx.put(&row, row.ID)
	})
}

// draftsTable holds what is typed and not saved.
const draftsTable = "drafts"

// SaveDraft keeps unsaved work under a name, so that a crash loses none of it.
// Nothing at all is kept as an empty draft.
func (s *Store) SaveDraft(ctx context.Context, name string, data []byte) error {
	t := s.tables[draftsTable]
	return s.keep(ctx, "keeping what was typed", func(tx *gorm.DB) error {
		err := tx.Exec(
			"INSERT INTO drafts (name, data, kept_at) VALUES (?, ?, ?) ON CONFLICT (name) DO UPDATE SET data = excluded.data, kept_at = "+
				"excluded.kept_at",
			name,
			append([]byte{}, data...),
			stamp(s.clock()),
		).Error
		if err != nil {
			return err
		}
		rows, err := t.Rows(ctx, tx.Statement.ConnPool, "name = ?", name)
		if err != nil || len(rows) != 1 {
			return errors.Join(err, ErrNotFound)
		}
		var sum versions.Sum
		return tx.Exec("UPDATE drafts SET sum = ? WHERE id = ?", sum.Own(t, rows[0]), t.Number(rows[0])).Error
	})
}

// Draft returns what is kept under a name, nil when there is nothing.
func (s *Store) Draft(ctx context.Context, name string) ([]byte, error) {
	var data [][]byte
	if err := s.read.WithContext(ctx).Table("drafts").Where("name = ?", name).Pluck("data", &data).Error; err != nil {
		return nil, words.Errorf("reading what was typed: %w", err)
	}
	if len(data) == 0 {
		return nil, nil
	}
	return data[0], nil
}

// DropDraft forgets what is kept under a name.
func (s *Store) DropDraft(ctx context.Context, name string) error {
	return s.keep(
		ctx,
		"dropping what was typed",
		func(tx *gorm.DB) error { return tx.Exec("DELETE FROM drafts WHERE name = ?", name).Error },
	)
}

// keep changes a draft, which is no action: it is done while somebody types.
func (s *Store) keep(ctx context.Context, doing words.Text, work func(tx *gorm.DB) error) error {
	if err := s.transact(ctx, work); err != nil {
		return ledgerfile.WriteFailed(doing, err)
	}
	s.tell(of(KindDraft))
	return nil
}

// dropDraft forgets in an action what was typed for it; no name is no draft.
func dropDraft(tx *act, name string) error {
	if name == "" {
		return nil
	}
	_, err := tx.remove(draftsTable, "name = ?", name)
	return err
}
