package storage

import (
	"context"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"weirkeeper/assets/words"
)

// Restore puts a backup in the place of the ledger at path, which no program may
// have open (a *HeldError). The backup is verified first. The files it replaces,
// log included, are kept in a folder beside it, whose path is returned; it is
// empty when there was nothing to replace. When anything goes wrong the ledger
// stays as it was.
func Restore(ctx context.Context, b Backup, path string, now time.Time) (kept string, err error) {
	held, err := hold(ctx, path, now)
	if err != nil {
		return "", err
	}
	defer held.release()
	if err := b.Verify(ctx); err != nil {
		return "", err
	}
	part := path + partSuffix
	if err := copyFile(part, b.Path); err != nil {
		os.Remove(part)
		return "", words.Errorf("copying the backup: %w", err)
	}
	if err := verifyCopy(ctx, part, b.Version, b.Rows); err != nil {
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
	if err := copyPhotos(photosBeside(b.Path), photoFolder(path)); err != nil {
		return kept, words.Errorf("the ledger is restored, but not all of its photos: %w", err)
	}
	return kept, syncFile(filepath.Dir(path))
}

// ledgerFiles are the endings of a ledger's files: a log left beside another
// database would damage it.
var ledgerFiles = []string{"", "-wal", "-shm"}

// setAside moves a ledger's files into a new folder beside it.
func setAside(path string, now time.Time) (string, error) {
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
		return "", nil
	}
	folder := path + "-before-restore-" + now.UTC().Format(backupStamp)
	if err := os.Mkdir(folder, 0o755); err != nil {
		return "", err
	}
	for i, end := range ledgerFiles {
		err := os.Rename(path+end, filepath.Join(folder, filepath.Base(path)+end))
		if err == nil || errors.Is(err, fs.ErrNotExist) {
			continue
		}
		for _, moved := range ledgerFiles[:i] { // all or none
			os.Rename(filepath.Join(folder, filepath.Base(path)+moved), path+moved)
		}
		return "", err
	}
	return folder, nil
}

// copyFile copies a file to a new one that outlasts a power cut.
func copyFile(to, from string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.Create(to)
	if err != nil {
		return err
	}
	if _, err := io.Copy(out, in); err != nil {
		out.Close()
		return err
	}
	if err := out.Sync(); err != nil {
		out.Close()
		return err
	}
	return out.Close()
}
