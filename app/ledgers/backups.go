package ledgers

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/storage"
	"weirkeeper/storage/durable"
	"weirkeeper/storage/ledgerfile"
	"weirkeeper/storage/safekeeping"
)

const (
	// backupEvery is how old the newest backup may get while a ledger is open.
	backupEvery = 24 * time.Hour
	// proveEvery is how old the proof of a backup may get.
	proveEvery = 30 * 24 * time.Hour
)

// Backups are those of one ledger.
type Backups struct {
	Ledger string
	Folder string
	beside bool // nobody chose the folder: it lies beside the ledger, and is made when it is needed
}

// makeFolder makes the folder beside the ledger. One that a person chose is made
// when they choose it, and never again: it may lie on a drive that is not there.
func (b Backups) makeFolder() error {
	if !b.beside {
		return nil
	}
	mode := durable.FolderMode(durable.ModeOf(b.Ledger, durable.Private))
	if err := durable.MakeFolders(b.Folder, mode); err != nil {
		return words.Errorf("making the backup folder: %w", err)
	}
	return nil
}

// BackupsOf returns the backups of a ledger in the chosen folder; empty: the one
// beside it.
func BackupsOf(ledger, chosen string) Backups {
	if real, err := durable.Resolve(ledger); err == nil {
		ledger = real
	}
	if chosen == "" {
		return Backups{ledger, filepath.Join(filepath.Dir(ledger), "backups"), true}
	}
	return Backups{ledger, chosen, false}
}

// Missing tells that the folder which a person chose is not there: the drive that
// it is on may not be plugged in.
func (b Backups) Missing() bool {
	info, err := os.Stat(b.Folder)
	return !b.beside && (err != nil || !info.IsDir())
}

// Newest returns the newest backup. One that is dated after now was made before the
// clock was set back: it must not keep new ones from being made.
func (b Backups) Newest(now time.Time) (newest safekeeping.Backup, ok bool) {
	all, err := safekeeping.Backups(b.Folder, b.Ledger)
	if err != nil {
		return safekeeping.Backup{}, false
	}
	for _, one := range all {
		if !one.Taken.After(now) {
			return one, true
		}
	}
	return safekeeping.Backup{}, false
}

// Due tells whether a new backup is due: there is none of the last day.
func (b Backups) Due(now time.Time) bool {
	newest, ok := b.Newest(now)
	return !ok || now.Sub(newest.Taken) >= backupEvery
}

// Make makes a backup, thins the old ones out, and proves the one whose proof is
// the oldest anew. step is told what is being done.
func (b Backups) Make(ctx context.Context, store *storage.Store, now time.Time, step func(words.Text)) error {
	if err := b.makeFolder(); err != nil {
		return err
	}
	if _, err := safekeeping.TakeBackup(ctx, store, b.Folder, now, func(s string) { step(words.T("Backup: %s ...", s)) }); err != nil {
		return err
	}
	all, err := safekeeping.Backups(b.Folder, b.Ledger)
	if err != nil {
		return err
	}
	for _, old := range safekeeping.UsualKeep.Surplus(all, now) {
		if err := old.Remove(); err != nil {
			return err
		}
	}
	step("Backup: proving an old one ...")
	old, err := safekeeping.Reverify(ctx, b.Folder, b.Ledger, now, proveEvery)
	if err != nil && old.Path != "" {
		return words.Errorf("the new backup is good, but an old one is not any more: %w; look at the others in Setup, Backups", err)
	}
	return err
}

// Keep puts a whole copy of an open ledger whose file is gone where it is safe: among
// the backups, or else beside the ledger's place, or else where ledgers usually lie. It
// never writes over anything, and returns the copy's file; after a
// *storage.PhotosLeftError too.
func (b Backups) Keep(ctx context.Context, store *storage.Store, now time.Time) (path string, err error) {
	beside := filepath.Dir(b.Ledger)
	// A folder is not made where none is: the drive that it was on may be gone.
	if info, err := os.Stat(beside); !b.beside || err == nil && info.IsDir() {
		if err = b.makeFolder(); err == nil {
			if made, err := safekeeping.TakeBackup(ctx, store, b.Folder, now, nil); err == nil {
				return made.Path, nil
			}
		}
	}
	left := new(storage.PhotosLeftError)
	if path, err = store.KeepCopy(ctx, beside); err == nil || errors.As(err, &left) {
		return path, err
	}
	if err := durable.MakeFolders(Folder(), durable.FolderMode(durable.Private)); err != nil {
		return "", words.Errorf("making the folder of ledgers: %w", err)
	}
	return store.KeepCopy(ctx, Folder())
}

// Good returns the newest backup that is proved good now; ok is false when there is
// none, or it cannot be told.
func (b Backups) Good(ctx context.Context) (good safekeeping.Backup, ok bool) {
	all, err := safekeeping.Backups(b.Folder, b.Ledger)
	if err != nil {
		return safekeeping.Backup{}, false
	}
	for _, one := range all {
		if one.Verify(ctx) == nil {
			return one, true
		}
	}
	return safekeeping.Backup{}, false
}

// SalvagedName is the file into which a damaged ledger is salvaged at now: beside
// it.
func SalvagedName(ledger string, now time.Time) string {
	end := filepath.Ext(ledger)
	return ledgerfile.NameBeside(strings.TrimSuffix(ledger, end), "-salvaged-"+now.Format(ledgerfile.Stamp)+end)
}
