package storage_test

import (
	"database/sql"
	"fmt"
	"slices"
	"testing"
	"time"

	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// BenchmarkSaveReading compares one save, which can be taken back, with the same
// transaction in plain SQL (the action, the reading, the newest of its pair),
// equally durable, into a ledger alike; "ratio" is the median of ours over that of
// theirs, which a disk that is slow now and then does not move.
func BenchmarkSaveReading(b *testing.B) {
	s, f := storagetest.Room(b)
	s = own(s)
	fillSeries(b, s, f, 500)
	other, _ := storagetest.Room(b)
	fillSeries(b, other, f, 500)
	db := plain(b, other.Path())
	for _, pragma := range []string{"PRAGMA synchronous = FULL", "PRAGMA foreign_keys = ON"} {
		_, err := db.Exec(pragma)
		must(b, err)
	}
	r := tanks.Reading{
		System:  f.Systems[0].ID,
		Analyte: chem.Calcium,
		At:      f.Now.Add(-hour),
		Value:   420,
		Typed:   "420",
		Unit:    chem.MgL,
		Method:  f.Methods[chem.Calcium].ID,
		Person:  "AB",
	}
	var ours, theirs []time.Duration
	for b.Loop() {
		r.At = r.At.Add(time.Millisecond)
		start := time.Now()
		if _, err := s.SaveReadings(b.Context(), []tanks.Reading{r}); err != nil {
			b.Fatal(err)
		}
		between := time.Now()
		plainSave(b, db, r, f.Now)
		ours, theirs = append(ours, between.Sub(start)), append(theirs, time.Since(between))
	}
	b.ReportMetric(median(ours).Seconds()/median(theirs).Seconds(), "ratio")
}

func median(of []time.Duration) time.Duration {
	slices.Sort(of)
	return of[len(of)/2]
}

// plainSave writes a reading and makes it the newest of its pair.
func plainSave(b *testing.B, db *sql.DB, r tanks.Reading, now time.Time) {
	b.Helper()
	tx, err := db.Begin()
	must(b, err)
	_, err = tx.Exec("INSERT INTO actions (done_at, doing) VALUES (?, ?)", now.UnixMilli(), "saving the readings")
	must(b, err)
	_, err = tx.Exec(
		"INSERT INTO readings (system_id, analyte_id, taken_at, value, bound, status, typed, unit, method_id, sample_id, person, note, "+
			"entered_at) VALUES (?, ?, ?, ?, 0, 0, ?, ?, ?, NULL, ?, '', ?)",
		int64(r.System),
		int(r.Analyte),
		r.At.UnixMilli(),
		r.Value,
		r.Typed,
		string(r.Unit),
		int64(r.Method),
		r.Person,
		now.UnixMilli(),
	)
	must(b, err)
	_, err = tx.Exec(
		"INSERT INTO latest (system_id, analyte_id, reading_id) SELECT system_id, analyte_id, id FROM readings WHERE system_id = ? AND "+
			"analyte_id = ? AND status = 0 ORDER BY taken_at DESC, id DESC LIMIT 1 ON CONFLICT DO UPDATE SET reading_id = "+
			"excluded.reading_id",
		int64(r.System),
		int(r.Analyte),
	)
	must(b, err)
	must(b, tx.Commit())
}

// BenchmarkLatest compares the newest readings of a room of 3,000 pairs with a
// plain scan of the same columns; "ratio" is ours over theirs.
func BenchmarkLatest(b *testing.B) {
	s, _ := storagetest.Room(b)
	const systems = 75
	fillRoom(b, s, systems)
	db := plain(b, s.Path())
	var ours, theirs time.Duration
	for b.Loop() {
		start := time.Now()
		all, err := s.Latest(b.Context())
		if err != nil || len(all) != systems*len(chem.Catalogue()) {
			b.Fatalf("%d newest readings, %v", len(all), err)
		}
		between := time.Now()
		if n := plainLatest(b, db); n != len(all) {
			b.Fatalf("plain SQL finds %d, we %d", n, len(all))
		}
		ours, theirs = ours+between.Sub(start), theirs+time.Since(between)
	}
	b.ReportMetric(ours.Seconds()/theirs.Seconds(), "ratio")
}

// fillRoom adds systems and gives each two readings of every analyte.
func fillRoom(b *testing.B, s *storage.Store, systems int) {
	b.Helper()
	var all []tanks.Reading
	for n := range systems {
		system := tanks.System{Code: fmt.Sprintf("B%d", n), Name: "Bench", Kind: tanks.Marine}
		must(b, s.SaveSystem(b.Context(), &system))
		for _, info := range chem.Catalogue() {
			for days := range 2 {
				all = append(
					all,
					tanks.Reading{
						System:  system.ID,
						Analyte: info.Analyte,
						At:      storagetest.Now.Add(-time.Duration(days) * day),
						Value:   info.High,
						Person:  "AB",
						Unit:    info.Unit,
						Typed:   "1",
					},
				)
			}
		}
	}
	value[[]tanks.ReadingID](b)(s.SaveReadings(b.Context(), all))
}

// plainLatest reads the same rows and columns into a plain struct.
func plainLatest(b *testing.B, db *sql.DB) int {
	b.Helper()
	rows, err := db.Query(
		`SELECT r.id, r.system_id, r.analyte_id, r.taken_at, r.value, r.bound, r.status, r.typed, r.unit, r.method_id, r.sample_id,
		r.person, r.note, r.entered_at FROM latest l JOIN readings r ON r.id = l.reading_id ORDER BY l.system_id, l.analyte_id`,
	)
	must(b, err)
	defer rows.Close()
	type record struct {
		id, system, analyte, takenAt, bound, status, enteredAt int64
		value                                                  float64
		typed, unit, person, note                              string
		method, sample                                         *int64
	}
	var all []record
	for rows.Next() {
		var r record
		must(
			b,
			rows.Scan(
				&r.id,
				&r.system,
				&r.analyte,
				&r.takenAt,
				&r.value,
				&r.bound,
				&r.status,
				&r.typed,
				&r.unit,
				&r.method,
				&r.sample,
				&r.person,
				&r.note,
				&r.enteredAt,
			),
		)
		all = append(all, r)
	}
	must(b, rows.Err())
	return len(all)
}
