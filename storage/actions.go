package storage

import (
	"context"
	"time"

	"gorm.io/gorm"

	"weirkeeper/assets/words"
	"weirkeeper/storage/ledgerfile"
)

// Action is one thing that somebody did: one transaction.
type Action struct {
	ID    int64
	At    time.Time
	Doing string // "saving the readings"
	// Undoes is the action that this one took back; of a redo it is the undo.
	// Zero: neither.
	Undoes int64
}

type actionRow struct {
	ID     int64 `gorm:"primaryKey"`
	DoneAt int64
	Doing  string
	Undoes *int64
}

func (actionRow) TableName() string { return "actions" }

// Actions returns the newest actions, at most most, the newest first.
func (s *Store) Actions(ctx context.Context, most int) ([]Action, error) {
	var rows []actionRow
	if err := s.read.WithContext(ctx).Order("id DESC").Limit(most).Find(&rows).Error; err != nil {
		return nil, words.Errorf("reading what was done: %w", err)
	}
	out := make([]Action, len(rows))
	for i, r := range rows {
		out[i] = Action{ID: r.ID, At: instant(r.DoneAt), Doing: r.Doing, Undoes: referred[int64](r.Undoes)}
	}
	return out, nil
}

// act runs one action as one transaction and tells the listeners after its
// commit.
func (s *Store) act(ctx context.Context, doing words.Text, change Change, work func(tx *gorm.DB) error) error {
	return s.actOn(ctx, doing, func(tx *gorm.DB) (Change, error) { return change, work(tx) })
}

// actOn is act for an action that knows only when it is done what it changed.
func (s *Store) actOn(ctx context.Context, doing words.Text, work func(tx *gorm.DB) (Change, error)) error {
	s.history.order.Lock()
	change, err := s.actInOrder(ctx, doing, work)
	s.history.order.Unlock()
	if err != nil {
		return ledgerfile.WriteFailed(doing, err)
	}
	s.tell(change)
	return nil
}

func (s *Store) actInOrder(ctx context.Context, doing words.Text, work func(tx *gorm.DB) (Change, error)) (Change, error) {
	var change Change
	var id int64
	err := s.transact(ctx, func(tx *gorm.DB) (err error) {
		if id, err = s.begin(tx, doing, 0); err != nil {
			return err
		}
		change, err = work(tx)
		return err
	})
	if err == nil {
		s.history.did(step{id, doing, change})
	}
	return change, err
}

// begin writes an action down; what the transaction changes from now on is
// remembered under its number.
func (s *Store) begin(tx *gorm.DB, doing words.Text, undoes int64) (int64, error) {
	written, err := tx.Statement.ConnPool.ExecContext(tx.Statement.Context, "INSERT INTO actions (done_at, doing, undoes) VALUES (?, ?, ?)",
		stamp(s.clock()), doing.String(), reference(undoes))
	if err != nil {
		return 0, err
	}
	if undoes == 0 {
		if err := s.history.forget(tx); err != nil {
			return 0, err
		}
	}
	return written.LastInsertId()
}

// transact runs work in one transaction that writes.
func (s *Store) transact(ctx context.Context, work func(tx *gorm.DB) error) error {
	if s.ReadOnly() {
		return ErrReadOnly
	}
	return s.write.WithContext(ctx).Transaction(work)
}
