package ledgerfile

import (
	"database/sql"
	"path/filepath"
	"testing"

	"weirkeeper/storage/storagetest/faults"
)

// A copy is made by whoever only looks, too, and none of the connections that did
// it can write afterwards.
func TestCopyOfALedgerThatIsOnlyLookedAt(t *testing.T) {
	f := newLedger(t)
	look, err := OpenToLook(t.Context(), f.Path())
	must(t, err)
	defer look.Close()
	path := filepath.Join(t.TempDir(), "copy")
	held, err := look.CopyInto(t.Context(), path)
	must(t, err)
	if err := Prove(t.Context(), path, held); err != nil || held.Rows["room"] != 1 {
		t.Errorf("%+v, %v", held, err)
	}
	var all []*sql.Conn
	for range readers {
		conn, err := look.Reader().Conn(t.Context())
		must(t, err)
		all = append(all, conn)
	}
	for i, conn := range all {
		if _, err := conn.ExecContext(t.Context(), "UPDATE room SET name = 'x'"); err == nil {
			t.Errorf("connection %d can write", i)
		}
		must(t, conn.Close())
	}
}

// What a closed file does not hold, or holds beside it, is found.
func TestProve(t *testing.T) {
	path := closedLedger(t, "room")
	held := func() Contents {
		db, err := OpenToRead(path, Alone)
		must(t, err)
		defer db.Close()
		r, err := Examine(t.Context(), path, db)
		must(t, err)
		return r.Contents
	}()
	must(t, Prove(t.Context(), path, held))
	for name, spoil := range map[string]func(c *Contents){
		"another version":   func(c *Contents) { c.Version++ },
		"a row more":        func(c *Contents) { c.Rows["room"]++ },
		"a table more":      func(c *Contents) { c.Rows["extra"] = 0 },
		"another history":   func(c *Contents) { c.Head = Head{1, 2} },
		"a table not known": func(c *Contents) { delete(c.Rows, "room") },
	} {
		want := Contents{Version: held.Version, Rows: map[string]int{}, Head: held.Head}
		for table, n := range held.Rows {
			want.Rows[table] = n
		}
		spoil(&want)
		if Prove(t.Context(), path, want) == nil {
			t.Errorf("%s is not found", name)
		}
	}
	faults.Execute(
		t,
		path,
		"PRAGMA journal_mode = DELETE",
		"PRAGMA foreign_keys = OFF",
		"INSERT INTO tanks (system_id, length, width, height) VALUES (99, 1, 1, 1)",
	)
	held.Rows["tanks"]++
	if Prove(t.Context(), path, held) == nil {
		t.Error("a row that refers to nothing is not found")
	}
}
