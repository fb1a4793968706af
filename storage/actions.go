package storage

import (
	"context"
	"time"

	"gorm.io/gorm"

	"weirkeeper/assets/words"
	"weirkeeper/storage/ledgerfile"
	"weirkeeper/storage/versions"
)

// Author is who acts, and where: the workstation is a name that stays the same
// for one user of one machine.
type Author struct{ Person, Workstation string }

// As returns the same ledger for an author: what is done through it is theirs.
func (s *Store) As(a Author) *Store { return &Store{s.ledger, a} }

// Action is one thing that somebody did: one transaction.
type Action struct {
	ID    int64
	At    time.Time
	Doing words.Text // "saving the readings"
	Author
	// Undoes is the action that this one took back; of a redo it is the undo.
	// Zero: neither.
	Undoes int64
}

type actionRow struct {
	ID          int64 `gorm:"primaryKey"`
	DoneAt      int64
	Doing       string
	Undoes      *int64
	Person      string
	Workstation string
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
		out[i] = Action{
			ID: r.ID, At: instant(r.DoneAt), Doing: words.Kept(r.Doing), Author: Author{r.Person,
				r.Workstation}, Undoes: referred[int64](r.Undoes),
		}
	}
	return out, nil
}

// act runs one action as one transaction and tells the listeners after its
// commit.
func (s *Store) act(ctx context.Context, doing words.Text, change Touched, work func(tx *act) error) error {
	return s.actOn(ctx, doing, func(tx *act) (Touched, error) { return change, work(tx) })
}

// actOn is act for an action that knows only when it is done what it changed.
func (s *Store) actOn(ctx context.Context, doing words.Text, work func(tx *act) (Touched, error)) error {
	var change Touched
	err := s.writeAct(ctx, func(tx *act) (done versions.Action, err error) {
		change, err = work(tx)
		return versions.Action{Doing: doing.Keep()}, err
	})
	if err != nil {
		return ledgerfile.WriteFailed(doing, err)
	}
	s.tell(change)
	return nil
}

// writeAct runs work in one transaction and writes down behind it the action that
// it says it was, with a version of each row.
func (s *Store) writeAct(ctx context.Context, work func(tx *act) (versions.Action, error)) error {
	if err := s.CheckClock(); err != nil {
		return err
	}
	var at int64
	var met []string
	err := s.transact(ctx, func(tx *gorm.DB) error {
		a := newAct(tx.Statement.Context, tx, s.tables, &s.kept)
		defer func() { a.close(); met = a.pool.met }()
		done, err := work(a)
		if err != nil {
			return err
		}
		at = stamp(s.clock())
		done.DoneAt, done.Person, done.Workstation = at, s.by.Person, s.by.Workstation
		return done.Write(ctx, a.pool, a.versions.All)
	})
	if err == nil {
		s.newest.Store(at)
		s.kept.keep(ctx, s.file.Writer(), met)
	}
	return err
}

// transact runs work in one transaction that writes. It may be given up as long as it
// waits for the one before; what has begun is brought to its end, since of a
// transaction that is broken off while it is made certain nobody can tell whether it
// happened. Nor does the driver then start a goroutine to watch each statement.
func (s *Store) transact(ctx context.Context, work func(tx *gorm.DB) error) error {
	if s.ReadOnly() {
		return ErrReadOnly
	}
	if err := s.file.Intact(); err != nil {
		return err
	}
	err := s.write.WithContext(ctx).Connection(func(tx *gorm.DB) error {
		if err := ctx.Err(); err != nil {
			return err
		}
		return tx.WithContext(context.WithoutCancel(ctx)).Transaction(work)
	})
	if err != nil {
		return err
	}
	// A save is acknowledged only when it is in the file that the next start opens.
	return s.file.Intact()
}
