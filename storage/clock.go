package storage

import (
	"context"
	"database/sql"
	"errors"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/storage/ledgerfile"
)

// How far a clock may stand from the newest action before it is asked about. A clock
// is set back by minutes when it is put right; a room that nobody wrote into for a
// year is rare.
const (
	mostBehind = 5 * time.Minute
	mostAhead  = 366 * 24 * time.Hour
)

// ClockError says that the computer's clock does not go with what the ledger holds:
// by it the newest action has not happened yet, or lies more than a year back.
type ClockError struct{ Now, Newest time.Time }

// Error says it in English.
func (e *ClockError) Error() string { return e.Words().String() }

// Words implements words.Worded.
func (e *ClockError) Words() words.Text {
	return words.T(
		"this computer's clock says %s, but the newest entry was made on %s: set the clock right, or say that it is right",
		words.Moment(e.Now), words.Moment(e.Newest),
	)
}

// CheckClock compares the clock with the newest action. The error is a *ClockError.
func (s *Store) CheckClock() error {
	newest, now := s.newest.Load(), s.clock()
	if newest == 0 {
		return nil
	}
	if since := now.Sub(instant(newest)); since < -mostBehind || since > mostAhead {
		return &ClockError{now, instant(newest).In(now.Location())}
	}
	return nil
}

// TrustClock takes a person's word that the clock is right: from now on it is
// compared with this instant.
func (s *Store) TrustClock() { s.newest.Store(stamp(s.clock())) }

// findNewest reads when the newest action was done.
func (s *Store) findNewest(ctx context.Context) error {
	var at int64
	err := s.file.Reader().QueryRowContext(ctx, "SELECT done_at FROM actions ORDER BY id DESC LIMIT 1").Scan(&at)
	if err != nil && !errors.Is(err, sql.ErrNoRows) {
		return ledgerfile.OpenFailed(s.Path(), err)
	}
	s.newest.Store(at)
	return nil
}
