// Package storage is the ledger: one SQLite file for one room, through GORM.
// It is the only door to the data: every action is one transaction, and
// listeners learn after the commit what changed.
package storage

import (
	"context"
	"database/sql"
	"encoding/binary"
	"errors"
	"io"
	"net/url"
	"os"
	"path/filepath"
	"sync"
	"time"

	sqlite3 "github.com/mattn/go-sqlite3"
	"gorm.io/driver/sqlite"
	"gorm.io/gorm"
	"gorm.io/gorm/logger"

	"weirkeeper/assets/words"
	"weirkeeper/tanks"
)

// Clock tells the time now.
type Clock func() time.Time

// Store is an open ledger. Its methods may be called from any goroutine.
type Store struct {
	path   string
	clock  Clock
	lock   *lock // nil when the ledger is open only to look
	write  *gorm.DB
	read   *gorm.DB
	mutex  sync.Mutex
	listen map[int]func(Change)
	nextID int
	// history is what can be taken back of what was done since it was opened.
	history history
}

const (
	driverName    = "weirkeeper-ledger"
	applicationID = 0x57454952 // "WEIR"
	readers       = 3
	sqliteMagic   = "SQLite format 3\x00"
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
	readerQuery = "mode=rw&_query_only=1&_busy_timeout=10000&_foreign_keys=1&_cache_size=-32768"
)

// Create makes a new ledger for a room. It never writes over a file.
func Create(ctx context.Context, path string, room tanks.Room, clock Clock) (*Store, error) {
	if err := room.Validate(); err != nil {
		return nil, err
	}
	file, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o644)
	if errors.Is(err, os.ErrExist) {
		return nil, &OpenError{path, "there is a file of this name already", "choose another name, or open the file"}
	}
	if err != nil {
		return nil, &OpenError{path, "the file cannot be made: " + plainCause(err), "choose a folder that you may write to"}
	}
	file.Close()
	s, err := open(ctx, path, "mode=rwc&"+writerQuery, clock, true)
	if err == nil {
		err = s.SaveRoom(ctx, room)
	}
	if err == nil {
		// Open reads the file's header, which must not be in the log alone.
		err = s.fold(ctx)
	}
	if err != nil {
		if s != nil {
			s.Close()
		}
		os.Remove(path)
		os.Remove(path + lockSuffix)
		return nil, err
	}
	return s, nil
}

// Open opens a ledger that exists, for this program alone to write. The error is
// a *HeldError when another program has it open, and an *OpenError when the file
// is missing, no ledger, damaged, or from a newer program; the file is then
// untouched.
func Open(ctx context.Context, path string, clock Clock) (*Store, error) {
	if err := looksLikeLedger(path); err != nil {
		return nil, err
	}
	return open(ctx, path, "mode=rw&"+writerQuery, clock, false)
}

// OpenToLook opens a ledger that may be open elsewhere. Every action on it
// returns [ErrReadOnly]. The errors are those of [Open], and an *OpenError for a
// ledger of an older program, which must be opened for writing once.
func OpenToLook(ctx context.Context, path string, clock Clock) (*Store, error) {
	if err := looksLikeLedger(path); err != nil {
		return nil, err
	}
	steps, err := migrations()
	if err != nil {
		return nil, words.Errorf("reading the migrations: %w", err)
	}
	s := &Store{path: path, clock: clock, listen: map[int]func(Change){}}
	version, err := s.look(ctx, readerQuery)
	if err != nil && !logged(path) {
		// In a folder that cannot be written SQLite cannot make the files that go
		// with a log. Without a log the file alone is whole, and stays so.
		version, err = s.look(ctx, "mode=ro&immutable=1&_query_only=1&_cache_size=-32768")
	}
	if err != nil {
		return nil, openFailed(path, err)
	}
	if version < len(steps) {
		s.Close()
		return nil, &OpenError{path, "it was written by an older program", "open it for writing once, which brings it up to date"}
	}
	return s, nil
}

// look opens the connections of a store that only reads and returns the
// schema's version.
func (s *Store) look(ctx context.Context, query string) (version int, err error) {
	if s.read, err = connect(dsn(s.path, query), readers); err != nil {
		return 0, err
	}
	if err = s.read.WithContext(ctx).Raw("PRAGMA user_version").Row().Scan(&version); err != nil {
		s.Close()
	}
	return version, err
}

// logged tells whether a log lies beside a ledger, which is not whole without it.
func logged(path string) bool {
	info, err := os.Stat(path + "-wal")
	return err == nil && info.Size() > 0
}

func canRead(path string) bool {
	file, err := os.Open(path)
	if err != nil {
		return false
	}
	file.Close()
	return true
}

// ReadOnly tells whether the ledger is open only to look.
func (s *Store) ReadOnly() bool { return s.lock == nil }

// looksLikeLedger refuses files that SQLite would take for an empty database
// or that belong to another program, before anything opens them for writing.
func looksLikeLedger(path string) error {
	file, err := os.Open(path)
	if errors.Is(err, os.ErrNotExist) {
		return &OpenError{path, problemMissing, "check the name, or the drive that it is on"}
	}
	if err != nil {
		return &OpenError{path, "the file cannot be read: " + plainCause(err), "check that you may read it"}
	}
	defer file.Close()
	head := make([]byte, 100)
	n, err := io.ReadFull(file, head)
	if info, statErr := file.Stat(); statErr == nil && info.IsDir() {
		return &OpenError{path, "it is a folder", "choose the ledger file in it"}
	}
	if n == 0 {
		return &OpenError{path, problemEmpty, "restore it from a backup, or make a new room"}
	}
	if err != nil || string(head[:16]) != sqliteMagic {
		return &OpenError{path, problemNoLedger, "choose a file that this program made"}
	}
	// Offsets of the application's id and the schema's version in the header:
	// SQLite's file format, section 1.3.
	if binary.BigEndian.Uint32(head[68:]) != applicationID {
		return &OpenError{path, "it is a database of another program", "choose a file that this program made"}
	}
	steps, err := migrations()
	if err != nil {
		return words.Errorf("reading the migrations: %w", err)
	}
	return knownVersion(path, int(binary.BigEndian.Uint32(head[60:])), len(steps))
}

// knownVersion refuses a ledger of a newer program.
func knownVersion(path string, version, newest int) error {
	if version <= newest {
		return nil
	}
	return &OpenError{path, words.T("it was written by a newer program (version %d, this one knows %d)", version, newest), "open it with the newer program; nothing was changed"}
}

func open(ctx context.Context, path, query string, clock Clock, fresh bool) (*Store, error) {
	s := &Store{path: path, clock: clock, listen: map[int]func(Change){}}
	var err error
	if s.lock, err = hold(ctx, path, clock()); err != nil {
		return nil, err
	}
	if s.write, err = connect(dsn(path, query), 1); err != nil {
		s.Close()
		return nil, openFailed(path, err)
	}
	if err = s.prepare(ctx, fresh); err != nil {
		s.Close()
		return nil, err
	}
	if s.read, err = connect(dsn(path, readerQuery), readers); err != nil {
		s.Close()
		return nil, openFailed(path, err)
	}
	return s, nil
}

func connect(dsn string, connections int) (*gorm.DB, error) {
	db, err := gorm.Open(sqlite.New(sqlite.Config{DriverName: driverName, DSN: dsn}), &gorm.Config{Logger: logger.Discard})
	if err != nil {
		return nil, err
	}
	pool, err := db.DB()
	if err != nil {
		return nil, err
	}
	pool.SetMaxOpenConns(connections)
	pool.SetMaxIdleConns(connections)
	return db, nil
}

// prepare brings the schema up to date and asserts that what is written is
// safe.
func (s *Store) prepare(ctx context.Context, fresh bool) error {
	if err := s.migrate(ctx, fresh); err != nil {
		return err
	}
	return s.assertSafe(ctx)
}

// assertSafe reads back the settings that durability rests on.
func (s *Store) assertSafe(ctx context.Context) error {
	_, number, _ := sqlite3.Version()
	if number < oldestSQLite {
		return words.Errorf("SQLite %d is too old to keep a ledger: %d is needed", number, oldestSQLite)
	}
	for _, want := range []struct{ pragma, value string }{
		{"journal_mode", "wal"}, {"synchronous", "2"}, {"foreign_keys", "1"},
	} {
		var got string
		if err := s.write.WithContext(ctx).Raw("PRAGMA " + want.pragma).Row().Scan(&got); err != nil {
			return openFailed(s.path, err)
		}
		if got != want.value {
			return words.Errorf("the ledger's %s is %q, not %q: its folder may not allow safe writing", want.pragma, got, want.value)
		}
	}
	return nil
}

// Path returns the ledger's file.
func (s *Store) Path() string { return s.path }

// Close folds what is written into the one file and closes it.
func (s *Store) Close() error {
	var first error
	keep := func(err error) {
		if first == nil && err != nil {
			first = err
		}
	}
	if s.read != nil {
		keep(closePool(s.read))
		s.read = nil
	}
	if s.write != nil {
		keep(s.fold(context.Background()))
		keep(closePool(s.write))
		s.write = nil
	}
	keep(s.lock.release())
	s.lock = nil
	if first != nil {
		return words.Errorf("closing the ledger: %w", first)
	}
	return nil
}

// fold moves what is in the log into the ledger's file and empties the log.
func (s *Store) fold(ctx context.Context) error {
	return s.write.WithContext(ctx).Exec("PRAGMA wal_checkpoint(TRUNCATE)").Error
}

func closePool(db *gorm.DB) error {
	pool, err := db.DB()
	if err != nil {
		return err
	}
	return pool.Close()
}
