package safekeeping

import (
	"context"
	"maps"
	"math/bits"
	"slices"

	"weirkeeper/assets/words"
	"weirkeeper/storage/ledgerfile"
	"weirkeeper/storage/pages"
	"weirkeeper/storage/versions"
)

// noteIndex notes what the covering index says of readings: system, analyte, time, value,
// status and number.
func (g *gathering) noteIndex(owner string, n uint32, page []byte) {
	if owner != "readings_plot" {
		return
	}
	g.d.pages.Cells(n, page, func(c pages.Cell) {
		values, err := pages.Decode(c.Payload)
		if err != nil || !c.Index || !c.Whole || len(values) != 6 {
			return
		}
		number, ok := values[5].(int64)
		if e := g.expects("readings"); ok && (e == nil || wanted(e, number)) {
			g.index[number] = values[:5]
		}
	})
}

func wanted(e *versions.Expected, number int64) bool {
	want, sure := e.Of(number)
	return !sure || want != 0
}

// settle decides on the rows that are not proved by themselves.
func (g *gathering) settle(ctx context.Context) error {
	for _, name := range g.d.order {
		s, e := g.d.shapes[name], g.expects(name)
		if e == nil {
			continue
		}
		if err := g.settleStrays(ctx, s, e); err != nil {
			return err
		}
		type need struct{ number, sum int64 }
		var left []need
		e.Left(func(number, sum int64) { left = append(left, need{number, sum}) })
		for _, one := range left {
			if slices.Contains(versions.TablesOfAccount(), name) && one.number >= g.account.base {
				continue
			}
			done, err := g.settleOne(ctx, s, one.number, one.sum)
			if err != nil {
				return err
			}
			if done {
				e.Set(one.number, 0)
			}
		}
	}
	return nil
}

// settleStrays finds rows whose number is what is damaged.
func (g *gathering) settleStrays(ctx context.Context, s *shape, e *versions.Expected) error {
	if s.alias < 0 {
		return nil
	}
	var sum versions.Sum
	for _, c := range g.strays[s.Name] {
		for bit := range bits.UintSize - 1 {
			number := s.Number(c.row) ^ 1<<bit
			want, sure := e.Of(number)
			if !sure || want == 0 {
				continue
			}
			row := slices.Clone(c.row)
			row[s.alias] = number
			if sum.Of(s.Table, row) != want {
				continue
			}
			taken, err := g.put(ctx, s, row)
			if err != nil {
				return err
			}
			if taken {
				e.Set(number, 0)
				g.Repaired++
			}
		}
	}
	return nil
}

// settleOne puts the rows of one number that are proved together, or else those that
// were read in a page in use, which are doubtful.
func (g *gathering) settleOne(ctx context.Context, s *shape, number, want int64) (done bool, err error) {
	held := g.held[s.Name][number]
	delete(g.held[s.Name], number)
	rows, how := g.together(s, held, want)
	if rows == nil {
		if rows, err = g.fromBackup(ctx, s, number, want); err != nil {
			return false, err
		}
		how = &g.FromBackup
	}
	if rows == nil {
		return g.doubtful(ctx, s, number, held)
	}
	for _, row := range rows {
		if done, err = g.put(ctx, s, row); err != nil || !done {
			return false, err
		}
	}
	if how != nil {
		*how += len(rows)
	}
	return true, nil
}

// together finds the readings of the rows of a number that add up to a sum: each the
// first of its key, or one of them another, or left out, or put right.
func (g *gathering) together(s *shape, held candidates, want int64) (rows [][]any, how *int) {
	keys := slices.Sorted(maps.Keys(held))
	var sum versions.Sum
	var total int64
	for _, key := range keys {
		total += sum.Of(s.Table, held[key][0].row)
		rows = append(rows, held[key][0].row)
	}
	if len(rows) > 0 && total == want {
		return rows, nil
	}
	for i, key := range keys {
		others := total - sum.Of(s.Table, rows[i])
		if others == want && len(rows) > 1 {
			return slices.Delete(rows, i, i+1), nil
		}
		for _, c := range held[key][1:] {
			if others+sum.Of(s.Table, c.row) == want {
				rows[i] = c.row
				return rows, nil
			}
		}
	}
	for i, key := range keys {
		others := total - sum.Of(s.Table, rows[i])
		for _, c := range held[key] {
			row := g.mended(s, c, func(row []any) bool { return others+sum.Of(s.Table, row) == want })
			if row != nil {
				rows[i] = row
				return rows, &g.Repaired
			}
		}
	}
	return nil, nil
}

// mended puts a reading right by what an index says of it, or by one bit.
func (g *gathering) mended(s *shape, c candidate, accept func(row []any) bool) []any {
	if said := g.index[s.Number(c.row)]; s.Name == "readings" && said != nil {
		row := slices.Clone(c.row)
		for i, column := range []string{"system_id", "analyte_id", "taken_at", "value", "status"} {
			row[s.At(column)] = said[i]
		}
		if row, ok := s.fits(row); ok && accept(row) {
			return row
		}
	}
	return flips(s, c, accept)
}

// fromBackup finds the rows of a number in the backup, when they are as they must be.
func (g *gathering) fromBackup(ctx context.Context, s *shape, number, want int64) ([][]any, error) {
	if g.backup == nil {
		return nil, nil
	}
	rows, err := s.Rows(ctx, g.backup, s.First()+" = ?", number)
	if err != nil {
		return nil, ctx.Err() // an older backup has no such table, or other columns
	}
	var sum versions.Sum
	for _, row := range rows {
		want -= sum.Of(s.Table, row)
	}
	if want != 0 {
		return nil, nil
	}
	return rows, nil
}

// doubtful keeps what was read in pages in use although it is not as it was written.
// What the account lost may have changed it, or the damage.
func (g *gathering) doubtful(ctx context.Context, s *shape, number int64, held candidates) (done bool, err error) {
	for _, key := range slices.Sorted(maps.Keys(held)) {
		at := slices.IndexFunc(held[key], func(c candidate) bool { return c.live })
		if at < 0 {
			continue
		}
		row := held[key][at].row
		taken, err := g.put(ctx, s, row)
		if err != nil || !taken {
			return false, err
		}
		done = true
		if err := g.doubt(ctx, s, row); err != nil {
			return false, err
		}
	}
	// Of rows that share a number one may be missing among them.
	return done && len(s.KeyOf()) == 1, nil
}

// doubt names a row that is kept although it is not as it was written.
func (g *gathering) doubt(ctx context.Context, s *shape, row []any) error {
	if len(g.Doubtful) == ledgerfile.MostFaults {
		return nil
	}
	place, err := versions.PlaceOf(ctx, g.tx, s.Table, row, g.zone(ctx))
	if err != nil {
		return err
	}
	text := words.T("%s %d", spaced(s.Name), s.Number(row))
	if place != "" {
		text = words.T("%s (%s)", text, place)
	}
	g.Doubtful = append(g.Doubtful, text)
	return nil
}
