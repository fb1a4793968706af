package ledgerfile

import (
	"context"
	"database/sql"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	sqlite3 "github.com/mattn/go-sqlite3"

	"weirkeeper/assets/words"
	"weirkeeper/storage/durable"
)

// GoneError says that the file which is open is not the one at its place any more,
// as when a program that keeps folders alike has put another there. What is written
// into it is in no file that anybody will open; all of it can still be copied.
type GoneError struct {
	Path    string
	Problem words.Text
}

// Error says it in English.
func (e *GoneError) Error() string { return e.Words().String() }

// Words implements words.Worded.
func (e *GoneError) Words() words.Text {
	return words.T(
		"%s %s by another program while it was open here: nothing more is saved into it until a whole copy of it is written",
		e.Path, e.Problem,
	)
}

// What befell a file that is open.
const (
	problemRemoved    words.Text = "was removed"
	problemReplaced   words.Text = "was replaced"
	problemLogRemoved words.Text = "has lost its log, which was removed or replaced"
)

// remember keeps what the ledger's file, and its log if it is open for writing, are.
func (f *File) remember() {
	f.main, _ = os.Stat(f.path)
	if !f.ReadOnly() {
		f.log, _ = os.Stat(f.path + logSuffix)
	}
}

// Intact tells whether the ledger's file and its log are still those that were
// opened; of a closed one nothing is said. The error is a *GoneError.
func (f *File) Intact() error {
	if f.closed.Load() {
		return nil
	}
	if f.rescued.Load() {
		return &GoneError{f.path, problemReplaced} // by its own copy
	}
	switch now, err := os.Stat(f.path); {
	case f.main == nil:
		return nil
	case errors.Is(err, fs.ErrNotExist):
		return &GoneError{f.path, problemRemoved}
	case err == nil && !os.SameFile(f.main, now):
		// What is in the log would be taken for the other file's by whoever opens it
		// after this program was stopped.
		f.empty()
		return &GoneError{f.path, problemReplaced}
	}
	if f.log == nil {
		return nil
	}
	if now, err := os.Stat(f.path + logSuffix); errors.Is(err, fs.ErrNotExist) || err == nil && !os.SameFile(f.log, now) {
		// What is in the log that nobody else can find belongs into the file, which is
		// at its place.
		f.empty()
		return &GoneError{f.path, problemLogRemoved}
	}
	return nil
}

// empty moves what is in the log into the file that was opened, wherever that is.
// That it cannot be done changes nothing: the log stays as it is.
func (f *File) empty() {
	if f.write != nil {
		_ = f.fold(context.Background())
	}
}

// Rescue writes a whole, proved copy of a ledger whose file is gone to a place: its
// own, where what lies there is set aside and returned as kept, or one where there is
// no file. The File is then only good to be closed.
func (f *File) Rescue(ctx context.Context, to string, now time.Time) (kept string, err error) {
	if to, err = durable.Resolve(to); err != nil {
		return "", err
	}
	part, err := durable.Temporary(filepath.Dir(to))
	if err != nil {
		return "", words.Errorf("writing the copy: %s; choose another folder", PlainCause(err))
	}
	defer durable.Drop(part)
	held, err := f.CopyInto(ctx, part)
	if err != nil {
		return "", WriteFailed("copying the ledger", err)
	}
	if err := Prove(ctx, part, held); err != nil {
		return "", words.Errorf("the copy is not good, check the drive: %w", err)
	}
	mode := durable.Private
	if f.main != nil {
		mode = f.main.Mode().Perm()
	}
	if to == f.path {
		// The log that lies there may be that of this ledger: beside the file that is
		// set aside it must hold nothing.
		f.empty()
		kept, err = Replace(ctx, part, to, mode, Rescued, now)
	} else if err = Vacant(to); err == nil {
		err = durable.PlaceNew(part, to, mode)
	}
	if err == nil {
		f.rescued.Store(true)
	}
	return kept, err
}

// RescueBeside writes the copy beside the ledger's place, and returns its file.
func (f *File) RescueBeside(ctx context.Context, now time.Time) (string, error) {
	end := filepath.Ext(f.path)
	to := NameBeside(strings.TrimSuffix(f.path, end), "-rescued-"+now.UTC().Format(Stamp)+end)
	_, err := f.Rescue(ctx, to, now)
	return to, err
}

// Rescued tells that a copy was written of a file that is gone.
func (f *File) Rescued() bool { return f.rescued.Load() }

// leaveLog keeps SQLite from removing, by its name, a log that may by now be that of
// another file.
func leaveLog(ctx context.Context, db *sql.DB) {
	conn, err := db.Conn(ctx)
	if err != nil {
		return
	}
	defer conn.Close()
	_ = conn.Raw(func(driver any) error {
		return driver.(*sqlite3.SQLiteConn).SetFileControlInt("main", sqlite3.SQLITE_FCNTL_PERSIST_WAL, 1)
	})
}
