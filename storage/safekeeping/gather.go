package safekeeping

import (
	"context"
	"database/sql"
	"fmt"
	"maps"
	"slices"
	"strings"

	"weirkeeper/storage/ledgerfile"
	"weirkeeper/storage/pages"
	"weirkeeper/storage/versions"
)

// gathering fills the tables of a new ledger with the rows of a damaged one.
type gathering struct {
	*salvage
	d       *damaged
	account *account
	backup  *sql.DB // the newest good one; nil: none
	head    ledgerfile.Head
	insert  map[string]*sql.Stmt
	held    map[string]map[int64]candidates // rows that are not proved, by table and number
	broken  map[string]bool                 // tables that SQLite could not read to their end
	strays  map[string][]candidate          // rows whose number nothing expects
	index   map[int64][]any                 // what readings_plot says of a reading, where it is needed
	unread  int
}

// mostStrays bounds the rows of a table that nothing expects and that are looked at
// once more.
const mostStrays = 1000

func (s *salvage) gather(ctx context.Context, d *damaged, backups []Backup) error {
	g := &gathering{
		salvage: s, d: d, insert: map[string]*sql.Stmt{}, held: map[string]map[int64]candidates{}, broken: map[string]bool{},
		strays: map[string][]candidate{}, index: map[int64][]any{},
	}
	defer g.close()
	if err := g.openBackup(ctx, backups); err != nil {
		return err
	}
	var err error
	if g.account, err = d.readAccount(ctx, max(g.head.Action, d.counter(ctx))); err != nil {
		return err
	}
	s.Repaired += g.account.repaired
	for _, step := range []func(context.Context) error{g.bySQL, g.byPages, g.settle, g.losses} {
		if err := step(ctx); err != nil {
			return err
		}
	}
	return nil
}

// openBackup opens the newest backup that is good.
func (g *gathering) openBackup(ctx context.Context, backups []Backup) (err error) {
	backups = slices.SortedFunc(slices.Values(backups), func(a, b Backup) int { return b.compare(a) })
	for _, b := range backups {
		if b.Verify(ctx) == nil {
			g.head = b.Head
			g.backup, err = ledgerfile.OpenToRead(b.Path, ledgerfile.Alone)
			return err
		}
	}
	return ctx.Err()
}

// counter is the highest number of an action that was ever given, as far as it can be
// read: by SQLite, which may see an older state than the log has, and page by page.
func (d *damaged) counter(ctx context.Context) (seq int64) {
	if d.db.QueryRowContext(ctx, "SELECT seq FROM sqlite_sequence WHERE name = 'actions'").Scan(&seq) != nil {
		seq = 0
	}
	d.pages.Walk(d.roots["sqlite_sequence"], func(n uint32) {
		d.pages.Cells(n, d.pages.Page(n), func(c pages.Cell) {
			row, err := pages.Decode(c.Payload)
			if err != nil || c.Index || len(row) != 2 || row[0] != "actions" {
				return
			}
			if n, ok := row[1].(int64); ok {
				seq = max(seq, n)
			}
		})
	})
	return seq
}

func (g *gathering) close() {
	for _, s := range g.insert {
		s.Close()
	}
	if g.backup != nil {
		g.backup.Close()
	}
}

// put writes a row into the new ledger, and tells whether it was taken: not one that the
// ledger refuses, nor one whose key is there.
func (g *gathering) put(ctx context.Context, s *shape, row []any) (bool, error) {
	insert, ok := g.insert[s.Name]
	if !ok {
		var err error
		insert, err = g.tx.PrepareContext(ctx, fmt.Sprintf(`INSERT OR IGNORE INTO "%s" (%s) VALUES (%s)`,
			s.Name, ledgerfile.Quoted(s.Columns), strings.Join(slices.Repeat([]string{"?"}, len(s.Columns)), ", ")))
		if err != nil {
			return false, err
		}
		g.insert[s.Name] = insert
	}
	done, err := insert.ExecContext(ctx, row...)
	if err != nil {
		return false, ctx.Err() // a value that the ledger does not allow
	}
	n, err := done.RowsAffected()
	return n == 1, err
}

// expects is what the account says of a table; nil: nothing.
func (g *gathering) expects(table string) *versions.Expected {
	if !versions.Summed(table) {
		return nil
	}
	return g.account.expected[table]
}

// offer takes a row that was read: one that is proved is written at once, others wait
// for all that there is, and one that was taken away stays away.
func (g *gathering) offer(ctx context.Context, s *shape, c candidate) error {
	e := g.expects(s.Name)
	var sum versions.Sum
	if e == nil {
		if !c.live {
			return nil
		}
		taken, err := g.put(ctx, s, c.row)
		if at := s.At("sum"); taken && at >= 0 && sum.Own(s.Table, c.row) != c.row[at] {
			return g.doubt(ctx, s, c.row)
		}
		return err
	}
	number := s.Number(c.row)
	want, sure := e.Of(number)
	switch {
	case !sure || want == 0 && !g.account.whole:
		if !c.live || !s.refers(c.row) {
			return nil
		}
		_, err := g.put(ctx, s, c.row)
		return err
	case want == 0:
		if written, _ := g.account.written[s.Name].Of(number); written == sum.Of(s.Table, c.row) {
			return nil // it is there already
		}
		if c.live && len(g.strays[s.Name]) < mostStrays && c.cell.Payload != nil {
			c.row, c.cell.Payload = slices.Clone(c.row), slices.Clone(c.cell.Payload)
			g.strays[s.Name] = append(g.strays[s.Name], c)
		}
		return nil
	case want == sum.Of(s.Table, c.row):
		taken, err := g.put(ctx, s, c.row)
		if taken {
			e.Set(number, 0)
			delete(g.held[s.Name], number)
		}
		return err
	}
	if g.held[s.Name] == nil {
		g.held[s.Name] = map[int64]candidates{}
	}
	if g.held[s.Name][number] == nil {
		g.held[s.Name][number] = candidates{}
	}
	g.held[s.Name][number].add(keyOf(s.Table, c.row), c)
	return nil
}

// refers tells whether a row refers to rows that there can be: their numbers begin with 1,
// and zeros are what a page that is cut off gives.
func (s *shape) refers(row []any) bool {
	for i, c := range s.Columns {
		if n, ok := row[i].(int64); ok && n < 1 && strings.HasSuffix(c.Name, "_id") {
			return false
		}
	}
	return true
}

// bySQL reads what SQLite reads, and what the account is proved to be.
func (g *gathering) bySQL(ctx context.Context) error {
	for _, name := range g.d.order {
		s := g.d.shapes[name]
		g.progress(name)
		if slices.Contains(versions.TablesOfAccount(), name) {
			if err := g.takeAccount(ctx, s); err != nil {
				return err
			}
			continue
		}
		ended, err := g.d.bySQL(ctx, s, func(row []any) error { return g.offer(ctx, s, candidate{row: row, live: true}) })
		if err != nil {
			return err
		}
		g.broken[name] = !ended
	}
	return nil
}

// takeAccount writes the actions down since the baseline, and offers what was before.
func (g *gathering) takeAccount(ctx context.Context, s *shape) error {
	if s.Name == "row_sums" {
		return nil // the new ledger makes its own
	}
	for _, row := range g.account.proved[s.Name] {
		if _, err := g.put(ctx, s, row); err != nil {
			return err
		}
	}
	for _, id := range slices.Sorted(maps.Keys(g.account.rows[s.Name])) {
		if id >= g.account.base && len(g.account.proved["actions"]) > 0 {
			continue
		}
		for _, c := range g.account.of(s.Name, id) {
			if err := g.offer(ctx, s, c); err != nil {
				return err
			}
		}
	}
	return nil
}

// wanted are the tables of which rows are missing, or may be.
func (g *gathering) wanted() map[string]bool {
	all := map[string]bool{}
	for _, name := range g.d.order {
		e := g.expects(name)
		if e == nil {
			all[name] = g.broken[name] || g.account.expected == nil
			continue
		}
		all[name] = !g.account.whole
		e.Left(func(int64, int64) { all[name] = true })
	}
	for name, wanted := range all {
		if !wanted || slices.Contains(versions.TablesOfAccount(), name) && g.account.whole {
			delete(all, name)
		}
	}
	return all
}

// byPages reads every page for rows of the tables that miss some: those in use first,
// and then, for what is still missing, those that were given back or replaced.
func (g *gathering) byPages(ctx context.Context) error {
	wanted := g.wanted()
	if len(wanted) == 0 {
		return nil
	}
	p := g.d.pages
	g.unread += g.d.cutOff()
	for n := uint32(1); n <= p.Pages(); n++ {
		if err := ctx.Err(); err != nil {
			return err
		}
		if g.d.free[n] {
			continue
		}
		page := p.Page(n)
		if page == nil || p.Holds(n, page) || n > 1 && g.empty(page) {
			g.unread++
		}
		if page != nil {
			if err := g.page(ctx, n, page, wanted, true); err != nil {
				return err
			}
		}
	}
	if g.account.expected == nil {
		return nil
	}
	var err error
	past := func(n uint32, page []byte) {
		if err == nil {
			err = g.page(ctx, n, page, wanted, false)
		}
	}
	for _, n := range slices.Sorted(maps.Keys(g.d.free)) {
		past(n, p.Page(n))
	}
	p.Older(past)
	return err
}

// empty tells a page of zeros, which no page in use is.
func (g *gathering) empty(page []byte) bool {
	return !slices.ContainsFunc(page, func(b byte) bool { return b != 0 })
}

// page offers the rows of one page. Which table they are of is said by the tree that
// the page is in; of a page in none, by what fits all of its rows, or by their sums.
func (g *gathering) page(ctx context.Context, n uint32, page []byte, wanted map[string]bool, live bool) error {
	owner, owned := g.d.owner[n]
	if owned && live && g.d.shapes[owner] == nil {
		g.noteIndex(owner, n, page)
		owned = false // the tree itself may be what is damaged
	}
	var cells []pages.Cell
	g.d.pages.Cells(n, page, func(c pages.Cell) {
		c.Payload = slices.Clone(c.Payload)
		cells = append(cells, c)
	})
	if owned && g.d.shapes[owner] != nil {
		// What lies there is not what the tree says, when none of it fits.
		fits := func(c pages.Cell) bool { _, ok := g.d.shapes[owner].row(c); return ok }
		owned = len(cells) == 0 || slices.ContainsFunc(cells, fits)
	}
	for _, name := range g.d.order {
		s := g.d.shapes[name]
		if !wanted[name] {
			continue
		}
		mine := owned && owner == name
		fits := 0
		rows := make([][]any, len(cells))
		for i, c := range cells {
			if row, ok := s.row(c); ok {
				rows[i] = row
				fits++
			}
		}
		alone := mine || !owned && fits == len(cells) && g.onlyShape(name, cells)
		for i, row := range rows {
			if row == nil || !alone && !g.proves(s, row) {
				continue
			}
			if err := g.offer(ctx, s, candidate{row, cells[i], live}); err != nil {
				return err
			}
		}
	}
	return nil
}

// proves tells whether a row is one that the account expects.
func (g *gathering) proves(s *shape, row []any) bool {
	e := g.expects(s.Name)
	if e == nil {
		return false
	}
	want, sure := e.Of(s.Number(row))
	var sum versions.Sum
	return sure && want != 0 && want == sum.Of(s.Table, row)
}

// onlyShape tells whether the cells of a page can be the rows of one table alone.
func (g *gathering) onlyShape(table string, cells []pages.Cell) bool {
	for _, name := range g.d.order {
		s := g.d.shapes[name]
		if name == table || slices.ContainsFunc(cells, func(c pages.Cell) bool { _, ok := s.row(c); return !ok }) {
			continue
		}
		return false
	}
	return true
}
