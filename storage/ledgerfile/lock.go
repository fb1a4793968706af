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
	"weirkeeper/storage/durable"
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
	file   *os.File // the ledger itself, locked by what it is, whatever it is called; nil: it is not there, or cannot be
	holder string
}

// Hold takes the lock of a ledger or returns a *HeldError. All names of a ledger
// have one lock: links are followed, and where the system can, the file itself is
// locked too. What a restore that was cut off left is brought to an end first.
func Hold(ctx context.Context, path string, now time.Time) (*Lock, error) {
	path, err := durable.Resolve(path)
	if err != nil {
		return nil, OpenFailed(path, err)
	}
	l, err := holdName(ctx, path)
	if err != nil {
		return nil, err
	}
	if err = resume(ctx, path); err == nil {
		l.file, err = holdFile(path)
	} else {
		err = words.Errorf("bringing a restore that was cut off to its end: %w", err)
	}
	if err != nil {
		l.Release()
		return nil, err
	}
	l.holder = path + holderSuffix
	l.sign(path, now)
	return l, nil
}

// holdName takes the lock of a name. The file of it is one of the ledger's, and no
// link that leads elsewhere.
func holdName(ctx context.Context, path string) (*Lock, error) {
	lock := lockOf(path)
	if info, err := os.Lstat(lock); err == nil && !info.Mode().IsRegular() {
		return nil, &OpenError{path, words.T("%s is no plain file", lock), "look at what it is, and move it away"}
	}
	_ = durable.New(lock, durable.ModeOf(path, durable.Private)) // where it cannot be made, opening it says why
	db, err := sql.Open(driverName, dsn(lock, "mode=rwc&_busy_timeout=0"))
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
	return &Lock{db: db, conn: conn}, nil
}

// sign says who holds the lock. That it cannot be said does not matter.
func (l *Lock) sign(path string, now time.Time) {
	h := Holder{PID: os.Getpid(), Since: now.UTC().Truncate(time.Second)}
	h.Host, _ = os.Hostname()
	if u, err := user.Current(); err == nil {
		h.User = u.Username
	}
	if data, err := json.Marshal(h); err == nil {
		_ = durable.WriteData(l.holder, append(data, '\n'), durable.ModeOf(path, durable.Private))
	}
}

func holderOf(path string) Holder {
	var h Holder
	const most = 1 << 12
	data, err := durable.Read(path+holderSuffix, most)
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
	if l.holder != "" {
		_ = durable.Remove(l.holder)
	}
	err := errors.Join(l.conn.Close(), l.db.Close())
	if l.file != nil {
		// The last thing of all: it takes away what SQLite holds of the file, too.
		err = errors.Join(err, l.file.Close())
	}
	return err
}

// lockOf is the database that is a ledger's lock.
func lockOf(path string) string { return NameBeside(path, lockSuffix) }

func canRead(path string) bool {
	file, err := os.Open(path)
	if err != nil {
		return false
	}
	file.Close()
	return true
}
