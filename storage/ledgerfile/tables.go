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
	Key        bool // part of the primary key
}

// Tables lists the tables in the order in which they were made, parents before
// their children.
func Tables(ctx context.Context, db Querier) ([]string, error) {
	return TextColumn(ctx, db, "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY rowid")
}

// Columns lists the columns of a table in their order.
func Columns(ctx context.Context, db Querier, table string) ([]Column, error) {
	rows, err := db.QueryContext(ctx, "SELECT name, type, \"notnull\" = 0, pk > 0 FROM pragma_table_info(?) ORDER BY cid", table)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var all []Column
	for rows.Next() {
		var c Column
		if err := rows.Scan(&c.Name, &c.Kind, &c.Nullable, &c.Key); err != nil {
			return nil, err
		}
		all = append(all, c)
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
	rows := map[string]int{}
	for _, table := range tables {
		var n int
		if err := db.QueryRowContext(ctx, `SELECT count(*) FROM "`+table+`"`).Scan(&n); err != nil {
			return nil, words.Errorf("counting %s: %w", table, err)
		}
		rows[table] = n
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
