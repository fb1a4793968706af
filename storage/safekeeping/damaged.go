package safekeeping

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"weirkeeper/storage/durable"
	"weirkeeper/storage/ledgerfile"
	"weirkeeper/storage/pages"
	"weirkeeper/storage/versions"
)

// damaged is a ledger as far as it can be read: by SQLite, and page by page.
type damaged struct {
	db      *sql.DB // of a copy: SQLite may write to what it opens
	files   []*os.File
	pages   *pages.File
	free    map[uint32]bool
	version int
	roots   map[string]uint32
	owner   map[uint32]string // the table or index whose tree reaches a page
	beyond  map[uint32]string // and those to which one leads behind the end of the file
	shapes  map[string]*shape // by table
	order   []string          // of the tables, parents before their children
}

// openDamaged opens a ledger; folder is for copies. The error is an *OpenError when
// nothing in the file tells a ledger.
func openDamaged(ctx context.Context, from, folder string) (_ *damaged, err error) {
	d := &damaged{roots: map[string]uint32{}, owner: map[uint32]string{}, beyond: map[uint32]string{}, shapes: map[string]*shape{}}
	defer func() {
		if err != nil {
			d.close()
		}
	}()
	main, size, err := d.file(from)
	if err != nil {
		return nil, err
	}
	log, logSize, err := d.file(from + "-wal")
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	d.pages = pages.Open(main, size, log, logSize)
	d.free = d.pages.Free()
	source := filepath.Join(folder, "damaged")
	for _, end := range []string{"", "-wal"} {
		if err := durable.Copy(ctx, source+end, from+end, durable.Private); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return nil, err
		}
	}
	if d.db, err = ledgerfile.OpenToRead(source, ledgerfile.Owned); err != nil {
		return nil, err
	}
	return d, d.findSchema(ctx, from)
}

// file opens a file for the reader of pages.
func (d *damaged) file(path string) (io.ReaderAt, int64, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, 0, err
	}
	d.files = append(d.files, f)
	info, err := f.Stat()
	if err != nil {
		return nil, 0, err
	}
	return f, info.Size(), nil
}

func (d *damaged) close() {
	for _, f := range d.files {
		f.Close()
	}
	if d.db != nil {
		d.db.Close()
	}
}

// findSchema finds what the ledger declares, wherever it still stands, and which
// version that is. The header says it too, and counts when declarations are lost.
func (d *damaged) findSchema(ctx context.Context, from string) error {
	declared := map[string]bool{}
	take := func(c pages.Cell) {
		row, err := pages.Decode(c.Payload)
		if err != nil || c.Index || !c.Whole || len(row) != 5 {
			return
		}
		kind, isText := row[0].(string)
		name, named := row[1].(string)
		root, rooted := row[3].(int64)
		text, _ := row[4].(string)
		if !isText || !named || !rooted || kind != "table" && kind != "index" || text == "" && !strings.HasPrefix(name, "sqlite_") {
			return
		}
		declared[text] = true
		if d.roots[name] == 0 && root > 1 && root < 1<<32 {
			d.roots[name] = uint32(root)
		}
	}
	d.pages.Walk(1, func(n uint32) { d.pages.Cells(n, d.pages.Page(n), take) })
	best, most, err := ledgerfile.VersionDeclared(declared)
	if err != nil {
		return err
	}
	if most == 0 { // the tree of the schema is broken: it is looked for everywhere
		for n := uint32(1); n <= d.pages.Pages() && ctx.Err() == nil; n++ {
			d.pages.Cells(n, d.pages.Page(n), take)
		}
		if best, most, err = ledgerfile.VersionDeclared(declared); err != nil {
			return err
		}
	}
	if most == 0 {
		if err := ledgerfile.Identify(from); err != nil {
			return err
		}
		if err := d.db.QueryRowContext(ctx, "PRAGMA user_version").Scan(&best); err != nil {
			return ledgerfile.OpenFailed(from, err)
		}
	}
	d.version = best
	for name, root := range d.roots {
		for _, n := range d.pages.Walk(root, func(n uint32) {
			if _, owned := d.owner[n]; !owned {
				d.owner[n] = name
			}
		}) {
			d.beyond[n] = name
		}
	}
	return ctx.Err()
}

// cutOff is how many pages are cut off the end of the file at the most: as many as the
// header says, when that can be, and those that the trees lead to.
func (d *damaged) cutOff() int {
	if len(d.beyond) == 0 {
		return 0 // none that was in use
	}
	said, there := d.pages.Said(), d.pages.Pages()
	if said <= there || said > 2*there {
		return len(d.beyond)
	}
	return max(len(d.beyond), int(said-there))
}

// accountCut tells that a part of the account is cut off the end of the file.
func (d *damaged) accountCut() bool {
	return slices.ContainsFunc(slices.Collect(maps.Values(d.beyond)), func(name string) bool {
		return slices.Contains(versions.TablesOfAccount(), name)
	})
}

// learn notes the shapes of the rows of each table from a new ledger of the version.
func (d *damaged) learn(ctx context.Context, tx *sql.Tx) error {
	tables, err := versions.Tables(ctx, tx)
	if err != nil {
		return err
	}
	if d.order, err = tablesOf(ctx, tx); err != nil {
		return err
	}
	for _, name := range d.order {
		if d.shapes[name], err = shapeOf(ctx, tx, tables[name]); err != nil {
			return err
		}
	}
	return nil
}

// shape is what the records of a table look like.
type shape struct {
	*versions.Table
	index    bool  // it has no row numbers and is kept as an index
	alias    int   // the column that is the row's number, -1: none
	defaults []any // by column, of records from before the column came
}

func shapeOf(ctx context.Context, tx *sql.Tx, t *versions.Table) (*shape, error) {
	s := &shape{Table: t, alias: -1}
	var declared string
	if err := tx.QueryRowContext(ctx, "SELECT sql FROM sqlite_schema WHERE name = ?", t.Name).Scan(&declared); err != nil {
		return nil, err
	}
	s.index = strings.Contains(declared, "WITHOUT ROWID")
	if key := t.KeyOf(); !s.index && len(key) == 1 && t.Columns[key[0]].Kind == "INTEGER" {
		s.alias = key[0]
	}
	s.defaults = make([]any, len(t.Columns))
	texts, into := make([]string, len(t.Columns)), make([]any, len(t.Columns))
	for i, c := range t.Columns {
		texts[i], into[i] = c.Default, &s.defaults[i]
	}
	return s, tx.QueryRowContext(ctx, "SELECT "+strings.Join(texts, ", ")).Scan(into...)
}

// fits makes a row of values, when each is one that its column can hold.
func (s *shape) fits(values []any) ([]any, bool) {
	row := make([]any, len(s.Columns))
	for i, c := range s.Columns {
		var ok bool
		if row[i], ok = versions.Fits(c, values[i]); !ok {
			return nil, false
		}
	}
	return row, true
}

// row makes a row of a cell, when it is one of this shape.
func (s *shape) row(c pages.Cell) ([]any, bool) {
	if c.Index != s.index || !c.Whole {
		return nil, false
	}
	values, err := pages.Decode(c.Payload)
	if err != nil || len(values) == 0 || len(values) > len(s.Columns) {
		return nil, false
	}
	for len(values) < len(s.Columns) {
		values = append(values, s.defaults[len(values)])
	}
	if s.alias >= 0 {
		if values[s.alias] != nil {
			return nil, false
		}
		values[s.alias] = c.Row
	}
	return s.fits(values)
}

// bySQL reads the rows of a table until SQLite can go no further, and tells whether it
// came to the end. A row is use's only while it runs. Where SQLite sees an older state
// than the log has, nothing is read.
func (d *damaged) bySQL(ctx context.Context, s *shape, use func(row []any) error) (ended bool, err error) {
	if d.pages.Torn() {
		return false, ctx.Err()
	}
	rows, err := d.db.QueryContext(ctx, fmt.Sprintf(`SELECT %s FROM "%s" NOT INDEXED`, ledgerfile.Quoted(s.Columns), s.Name))
	if err != nil {
		return false, ctx.Err()
	}
	defer rows.Close()
	values, into := make([]any, len(s.Columns)), make([]any, len(s.Columns))
	for i := range values {
		into[i] = &values[i]
	}
	for rows.Next() {
		if rows.Scan(into...) != nil {
			break
		}
		if row, ok := s.fits(values); ok {
			if err := use(row); err != nil {
				return false, err
			}
		}
	}
	return rows.Err() == nil, ctx.Err()
}
