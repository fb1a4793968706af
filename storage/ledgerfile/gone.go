package ledgerfile

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
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
	part, err := f.provedCopy(ctx, filepath.Dir(to))
	if err != nil {
		return "", err
	}
	defer durable.Drop(part)
	if to == f.path {
		// The log that lies there may be that of this ledger: beside the file that is
		// set aside it must hold nothing.
		f.empty()
		kept, err = Replace(ctx, part, to, f.mode(), Rescued, now)
	} else if err = Vacant(to); err == nil {
		err = durable.PlaceNew(part, to, f.mode())
	}
	if err == nil {
		f.rescued.Store(true)
	}
	return kept, err
}

// provedCopy writes a whole, proved copy into a file in a folder that has no name yet.
func (f *File) provedCopy(ctx context.Context, folder string) (part string, err error) {
	if part, err = durable.Temporary(folder); err != nil {
		return "", words.Errorf("writing the copy: %s; choose another folder", PlainCause(err))
	}
	held, err := f.CopyInto(ctx, part)
	if err != nil {
		err = WriteFailed("copying the ledger", err)
	} else if err = Prove(ctx, part, held); err != nil {
		err = words.Errorf("the copy is not good, check the drive: %w", err)
	}
	if err != nil {
		durable.Drop(part)
		return "", err
	}
	return part, nil
}

// mode is that of the ledger's file.
func (f *File) mode() fs.FileMode {
	if f.main == nil {
		return durable.Private
	}
	return f.main.Mode().Perm()
}

// Keep writes a whole, proved copy of a ledger whose file is gone into a folder, under a
// name that nothing has there, and returns its file. The File stays as it is.
func (f *File) Keep(ctx context.Context, folder string, now time.Time) (string, error) {
	part, err := f.provedCopy(ctx, folder)
	if err != nil {
		return "", err
	}
	defer durable.Drop(part)
	end := filepath.Ext(f.path)
	stem := filepath.Join(folder, strings.TrimSuffix(filepath.Base(f.path), end))
	for n := 1; ; n++ {
		name := "-rescued-" + now.UTC().Format(Stamp) + end
		if n > 1 {
			name = fmt.Sprintf("-rescued-%s-%d%s", now.UTC().Format(Stamp), n, end)
		}
		to := NameBeside(stem, name)
		if Vacant(to) != nil && n < mostNumbers {
			continue
		}
		err := durable.PlaceNew(part, to, f.mode())
		if !errors.Is(err, fs.ErrExist) || n == mostNumbers {
			return to, err
		}
	}
}

// RescueBeside writes the copy beside the ledger's place, and returns its file. The File
// is then only good to be closed.
func (f *File) RescueBeside(ctx context.Context, now time.Time) (string, error) {
	to, err := f.Keep(ctx, filepath.Dir(f.path), now)
	if err == nil {
		f.rescued.Store(true)
	}
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
