package storage

import (
	"errors"

	sqlite3 "github.com/mattn/go-sqlite3"

	"weirkeeper/assets/words"
)

// ErrNotFound tells that what was asked for is not in the ledger.
var ErrNotFound = words.New("not in the ledger")

// ErrReadOnly is returned by every action on a ledger that was opened only to
// look.
var ErrReadOnly = words.New("the ledger is open only to look: close it where it is open for writing, and open it again")

// refersNowhere tells that a row would refer to one that is not there.
func refersNowhere(err error) bool {
	var e sqlite3.Error
	return errors.As(err, &e) && e.ExtendedCode == sqlite3.ErrConstraintForeignKey
}
