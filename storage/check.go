package storage

import (
	"context"
	"database/sql"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"weirkeeper/assets/words"
)

// Report is what a check of a ledger's file found.
type Report struct {
	Version int
	Rows    map[string]int // by table
	// Faults say what is wrong, in plain words; none: the file is sound.
	Faults []string
}

// Sound tells whether nothing is wrong.
func (r Report) Sound() bool { return len(r.Faults) == 0 }

// lostReferences lists rows that refer to nothing, in words.
const lostReferences = `SELECT "table" || ' row ' || ifnull(rowid, '?') || ' refers to no ' || "parent" FROM pragma_foreign_key_check LIMIT 20`

// mostFaults bounds the faults that a check lists of each kind.
const mostFaults = 20

// Check reads a ledger's file from end to end, without writing to it: SQLite's
// own structures, references that point nowhere, the kept newest readings
// against the readings, and the photos in their folder. The error is an *OpenError when the file is no ledger.
func Check(ctx context.Context, path string) (Report, error) {
	if err := looksLikeLedger(path); err != nil {
		return Report{}, err
	}
	db, err := openToRead(path, "mode=ro")
	if err != nil {
		return Report{}, openFailed(path, err)
	}
	defer db.Close()
	r, err := check(ctx, path, db)
	if _, has := r.Rows["photos"]; err != nil || !has {
		return r, err
	}
	lost, err := checkPhotos(ctx, photoFolder(path), db)
	if err != nil {
		return Report{}, openFailed(path, err)
	}
	r.Faults = append(r.Faults, lost...)
	return r, nil
}

// openToRead opens a file on one connection that cannot write.
func openToRead(path, query string) (*sql.DB, error) {
	db, err := sql.Open(driverName, dsn(path, query+"&_query_only=1&_busy_timeout=10000"))
	if err != nil {
		return nil, err
	}
	db.SetMaxOpenConns(1)
	return db, nil
}

func check(ctx context.Context, path string, db *sql.DB) (Report, error) {
	r := Report{}
	found, err := textColumn(ctx, db, fmt.Sprintf("PRAGMA integrity_check(%d)", mostFaults))
	if err != nil {
		return Report{}, openFailed(path, err)
	}
	if !slices.Equal(found, []string{"ok"}) {
		for _, text := range found {
			r.Faults = append(r.Faults, "damaged: "+text)
		}
		return r, nil // what is damaged cannot be counted
	}
	if err := db.QueryRowContext(ctx, "PRAGMA user_version").Scan(&r.Version); err != nil {
		return Report{}, openFailed(path, err)
	}
	if r.Rows, err = rowsOf(ctx, db); err != nil {
		return Report{}, openFailed(path, err)
	}
	lost, err := textColumn(ctx, db, lostReferences)
	if err != nil {
		return Report{}, openFailed(path, err)
	}
	r.Faults = append(r.Faults, lost...)
	var wrong int
	if err := db.QueryRowContext(ctx, latestDiffers).Scan(&wrong); err != nil {
		return Report{}, openFailed(path, err)
	}
	if wrong > 0 {
		r.Faults = append(r.Faults, fmt.Sprintf("%d of the newest readings are not the newest", wrong))
	}
	return r, nil
}

// verifyCopy proves that a closed file holds a sound ledger with these rows. It
// must not be open elsewhere: it is read as it lies, without a log.
// The rows of the tables in uncounted do not matter.
func verifyCopy(ctx context.Context, path string, version int, rows map[string]int, uncounted ...string) error {
	if err := looksLikeLedger(path); err != nil {
		return err
	}
	db, err := openToRead(path, "mode=ro&immutable=1")
	if err != nil {
		return openFailed(path, err)
	}
	defer db.Close()
	r, err := check(ctx, path, db)
	for _, table := range uncounted {
		delete(r.Rows, table)
	}
	switch {
	case err != nil:
		return err
	case !r.Sound():
		return words.Errorf("%s: %s", path, strings.Join(r.Faults, "; "))
	case r.Version != version || !maps.Equal(r.Rows, rows):
		return words.Errorf("%s does not hold what the ledger held: %v rows of version %d, not %v of version %d", path, r.Rows, r.Version, rows, version)
	}
	return nil
}

// Glance is what a ledger or backup holds, for a look before it is restored.
type Glance struct {
	Room     string
	Systems  int
	Readings int
	First    time.Time // of the readings, zero without any
	Last     time.Time
}

// Look reads what a closed file holds, without writing to it.
func Look(ctx context.Context, path string) (Glance, error) {
	if err := looksLikeLedger(path); err != nil {
		return Glance{}, err
	}
	db, err := openToRead(path, "mode=ro&immutable=1")
	if err != nil {
		return Glance{}, openFailed(path, err)
	}
	defer db.Close()
	var g Glance
	var first, last sql.NullInt64
	err = db.QueryRowContext(ctx, "SELECT (SELECT name FROM room), (SELECT count(*) FROM systems), count(*), min(taken_at), max(taken_at) FROM readings WHERE status = 0").Scan(&g.Room, &g.Systems, &g.Readings, &first, &last)
	if err != nil {
		return Glance{}, openFailed(path, err)
	}
	if first.Valid {
		g.First, g.Last = time.UnixMilli(first.Int64).UTC(), time.UnixMilli(last.Int64).UTC()
	}
	return g, nil
}
