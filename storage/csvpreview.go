package storage

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"time"

	"gorm.io/gorm"

	"weirkeeper/tanks"
)

// CSVOptions say what a file of readings leaves open.
type CSVOptions struct {
	Zone   *time.Location // of times without an offset; nil: UTC
	Person string         // who measured, where the file does not say
}

// Preview is what an import would write, and what is wrong with the file.
type Preview struct {
	Rows       []PreviewRow
	Faults     []LineFault // in order of the lines; a line may have several
	Duplicates int
	Header     []string // as the file has it
}

// PreviewRow is a line that can be read. A duplicate is not written: the
// ledger, or an earlier line, holds the same value of the same system,
// analyte, instant and method.
type PreviewRow struct {
	Line      int
	Reading   tanks.Reading
	Duplicate bool
}

// Good returns how many readings AcceptCSV would write.
func (p Preview) Good() int { return len(p.Rows) - p.Duplicates }

// BadLines returns how many lines have a fault and are left out.
func (p Preview) BadLines() int {
	n := 0
	for i, f := range p.Faults {
		if i == 0 || f.Line != p.Faults[i-1].Line {
			n++
		}
	}
	return n
}

// PreviewCSV reads a file of readings and writes nothing. Its first line names
// the columns time, system, analyte, value and unit, and may name method,
// person and note, in any order and case. Cells are separated by commas,
// semicolons or tabs; numbers may have a decimal comma and a sign of limit;
// times are ISO 8601. The error is a tanks.Fault of "file" or "header" when
// no line can be read at all; whatever is wrong with single lines is in
// Preview.Faults.
func (s *Store) PreviewCSV(ctx context.Context, r io.Reader, opt CSVOptions) (Preview, error) {
	file, err := newTable(r)
	if err != nil {
		return Preview{}, err
	}
	reader, err := s.rowReader(ctx, opt)
	if err != nil {
		return Preview{}, err
	}
	p := Preview{Header: file.header, Rows: make([]PreviewRow, 0, file.lines)}
	for {
		rec, unreadable, err := file.next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return Preview{}, err
		}
		if unreadable != nil {
			p.Faults = append(p.Faults, *unreadable)
			continue
		}
		reading, faults := reader.reading(rec)
		if len(faults) > 0 {
			p.Faults = append(p.Faults, faults...)
			continue
		}
		p.Rows = append(p.Rows, PreviewRow{Line: rec.line, Reading: reading})
	}
	return p, s.markDuplicates(ctx, &p)
}

func (s *Store) rowReader(ctx context.Context, opt CSVOptions) (*rowReader, error) {
	systems, err := s.Systems(ctx)
	if err != nil {
		return nil, err
	}
	methods, err := s.Methods(ctx)
	if err != nil {
		return nil, err
	}
	latest, err := s.Latest(ctx)
	if err != nil {
		return nil, err
	}
	return newRowReader(opt, s.clock(), systems, methods, latest), nil
}

// sameness is what makes two readings one.
type sameness struct {
	pair    pair
	takenAt int64
	value   float64
	bound   int
	method  int64
}

func (r readingRow) sameness() sameness {
	return sameness{pair{r.SystemID, r.AnalyteID}, r.TakenAt, r.Value, r.Bound, int64(referred[tanks.MethodID](r.MethodID))}
}

func (s *Store) markDuplicates(ctx context.Context, p *Preview) error {
	readings := make([]tanks.Reading, len(p.Rows))
	for i, r := range p.Rows {
		readings[i] = r.Reading
	}
	seen, err := known(s.read.WithContext(ctx), readings)
	if err != nil {
		return fmt.Errorf("looking for values that are in the ledger already: %w", err)
	}
	for i, r := range readings {
		key := rowOfReading(r).sameness()
		p.Rows[i].Duplicate = seen[key]
		if seen[key] {
			p.Duplicates++
		}
		seen[key] = true
	}
	return nil
}

// known returns the live readings of the ledger that lie among the given ones.
func known(db *gorm.DB, readings []tanks.Reading) (map[sameness]bool, error) {
	spans := map[pair][2]int64{}
	for _, r := range readings {
		key, at := pair{int64(r.System), int(r.Analyte)}, stamp(r.At)
		span, ok := spans[key]
		if !ok {
			span = [2]int64{at, at}
		}
		spans[key] = [2]int64{min(span[0], at), max(span[1], at)}
	}
	seen := map[sameness]bool{}
	for key, span := range spans {
		var rows []readingRow
		err := db.Raw("SELECT system_id, analyte_id, taken_at, value, bound, method_id FROM readings WHERE system_id = ? AND analyte_id = ? AND taken_at BETWEEN ? AND ? AND status = 0",
			key.system, key.analyte, span[0], span[1]).Scan(&rows).Error
		if err != nil {
			return nil, err
		}
		for _, r := range rows {
			seen[r.sameness()] = true
		}
	}
	return seen, nil
}

// AcceptCSV writes the good lines of a preview, all or none, and returns how
// many. Lines that have come into the ledger since the preview are left out.
func (s *Store) AcceptCSV(ctx context.Context, p Preview) (int, error) {
	good := toWrite(p)
	if len(good) == 0 {
		return 0, nil
	}
	now := s.clock()
	if err := checkReadings(good, now); err != nil {
		return 0, err
	}
	written := 0
	err := s.act(ctx, "importing the readings", of(KindReading, systemsOf(good)...), func(tx *gorm.DB) error {
		seen, err := known(tx, good)
		if err != nil {
			return err
		}
		fresh := slices.DeleteFunc(good, func(r tanks.Reading) bool { return seen[rowOfReading(r).sameness()] })
		written = len(fresh)
		_, err = insertReadings(tx, fresh, now)
		return err
	})
	if err != nil {
		return 0, err
	}
	return written, nil
}

// toWrite returns the readings that are no duplicates in the order of the
// index, which makes long imports faster.
func toWrite(p Preview) []tanks.Reading {
	order := make([]int, 0, len(p.Rows))
	for i, r := range p.Rows {
		if !r.Duplicate {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(i, j int) int {
		a, b := &p.Rows[i].Reading, &p.Rows[j].Reading
		return cmp.Or(cmp.Compare(a.System, b.System), cmp.Compare(a.Analyte, b.Analyte), a.At.Compare(b.At))
	})
	out := make([]tanks.Reading, len(order))
	for n, i := range order {
		out[n] = p.Rows[i].Reading
	}
	return out
}
