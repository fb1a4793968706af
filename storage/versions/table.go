package versions

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"weirkeeper/assets/words"
	"weirkeeper/storage/ledgerfile"
)

// Table is a table of the ledger as its schema declares it.
type Table struct {
	Name     string
	Columns  []ledgerfile.Column
	Children []Dependency // Rows that would go with a row of this table
	key      []int        // which columns name a row; the first is a number
}

// Dependency is a column of another table that refers to a row and goes with it.
type Dependency struct{ Table, Column string }

// Tables returns every table by its name.
func Tables(ctx context.Context, db ledgerfile.Querier) (map[string]*Table, error) {
	columns, err := ledgerfile.AllColumns(ctx, db)
	if err != nil {
		return nil, err
	}
	all := map[string]*Table{}
	for name, of := range columns {
		t := &Table{Name: name, Columns: of}
		for i, c := range t.Columns {
			if c.Key {
				t.key = append(t.key, i)
			}
		}
		all[name] = t
	}
	rows, err := db.QueryContext(ctx, `SELECT f."table", s.name, f."from" FROM sqlite_schema s JOIN pragma_foreign_key_list(s.name) f
		WHERE s.type = 'table' AND f.on_delete = 'CASCADE'`)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var parent string
		var d Dependency
		if err := rows.Scan(&parent, &d.Table, &d.Column); err != nil {
			return nil, err
		}
		if all[parent] == nil {
			return nil, ledgerfile.Damaged(words.T("the table %s refers to %s, which is not there", d.Table, parent))
		}
		all[parent].Children = append(all[parent].Children, d)
	}
	return all, rows.Err()
}

// At returns the position of a column, -1 when there is none.
func (t *Table) At(name string) int {
	return slices.IndexFunc(t.Columns, func(c ledgerfile.Column) bool { return c.Name == name })
}

// Number is the first column of a row's key: the number of the row, or of the
// row that it belongs to.
func (t *Table) Number(row []any) int64 {
	n, _ := row[t.key[0]].(int64)
	return n
}

// First is the name of the first column of the key.
func (t *Table) First() string { return t.Columns[t.key[0]].Name }

// SameRow is the condition that finds a row by its key, with what stands in it.
func (t *Table) SameRow(row []any) (where string, args []any) {
	parts := make([]string, len(t.key))
	for i, k := range t.key {
		parts[i] = t.Columns[k].Name + " = ?"
		args = append(args, row[k])
	}
	return strings.Join(parts, " AND "), args
}

// Rows reads whole rows in the order of their key.
func (t *Table) Rows(ctx context.Context, db ledgerfile.Querier, where string, args ...any) ([][]any, error) {
	var all [][]any
	err := t.Each(ctx, db, where, args, func(row []any) error {
		all = append(all, slices.Clone(row))
		return nil
	})
	return all, err
}

// Each calls use with every row that a condition finds, in the order of the key;
// the row is the same one each time.
func (t *Table) Each(ctx context.Context, db ledgerfile.Querier, where string, args []any, use func(row []any) error) error {
	order := ledgerfile.Quoted(ledgerfile.KeyOf(t.Columns))
	query := fmt.Sprintf("SELECT %s FROM %s WHERE %s ORDER BY %s", ledgerfile.Quoted(t.Columns), t.Name, where, order)
	rows, err := db.QueryContext(ctx, query, args...)
	if err != nil {
		return err
	}
	defer rows.Close()
	row, into := make([]any, len(t.Columns)), make([]any, len(t.Columns))
	for i := range row {
		into[i] = &row[i]
	}
	for rows.Next() {
		if err := rows.Scan(into...); err != nil {
			return err
		}
		if err := use(row); err != nil {
			return err
		}
	}
	return rows.Err()
}

// Image writes a row as a JSON object: numbers as they are, NULL as null, text
// as a string, and bytes that are no text as {"bytes": base64}.
func (t *Table) Image(row []any) string {
	out := []byte{'{'}
	for i, c := range t.Columns {
		if i > 0 {
			out = append(out, ',')
		}
		out = append(strconv.AppendQuote(out, c.Name), ':')
		out = appendValue(out, row[i])
	}
	return string(append(out, '}'))
}

// inBytes is how an image holds what is no text.
type inBytes struct {
	Bytes []byte `json:"bytes"`
}

func appendValue(out []byte, v any) []byte {
	switch v := v.(type) {
	case int64:
		return strconv.AppendInt(out, v, 10)
	case float64:
		return strconv.AppendFloat(out, v, 'g', -1, 64)
	case string:
		if utf8.ValidString(v) {
			data, _ := json.Marshal(v)
			return append(out, data...)
		}
		return appendValue(out, []byte(v))
	case []byte:
		data, _ := json.Marshal(inBytes{v})
		return append(out, data...)
	}
	return append(out, "null"...)
}

// Row reads what Image wrote.
func (t *Table) Row(image string) ([]any, error) {
	var held map[string]json.RawMessage
	if err := json.Unmarshal([]byte(image), &held); err != nil {
		return nil, words.Errorf("a row of %s: %w", t.Name, err)
	}
	row := make([]any, len(t.Columns))
	for i, c := range t.Columns {
		var err error
		if row[i], err = valueOf(c, held[c.Name]); err != nil {
			return nil, words.Errorf("a row of %s, column %s: %w", t.Name, c.Name, err)
		}
	}
	return row, nil
}

func valueOf(c ledgerfile.Column, held json.RawMessage) (any, error) {
	text := string(held)
	switch {
	case text == "" || text == "null":
		return nil, nil
	case c.Kind == "INTEGER":
		return strconv.ParseInt(text, 10, 64)
	case c.Kind == "REAL":
		return strconv.ParseFloat(text, 64)
	case text[0] == '{':
		var in inBytes
		if err := json.Unmarshal(held, &in); err != nil {
			return nil, err
		}
		if c.Kind == "BLOB" {
			return in.Bytes, nil
		}
		return string(in.Bytes), nil
	}
	var out string
	err := json.Unmarshal(held, &out)
	return out, err
}
