package csvread

import (
	"bufio"
	"bytes"
	"context"
	"encoding/binary"
	"encoding/csv"
	"errors"
	"io"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
	encodings "golang.org/x/text/encoding/unicode"

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
	look, err := encodingOf(ctx, file)
	if err != nil {
		return nil, words.Errorf("reading the file: %w", err)
	}
	found, size := look.found, look.size
	if size > largestFile {
		return nil, tanks.Fault{Field: "file", Problem: words.T("The file has %d MiB, there is room for %d", size>>20, largestFile>>20),
			Remedy: "divide it"}
	}
	if _, err := file.Seek(0, io.SeekStart); err != nil {
		return nil, words.Errorf("reading the file: %w", err)
	}
	t := &text{size: size}
	plain := io.Reader(bufio.NewReaderSize(counting{file, &t.read}, 1<<16))
	switch {
	case found == utf16Text:
		t.Reader = encodings.UTF16(encodings.LittleEndian, encodings.ExpectBOM).NewDecoder().Reader(plain)
	case found == notText:
		return nil, errNoText
	case found == Latin1 && (as == UTF8 || as == AnyEncoding && look.letters):
		return nil, tanks.Fault{Field: "file", Problem: words.T("Line %d has a byte that is no UTF-8, other lines have letters of UTF-8",
			look.badLine), Remedy: "correct the letter there, or choose Latin-1 if the file is written so"}
	case as == Latin1, as == AnyEncoding && found == Latin1:
		t.Reader = charmap.Windows1252.NewDecoder().Reader(plain)
	default:
		t.Reader = encodings.UTF8BOM.NewDecoder().Reader(plain)
	}
	return t, nil
}

// Kinds of file beside the encodings that can be chosen.
const (
	utf16Text Encoding = "UTF-16"
	notText   Encoding = "no text"
)

// largestFile bounds what is read, in bytes.
const largestFile = 4 << 30

// looked is what a look through a file finds.
type looked struct {
	found   Encoding
	size    int64
	letters bool // signs of UTF-8 beyond ASCII
	badLine int  // the first line with a byte that is none of UTF-8
}

// encodingOf reads a file to its end, as long as ctx has not ended and it is not
// too large. What is no UTF-8 is taken for Latin-1.
func encodingOf(ctx context.Context, file io.ReadSeeker) (l looked, err error) {
	if _, err := file.Seek(0, io.SeekStart); err != nil {
		return l, err
	}
	l.found = UTF8
	block, lines := make([]byte, 1<<16), 1
	kept := 0 // bytes of a letter that the block before ended in
	for l.size <= largestFile {
		if err := ctx.Err(); err != nil {
			return l, err
		}
		n, err := file.Read(block[kept:])
		data := block[:kept+n]
		if l.size == 0 && (bytes.HasPrefix(data, []byte("\xff\xfe")) || bytes.HasPrefix(data, []byte("\xfe\xff"))) {
			l.found = utf16Text
		}
		l.size += int64(n)
		if l.found != utf16Text && bytes.IndexByte(data, 0) >= 0 {
			l.found = notText
		}
		end := errors.Is(err, io.EOF)
		kept = 0
		if l.found == UTF8 || l.found == Latin1 {
			if kept = unfinished(data); end {
				kept = 0
			}
			l.letter(data[:len(data)-kept], &lines)
			copy(block, data[len(data)-kept:])
		}
		if end {
			return l, nil
		}
		if err != nil {
			return l, err
		}
	}
	return l, nil
}

// letter notes what letters a part of the file has; lines is the number of its
// first line, then of the next part's.
func (l *looked) letter(data []byte, lines *int) {
	if utf8.Valid(data) {
		l.letters = l.letters || !ascii(bytes.TrimPrefix(data, []byte("\ufeff")))
		*lines += lineEnds(data)
		return
	}
	line := *lines
	for at := 0; at < len(data); {
		r, size := utf8.DecodeRune(data[at:])
		switch {
		case r == utf8.RuneError && size <= 1:
			if l.found = Latin1; l.badLine == 0 {
				l.badLine = line
			}
		case r > unicode.MaxASCII && r != '\ufeff':
			l.letters = true
		default:
			line += lineEnds(data[at : at+1])
		}
		at += size
	}
}

// ascii tells whether no byte has its high bit set, eight at a time.
func ascii(data []byte) bool {
	for ; len(data) >= 8; data = data[8:] {
		if binary.LittleEndian.Uint64(data)&0x8080808080808080 != 0 {
			return false
		}
	}
	for _, c := range data {
		if c > unicode.MaxASCII {
			return false
		}
	}
	return true
}

func lineEnds(data []byte) int { return bytes.Count(data, []byte("\n")) }

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
	lines  *bounded
	csv    *csv.Reader
	header []string
	last   int // the line that was read last
}

// openTable reads the header. The error is a tanks.Fault of "file" or "header".
func openTable(ctx context.Context, file io.ReadSeeker, m ColumnMap) (*table, error) {
	text, err := openText(ctx, file, m.Encoding)
	if err != nil {
		return nil, err
	}
	lines := &bounded{from: text}
	in := bufio.NewReaderSize(lines, blockSize)
	lines.returns = onlyReturns(in)
	t := &table{text: text, lines: lines, csv: csv.NewReader(in)}
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
	header, err := t.record()
	if errors.Is(err, io.EOF) {
		return nil, tanks.Fault{Field: "file", Problem: "The file is empty", Remedy: "choose a file whose first line names the columns"}
	}
	if errors.Is(err, errLongLine) {
		return nil, longLine(1)
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
		cells, err := t.record()
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
		if errors.Is(err, errLongLine) {
			return 0, nil, nil, longLine(t.last + 1)
		}
		if err != nil {
			return 0, nil, nil, words.Errorf("reading the file: %w", err)
		}
		if t.last, _ = t.csv.FieldPos(0); empty(cells) {
			continue
		}
		line, _ := t.csv.FieldPos(0)
		if len(cells) > len(t.header) && !empty(cells[len(t.header):]) {
			return line, nil, &LineFault{
				Line: line, Problem: words.N(len(cells), "The line has %d cell, the header %d", "The line has %d cells, the header %d",
					len(t.header)),
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
