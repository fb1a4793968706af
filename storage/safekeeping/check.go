package safekeeping

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"time"

	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/durable"
	"weirkeeper/storage/ledgerfile"
	"weirkeeper/storage/pages"
	"weirkeeper/storage/versions"
)

// Check reads a ledger's file from end to end as it is at one instant, without
// writing to it: SQLite's own structures, the schema and what it allows, references
// that point nowhere, the sums of all rows and of the account, the kept newest
// readings against the readings, and the photos in their folder. Newest actions that
// were cut off whole leave no trace in the file; the backups, if any are given, show
// those from before the newest of them. That a part cannot be read is a fault too. The
// error is an *OpenError when the file is no ledger.
func Check(ctx context.Context, path string, backups ...Backup) (ledgerfile.Report, error) {
	// The log and the photos lie beside the file itself, not beside a link to it.
	path, err := durable.Resolve(path)
	if err != nil {
		return ledgerfile.Report{}, ledgerfile.OpenFailed(path, err)
	}
	if err := ledgerfile.Identify(path); err != nil {
		if open := new(ledgerfile.OpenError); errors.As(err, &open) && open.Damaged() {
			return unreadable, nil
		}
		return ledgerfile.Report{}, err
	}
	r, err := checkFile(ctx, path, backups)
	if ledgerfile.Unreadable(err) {
		return unreadable, nil
	}
	return r, err
}

// unreadable is what is said of a ledger of which a part cannot be read.
var unreadable = ledgerfile.Report{
	Faults: []string{"damaged: a part of it cannot be read: restore the last backup, or salvage what can be read"},
}

// checkFile checks the file of a ledger.
func checkFile(ctx context.Context, path string, backups []Backup) (ledgerfile.Report, error) {
	db, err := ledgerfile.OpenToRead(path, ledgerfile.InUse)
	if err != nil {
		return ledgerfile.Report{}, ledgerfile.OpenFailed(path, err)
	}
	defer db.Close()
	tx, err := db.BeginTx(ctx, &sql.TxOptions{ReadOnly: true})
	if err != nil {
		return ledgerfile.Report{}, ledgerfile.OpenFailed(path, err)
	}
	defer tx.Rollback()
	r, err := check(ctx, path, tx)
	if err == nil && r.Rows != nil {
		r.Faults = append(r.Faults, cutOff(ctx, tx, r.Head, backups)...)
		r.Faults = append(r.Faults, tornLog(path)...)
	}
	if _, has := r.Rows["photos"]; err != nil || !has {
		return r, err
	}
	lost, err := checkPhotos(ctx, ledgerfile.PhotoFolder(path), tx)
	if err != nil {
		return ledgerfile.Report{}, ledgerfile.OpenFailed(path, err)
	}
	r.Faults = append(r.Faults, lost...)
	return r, nil
}

// tornLog says whether the log beside a ledger has entries that SQLite does not see.
func tornLog(path string) []string {
	main, err := os.Open(path)
	if err != nil {
		return nil
	}
	defer main.Close()
	log, err := os.Open(path + "-wal")
	if err != nil {
		return nil
	}
	defer log.Close()
	size, errMain := main.Stat()
	logged, errLog := log.Stat()
	if errMain != nil || errLog != nil || !pages.Open(main, size.Size(), log, logged.Size()).Torn() {
		return nil
	}
	return []string{"damaged: the log beside the ledger; the newest entries are behind the damage and are not seen. Salvage brings them " +
		"back"}
}

// check examines an open ledger, and what follows from its readings.
func check(ctx context.Context, path string, db ledgerfile.Querier) (ledgerfile.Report, error) {
	r, err := ledgerfile.Examine(ctx, path, db)
	if err != nil || r.Rows == nil {
		return r, err
	}
	for _, more := range sound {
		wrong, err := more(ctx, db)
		if err != nil {
			return ledgerfile.Report{}, ledgerfile.OpenFailed(path, err)
		}
		r.Faults = append(r.Faults, wrong...)
	}
	return r, nil
}

// wrongLatest says of which systems and analytes the kept newest reading is not the
// newest, the first ledgerfile.MostFaults.
func wrongLatest(ctx context.Context, db ledgerfile.Querier) ([]string, error) {
	wrong, err := storage.WrongLatest(ctx, db)
	if err != nil {
		return nil, err
	}
	var faults []string
	for _, cell := range wrong[:min(len(wrong), ledgerfile.MostFaults)] {
		faults = append(faults, "the kept newest reading of "+cell+" is not the newest")
	}
	return faults, nil
}

// wrongCatalogue says which analytes have a key that is not theirs. Numbers that this
// program does not know are of a newer one.
func wrongCatalogue(ctx context.Context, db ledgerfile.Querier) ([]string, error) {
	rows, err := db.QueryContext(ctx, "SELECT id, key FROM analytes ORDER BY id")
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var faults []string
	for rows.Next() {
		var id int
		var key string
		if err := rows.Scan(&id, &key); err != nil {
			return nil, err
		}
		for _, info := range chem.Catalogue() {
			if int(info.Analyte) == id && info.Key != key {
				faults = append(faults, fmt.Sprintf("analytes row %d has changed: its key is %q, not %q", id, key, info.Key))
			}
		}
	}
	return faults, rows.Err()
}

// wrongCounters says which tables hold numbers that were never given: SQLite keeps
// the highest one.
func wrongCounters(ctx context.Context, db ledgerfile.Querier) ([]string, error) {
	tables, err := ledgerfile.TextColumn(ctx, db, `SELECT s.name FROM sqlite_schema s JOIN sqlite_schema q ON q.name = 'sqlite_sequence'
		WHERE s.type = 'table' AND s.sql LIKE '%AUTOINCREMENT%' ORDER BY s.name`)
	if err != nil {
		return nil, err
	}
	var faults []string
	for _, table := range tables {
		found, err := ledgerfile.TextColumn(ctx, db, fmt.Sprintf(`SELECT 'the highest number ever given in %[1]s was ' || seq || ', the highest there is '
			|| highest FROM (SELECT coalesce((SELECT seq FROM sqlite_sequence WHERE name = '%[1]s'), 0) AS seq, coalesce(max(id), 0) AS highest FROM %[1]s)
			WHERE highest > seq OR '%[1]s' = 'actions' AND highest < seq`, table))
		if err != nil {
			return nil, err
		}
		faults = append(faults, found...)
	}
	return faults, nil
}

// sound are the proofs of a ledger beyond those of its file.
var sound = []func(context.Context, ledgerfile.Querier) ([]string, error){wrongLatest, wrongCatalogue, wrongCounters, versions.Check}

// prove proves that a closed file holds a sound ledger with these contents.
func prove(ctx context.Context, path string, want ledgerfile.Contents) error {
	return ledgerfile.Prove(ctx, path, want, sound...)
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
		"SELECT (SELECT name FROM room), (SELECT count(*) FROM systems), count(*), min(taken_at), max(taken_at) FROM readings WHERE "+
			"status = 0",
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
