package safekeeping

import (
	"context"
	"crypto/sha256"
	"encoding/csv"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"weirkeeper/assets/words"
	"weirkeeper/storage"
	"weirkeeper/storage/csvread"
	"weirkeeper/storage/durable"
	"weirkeeper/storage/ledgerfile"
)

// exported describes an export beside its files.
type exported struct {
	Taken time.Time `json:"taken"`
	ledgerfile.Contents
	Files map[string]string `json:"files"` // SHA-256 in hexadecimal, by name; of the photos the ledger has them
	// Longest is the length of the longest text, in bytes.
	Longest int `json:"longest_text"`
	// NoUTF8 names the first ledgerfile.MostFaults texts that are no UTF-8, which are
	// written byte for byte.
	NoUTF8 []string `json:"no_utf8,omitempty"`
}

const (
	exportedFile = "ledger.json"
	exportReadMe = "README.txt"
)

// exportedPhotos is the folder of the photos in an export.
const exportedPhotos = "photos"

// derived are the tables that follow from the others and are not exported.
var derived = []string{"latest"}

// ExportAll writes a whole ledger into a new or empty folder: a CSV file for
// each table (RFC 4180, UTF-8, LF), what it holds as JSON, and a page that
// describes them. All of it is of one instant. [ImportAll] makes an equal ledger
// of it. progress, which may be nil, is told each table. When anything is wrong, or
// ctx ends, the folder is as it was.
func ExportAll(ctx context.Context, s *storage.Store, folder string, now time.Time, progress func(table string)) error {
	made, err := emptyFolder(folder, durable.FolderMode(durable.ModeOf(s.Path(), durable.Private)))
	if err != nil {
		return err
	}
	if progress == nil {
		progress = func(string) {}
	}
	e := export{folder: folder, progress: progress, mode: durable.ModeOf(s.Path(), durable.Private), sums: map[string]string{}}
	if err := e.write(ctx, s, now); err != nil {
		for _, path := range e.begun {
			durable.RemoveAll(path)
		}
		if made {
			durable.Remove(folder)
		}
		return words.Errorf("exporting: %w", err)
	}
	return nil
}

// export is a folder that is being filled.
type export struct {
	folder   string
	progress func(table string)
	begun    []string // files, and the folder of the photos
	mode     fs.FileMode
	sums     map[string]string
}

// path is where a file of the export goes.
func (e *export) path(name string) string {
	path := filepath.Join(e.folder, name)
	e.begun = append(e.begun, path)
	return path
}

func (e *export) write(ctx context.Context, s *storage.Store, now time.Time) error {
	tx, err := s.Snapshot(ctx)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	about := exported{Taken: now.UTC().Truncate(time.Second), Contents: ledgerfile.Contents{Rows: map[string]int{}}}
	if about.Version, err = ledgerfile.Version(ctx, tx); err != nil {
		return err
	}
	if about.Head, err = ledgerfile.HeadOf(ctx, tx); err != nil {
		return err
	}
	tables, err := tablesOf(ctx, tx)
	if err != nil {
		return err
	}
	for _, table := range tables {
		e.progress(table)
		err := e.file(table+".csv", func(w io.Writer) error {
			var err error
			about.Rows[table], err = about.table(ctx, tx, table, w)
			return err
		})
		if err != nil {
			return words.Errorf("%s: %w", table, err)
		}
	}
	page := readMe(ctx, tx, about.NoUTF8)
	if err := e.file(exportReadMe, func(w io.Writer) error {
		_, err := io.WriteString(w, page)
		return err
	}); err != nil {
		return err
	}
	if err := copyPhotos(ctx, ledgerfile.PhotoFolder(s.Path()), e.path(exportedPhotos), e.mode, false); err != nil {
		return err
	}
	about.Files = e.sums
	data, err := json.MarshalIndent(about, "", "  ")
	if err != nil {
		return err
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	return durable.WriteData(e.path(exportedFile), append(data, '\n'), e.mode)
}

// file writes a file of the export and keeps its sum.
func (e *export) file(name string, write func(io.Writer) error) error {
	sum := sha256.New()
	err := durable.Write(e.path(name), e.mode, func(w io.Writer) error { return write(io.MultiWriter(w, sum)) })
	e.sums[name] = hex.EncodeToString(sum.Sum(nil))
	return err
}

// emptyFolder makes a folder if there is none; it must be empty.
func emptyFolder(folder string, mode fs.FileMode) (made bool, err error) {
	_, missing := os.Stat(folder)
	if err := durable.MakeFolders(folder, mode); err != nil {
		return false, words.Errorf("making the folder: %s; choose a folder that you may write to", ledgerfile.PlainCause(err))
	}
	entries, err := os.ReadDir(folder)
	if err != nil {
		return false, words.Errorf("reading the folder: %w", err)
	}
	if len(entries) > 0 {
		return false, words.Errorf("%s is not empty: choose a new folder, so that nothing is written over", folder)
	}
	return errors.Is(missing, fs.ErrNotExist), nil
}

// tablesOf lists the exported tables, parents before their children.
func tablesOf(ctx context.Context, db ledgerfile.Querier) ([]string, error) {
	all, err := ledgerfile.Tables(ctx, db)
	return slices.DeleteFunc(all, func(name string) bool { return slices.Contains(derived, name) }), err
}

// table writes a table, and returns how many rows it has.
func (about *exported) table(ctx context.Context, db ledgerfile.Querier, table string, to io.Writer) (n int, err error) {
	columns, err := ledgerfile.Columns(ctx, db, table)
	if err != nil {
		return 0, err
	}
	w := csv.NewWriter(to)
	line := make([]string, len(columns))
	for i, c := range columns {
		line[i] = c.Name
	}
	if err := w.Write(line); err != nil {
		return 0, err
	}
	rows, err := db.QueryContext(ctx, fmt.Sprintf(`SELECT %s FROM "%s" ORDER BY 1, 2`, ledgerfile.Quoted(columns), table))
	if err != nil {
		return 0, err
	}
	defer rows.Close()
	values, into := make([]any, len(columns)), make([]any, len(columns))
	for i := range values {
		into[i] = &values[i]
	}
	for ; rows.Next(); n++ {
		if err := rows.Scan(into...); err != nil {
			return n, err
		}
		for i, c := range columns {
			line[i] = writeCell(c, values[i])
			about.note(table, values[0], c, values[i])
		}
		if err := w.Write(line); err != nil {
			return n, err
		}
	}
	w.Flush()
	return n, errors.Join(rows.Err(), w.Error())
}

// note notes what is unusual about a text; row is the number of its row.
func (about *exported) note(table string, row any, c ledgerfile.Column, value any) {
	text, ok := value.(string)
	if !ok {
		return
	}
	about.Longest = max(about.Longest, len(text))
	if !utf8.ValidString(text) && len(about.NoUTF8) < ledgerfile.MostFaults {
		about.NoUTF8 = append(about.NoUTF8, fmt.Sprintf("%s row %v, %s", table, row, c.Name))
	}
}

// asJSON and asHex mark text that CSV would not give back as it was: as a string
// of JSON, or byte for byte where it is no UTF-8.
const (
	asJSON = "json:"
	asHex  = "hex:"
)

// writeCell turns a value into its cell. Text that a spreadsheet would run as a
// formula gets an apostrophe in front, which readCell takes off again; numbers
// never do.
func writeCell(c ledgerfile.Column, v any) string {
	switch v := v.(type) {
	case nil:
		return ""
	case int64:
		return strconv.FormatInt(v, 10)
	case float64:
		return strconv.FormatFloat(v, 'g', -1, 64)
	case []byte:
		if c.Kind == "BLOB" {
			return hex.EncodeToString(v)
		}
		return writeText(c, string(v))
	case string:
		return writeText(c, v)
	}
	return fmt.Sprint(v)
}

func writeText(c ledgerfile.Column, text string) string {
	switch {
	case text == "" && c.Nullable:
		return "'" // an empty cell is no value at all
	case text == "":
		return ""
	case !utf8.ValidString(text):
		return asHex + hex.EncodeToString([]byte(text))
	case strings.ContainsAny(text, "\r\x00"):
		data, err := json.Marshal(text)
		if err == nil {
			return asJSON + string(data)
		}
	case strings.HasPrefix(text, asJSON), strings.HasPrefix(text, asHex):
		return "'" + text
	}
	return csvread.Guard(text)
}

// readCell turns a cell back into its value.
func readCell(c ledgerfile.Column, cell string) (any, error) {
	if cell == "" && c.Nullable {
		return nil, nil
	}
	switch c.Kind {
	case "INTEGER":
		return strconv.ParseInt(cell, 10, 64)
	case "REAL":
		return strconv.ParseFloat(cell, 64)
	case "BLOB":
		return hex.DecodeString(cell)
	}
	if text, marked := strings.CutPrefix(cell, asJSON); marked {
		var out string
		err := json.Unmarshal([]byte(text), &out)
		return out, err
	}
	if text, marked := strings.CutPrefix(cell, asHex); marked {
		out, err := hex.DecodeString(text)
		return string(out), err
	}
	return csvread.Unguard(cell), nil
}

// readMe describes the files of an export, and names texts in it that are no UTF-8.
func readMe(ctx context.Context, db ledgerfile.Querier, noUTF8 []string) string {
	schema, err := ledgerfile.TextColumn(
		ctx,
		db,
		"SELECT sql || ';' FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY rowid",
	)
	if err != nil {
		schema = nil
	}
	return `A whole ledger as CSV: one file for each table below, in UTF-8, with a line of column names.
Times are milliseconds since 1970-01-01 00:00 UTC. Values of analytes are in their canonical units; beside
them stands what was typed, with its unit. The numbers of the analytes are explained in analytes.csv.
An empty cell in a column that may be NULL is no value. Text that a spreadsheet might run as a formula, since
it begins with = + - or @, also behind blanks and dividers, or that begins with ' has an apostrophe in front;
take it off to get the text. Text with a carriage return or NUL is written as a JSON string after "json:", text
that is no UTF-8 as hexadecimal bytes after "hex:". Binary data is hexadecimal. The table latest follows
from readings and is left out.

` + namedTexts(noUTF8) + strings.Join(schema, "\n\n") + "\n"
}

// namedTexts says which texts are no UTF-8.
func namedTexts(all []string) string {
	if len(all) == 0 {
		return ""
	}
	return "These texts are no UTF-8 in the ledger and stand byte for byte in these files (the first of them, if they are many):\n" +
		strings.Join(all, "\n") + "\n\n"
}
