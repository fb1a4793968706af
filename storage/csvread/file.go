package csvread

import (
	"bufio"
	"bytes"
	"context"
	"encoding/csv"
	"errors"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"

	"weirkeeper/assets/words"
	"weirkeeper/tanks"
)

// LineFault is one thing wrong with one line of an imported file.
type LineFault struct {
	Line    int    // as a text editor counts them, from 1
	Column  string // a role, or the heading of a column of readings; empty: the whole line
	Problem words.Text
	Remedy  words.Text
}

var errNoText = tanks.Fault{Field: "file", Problem: "The file is no text", Remedy: "save the table as CSV, UTF-8, and choose that file"}

// text is a file read as UTF-8 without a byte order mark, and how far.
type text struct {
	io.Reader
	size int64
	read int64 // bytes of the file, as far as they are asked for
}

type counting struct {
	from io.Reader
	n    *int64
}

func (c counting) Read(p []byte) (int, error) {
	n, err := c.from.Read(p)
	*c.n += int64(n)
	return n, err
}

// openText looks through the file for how its letters are written, and begins
// anew.
func openText(ctx context.Context, file io.ReadSeeker, as Encoding) (*text, error) {
	found, size, err := encodingOf(ctx, file)
	if err != nil {
		return nil, words.Errorf("reading the file: %w", err)
	}
	if _, err := file.Seek(0, io.SeekStart); err != nil {
		return nil, words.Errorf("reading the file: %w", err)
	}
	t := &text{size: size}
	plain := io.Reader(bufio.NewReaderSize(counting{file, &t.read}, 1<<16))
	switch {
	case found == utf16Text:
		t.Reader = unicode.UTF16(unicode.LittleEndian, unicode.ExpectBOM).NewDecoder().Reader(plain)
	case found == notText:
		return nil, errNoText
	case as == Latin1, as == AnyEncoding && found == Latin1:
		t.Reader = charmap.Windows1252.NewDecoder().Reader(plain)
	case found == Latin1:
		return nil, tanks.Fault{Field: "file", Problem: "The file is not UTF-8 throughout", Remedy: "choose Latin-1, or save it as UTF-8"}
	default:
		t.Reader = unicode.UTF8BOM.NewDecoder().Reader(plain)
	}
	return t, nil
}

// Kinds of file beside the encodings that can be chosen.
const (
	utf16Text Encoding = "UTF-16"
	notText   Encoding = "no text"
)

// encodingOf reads a file to its end, as long as ctx has not ended. What is no UTF-8 is taken for Latin-1.
func encodingOf(ctx context.Context, file io.ReadSeeker) (found Encoding, size int64, err error) {
	if _, err := file.Seek(0, io.SeekStart); err != nil {
		return "", 0, err
	}
	found = UTF8
	block := make([]byte, 1<<16)
	kept := 0 // bytes of a letter that the block before ended in
	for {
		if err := ctx.Err(); err != nil {
			return "", 0, err
		}
		n, err := file.Read(block[kept:])
		data := block[:kept+n]
		if size == 0 && (bytes.HasPrefix(data, []byte("\xff\xfe")) || bytes.HasPrefix(data, []byte("\xfe\xff"))) {
			found = utf16Text
		}
		size += int64(n)
		if found != utf16Text && bytes.IndexByte(data, 0) >= 0 {
			found = notText
		}
		if found == UTF8 {
			kept = unfinished(data)
			if !utf8.Valid(data[:len(data)-kept]) {
				found, kept = Latin1, 0
			}
			copy(block, data[len(data)-kept:])
		}
		if errors.Is(err, io.EOF) {
			if kept > 0 {
				found = Latin1
			}
			return found, size, nil
		}
		if err != nil {
			return "", 0, err
		}
	}
}

// unfinished returns how many bytes at the end begin a letter that is not whole.
func unfinished(data []byte) int {
	for n := 1; n < utf8.UTFMax && n <= len(data); n++ {
		tail := data[len(data)-n:]
		if utf8.RuneStart(tail[0]) {
			if utf8.FullRune(tail) {
				return 0
			}
			return n
		}
	}
	return 0
}

// separator returns the sign that stands between the cells: of comma,
// semicolon and tab the one that the header has most of.
func separator(header string) rune {
	best, most := ',', 0
	for _, sign := range []rune{',', ';', '\t'} {
		if n := strings.Count(header, string(sign)); n > most {
			best, most = sign, n
		}
	}
	return best
}

// table reads a CSV file line by line.
type table struct {
	text   *text
	csv    *csv.Reader
	header []string
}

// openTable reads the header. The error is a tanks.Fault of "file" or "header".
func openTable(ctx context.Context, file io.ReadSeeker, m ColumnMap) (*table, error) {
	text, err := openText(ctx, file, m.Encoding)
	if err != nil {
		return nil, err
	}
	in := bufio.NewReaderSize(text, 1<<16)
	t := &table{text: text, csv: csv.NewReader(in)}
	t.csv.FieldsPerRecord = -1
	t.csv.ReuseRecord = true
	first, err := firstLine(in)
	if err != nil {
		return nil, words.Errorf("reading the file: %w", err)
	}
	t.csv.Comma = separator(first)
	if m.Separator != "" {
		t.csv.Comma = []rune(m.Separator)[0]
	}
	header, err := t.csv.Read()
	if errors.Is(err, io.EOF) {
		return nil, tanks.Fault{Field: "file", Problem: "The file is empty", Remedy: "choose a file whose first line names the columns"}
	}
	var bad *csv.ParseError
	if errors.As(err, &bad) {
		return nil, tanks.Fault{
			Field:   "header",
			Problem: words.T("The first line cannot be read: %v", err),
			Remedy:  "correct its quotation marks",
		}
	}
	if err != nil {
		return nil, words.Errorf("reading the file: %w", err)
	}
	t.header = slices.Clone(header)
	return t, nil
}

// firstLine looks at the first line that has something in it, as far as the
// buffer goes.
func firstLine(in *bufio.Reader) (string, error) {
	ahead, err := in.Peek(1 << 16)
	if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, bufio.ErrBufferFull) {
		return "", err
	}
	line, _, _ := strings.Cut(strings.TrimLeft(string(ahead), "\r\n"), "\n")
	return line, nil
}

// next returns the cells of the next line that has something in it and its
// number, a fault when it cannot be read, and io.EOF after the last. The cells
// hold until the next call.
func (t *table) next() (line int, cells []string, fault *LineFault, err error) {
	for {
		cells, err := t.csv.Read()
		if errors.Is(err, io.EOF) {
			return 0, nil, nil, io.EOF
		}
		var bad *csv.ParseError
		if errors.As(err, &bad) {
			return bad.StartLine, nil, &LineFault{
				Line: bad.StartLine, Problem: "The quotation marks do not match, so the line cannot be read",
				Remedy: "take them out, or put the cell in quotation marks and double those inside it",
			}, nil
		}
		if err != nil {
			return 0, nil, nil, words.Errorf("reading the file: %w", err)
		}
		if empty(cells) {
			continue
		}
		line, _ := t.csv.FieldPos(0)
		if len(cells) > len(t.header) && !empty(cells[len(t.header):]) {
			return line, nil, &LineFault{
				Line: line, Problem: words.N(len(cells), "The line has %d cell, the header %d", "The line has %d cells, the header %d", len(t.header)),
				Remedy: "put numbers with a decimal comma and texts with commas in quotation marks, or separate the cells by semicolons",
			}, nil
		}
		return line, cells, nil, nil
	}
}

func empty(cells []string) bool {
	for _, c := range cells {
		if strings.TrimSpace(c) != "" {
			return false
		}
	}
	return true
}

// Head is what the beginning of a file looks like.
type Head struct {
	Header []string
	Lines  [][]string // the first few
}

// linesOfHead is how many lines a look at a file shows.
const linesOfHead = 5

// ReadHead reads the headings of a file and its first lines, for a person to
// say what they hold. Of a map only Encoding and Separator matter.
func ReadHead(ctx context.Context, file io.ReadSeeker, m ColumnMap) (Head, error) {
	t, err := openTable(ctx, file, m)
	if err != nil {
		return Head{}, err
	}
	head := Head{Header: t.header}
	for len(head.Lines) < linesOfHead {
		_, cells, fault, err := t.next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return Head{}, err
		}
		if fault == nil {
			head.Lines = append(head.Lines, slices.Clone(cells))
		}
	}
	return head, nil
}
