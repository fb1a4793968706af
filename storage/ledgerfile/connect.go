package ledgerfile

import (
	"context"
	"database/sql"
	"net/url"
	"path/filepath"

	sqlite3 "github.com/mattn/go-sqlite3"

	"weirkeeper/assets/words"
	"weirkeeper/storage/durable"
)

const (
	driverName = "weirkeeper-ledger"
	readers    = 3
	// oldestSQLite is the first version without the WAL-reset fault.
	oldestSQLite = 3051003
)

func init() {
	sql.Register(driverName, &sqlite3.SQLiteDriver{ConnectHook: func(c *sqlite3.SQLiteConn) error {
		for _, pragma := range []string{
			"PRAGMA fullfsync = 1", "PRAGMA checkpoint_fullfsync = 1", "PRAGMA journal_size_limit = 67108864",
			"PRAGMA trusted_schema = 0", "PRAGMA cell_size_check = 1",
		} {
			if _, err := c.Exec(pragma, nil); err != nil {
				return words.Errorf("%s: %w", pragma, err)
			}
		}
		return nil
	}})
}

func dsn(path, query string) string {
	u := url.URL{Scheme: "file", OmitHost: true, Path: filepath.ToSlash(path), RawQuery: query}
	return u.String()
}

const (
	writerQuery = "_journal_mode=WAL&_synchronous=FULL&_txlock=immediate&_busy_timeout=10000&_foreign_keys=1&_cache_size=-65536"
	readerQuery = "mode=rw&_query_only=1&_busy_timeout=10000&_foreign_keys=1&_cache_size=-2048"
	// aloneQuery reads a file as it lies, without a log and without locks.
	aloneQuery = "mode=ro&immutable=1&_query_only=1&_cache_size=-8192"
)

// connect opens so many connections, all at once and each with a look into the file:
// one that was opened when it is first needed would find whatever lies at the path
// then.
func connect(ctx context.Context, path, query string, connections int) (*sql.DB, error) {
	db, err := sql.Open(driverName, dsn(path, query))
	if err != nil {
		return nil, err
	}
	db.SetMaxOpenConns(connections)
	db.SetMaxIdleConns(connections)
	if err := reachAll(ctx, db, connections); err != nil {
		db.Close()
		return nil, err
	}
	return db, nil
}

func reachAll(ctx context.Context, db *sql.DB, connections int) error {
	for range connections {
		c, err := db.Conn(ctx)
		if err != nil {
			return err
		}
		defer c.Close()
		var tables int
		if err := c.QueryRowContext(ctx, "SELECT count(*) FROM sqlite_schema").Scan(&tables); err != nil {
			return err
		}
	}
	return nil
}

// Reach is how a file is opened to be read on one connection that cannot write.
type Reach string

// The ways.
const (
	InUse Reach = "mode=ro&_query_only=1&_busy_timeout=10000"             // it may be open elsewhere
	Alone Reach = "mode=ro&immutable=1&_query_only=1&_busy_timeout=10000" // it is closed: as it lies, without a log
	Owned Reach = "mode=rw&_query_only=1&_busy_timeout=10000"             // a copy of one's own, with its log
)

// OpenToRead opens a file to be read.
func OpenToRead(path string, reach Reach) (*sql.DB, error) {
	db, err := sql.Open(driverName, dsn(path, string(reach)))
	if err != nil {
		return nil, err
	}
	db.SetMaxOpenConns(1)
	return db, nil
}

// OpenToFill makes an empty ledger of a version of a new or empty file, and opens it
// on one connection for whoever fills it in one transaction and proves it then:
// references are not looked after while it is filled, and the signs that programs know
// a ledger by are missing.
func OpenToFill(path string, version int) (*sql.DB, error) {
	empty, err := blankOf(version)
	if err != nil {
		return nil, err
	}
	if err := durable.WriteData(path, empty.file, durable.Private); err != nil {
		return nil, err
	}
	db, err := sql.Open(driverName, dsn(path, "mode=rw&_journal_mode=DELETE&_synchronous=FULL&_foreign_keys=0"))
	if err != nil {
		return nil, err
	}
	db.SetMaxOpenConns(1)
	return db, nil
}

// assertWritable tells a file that may not be written, which opens all the same,
// by a statement that writes nothing.
func (f *File) assertWritable(ctx context.Context) error {
	tables, err := Tables(ctx, f.write)
	if err == nil {
		_, err = f.write.ExecContext(ctx, `DELETE FROM "`+tables[0]+`" WHERE 0`)
	}
	if err != nil {
		return OpenFailed(f.path, err)
	}
	return nil
}

// assertSafe reads back the settings that durability rests on.
func (f *File) assertSafe(ctx context.Context) error {
	_, number, _ := sqlite3.Version()
	if number < oldestSQLite {
		return words.Errorf("SQLite %d is too old to keep a ledger: %d is needed", number, oldestSQLite)
	}
	for _, want := range []struct{ pragma, value string }{
		{"journal_mode", "wal"}, {"synchronous", "2"}, {"foreign_keys", "1"},
	} {
		var got string
		if err := f.write.QueryRowContext(ctx, "PRAGMA "+want.pragma).Scan(&got); err != nil {
			return OpenFailed(f.path, err)
		}
		if got != want.value {
			return words.Errorf("the ledger's %s is %q, not %q: its folder may not allow safe writing", want.pragma, got, want.value)
		}
	}
	return nil
}
