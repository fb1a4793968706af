package pages_test

import (
	"bytes"
	"database/sql"
	"encoding/binary"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"weirkeeper/storage/pages"
)

// What is not exactly a record is none.
func TestRecordsToTheByte(t *testing.T) {
	for name, c := range map[string]struct {
		payload string
		want    string
	}{
		"a zero and a one":     {"\x03\x08\x09", "[0 1]"},
		"a byte and a text":    {"\x03\x01\x0f\xffx", "[-1 x]"},
		"a byte too many":      {"\x03\x08\x09\x00", "no record"},
		"a byte too few":       {"\x03\x01\x0f\xff", "no record"},
		"a head beyond it":     {"\x09\x08\x09", "no record"},
		"a kind that is none":  {"\x02\x0a", "no record"},
		"a number cut off":     {"\x02\x81", "no record"},
		"a number that is not": {"\x02\x07\x7f\xf8\x00\x00\x00\x00\x00\x01", "[<nil>]"},
	} {
		row, err := pages.Decode([]byte(c.payload))
		got := fmt.Sprint(row)
		if err != nil {
			got = err.Error()
		}
		if got != c.want {
			t.Errorf("%s: %s, want %s", name, got, c.want)
		}
	}
}

// A tree that leads back to itself is walked once, and a list of free pages that is none
// frees nothing.
func TestPagesThatLeadAstray(t *testing.T) {
	path := written(t, "PRAGMA page_size = 1024", "CREATE TABLE t (id INTEGER PRIMARY KEY, a)",
		thousand+"INSERT INTO t SELECT n, hex(zeroblob(40)) FROM c")
	data, err := os.ReadFile(path)
	must(t, err)
	const root = 2
	page := data[1024:2048]
	if page[0] != 5 {
		t.Fatalf("the root is a page of kind %d", page[0])
	}
	walked := func(data []byte) map[uint32]int {
		f := pages.Open(bytes.NewReader(data), int64(len(data)), nil, 0)
		seen, n := map[uint32]int{}, 0
		f.Walk(root, func(number uint32) {
			seen[number]++
			if n++; n > 10*len(data)/1024 {
				t.Fatal("it does not end")
			}
		})
		return seen
	}
	whole := walked(data)
	astray := bytes.Clone(data)
	binary.BigEndian.PutUint32(astray[1024+8:], root) // in place of the last child
	first := int(binary.BigEndian.Uint16(astray[1024+12:]))
	binary.BigEndian.PutUint32(astray[1024+first:], root)
	got := walked(astray)
	for number, times := range got {
		if times != 1 {
			t.Errorf("page %d is walked %d times", number, times)
		}
	}
	if len(got) != len(whole)-2 {
		t.Errorf("%d pages are walked, of %d", len(got), len(whole))
	}
	noList := bytes.Clone(data)
	binary.BigEndian.PutUint32(noList[32:], 3)
	binary.BigEndian.PutUint32(noList[2*1024+4:], 1<<31)
	f := pages.Open(bytes.NewReader(noList), int64(len(noList)), nil, 0)
	if free := f.Free(); len(free) != 0 {
		t.Errorf("free are %v", free)
	}
}

// A page without rows holds nothing when it says so in all that it says; any other that
// is not sound may.
func TestPagesThatMayHoldRecords(t *testing.T) {
	path := written(t, "PRAGMA page_size = 1024", "CREATE TABLE empty (x)", "CREATE TABLE t (x)",
		"INSERT INTO t VALUES (hex(zeroblob(100)))")
	f := open(t, path)
	for name, c := range map[string]struct {
		page  uint32
		spoil func(page []byte)
		want  bool
	}{
		"zeros":                          {2, func(page []byte) { clear(page) }, false},
		"an empty table":                 {2, func([]byte) {}, false},
		"one of which the kind is lost":  {2, func(page []byte) { page[0] = 77 }, true},
		"a row":                          {3, func([]byte) {}, false},
		"a row of which the count is":    {3, func(page []byte) { page[4] = 0 }, true},
		"a row of which the pointer is":  {3, func(page []byte) { page[8] = 0xff }, true},
		"a row, of which the kind is no": {3, func(page []byte) { page[0] = 0 }, true},
	} {
		page := f.Page(c.page)
		c.spoil(page)
		if got := f.Holds(c.page, page); got != c.want {
			t.Errorf("%s: %v", name, got)
		}
	}
}

// A tree that leads behind the end of a cut file says where to.
func TestTreeOfACutFile(t *testing.T) {
	path := written(t, "PRAGMA page_size = 1024", "CREATE TABLE t (id INTEGER PRIMARY KEY, a)",
		thousand+"INSERT INTO t SELECT n, hex(zeroblob(40)) FROM c")
	data, err := os.ReadFile(path)
	must(t, err)
	whole := uint32(len(data) / 1024)
	for _, gone := range []uint32{0, 1, 7} {
		cut := data[:len(data)-int(gone)*1024]
		f := pages.Open(bytes.NewReader(cut), int64(len(cut)), nil, 0)
		beyond := f.Walk(2, func(uint32) {})
		if f.Said() != whole || uint32(len(beyond)) != gone || gone > 0 && slices.Min(beyond) != whole-gone+1 {
			t.Errorf("without %d pages of %d the tree leads to %v, the header says %d", gone, whole, beyond, f.Said())
		}
	}
	data[27]++ // SQLite of before 3.7 left the number of pages as it was
	if f := pages.Open(bytes.NewReader(data), int64(len(data)), nil, 0); f.Said() != 0 {
		t.Errorf("a header that does not go with itself says %d", f.Said())
	}
}

// sum is the checksum of a log (section 4.2 of the format) with the bytes in an order.
func sum(order binary.ByteOrder, s [2]uint32, data []byte) [2]uint32 {
	for ; len(data) > 0; data = data[8:] {
		s[0] += order.Uint32(data) + s[1]
		s[1] += order.Uint32(data[4:]) + s[0]
	}
	return s
}

// put writes a checksum where it belongs.
func put(at []byte, s [2]uint32) {
	binary.BigEndian.PutUint32(at, s[0])
	binary.BigEndian.PutUint32(at[4:], s[1])
}

// withLog is a file of one row, and the log that has it anew.
func withLog(t *testing.T) (main, log []byte) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "file")
	db, err := sql.Open("sqlite3", "file:"+path+"?_journal_mode=WAL")
	must(t, err)
	defer db.Close()
	db.SetMaxOpenConns(1)
	for _, s := range []string{"PRAGMA wal_autocheckpoint = 0", "CREATE TABLE t (id INTEGER PRIMARY KEY, a)",
		"INSERT INTO t VALUES (1, 'first')",
		"PRAGMA wal_checkpoint(TRUNCATE)", "UPDATE t SET a = 'second'"} {
		_, err := db.Exec(s)
		must(t, err)
	}
	if main, err = os.ReadFile(path); err == nil {
		log, err = os.ReadFile(path + "-wal")
	}
	must(t, err)
	return main, log
}

// A log that a machine of the other order of bytes wrote is read as well. One that says
// that there are more pages than are anywhere is not believed.
func TestLogsOfBothOrders(t *testing.T) {
	main, log := withLog(t)
	const frame = 24 + 4096
	for order, magic := range map[binary.ByteOrder]uint32{binary.LittleEndian: 0x377f0682, binary.BigEndian: 0x377f0683} {
		for _, count := range []uint32{0, 1 << 30} {
			other := bytes.Clone(log)
			binary.BigEndian.PutUint32(other, magic)
			s := sum(order, [2]uint32{}, other[:24])
			put(other[24:], s)
			for at := 32; at+frame <= len(other); at += frame {
				if count != 0 && binary.BigEndian.Uint32(other[at+4:]) != 0 {
					binary.BigEndian.PutUint32(other[at+4:], count)
				}
				s = sum(order, s, other[at:at+8])
				s = sum(order, s, other[at+24:at+frame])
				put(other[at+16:], s)
			}
			f := pages.Open(bytes.NewReader(main), int64(len(main)), bytes.NewReader(other), int64(len(other)))
			if got := fmt.Sprint(rows(t, f)); got != "map[1:[<nil> second]]" || f.Torn() || f.Pages() > 10 {
				t.Errorf("%v, %d pages said: %s, torn %v, %d pages", order, count, got, f.Torn(), f.Pages())
			}
		}
	}
}
