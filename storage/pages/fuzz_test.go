package pages_test

import (
	"bytes"
	"os"
	"testing"

	"weirkeeper/storage/pages"
)

// FuzzPages reads a file and a log of any bytes: it ends, and what it reads is within
// them.
func FuzzPages(f *testing.F) {
	path := written(f, "PRAGMA page_size = 512", "CREATE TABLE t (id INTEGER PRIMARY KEY, a)",
		"CREATE TABLE u (a, b, PRIMARY KEY (a, b)) WITHOUT ROWID",
		"INSERT INTO t VALUES (1, 'one'), (2, hex(zeroblob(900)))", "INSERT INTO u VALUES (1, 2.5), ('x', x'00')", "CREATE TABLE gone (x)",
		"INSERT INTO gone VALUES (hex(zeroblob(2000)))", "DROP TABLE gone")
	data, err := os.ReadFile(path)
	must(f, err)
	f.Add(data, []byte{})
	f.Add(data[:1000], data)
	f.Fuzz(func(t *testing.T, main, log []byte) {
		file := pages.Open(bytes.NewReader(main), int64(len(main)), bytes.NewReader(log), int64(len(log)))
		most := len(main) + len(log) + file.PageSize()
		use := func(c pages.Cell) {
			if len(c.Payload) > most {
				t.Errorf("a record of %d bytes in a file of %d", len(c.Payload), len(main))
			}
			if _, err := pages.Decode(c.Payload); err == nil && len(c.Payload) == 0 {
				t.Error("nothing is a record")
			}
		}
		for n := uint32(0); n <= file.Pages(); n++ {
			file.Cells(n, file.Page(n), use)
		}
		file.Older(func(n uint32, page []byte) { file.Cells(n, page, use) })
		file.Free()
		file.Walk(1, func(n uint32) {
			if n == 0 || n > file.Pages() {
				t.Errorf("page %d of %d", n, file.Pages())
			}
		})
		file.Torn()
	})
}
