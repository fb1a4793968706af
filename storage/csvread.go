package storage

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"

	"weirkeeper/tanks"
)

// LineFault is one thing wrong with one line of an imported file.
type LineFault struct {
	Line    int    // as a text editor counts them, from 1
	Column  string // one of the columns of PreviewCSV; empty: the whole line
	Problem string
	Remedy  string
}

// largestCSV bounds the memory that an import may take, in bytes.
const largestCSV = 256 << 20

// The columns that an import knows.
const (
	columnTime    = "time"
	columnSystem  = "system"
	columnAnalyte = "analyte"
	columnValue   = "value"
	columnUnit    = "unit"
	columnMethod  = "method"
	columnPerson  = "person"
	columnNote    = "note"
)

var neededColumns = []string{columnTime, columnSystem, columnAnalyte, columnValue, columnUnit}

// columnNames are the headings that mean a column, in lower case.
var columnNames = map[string]string{
	"time": columnTime, "date": columnTime, "datetime": columnTime, "date time": columnTime, "date/time": columnTime,
	"date and time": columnTime, "timestamp": columnTime, "taken": columnTime, "taken at": columnTime, "measured at": columnTime,
	"system": columnSystem, "code": columnSystem, "system code": columnSystem, "tank": columnSystem, "aquarium": columnSystem,
	"analyte": columnAnalyte, "parameter": columnAnalyte, "test": columnAnalyte, "quantity": columnAnalyte, "element": columnAnalyte,
	"value": columnValue, "result": columnValue, "reading": columnValue,
	"unit": columnUnit, "units": columnUnit,
	"method": columnMethod, "instrument": columnMethod, "kit": columnMethod,
	"person": columnPerson, "by": columnPerson, "initials": columnPerson, "who": columnPerson, "tester": columnPerson,
	"note": columnNote, "notes": columnNote, "comment": columnNote, "remark": columnNote, "remarks": columnNote,
}

// readText returns the file as UTF-8 without a byte order mark. What is no
// UTF-8 is taken for Windows-1252, which holds Latin-1's letters and signs.
func readText(r io.Reader) ([]byte, error) {
	data, err := io.ReadAll(io.LimitReader(r, largestCSV+1))
	if err != nil {
		return nil, fmt.Errorf("reading the file: %w", err)
	}
	if len(data) > largestCSV {
		return nil, tanks.Fault{Field: "file", Problem: fmt.Sprintf("The file is larger than %d MB", largestCSV>>20), Remedy: "split it and import the parts one after the other"}
	}
	switch {
	case bytes.HasPrefix(data, []byte("\xff\xfe")), bytes.HasPrefix(data, []byte("\xfe\xff")):
		data, err = unicode.UTF16(unicode.LittleEndian, unicode.ExpectBOM).NewDecoder().Bytes(data)
	case !utf8.Valid(data):
		data, err = charmap.Windows1252.NewDecoder().Bytes(data)
	}
	if err != nil {
		return nil, fmt.Errorf("reading the file's letters: %w", err)
	}
	if bytes.IndexByte(data, 0) >= 0 {
		return nil, tanks.Fault{Field: "file", Problem: "The file is no text", Remedy: "save the table as CSV, UTF-8, and choose that file"}
	}
	return bytes.TrimPrefix(data, []byte("\ufeff")), nil
}

// separator returns the sign that stands between the cells: of comma,
// semicolon and tab the one that the header has most of.
func separator(data []byte) rune {
	header, _, _ := bytes.Cut(bytes.TrimLeft(data, "\r\n"), []byte("\n"))
	best, most := ',', 0
	for _, sign := range []rune{',', ';', '\t'} {
		if n := bytes.Count(header, []byte(string(sign))); n > most {
			best, most = sign, n
		}
	}
	return best
}

// table reads a CSV file line by line.
type table struct {
	csv    *csv.Reader
	header []string
	column map[string]int
	lines  int // about
}

// newTable reads the header. The error is a tanks.Fault of "file" or "header".
func newTable(r io.Reader) (*table, error) {
	data, err := readText(r)
	if err != nil {
		return nil, err
	}
	t := &table{csv: csv.NewReader(bytes.NewReader(data)), lines: bytes.Count(data, []byte("\n")) + 1}
	t.csv.Comma = separator(data)
	t.csv.FieldsPerRecord = -1
	t.csv.ReuseRecord = true
	header, err := t.csv.Read()
	if errors.Is(err, io.EOF) {
		return nil, tanks.Fault{Field: "file", Problem: "The file is empty", Remedy: "choose a file whose first line names the columns"}
	}
	if err != nil {
		return nil, tanks.Fault{Field: "header", Problem: fmt.Sprintf("The first line cannot be read: %v", err), Remedy: "correct its quotation marks"}
	}
	t.header = slices.Clone(header)
	t.column, err = columnsOf(t.header)
	return t, err
}

// columnsOf finds the known columns in a header; others are left alone.
func columnsOf(header []string) (map[string]int, error) {
	at := map[string]int{}
	for i, name := range header {
		column, known := columnNames[strings.ToLower(strings.Join(strings.Fields(name), " "))]
		if !known {
			continue
		}
		if first, twice := at[column]; twice {
			return nil, tanks.Fault{
				Field: "header", Problem: fmt.Sprintf("The columns %q and %q both mean the %s", header[first], name, column),
				Remedy: "keep one of them, or give the other another heading",
			}
		}
		at[column] = i
	}
	var missing []string
	for _, c := range neededColumns {
		if _, ok := at[c]; !ok {
			missing = append(missing, c)
		}
	}
	if len(missing) > 0 {
		return nil, tanks.Fault{
			Field: "header", Problem: "The first line names no column " + strings.Join(missing, ", "),
			Remedy: "head the columns " + strings.Join(neededColumns, ", ") + ", method (and person, note if wanted)",
		}
	}
	return at, nil
}

// record is one line of the file.
type record struct {
	line  int
	cells map[string]string // by column, trimmed
}

// next returns the next line that has something in it, a fault when it cannot
// be read, and io.EOF after the last.
func (t *table) next() (record, *LineFault, error) {
	for {
		cells, err := t.csv.Read()
		if errors.Is(err, io.EOF) {
			return record{}, nil, io.EOF
		}
		var bad *csv.ParseError
		if errors.As(err, &bad) {
			return record{line: bad.StartLine}, &LineFault{
				Line: bad.StartLine, Problem: "The quotation marks do not match, so the line cannot be read",
				Remedy: "take them out, or put the cell in quotation marks and double those inside it",
			}, nil
		}
		if err != nil {
			return record{}, nil, fmt.Errorf("reading the file: %w", err)
		}
		line, _ := t.csv.FieldPos(0)
		if empty(cells) {
			continue
		}
		if len(cells) > len(t.header) && !empty(cells[len(t.header):]) {
			return record{line: line}, &LineFault{
				Line: line, Problem: fmt.Sprintf("The line has %d cells, the header %d", len(cells), len(t.header)),
				Remedy: "put numbers with a decimal comma and texts with commas in quotation marks, or separate the cells by semicolons",
			}, nil
		}
		return t.record(line, cells), nil, nil
	}
}

func (t *table) record(line int, cells []string) record {
	r := record{line: line, cells: make(map[string]string, len(t.column))}
	for column, i := range t.column {
		if i < len(cells) {
			r.cells[column] = strings.TrimSpace(cells[i])
		}
	}
	return r
}

func empty(cells []string) bool {
	return !slices.ContainsFunc(cells, func(c string) bool { return strings.TrimSpace(c) != "" })
}
