package storage_test

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/safekeeping"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// benchRoom names the ledger that `make benchroom` made.
const benchRoom = "WEIRKEEPER_BENCHROOM"

// openBenchRoom opens the bench room: 200 systems, ten years, two million
// readings.
func openBenchRoom(b *testing.B) *storage.Store {
	b.Helper()
	path := os.Getenv(benchRoom)
	if path == "" {
		b.Skip("make bench makes the bench room and names it in " + benchRoom)
	}
	s, err := storage.Open(b.Context(), path, time.Now)
	must(b, err)
	b.Cleanup(func() { s.Close() })
	return s
}

// The board of the bench room beside the same rows read by plain SQL.
func BenchmarkBenchRoomBoard(b *testing.B) {
	s := openBenchRoom(b)
	db := plain(b, s.Path())
	var ours, theirs time.Duration
	for b.Loop() {
		start := time.Now()
		all, err := s.Latest(b.Context())
		must(b, err)
		between := time.Now()
		if n := plainLatest(b, db); n != len(all) {
			b.Fatalf("plain SQL finds %d, we %d", n, len(all))
		}
		ours, theirs = ours+between.Sub(start), theirs+time.Since(between)
	}
	b.ReportMetric(ours.Seconds()/theirs.Seconds(), "ratio")
}

// Ten years of one analyte of one system beside the same rows by plain SQL.
func BenchmarkBenchRoomSeries(b *testing.B) {
	s := openBenchRoom(b)
	db := plain(b, s.Path())
	const system, analyte = 3, chem.Alkalinity
	var ours, theirs time.Duration
	points := 0
	for b.Loop() {
		start := time.Now()
		all, err := s.Series(b.Context(), system, analyte, time.Time{}, time.Now())
		must(b, err)
		between := time.Now()
		rows, err := db.Query(
			`SELECT id, system_id, analyte_id, taken_at, value, bound, status, typed, unit, method_id, sample_id, person, note, entered_at
			FROM readings WHERE system_id = ? AND analyte_id = ? AND status = 0 ORDER BY taken_at, id`,
			system,
			int(analyte),
		)
		must(b, err)
		n := 0
		var kept []tanks.Reading
		for rows.Next() {
			var r tanks.Reading
			var at, entered int64
			var bound, status int
			var method, sample *int64
			var unit string
			must(
				b,
				rows.Scan(
					&r.ID,
					&r.System,
					&r.Analyte,
					&at,
					&r.Value,
					&bound,
					&status,
					&r.Typed,
					&unit,
					&method,
					&sample,
					&r.Person,
					&r.Note,
					&entered,
				),
			)
			r.At, r.Entered, r.Unit, r.Limit = time.UnixMilli(at).UTC(), time.UnixMilli(entered).UTC(), chem.Unit(unit), tanks.Limit(bound)
			kept = append(kept, r)
			n++
		}
		must(b, rows.Close())
		if n != len(all) || len(kept) != n || n < 500 {
			b.Fatalf("plain SQL finds %d, we %d", n, len(all))
		}
		points = n
		ours, theirs = ours+between.Sub(start), theirs+time.Since(between)
	}
	b.ReportMetric(ours.Seconds()/theirs.Seconds(), "ratio")
	b.ReportMetric(float64(points), "points")
}

// Opening the bench room beside opening an empty ledger; the goal is 50 ms more.
func BenchmarkBenchRoomOpen(b *testing.B) {
	bench := openBenchRoom(b)
	path := bench.Path()
	must(b, bench.Close())
	small, err := storage.Create(
		b.Context(),
		filepath.Join(b.TempDir(), "empty.ledger"),
		tanks.Room{Name: "Empty", Zone: "UTC"},
		storagetest.Clock,
	)
	must(b, err)
	must(b, small.Close())
	open := func(path string) time.Duration {
		start := time.Now()
		s, err := storage.Open(b.Context(), path, time.Now)
		must(b, err)
		took := time.Since(start)
		must(b, s.Close())
		return took
	}
	var full, empty time.Duration
	n := 0
	for b.Loop() {
		full += open(path)
		empty += open(small.Path())
		n++
	}
	b.ReportMetric(float64((full-empty).Microseconds())/1000/float64(n), "ms-over-empty")
}

// A verified backup of the bench room.
func BenchmarkBenchRoomBackup(b *testing.B) {
	s := openBenchRoom(b)
	for b.Loop() {
		backup, err := safekeeping.TakeBackup(b.Context(), s, filepath.Join(b.TempDir(), time.Now().Format("150405.000")), time.Now(), nil)
		must(b, err)
		b.ReportMetric(float64(backup.Size)/1e6, "MB")
	}
}

// The due list of the bench room: its newest work beside the best plain SQL, one
// look into the index for each chore of each system.
func BenchmarkBenchRoomDue(b *testing.B) {
	s := openBenchRoom(b)
	db := plain(b, s.Path())
	type work struct {
		id, task, done  int64
		system, analyte *int64
		outcome         int
		movedTo         int64
		reason, person  string
	}
	var ours, theirs time.Duration
	for b.Loop() {
		start := time.Now()
		all, err := s.LatestCompletions(b.Context())
		must(b, err)
		between := time.Now()
		rows, err := db.Query(
			`SELECT c.id, c.task_id, c.system_id, c.analyte_id, c.done_at, c.outcome, c.moved_to, c.reason, c.person FROM tasks t CROSS JOIN systems s
			JOIN completions c ON c.id = (SELECT id FROM completions x WHERE x.task_id = t.id AND x.system_id = s.id ORDER BY x.analyte_id DESC, x.done_at DESC, x.id DESC LIMIT 1)`,
		)
		must(b, err)
		var found []work
		for rows.Next() {
			var w work
			must(b, rows.Scan(&w.id, &w.task, &w.system, &w.analyte, &w.done, &w.outcome, &w.movedTo, &w.reason, &w.person))
			found = append(found, w)
		}
		must(b, rows.Close())
		if len(found) != len(all) || len(all) < 400 {
			b.Fatalf("plain SQL finds %d, we %d", len(found), len(all))
		}
		ours, theirs = ours+between.Sub(start), theirs+time.Since(between)
	}
	b.ReportMetric(ours.Seconds()/theirs.Seconds(), "ratio")
}
