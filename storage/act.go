package storage

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strings"

	"gorm.io/gorm"
	"gorm.io/gorm/schema"

	"weirkeeper/assets/words"
	"weirkeeper/storage/ledgerfile"
	"weirkeeper/storage/versions"
)

// act is the transaction of one action. Rows are read through it as through any
// *gorm.DB, and are written by its own methods alone, which keep a version of
// each row that comes, changes or goes; GORM's would keep none and are refused.
type act struct {
	*gorm.DB
	ctx      context.Context
	pool     *keptPool
	tables   map[string]*versions.Table
	prepared map[string]*sql.Stmt
	versions versions.List
	sum      versions.Sum
}

func newAct(ctx context.Context, tx *gorm.DB, tables map[string]*versions.Table, kept *kept) *act {
	pool := &keptPool{ConnPool: tx.Statement.ConnPool, kept: kept}
	a := &act{ctx: ctx, pool: pool, tables: tables, prepared: map[string]*sql.Stmt{}}
	a.DB = tx.Session(&gorm.Session{NewDB: true, Context: ctx})
	a.DB.Statement.ConnPool = reader{a.pool}
	return a
}

func (a *act) close() {
	for _, s := range a.prepared {
		s.Close()
	}
}

// exec runs a statement that writes, prepared once.
func (a *act) exec(statement string, args ...any) (sql.Result, error) {
	s, ok := a.prepared[statement]
	if !ok {
		var err error
		if s, err = a.pool.PrepareContext(a.ctx, statement); err != nil {
			return nil, err
		}
		a.prepared[statement] = s
	}
	return s.ExecContext(a.ctx, args...)
}

// one runs a statement that must write one row.
func (a *act) one(statement string, args ...any) error {
	done, err := a.exec(statement, args...)
	if err != nil {
		return err
	}
	if n, err := done.RowsAffected(); err != nil || n != 1 {
		return errors.Join(err, ErrNotFound)
	}
	return nil
}

// rowOf is a row of a mapped struct as its table has it.
type rowOf struct {
	table  *versions.Table
	fields []*schema.Field // by column
	of     reflect.Value
	values []any
}

func (a *act) mapped(row any) (rowOf, error) {
	statement := gorm.Statement{DB: a.DB}
	if err := statement.Parse(row); err != nil {
		return rowOf{}, err
	}
	t, ok := a.tables[statement.Schema.Table]
	if !ok {
		return rowOf{}, words.Errorf("the ledger has no table %s", statement.Schema.Table)
	}
	n := len(t.Columns)
	m := rowOf{table: t, fields: make([]*schema.Field, n), of: reflect.ValueOf(row).Elem(), values: make([]any, n)}
	for i, c := range t.Columns {
		f := statement.Schema.LookUpField(c.Name)
		if f == nil {
			return rowOf{}, words.Errorf("nothing is mapped to the column %s of %s", c.Name, t.Name)
		}
		v, _ := f.ValueOf(a.ctx, m.of)
		m.fields[i], m.values[i] = f, plain(v)
	}
	return m, nil
}

// plain turns a value of a mapped struct into what the column of a strict table
// holds.
func plain(v any) any {
	switch v := v.(type) {
	case *int64:
		if v == nil {
			return nil
		}
		return *v
	case *float64:
		if v == nil {
			return nil
		}
		return plain(*v)
	case bool:
		if v {
			return int64(1)
		}
		return int64(0)
	case int:
		return int64(v)
	case float64:
		if v == 0 {
			return 0.0 // SQLite keeps no sign of zero
		}
	}
	return v
}

// insert writes a new row; a number of zero is given by the ledger and put into
// the struct. The first column of every table is its number, or that of the row
// that it belongs to.
func (a *act) insert(row any) error {
	m, err := a.mapped(row)
	if err != nil {
		return err
	}
	if err := checkTexts(m.table, nil, m.values); err != nil {
		return err
	}
	if m.values[0] != int64(0) {
		return a.insertRow(m.table, m.values)
	}
	m.values[0] = nil
	done, err := a.exec(insertion(m.table), m.values...)
	if err != nil {
		return err
	}
	id, err := done.LastInsertId()
	if err != nil {
		return err
	}
	m.values[0] = id
	a.versions.Came(m.table, id, a.sum.Of(m.table, m.values))
	return m.fields[0].Set(a.ctx, m.of, id)
}

// insertRow writes a row whose key is known.
func (a *act) insertRow(t *versions.Table, row []any) error {
	if _, err := a.exec(insertion(t), row...); err != nil {
		return err
	}
	a.versions.Came(t, t.Number(row), a.sum.Of(t, row))
	return nil
}

func insertion(t *versions.Table) string {
	values := strings.Join(slices.Repeat([]string{"?"}, len(t.Columns)), ", ")
	return fmt.Sprintf("INSERT INTO %s (%s) VALUES (%s)", t.Name, ledgerfile.Quoted(t.Columns), values)
}

// put inserts the row when id is zero, and the row then has its ID, or replaces
// the one of that id; ErrNotFound when there is none.
func (a *act) put(row any, id int64) error {
	if id == 0 {
		return a.insert(row)
	}
	m, err := a.mapped(row)
	if err != nil {
		return err
	}
	before, err := a.row(m.table, id)
	if err != nil {
		return err
	}
	if err := checkTexts(m.table, before, m.values); err != nil {
		return err
	}
	return a.replaceRow(m.table, before, m.values)
}

// row returns the row of a number.
func (a *act) row(t *versions.Table, id int64) ([]any, error) {
	all, err := t.Rows(a.ctx, a.pool, t.First()+" = ?", id)
	if err != nil {
		return nil, err
	}
	if len(all) != 1 {
		return nil, ErrNotFound
	}
	return all[0], nil
}

// set changes columns of the row of a number, given as names and values.
func (a *act) set(name string, id int64, changes ...any) error {
	t := a.tables[name]
	before, err := a.row(t, id)
	if err != nil {
		return err
	}
	after := slices.Clone(before)
	for i := 0; i < len(changes); i += 2 {
		at := t.At(changes[i].(string))
		after[at] = plain(changes[i+1])
	}
	if err := checkTexts(t, before, after); err != nil {
		return err
	}
	return a.replaceRow(t, before, after)
}

// replaceRow changes a row; what differs is written.
func (a *act) replaceRow(t *versions.Table, before, after []any) error {
	var set []string
	var args []any
	for i, c := range t.Columns {
		if !reflect.DeepEqual(before[i], after[i]) {
			set = append(set, c.Name+" = ?")
			args = append(args, after[i])
		}
	}
	if len(set) == 0 {
		return nil
	}
	where, key := t.SameRow(before)
	if err := a.one(fmt.Sprintf("UPDATE %s SET %s WHERE %s", t.Name, strings.Join(set, ", "), where), append(args, key...)...); err != nil {
		return err
	}
	a.versions.Add(versions.ChangedRow(t, before, after))
	return nil
}

// remove takes away the rows that a condition finds, and tells how many.
func (a *act) remove(name, where string, args ...any) (int, error) {
	t := a.tables[name]
	all, err := t.Rows(a.ctx, a.pool, where, args...)
	if err != nil {
		return 0, err
	}
	for _, row := range all {
		if err := a.removeRow(t, row); err != nil {
			return 0, err
		}
	}
	return len(all), nil
}

// removeRow takes a row away. What would go with it without a version must have
// gone before.
func (a *act) removeRow(t *versions.Table, row []any) error {
	for _, d := range t.Children {
		var left bool
		query := fmt.Sprintf("SELECT EXISTS (SELECT 1 FROM %s WHERE %s = ?)", d.Table, d.Column)
		if err := a.pool.QueryRowContext(a.ctx, query, t.Number(row)).Scan(&left); err != nil {
			return err
		}
		if left {
			return errBelongs
		}
	}
	where, key := t.SameRow(row)
	if err := a.one(fmt.Sprintf("DELETE FROM %s WHERE %s", t.Name, where), key...); err != nil {
		return err
	}
	a.versions.Add(versions.WentRow(t, row))
	return nil
}

// replaceAll makes the rows that a condition finds be the given ones, which have
// no numbers yet; equal ones stay as they are.
func (a *act) replaceAll(name, where string, arg any, rows []any) error {
	t := a.tables[name]
	there, err := t.Rows(a.ctx, a.pool, where, arg)
	if err != nil {
		return err
	}
	same := len(there) == len(rows)
	for i := 0; same && i < len(rows); i++ {
		m, err := a.mapped(rows[i])
		if err != nil {
			return err
		}
		m.values[0] = there[i][0] // the number
		same = reflect.DeepEqual(m.values, there[i])
	}
	if same {
		return nil
	}
	for _, row := range there {
		if err := a.removeRow(t, row); err != nil {
			return err
		}
	}
	for _, row := range rows {
		if err := a.insert(row); err != nil {
			return err
		}
	}
	return nil
}

// errUnversioned tells a write that no version would be kept of.
var errUnversioned = words.New("a row is written without its version")

// reader is a transaction through which an action only reads.
type reader struct{ gorm.ConnPool }

func reads(query string) bool {
	query = strings.TrimSpace(query)
	return strings.HasPrefix(query, "SELECT") || strings.HasPrefix(query, "WITH")
}

// PrepareContext implements gorm.ConnPool.
func (r reader) PrepareContext(ctx context.Context, query string) (*sql.Stmt, error) {
	if !reads(query) {
		return nil, errUnversioned
	}
	return r.ConnPool.PrepareContext(ctx, query)
}

// ExecContext implements gorm.ConnPool.
func (r reader) ExecContext(context.Context, string, ...any) (sql.Result, error) {
	return nil, errUnversioned
}

// QueryContext implements gorm.ConnPool.
func (r reader) QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error) {
	if !reads(query) {
		return nil, errUnversioned
	}
	return r.ConnPool.QueryContext(ctx, query, args...)
}

// QueryRowContext implements gorm.ConnPool; a write reads nothing at all.
func (r reader) QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row {
	if !reads(query) {
		query, args = "SELECT 1 WHERE 0", nil
	}
	return r.ConnPool.QueryRowContext(ctx, query, args...)
}
