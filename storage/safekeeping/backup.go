package safekeeping

import (
	"context"
	"encoding/json"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/storage"
	"weirkeeper/storage/ledgerfile"
)

// Backup is a verified copy of a ledger with what it held.
type Backup struct {
	Path   string    `json:"-"`
	Taken  time.Time `json:"taken"`
	Size   int64     `json:"size"`
	SHA256 string    `json:"sha256"`
	ledgerfile.Contents
	// Verified is when it was proved anew; zero: only when it was made.
	Verified time.Time `json:"verified,omitzero"`
}

const (
	backupSuffix = ".backup"
	aboutSuffix  = ".backup.json" // beside it: what it held
	sumSuffix    = ".backup.sha256"
)

// TakeBackup writes a copy of a ledger into a folder while it is in use, under a
// name with the time now, and proves it before it counts: integrity, foreign keys,
// the rows of every table (the account of actions among them), SHA-256. The photos
// go into a folder beside it. Saves wait for the copy, not for the proof. progress,
// which may be nil, is told the step at hand. When anything is wrong, or ctx ends,
// no backup is left behind.
func TakeBackup(ctx context.Context, s *storage.Store, folder string, now time.Time, progress func(step string)) (Backup, error) {
	if progress == nil {
		progress = func(string) {}
	}
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return Backup{}, words.Errorf("making the backup folder: %s; choose a folder that you may write to", ledgerfile.PlainCause(err))
	}
	now = now.UTC()
	base := stemOf(s.Path()) + now.Format(ledgerfile.Stamp)
	b := Backup{Path: filepath.Join(folder, base+backupSuffix), Taken: now.Truncate(time.Second)}
	if _, err := os.Stat(b.Path); err == nil {
		return Backup{}, words.Errorf("there is a backup of this second already: %s", b.Path)
	}
	part := b.Path + ledgerfile.PartSuffix
	// A partial file of a backup that was killed is nobody's.
	if err := os.Remove(part); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return Backup{}, words.Errorf("clearing an unfinished backup: %w", err)
	}
	if err := b.take(ctx, s, part, progress); err != nil {
		os.Remove(part)
		b.Remove()
		return Backup{}, words.Errorf("backing up: %w", err)
	}
	return b, nil
}

func (b *Backup) take(ctx context.Context, s *storage.Store, part string, progress func(string)) error {
	progress("copying the ledger")
	var err error
	if b.Contents, err = s.CopyInto(ctx, part); err != nil {
		return ledgerfile.WriteFailed("copying the ledger", err)
	}
	progress("verifying the copy")
	if err := prove(ctx, part, b.Contents); err != nil {
		return words.Errorf("the copy is not good, check the drive: %w", err)
	}
	if b.SHA256, b.Size, err = ledgerfile.SumOf(ctx, part); err != nil {
		return err
	}
	progress("copying the photos")
	if err := copyPhotos(ctx, ledgerfile.PhotoFolder(s.Path()), photosBeside(b.Path)); err != nil {
		return err
	}
	progress("putting it in place")
	if err := ledgerfile.SyncFile(part); err != nil {
		return err
	}
	if err := b.describe(); err != nil {
		return err
	}
	if err := ledgerfile.WriteSynced(strings.TrimSuffix(b.Path, backupSuffix)+sumSuffix, []byte(b.SHA256+"  "+filepath.Base(b.Path)+"\n")); err != nil {
		return err
	}
	if err := os.Rename(part, b.Path); err != nil {
		return err
	}
	return ledgerfile.SyncFile(filepath.Dir(b.Path))
}

// photosBeside is the folder of the photos of all backups of a ledger, beside
// the backup at path. A photo never changes, so that they share it.
func photosBeside(path string) string {
	name := strings.TrimSuffix(filepath.Base(path), backupSuffix)
	return filepath.Join(filepath.Dir(path), name[:max(0, len(name)-len(ledgerfile.Stamp))]+"photos")
}

// stemOf is what the names of a ledger's backups begin with.
func stemOf(ledger string) string {
	return strings.TrimSuffix(filepath.Base(ledger), filepath.Ext(ledger)) + "-"
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
		if !ours || len(stamp) != len(ledgerfile.Stamp) || !strings.HasSuffix(e.Name(), backupSuffix) {
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
	sum, size, err := ledgerfile.SumOf(ctx, b.Path)
	if err != nil {
		return words.Errorf("reading the backup: %w", err)
	}
	if sum != b.SHA256 || size != b.Size {
		return words.Errorf("%s has changed since it was made: use another backup", b.Path)
	}
	return prove(ctx, b.Path, b.Contents)
}
