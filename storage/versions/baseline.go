package versions

import (
	"context"
	"slices"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/storage/ledgerfile"
)

// Unsummed are the tables whose rows no action accounts for: what follows from
// others, what the program knows anyhow, and what is being typed.
var Unsummed = []string{"latest", "analytes", "drafts"}

// accounts are the tables of the account itself, which is proved by its chain.
var accounts = []string{"actions", "versions"}

// Baseline writes an action down that states what every table holds, as after an
// upgrade or a salvage: what is done from then on is proved against it, and what
// was done before cannot be taken back.
func Baseline(ctx context.Context, db Preparer, doing words.Text, now time.Time) error {
	tables, err := Tables(ctx, db)
	if err != nil {
		return err
	}
	names, err := ledgerfile.Tables(ctx, db)
	if err != nil {
		return err
	}
	var all List
	for _, name := range names {
		if slices.Contains(Unsummed, name) {
			continue
		}
		v, rows, err := tables[name].sum(ctx, db, "1")
		if err != nil {
			return words.Errorf("summing up %s: %w", name, err)
		}
		if rows > 0 {
			all.Add(v)
		}
	}
	a := Action{DoneAt: now.UnixMilli(), Doing: doing.Keep(), Baseline: 1}
	return a.Write(ctx, db, all.All)
}

// sum sums the rows up that a condition finds.
func (t *Table) sum(ctx context.Context, db ledgerfile.Querier, where string, args ...any) (v Version, rows int, err error) {
	v = Version{Entity: t.Name, Change: Found}
	var s Sum
	err = t.Each(ctx, db, where, args, func(row []any) error {
		if rows++; rows == 1 {
			v.First = t.Number(row)
		}
		v.Last = t.Number(row)
		v.HashAfter += s.Of(t, row)
		return nil
	})
	return v, rows, err
}
