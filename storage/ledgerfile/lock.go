package ledgerfile

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"os"
	"os/user"
	"time"

	sqlite3 "github.com/mattn/go-sqlite3"

	"weirkeeper/assets/words"
)

// Holder is who has a ledger open for writing.
type Holder struct {
	Host  string    `json:"host"`
	User  string    `json:"user"`
	PID   int       `json:"pid"`
	Since time.Time `json:"since"`
}

// HeldError says that another program has the ledger open.
type HeldError struct {
	Path   string
	Holder Holder // zero when it is not known
}

// Error says it in English.
func (e *HeldError) Error() string { return e.Words().String() }

// Words implements words.Worded: who holds the ledger and what to do.
func (e *HeldError) Words() words.Text {
	who := words.Text("another program")
	if e.Holder.PID != 0 {
		who = words.T("%s on %s (process %d, since %s)", e.Holder.User, e.Holder.Host, e.Holder.PID, words.Moment(e.Holder.Since.Local()))
	}
	return words.T("%s is open already, by %s: close it there, or open it here only to look", e.Path, who)
}

// Lock keeps a second program from writing. It is an exclusive transaction on an
// empty database beside the ledger, which the operating system ends with the
// program however that ends: a crash leaves nothing to clear away.
type Lock struct {
	db     *sql.DB
	conn   *sql.Conn
	holder string
}

// Hold takes the lock of a ledger or returns a *HeldError.
func Hold(ctx context.Context, path string, now time.Time) (*Lock, error) {
	db, err := sql.Open(driverName, dsn(path+lockSuffix, "mode=rwc&_busy_timeout=0"))
	if err != nil {
		return nil, err
	}
	db.SetMaxOpenConns(1)
	conn, err := db.Conn(ctx)
	if err == nil {
		_, err = conn.ExecContext(ctx, "BEGIN EXCLUSIVE")
	}
	if err != nil {
		db.Close()
		var e sqlite3.Error
		if errors.As(err, &e) && (e.Code == sqlite3.ErrBusy || e.Code == sqlite3.ErrLocked) {
			return nil, &HeldError{Path: path, Holder: holderOf(path)}
		}
		if errors.As(err, &e) && e.Code == sqlite3.ErrCantOpen && canRead(path) {
			return nil, &OpenError{path, problemGuarded, "open it only to look, or check that you may write its folder"}
		}
		return nil, OpenFailed(path, err)
	}
	l := &Lock{db: db, conn: conn, holder: path + holderSuffix}
	l.sign(now)
	return l, nil
}

// sign says who holds the lock. That it cannot be said does not matter.
func (l *Lock) sign(now time.Time) {
	h := Holder{PID: os.Getpid(), Since: now.UTC().Truncate(time.Second)}
	h.Host, _ = os.Hostname()
	if u, err := user.Current(); err == nil {
		h.User = u.Username
	}
	if data, err := json.Marshal(h); err == nil {
		os.WriteFile(l.holder, append(data, '\n'), 0o644)
	}
}

func holderOf(path string) Holder {
	var h Holder
	data, err := os.ReadFile(path + holderSuffix)
	if err != nil || json.Unmarshal(data, &h) != nil {
		return Holder{}
	}
	return h
}

// Release lets the next program in.
func (l *Lock) Release() error {
	if l == nil {
		return nil
	}
	os.Remove(l.holder)
	return errors.Join(l.conn.Close(), l.db.Close())
}

func canRead(path string) bool {
	file, err := os.Open(path)
	if err != nil {
		return false
	}
	file.Close()
	return true
}
