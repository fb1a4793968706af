package safekeeping

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/storage/ledgerfile"
	"weirkeeper/storage/versions"
)

// lostRow is a row that must have been there.
type lostRow struct {
	number int64
	system string // empty: it cannot be told
	at     int64  // milliseconds since 1970; zero: it cannot be told
}

// losses counts and names the rows that must have been there and are not in the new
// ledger.
func (g *gathering) losses(ctx context.Context) error {
	lost := map[string]map[int64]bool{}
	name := func(table string, number int64) {
		if lost[table] == nil {
			lost[table] = map[int64]bool{}
		}
		lost[table][number] = true
	}
	for _, table := range g.d.order {
		if e := g.expects(table); e != nil && !slices.Contains(versions.TablesOfAccount(), table) {
			e.Left(func(number, _ int64) { name(table, number) })
		}
	}
	// The account knows nothing of a newest transaction that is lost with its log.
	g.Unread = g.d.pages.Behind()
	if !g.account.whole {
		g.Unread += g.unread
		if err := g.named(ctx, name); err != nil {
			return err
		}
	}
	g.Unnamed = g.Unread * mostRows(g.d.pages.PageSize())
	for _, table := range slices.Sorted(maps.Keys(lost)) {
		g.Lost[table] += len(lost[table])
		if err := g.say(ctx, table, slices.Sorted(maps.Keys(lost[table]))); err != nil {
			return err
		}
	}
	return nil
}

// mostRows is how many rows a page can hold at the most: each takes two bytes for its
// pointer and four for itself (sections 1.6 and 2.1 of the format of the file).
func mostRows(page int) int { return (page - 8) / 6 }

// named names the rows that the kept newest readings, the covering index or the newest
// backup have and that are not there. What the account says is gone is not missed.
func (g *gathering) named(ctx context.Context, name func(table string, number int64)) error {
	there := func(s *shape, number int64) (n int, err error) {
		err = g.tx.QueryRowContext(ctx, fmt.Sprintf(`SELECT count(*) FROM "%s" WHERE %s = ?`, s.Name, s.First()), number).Scan(&n)
		return n, err
	}
	miss := func(s *shape, number int64) error {
		n, err := there(s, number)
		if err == nil && n == 0 {
			name(s.Name, number)
		}
		return err
	}
	readings := g.d.shapes["readings"]
	for number := range g.index {
		if err := miss(readings, number); err != nil {
			return err
		}
	}
	if rows, err := g.d.db.QueryContext(ctx, "SELECT reading_id FROM latest"); err == nil {
		var all []int64
		for rows.Next() {
			var number int64
			if rows.Scan(&number) == nil {
				all = append(all, number)
			}
		}
		rows.Close()
		for _, number := range all {
			if err := miss(readings, number); err != nil {
				return err
			}
		}
	}
	if g.backup == nil {
		return ctx.Err()
	}
	for _, table := range g.d.order {
		if s := g.d.shapes[table]; versions.Summed(table) && !slices.Contains(versions.TablesOfAccount(), table) {
			if err := g.missOfBackup(ctx, s, miss); err != nil {
				return err
			}
		}
	}
	return ctx.Err()
}

func (g *gathering) missOfBackup(ctx context.Context, s *shape, miss func(*shape, int64) error) error {
	rows, err := g.backup.QueryContext(ctx, fmt.Sprintf(`SELECT DISTINCT %s FROM "%s"`, s.First(), s.Name))
	if err != nil {
		return ctx.Err() // an older backup has no such table
	}
	defer rows.Close()
	for rows.Next() {
		var number int64
		if err := rows.Scan(&number); err != nil {
			return err
		}
		if err := miss(s, number); err != nil {
			return err
		}
	}
	return rows.Err()
}

// say says of which system and time lost rows of a table are.
func (g *gathering) say(ctx context.Context, table string, numbers []int64) error {
	type group struct {
		n           int
		first, last int64
	}
	groups := map[string]*group{}
	for _, number := range numbers {
		one, err := g.lostRow(ctx, table, number)
		if err != nil {
			return err
		}
		of := groups[one.system]
		if of == nil {
			of = &group{}
			groups[one.system] = of
		}
		of.n++
		if one.at != 0 {
			if of.first == 0 || one.at < of.first {
				of.first = one.at
			}
			of.last = max(of.last, one.at)
		}
	}
	for system, of := range groups {
		g.lose(table, of.n, saidOf(table, system, of.n, of.first, of.last, g.zone(ctx)))
	}
	return nil
}

// saidOf says how many rows of a table and system are lost, and of which days.
func saidOf(table, system string, n int, first, last int64, zone *time.Location) words.Text {
	text := words.T("%s: %d", spaced(table), n)
	if system != "" {
		text = words.T("%s of %s: %d", spaced(table), system, n)
	}
	if first == 0 {
		return text
	}
	from, to := time.UnixMilli(first).In(zone), time.UnixMilli(last).In(zone)
	if from.Format(time.DateOnly) == to.Format(time.DateOnly) {
		return words.T("%s, of %s", text, from)
	}
	return words.T("%s, of %s to %s", text, from, to)
}

// lostRow finds out what a lost row was about: from the covering index, the backup, or
// when it was written.
func (g *gathering) lostRow(ctx context.Context, table string, number int64) (lostRow, error) {
	out := lostRow{number: number}
	s := g.d.shapes[table]
	system, at := any(nil), any(nil)
	if said := g.index[number]; table == "readings" && said != nil {
		system, at = said[0], said[2]
	} else if g.backup != nil {
		if rows, err := s.Rows(ctx, g.backup, s.First()+" = ?", number); err == nil && len(rows) > 0 {
			if i := s.At("system_id"); i >= 0 {
				system = rows[0][i]
			}
			if i := slices.IndexFunc(s.Columns, func(c ledgerfile.Column) bool { return strings.HasSuffix(c.Name, "_at") }); i >= 0 {
				at = rows[0][i]
			}
		}
	}
	if id, ok := system.(int64); ok {
		if g.tx.QueryRowContext(ctx, "SELECT code FROM systems WHERE id = ?", id).Scan(&out.system) != nil {
			out.system = fmt.Sprintf("system %d", id)
		}
	}
	if t, ok := at.(int64); ok {
		out.at = t
		return out, ctx.Err()
	}
	if g.d.shapes["versions"] == nil {
		return out, nil
	}
	err := g.tx.QueryRowContext(ctx, `SELECT a.done_at FROM versions v JOIN actions a ON a.id = v.action_id
		WHERE v.entity = ? AND v.first <= ? AND v.last >= ? ORDER BY v.action_id DESC LIMIT 1`, table, number, number).Scan(&out.at)
	if errors.Is(err, sql.ErrNoRows) {
		return out, nil
	}
	return out, err
}
