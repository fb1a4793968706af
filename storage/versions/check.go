package versions

import (
	"cmp"
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
	want, faults, err := chain(ctx, db, base)
	if err != nil {
		return nil, err
	}
	for _, name := range slices.Sorted(maps.Keys(tables)) {
		if slices.Contains(Unsummed, name) {
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
	got, _, err := t.sum(ctx, db, where, args...)
	if err != nil || got.HashAfter == want {
		return nil, err
	}
	return differing(ctx, db, t, base, where, args)
}

// chain computes the hash of every action anew from one on, and says which differ.
// Want is by table how much these actions changed the sum of its rows.
func chain(ctx context.Context, db ledgerfile.Querier, first int64) (want map[string]int64, faults []string, err error) {
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

// span is rows of following numbers of which only their sum is known.
type span struct {
	first, last int64
	want, got   int64
}

// expected is what the versions say that a table holds: of single rows each sum,
// of others that of their span. A row of several spans belongs to the newest.
type expected struct {
	single map[int64]int64
	spans  []*span // the newest last
}

// differing names the rows of a table that are not as the versions say.
func differing(ctx context.Context, db ledgerfile.Querier, t *Table, base int64, where string, args []any) ([]string, error) {
	e := expected{single: map[int64]int64{}}
	err := each(ctx, db, "action_id >= ? AND entity = ?", []any{base, t.Name}, func(v Version) error {
		e.take(v)
		return nil
	})
	if err != nil {
		return nil, err
	}
	got, faults, err := e.compare(ctx, db, t, where, args)
	if err != nil {
		return nil, err
	}
	for id, want := range e.single {
		switch now, there := got[id]; {
		case !there:
			faults = append(faults, fmt.Sprintf("%s row %d is gone", t.Name, id))
		case now != want:
			faults = append(faults, fmt.Sprintf("%s row %d has changed", t.Name, id))
		}
	}
	for _, s := range e.spans {
		if s.got != s.want {
			faults = append(faults, fmt.Sprintf("something has changed among the rows %d to %d of %s", s.first, s.last, t.Name))
		}
	}
	if len(faults) == 0 {
		return []string{"the account of " + t.Name + " does not agree with itself"}, nil
	}
	slices.Sort(faults)
	return faults[:min(len(faults), ledgerfile.MostFaults)], nil
}

// compare sums up what the table holds, by single rows and by spans.
func (e *expected) compare(
	ctx context.Context, db ledgerfile.Querier, t *Table, where string, args []any,
) (got map[int64]int64, faults []string, err error) {
	var s Sum
	got = map[int64]int64{}
	waiting := slices.Clone(e.spans)
	slices.SortStableFunc(waiting, func(a, b *span) int { return cmp.Compare(a.first, b.first) })
	var open []*span // that may hold the row at hand
	err = t.Each(ctx, db, where, args, func(row []any) error {
		id, sum := t.Number(row), s.Of(t, row)
		for len(waiting) > 0 && waiting[0].first <= id {
			open, waiting = append(open, waiting[0]), waiting[1:]
		}
		open = slices.DeleteFunc(open, func(s *span) bool { return s.last < id })
		if _, ok := e.single[id]; ok {
			got[id] += sum
		} else if newest := e.newest(open); newest != nil {
			newest.got += sum
		} else {
			faults = append(faults, fmt.Sprintf("%s row %d is in no account", t.Name, id))
		}
		return nil
	})
	return got, faults, err
}

func (e *expected) newest(open []*span) (newest *span) {
	for _, s := range open {
		if newest == nil || slices.Index(e.spans, s) > slices.Index(e.spans, newest) {
			newest = s
		}
	}
	return newest
}

// take follows one version.
func (e *expected) take(v Version) {
	switch v.Change {
	case Withdrawn, Restored:
		e.takeRange(v)
	case Changed, Went:
		now, single := e.single[v.First]
		if !single {
			if s := e.spanOf(v.First); s != nil {
				s.want -= v.HashBefore
			}
			now = v.HashBefore
		}
		e.single[v.First] = now - v.HashBefore + v.HashAfter
		if v.Change == Went && e.single[v.First] == 0 {
			delete(e.single, v.First)
		}
	default:
		if v.First == v.Last {
			e.single[v.First] += v.HashAfter
		} else {
			e.spans = append(e.spans, &span{first: v.First, last: v.Last, want: v.HashAfter})
		}
	}
}

// takeRange follows a withdrawal of what was imported, or its opposite.
func (e *expected) takeRange(v Version) {
	for id := range e.single {
		if id >= v.First && id <= v.Last {
			delete(e.single, id)
		}
	}
	if v.First == v.Last {
		e.single[v.First] = v.HashAfter
	} else if s := e.spanOf(v.First); s != nil {
		s.want = v.HashAfter
	}
}

// spanOf returns the newest span that holds a number, nil when there is none.
func (e *expected) spanOf(id int64) *span {
	for _, s := range slices.Backward(e.spans) {
		if id >= s.first && id <= s.last {
			return s
		}
	}
	return nil
}
