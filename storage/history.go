package storage

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"sync"

	"gorm.io/gorm"

	"weirkeeper/assets/words"
	"weirkeeper/storage/ledgerfile"
)

// history remembers how to take the last actions of a session back. Triggers
// on every table of the ledger write the opposite of each change, as SQL, into a
// temporary table of the connection that writes, under the newest action; it goes
// with the session, and with a transaction that is rolled back. The technique is described in SQLite's
// documentation, "Automatic Undo/Redo Using SQLite".
//
// The zero history remembers nothing; [Store.KeepUndo] starts it.
type history struct {
	// order is held while an action runs, so that the stacks have the order of
	// the transactions.
	order sync.Mutex
	mutex sync.Mutex // of what follows
	on    bool
	done  []step // the newest last
	back  []step // what was taken back of them, the newest last
}

// step is one action that can be taken back, or put back.
type step struct {
	action int64
	doing  words.Text
	change Change
}

// mostSteps bounds the actions that can be taken back.
const mostSteps = 100

// unremembered are the tables whose changes are not taken back: what follows
// from others, and what is never taken back because it is the account of it.
// Rows of the children of entries stay and go with them by the cascade of their
// foreign keys, but are written down like others.
var unremembered = []string{"latest", "actions", "amendments", "analytes"}

// KeepUndo lets the actions from now on be taken back until the ledger is
// closed.
func (s *Store) KeepUndo(ctx context.Context) error {
	if s.ReadOnly() {
		return nil
	}
	s.history.mutex.Lock()
	defer s.history.mutex.Unlock()
	if s.history.on {
		return nil
	}
	err := s.write.WithContext(ctx).Connection(func(tx *gorm.DB) error {
		for _, statement := range []string{
			"PRAGMA temp_store = MEMORY",
			"CREATE TEMP TABLE undo_state (paused INTEGER NOT NULL)",
			"INSERT INTO temp.undo_state VALUES (0)",
			// A row that came, went or changed, with the statement that takes it
			// back; a range of rows has the statement that puts it back, too.
			"CREATE TEMP TABLE undo_steps (seq INTEGER PRIMARY KEY, action INTEGER NOT NULL, tab TEXT NOT NULL, first INTEGER, last INTEGER, back TEXT NOT NULL, again TEXT)",
			"CREATE INDEX temp.undo_steps_action ON undo_steps(action)",
		} {
			if err := tx.Exec(statement).Error; err != nil {
				return err
			}
		}
		pool := tx.Statement.ConnPool.(ledgerfile.Querier)
		tables, err := ledgerfile.Tables(ctx, pool)
		if err != nil {
			return err
		}
		for _, table := range tables {
			if slices.Contains(unremembered, table) {
				continue
			}
			columns, err := ledgerfile.Columns(ctx, pool, table)
			if err != nil {
				return err
			}
			for _, trigger := range undoTriggers(table, columns) {
				if err := tx.Exec(trigger).Error; err != nil {
					return words.Errorf("%s: %w", table, err)
				}
			}
		}
		return nil
	})
	if err != nil {
		return words.Errorf("preparing to take actions back: %w", err)
	}
	s.history.on = true
	return nil
}

// undoTriggers returns the three triggers of a table.
func undoTriggers(table string, columns []ledgerfile.Column) []string {
	key, row := keyOf(columns)
	const note = "INSERT INTO undo_steps (action, tab, first, back) VALUES ((SELECT max(id) FROM main.actions), '%s', %s, %s)"
	trigger := func(event, row, back string) string {
		return fmt.Sprintf("CREATE TEMP TRIGGER undo_%s_%s AFTER %s ON main.%s WHEN (SELECT NOT paused FROM undo_state) BEGIN "+note+"; END",
			table, strings.ToLower(event), event, table, table, row, back)
	}
	var set, names, values []string
	for _, c := range columns {
		set = append(set, "'"+c.Name+" = ' || "+literal("OLD."+c.Name, c.Kind))
		names = append(names, c.Name)
		values = append(values, literal("OLD."+c.Name, c.Kind))
	}
	insert := fmt.Sprintf("'INSERT INTO %s (%s) VALUES (' || %s || ')'", table, strings.Join(names, ", "), strings.Join(values, " || ', ' || "))
	remove := fmt.Sprintf("'DELETE FROM %s WHERE ' || %s", table, matching(key, "NEW."))
	if table == draftsTable {
		// What was typed since wins over what is put back, and is not taken away.
		insert += " || ' ON CONFLICT DO NOTHING'"
		remove += " || ' AND kept_at = ' || NEW.kept_at"
	}
	return []string{
		trigger("INSERT", strings.ReplaceAll(row, "?", "NEW"), remove),
		trigger("UPDATE", strings.ReplaceAll(row, "?", "OLD"), fmt.Sprintf("'UPDATE %s SET ' || %s || ' WHERE ' || %s", table, strings.Join(set, " || ', ' || "), matching(key, "NEW."))),
		trigger("DELETE", strings.ReplaceAll(row, "?", "OLD"), insert),
	}
}

// keyOf returns the columns that name a row, and an expression for its number,
// NULL where it has none.
func keyOf(columns []ledgerfile.Column) (key []ledgerfile.Column, row string) {
	key = ledgerfile.KeyOf(columns)
	if len(key) == 1 && key[0].Kind == "INTEGER" {
		return key, "?." + key[0].Name
	}
	return key, "NULL"
}

// matching is an SQL expression for the condition that finds a row again.
func matching(key []ledgerfile.Column, of string) string {
	parts := make([]string, len(key))
	for i, c := range key {
		parts[i] = "'" + c.Name + " = ' || " + literal(of+c.Name, c.Kind)
	}
	return strings.Join(parts, " || ' AND ' || ")
}

// literal is an SQL expression for a value as a literal. SQLite's quote() ends
// a text at its first NUL, so such a text goes by its bytes.
func literal(value, kind string) string {
	if kind != "TEXT" {
		return "quote(" + value + ")"
	}
	return fmt.Sprintf("CASE WHEN instr(%[1]s, char(0)) THEN 'CAST(x''' || hex(%[1]s) || ''' AS TEXT)' ELSE quote(%[1]s) END", value)
}

// paused runs work whose changes are not remembered one by one.
func (h *history) paused(tx *gorm.DB, work func() error) error {
	if !h.keeps() {
		return work()
	}
	if err := tx.Exec("UPDATE temp.undo_state SET paused = 1").Error; err != nil {
		return err
	}
	if err := work(); err != nil {
		return err
	}
	return tx.Exec("UPDATE temp.undo_state SET paused = 0").Error
}

func (h *history) keeps() bool {
	h.mutex.Lock()
	defer h.mutex.Unlock()
	return h.on
}

// rememberRange notes rows of a table by their first and last number, instead of
// one by one, with the statements that take them back and put them back; it
// belongs to the action that runs.
func (h *history) rememberRange(tx *gorm.DB, table string, first, last int64, back, again string) error {
	if !h.keeps() {
		return nil
	}
	return tx.Exec("INSERT INTO temp.undo_steps (action, tab, first, last, back, again) VALUES ((SELECT max(id) FROM actions), ?, ?, ?, ?, ?)", table, first, last, back, again).Error
}

// did notes a committed action. What was taken back before it can be put back
// no more.
func (h *history) did(s step) {
	h.mutex.Lock()
	defer h.mutex.Unlock()
	if !h.on {
		return
	}
	h.back = nil
	h.done = append(h.done, s)
	if len(h.done) > mostSteps {
		h.done = slices.Delete(h.done, 0, len(h.done)-mostSteps)
	}
}

// forget drops what a new action makes useless: how to put back what was taken
// back, and the oldest action when there are many.
func (h *history) forget(tx *gorm.DB) error {
	h.mutex.Lock()
	var useless []int64
	for _, s := range h.back {
		useless = append(useless, s.action)
	}
	if len(h.done) >= mostSteps {
		useless = append(useless, h.done[0].action)
	}
	h.mutex.Unlock()
	for _, action := range useless {
		if err := tx.Exec("DELETE FROM temp.undo_steps WHERE action = ?", action).Error; err != nil {
			return err
		}
	}
	return nil
}
