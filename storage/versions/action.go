package versions

import (
	"context"
	"database/sql"
	"errors"

	"weirkeeper/assets/words"
	"weirkeeper/storage/ledgerfile"
)

// Action is one thing that was done, as the ledger keeps it: one transaction.
type Action struct {
	ID          int64
	DoneAt      int64  // milliseconds since 1970
	Doing       string // a words.Text as Keep writes it
	Undoes      *int64 // the action that this one took back; of a redo it is the undo
	Person      string
	Workstation string
	Root        *int64 // the action that this one takes back or puts back in the end
	Baseline    int64  // 1: it states what the ledger held
	Hash        int64  // see hash; zero: written before there were versions
}

// Preparer is a database, or a transaction of it.
type Preparer interface {
	ledgerfile.Querier
	PrepareContext(ctx context.Context, query string) (*sql.Stmt, error)
}

// Write puts an action with its versions into the ledger, behind the newest one;
// it gets its ID and Hash.
func (a *Action) Write(ctx context.Context, db Preparer, versions []Version) error {
	var before sql.NullInt64
	newest, err := db.PrepareContext(ctx, "SELECT id, hash FROM actions ORDER BY id DESC LIMIT 1")
	if err != nil {
		return err
	}
	defer newest.Close()
	err = newest.QueryRowContext(ctx).Scan(&a.ID, &before)
	if err != nil && !errors.Is(err, sql.ErrNoRows) {
		return err
	}
	a.ID++
	a.Hash = a.hash(before.Int64, versions)
	insert, err := db.PrepareContext(ctx, `INSERT INTO actions (id, done_at, doing, undoes, person, workstation, root, baseline, hash)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)`)
	if err != nil {
		return err
	}
	defer insert.Close()
	_, err = insert.ExecContext(ctx, a.ID, a.DoneAt, a.Doing, a.Undoes, a.Person, a.Workstation, a.Root, a.Baseline, a.Hash)
	if err != nil {
		return err
	}
	return a.writeVersions(ctx, db, versions)
}

func (a *Action) writeVersions(ctx context.Context, db Preparer, versions []Version) error {
	if len(versions) == 0 {
		return nil
	}
	insert, err := db.PrepareContext(
		ctx,
		`INSERT INTO versions (action_id, place, entity, first, last, change, before, hash_before, hash_after)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)`,
	)
	if err != nil {
		return err
	}
	defer insert.Close()
	for _, v := range versions {
		_, err := insert.ExecContext(ctx, a.ID, v.Place, v.Entity, v.First, v.Last, int(v.Event), v.Before, v.HashBefore, v.HashAfter)
		if err != nil {
			return words.Errorf("keeping a version of %s: %w", v.Entity, err)
		}
	}
	return a.writeSums(ctx, db, versions)
}

// writeSums writes the sums of single rows down, of versions of several.
func (a *Action) writeSums(ctx context.Context, db Preparer, versions []Version) error {
	var insert *sql.Stmt
	for _, v := range versions {
		if !v.Spans() || v.Sums == nil {
			continue
		}
		if insert == nil {
			var err error
			insert, err = db.PrepareContext(ctx, "INSERT INTO row_sums (action_id, place, first, sums) VALUES (?, ?, ?, ?)")
			if err != nil {
				return err
			}
			defer insert.Close()
		}
		for _, p := range v.split(a.ID) {
			if _, err := insert.ExecContext(ctx, p.Action, p.Place, p.First, p.Sums); err != nil {
				return words.Errorf("keeping the sums of %s: %w", v.Entity, err)
			}
		}
	}
	return nil
}

// hash is the sum of the hash before, of the action and of its versions: a chain
// in which no action can change, go or come without a trace, but for the newest
// ones.
func (a *Action) hash(before int64, versions []Version) int64 {
	var s Sum
	s.Begin("actions")
	for _, v := range []int64{before, a.ID, a.DoneAt} {
		s.Integer(v)
	}
	s.Text(a.Doing)
	s.Reference(a.Undoes)
	s.Text(a.Person)
	s.Text(a.Workstation)
	s.Reference(a.Root)
	s.Integer(a.Baseline)
	for _, v := range versions {
		s.Integer(int64(v.Place))
		s.Text(v.Entity)
		s.Integer(v.First)
		s.Integer(v.Last)
		s.Integer(int64(v.Event))
		if v.Before == nil {
			s.Null()
		} else {
			s.Text(*v.Before)
		}
		s.Integer(v.HashBefore)
		s.Integer(v.HashAfter)
	}
	return s.End()
}

// follow reads the actions from one on, in their order, each with its versions.
func follow(ctx context.Context, db ledgerfile.Querier, first int64, use func(Action, []Version)) error {
	rows, err := db.QueryContext(ctx, `SELECT a.id, a.done_at, a.doing, a.undoes, a.person, a.workstation, a.root, a.baseline,
		coalesce(a.hash, 0), v.action_id IS NOT NULL, coalesce(v.place, 0), coalesce(v.entity, ''), coalesce(v.first, 0), coalesce(v.last, 0),
		coalesce(v.change, 0), v.before, coalesce(v.hash_before, 0), coalesce(v.hash_after, 0)
		FROM actions a LEFT JOIN versions v ON v.action_id = a.id WHERE a.id >= ? ORDER BY a.id, v.place`, first)
	if err != nil {
		return err
	}
	defer rows.Close()
	var last Action
	var versions []Version
	for rows.Next() {
		var a Action
		var v Version
		var has bool
		if err := rows.Scan(&a.ID, &a.DoneAt, &a.Doing, &a.Undoes, &a.Person, &a.Workstation, &a.Root, &a.Baseline, &a.Hash,
			&has, &v.Place, &v.Entity, &v.First, &v.Last, &v.Event, &v.Before, &v.HashBefore, &v.HashAfter); err != nil {
			return err
		}
		if last.ID != 0 && a.ID != last.ID {
			use(last, versions)
			versions = versions[:0]
		}
		if last = a; has {
			versions = append(versions, v)
		}
	}
	if last.ID != 0 {
		use(last, versions)
	}
	return rows.Err()
}
