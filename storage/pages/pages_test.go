package pages_test

import (
	"bytes"
	"database/sql"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	_ "github.com/mattn/go-sqlite3" // SQLite itself, whose files are read

	"weirkeeper/storage/pages"
)

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// written makes a file by SQLite's own hand.
func written(t testing.TB, pragmas string, statements ...string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "file")
	db, err := sql.Open("sqlite3", "file:"+path)
	must(t, err)
	defer db.Close()
	db.SetMaxOpenConns(1)
	for _, s := range append([]string{pragmas}, statements...) {
		_, err := db.Exec(s)
		must(t, err)
	}
	return path
}

func open(t testing.TB, path string) *pages.File {
	t.Helper()
	data, err := os.ReadFile(path)
	must(t, err)
	log, err := os.ReadFile(path + "-wal")
	if err != nil {
		log = nil
	}
	return pages.Open(bytes.NewReader(data), int64(len(data)), bytes.NewReader(log), int64(len(log)))
}

// rows reads the rows of all tables that have row numbers, but for the schema's.
func rows(t testing.TB, f *pages.File) map[int64][]any {
	t.Helper()
	all := map[int64][]any{}
	for n := uint32(2); n <= f.Pages(); n++ {
		f.Cells(n, f.Page(n), func(c pages.Cell) {
			row, err := pages.Decode(c.Payload)
			if err == nil && c.Whole && !c.Index {
				all[c.Row] = row
			}
		})
	}
	return all
}

// Every kind of value and the edges of its width, as SQLite writes them, in pages of
// every size.
func TestValuesOfEveryKind(t *testing.T) {
	values := []any{
		nil, int64(0), int64(1), int64(-1), int64(127), int64(-128), int64(128), int64(32767), int64(-32768), int64(32768),
		int64(1<<23 - 1), int64(-1 << 23), int64(1 << 23), int64(1<<31 - 1), int64(-1 << 31), int64(1 << 31), int64(1<<47 - 1), int64(-1 << 47),
		int64(1 << 47), int64(math.MaxInt64), int64(math.MinInt64), 0.5, -1e300, math.SmallestNonzeroFloat64, "", "a", "ä€𐍈",
		[]byte{}, []byte{0, 255}, strings.Repeat("t", 57), strings.Repeat("t", 58), strings.Repeat("u", 8185), strings.Repeat("v", 70_000),
		bytes.Repeat([]byte{7}, 12_345),
	}
	for size := 512; size <= 65536; size *= 2 {
		t.Run(fmt.Sprint(size), func(t *testing.T) {
			path := written(t, fmt.Sprintf("PRAGMA page_size = %d", size), "CREATE TABLE t (id INTEGER PRIMARY KEY, a, b)")
			db, err := sql.Open("sqlite3", "file:"+path)
			must(t, err)
			for i, v := range values {
				_, err := db.Exec("INSERT INTO t (id, a, b) VALUES (?, ?, 'end')", i+1, v)
				must(t, err)
			}
			for n := -70; n <= -25; n++ { // where a record no longer fits on its page
				_, err := db.Exec("INSERT INTO t (id, a, b) VALUES (?, ?, 'end')", 1000+n, strings.Repeat("x", size+n))
				must(t, err)
			}
			must(t, db.Close())
			f := open(t, path)
			if f.PageSize() != size {
				t.Errorf("pages of %d are taken for %d", size, f.PageSize())
			}
			got := rows(t, f)
			for n := -70; n <= -25; n++ {
				if want := []any{nil, strings.Repeat("x", size+n), "end"}; !reflect.DeepEqual(got[int64(1000+n)], want) {
					t.Errorf("a text of %d bytes is lost", size+n)
				}
			}
			for i, v := range values {
				if want := []any{nil, v, "end"}; !reflect.DeepEqual(got[int64(i+1)], want) {
					t.Errorf("row %d: got %.80v, want %.80v", i+1, got[int64(i+1)], want)
				}
			}
		})
	}
}

// Numbers of rows at the edges of a varint.
func TestRowNumbers(t *testing.T) {
	numbers := []int64{math.MinInt64, -1, 0, 1, 127, 128, 16383, 16384, 1<<21 - 1, 1 << 21, 1<<28 - 1, 1 << 28, 1<<35 - 1, 1 << 35,
		1<<42 - 1, 1 << 42, 1<<49 - 1, 1 << 49, 1<<56 - 1, 1 << 56, math.MaxInt64}
	path := written(t, "PRAGMA page_size = 512", "CREATE TABLE t (id INTEGER PRIMARY KEY, a)")
	db, err := sql.Open("sqlite3", "file:"+path)
	must(t, err)
	for _, n := range numbers {
		_, err := db.Exec("INSERT INTO t VALUES (?, ?)", n, fmt.Sprint(n))
		must(t, err)
	}
	must(t, db.Close())
	got := rows(t, open(t, path))
	if len(got) != len(numbers) {
		t.Errorf("%d rows", len(got))
	}
	for _, n := range numbers {
		if !reflect.DeepEqual(got[n], []any{nil, fmt.Sprint(n)}) {
			t.Errorf("row %d is %v", n, got[n])
		}
	}
}

const thousand = "WITH RECURSIVE c(n) AS (SELECT 1 UNION ALL SELECT n + 1 FROM c WHERE n < 1000) "

// A table without row numbers has rows in the inner pages of its tree too, and a row
// may go on beyond its page.
func TestTablesWithoutRowNumbers(t *testing.T) {
	path := written(t, "PRAGMA page_size = 1024", "CREATE TABLE t (k INTEGER PRIMARY KEY, v) WITHOUT ROWID",
		thousand+"INSERT INTO t SELECT n, hex(zeroblob(n % 400)) FROM c")
	f := open(t, path)
	seen := map[any]int{}
	f.Walk(2, func(n uint32) {
		f.Cells(n, f.Page(n), func(c pages.Cell) {
			row, err := pages.Decode(c.Payload)
			must(t, err)
			if !c.Index || !c.Whole || len(row[1].(string)) != int(row[0].(int64)%400*2) {
				t.Errorf("%+v is %v", c, row)
			}
			seen[row[0]]++
		})
	})
	if len(seen) != 1000 {
		t.Errorf("%d rows", len(seen))
	}
}

// The log has pages newer than the file; what it had before is older. A transaction
// that did not end is not in force.
func TestLog(t *testing.T) {
	path := filepath.Join(t.TempDir(), "file")
	db, err := sql.Open("sqlite3", "file:"+path+"?_journal_mode=WAL")
	must(t, err)
	defer db.Close()
	db.SetMaxOpenConns(1)
	for _, s := range []string{"PRAGMA wal_autocheckpoint = 0", "CREATE TABLE t (id INTEGER PRIMARY KEY, a)", "CREATE TABLE u (b)",
		"INSERT INTO t VALUES (1, 'first')", "PRAGMA wal_checkpoint(TRUNCATE)", "UPDATE t SET a = 'second'", "UPDATE t SET a = 'third'", "INSERT INTO t VALUES (2, 'more')"} {
		_, err := db.Exec(s)
		must(t, err)
	}
	main, err := os.ReadFile(path)
	must(t, err)
	log, err := os.ReadFile(path + "-wal")
	must(t, err)
	read := func(log []byte) (map[int64][]any, map[string]bool) {
		f := pages.Open(bytes.NewReader(main), int64(len(main)), bytes.NewReader(log), int64(len(log)))
		older := map[string]bool{}
		f.Older(func(n uint32, page []byte) {
			f.Cells(n, page, func(c pages.Cell) {
				if row, err := pages.Decode(c.Payload); err == nil && len(row) == 2 {
					older[fmt.Sprint(row[1])] = true
				}
			})
		})
		return rows(t, f), older
	}
	got, older := read(log)
	if fmt.Sprint(got) != "map[1:[<nil> third] 2:[<nil> more]]" || !older["first"] || !older["second"] {
		t.Errorf("in force %v, older %v", got, older)
	}
	// Of a transaction of several pages the first are there.
	for _, statement := range []string{"BEGIN", "UPDATE t SET a = 'fourth'", "INSERT INTO u VALUES (9)", "COMMIT"} {
		_, err = db.Exec(statement)
		must(t, err)
	}
	longer, err := os.ReadFile(path + "-wal")
	must(t, err)
	if got, _ := read(longer[:len(longer)-24-4096]); fmt.Sprint(got) != "map[1:[<nil> third] 2:[<nil> more]]" {
		t.Errorf("of a part of a transaction %.200v", got)
	}
	cut := log[:len(log)-100] // the last transaction is not whole
	if got, _ := read(cut); fmt.Sprint(got) != "map[1:[<nil> third]]" {
		t.Errorf("of a cut log %v", got)
	}
	// A damaged frame takes away itself alone, and a damaged header nothing.
	const frame = 24 + 4096
	spoilt := bytes.Clone(log)
	spoilt[len(spoilt)-frame-100] ^= 1
	if got, _ := read(spoilt); fmt.Sprint(got) != "map[1:[<nil> third] 2:[<nil> more]]" {
		t.Errorf("of a damaged log %v", got)
	}
	spoilt = bytes.Clone(log)
	copy(spoilt[bytes.LastIndex(spoilt, []byte("more")):], "MORE")
	if got, _ := read(spoilt); fmt.Sprint(got) != "map[1:[<nil> third]]" {
		t.Errorf("a damaged frame is in force: %v", got)
	}
	behind := func(log []byte) int {
		return pages.Open(bytes.NewReader(main), int64(len(main)), bytes.NewReader(log), int64(len(log))).Behind()
	}
	if got := []int{behind(log), behind(cut), behind(longer[:len(longer)-24-4096]), behind(spoilt)}; !slices.Equal(got, []int{0, 0, 0, 1}) {
		t.Errorf("pages of a damaged newest transaction of logs that are whole, cut, unfinished and spoilt: %v", got)
	}
	ofTwo := bytes.Clone(longer)
	ofTwo[len(ofTwo)-100] ^= 1
	if got := behind(ofTwo); got != 2 {
		t.Errorf("of a transaction of two pages, of which one is damaged, %d are behind", got)
	}
	saidWrong := bytes.Clone(longer)
	saidWrong[len(saidWrong)-2*frame+18] ^= 1 // what the page before the last says of itself
	if got := behind(saidWrong); got != 0 {
		t.Errorf("%d pages are behind whose sum alone is damaged", got)
	}
	spoilt = bytes.Clone(log)
	spoilt[17] ^= 8
	if got, _ := read(spoilt); fmt.Sprint(got) != "map[1:[<nil> third] 2:[<nil> more]]" {
		t.Errorf("of a log with a damaged header %v", got)
	}
}

// Pages that were given back are told, and a damaged or wrong header, a cut or a flipped
// root takes away no row of a whole page.
func TestDamagedFiles(t *testing.T) {
	path := written(t, "PRAGMA page_size = 1024", "CREATE TABLE gone (x)", "CREATE TABLE t (id INTEGER PRIMARY KEY, a)",
		thousand+"INSERT INTO gone SELECT hex(zeroblob(50)) FROM c", thousand+"INSERT INTO t SELECT n, 'row ' || n FROM c", "DROP TABLE "+
			"gone")
	good, err := os.ReadFile(path)
	must(t, err)
	whole := open(t, path)
	free := whole.Free()
	if len(free) < 90 || len(free) > 150 {
		t.Errorf("%d free pages", len(free))
	}
	inUse := func(data []byte) (n int) {
		f := pages.Open(bytes.NewReader(data), int64(len(data)), nil, 0)
		seen := map[int64]bool{}
		for n := uint32(2); n <= f.Pages(); n++ {
			if free[n] {
				continue
			}
			f.Cells(n, f.Page(n), func(c pages.Cell) {
				if row, err := pages.Decode(c.Payload); err == nil && len(row) == 2 && row[1] == fmt.Sprint("row ", c.Row) {
					seen[c.Row] = true
				}
			})
		}
		return len(seen)
	}
	for name, c := range map[string]struct {
		spoil func(data []byte) []byte
		least int
	}{
		"whole":               {func(d []byte) []byte { return d }, 1000},
		"no header":           {func(d []byte) []byte { clear(d[:100]); return d }, 1000},
		"another size said":   {func(d []byte) []byte { d[16], d[17] = 0x10, 0; return d }, 1000},
		"a flipped root":      {func(d []byte) []byte { d[2*1024] ^= 0x40; return d }, 1000},
		"cut by a page":       {func(d []byte) []byte { return d[:len(d)-1024] }, 900},
		"cut within a page":   {func(d []byte) []byte { return d[:len(d)-1500] }, 900},
		"a flipped leaf kind": {func(d []byte) []byte { d[len(d)-1024] ^= 0x80; return d }, 1000},
	} {
		if got := inUse(c.spoil(bytes.Clone(good))); got < c.least {
			t.Errorf("%s: %d rows of 1000", name, got)
		}
	}
}
