package storage

import (
	"context"
	"database/sql"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/storage/ledgerfile"
	"weirkeeper/tanks"
)

// recompute sets the newest live reading of each touched pair anew: never by
// comparing with the old one, which would fail for withdrawn and back-dated
// readings.
func recompute(tx *act, touched map[tanks.Cell]bool) error {
	for c := range touched {
		newest, err := tx.exec(
			"INSERT INTO latest (system_id, analyte_id, reading_id) SELECT system_id, analyte_id, id FROM readings WHERE system_id = ? "+
				"AND analyte_id = ? AND status = 0 ORDER BY taken_at DESC, id DESC LIMIT 1 ON CONFLICT DO UPDATE SET reading_id = "+
				"excluded.reading_id",
			c.System,
			c.Analyte,
		)
		if err != nil {
			return err
		}
		n, err := newest.RowsAffected()
		if err == nil && n == 0 {
			_, err = tx.exec("DELETE FROM latest WHERE system_id = ? AND analyte_id = ?", c.System, c.Analyte)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// Latest returns the newest live reading of every analyte of every system.
func (s *Store) Latest(ctx context.Context) ([]tanks.Reading, error) {
	return s.readings(
		ctx,
		"reading the newest values",
		"latest l JOIN readings r ON r.id = l.reading_id ORDER BY l.system_id, l.analyte_id",
	)
}

// LatestOf returns the newest live reading of every analyte of some systems.
func (s *Store) LatestOf(ctx context.Context, systems ...tanks.SystemID) ([]tanks.Reading, error) {
	return s.readings(
		ctx,
		"reading the newest values",
		"latest l JOIN readings r ON r.id = l.reading_id WHERE l.system_id IN ? ORDER BY l.system_id, l.analyte_id",
		systems,
	)
}

// Newest hands on the newest readings of every cell of some systems, at most so many
// of each and none before from, in the order of system, analyte and time: cell by
// cell, since those of a whole room fill some megabytes. What take is given is its
// own until it returns.
func (s *Store) Newest(ctx context.Context, from time.Time, most int, take func([]tanks.Reading), systems ...tanks.SystemID) error {
	low, _ := bounds(from, time.Time{})
	cell := make([]tanks.Reading, 0, most)
	err := s.eachReading(ctx, "reading the last values", `latest l CROSS JOIN readings r ON r.id IN (SELECT id FROM readings x
		WHERE x.system_id = l.system_id AND x.analyte_id = l.analyte_id AND x.status = 0 AND x.taken_at >= ? ORDER BY x.taken_at DESC, x.id DESC LIMIT ?)
		WHERE l.system_id IN ? ORDER BY l.system_id, l.analyte_id, r.taken_at, r.id`, []any{low, most, systems}, func(r tanks.Reading) {
		if len(cell) > 0 && cell[0].Cell() != r.Cell() {
			take(cell)
			cell = cell[:0]
		}
		cell = append(cell, r)
	})
	if err == nil && len(cell) > 0 {
		take(cell)
	}
	return err
}

// latestTruth finds the newest live reading of each pair in the readings
// themselves.
const latestTruth = `SELECT s.id AS system_id, a.id AS analyte_id, r.id AS reading_id FROM systems s CROSS JOIN analytes a
		JOIN readings r ON r.id = (SELECT id FROM readings x WHERE x.system_id = s.id AND x.analyte_id = a.id AND x.status = 0 ORDER BY x.taken_at DESC, x.id DESC LIMIT 1)`

// latestDiffers finds the pairs whose kept newest reading is another one.
const latestDiffers = "WITH truth AS (" + latestTruth + `),
	kept AS (SELECT system_id, analyte_id, reading_id FROM latest),
	wrong AS (SELECT system_id, analyte_id FROM (SELECT * FROM truth EXCEPT SELECT * FROM kept)
		UNION SELECT system_id, analyte_id FROM (SELECT * FROM kept EXCEPT SELECT * FROM truth))
	SELECT coalesce(s.code, w.system_id) || ', ' || coalesce(a.key, w.analyte_id) FROM wrong w
	LEFT JOIN systems s ON s.id = w.system_id LEFT JOIN analytes a ON a.id = w.analyte_id ORDER BY 1`

// CheckLatest compares the kept newest readings with the readings themselves
// and returns how many differ.
func (s *Store) CheckLatest(ctx context.Context) (wrong int, err error) {
	all, err := WrongLatest(ctx, s.file.Reader())
	if err != nil {
		return 0, words.Errorf("checking the newest values: %w", err)
	}
	return len(all), nil
}

// WrongLatest returns of which systems and analytes, by code and key, the kept
// newest reading of a database is not the newest.
func WrongLatest(ctx context.Context, db ledgerfile.Querier) ([]string, error) {
	return ledgerfile.TextColumn(ctx, db, latestDiffers)
}

// FillLatest finds the newest readings of a database that has none of them yet.
func FillLatest(ctx context.Context, tx *sql.Tx) error {
	_, err := tx.ExecContext(
		ctx,
		"INSERT INTO latest (system_id, analyte_id, reading_id) SELECT system_id, analyte_id, reading_id FROM ("+latestTruth+")",
	)
	return err
}
