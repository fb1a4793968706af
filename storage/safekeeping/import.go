package safekeeping

import (
	"context"
	"database/sql"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"unicode/utf8"

	"weirkeeper/assets/words"
	"weirkeeper/storage"
	"weirkeeper/storage/durable"
	"weirkeeper/storage/ledgerfile"
)

// ImportAll makes a new ledger at path of what [ExportAll] wrote into a
// folder. It never writes over a file, and leaves none when anything is wrong:
// the error names the file, the line and the column. An export of an older
// program is brought up to date when the ledger is opened.
func ImportAll(ctx context.Context, folder, path string, progress func(table string)) error {
	about, err := readAbout(folder)
	if err != nil {
		return err
	}
	if path, err = durable.Resolve(path); err != nil {
		return words.Errorf("finding the place of the ledger: %w", err)
	}
	if err := ledgerfile.Vacant(path); err != nil {
		return err
	}
	if err := importNew(ctx, folder, path, about, progress); err != nil {
		return words.Errorf("importing %s: %w", folder, err)
	}
	return nil
}

// importNew fills a file beside the ledger's place, which it gets when all is proved.
func importNew(ctx context.Context, folder, path string, about exported, progress func(string)) error {
	if err := about.prove(ctx, folder); err != nil {
		return err
	}
	part, err := durable.Temporary(filepath.Dir(path))
	if err != nil {
		return words.Errorf("making the file: %s; choose a folder that you may write to", ledgerfile.PlainCause(err))
	}
	defer func() {
		durable.Drop(part)
		durable.Drop(part + "-journal")
	}()
	if err := importInto(ctx, folder, part, about, progress); err != nil {
		return err
	}
	photos := filepath.Join(folder, exportedPhotos)
	if err := plausible(ctx, part, photos); err != nil {
		return err
	}
	if err := prove(ctx, part, about.Contents); err != nil {
		return err
	}
	if err := newPhotos(ctx, photos, ledgerfile.PhotoFolder(path), durable.Private); err != nil {
		return err
	}
	return durable.PlaceNew(part, path, durable.Private)
}

// prove proves the sums of the files of an export. One of an older program has none.
func (about exported) prove(ctx context.Context, folder string) error {
	for _, name := range slices.Sorted(maps.Keys(about.Files)) {
		sum, _, err := durable.SumOf(ctx, filepath.Join(folder, filepath.Base(name)))
		if err != nil {
			return words.Errorf("%s: %w", name, err)
		}
		if sum != about.Files[name] {
			return words.Errorf("%s has changed since it was exported: export anew", name)
		}
	}
	return nil
}

func readAbout(folder string) (exported, error) {
	var about exported
	data, err := durable.Read(filepath.Join(folder, exportedFile), largestAbout)
	if err != nil {
		return about, words.Errorf("%s holds no export: %s; choose the folder that an export made", folder, ledgerfile.PlainCause(err))
	}
	if err := json.Unmarshal(data, &about); err != nil {
		return about, words.Errorf("%s in %s is not understood: %w", exportedFile, folder, err)
	}
	if about.Rows == nil {
		about.Rows = map[string]int{}
	}
	newest, err := ledgerfile.Newest()
	if err != nil {
		return about, err
	}
	if about.Version < 1 || about.Version > newest {
		return about, words.Errorf(
			"the export in %s is of version %d, this program knows 1 to %d: use the newer program",
			folder,
			about.Version,
			newest,
		)
	}
	return about, nil
}

// importInto fills an empty file in one transaction.
func importInto(ctx context.Context, folder, path string, about exported, progress func(string)) error {
	db, err := ledgerfile.OpenToFill(path, about.Version)
	if err != nil {
		return err
	}
	defer db.Close()
	tx, err := db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	tables, err := tablesOf(ctx, tx)
	if err != nil {
		return err
	}
	columns, err := ledgerfile.AllColumns(ctx, tx)
	if err != nil {
		return err
	}
	for _, table := range tables {
		if progress != nil {
			progress(table)
		}
		if err := importTable(ctx, tx, table, columns[table], filepath.Join(folder, table+".csv"), about.Longest); err != nil {
			return err
		}
	}
	lost, err := ledgerfile.LostReferences(ctx, tx)
	if err != nil {
		return err
	}
	if len(lost) > 0 {
		return words.New(words.Text(strings.Join(lost, "; ")))
	}
	if err := seal(ctx, tx, about.Version); err != nil {
		return err
	}
	all, err := ledgerfile.RowsOf(ctx, tx)
	if err != nil {
		return err
	}
	for _, table := range derived {
		about.Rows[table] = all[table]
	}
	return tx.Commit()
}

// seal makes a database whose tables are filled a ledger: what follows from the
// tables, and the signs that programs know a ledger by.
func seal(ctx context.Context, tx *sql.Tx, version int) error {
	if err := storage.FillLatest(ctx, tx); err != nil {
		return words.Errorf("finding the newest readings: %w", err)
	}
	return ledgerfile.Sign(ctx, tx, version)
}

func importTable(ctx context.Context, tx *sql.Tx, table string, columns []ledgerfile.Column, path string, longest int) error {
	name := filepath.Base(path)
	file, err := os.Open(path)
	if err != nil {
		return words.Errorf("%s: %s", name, ledgerfile.PlainCause(err))
	}
	defer file.Close()
	r := csv.NewReader(file)
	r.ReuseRecord = true
	head, err := r.Read()
	if err != nil {
		return words.Errorf("%s has no line of column names: %w", name, err)
	}
	for i, c := range columns {
		if i >= len(head) || head[i] != c.Name || len(head) != len(columns) {
			return words.Errorf(
				"%s has the columns %s: they must be %s",
				name,
				strings.Join(head, ", "),
				strings.ReplaceAll(ledgerfile.Quoted(columns), `"`, ""),
			)
		}
	}
	insert, err := tx.PrepareContext(
		ctx,
		fmt.Sprintf(
			`INSERT INTO "%s" (%s) VALUES (%s)`,
			table,
			ledgerfile.Quoted(columns),
			strings.Join(slices.Repeat([]string{"?"}, len(columns)), ", "),
		),
	)
	if err != nil {
		return err
	}
	defer insert.Close()
	values := make([]any, len(columns))
	calm := context.WithoutCancel(ctx) // to watch a context costs more than to write a row
	for {
		if err := ctx.Err(); err != nil {
			return err
		}
		line, err := r.Read()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return words.Errorf("%s: %w", name, err)
		}
		for i, c := range columns {
			if values[i], err = readCell(c, line[i]); err != nil {
				at, _ := r.FieldPos(i)
				return words.Errorf("%s, line %d, column %s: %q is no %s", name, at, c.Name, line[i], strings.ToLower(c.Kind))
			}
			if err := checkImported(values[i], line[i], longest); err != nil {
				at, _ := r.FieldPos(i)
				return words.Errorf("%s, line %d, column %s: %w", name, at, c.Name, err)
			}
		}
		if _, err := insert.ExecContext(calm, values...); err != nil {
			at, _ := r.FieldPos(0)
			return words.Errorf("%s, line %d: %w", name, at, err)
		}
	}
}

// longestImported bounds a text of an import, in bytes, when the export does not say
// that the ledger held a longer one. It is far above what can be typed.
const longestImported = 1 << 20

// checkImported refuses a text that no ledger should hold. One from before texts were
// checked comes back as it was: an export marks it where it is no UTF-8, and says how
// long the longest is.
func checkImported(value any, cell string, longest int) error {
	text, ok := value.(string)
	switch {
	case !ok:
		return nil
	case !utf8.ValidString(text) && !strings.HasPrefix(cell, asHex):
		return words.New("the text has bytes that stand for no letter: correct it in the file, which must be UTF-8")
	case len(text) > max(longest, longestImported):
		return words.Errorf("the text has %d bytes, there is room for %d", len(text), max(longest, longestImported))
	}
	return nil
}
