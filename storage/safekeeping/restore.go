package safekeeping

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/storage/ledgerfile"
)

// Restore puts a backup in the place of the ledger at path, which no program may
// have open (a *HeldError). The backup is verified first. The files it replaces,
// log included, are kept in a folder beside it, whose path is returned; it is
// empty when there was nothing to replace. When anything goes wrong the ledger
// stays as it was.
func Restore(ctx context.Context, b Backup, path string, now time.Time) (kept string, err error) {
	held, err := ledgerfile.Hold(ctx, path, now)
	if err != nil {
		return "", err
	}
	defer held.Release()
	if err := b.Verify(ctx); err != nil {
		return "", err
	}
	part := path + ledgerfile.PartSuffix
	if err := ledgerfile.CopyFile(part, b.Path); err != nil {
		os.Remove(part)
		return "", words.Errorf("copying the backup: %w", err)
	}
	if err := prove(ctx, part, b.Contents); err != nil {
		os.Remove(part)
		return "", words.Errorf("the copy of the backup is not good: %w", err)
	}
	if kept, err = setAside(path, now); err != nil {
		os.Remove(part)
		return "", words.Errorf("setting the present ledger aside: %w", err)
	}
	if err := os.Rename(part, path); err != nil {
		return kept, words.Errorf("putting the backup in place (the former files are in %s): %w", kept, err)
	}
	if err := copyPhotos(photosBeside(b.Path), ledgerfile.PhotoFolder(path)); err != nil {
		return kept, words.Errorf("the ledger is restored, but not all of its photos: %w", err)
	}
	return kept, ledgerfile.SyncFile(filepath.Dir(path))
}

// setAside moves a ledger's files into a new folder beside it.
func setAside(path string, now time.Time) (string, error) {
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
		return "", nil
	}
	folder := path + "-before-restore-" + now.UTC().Format(ledgerfile.Stamp)
	if err := os.Mkdir(folder, 0o755); err != nil {
		return "", err
	}
	endings := ledgerfile.Endings()
	for i, end := range endings {
		err := os.Rename(path+end, filepath.Join(folder, filepath.Base(path)+end))
		if err == nil || errors.Is(err, fs.ErrNotExist) {
			continue
		}
		for _, moved := range endings[:i] { // all or none
			os.Rename(filepath.Join(folder, filepath.Base(path)+moved), path+moved)
		}
		return "", err
	}
	return folder, nil
}
