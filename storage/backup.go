package storage

import (
	"bufio"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"weirkeeper/assets/words"
)

// Backup is a verified copy of a ledger with what it held.
type Backup struct {
	Path    string         `json:"-"`
	Taken   time.Time      `json:"taken"`
	Size    int64          `json:"size"`
	SHA256  string         `json:"sha256"`
	Version int            `json:"version"` // of the schema
	Rows    map[string]int `json:"rows"`    // by table
	// Verified is when it was proved anew; zero: only when it was made.
	Verified time.Time `json:"verified,omitzero"`
}

const (
	backupSuffix = ".backup"
	aboutSuffix  = ".backup.json" // beside it: what it held
	sumSuffix    = ".backup.sha256"
	partSuffix   = ".partial"
	backupStamp  = "20060102-150405"
)

// Backup writes a copy of the ledger into a folder while it is in use, under a
// name with the time, and verifies it before it counts: integrity, foreign
// keys, the rows of every table (the account of actions among them), SHA-256. The photos
// go into a folder beside it. Saves wait for the copy, not for the
// verification. progress, which may be nil, is told the step at hand. When
// anything is wrong no backup is left behind.
func (s *Store) Backup(ctx context.Context, folder string, progress func(step string)) (Backup, error) {
	if progress == nil {
		progress = func(string) {}
	}
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return Backup{}, words.Errorf("making the backup folder: %s; choose a folder that you may write to", plainCause(err))
	}
	taken := s.clock().UTC()
	base := stemOf(s.path) + taken.Format(backupStamp)
	b := Backup{Path: filepath.Join(folder, base+backupSuffix), Taken: taken.Truncate(time.Second)}
	if _, err := os.Stat(b.Path); err == nil {
		return Backup{}, words.Errorf("there is a backup of this second already: %s", b.Path)
	}
	part := b.Path + partSuffix
	// A partial file of a backup that was killed is nobody's.
	if err := os.Remove(part); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return Backup{}, words.Errorf("clearing an unfinished backup: %w", err)
	}
	err := s.backup(ctx, &b, part, progress)
	if err != nil {
		os.Remove(part)
		return Backup{}, words.Errorf("backing up: %w", err)
	}
	return b, nil
}

func (s *Store) backup(ctx context.Context, b *Backup, part string, progress func(string)) error {
	progress("copying the ledger")
	if err := s.copyInto(ctx, part, b); err != nil {
		return writeFailed("copying the ledger", err)
	}
	progress("verifying the copy")
	if err := verifyCopy(ctx, part, b.Version, b.Rows); err != nil {
		return words.Errorf("the copy is not good, check the drive: %w", err)
	}
	var err error
	if b.SHA256, b.Size, err = sumOf(part); err != nil {
		return err
	}
	progress("copying the photos")
	if err := copyPhotos(photoFolder(s.path), photosBeside(b.Path)); err != nil {
		return err
	}
	progress("putting it in place")
	if err := syncFile(part); err != nil {
		return err
	}
	if err := b.describe(); err != nil {
		return err
	}
	if err := writeSynced(strings.TrimSuffix(b.Path, backupSuffix)+sumSuffix, []byte(b.SHA256+"  "+filepath.Base(b.Path)+"\n")); err != nil {
		return err
	}
	if err := os.Rename(part, b.Path); err != nil {
		return err
	}
	return syncFile(filepath.Dir(b.Path))
}

// photosBeside is the folder of the photos of all backups of a ledger, beside
// the backup at path. A photo never changes, so that they share it.
func photosBeside(path string) string {
	name := strings.TrimSuffix(filepath.Base(path), backupSuffix)
	return filepath.Join(filepath.Dir(path), name[:max(0, len(name)-len(backupStamp))]+"photos")
}

// stemOf is what the names of a ledger's backups begin with.
func stemOf(ledger string) string {
	return strings.TrimSuffix(filepath.Base(ledger), filepath.Ext(ledger)) + "-"
}

// copyInto copies the ledger. In the program that writes it runs on the one
// connection that does, so that nothing is saved between the count of rows and
// the copy; beside another program it copies again when rows came in between.
func (s *Store) copyInto(ctx context.Context, path string, b *Backup) error {
	from := s.write
	if s.ReadOnly() {
		from = s.read
	}
	pool, err := from.DB()
	if err != nil {
		return err
	}
	conn, err := pool.Conn(ctx)
	if err != nil {
		return err
	}
	defer conn.Close()
	if err := conn.QueryRowContext(ctx, "PRAGMA user_version").Scan(&b.Version); err != nil {
		return err
	}
	const attempts = 5
	for range attempts {
		if b.Rows, err = rowsOf(ctx, conn); err != nil {
			return err
		}
		if err := vacuumInto(ctx, conn, path); err != nil {
			return err
		}
		after, err := rowsOf(ctx, conn)
		if err != nil {
			return err
		}
		if maps.Equal(b.Rows, after) {
			return nil
		}
		if err := os.Remove(path); err != nil {
			return err
		}
	}
	return words.Errorf("the ledger changed during each of %d copies: try again when less is saved", attempts)
}

// vacuumInto writes the copy. A connection that may not write the ledger may
// write no copy either, so that is lifted for the while.
func vacuumInto(ctx context.Context, conn *sql.Conn, path string) error {
	var guarded int
	if err := conn.QueryRowContext(ctx, "PRAGMA query_only").Scan(&guarded); err != nil {
		return err
	}
	if guarded == 1 {
		if _, err := conn.ExecContext(ctx, "PRAGMA query_only = 0"); err != nil {
			return err
		}
		defer conn.ExecContext(context.WithoutCancel(ctx), "PRAGMA query_only = 1")
	}
	_, err := conn.ExecContext(ctx, "VACUUM INTO ?", path)
	return err
}

// querier is a database or one connection of it.
type querier interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}

// rowsOf counts the rows of every table.
func rowsOf(ctx context.Context, db querier) (map[string]int, error) {
	names, err := textColumn(ctx, db, "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%'")
	if err != nil {
		return nil, err
	}
	rows := map[string]int{}
	for _, name := range names {
		var n int
		if err := db.QueryRowContext(ctx, `SELECT count(*) FROM "`+name+`"`).Scan(&n); err != nil {
			return nil, words.Errorf("counting %s: %w", name, err)
		}
		rows[name] = n
	}
	return rows, nil
}

func textColumn(ctx context.Context, db querier, query string) ([]string, error) {
	rows, err := db.QueryContext(ctx, query)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var all []string
	for rows.Next() {
		var text string
		if err := rows.Scan(&text); err != nil {
			return nil, err
		}
		all = append(all, text)
	}
	return all, rows.Err()
}

// sumOf returns the SHA-256 of a file in hexadecimal, and its size.
func sumOf(path string) (sum string, size int64, err error) {
	f, err := os.Open(path)
	if err != nil {
		return "", 0, err
	}
	defer f.Close()
	h := sha256.New()
	size, err = io.Copy(h, bufio.NewReaderSize(f, 1<<20))
	return hex.EncodeToString(h.Sum(nil)), size, err
}

// syncFile makes a file, or the names in a folder, outlast a power cut.
func syncFile(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	if err := f.Sync(); err != nil {
		if info, statErr := f.Stat(); statErr == nil && info.IsDir() {
			return nil // some file systems cannot sync a folder
		}
		return err
	}
	return nil
}

func writeSynced(path string, data []byte) error {
	if err := os.WriteFile(path, data, 0o644); err != nil {
		return err
	}
	return syncFile(path)
}

// Backups returns the finished backups of a ledger in a folder, the newest
// first. Files that are none, or whose description is missing, are passed over; a
// folder that does not exist holds none.
func Backups(folder, ledger string) ([]Backup, error) {
	stem := stemOf(ledger)
	entries, err := os.ReadDir(folder)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, words.Errorf("reading the backup folder: %w", err)
	}
	var all []Backup
	for _, e := range entries {
		stamp, ours := strings.CutPrefix(strings.TrimSuffix(e.Name(), backupSuffix), stem)
		if !ours || len(stamp) != len(backupStamp) || !strings.HasSuffix(e.Name(), backupSuffix) {
			continue
		}
		if b, err := BackupAt(filepath.Join(folder, e.Name())); err == nil {
			all = append(all, b)
		}
	}
	slices.SortFunc(all, func(a, b Backup) int { return b.Taken.Compare(a.Taken) })
	return all, nil
}

// BackupAt returns the backup in a file, by the description beside it.
func BackupAt(path string) (Backup, error) {
	data, err := os.ReadFile(strings.TrimSuffix(path, backupSuffix) + aboutSuffix)
	if err != nil {
		return Backup{}, words.Errorf("what stands beside the backup cannot be read: %w", err)
	}
	b := Backup{}
	if err := json.Unmarshal(data, &b); err != nil {
		return Backup{}, words.Errorf("what stands beside the backup is not understood: %w", err)
	}
	b.Path = path
	return b, nil
}

// Verify proves a backup anew: its SHA-256 against the one taken when it was
// made, integrity, foreign keys and the rows of every table.
func (b Backup) Verify(ctx context.Context) error {
	sum, size, err := sumOf(b.Path)
	if err != nil {
		return words.Errorf("reading the backup: %w", err)
	}
	if sum != b.SHA256 || size != b.Size {
		return words.Errorf("%s has changed since it was made: use another backup", b.Path)
	}
	return verifyCopy(ctx, b.Path, b.Version, b.Rows)
}
