package ledgerfile

import (
	"context"
	"database/sql"
	"sync"

	sqlite3 "github.com/mattn/go-sqlite3"

	"weirkeeper/assets/words"
)

// blank is an empty ledger of a version, which has tables and no signs yet. Nobody
// changes one.
type blank struct {
	file    []byte // as it lies on a disk
	objects []object
	rules   []rule
}

// blanks are those that were made, by version: to run the migrations takes longer than
// to read a small ledger from end to end.
var blanks sync.Map

// blankOf returns the empty ledger of a version.
func blankOf(version int) (*blank, error) {
	if b, made := blanks.Load(version); made {
		return b.(*blank), nil
	}
	b, err := makeBlank(context.Background(), version)
	if err == nil {
		blanks.Store(version, b)
	}
	return b, err
}

// makeBlank makes it in memory.
func makeBlank(ctx context.Context, version int) (*blank, error) {
	db, err := sql.Open(driverName, ":memory:")
	if err != nil {
		return nil, err
	}
	defer db.Close()
	db.SetMaxOpenConns(1)
	tx, err := db.BeginTx(ctx, nil)
	if err != nil {
		return nil, err
	}
	defer tx.Rollback()
	if err := makeTables(ctx, tx, version); err != nil {
		return nil, err
	}
	b := &blank{}
	if b.objects, err = objectsOf(ctx, tx); err != nil {
		return nil, err
	}
	if b.rules, err = rulesOf(ctx, tx, b.objects); err != nil {
		return nil, err
	}
	if err := tx.Commit(); err != nil {
		return nil, err
	}
	b.file, err = serialized(ctx, db)
	return b, err
}

// serialized returns a database as its file would be.
func serialized(ctx context.Context, db *sql.DB) (file []byte, err error) {
	conn, err := db.Conn(ctx)
	if err != nil {
		return nil, err
	}
	defer conn.Close()
	err = conn.Raw(func(driver any) error {
		file, err = driver.(*sqlite3.SQLiteConn).Serialize("main")
		return err
	})
	if err != nil {
		return nil, words.Errorf("making an empty ledger: %w", err)
	}
	return file, nil
}
