package storage

import (
	"context"
	"embed"
	"fmt"
	"io/fs"
	"slices"

	"gorm.io/gorm"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
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

// migrate brings the schema to the newest version and refuses a ledger of a
// newer program.
func (s *Store) migrate(ctx context.Context, fresh bool) error {
	steps, err := migrations()
	if err != nil {
		return words.Errorf("reading the migrations: %w", err)
	}
	version, err := s.version(ctx)
	if err != nil {
		return openFailed(s.path, err)
	}
	if err := knownVersion(s.path, version, len(steps)); err != nil {
		return err
	}
	if version == 0 && !fresh {
		return &OpenError{s.path, problemNoRoom, "restore it from a backup, or make a new room"}
	}
	if err := s.upgrade(ctx, version, steps); err != nil {
		return err
	}
	if err := s.fillAnalytes(ctx); err != nil {
		return openFailed(s.path, err)
	}
	return nil
}

// upgrade runs the steps after version, each in a transaction of its own. A
// ledger that holds something is copied first.
func (s *Store) upgrade(ctx context.Context, version int, steps []string) error {
	if version > 0 && version < len(steps) {
		if err := s.keepBefore(ctx, len(steps)); err != nil {
			return words.Errorf("keeping a copy before the ledger is brought to version %d, nothing was changed: %w", len(steps), err)
		}
	}
	for n := version; n < len(steps); n++ {
		if err := s.step(ctx, n+1, steps[n]); err != nil {
			return words.Errorf("bringing the ledger to version %d: %w", n+1, err)
		}
	}
	return nil
}

// keepBefore puts a verified copy of the ledger beside it before its schema
// changes.
func (s *Store) keepBefore(ctx context.Context, to int) error {
	b := Backup{Path: fmt.Sprintf("%s-before-version-%d-%s", s.path, to, s.clock().UTC().Format(backupStamp))}
	if err := s.copyInto(ctx, b.Path, &b); err != nil {
		return writeFailed("copying the ledger", err)
	}
	if err := verifyCopy(ctx, b.Path, b.Version, b.Rows); err != nil {
		return err
	}
	return syncFile(b.Path)
}

func (s *Store) version(ctx context.Context) (int, error) {
	var v int
	err := s.write.WithContext(ctx).Raw("PRAGMA user_version").Row().Scan(&v)
	return v, err
}

// step runs one migration. Foreign keys are off outside the transaction, since
// rebuilding a table would otherwise delete its children, and checked inside.
func (s *Store) step(ctx context.Context, to int, script string) error {
	db := s.write.WithContext(ctx)
	if err := db.Exec("PRAGMA foreign_keys = OFF").Error; err != nil {
		return err
	}
	defer s.write.Exec("PRAGMA foreign_keys = ON")
	return db.Transaction(func(tx *gorm.DB) error {
		var now int
		if err := tx.Raw("PRAGMA user_version").Row().Scan(&now); err != nil {
			return err
		}
		if now >= to {
			return nil // another program was quicker
		}
		if err := tx.Exec(script).Error; err != nil {
			return err
		}
		var broken int
		if err := tx.Raw("SELECT count(*) FROM pragma_foreign_key_check").Row().Scan(&broken); err != nil {
			return err
		}
		if broken > 0 {
			return words.Errorf("%d rows would point nowhere", broken)
		}
		if err := tx.Exec(fmt.Sprintf("PRAGMA application_id = %d", applicationID)).Error; err != nil {
			return err
		}
		return tx.Exec(fmt.Sprintf("PRAGMA user_version = %d", to)).Error
	})
}

// fillAnalytes puts the catalogue's numbers into the ledger, for its foreign
// keys and for whoever reads the file with plain SQL.
func (s *Store) fillAnalytes(ctx context.Context) error {
	return s.write.WithContext(ctx).Transaction(func(tx *gorm.DB) error {
		for _, info := range chem.Catalogue() {
			err := tx.Exec("INSERT INTO analytes (id, key) VALUES (?, ?) ON CONFLICT (id) DO UPDATE SET key = excluded.key WHERE key <> excluded.key", int(info.Analyte), info.Key).Error
			if err != nil {
				return words.Errorf("writing the catalogue: %w", err)
			}
		}
		return nil
	})
}
