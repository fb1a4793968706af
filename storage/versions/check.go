package versions

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"time"

	"weirkeeper/storage/ledgerfile"
)

// Check proves that the rows of the record are those that the actions since the
// last baseline wrote, and that the account of these actions is whole. It says what
// is not, in words. Newest actions that were cut off together with their rows leave
// no trace; in a ledger from before there were versions nothing can be proved.
func Check(ctx context.Context, db ledgerfile.Querier) ([]string, error) {
	tables, err := Tables(ctx, db)
	if err != nil || tables["versions"] == nil {
		return nil, err
	}
	var base int64
	if err := db.QueryRowContext(ctx, "SELECT coalesce(max(id), 0) FROM actions WHERE baseline = 1").Scan(&base); err != nil {
		return nil, err
	}
	parts := &partReader{}
	if tables[sumsTable] != nil {
		if parts, err = readParts(ctx, db); err != nil {
			return nil, err
		}
	}
	want, faults, err := chain(ctx, db, base, tables[sumsTable] != nil, parts)
	if err != nil {
		return nil, err
	}
	faults = append(faults, parts.end()...)
	for _, name := range slices.Sorted(maps.Keys(tables)) {
		if slices.Contains(Unsummed, name) {
			own, err := tables[name].checkOwn(ctx, db)
			if err != nil {
				return nil, err
			}
			faults = append(faults, own...)
			continue
		}
		rows, err := tables[name].check(ctx, db, base, want[name])
		if err != nil {
			return nil, err
		}
		faults = append(faults, rows...)
	}
	return faults, nil
}

// check compares the sum of a table with what it must be. Of the account only what
// lies before the baseline is compared: what came later is in the chain.
func (t *Table) check(ctx context.Context, db ledgerfile.Querier, base, want int64) ([]string, error) {
	where, args := "1", []any(nil)
	if slices.Contains(accounts, t.Name) {
		where, args = t.First()+" < ?", []any{base}
	}
	got, err := t.sum(ctx, db, where, args...)
	if err != nil || got == want {
		return nil, err
	}
	return differing(ctx, db, t, base, where, args)
}

// checkOwn says which rows of a table are not as their own sums say, if its rows
// have such: they stand in the column sum.
func (t *Table) checkOwn(ctx context.Context, db ledgerfile.Querier) ([]string, error) {
	at := t.At("sum")
	if at < 0 {
		return nil, nil
	}
	var faults []string
	var s Sum
	err := t.Each(ctx, db, "1", nil, func(row []any) error {
		if s.Own(t, row) != row[at] {
			faults = append(faults, fmt.Sprintf("%s row %d has changed", t.Name, t.Number(row)))
		}
		return nil
	})
	return faults[:min(len(faults), ledgerfile.MostFaults)], err
}

// chain computes the hash of every action anew from one on, and says which differ.
// Want is by table how much these actions changed the sum of its rows.
func chain(
	ctx context.Context, db ledgerfile.Querier, first int64, summed bool, parts *partReader,
) (want map[string]int64, faults []string, err error) {
	var before int64
	const newestBefore = "SELECT coalesce((SELECT hash FROM actions WHERE id < ? ORDER BY id DESC LIMIT 1), 0)"
	if err := db.QueryRowContext(ctx, newestBefore, first).Scan(&before); err != nil {
		return nil, nil, err
	}
	want = map[string]int64{}
	err = follow(ctx, db, first, func(a Action, versions []Version) {
		if a.hash(before, versions) != a.Hash && len(faults) < ledgerfile.MostFaults {
			at := time.UnixMilli(a.DoneAt).UTC().Format("2006-01-02 15:04 MST")
			faults = append(faults, fmt.Sprintf("the account of action %d (%s) has changed", a.ID, at))
		}
		before = a.Hash
		for _, v := range versions {
			if summed {
				parts.of(a.ID, &v)
			}
			want[v.Entity] += v.HashAfter - v.HashBefore
		}
	})
	if err != nil {
		return nil, nil, err
	}
	const orphans = "SELECT DISTINCT action_id || '' FROM versions WHERE action_id NOT IN (SELECT id FROM actions) LIMIT 20"
	lost, err := ledgerfile.TextColumn(ctx, db, orphans)
	for _, id := range lost {
		faults = append(faults, "the account of action "+id+" is gone, its versions are not")
	}
	return want, faults, err
}

// differing names the rows of a table that are not as the versions say.
func differing(ctx context.Context, db ledgerfile.Querier, t *Table, base int64, where string, args []any) ([]string, error) {
	e, err := expectedOf(ctx, db, t.Name, base)
	if err != nil {
		return nil, err
	}
	n := naming{ctx: ctx, db: db, t: t}
	if err := e.compare(ctx, db, t, where, args, &n); err != nil {
		return nil, err
	}
	n.nameRows()
	e.Left(func(number, _ int64) { n.gone(number) })
	for _, s := range e.spans {
		if s.sums == nil && s.got != s.want {
			n.fault("something has changed among the rows %d to %d of %s", s.first, s.last, t.Name)
		}
	}
	if len(n.faults) == 0 {
		return []string{"the account of " + t.Name + " does not agree with itself"}, n.err
	}
	slices.Sort(n.faults)
	return n.faults, n.err
}

// expectedOf reads what the actions since a baseline say that a table holds.
func expectedOf(ctx context.Context, db ledgerfile.Querier, table string, base int64) (*Expected, error) {
	parts := &partReader{}
	names, err := ledgerfile.Tables(ctx, db)
	if err != nil {
		return nil, err
	}
	if slices.Contains(names, sumsTable) {
		if parts, err = readParts(ctx, db); err != nil {
			return nil, err
		}
	}
	e := NewExpected()
	err = each(ctx, db, "action_id >= ? AND entity = ?", []any{base, table}, func(v Version) error {
		parts.of(v.Action, &v)
		e.Take(v)
		return nil
	})
	return e, err
}

// compare notes the rows of a table that are not as expected; of those that are,
// nothing is expected any more.
func (e *Expected) compare(ctx context.Context, db ledgerfile.Querier, t *Table, where string, args []any, n *naming) error {
	var s Sum
	var of []any // a row of the number at hand
	var total int64
	judge := func() {
		number := t.Number(of)
		want, sure := e.Of(number)
		switch {
		case !sure:
			e.spanOf(number).got += total
			return
		case want == 0:
			n.row("is in no account", of)
		case want != total:
			n.row("has changed", of)
		}
		e.Set(number, 0)
	}
	err := t.Each(ctx, db, where, args, func(row []any) error {
		if of != nil && t.Number(of) != t.Number(row) {
			judge()
			total = 0
		}
		of = slices.Clone(row)
		total += s.Of(t, row)
		return nil
	})
	if of != nil {
		judge()
	}
	return err
}
