// Package storage is the ledger's record: the entities of one room, what was done
// to them, and what can be taken back, through GORM over the SQLite file of
// ledgerfile. It is the only door to the data: every action is one transaction,
// and listeners learn after the commit what changed.
package storage

import (
	"context"
	"database/sql"
	"errors"
	"sync"
	"sync/atomic"
	"time"

	"gorm.io/driver/sqlite"
	"gorm.io/gorm"
	"gorm.io/gorm/logger"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/storage/ledgerfile"
	"weirkeeper/storage/versions"
	"weirkeeper/tanks"
)

// Clock tells the time now.
type Clock func() time.Time

// Store is an open ledger, for one author. Its methods may be called from any
// goroutine.
type Store struct {
	*ledger
	by Author
}

// ledger is what the stores of all authors share.
type ledger struct {
	file   *ledgerfile.File
	clock  Clock
	write  *gorm.DB // nil when the ledger is open only to look
	read   *gorm.DB
	mutex  sync.Mutex
	listen map[int]func(Touched)
	nextID int
	tables map[string]*versions.Table // by name
	kept   kept
	newest atomic.Int64 // when the newest action was done, which the clock is compared with; zero: none was
}

// Create makes a new ledger for a room. It never writes over a file.
func Create(ctx context.Context, path string, room tanks.Room, clock Clock) (*Store, error) {
	if err := room.Validate(); err != nil {
		return nil, err
	}
	file, err := ledgerfile.Create(ctx, path, clock())
	if err != nil {
		return nil, err
	}
	s, err := storeOf(ctx, file, clock)
	if err == nil {
		err = s.SaveRoom(ctx, room)
	}
	if err != nil {
		file.Discard()
		return nil, err
	}
	return s, nil
}

// Open opens a ledger that exists, for this program alone to write. The errors
// are those of [ledgerfile.Open].
func Open(ctx context.Context, path string, clock Clock) (*Store, error) {
	file, err := ledgerfile.Open(ctx, path, clock(), func(ctx context.Context, tx *sql.Tx, version int) error {
		return versions.Baseline(ctx, tx, words.T("bringing the ledger to version %d", version), clock())
	})
	if err != nil {
		return nil, err
	}
	s, err := storeOf(ctx, file, clock)
	if err != nil {
		file.Close()
		return nil, err
	}
	return s, nil
}

// OpenToLook opens a ledger that may be open elsewhere. Every action on it
// returns [ErrReadOnly]. The errors are those of [ledgerfile.OpenToLook].
func OpenToLook(ctx context.Context, path string, clock Clock) (*Store, error) {
	file, err := ledgerfile.OpenToLook(ctx, path)
	if err != nil {
		return nil, err
	}
	s, err := storeOf(ctx, file, clock)
	if err != nil {
		file.Close()
		return nil, err
	}
	return s, nil
}

// storeOf makes the store of an open file.
func storeOf(ctx context.Context, file *ledgerfile.File, clock Clock) (*Store, error) {
	s := &Store{ledger: &ledger{file: file, clock: clock, listen: map[int]func(Touched){}}}
	var err error
	if s.read, err = mapped(file.Reader()); err != nil {
		return nil, ledgerfile.OpenFailed(file.Path(), err)
	}
	if err := s.findNewest(ctx); err != nil {
		return nil, err
	}
	if file.ReadOnly() {
		return s, nil
	}
	if s.write, err = mapped(file.Writer()); err != nil {
		return nil, ledgerfile.OpenFailed(file.Path(), err)
	}
	if s.tables, err = versions.Tables(ctx, file.Writer()); err != nil {
		return nil, ledgerfile.OpenFailed(file.Path(), err)
	}
	if err := s.fillAnalytes(ctx); err != nil {
		return nil, ledgerfile.OpenFailed(file.Path(), err)
	}
	return s, nil
}

// mapped gives GORM the connections of a file.
func mapped(pool *sql.DB) (*gorm.DB, error) {
	return gorm.Open(sqlite.New(sqlite.Config{Conn: pool}), &gorm.Config{Logger: logger.Discard})
}

// fillAnalytes puts the catalogue's numbers into the ledger, for its foreign
// keys and for whoever reads the file with plain SQL.
func (s *Store) fillAnalytes(ctx context.Context) error {
	return s.write.WithContext(ctx).Transaction(func(tx *gorm.DB) error {
		for _, info := range chem.Catalogue() {
			err := tx.Exec(
				"INSERT INTO analytes (id, key) VALUES (?, ?) ON CONFLICT (id) DO UPDATE SET key = excluded.key WHERE key <> excluded.key",
				int(info.Analyte),
				info.Key,
			).Error
			if err != nil {
				return words.Errorf("writing the catalogue: %w", err)
			}
		}
		return nil
	})
}

// ReadOnly tells whether the ledger is open only to look.
func (s *Store) ReadOnly() bool { return s.file.ReadOnly() }

// Path returns the ledger's file.
func (s *Store) Path() string { return s.file.Path() }

// Close folds what is written into the one file and closes it. When that file is
// gone and no copy was written, one is written beside its place, and the error says
// where.
func (s *Store) Close() error {
	gone := new(ledgerfile.GoneError)
	if s.ReadOnly() || s.file.Rescued() || !errors.As(s.file.Intact(), &gone) {
		return s.file.Close()
	}
	to, err := s.file.RescueBeside(context.Background(), s.clock())
	if err == nil {
		err = errors.Join(
			words.Errorf("%s %s by another program while it was open: all that it held is in %s", gone.Path, gone.Problem, to),
			s.bringPhotos(context.Background(), to),
		)
	}
	return errors.Join(err, s.file.Close())
}

// Intact tells whether the ledger's file is still the one that was opened. The error
// is a *ledgerfile.GoneError.
func (s *Store) Intact() error { return s.file.Intact() }

// Rescue writes a whole copy of a ledger whose file is gone: to its place, where what
// lies there is set aside and returned as kept, or elsewhere, with its photos. The
// store is then only good to be closed; after a *PhotosLeftError too, the copy is whole.
func (s *Store) Rescue(ctx context.Context, to string) (kept string, err error) {
	if kept, err = s.file.Rescue(ctx, to, s.clock()); err != nil {
		return kept, err
	}
	return kept, s.bringPhotos(ctx, to)
}

// KeepCopy writes a whole copy of a ledger whose file is gone into a folder, under a
// name that nothing has there, with its photos as far as they can be had, and returns
// its file. The store stays as it is.
func (s *Store) KeepCopy(ctx context.Context, folder string) (to string, err error) {
	if to, err = s.file.Keep(ctx, folder, s.clock()); err != nil {
		return "", err
	}
	return to, s.bringPhotos(ctx, to)
}

// CopyInto writes a copy of the ledger as it is at one instant into a new file,
// and returns what the copy must hold. Saves wait for it.
func (s *Store) CopyInto(ctx context.Context, path string) (ledgerfile.Contents, error) {
	return s.file.CopyInto(ctx, path)
}

// Snapshot begins a transaction in which everything is read as it is at one
// instant, and nothing can be written.
func (s *Store) Snapshot(ctx context.Context) (*sql.Tx, error) {
	return s.file.Reader().BeginTx(ctx, &sql.TxOptions{ReadOnly: true})
}
