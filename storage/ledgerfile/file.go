package ledgerfile

import (
	"context"
	"database/sql"
	"errors"
	"os"
	"path/filepath"
	"sync"
	"sync/atomic"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/storage/durable"
)

// File is an open ledger.
type File struct {
	path    string
	lock    *Lock   // nil when the file is open only to look
	write   *sql.DB // of one connection; nil when the file is open only to look
	read    *sql.DB
	closing sync.Once

	main, log os.FileInfo // of the file and its log, as they were opened; log is nil without a writer
	closed    atomic.Bool
	rescued   atomic.Bool // a copy was written of a file that is gone
}

// Create makes a new ledger without anything in it. It never writes over a file;
// whoever finds that nothing can be put into it discards it.
func Create(ctx context.Context, path string, now time.Time) (*File, error) {
	path, err := durable.Resolve(path)
	if err != nil {
		return nil, OpenFailed(path, err)
	}
	if err := newFile(path); err != nil {
		return nil, err
	}
	f, err := open(ctx, path, "mode=rwc&"+writerQuery, now, nil)
	if held := new(HeldError); errors.As(err, &held) {
		durable.Drop(path) // and not the lock, which is another's
		return nil, err
	}
	if err != nil {
		discard(path)
		return nil, err
	}
	// Open reads the file's header, which must not be in the log alone.
	if err := f.fold(ctx); err != nil {
		f.Discard()
		return nil, OpenFailed(path, err)
	}
	return f, nil
}

// Open opens a ledger that exists, for this program alone to write, and brings it
// to the newest version, of which a copy is kept before. The error is a *HeldError
// when another program has it open, and an *OpenError when the file is missing, no
// ledger, damaged, or from a newer program; the file is then untouched. Upgraded
// is called at the end of an upgrade, in the transaction of its last step.
func Open(ctx context.Context, path string, now time.Time, upgraded Upgraded) (*File, error) {
	path, err := durable.Resolve(path)
	if err != nil {
		return nil, OpenFailed(path, err)
	}
	if unfinished(path) {
		if err := bringToEnd(ctx, path, now); err != nil {
			return nil, err
		}
	}
	if err := Identify(path); err != nil {
		return nil, err
	}
	return open(ctx, path, "mode=rw&"+writerQuery, now, upgraded)
}

// bringToEnd ends a restore that was cut off.
func bringToEnd(ctx context.Context, path string, now time.Time) error {
	lock, err := Hold(ctx, path, now)
	if err != nil {
		return err
	}
	return lock.Release()
}

func open(ctx context.Context, path, query string, now time.Time, upgraded Upgraded) (*File, error) {
	f := &File{path: path}
	var err error
	if f.lock, err = Hold(ctx, path, now); err != nil {
		return nil, err
	}
	durable.Sweep(filepath.Dir(path), now)
	if f.write, err = connect(ctx, path, query, 1); err != nil {
		f.Close()
		return nil, OpenFailed(path, err)
	}
	err = f.migrate(ctx, now, upgraded)
	if err == nil {
		err = f.assertSafe(ctx)
	}
	if err == nil {
		err = f.assertWritable(ctx)
	}
	if err != nil {
		f.Close()
		return nil, err
	}
	if f.read, err = connect(ctx, path, readerQuery, readers); err != nil {
		f.Close()
		return nil, OpenFailed(path, err)
	}
	f.remember()
	return f, nil
}

// OpenToLook opens a ledger that may be open elsewhere, without a writer. The
// errors are those of [Open], and an *OpenError for a ledger of an older program,
// which must be opened for writing once.
func OpenToLook(ctx context.Context, path string) (*File, error) {
	path, err := durable.Resolve(path)
	if err != nil {
		return nil, OpenFailed(path, err)
	}
	if err := Identify(path); err != nil {
		return nil, err
	}
	steps, err := migrations()
	if err != nil {
		return nil, words.Errorf("reading the migrations: %w", err)
	}
	f := &File{path: path}
	version, err := f.look(ctx, readerQuery)
	if err != nil && !logged(path) {
		// In a folder that cannot be written SQLite cannot make the files that go
		// with a log. Without a log the file alone is whole, and stays so.
		version, err = f.look(ctx, aloneQuery)
	}
	if err != nil {
		return nil, OpenFailed(path, err)
	}
	if version < len(steps) {
		f.Close()
		return nil, &OpenError{path, "it was written by an older program", "open it for writing once, which brings it up to date"}
	}
	f.remember()
	return f, nil
}

// look opens the connections that only read and returns the schema's version.
func (f *File) look(ctx context.Context, query string) (version int, err error) {
	if f.read, err = connect(ctx, f.path, query, readers); err != nil {
		return 0, err
	}
	if version, err = Version(ctx, f.read); err != nil {
		f.read.Close()
	}
	return version, err
}

// logged tells whether a log lies beside a ledger, which is not whole without it.
func logged(path string) bool {
	info, err := os.Stat(path + logSuffix)
	return err == nil && info.Size() > 0
}

// Path returns the name of the file.
func (f *File) Path() string { return f.path }

// ReadOnly tells whether the ledger is open only to look.
func (f *File) ReadOnly() bool { return f.write == nil }

// Writer is the one connection that writes, nil when the ledger is open only to
// look.
func (f *File) Writer() *sql.DB { return f.write }

// Reader are the connections that read.
func (f *File) Reader() *sql.DB { return f.read }

// Close folds what is written into the one file and closes it.
func (f *File) Close() (err error) {
	f.closing.Do(func() { err = f.close() })
	if err != nil {
		return words.Errorf("closing the ledger: %w", err)
	}
	return nil
}

// close closes everything and returns the first error.
func (f *File) close() (first error) {
	keep := func(err error) {
		if first == nil && err != nil {
			first = err
		}
	}
	if f.read != nil {
		keep(f.read.Close())
	}
	if f.write != nil {
		if f.Intact() != nil {
			leaveLog(context.Background(), f.write)
		}
		keep(f.fold(context.Background()))
		keep(f.write.Close())
	}
	keep(f.lock.Release())
	f.closed.Store(true)
	return first
}

// fold moves what is in the log into the ledger's file and empties the log.
func (f *File) fold(ctx context.Context) error {
	_, err := f.write.ExecContext(ctx, "PRAGMA wal_checkpoint(TRUNCATE)")
	return err
}

// Discard closes a ledger that was made in vain and removes it.
func (f *File) Discard() {
	f.Close()
	discard(f.path)
}

func discard(path string) {
	durable.Drop(path)
	durable.Drop(lockOf(path))
}
