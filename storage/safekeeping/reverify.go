package safekeeping

import (
	"context"
	"encoding/json"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/storage/durable"
)

// Proved returns when a backup was last proved to be good.
func (b Backup) Proved() time.Time {
	if b.Verified.After(b.Taken) {
		return b.Verified
	}
	return b.Taken
}

// Reverify proves the backup of a ledger in a folder anew whose proof is the
// oldest, when that is older than every, and writes the day beside it. It returns
// the backup, the zero one when none is that old; the error says why one is good
// no more.
func Reverify(ctx context.Context, folder, ledger string, now time.Time, every time.Duration) (Backup, error) {
	all, err := Backups(folder, ledger)
	if err != nil {
		return Backup{}, err
	}
	var oldest Backup
	for _, b := range all {
		if now.Sub(b.Proved()) >= every && (oldest.Path == "" || b.Proved().Before(oldest.Proved())) {
			oldest = b
		}
	}
	if oldest.Path == "" {
		return Backup{}, nil
	}
	if err := oldest.Verify(ctx); err != nil {
		return oldest, err
	}
	if err := goesOn(ctx, ledger, all); err != nil {
		return oldest, err
	}
	oldest.Verified = now.UTC().Truncate(time.Second)
	return oldest, oldest.describe()
}

// describe writes what a backup holds beside it.
func (b Backup) describe() error {
	about, err := json.MarshalIndent(b, "", "  ")
	if err != nil {
		return err
	}
	if err := durable.WriteData(b.aboutFile(), append(about, '\n'), durable.Private); err != nil {
		return words.Errorf("describing the backup: %w", err)
	}
	return nil
}
