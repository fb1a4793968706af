package safekeeping

import (
	"context"
	"database/sql"
	"errors"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/storage/durable"
	"weirkeeper/storage/ledgerfile"
	"weirkeeper/storage/versions"
)

// Salvaged is what could be read of a damaged ledger.
type Salvaged struct {
	Kept map[string]int // rows by table
	// Lost are by table the rows that must have been there and could not be had: the
	// account, an index, the kept newest readings or the newest backup names each. Rows
	// that belong to one number count once.
	Lost map[string]int
	// Losses say of which system and days, in the room's zone, the lost rows are, as far
	// as it can be told: what matters most first.
	Losses []words.Text
	// Unread are pages that cannot be read and are not known to hold nothing, and
	// Unnamed is how many rows they may have held at the most that nothing names. When the
	// account of the ledger is whole, which names every row, they are those of a newest
	// transaction that is damaged in the log.
	Unread, Unnamed int
	Repaired        int // rows in which one bit was put right, or what an index says; proved by their sums
	FromBackup      int // rows that were had of the newest backup, proved by their sums
	// Doubtful are rows that are kept as they were read, although they are not as they
	// were written.
	Doubtful []words.Text
	// Invented are rows that had to be made up, since others refer to them, in
	// words.
	Invented []string
}

// Whole tells that nothing is lost, doubtful or made up.
func (s Salvaged) Whole() bool {
	return len(s.Lost) == 0 && len(s.Losses) == 0 && s.Unread == 0 && len(s.Doubtful) == 0 && len(s.Invented) == 0
}

// Salvage makes a new ledger at to of what can be read of the damaged one at
// from, which no program may have open (a *HeldError) and which is not written
// to. It reads what SQLite reads, and what is missing then page by page; the account
// of actions tells which version of a row is the right one and what was taken away,
// and the backups, if any are given, stand in for rows that they have as they were. It
// never writes over a file, and leaves none when nothing can be read. The error is an
// *OpenError when the file is no ledger.
func Salvage(ctx context.Context, from, to string, now time.Time, progress func(table string), backups ...Backup) (Salvaged, error) {
	if progress == nil {
		progress = func(string) {}
	}
	// The log and the photos lie beside the file itself, not beside a link to it.
	from, err := durable.Resolve(from)
	if err != nil {
		return Salvaged{}, ledgerfile.OpenFailed(from, err)
	}
	if info, err := os.Stat(from); err != nil || info.Size() == 0 || info.IsDir() {
		return Salvaged{}, errors.Join(ledgerfile.Identify(from), err)
	}
	lock, err := ledgerfile.Hold(ctx, from, now)
	if err != nil {
		return Salvaged{}, err
	}
	defer lock.Release()
	if err := ledgerfile.Vacant(to); err != nil {
		return Salvaged{}, err
	}
	folder, err := durable.TemporaryFolder(filepath.Dir(to))
	if err != nil {
		return Salvaged{}, words.Errorf("making room for a copy: %s; choose a folder that you may write to", ledgerfile.PlainCause(err))
	}
	defer durable.RemoveAll(folder)
	target := filepath.Join(folder, "salvaged")
	s := salvage{progress: progress, now: now, Salvaged: Salvaged{Kept: map[string]int{}, Lost: map[string]int{}}}
	held, err := s.into(ctx, from, folder, target, backups)
	if err != nil {
		return Salvaged{}, words.Errorf("salvaging %s: %w", from, err)
	}
	if err := prove(ctx, target, held); err != nil {
		return Salvaged{}, words.Errorf("what was salvaged is not good: %w", err)
	}
	mode := durable.ModeOf(from, durable.Private)
	photos := newPhotos(ctx, ledgerfile.PhotoFolder(from), ledgerfile.PhotoFolder(to), mode)
	if err := ctx.Err(); err != nil && photos != nil {
		return Salvaged{}, err
	}
	if err := durable.PlaceNew(target, to, mode); err != nil {
		return Salvaged{}, words.Errorf("putting the salvaged ledger in place: %w", err)
	}
	if photos != nil {
		return s.Salvaged, &PhotosError{photos}
	}
	return s.Salvaged, nil
}

// salvage copies what it can from one ledger into another.
type salvage struct {
	Salvaged
	progress func(string)
	tx       *sql.Tx // of the new ledger
	now      time.Time
	lost     []loss
	local    *time.Location // the room's zone, once it is known
}

func (s *salvage) into(ctx context.Context, from, folder, target string, backups []Backup) (held ledgerfile.Contents, err error) {
	d, err := openDamaged(ctx, from, folder)
	if err != nil {
		return held, err
	}
	defer d.close()
	to, err := ledgerfile.OpenToFill(target, d.version)
	if err != nil {
		return held, err
	}
	defer to.Close()
	if s.tx, err = to.BeginTx(ctx, nil); err != nil {
		return held, err
	}
	defer s.tx.Rollback()
	if err := d.learn(ctx, s.tx); err != nil {
		return held, err
	}
	if err := s.gather(ctx, d, backups); err != nil {
		return held, err
	}
	if err := s.mend(ctx); err != nil {
		return held, err
	}
	s.tell()
	if err := seal(ctx, s.tx, d.version); err != nil {
		return held, err
	}
	if s.Kept, err = ledgerfile.RowsOf(ctx, s.tx); err != nil {
		return held, err
	}
	maps.DeleteFunc(s.Kept, func(table string, _ int) bool { return slices.Contains(derived, table) || table == "row_sums" })
	if d.shapes["versions"] != nil {
		if err := versions.Baseline(ctx, s.tx, "salvaging the ledger", s.now); err != nil {
			return held, err
		}
	}
	if held, err = ledgerfile.ContentsOf(ctx, s.tx); err != nil {
		return held, err
	}
	return held, s.tx.Commit()
}
