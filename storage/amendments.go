package storage

import (
	"context"
	"encoding/json"
	"strings"

	"weirkeeper/assets/words"
	"weirkeeper/tanks"
)

// withdrawal names a kind of entry that can be withdrawn, in words and by its
// table.
type withdrawal struct {
	entity, table string
	kind          Kind
	// then does what the withdrawal brings with it, given the row as it was;
	// nil: nothing.
	then func(tx *act, before map[string]any) error
}

// errNoReason tells an amendment without one.
var errNoReason = tanks.Fault{Field: "reason", Problem: "The record needs a reason", Remedy: "say in a word or two what was wrong"}

func (s *Store) withdraw(ctx context.Context, w withdrawal, id int64, reason, person string) error {
	if strings.TrimSpace(reason) == "" {
		return errNoReason
	}
	return s.actOn(ctx, words.T("withdrawing the %s", w.entity), func(tx *act) (Touched, error) {
		var before map[string]any
		if err := tx.Table(w.table).Where("id = ? AND status = 0", id).Limit(1).Find(&before).Error; err != nil {
			return Touched{}, err
		}
		if len(before) == 0 {
			return Touched{}, words.Errorf("%s %d: %w", w.entity, id, ErrNotFound)
		}
		owner, _ := before["system_id"].(int64)
		if err := s.remember(tx, w.entity, id, owner, words.Typed(reason), person, before); err != nil {
			return Touched{}, err
		}
		if err := tx.set(w.table, id, "status", int(tanks.Withdrawn)); err != nil {
			return Touched{}, err
		}
		change := of(w.kind, tanks.SystemID(owner))
		if w.then == nil {
			return change, nil
		}
		return change, w.then(tx, before)
	})
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

// remember keeps what stood there before an entry is changed. An entry that
// belongs to no system has systemID 0.
func (s *Store) remember(tx *act, entity string, id, systemID int64, reason words.Text, person string, before any) error {
	text, err := json.Marshal(before)
	if err != nil {
		return words.Errorf("keeping what stood there: %w", err)
	}
	row := amendmentRow{
		Entity:   entity,
		EntityID: id,
		SystemID: reference(systemID),
		MadeAt:   stamp(s.clock()),
		Person:   person,
		Reason:   reason.Keep(),
		Before:   string(text),
	}
	return tx.insert(&row)
}

// Amendments returns what was amended or withdrawn of a system's record, in
// order of time.
func (s *Store) Amendments(ctx context.Context, id tanks.SystemID) ([]tanks.Amendment, error) {
	var rows []amendmentRow
	if err := s.read.WithContext(ctx).Where("system_id = ?", int64(id)).Order("made_at, id").Find(&rows).Error; err != nil {
		return nil, words.Errorf("reading the amendments: %w", err)
	}
	out := make([]tanks.Amendment, len(rows))
	for i, r := range rows {
		out[i] = tanks.Amendment{
			Entity: r.Entity,
			ID:     r.EntityID,
			At:     instant(r.MadeAt),
			Person: r.Person,
			Reason: words.Kept(r.Reason),
			Before: r.Before,
		}
	}
	return out, nil
}
