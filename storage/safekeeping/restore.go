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
// have open (a *HeldError). The backup is proved first. The files it replaces, log
// included, are kept in a folder beside it, whose path is returned; it is empty
// when there was nothing to replace. When anything goes wrong, or ctx ends, the
// ledger stays as it was; after a *PhotosError it is restored all the same.
func Restore(ctx context.Context, b Backup, path string, now time.Time) (kept string, err error) {
	lock, err := ledgerfile.Hold(ctx, path, now)
	if err != nil {
		return "", err
	}
	defer lock.Release()
	part := path + ledgerfile.PartSuffix
	defer os.Remove(part)
	if err := b.fetch(ctx, part); err != nil {
		return "", err
	}
	// A photo never changes, so that those of the backup may come before it.
	lost := copyPhotos(ctx, photosBeside(b.Path), ledgerfile.PhotoFolder(path))
	if err := ctx.Err(); err != nil && lost != nil {
		return "", err
	}
	if kept, err = setAside(path, now); err != nil {
		return "", words.Errorf("setting the present ledger aside: %w", err)
	}
	if err := os.Rename(part, path); err != nil {
		return kept, words.Errorf("putting the backup in place (the former files are in %s): %w", kept, err)
	}
	if lost != nil {
		return kept, &PhotosError{lost}
	}
	return kept, ledgerfile.SyncFile(filepath.Dir(path))
}

// fetch puts a proved copy of a proved backup into a file.
func (b Backup) fetch(ctx context.Context, path string) error {
	if err := b.Verify(ctx); err != nil {
		return err
	}
	if err := ledgerfile.CopyFile(ctx, path, b.Path); err != nil {
		return words.Errorf("copying the backup: %w", err)
	}
	if err := prove(ctx, path, b.Contents); err != nil {
		return words.Errorf("the copy of the backup is not good: %w", err)
	}
	return nil
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
