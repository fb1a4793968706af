package ledgerfile

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"os"

	"weirkeeper/assets/words"
	"weirkeeper/storage/durable"
)

const (
	applicationID = 0x57454952 // "WEIR"
	sqliteMagic   = "SQLite format 3\x00"
)

// Endings of the files that belong to a ledger, behind its name.
const (
	logSuffix    = "-wal"
	lockSuffix   = "-lock"   // stays, empty: to remove it would let two programs lock two files
	holderSuffix = "-holder" // says who, while it is held
	photosSuffix = "-photos"
)

// Stamp is the layout of the times in the names of copies, in UTC.
const Stamp = "20060102-150405"

// Endings returns what the names of the files end with that are one database, the
// database's own first: a log left beside another one would damage it.
func Endings() []string { return []string{"", logSuffix, "-shm", "-journal"} }

// PhotoFolder is where the photos of the ledger at path lie.
func PhotoFolder(path string) string { return path + photosSuffix }

// Identify refuses files that SQLite would take for an empty database or that
// belong to another program, before anything opens them for writing. The error is
// an *OpenError.
func Identify(path string) error {
	if unfinished(path) {
		return &OpenError{path, problemCutOff, "open it for writing, which brings that to its end"}
	}
	if info, err := os.Stat(path); err == nil && !info.Mode().IsRegular() && !info.IsDir() {
		return &OpenError{path, "it is no plain file", "choose a file that this program made"} // a pipe may never be read
	}
	file, err := os.Open(path)
	if errors.Is(err, os.ErrNotExist) {
		return &OpenError{path, problemMissing, "check the name, or the drive that it is on"}
	}
	if err != nil {
		return &OpenError{path, "the file cannot be read: " + PlainCause(err), "check that you may read it"}
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
	if (err != nil || string(head[:16]) != sqliteMagic || binary.BigEndian.Uint32(head[68:]) != applicationID) && declaresLedger(file) {
		return &OpenError{path, problemDamaged, "keep it, and restore the last backup, or salvage what can be read"}
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

// declaresLedger tells the declarations of a ledger's tables in the beginning of a
// file, whatever its first page says that it is.
func declaresLedger(file *os.File) bool {
	const beginning = 1 << 20
	data := make([]byte, beginning)
	n, err := file.ReadAt(data, 0)
	if err != nil && !errors.Is(err, io.EOF) {
		return false
	}
	for _, table := range []string{"readings", "analytes", "latest"} {
		if !bytes.Contains(data[:n], []byte("CREATE TABLE "+table+" (")) {
			return false
		}
	}
	return true
}

// knownVersion refuses a ledger of a newer program.
func knownVersion(path string, version, newest int) error {
	if version <= newest {
		return nil
	}
	return &OpenError{
		path,
		words.T("it was written by a newer program (version %d, this one knows %d)", version, newest),
		"open it with the newer program; nothing was changed",
	}
}

// Version reads the version of a database's schema.
func Version(ctx context.Context, db Querier) (v int, err error) {
	err = db.QueryRowContext(ctx, "PRAGMA user_version").Scan(&v)
	return v, err
}

// Sign gives a database the signs that programs know a ledger by.
func Sign(ctx context.Context, tx *sql.Tx, version int) error {
	for _, pragma := range []string{fmt.Sprintf("PRAGMA application_id = %d", applicationID),
		fmt.Sprintf("PRAGMA user_version = %d", version)} {
		if _, err := tx.ExecContext(ctx, pragma); err != nil {
			return err
		}
	}
	return nil
}

// newFile makes an empty file, never over another or beside a log. The error is an
// *OpenError.
func newFile(path string) error {
	if err := Vacant(path); err != nil {
		return err
	}
	err := durable.New(path, durable.Private)
	if errors.Is(err, os.ErrExist) {
		return &OpenError{path, problemTaken, "choose another name, or open the file"}
	}
	if err != nil {
		return &OpenError{path, "the file cannot be made: " + PlainCause(err), "choose a folder that you may write to"}
	}
	return nil
}
