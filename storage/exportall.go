package storage

import (
	"context"
	"database/sql"
	"encoding/csv"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"weirkeeper/assets/words"
)

// exported describes an export beside its files.
type exported struct {
	Version int            `json:"version"` // of the schema
	Taken   time.Time      `json:"taken"`
	Rows    map[string]int `json:"rows"` // by table
}

const (
	exportedFile = "ledger.json"
	exportReadMe = "README.txt"
)

// exportedPhotos is the folder of the photos in an export.
const exportedPhotos = "photos"

// derived are the tables that follow from the others and are not exported.
var derived = []string{"latest"}

// column is a column of a table as the schema declares it.
type column struct {
	name, kind string // kind: INTEGER, REAL, TEXT, BLOB
	nullable   bool
	key        bool // part of the primary key
}

// ExportAll writes the whole ledger into a new or empty folder: a CSV file for
// each table (RFC 4180, UTF-8, LF), what it holds as JSON, and a page that
// describes them. All of it is of one instant. [ImportAll] makes an equal ledger
// of it. progress, which may be nil, is told each table.
func (s *Store) ExportAll(ctx context.Context, folder string, progress func(table string)) error {
	if err := emptyFolder(folder); err != nil {
		return err
	}
	pool, err := s.read.DB()
	if err != nil {
		return err
	}
	tx, err := pool.BeginTx(ctx, &sql.TxOptions{ReadOnly: true})
	if err != nil {
		return words.Errorf("exporting: %w", err)
	}
	defer tx.Rollback()
	about := exported{Taken: s.clock().UTC().Truncate(time.Second), Rows: map[string]int{}}
	if err := tx.QueryRowContext(ctx, "PRAGMA user_version").Scan(&about.Version); err != nil {
		return words.Errorf("exporting: %w", err)
	}
	tables, err := tablesOf(ctx, tx)
	if err != nil {
		return words.Errorf("exporting: %w", err)
	}
	for _, table := range tables {
		if progress != nil {
			progress(table)
		}
		if about.Rows[table], err = exportTable(ctx, tx, table, filepath.Join(folder, table+".csv")); err != nil {
			return words.Errorf("exporting %s: %w", table, err)
		}
	}
	if err := writeSynced(filepath.Join(folder, exportReadMe), []byte(readMe(ctx, tx))); err != nil {
		return words.Errorf("exporting: %w", err)
	}
	if err := copyPhotos(photoFolder(s.path), filepath.Join(folder, exportedPhotos)); err != nil {
		return words.Errorf("exporting: %w", err)
	}
	data, err := json.MarshalIndent(about, "", "  ")
	if err != nil {
		return err
	}
	return writeSynced(filepath.Join(folder, exportedFile), append(data, '\n'))
}

func emptyFolder(folder string) error {
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return words.Errorf("making the folder: %s; choose a folder that you may write to", plainCause(err))
	}
	entries, err := os.ReadDir(folder)
	if err != nil {
		return words.Errorf("reading the folder: %w", err)
	}
	if len(entries) > 0 {
		return words.Errorf("%s is not empty: choose a new folder, so that nothing is written over", folder)
	}
	return nil
}

// tablesOf lists the exported tables, parents before their children.
func tablesOf(ctx context.Context, db querier) ([]string, error) {
	all, err := textColumn(ctx, db, "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY rowid")
	return slices.DeleteFunc(all, func(name string) bool { return slices.Contains(derived, name) }), err
}

func tableColumns(ctx context.Context, db querier, table string) ([]column, error) {
	rows, err := db.QueryContext(ctx, "SELECT name, type, \"notnull\" = 0, pk > 0 FROM pragma_table_info(?) ORDER BY cid", table)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var all []column
	for rows.Next() {
		var c column
		if err := rows.Scan(&c.name, &c.kind, &c.nullable, &c.key); err != nil {
			return nil, err
		}
		all = append(all, c)
	}
	return all, rows.Err()
}

func quoted(columns []column) string {
	names := make([]string, len(columns))
	for i, c := range columns {
		names[i] = `"` + c.name + `"`
	}
	return strings.Join(names, ", ")
}

func exportTable(ctx context.Context, db querier, table, path string) (n int, err error) {
	columns, err := tableColumns(ctx, db, table)
	if err != nil {
		return 0, err
	}
	file, err := os.Create(path)
	if err != nil {
		return 0, err
	}
	defer func() { err = errors.Join(err, file.Close()) }()
	w := csv.NewWriter(file)
	line := make([]string, len(columns))
	for i, c := range columns {
		line[i] = c.name
	}
	if err := w.Write(line); err != nil {
		return 0, err
	}
	rows, err := db.QueryContext(ctx, fmt.Sprintf(`SELECT %s FROM "%s" ORDER BY 1, 2`, quoted(columns), table))
	if err != nil {
		return 0, err
	}
	defer rows.Close()
	values, into := make([]any, len(columns)), make([]any, len(columns))
	for i := range values {
		into[i] = &values[i]
	}
	for ; rows.Next(); n++ {
		if err := rows.Scan(into...); err != nil {
			return n, err
		}
		for i, c := range columns {
			line[i] = c.write(values[i])
		}
		if err := w.Write(line); err != nil {
			return n, err
		}
	}
	w.Flush()
	return n, errors.Join(rows.Err(), w.Error(), file.Sync())
}

// asJSON marks text that CSV would not give back as it was.
const asJSON = "json:"

// write turns a value into its cell. Text that a spreadsheet would run as a
// formula gets an apostrophe in front, which read takes off again; numbers never
// do.
func (c column) write(v any) string {
	switch v := v.(type) {
	case nil:
		return ""
	case int64:
		return strconv.FormatInt(v, 10)
	case float64:
		return strconv.FormatFloat(v, 'g', -1, 64)
	case []byte:
		if c.kind == "BLOB" {
			return hex.EncodeToString(v)
		}
		return c.writeText(string(v))
	case string:
		return c.writeText(v)
	}
	return fmt.Sprint(v)
}

func (c column) writeText(text string) string {
	switch {
	case text == "" && c.nullable:
		return "'" // an empty cell is no value at all
	case text == "":
		return ""
	case strings.ContainsAny(text, "\r\x00"):
		data, err := json.Marshal(text)
		if err == nil {
			return asJSON + string(data)
		}
	case strings.ContainsAny(text[:1], "=+-@\t'") || strings.HasPrefix(text, asJSON):
		return "'" + text
	}
	return text
}

// read turns a cell back into its value.
func (c column) read(cell string) (any, error) {
	if cell == "" && c.nullable {
		return nil, nil
	}
	switch c.kind {
	case "INTEGER":
		return strconv.ParseInt(cell, 10, 64)
	case "REAL":
		return strconv.ParseFloat(cell, 64)
	case "BLOB":
		return hex.DecodeString(cell)
	}
	if text, marked := strings.CutPrefix(cell, asJSON); marked {
		var out string
		err := json.Unmarshal([]byte(text), &out)
		return out, err
	}
	return strings.TrimPrefix(cell, "'"), nil
}

// readMe describes the files of an export.
func readMe(ctx context.Context, db querier) string {
	schema, err := textColumn(ctx, db, "SELECT sql || ';' FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY rowid")
	if err != nil {
		schema = nil
	}
	return `A whole ledger as CSV: one file for each table below, in UTF-8, with a line of column names.
Times are milliseconds since 1970-01-01 00:00 UTC. Values of analytes are in their canonical units; beside
them stands what was typed, with its unit. The numbers of the analytes are explained in analytes.csv.
An empty cell in a column that may be NULL is no value. Text that begins with = + - @ a tab or ' has an
apostrophe in front, so that a spreadsheet does not run it; take it off to get the text. Text with a carriage
return or NUL is written as a JSON string after "json:". Binary data is hexadecimal. The table latest follows
from readings and is left out.

` + strings.Join(schema, "\n\n") + "\n"
}
