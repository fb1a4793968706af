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
var Unsummed = []string{"latest", "analytes", "drafts", sumsTable}

// accounts are the tables of the account itself, which is proved by its chain.
var accounts = []string{"actions", "versions"}

// mostGap is how many numbers without a row a baseline passes over in one version.
const mostGap = 8

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
		found, err := tables[name].found(ctx, db)
		if err != nil {
			return words.Errorf("summing up %s: %w", name, err)
		}
		for _, v := range found {
			if tables[sumsTable] == nil {
				v.Sums = nil // an older ledger, whose schema has no place for them
			}
			all.Add(v)
		}
	}
	if tables[sumsTable] != nil {
		if err := forget(ctx, db); err != nil {
			return err
		}
	}
	for _, t := range tables {
		if err := t.sumOwn(ctx, db); err != nil {
			return words.Errorf("summing up %s: %w", t.Name, err)
		}
	}
	a := Action{DoneAt: now.UnixMilli(), Doing: doing.Keep(), Baseline: 1}
	return a.Write(ctx, db, all.All)
}

// forget takes away the sums of single rows that are of no use behind a baseline.
func forget(ctx context.Context, db Preparer) error {
	remove, err := db.PrepareContext(ctx, "DELETE FROM "+sumsTable)
	if err != nil {
		return err
	}
	defer remove.Close()
	_, err = remove.ExecContext(ctx)
	return err
}

// sumOwn gives the rows of a table their own sums, if they keep such.
func (t *Table) sumOwn(ctx context.Context, db Preparer) error {
	if t.At("sum") < 0 {
		return nil
	}
	rows, err := t.Rows(ctx, db, "1")
	if err != nil || len(rows) == 0 {
		return err
	}
	update, err := db.PrepareContext(ctx, "UPDATE "+t.Name+" SET sum = ? WHERE "+t.First()+" = ?")
	if err != nil {
		return err
	}
	defer update.Close()
	var s Sum
	for _, row := range rows {
		if _, err := update.ExecContext(ctx, s.Own(t, row), t.Number(row)); err != nil {
			return err
		}
	}
	return nil
}

// found states every row of a table, rows of following numbers as one version.
func (t *Table) found(ctx context.Context, db ledgerfile.Querier) ([]Version, error) {
	var all []Version
	var s Sum
	err := t.Each(ctx, db, "1", nil, func(row []any) error {
		n := t.Number(row)
		if len(all) == 0 || n-all[len(all)-1].Last > mostGap {
			all = append(all, Ranged(t.Name, n, Found))
		}
		all[len(all)-1].append(n, s.Of(t, row))
		return nil
	})
	return all, err
}

// sum sums the rows up that a condition finds.
func (t *Table) sum(ctx context.Context, db ledgerfile.Querier, where string, args ...any) (sum int64, err error) {
	var s Sum
	err = t.Each(ctx, db, where, args, func(row []any) error {
		sum += s.Of(t, row)
		return nil
	})
	return sum, err
}
