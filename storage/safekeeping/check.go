package safekeeping

import (
	"context"
	"database/sql"
	"fmt"
	"time"

	"weirkeeper/storage"
	"weirkeeper/storage/ledgerfile"
	"weirkeeper/storage/versions"
)

// Check reads a ledger's file from end to end, without writing to it: SQLite's
// own structures, references that point nowhere, the kept newest readings
// against the readings, and the photos in their folder. The error is an *OpenError when the file is no ledger.
func Check(ctx context.Context, path string) (ledgerfile.Report, error) {
	if err := ledgerfile.Identify(path); err != nil {
		return ledgerfile.Report{}, err
	}
	db, err := ledgerfile.OpenToRead(path, ledgerfile.InUse)
	if err != nil {
		return ledgerfile.Report{}, ledgerfile.OpenFailed(path, err)
	}
	defer db.Close()
	r, err := check(ctx, path, db)
	if _, has := r.Rows["photos"]; err != nil || !has {
		return r, err
	}
	lost, err := checkPhotos(ctx, ledgerfile.PhotoFolder(path), db)
	if err != nil {
		return ledgerfile.Report{}, ledgerfile.OpenFailed(path, err)
	}
	r.Faults = append(r.Faults, lost...)
	return r, nil
}

// check examines an open ledger, and what follows from its readings.
func check(ctx context.Context, path string, db *sql.DB) (ledgerfile.Report, error) {
	r, err := ledgerfile.Examine(ctx, path, db)
	if err != nil || r.Rows == nil {
		return r, err
	}
	for _, more := range []func(context.Context, ledgerfile.Querier) ([]string, error){wrongLatest, versions.Check} {
		wrong, err := more(ctx, db)
		if err != nil {
			return ledgerfile.Report{}, ledgerfile.OpenFailed(path, err)
		}
		r.Faults = append(r.Faults, wrong...)
	}
	return r, nil
}

// wrongLatest says whether the kept newest readings are the newest.
func wrongLatest(ctx context.Context, db ledgerfile.Querier) ([]string, error) {
	wrong, err := storage.WrongLatest(ctx, db)
	if err != nil || wrong == 0 {
		return nil, err
	}
	return []string{fmt.Sprintf("%d of the newest readings are not the newest", wrong)}, nil
}

// prove proves that a closed file holds a sound ledger with these contents.
func prove(ctx context.Context, path string, want ledgerfile.Contents) error {
	return ledgerfile.Prove(ctx, path, want, wrongLatest, versions.Check)
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
	if err := ledgerfile.Identify(path); err != nil {
		return Glance{}, err
	}
	db, err := ledgerfile.OpenToRead(path, ledgerfile.Alone)
	if err != nil {
		return Glance{}, ledgerfile.OpenFailed(path, err)
	}
	defer db.Close()
	var g Glance
	var first, last sql.NullInt64
	err = db.QueryRowContext(
		ctx,
		"SELECT (SELECT name FROM room), (SELECT count(*) FROM systems), count(*), min(taken_at), max(taken_at) FROM readings WHERE status = 0",
	).Scan(
		&g.Room,
		&g.Systems,
		&g.Readings,
		&first,
		&last,
	)
	if err != nil {
		return Glance{}, ledgerfile.OpenFailed(path, err)
	}
	if first.Valid {
		g.First, g.Last = time.UnixMilli(first.Int64).UTC(), time.UnixMilli(last.Int64).UTC()
	}
	return g, nil
}
