package safekeeping

import (
	"context"
	"fmt"
	"slices"

	"weirkeeper/assets/words"
	"weirkeeper/storage/ledgerfile"
)

// cutOff says whether a ledger of this head lacks actions that its newest backup
// has. A ledger that was restored from an older backup lacks them too, and is told
// by its history: it ends with that backup, or goes on in another way.
func cutOff(ctx context.Context, db ledgerfile.Querier, head ledgerfile.Head, backups []Backup) []string {
	backups = slices.DeleteFunc(slices.Clone(backups), func(b Backup) bool { return b.Head == ledgerfile.Head{} })
	if len(backups) == 0 {
		return nil
	}
	newest := slices.MaxFunc(backups, Backup.compare)
	if _, there, err := ledgerfile.HashAt(ctx, db, newest.Head.Action); there || err != nil {
		return nil
	}
	if slices.ContainsFunc(backups, func(b Backup) bool { return b.Head == head }) {
		return nil
	}
	return []string{fmt.Sprintf("the newest %d actions of the backup of %s are not in the ledger: they were cut off",
		newest.Head.Action-head.Action, newest.Taken.UTC().Format("2006-01-02 15:04 MST"))}
}

// goesOn proves that a ledger has the actions of its backups. One that cannot be read
// is found wherever it is opened.
func goesOn(ctx context.Context, ledger string, backups []Backup) error {
	db, err := ledgerfile.OpenToRead(ledger, ledgerfile.InUse)
	if err != nil {
		return nil
	}
	defer db.Close()
	head, err := ledgerfile.HeadOf(ctx, db)
	if err != nil {
		return ctx.Err()
	}
	if faults := cutOff(ctx, db, head, backups); len(faults) > 0 {
		return words.New(words.Text(faults[0]))
	}
	return nil
}
