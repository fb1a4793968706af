package ledgerfile

import (
	"context"
	"database/sql"
	"slices"
	"strings"

	"weirkeeper/assets/words"
)

// Querier is a database, one connection of it or a transaction.
type Querier interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}

// Column is a column of a table as the schema declares it.
type Column struct {
	Name, Kind string // Kind: INTEGER, REAL, TEXT, BLOB
	Nullable   bool
	Key        bool   // part of the primary key
	Default    string // what a row has there of which nothing was said, as an expression of SQL
}

// Tables lists the tables in the order in which they were made, parents before
// their children.
func Tables(ctx context.Context, db Querier) ([]string, error) {
	return TextColumn(ctx, db, "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY rowid")
}

// Columns lists the columns of a table in their order.
func Columns(ctx context.Context, db Querier, table string) ([]Column, error) {
	all, err := columnsOf(ctx, db, "m.name = ?", table)
	return all[table], err
}

// AllColumns lists the columns of every table in their order.
func AllColumns(ctx context.Context, db Querier) (map[string][]Column, error) {
	return columnsOf(ctx, db, "m.name NOT LIKE 'sqlite_%'")
}

func columnsOf(ctx context.Context, db Querier, where string, args ...any) (map[string][]Column, error) {
	rows, err := db.QueryContext(ctx, `SELECT m.name, c.name, c.type, c."notnull" = 0, c.pk > 0, coalesce(c.dflt_value, 'NULL')
		FROM sqlite_schema m JOIN pragma_table_info(m.name) c WHERE m.type = 'table' AND `+where+` ORDER BY m.rowid, c.cid`, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	all := map[string][]Column{}
	for rows.Next() {
		var table string
		var c Column
		if err := rows.Scan(&table, &c.Name, &c.Kind, &c.Nullable, &c.Key, &c.Default); err != nil {
			return nil, err
		}
		all[table] = append(all[table], c)
	}
	return all, rows.Err()
}

// KeyOf returns the columns of the primary key.
func KeyOf(columns []Column) []Column {
	return slices.DeleteFunc(slices.Clone(columns), func(c Column) bool { return !c.Key })
}

// Quoted writes columns as a list in SQL.
func Quoted(columns []Column) string {
	names := make([]string, len(columns))
	for i, c := range columns {
		names[i] = `"` + c.Name + `"`
	}
	return strings.Join(names, ", ")
}

// RowsOf counts the rows of every table.
func RowsOf(ctx context.Context, db Querier) (map[string]int, error) {
	tables, err := Tables(ctx, db)
	if err != nil {
		return nil, err
	}
	counts, into := make([]int, len(tables)), make([]any, len(tables))
	each := make([]string, len(tables))
	for i, table := range tables {
		each[i], into[i] = `(SELECT count(*) FROM "`+table+`")`, &counts[i]
	}
	rows := map[string]int{}
	if len(tables) == 0 {
		return rows, nil
	}
	if err := db.QueryRowContext(ctx, "SELECT "+strings.Join(each, ", ")).Scan(into...); err != nil {
		return nil, words.Errorf("counting the rows: %w", err)
	}
	for i, table := range tables {
		rows[table] = counts[i]
	}
	return rows, nil
}

// TextColumn returns the texts that a query finds.
func TextColumn(ctx context.Context, db Querier, query string) ([]string, error) {
	rows, err := db.QueryContext(ctx, query)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var all []string
	for rows.Next() {
		var text string
		if err := rows.Scan(&text); err != nil {
			return nil, err
		}
		all = append(all, text)
	}
	return all, rows.Err()
}
