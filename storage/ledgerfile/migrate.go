package ledgerfile

import (
	"context"
	"database/sql"
	"embed"
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/storage/durable"
)

//go:embed migrations/*.sql
var migrationFiles embed.FS

// migrations returns the steps in order; step n brings the schema to version n.
func migrations() ([]string, error) {
	names, err := fs.Glob(migrationFiles, "migrations/*.sql")
	if err != nil {
		return nil, err
	}
	slices.Sort(names)
	steps := make([]string, len(names))
	for i, name := range names {
		data, err := migrationFiles.ReadFile(name)
		if err != nil {
			return nil, err
		}
		steps[i] = string(data)
	}
	return steps, nil
}

// makeTables gives an empty database the schema of a version.
func makeTables(ctx context.Context, tx *sql.Tx, version int) error {
	steps, err := migrations()
	if err != nil {
		return err
	}
	if version < 1 || version > len(steps) {
		return words.Errorf("there is no version %d of a ledger, only 1 to %d", version, len(steps))
	}
	for _, step := range steps[:version] {
		if _, err := tx.ExecContext(ctx, step); err != nil {
			return words.Errorf("making the tables: %w", err)
		}
	}
	return nil
}

// Newest returns the version of the schema that this program writes.
func Newest() (int, error) {
	steps, err := migrations()
	return len(steps), err
}

// Upgraded is what a ledger that was brought to a version must have done to it
// before that counts.
type Upgraded func(ctx context.Context, tx *sql.Tx, version int) error

// migrate brings the schema to the newest version and refuses a ledger of a
// newer program. Without upgraded the ledger is a fresh one.
func (f *File) migrate(ctx context.Context, now time.Time, upgraded Upgraded) error {
	steps, err := migrations()
	if err != nil {
		return words.Errorf("reading the migrations: %w", err)
	}
	version, err := Version(ctx, f.write)
	if err != nil {
		return OpenFailed(f.path, err)
	}
	if err := knownVersion(f.path, version, len(steps)); err != nil {
		return err
	}
	tables, err := Tables(ctx, f.write)
	if err != nil {
		return OpenFailed(f.path, err)
	}
	if upgraded != nil && (version == 0 || len(tables) == 0) {
		return &OpenError{f.path, problemNoRoom, "restore it from a backup, or make a new room"}
	}
	return f.upgrade(ctx, version, steps, now, upgraded)
}

// upgrade runs the steps after version, each in a transaction of its own. A
// ledger that holds something is copied first.
func (f *File) upgrade(ctx context.Context, version int, steps []string, now time.Time, upgraded Upgraded) error {
	if version > 0 && version < len(steps) {
		if err := f.keepBefore(ctx, len(steps), now); err != nil {
			return words.Errorf("keeping a copy before the ledger is brought to version %d, nothing was changed: %w", len(steps), err)
		}
	}
	for n := version; n < len(steps); n++ {
		var last Upgraded
		if n+1 == len(steps) {
			last = upgraded
		}
		if err := f.step(ctx, n+1, steps[n], last); err != nil {
			return words.Errorf("bringing the ledger to version %d: %w", n+1, err)
		}
	}
	return nil
}

// keepBefore puts a proved copy of the ledger beside it before its schema
// changes.
func (f *File) keepBefore(ctx context.Context, to int, now time.Time) error {
	part, err := durable.Temporary(filepath.Dir(f.path))
	if err != nil {
		return err
	}
	defer durable.Drop(part)
	held, err := f.CopyInto(ctx, part)
	if err != nil {
		return WriteFailed("copying the ledger", err)
	}
	if err := Prove(ctx, part, held); err != nil {
		return err
	}
	path := NameBeside(f.path, fmt.Sprintf("-before-version-%d-%s", to, now.UTC().Format(Stamp)))
	return durable.PlaceNew(part, path, durable.ModeOf(f.path, durable.Private))
}

// step runs one migration. Foreign keys are off outside the transaction, since
// rebuilding a table would otherwise delete its children, and checked inside. Then
// runs also, if there is anything.
func (f *File) step(ctx context.Context, to int, script string, then Upgraded) error {
	if _, err := f.write.ExecContext(ctx, "PRAGMA foreign_keys = OFF"); err != nil {
		return err
	}
	defer f.write.Exec("PRAGMA foreign_keys = ON")
	tx, err := f.write.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	now, err := Version(ctx, tx)
	if err != nil {
		return err
	}
	if now >= to {
		return nil // another program was quicker
	}
	if _, err := tx.ExecContext(ctx, script); err != nil {
		return err
	}
	var broken int
	if err := tx.QueryRowContext(ctx, "SELECT count(*) FROM pragma_foreign_key_check").Scan(&broken); err != nil {
		return err
	}
	if broken > 0 {
		return words.Errorf("%s", words.N(broken, "%d row would point nowhere", "%d rows would point nowhere"))
	}
	if then != nil {
		if err := then(ctx, tx, to); err != nil {
			return err
		}
	}
	if err := Sign(ctx, tx, to); err != nil {
		return err
	}
	return tx.Commit()
}
