package storage

import (
	"context"
	"database/sql"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"weirkeeper/assets/words"
)

// ImportAll makes a new ledger at path of what [Store.ExportAll] wrote into a
// folder. It never writes over a file, and leaves none when anything is wrong:
// the error names the file, the line and the column. An export of an older
// program is brought up to date when the ledger is opened.
func ImportAll(ctx context.Context, folder, path string, progress func(table string)) error {
	about, err := readAbout(folder)
	if err != nil {
		return err
	}
	file, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o644)
	if errors.Is(err, os.ErrExist) {
		return &OpenError{path, "there is a file of this name already", "choose another name"}
	}
	if err != nil {
		return &OpenError{path, "the file cannot be made: " + plainCause(err), "choose a folder that you may write to"}
	}
	file.Close()
	err = importInto(ctx, folder, path, about, progress)
	if err == nil {
		err = verifyCopy(ctx, path, about.Version, about.Rows, derived...)
	}
	if err == nil {
		err = copyPhotos(filepath.Join(folder, exportedPhotos), photoFolder(path))
	}
	if err != nil {
		for _, end := range append([]string{"-journal"}, ledgerFiles...) {
			os.Remove(path + end)
		}
		return words.Errorf("importing %s: %w", folder, err)
	}
	return nil
}

func readAbout(folder string) (exported, error) {
	var about exported
	data, err := os.ReadFile(filepath.Join(folder, exportedFile))
	if err != nil {
		return about, words.Errorf("%s holds no export: %s; choose the folder that an export made", folder, plainCause(err))
	}
	if err := json.Unmarshal(data, &about); err != nil {
		return about, words.Errorf("%s in %s is not understood: %w", exportedFile, folder, err)
	}
	steps, err := migrations()
	if err != nil {
		return about, err
	}
	if about.Version < 1 || about.Version > len(steps) {
		return about, words.Errorf("the export in %s is of version %d, this program knows 1 to %d: use the newer program", folder, about.Version, len(steps))
	}
	return about, nil
}

// importInto fills an empty file in one transaction.
func importInto(ctx context.Context, folder, path string, about exported, progress func(string)) error {
	db, err := sql.Open(driverName, dsn(path, "mode=rw&_journal_mode=DELETE&_synchronous=FULL"))
	if err != nil {
		return err
	}
	defer db.Close()
	db.SetMaxOpenConns(1)
	tx, err := db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	if err := makeTables(ctx, tx, about.Version); err != nil {
		return err
	}
	tables, err := tablesOf(ctx, tx)
	if err != nil {
		return err
	}
	for _, table := range tables {
		if progress != nil {
			progress(table)
		}
		if err := importTable(ctx, tx, table, filepath.Join(folder, table+".csv")); err != nil {
			return err
		}
	}
	lost, err := textColumn(ctx, tx, lostReferences)
	if err != nil {
		return err
	}
	if len(lost) > 0 {
		return words.New(words.Text(strings.Join(lost, "; ")))
	}
	if err := seal(ctx, tx, about.Version); err != nil {
		return err
	}
	return tx.Commit()
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

// seal makes a database whose tables are filled a ledger: what follows from the
// tables, and the signs that programs know a ledger by.
func seal(ctx context.Context, tx *sql.Tx, version int) error {
	if _, err := tx.ExecContext(ctx, "INSERT INTO latest (system_id, analyte_id, reading_id) SELECT system_id, analyte_id, reading_id FROM ("+latestTruth+")"); err != nil {
		return words.Errorf("finding the newest readings: %w", err)
	}
	for _, pragma := range []string{fmt.Sprintf("PRAGMA application_id = %d", applicationID), fmt.Sprintf("PRAGMA user_version = %d", version)} {
		if _, err := tx.ExecContext(ctx, pragma); err != nil {
			return err
		}
	}
	return nil
}

func importTable(ctx context.Context, tx *sql.Tx, table, path string) error {
	name := filepath.Base(path)
	columns, err := tableColumns(ctx, tx, table)
	if err != nil {
		return err
	}
	file, err := os.Open(path)
	if err != nil {
		return words.Errorf("%s: %s", name, plainCause(err))
	}
	defer file.Close()
	r := csv.NewReader(file)
	r.ReuseRecord = true
	head, err := r.Read()
	if err != nil {
		return words.Errorf("%s has no line of column names: %w", name, err)
	}
	for i, c := range columns {
		if i >= len(head) || head[i] != c.name || len(head) != len(columns) {
			return words.Errorf("%s has the columns %s: they must be %s", name, strings.Join(head, ", "), strings.ReplaceAll(quoted(columns), `"`, ""))
		}
	}
	insert, err := tx.PrepareContext(ctx, fmt.Sprintf(`INSERT INTO "%s" (%s) VALUES (%s)`, table, quoted(columns), strings.Join(slices.Repeat([]string{"?"}, len(columns)), ", ")))
	if err != nil {
		return err
	}
	defer insert.Close()
	values := make([]any, len(columns))
	for {
		line, err := r.Read()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return words.Errorf("%s: %w", name, err)
		}
		for i, c := range columns {
			if values[i], err = c.read(line[i]); err != nil {
				at, _ := r.FieldPos(i)
				return words.Errorf("%s, line %d, column %s: %q is no %s", name, at, c.name, line[i], strings.ToLower(c.kind))
			}
		}
		if _, err := insert.ExecContext(ctx, values...); err != nil {
			at, _ := r.FieldPos(0)
			return words.Errorf("%s, line %d: %w", name, at, err)
		}
	}
}
