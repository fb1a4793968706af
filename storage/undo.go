package storage

import (
	"context"
	"fmt"

	"gorm.io/gorm"

	"weirkeeper/assets/words"
	"weirkeeper/storage/ledgerfile"
	"weirkeeper/tanks"
)

// ErrNothingToUndo tells that no action of this session is left to take back,
// or to put back.
var ErrNothingToUndo = words.New("nothing is left to take back")

// entries are the tables of the room's record, by the word that an amendment
// calls them by: what is taken back of them is written down.
var entries = map[string]string{
	"readings": "reading", "additions": "addition", "water_changes": "water change", "observations": "note", "photos": "photo",
	"lot_events": "livestock event", "calibrations": "calibration", "corrections": "correction", "standard_checks": "check on a standard",
}

// Undoable returns what Undo would take back and what Redo would put back, in
// words such as "saving the readings"; empty: nothing.
func (s *Store) Undoable() (undo, redo words.Text) {
	s.history.mutex.Lock()
	defer s.history.mutex.Unlock()
	if n := len(s.history.done); n > 0 {
		undo = s.history.done[n-1].doing
	}
	if n := len(s.history.back); n > 0 {
		redo = s.history.back[n-1].doing
	}
	return undo, redo
}

// Undo takes the last action of this session back, in one transaction, and
// returns what it was. The ledger is then as it was before it, but for the
// account: that it was taken back is an action of its own, and entries of the
// record that go or change are kept among the amendments (with the ID 0 when the
// entry is gone). The readings of an import stay, withdrawn.
func (s *Store) Undo(ctx context.Context, person string) (doing words.Text, err error) {
	return s.turn(ctx, &s.history.done, &s.history.back, "taking back", "taken back in the session in which it was made", person)
}

// Redo puts what was last taken back into the ledger again, as long as nothing
// else was done since.
func (s *Store) Redo(ctx context.Context, person string) (doing words.Text, err error) {
	return s.turn(ctx, &s.history.back, &s.history.done, "putting back", "put back in the session in which it was made", person)
}

// turn reverses the newest step of one stack and puts its opposite onto the
// other.
func (s *Store) turn(ctx context.Context, from, to *[]step, word words.Text, reason, person string) (words.Text, error) {
	s.history.order.Lock()
	last, err := s.turnInOrder(ctx, from, to, word, reason, person)
	s.history.order.Unlock()
	if err != nil {
		return "", err
	}
	s.tell(last.change)
	return last.doing, nil
}

func (s *Store) turnInOrder(ctx context.Context, from, to *[]step, word words.Text, reason, person string) (step, error) {
	h := &s.history
	last, ok := h.newest(from)
	if !ok {
		return step{}, ErrNothingToUndo
	}
	var id int64
	err := s.transact(ctx, func(tx *gorm.DB) (err error) {
		if id, err = s.begin(tx, words.T("%s: %s", word, last.doing), last.action); err != nil {
			return err
		}
		return s.reverse(tx, last.action, reason, person)
	})
	if refersNowhere(err) {
		return step{}, words.Errorf("%s %s: entries that stay in the record belong to it, such as readings of an import: close or retire it instead", word, last.doing)
	}
	if err != nil {
		return step{}, ledgerfile.WriteFailed(words.T("%s %s", word, last.doing), err)
	}
	h.mutex.Lock()
	defer h.mutex.Unlock()
	*from = (*from)[:len(*from)-1]
	*to = append(*to, step{id, last.doing, last.change})
	return last, nil
}

func (h *history) newest(stack *[]step) (step, bool) {
	h.mutex.Lock()
	defer h.mutex.Unlock()
	if len(*stack) == 0 {
		return step{}, false
	}
	return (*stack)[len(*stack)-1], true
}

// undoRow is one remembered change.
type undoRow struct {
	Seq         int64
	Tab         string
	First, Last *int64
	Back        string
	Again       *string
}

// reverse takes the changes of an action back, the last one first.
func (s *Store) reverse(tx *gorm.DB, action int64, reason, person string) error {
	var steps []undoRow
	if err := tx.Raw("SELECT seq, tab, first, last, back, again FROM temp.undo_steps WHERE action = ? ORDER BY seq DESC", action).Scan(&steps).Error; err != nil {
		return err
	}
	if err := tx.Exec("PRAGMA defer_foreign_keys = ON").Error; err != nil {
		return err
	}
	before, err := s.account(tx, steps, reason, person)
	if err != nil {
		return err
	}
	touched, err := touchedBy(tx, action)
	if err != nil {
		return err
	}
	for _, u := range steps {
		if err := s.reverseOne(tx, u); err != nil {
			return err
		}
	}
	if err := nameGone(tx, before); err != nil {
		return err
	}
	after, err := touchedBy(tx, action)
	if err != nil {
		return err
	}
	for p := range after {
		touched[p] = true
	}
	if err := recompute(tx, touched); err != nil {
		return err
	}
	return tx.Exec("DELETE FROM temp.undo_steps WHERE action = ?", action).Error
}

// reverseOne carries out one remembered statement.
func (s *Store) reverseOne(tx *gorm.DB, u undoRow) error {
	if u.Again == nil {
		done := tx.Exec(u.Back)
		if done.Error == nil && done.RowsAffected == 0 && u.Tab != draftsTable {
			return words.Errorf("a row of %s is not there any more", u.Tab)
		}
		return done.Error
	}
	// A range is remembered as a range again, not row by row.
	if err := s.history.paused(tx, func() error { return tx.Exec(u.Back).Error }); err != nil {
		return err
	}
	return s.history.rememberRange(tx, u.Tab, *u.First, *u.Last, *u.Again, u.Back)
}

// touchedBy returns the pairs whose readings an action changed, as far as they
// are in the ledger now.
func touchedBy(tx *gorm.DB, action int64) (map[tanks.Cell]bool, error) {
	rows, err := tx.Raw(`SELECT DISTINCT r.system_id, r.analyte_id FROM temp.undo_steps u CROSS JOIN readings r ON r.id BETWEEN u.first AND ifnull(u.last, u.first)
		WHERE u.action = ? AND u.tab = 'readings'`, action).Rows()
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	touched := map[tanks.Cell]bool{}
	for rows.Next() {
		var p tanks.Cell
		if err := rows.Scan(&p.System, &p.Analyte); err != nil {
			return nil, err
		}
		touched[p] = true
	}
	return touched, rows.Err()
}

// accounted is an entry that was written down among the amendments, with its
// amendment.
type accounted struct {
	table     string
	id        int64
	amendment int64
}

// account keeps the entries that are about to go or change. An import, whose
// readings are only withdrawn, is kept as a whole.
func (s *Store) account(tx *gorm.DB, steps []undoRow, reason, person string) ([]accounted, error) {
	var out []accounted
	seen := map[accounted]bool{}
	for _, u := range steps {
		entity, ok := entries[u.Tab]
		if !ok || u.First == nil || seen[accounted{table: u.Tab, id: *u.First}] {
			continue
		}
		if u.Last != nil {
			if err := s.accountRange(tx, u, reason, person); err != nil {
				return nil, err
			}
			continue
		}
		one := accounted{table: u.Tab, id: *u.First}
		seen[one] = true
		system, row, err := entryNow(tx, u.Tab, one.id)
		if err != nil {
			return nil, err
		}
		if row == nil {
			continue
		}
		if one.amendment, err = s.remember(tx, entity, one.id, system, reason, person, row); err != nil {
			return nil, err
		}
		out = append(out, one)
	}
	return out, nil
}

// entryNow returns an entry as it stands, nil when it is not there, and the
// system that it belongs to.
func entryNow(tx *gorm.DB, table string, id int64) (system int64, entry any, err error) {
	if table == "readings" {
		var row readingRow
		if err := tx.Limit(1).Find(&row, id).Error; err != nil || row.ID == 0 {
			return 0, nil, err
		}
		return row.SystemID, row.reading(), nil
	}
	var row map[string]any
	if err := tx.Table(table).Where("id = ?", id).Limit(1).Find(&row).Error; err != nil || len(row) == 0 {
		return 0, nil, err
	}
	system, _ = row["system_id"].(int64)
	return system, row, nil
}

// accountRange writes down for each system how many readings of an import
// change.
func (s *Store) accountRange(tx *gorm.DB, u undoRow, reason, person string) error {
	var counts []struct {
		SystemID int64
		Readings int
	}
	if err := tx.Raw("SELECT system_id, count(*) AS readings FROM readings WHERE id BETWEEN ? AND ? GROUP BY system_id", *u.First, *u.Last).Scan(&counts).Error; err != nil {
		return err
	}
	for _, c := range counts {
		if _, err := s.remember(tx, "import", *u.First, c.SystemID, reason, person, map[string]any{"first": *u.First, "last": *u.Last, "readings": c.Readings}); err != nil {
			return err
		}
	}
	return nil
}

// nameGone gives the amendments of entries that are gone the ID 0: their numbers
// may be given again.
func nameGone(tx *gorm.DB, all []accounted) error {
	for _, a := range all {
		err := tx.Exec(fmt.Sprintf("UPDATE amendments SET entity_id = 0 WHERE id = ? AND NOT EXISTS (SELECT 1 FROM %s WHERE id = ?)", a.table), a.amendment, a.id).Error
		if err != nil {
			return err
		}
	}
	return nil
}
