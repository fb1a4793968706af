package storage

import (
	"context"
	"slices"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
	"weirkeeper/tanks/board"
)

// Records returns what happened between two instants in the given systems, in
// every one without any, as far as it counts: what a board is estimated from. A
// system in which nothing happened has an empty record.
func (s *Store) Records(ctx context.Context, from, to time.Time, systems ...tanks.SystemID) (map[tanks.SystemID]board.SystemRecord, error) {
	low, high := bounds(from, to)
	read := recordReader{store: s, low: low, high: high, records: map[tanks.SystemID]*board.SystemRecord{}}
	if err := read.systems(ctx, systems); err != nil {
		return nil, words.Errorf("reading the systems: %w", err)
	}
	if err := read.readings(ctx); err != nil {
		return nil, err
	}
	if err := read.additions(ctx); err != nil {
		return nil, words.Errorf("reading the additions: %w", err)
	}
	if err := read.changes(ctx); err != nil {
		return nil, words.Errorf("reading the water changes: %w", err)
	}
	out := make(map[tanks.SystemID]board.SystemRecord, len(read.records))
	for id, r := range read.records {
		out[id] = *r
	}
	return out, nil
}

// recordReader reads records table by table: each by its index, system by
// system, because a range of time over all systems would read years.
type recordReader struct {
	store     *Store
	low, high int64
	wanted    []int64
	records   map[tanks.SystemID]*board.SystemRecord
}

func (r *recordReader) systems(ctx context.Context, systems []tanks.SystemID) error {
	for _, id := range systems {
		r.wanted = append(r.wanted, int64(id))
	}
	if len(systems) == 0 {
		if err := r.store.read.WithContext(ctx).Raw("SELECT id FROM systems").Scan(&r.wanted).Error; err != nil {
			return err
		}
	}
	for _, id := range r.wanted {
		r.records[tanks.SystemID(id)] = &board.SystemRecord{}
	}
	return nil
}

func (r *recordReader) readings(ctx context.Context) error {
	var of grouped[tanks.Reading]
	err := r.store.eachReading(ctx, "reading the values", `latest l CROSS JOIN readings r
		ON r.system_id = l.system_id AND r.analyte_id = l.analyte_id AND r.taken_at BETWEEN ? AND ? AND r.status = 0
		WHERE l.system_id IN ? ORDER BY l.system_id, l.analyte_id, r.taken_at`, []any{r.low, r.high, r.wanted}, func(reading tanks.Reading) {
		of.add(reading.System, reading, r.keepReadings)
	})
	of.end(r.keepReadings)
	return err
}

func (r *recordReader) keepReadings(id tanks.SystemID, all []tanks.Reading) {
	r.records[id].Readings = all
}

// grouped gathers values that come system by system and hands on a list of each
// that is as long as it must be: one that grows would leave as much behind.
type grouped[T any] struct {
	of  tanks.SystemID
	all []T
}

// add takes the next value; with another system's, those before are handed on.
func (g *grouped[T]) add(id tanks.SystemID, value T, keep func(tanks.SystemID, []T)) {
	if id != g.of {
		g.end(keep)
		g.of = id
	}
	g.all = append(g.all, value)
}

// end hands on what was gathered last.
func (g *grouped[T]) end(keep func(tanks.SystemID, []T)) {
	if len(g.all) > 0 {
		keep(g.of, slices.Clone(g.all))
	}
	g.all = g.all[:0]
}

// additions reads the changes that additions made; what was added does not matter
// here.
func (r *recordReader) additions(ctx context.Context) error {
	rows, err := r.store.read.WithContext(ctx).Raw(`SELECT a.id, a.system_id, a.given_at, c.analyte_id, c.change FROM systems s
		CROSS JOIN additions a ON a.system_id = s.id AND a.given_at BETWEEN ? AND ? AND a.status = 0
		JOIN addition_changes c ON c.addition_id = a.id
		WHERE s.id IN ? ORDER BY s.id, a.given_at, a.id`, r.low, r.high, r.wanted).Rows()
	if err != nil {
		return err
	}
	defer rows.Close()
	var of grouped[tanks.Addition]
	keep := func(id tanks.SystemID, all []tanks.Addition) { r.records[id].Additions = all }
	for rows.Next() {
		var id, at int64
		var system tanks.SystemID
		var d tanks.Delta
		if err := rows.Scan(&id, &system, &at, &d.Analyte, &d.Change); err != nil {
			return err
		}
		if n := len(of.all); n == 0 || of.all[n-1].ID != tanks.AdditionID(id) {
			of.add(system, tanks.Addition{ID: tanks.AdditionID(id), System: system, At: instant(at)}, keep)
		}
		last := &of.all[len(of.all)-1]
		last.Changes = append(last.Changes, d)
	}
	of.end(keep)
	return rows.Err()
}

// changes reads the water changes; those too whose new water is not known.
func (r *recordReader) changes(ctx context.Context) error {
	rows, err := r.store.read.WithContext(
		ctx,
	).Raw(
		`SELECT w.id, w.system_id, w.done_at, w.share, ifnull(l.analyte_id, 0), ifnull(l.value, 0) FROM systems s
		CROSS JOIN water_changes w ON w.system_id = s.id AND w.done_at BETWEEN ? AND ? AND w.status = 0
		LEFT JOIN water_levels l ON l.change_id = w.id
		WHERE s.id IN ? ORDER BY s.id, w.done_at, w.id`,
		r.low,
		r.high,
		r.wanted,
	).Rows()
	if err != nil {
		return err
	}
	defer rows.Close()
	var of grouped[tanks.WaterChange]
	keep := func(id tanks.SystemID, all []tanks.WaterChange) { r.records[id].Changes = all }
	for rows.Next() {
		var id, at int64
		w := tanks.WaterChange{}
		var l tanks.Level
		if err := rows.Scan(&id, &w.System, &at, &w.Share, &l.Analyte, &l.Value); err != nil {
			return err
		}
		w.ID, w.At = tanks.WaterChangeID(id), instant(at)
		if n := len(of.all); n == 0 || of.all[n-1].ID != w.ID {
			of.add(w.System, w, keep)
		}
		if last := &of.all[len(of.all)-1]; l.Analyte != chem.Analyte(0) {
			last.Water = append(last.Water, l)
		}
	}
	of.end(keep)
	return rows.Err()
}
