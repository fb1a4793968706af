package safekeeping

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/storage/durable"
	"weirkeeper/storage/ledgerfile"
	"weirkeeper/storage/versions"
)

// Salvaged is what could be read of a damaged ledger.
type Salvaged struct {
	Kept map[string]int // rows by table
	// Lost counts by table the numbers of rows that could not be read, and rows
	// that could not be kept; of numbers that were never given it counts those
	// that lie among unreadable ones, so that it is the most that may be lost.
	Lost map[string]int
	// Invented are rows that had to be made up, since others refer to them, in
	// words.
	Invented []string
}

// Salvage makes a new ledger at to of what can be read of the damaged one at
// from, which no program may have open (a *HeldError) and which is not written
// to. It never writes over a file, and leaves none when nothing can be read. The
// error is an *OpenError when not even the ledger's tables can be found.
func Salvage(ctx context.Context, from, to string, now time.Time, progress func(table string)) (Salvaged, error) {
	if progress == nil {
		progress = func(string) {}
	}
	if err := ledgerfile.Identify(from); err != nil {
		return Salvaged{}, err
	}
	lock, err := ledgerfile.Hold(ctx, from, now)
	if err != nil {
		return Salvaged{}, err
	}
	defer lock.Release()
	if err := ledgerfile.Vacant(to); err != nil {
		return Salvaged{}, err
	}
	folder, err := durable.TemporaryFolder(filepath.Dir(to))
	if err != nil {
		return Salvaged{}, words.Errorf("making room for a copy: %s; choose a folder that you may write to", ledgerfile.PlainCause(err))
	}
	defer durable.RemoveAll(folder)
	// SQLite may write to what it opens: the log is folded in, at the least.
	source := filepath.Join(folder, "damaged")
	for _, end := range []string{"", "-wal"} {
		if err := durable.Copy(ctx, source+end, from+end, durable.Private); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return Salvaged{}, words.Errorf("copying the damaged ledger: %w", err)
		}
	}
	target := filepath.Join(folder, "salvaged")
	s := salvage{progress: progress, now: now, Salvaged: Salvaged{Kept: map[string]int{}, Lost: map[string]int{}}}
	held, err := s.into(ctx, source, target)
	if err != nil {
		return Salvaged{}, words.Errorf("salvaging %s: %w", from, err)
	}
	if err := prove(ctx, target, held); err != nil {
		return Salvaged{}, words.Errorf("what was salvaged is not good: %w", err)
	}
	mode := durable.ModeOf(from, durable.Private)
	photos := newPhotos(ctx, ledgerfile.PhotoFolder(from), ledgerfile.PhotoFolder(to), mode)
	if err := ctx.Err(); err != nil && photos != nil {
		return Salvaged{}, err
	}
	if err := durable.PlaceNew(target, to, mode); err != nil {
		return Salvaged{}, words.Errorf("putting the salvaged ledger in place: %w", err)
	}
	if photos != nil {
		return s.Salvaged, &PhotosError{photos}
	}
	return s.Salvaged, nil
}

// salvage copies what it can from one database into another.
type salvage struct {
	Salvaged
	progress func(string)
	from     *sql.DB
	tx       *sql.Tx
	size     int64 // of the damaged file in bytes
	now      time.Time
}

func (s *salvage) into(ctx context.Context, source, target string) (held ledgerfile.Contents, err error) {
	if s.from, err = ledgerfile.OpenToRead(source, ledgerfile.Owned); err != nil {
		return held, err
	}
	defer s.from.Close()
	if info, err := os.Stat(source); err == nil {
		s.size = info.Size()
	}
	if held.Version, err = ledgerfile.Version(ctx, s.from); err != nil {
		return held, ledgerfile.OpenFailed(source, err)
	}
	to, err := ledgerfile.OpenToFill(target)
	if err != nil {
		return held, err
	}
	defer to.Close()
	if s.tx, err = to.BeginTx(ctx, nil); err != nil {
		return held, err
	}
	defer s.tx.Rollback()
	if err := ledgerfile.MakeTables(ctx, s.tx, held.Version); err != nil {
		return held, err
	}
	tables, err := tablesOf(ctx, s.tx)
	if err != nil {
		return held, err
	}
	for _, table := range tables {
		s.progress(table)
		if err := s.table(ctx, table); err != nil {
			return held, words.Errorf("%s: %w", table, err)
		}
	}
	if err := s.mend(ctx); err != nil {
		return held, err
	}
	if err := seal(ctx, s.tx, held.Version); err != nil {
		return held, err
	}
	if s.Kept, err = ledgerfile.RowsOf(ctx, s.tx); err != nil {
		return held, err
	}
	maps.DeleteFunc(s.Kept, func(table string, _ int) bool { return slices.Contains(derived, table) })
	if slices.Contains(tables, "versions") {
		if err := versions.Baseline(ctx, s.tx, "salvaging the ledger", s.now); err != nil {
			return held, err
		}
	}
	if held, err = ledgerfile.ContentsOf(ctx, s.tx); err != nil {
		return held, err
	}
	return held, s.tx.Commit()
}

// table copies the rows of one table, by ranges of the first column of its key:
// a range that cannot be read is halved until only what is destroyed is left out.
func (s *salvage) table(ctx context.Context, table string) error {
	columns, err := ledgerfile.Columns(ctx, s.tx, table)
	if err != nil {
		return err
	}
	key := ledgerfile.KeyOf(columns)
	names := ledgerfile.Quoted(columns)
	insert, err := s.tx.PrepareContext(
		ctx,
		fmt.Sprintf(
			`INSERT OR IGNORE INTO "%s" (%s) VALUES (%s)`,
			table,
			names,
			strings.Join(slices.Repeat([]string{"?"}, len(columns)), ", "),
		),
	)
	if err != nil {
		return err
	}
	defer insert.Close()
	var same []string
	for _, c := range key {
		same = append(same, c.Name+" = ?")
	}
	find, err := s.tx.PrepareContext(ctx, fmt.Sprintf(`SELECT count(*) FROM "%s" WHERE %s`, table, strings.Join(same, " AND ")))
	if err != nil {
		return err
	}
	defer find.Close()
	c := salvageTable{
		salvage: s,
		table:   table,
		columns: len(columns),
		keys:    len(key),
		insert:  insert,
		find:    find,
		refused: map[string]bool{},
	}
	if key[0].Kind != "INTEGER" {
		c.read = fmt.Sprintf(`SELECT %s FROM "%s" NOT INDEXED`, names, table)
		return c.or(c.copy(ctx), 1)
	}
	c.read = fmt.Sprintf(`SELECT %s FROM "%s" NOT INDEXED WHERE %s BETWEEN ? AND ?`, names, table, key[0].Name)
	low, high := c.ends(ctx, key[0].Name)
	return c.between(ctx, low, high)
}

// salvageTable copies one table.
type salvageTable struct {
	*salvage
	table, read   string
	columns, keys int // keys: columns of the key, which come first
	insert, find  *sql.Stmt
	refused       map[string]bool // by key
}

// ends are the least and the greatest number of the rows, as far as they can be
// read; else what the size of the file allows, for each row takes some bytes.
func (c *salvageTable) ends(ctx context.Context, key string) (low, high int64) {
	const leastRow = 8
	low, high = 1, c.size/leastRow
	var n sql.NullInt64
	if c.from.QueryRowContext(ctx, fmt.Sprintf(`SELECT min(%s) FROM "%s" NOT INDEXED`, key, c.table)).Scan(&n) == nil {
		low = n.Int64
	}
	if c.from.QueryRowContext(ctx, fmt.Sprintf(`SELECT max(%s) FROM "%s" NOT INDEXED`, key, c.table)).Scan(&n) == nil {
		high = n.Int64
	}
	return low, high
}

func (c *salvageTable) between(ctx context.Context, low, high int64) error {
	if high < low {
		return nil
	}
	err := c.copy(ctx, low, high)
	if err == nil || !ledgerfile.Damage(err) {
		return err
	}
	if low == high {
		return c.or(err, 1)
	}
	middle := low + (high-low)/2
	if err := c.between(ctx, low, middle); err != nil {
		return err
	}
	return c.between(ctx, middle+1, high)
}

// copy copies the rows of a range; a row that was copied before stays.
func (c *salvageTable) copy(ctx context.Context, span ...any) error {
	rows, err := c.from.QueryContext(ctx, c.read, span...)
	if err != nil {
		return err
	}
	defer rows.Close()
	values, into := make([]any, c.columns), make([]any, c.columns)
	for i := range values {
		into[i] = &values[i]
	}
	for rows.Next() {
		if err := rows.Scan(into...); err != nil {
			return err
		}
		if err := c.keep(ctx, values); err != nil {
			return err
		}
	}
	return rows.Err()
}

// keep inserts a row. One that the ledger refuses has a value that the damage
// changed, or the key of another one; a row of a range that is read again is
// there already.
func (c *salvageTable) keep(ctx context.Context, values []any) error {
	done, err := c.insert.ExecContext(ctx, values...)
	if err == nil {
		var n int64
		if n, err = done.RowsAffected(); err == nil && n == 1 {
			return nil
		}
	}
	if ctx.Err() != nil {
		return ctx.Err()
	}
	var there int
	if err := c.find.QueryRowContext(ctx, values[:c.keys]...).Scan(&there); err != nil {
		return err
	}
	if key := fmt.Sprint(values[:c.keys]); there == 0 && !c.refused[key] {
		c.refused[key] = true
		c.Lost[c.table]++
	}
	return nil
}

// or counts rows that cannot be read because of damage, and passes other errors
// on.
func (c *salvageTable) or(err error, rows int) error {
	if err == nil || !ledgerfile.Damage(err) {
		return err
	}
	c.Lost[c.table] += rows
	return nil
}

// mend makes whole what refers to rows that are lost: a reference that may be
// missing is dropped, a lost system or product is invented with its number, and
// what cannot be without what is lost goes.
func (s *salvage) mend(ctx context.Context) error {
	if err := s.inventRoom(ctx); err != nil {
		return err
	}
	for _, info := range chem.Catalogue() {
		if _, err := s.tx.ExecContext(ctx, "INSERT OR IGNORE INTO analytes (id, key) VALUES (?, ?)", int(info.Analyte), info.Key); err != nil {
			return err
		}
	}
	for {
		lost, err := s.lostReferences(ctx)
		if err != nil || len(lost) == 0 {
			return err
		}
		for _, l := range lost {
			if err := s.mendOne(ctx, l); err != nil {
				return words.Errorf("%s refers to no %s: %w", l.table, l.parent, err)
			}
		}
	}
}

func (s *salvage) inventRoom(ctx context.Context) error {
	done, err := s.tx.ExecContext(ctx, "INSERT OR IGNORE INTO room (id, name, zone) VALUES (1, 'Salvaged room', 'UTC')")
	if err != nil {
		return err
	}
	if n, err := done.RowsAffected(); err != nil || n == 0 {
		return err
	}
	s.Invented = append(s.Invented, "the room's name and time zone")
	return nil
}

// lostReference is a column of a table that refers to rows that are lost.
type lostReference struct{ table, parent, column string }

func (s *salvage) lostReferences(ctx context.Context) ([]lostReference, error) {
	rows, err := s.tx.QueryContext(
		ctx,
		`SELECT DISTINCT c."table", c."parent", f."from" FROM pragma_foreign_key_check c JOIN pragma_foreign_key_list(c."table") f ON f.id = c.fkid`,
	)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var all []lostReference
	for rows.Next() {
		var l lostReference
		if err := rows.Scan(&l.table, &l.parent, &l.column); err != nil {
			return nil, err
		}
		all = append(all, l)
	}
	return all, rows.Err()
}

// stands invents the least that a lost row of a table can be. A system that has
// the code already does not take the place of the lost one.
var stands = map[string]string{
	"systems": `INSERT OR IGNORE INTO systems (id, code, name, kind)
		SELECT DISTINCT %[1]s, 'LOST' || %[1]s || CASE WHEN EXISTS (SELECT 1 FROM systems WHERE code = 'LOST' || %[1]s) THEN '?' ELSE '' END,
			'lost system ' || %[1]s, 1 FROM %[2]s WHERE %[1]s NOT IN (SELECT id FROM systems)`,
	"products": `INSERT OR IGNORE INTO products (id, name, form)
		SELECT DISTINCT %[1]s, 'lost product ' || %[1]s, 1 FROM %[2]s WHERE %[1]s NOT IN (SELECT id FROM products)`,
}

func (s *salvage) mendOne(ctx context.Context, l lostReference) error {
	columns, err := ledgerfile.Columns(ctx, s.tx, l.table)
	if err != nil {
		return err
	}
	if stand, ok := stands[l.parent]; ok {
		made := false
		err := s.count(ctx, fmt.Sprintf(stand, l.column, l.table), func(n int64) {
			made = true
			s.Invented = append(s.Invented, fmt.Sprintf("%d of the %s", n, l.parent))
		})
		if made || err != nil {
			return err
		}
	}
	at := slices.IndexFunc(columns, func(c ledgerfile.Column) bool { return c.Name == l.column })
	where := fmt.Sprintf(" WHERE %[1]s IS NOT NULL AND %[1]s NOT IN (SELECT id FROM %[2]s)", l.column, l.parent)
	if at >= 0 && columns[at].Nullable {
		// Where a row must have one of several references this fails, and the row
		// goes.
		if _, err := s.tx.ExecContext(ctx, "UPDATE "+l.table+" SET "+l.column+" = NULL"+where); err == nil {
			return nil
		}
	}
	return s.count(ctx, "DELETE FROM "+l.table+where, func(n int64) { s.Lost[l.table] += int(n) })
}

func (s *salvage) count(ctx context.Context, statement string, tell func(n int64)) error {
	done, err := s.tx.ExecContext(ctx, statement)
	if err != nil {
		return err
	}
	n, err := done.RowsAffected()
	if err == nil && n > 0 {
		tell(n)
	}
	return err
}
