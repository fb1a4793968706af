package storagetest

import (
	"database/sql"
	"testing"
	"time"
)

// NewerAnalyte is a number that no version of the program gives out yet.
const NewerAnalyte = 210

// AddNewer writes into a ledger, as a newer version of the program would, an
// analyte that this one does not know: for every system a band to be tested by,
// and readings of a month by a method of its own.
func AddNewer(t testing.TB, path string, now time.Time) {
	t.Helper()
	db, err := sql.Open("sqlite3", "file:"+path)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	tx, err := db.Begin()
	if err != nil {
		t.Fatal(err)
	}
	defer tx.Rollback()
	do := func(query string, args ...any) int64 {
		t.Helper()
		done, err := tx.Exec(query, args...)
		if err != nil {
			t.Fatalf("%s: %v", query, err)
		}
		id, err := done.LastInsertId()
		must(t, err)
		return id
	}
	do("INSERT INTO analytes (id, key) VALUES (?, 'newer')", NewerAnalyte)
	method := do("INSERT INTO methods (name, kind, analyte_id, unit) VALUES ('Newer kit', 1, ?, 'mg/L')", NewerAnalyte)
	const day = 24 * time.Hour
	do(`INSERT INTO bands (system_id, analyte_id, place, low, aim, high, test_every) SELECT id, ?, 99, 1, 2, 3, ? FROM systems`,
		NewerAnalyte, (7 * day).Milliseconds())
	for ago := 30 * day; ago > 0; ago -= 5 * day {
		do(`INSERT INTO readings (system_id, analyte_id, taken_at, value, typed, unit, method_id, entered_at)
			SELECT id, ?, ?, 4.5, '4.5', 'mg/L', ?, ? FROM systems`, NewerAnalyte, now.Add(-ago).UnixMilli(), method, now.UnixMilli())
	}
	do(`INSERT INTO latest SELECT system_id, analyte_id, max(id) FROM readings WHERE analyte_id = ? GROUP BY system_id`, NewerAnalyte)
	must(t, tx.Commit())
}
