package storage_test

import (
	"bufio"
	"context"
	"database/sql"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime/debug"
	"strconv"
	"strings"
	"testing"
	"time"

	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// record is an invented record for an import: rows in the order of time, every
// system and analyte in turn, as a room writes them down.
type record struct {
	rows    int
	systems []tanks.System
	begin   time.Time
}

var recorded = []struct {
	analyte chem.Analyte
	name    string
	unit    chem.Unit
	value   float64
}{
	{
		chem.Temperature,
		"temperature",
		chem.Celsius,
		25,
	}, {chem.Salinity, "salinity", chem.PSU, 35}, {chem.PH, "pH", chem.PHUnit, 8.1}, {chem.Calcium, "Ca", chem.MgL, 421},
	{
		chem.Magnesium,
		"Mg",
		chem.MgL,
		1312,
	}, {chem.Nitrate, "NO3", chem.MgL, 4}, {chem.Phosphate, "PO4", chem.MgL, 1}, {chem.Potassium, "K", chem.MgL, 399},
}

// row returns the n-th reading and the words for its analyte.
func (r record) row(n int) (tanks.Reading, string) {
	what := recorded[n%len(recorded)]
	system := r.systems[n/len(recorded)%len(r.systems)]
	at := r.begin.Add(time.Duration(n/(len(recorded)*len(r.systems))) * time.Hour)
	typed := strconv.FormatFloat(what.value+float64(n%7)/10, 'f', 1, 64)
	value, _ := strconv.ParseFloat(typed, 64)
	return tanks.Reading{
		System:  system.ID,
		Analyte: what.analyte,
		At:      at,
		Value:   value,
		Typed:   typed,
		Unit:    what.unit,
		Person:  "AB",
	}, what.name
}

// write makes the CSV file of the record.
func (r record) write(b testing.TB, path string) {
	b.Helper()
	file, err := os.Create(path)
	must(b, err)
	out := bufio.NewWriter(file)
	out.WriteString(head)
	codes := map[tanks.SystemID]string{}
	for _, s := range r.systems {
		codes[s.ID] = s.Code
	}
	for n := range r.rows {
		one, name := r.row(n)
		fmt.Fprintf(out, "%s,%s,%s,%s,%s,,AB,\n", one.At.Format("2006-01-02 15:04"), codes[one.System], name, one.Typed, one.Unit)
	}
	must(b, out.Flush())
	must(b, file.Close())
}

// insert writes the same rows by plain prepared INSERTs in one transaction, as
// durable.
func (r record) insert(b testing.TB, db *sql.DB) {
	b.Helper()
	tx, err := db.Begin()
	must(b, err)
	insert, err := tx.Prepare(
		"INSERT INTO readings (system_id, analyte_id, taken_at, value, bound, status, typed, unit, method_id, sample_id, person, note, " +
			"entered_at) VALUES (?, ?, ?, ?, 0, 0, ?, ?, NULL, NULL, ?, '', ?)",
	)
	must(b, err)
	entered := time.Now().UnixMilli()
	for n := range r.rows {
		one, _ := r.row(n)
		_, err := insert.Exec(
			int64(one.System),
			int(one.Analyte),
			one.At.UnixMilli(),
			one.Value,
			one.Typed,
			string(one.Unit),
			one.Person,
			entered,
		)
		must(b, err)
	}
	must(b, insert.Close())
	must(b, tx.Commit())
}

// residentMemory returns the bytes of memory that the process holds, 0 where it
// is not told.
func residentMemory() int64 {
	data, err := os.ReadFile("/proc/self/statm")
	if err != nil {
		return 0
	}
	pages, _ := strconv.ParseInt(strings.Fields(string(data))[1], 10, 64)
	return pages * int64(os.Getpagesize())
}

// peakOf returns how much the process's memory grew at the most while work ran.
func peakOf(work func()) int64 {
	debug.FreeOSMemory()
	before := residentMemory()
	peak := before
	ctx, stop := context.WithCancel(context.Background())
	watched := make(chan struct{})
	go func() {
		defer close(watched)
		for ctx.Err() == nil {
			peak = max(peak, residentMemory())
			time.Sleep(10 * time.Millisecond)
		}
	}()
	work()
	stop()
	<-watched
	return peak - before
}

// compareImport imports the record into one ledger and inserts it into its copy,
// and reports the ratio of the times and the memory.
func compareImport(b *testing.B, path string, rows int) {
	b.Helper()
	var ours, theirs, preview time.Duration
	var memory int64
	for b.Loop() {
		b.StopTimer()
		folder := b.TempDir()
		one, other := filepath.Join(folder, "one.ledger"), filepath.Join(folder, "other.ledger")
		copyOf(b, path, one)
		copyOf(b, path, other)
		s, err := storage.Open(b.Context(), one, time.Now)
		must(b, err)
		s = own(s)
		db := plainWriter(b, other)
		r := record{
			rows:    rows,
			systems: value[[]tanks.System](b)(s.Systems(b.Context())),
			begin:   time.Date(2001, 1, 1, 0, 0, 0, 0, time.UTC),
		}
		csv := filepath.Join(folder, "record.csv")
		r.write(b, csv)
		file, err := os.Open(csv)
		must(b, err)
		b.StartTimer()

		start := time.Now()
		memory = max(memory, peakOf(func() {
			in, err := s.ImportCSV(b.Context(), file, storage.CSVOptions{})
			must(b, err)
			if in.Readings != rows {
				b.Fatalf("imported %+v", in)
			}
		}))
		between := time.Now()
		r.insert(b, db)
		after := time.Now()
		p, err := s.PreviewCSV(b.Context(), file, storage.CSVOptions{})
		must(b, err)
		if p.Duplicates != rows {
			b.Fatalf("previewed again: %d of %d are known", p.Duplicates, p.Readings)
		}
		ours, theirs, preview = ours+between.Sub(start), theirs+after.Sub(between), preview+time.Since(after)
		must(b, s.Close())
		must(b, db.Close())
		must(b, file.Close())
	}
	b.ReportMetric(ours.Seconds()/theirs.Seconds(), "ratio")
	b.ReportMetric(preview.Seconds()/theirs.Seconds(), "preview-ratio")
	b.ReportMetric(float64(memory)/(1<<20), "MiB")
}

// plainWriter opens a ledger by plain SQL as durable as ours and with its cache.
func plainWriter(b testing.TB, path string) *sql.DB {
	b.Helper()
	db := plain(b, path)
	db.SetMaxOpenConns(1)
	for _, pragma := range []string{"PRAGMA journal_mode = WAL", "PRAGMA synchronous = FULL", "PRAGMA foreign_keys = ON",
		"PRAGMA cache_size = -65536"} {
		_, err := db.Exec(pragma)
		must(b, err)
	}
	return db
}

// copyOf copies a file without holding it in memory.
func copyOf(b testing.TB, from, to string) {
	b.Helper()
	in, err := os.Open(from)
	must(b, err)
	defer in.Close()
	out, err := os.Create(to)
	must(b, err)
	_, err = io.Copy(out, in)
	must(b, err)
	must(b, out.Close())
}

// Readings imported from CSV beside plain prepared INSERTs of the same rows;
// "ratio" is ours over theirs, "preview-ratio" a preview of a file that is known
// already, "MiB" the memory that the import took at the most.
func BenchmarkImport(b *testing.B) {
	s, _ := storagetest.Room(b)
	must(b, s.Close())
	compareImport(b, s.Path(), 50_000)
}

// A million readings into the bench room.
func BenchmarkBenchRoomImport(b *testing.B) {
	bench := openBenchRoom(b)
	must(b, bench.Close())
	compareImport(b, bench.Path(), 1_000_000)
}
