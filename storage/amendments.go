package storage

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"

	"gorm.io/gorm"

	"weirkeeper/tanks"
)

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
	err := s.transact(ctx, func(tx *gorm.DB) error {
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

type amendmentRow struct {
	ID       int64 `gorm:"primaryKey"`
	Entity   string
	EntityID int64
	SystemID *int64
	MadeAt   int64
	Person   string
	Reason   string
	Before   string
}

func (amendmentRow) TableName() string { return "amendments" }

// remember keeps what stood there before an entry is changed.
func (s *Store) remember(tx *gorm.DB, entity string, id, systemID int64, reason, person string, before any) error {
	text, err := json.Marshal(before)
	if err != nil {
		return fmt.Errorf("keeping what stood there: %w", err)
	}
	return tx.Create(&amendmentRow{Entity: entity, EntityID: id, SystemID: &systemID, MadeAt: stamp(s.clock()), Person: person, Reason: reason, Before: string(text)}).Error
}

// Amendments returns what was amended or withdrawn of a system's record, in
// order of time.
func (s *Store) Amendments(ctx context.Context, id tanks.SystemID) ([]tanks.Amendment, error) {
	var rows []amendmentRow
	if err := s.read.WithContext(ctx).Where("system_id = ?", int64(id)).Order("made_at, id").Find(&rows).Error; err != nil {
		return nil, fmt.Errorf("reading the amendments: %w", err)
	}
	out := make([]tanks.Amendment, len(rows))
	for i, r := range rows {
		out[i] = tanks.Amendment{Entity: r.Entity, ID: r.EntityID, At: instant(r.MadeAt), Person: r.Person, Reason: r.Reason, Before: r.Before}
	}
	return out, nil
}
