package csvread

import (
	"bufio"
	"bytes"
	"errors"
	"io"
	"os"

	"weirkeeper/assets/words"
	"weirkeeper/tanks"
)

// longestLine bounds a line with all its cells, in bytes, and so the memory that
// reading takes; blockSize is how much is read at a time.
const (
	longestLine = 1 << 20
	blockSize   = 1 << 16
)

var errLongLine = errors.New("a line is too long")

func longLine(line int) tanks.Fault {
	return tanks.Fault{Field: "file", Problem: words.T("Line %d has more than %d KiB", line, longestLine>>10),
		Remedy: "look there for a quotation mark that is not closed, or shorten the line"}
}

// bounded reads a text whose lines are not longer than longestLine.
type bounded struct {
	from    io.Reader
	since   int  // bytes since the last line
	returns bool // carriage returns alone end the lines
}

func (b *bounded) Read(p []byte) (int, error) {
	if b.since > longestLine {
		return 0, errLongLine
	}
	n, err := b.from.Read(p)
	b.since += n
	if b.returns {
		asNewlines(p[:n])
	}
	return n, err
}

func asNewlines(data []byte) {
	for i, c := range data {
		if c == '\r' {
			data[i] = '\n'
		}
	}
}

// onlyReturns tells of a file whose lines end in carriage returns alone, by its
// beginning, which it then puts right.
func onlyReturns(in *bufio.Reader) bool {
	ahead, _ := in.Peek(blockSize) // an error comes again when it is read
	if bytes.IndexByte(ahead, '\n') >= 0 || bytes.IndexByte(ahead, '\r') < 0 {
		return false
	}
	asNewlines(ahead)
	return true
}

// record reads the cells of the next line.
func (t *table) record() ([]string, error) {
	t.lines.since = 0
	return t.csv.Read()
}

// OpenFile opens a table for reading. What is no file, such as a folder, a pipe or
// a device, is refused as a tanks.Fault of "file": it could be read for ever.
func OpenFile(path string) (*os.File, error) {
	about, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	if !about.Mode().IsRegular() {
		return nil, tanks.Fault{Field: "file", Problem: words.T("%s is no file but a folder, a pipe or a device", path),
			Remedy: "choose a file with a table"}
	}
	return os.Open(path)
}
