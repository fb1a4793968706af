package versions

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strings"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/storage/ledgerfile"
)

// naming names rows that are not as they must be, the first ledgerfile.MostFaults.
type naming struct {
	ctx    context.Context
	db     ledgerfile.Querier
	t      *Table
	faults []string
	err    error
	wrong  []wrongRow // that are not named yet: one reads the table meanwhile
}

// wrongRow is a row that is there, and what is wrong with it.
type wrongRow struct {
	what string
	row  []any
}

func (n *naming) fault(format string, args ...any) {
	if len(n.faults) < ledgerfile.MostFaults {
		n.faults = append(n.faults, fmt.Sprintf(format, args...))
	}
}

// row notes a row that is there; the row is the caller's.
func (n *naming) row(what string, row []any) {
	if len(n.wrong) < ledgerfile.MostFaults {
		n.wrong = append(n.wrong, wrongRow{what, row})
	}
}

// nameRows names the rows that were noted.
func (n *naming) nameRows() {
	for _, w := range n.wrong {
		n.fault("%s row %d%s %s", n.t.Name, n.t.Number(w.row), n.said(PlaceOf(n.ctx, n.db, n.t, w.row, time.UTC)), w.what)
	}
}

// gone names a row that is not there by the action that wrote it last.
func (n *naming) gone(number int64) {
	if len(n.faults) == ledgerfile.MostFaults {
		return
	}
	n.fault("%s row %d%s is gone", n.t.Name, number, n.said(WrittenBy(n.ctx, n.db, n.t.Name, number)))
}

func (n *naming) said(place string, err error) string {
	if err != nil && n.err == nil {
		n.err = err
	}
	if place == "" {
		return ""
	}
	return " (" + place + ")"
}

const moment = "2006-01-02 15:04 MST"

// PlaceOf says what a row is about, as far as its columns tell: the system by its
// code, the analyte by its key, the time in a zone.
func PlaceOf(ctx context.Context, db ledgerfile.Querier, t *Table, row []any, zone *time.Location) (string, error) {
	var parts []string
	for _, c := range []struct{ column, table, name string }{{"system_id", "systems", "code"}, {"analyte_id", "analytes", "key"}} {
		at := t.At(c.column)
		if at < 0 || row[at] == nil {
			continue
		}
		name := ""
		err := db.QueryRowContext(ctx, fmt.Sprintf("SELECT %s FROM %s WHERE id = ?", c.name, c.table), row[at]).Scan(&name)
		if errors.Is(err, sql.ErrNoRows) {
			name = fmt.Sprintf("%s %v", strings.TrimSuffix(c.column, "_id"), row[at])
		} else if err != nil {
			return "", words.Errorf("naming a row of %s: %w", t.Name, err)
		}
		parts = append(parts, name)
	}
	for i, c := range t.Columns {
		if at, ok := row[i].(int64); ok && strings.HasSuffix(c.Name, "_at") {
			parts = append(parts, time.UnixMilli(at).In(zone).Format(moment))
			break
		}
	}
	return strings.Join(parts, ", "), nil
}

// WrittenBy says by which action a row was last written.
func WrittenBy(ctx context.Context, db ledgerfile.Querier, table string, number int64) (string, error) {
	var at int64
	var doing string
	err := db.QueryRowContext(ctx, `SELECT a.done_at, a.doing FROM versions v JOIN actions a ON a.id = v.action_id
		WHERE v.entity = ? AND v.first <= ? AND v.last >= ? ORDER BY v.action_id DESC LIMIT 1`, table, number, number).Scan(&at, &doing)
	if errors.Is(err, sql.ErrNoRows) {
		return "", nil
	}
	return time.UnixMilli(at).UTC().Format(moment) + ": " + words.Kept(doing).String(), err
}
