package ledgerfile

import (
	"errors"
	"io/fs"
	"syscall"

	sqlite3 "github.com/mattn/go-sqlite3"

	"weirkeeper/assets/words"
)

// OpenError tells why a file cannot be opened as a ledger and what to do.
type OpenError struct {
	Path            string
	Problem, Remedy words.Text
}

// What is wrong with a file that a backup can stand in for.
const (
	problemDamaged  words.Text = "it is damaged"
	problemNoLedger words.Text = "it is no ledger"
	problemEmpty    words.Text = "the file is empty"
	problemMissing  words.Text = "there is no such file"
	problemNoRoom   words.Text = "it has no room in it"

	problemTaken  words.Text = "there is a file of this name already"
	problemCutOff words.Text = "a restore of it was cut off"
)

const problemGuarded words.Text = "it can be read but not written"

// Viewable tells that the ledger can be opened only to look.
func (e *OpenError) Viewable() bool { return e.Problem == problemGuarded }

// Lost tells that the ledger itself is gone or broken, so that a backup would
// help: not that it is newer than the program, or may not be read.
func (e *OpenError) Lost() bool {
	switch e.Problem {
	case problemDamaged, problemNoLedger, problemEmpty, problemMissing, problemNoRoom:
		return true
	}
	return false
}

// Damaged tells that the ledger is there but broken, so that some of it may be
// salvaged.
func (e *OpenError) Damaged() bool { return e.Problem == problemDamaged }

// Error says it in English.
func (e *OpenError) Error() string { return e.Words().String() }

// Words implements words.Worded.
func (e *OpenError) Words() words.Text { return words.T("%s: %s; %s", e.Path, e.Problem, e.Remedy) }

// OpenFailed turns SQLite's codes into plain words.
func OpenFailed(path string, err error) error {
	var e sqlite3.Error
	if !errors.As(err, &e) {
		return words.Errorf("opening %s: %w", path, err)
	}
	switch e.Code {
	case sqlite3.ErrNotADB:
		return &OpenError{path, problemNoLedger, "choose a file that this program made"}
	case sqlite3.ErrCorrupt:
		return &OpenError{path, problemDamaged, "keep it, and restore the last backup, or salvage what can be read"}
	case sqlite3.ErrReadonly, sqlite3.ErrPerm:
		return &OpenError{path, problemGuarded, "open it only to look, or check that you may write the file and its folder"}
	case sqlite3.ErrCantOpen:
		return &OpenError{path, "it cannot be opened", "check the name and that you may write the folder"}
	case sqlite3.ErrBusy, sqlite3.ErrLocked:
		return &OpenError{path, "another program holds it", "close the other program first"}
	}
	return words.Errorf("opening %s: %w", path, err)
}

// Damage tells that a file cannot be read because of what is in it, or because
// the drive does not give it.
func Damage(err error) bool {
	var e sqlite3.Error
	return errors.As(err, &e) && (e.Code == sqlite3.ErrCorrupt || e.Code == sqlite3.ErrIoErr || e.Code == sqlite3.ErrNotADB)
}

// Damaged is the error of a ledger that cannot be what it says that it is.
func Damaged(what words.Text) error {
	return words.Errorf("%s: %w", what, sqlite3.Error{Code: sqlite3.ErrCorrupt})
}

// Unreadable tells that a part of a file cannot be read which Identify took for a
// ledger.
func Unreadable(err error) bool {
	open := new(OpenError)
	return errors.As(err, &open) && (open.Damaged() || open.Problem == problemNoLedger) || Damage(err)
}

// WriteFailed says what was being done and why it could not be.
func WriteFailed(doing words.Text, err error) error {
	var e sqlite3.Error
	if errors.As(err, &e) {
		switch e.Code {
		case sqlite3.ErrFull:
			return words.Errorf("%s: not saved, the disk is full; make room and save again: %w", doing, err)
		case sqlite3.ErrReadonly, sqlite3.ErrPerm:
			return words.Errorf("%s: not saved, the ledger's file or folder cannot be written; check its permissions: %w", doing, err)
		case sqlite3.ErrIoErr:
			return words.Errorf("%s: not saved, the disk gave an error; check the drive: %w", doing, err)
		case sqlite3.ErrBusy, sqlite3.ErrLocked:
			return words.Errorf("%s: not saved, another program is writing the ledger; try again: %w", doing, err)
		}
	}
	return words.Errorf("%s: %w", doing, err)
}

// PlainCause says in plain words why a file could not be used.
func PlainCause(err error) words.Text {
	switch {
	case errors.Is(err, fs.ErrPermission):
		return "no permission"
	case errors.Is(err, fs.ErrNotExist):
		return "its folder does not exist"
	case errors.Is(err, syscall.ENOSPC):
		return "the disk is full"
	}
	return words.Of(err)
}
