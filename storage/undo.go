package storage

import (
	"context"
	"database/sql"
	"errors"

	sqlite3 "github.com/mattn/go-sqlite3"

	"weirkeeper/assets/words"
	"weirkeeper/storage/ledgerfile"
	"weirkeeper/storage/versions"
)

// ErrNothingToUndo tells that no action of a person is left to take back, or to
// put back.
var ErrNothingToUndo = words.New("nothing is left to take back")

// mostSteps bounds the actions of a person at a workstation that can be taken
// back.
const mostSteps = 100

// Undoable returns what [Store.Undo] would take back and what [Store.Redo] would
// put back of a person's actions at this workstation, in words such as "saving
// the readings"; empty: nothing.
func (s *Store) Undoable(ctx context.Context, person string) (undo, redo words.Text, err error) {
	if s.ReadOnly() {
		return "", "", nil
	}
	all, err := deeds(ctx, s.file.Reader(), Author{person, s.by.Workstation})
	if err != nil {
		return "", "", words.Errorf("reading what can be taken back: %w", err)
	}
	if d, ok := standing(all); ok {
		undo = d.doing
	}
	if d, ok := takenBack(all); ok {
		redo = d.doing
	}
	return undo, redo, nil
}

// Undo takes the last action that a person did at this workstation back, in one
// transaction, and returns what it was. The ledger is then as it was before it,
// but for the account: that it was taken back is an action of its own, and entries
// of the record that go or change are kept among the amendments (with the ID 0
// when the entry is gone). The readings of an import stay, withdrawn. When another
// action has changed the same rows since, nothing is changed, and the error says
// which.
func (s *Store) Undo(ctx context.Context, person string) (doing words.Text, err error) {
	return s.turn(ctx, person, turning{"taking back", "taken back", standing})
}

// Redo puts what was last taken back of a person's actions into the ledger again,
// as long as that person did nothing else since.
func (s *Store) Redo(ctx context.Context, person string) (doing words.Text, err error) {
	return s.turn(ctx, person, turning{"putting back", "put back", takenBack})
}

// deed is an action that can be taken back, or put back.
type deed struct {
	id     int64
	doing  words.Text
	turns  int   // how often it was taken back or put back
	newest int64 // the last of these actions, else its own
}

// stands tells that a deed is in effect.
func (d deed) stands() bool { return d.turns%2 == 0 }

// deeds returns the last actions of an author, the newest first, that are younger
// than the last baseline.
func deeds(ctx context.Context, db ledgerfile.Querier, by Author) ([]deed, error) {
	rows, err := db.QueryContext(ctx, `SELECT a.id, a.doing, count(t.id), coalesce(max(t.id), a.id) FROM (
			SELECT id, doing FROM actions WHERE workstation = ? AND person = ? AND root IS NULL AND baseline = 0
			AND id > (SELECT coalesce(max(id), 0) FROM actions WHERE baseline = 1) ORDER BY id DESC LIMIT ?) a
		LEFT JOIN actions t ON t.root = a.id GROUP BY a.id ORDER BY a.id DESC`, by.Workstation, by.Person, mostSteps)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var all []deed
	for rows.Next() {
		var d deed
		var doing string
		if err := rows.Scan(&d.id, &doing, &d.turns, &d.newest); err != nil {
			return nil, err
		}
		d.doing = words.Kept(doing)
		all = append(all, d)
	}
	return all, rows.Err()
}

// standing is the newest deed in effect.
func standing(all []deed) (deed, bool) {
	for _, d := range all {
		if d.stands() {
			return d, true
		}
	}
	return deed{}, false
}

// takenBack is the deed that was last taken back, if nothing was done since.
func takenBack(all []deed) (last deed, ok bool) {
	for _, d := range all {
		if d.stands() {
			break
		}
		if d.newest > all[0].id { // else something was done since
			last, ok = d, true
		}
	}
	return last, ok
}

// turning is taking back or putting back, in words, and of which deed.
type turning struct {
	word, reason words.Text
	which        func([]deed) (deed, bool)
}

// turn reverses what an action, or the last one that turned it, did.
func (s *Store) turn(ctx context.Context, person string, t turning) (words.Text, error) {
	var d deed
	var change Touched
	err := s.writeAct(ctx, func(a *act) (versions.Action, error) {
		all, err := deeds(a.ctx, a.pool, Author{person, s.by.Workstation})
		if err != nil {
			return versions.Action{}, err
		}
		var ok bool
		if d, ok = t.which(all); !ok {
			return versions.Action{}, ErrNothingToUndo
		}
		change, err = s.reverse(a, d.newest, t.reason)
		return versions.Action{Doing: words.T("%s: %s", t.word, d.doing).Keep(), Undoes: &d.newest, Root: &d.id}, err
	})
	var since *changedSince
	switch {
	case err == nil:
		s.tell(change)
		return d.doing, nil
	case errors.Is(err, ErrNothingToUndo), errors.Is(err, ErrReadOnly):
		return "", err
	case errors.As(err, &since):
		return "", s.refusal(ctx, t.word, d, since)
	case refersNowhere(err), errors.Is(err, errBelongs):
		return "", words.Errorf(
			"%s %s: entries that stay in the record belong to it, such as readings of an import: close or retire it instead",
			t.word,
			d.doing,
		)
	case isTaken(err):
		return "", words.Errorf("%s %s: something else has its name or code by now: rename that first", t.word, d.doing)
	}
	return "", ledgerfile.WriteFailed(words.T("%s %s", t.word, d.doing), err)
}

// errBelongs tells that rows belong to one that should go.
var errBelongs = words.New("rows that stay belong to it")

// changedSince tells rows that are not as an action left them.
type changedSince struct{ versions.Version }

// Error implements error.
func (c *changedSince) Error() string { return c.Entity + " changed since" }

// isTaken tells a value that must be one row's alone and is another's.
func isTaken(err error) bool {
	var e sqlite3.Error
	return errors.As(err, &e) && e.ExtendedCode == sqlite3.ErrConstraintUnique
}

// refusal says who changed since what an action wrote.
func (s *Store) refusal(ctx context.Context, word words.Text, d deed, since *changedSince) error {
	later := actionRow{}
	row := s.read.WithContext(ctx).Raw(`SELECT a.doing, a.person FROM versions v JOIN actions a ON a.id = v.action_id
		WHERE v.entity = ? AND v.first <= ? AND v.last >= ? AND v.action_id > ? ORDER BY v.action_id DESC LIMIT 1`,
		since.Entity, since.Last, since.First, since.Action).Row()
	if err := row.Scan(&later.Doing, &later.Person); err != nil && !errors.Is(err, sql.ErrNoRows) {
		return words.Errorf("%s %s: %w", word, d.doing, err)
	}
	what := words.Kept(later.Doing)
	switch {
	case later.Doing == "":
		return words.Errorf("%s %s: what it wrote is not as it left it; correct the entries instead", word, d.doing)
	case later.Person != "":
		what = words.T("%s, by %s", what, later.Person)
	}
	return words.Errorf("%s %s: what it wrote was changed since (%s); take that back first, or correct the entries", word, d.doing, what)
}
