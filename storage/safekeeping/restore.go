package safekeeping

import (
	"context"
	"path/filepath"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/storage/durable"
	"weirkeeper/storage/ledgerfile"
)

// Restore puts a backup in the place of the ledger at path, which no program may
// have open (a *HeldError). The backup is proved first. The files it replaces, log
// included, are kept in a folder beside it, whose path is returned; it is empty
// when there was nothing to replace. When anything goes wrong, ctx ends or the
// machine stops, the ledger is as it was, or restored; after a *PhotosError it is
// restored, and after a *ledgerfile.UnfinishedError it is when it is opened.
func Restore(ctx context.Context, b Backup, path string, now time.Time) (kept string, err error) {
	path, err = durable.Resolve(path)
	if err != nil {
		return "", words.Errorf("finding the ledger: %w", err)
	}
	lock, err := ledgerfile.Hold(ctx, path, now)
	if err != nil {
		return "", err
	}
	defer lock.Release()
	part, err := durable.Temporary(filepath.Dir(path))
	if err != nil {
		return "", words.Errorf("copying the backup: %w", err)
	}
	defer durable.Drop(part)
	if err := b.fetch(ctx, part); err != nil {
		return "", err
	}
	mode := durable.ModeOf(path, durable.ModeOf(b.Path, durable.Private))
	// A photo never changes, so that those of the backup may come before it.
	lost := copyPhotos(ctx, photosBeside(b.Path), ledgerfile.PhotoFolder(path), mode, true)
	if err := ctx.Err(); err != nil && lost != nil {
		return "", err
	}
	if kept, err = ledgerfile.Replace(ctx, part, path, mode, ledgerfile.Restored, now); err != nil {
		return kept, words.Errorf("putting the backup in place: %w", err)
	}
	if lost != nil {
		return kept, &PhotosError{lost}
	}
	return kept, nil
}

// fetch puts a proved copy of a proved backup into an empty file.
func (b Backup) fetch(ctx context.Context, part string) error {
	if err := b.Verify(ctx); err != nil {
		return err
	}
	if err := durable.CopyInto(ctx, part, b.Path); err != nil {
		return words.Errorf("copying the backup: %w", err)
	}
	if err := prove(ctx, part, b.Contents); err != nil {
		return words.Errorf("the copy of the backup is not good: %w", err)
	}
	return nil
}
