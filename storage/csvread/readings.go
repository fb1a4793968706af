package csvread

import (
	"context"
	"errors"
	"io"
	"time"

	"weirkeeper/tanks"
)

// Options say what a file of readings leaves open.
type Options struct {
	Map    ColumnMap      // what the columns hold; zero: by their headings
	Zone   *time.Location // of times without an offset, when the map names none; nil: UTC
	Person string         // who measured, where the file does not say
	Now    time.Time      // no reading is later
}

// zone returns the zone of the times without an offset. The error is that of
// [ColumnMap.Validate].
func (o Options) zone() (*time.Location, error) {
	if o.Map.Zone != "" {
		zone, err := time.LoadLocation(o.Map.Zone)
		if err != nil {
			return nil, o.Map.Validate()
		}
		return zone, nil
	}
	if o.Zone == nil {
		return time.UTC, nil
	}
	return o.Zone, nil
}

// Room is what the words of a file are looked up in.
type Room struct {
	Itself  tanks.Room // its height, for values that depend on the air
	Systems []tanks.System
	Methods []tanks.Method
	Latest  []tanks.Reading // of them the salinities and temperatures, for values that depend on them
}

// Reading is one reading of a file.
type Reading struct {
	Line int // as a text editor counts them, from 1
	tanks.Reading
}

// File is a file of readings, read line by line.
type File struct {
	table *table
	rows  *rowReader
	// Faults are the first MostFaults of the lines read, in their order; a line
	// may have several.
	Faults   []LineFault
	BadLines int // lines with a fault, which are left out whole
}

// MostFaults is how many faults a File keeps; it counts every bad line.
const MostFaults = 500

// Open looks through a file for how its letters are written, and reads its
// headings. Cells are separated by commas, semicolons
// or tabs (RFC 4180); numbers may have a decimal comma and a sign of limit. The
// error is a tanks.Fault of "file" or "header", or of the map, when no line can be
// read at all.
func Open(ctx context.Context, file io.ReadSeeker, opt Options, room Room) (*File, error) {
	var err error
	if opt.Zone, err = opt.zone(); err != nil {
		return nil, err
	}
	t, err := openTable(ctx, file, opt.Map)
	if err != nil {
		return nil, err
	}
	l, err := layoutOf(t.header, opt.Map)
	if err != nil {
		return nil, err
	}
	return &File{table: t, rows: newRowReader(l, opt, room)}, nil
}

// Header returns the headings as the file has them.
func (f *File) Header() []string { return f.table.header }

// Progress returns how many bytes of the file have been read, and how many it
// has.
func (f *File) Progress() (done, total int64) { return f.table.text.read, f.table.text.size }

// Next appends the readings of the next line that has something in it to out:
// none when anything is wrong with the line, which Faults then say. The error is
// io.EOF after the last line.
func (f *File) Next(out []Reading) ([]Reading, error) {
	number, cells, unreadable, err := f.table.next()
	if errors.Is(err, io.EOF) {
		return out, io.EOF
	}
	if err != nil {
		return out, err
	}
	l := line{number: number, cells: cells}
	if unreadable != nil {
		l.faults = []LineFault{*unreadable}
	} else {
		out = f.rows.readings(&l, out)
	}
	if len(l.faults) > 0 {
		f.BadLines++
		f.Faults = append(f.Faults, l.faults[:min(len(l.faults), MostFaults-len(f.Faults))]...)
	}
	return out, nil
}
