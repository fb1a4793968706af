package storage

import (
	"context"
	"database/sql"
	"math"

	"weirkeeper/tanks"
	"weirkeeper/tanks/board"
)

// PossibleSlip is a good value of a file that a slip of the decimal point explains:
// the values before it, of the file and of the ledger, let expect another one.
type PossibleSlip struct {
	Line    int
	Reading tanks.Reading
	tanks.Finding
}

// MostSlips is how many possible slips a preview names; it counts all.
const MostSlips = 100

const (
	expectBy = 6 // the values that let expect the next one (our choice)
	// A slip of the decimal point is one of ten times at least, so that a value closer
	// to the last one is none.
	smallestSlip = 4
)

// slips looks for slips among the values of a file, in its order.
type slips struct {
	methods map[tanks.MethodID]tanks.Method
	before  *sql.Stmt // the newest values of a cell until an instant
	windows map[tanks.Cell][]float64
}

func newSlips(ctx context.Context, db preparer, methods []tanks.Method) (*slips, error) {
	s := &slips{methods: map[tanks.MethodID]tanks.Method{}, windows: map[tanks.Cell][]float64{}}
	for _, m := range methods {
		s.methods[m.ID] = m
	}
	var err error
	s.before, err = db.PrepareContext(ctx, `SELECT value FROM readings WHERE system_id = ? AND analyte_id = ? AND taken_at < ? AND status = 0
		AND bound = 0 ORDER BY taken_at DESC, id DESC LIMIT ?`)
	return s, err
}

func (s *slips) close() { s.before.Close() }

// look takes the next reading of the file and tells whether it may be a slip. What
// may be one lets expect nothing of those behind it.
func (s *slips) look(ctx context.Context, r *csvReading) (tanks.Finding, error) {
	if r.Bound != int(tanks.Exact) || r.duplicate {
		return tanks.Finding{}, nil
	}
	cell := r.cell()
	window, known := s.windows[cell]
	if !known {
		var err error
		if window, err = s.ofLedger(ctx, cell, r.TakenAt); err != nil {
			return tanks.Finding{}, err
		}
	}
	var found tanks.Finding
	if n := len(window); n > 0 && far(r.Value, window[n-1]) {
		reading := r.reading()
		found = board.Slip(reading, window, s.methods[reading.Method])
	}
	if found.Places == 0 {
		if len(window) == expectBy {
			window = append(window[:0], window[1:]...)
		}
		window = append(window, r.Value)
	}
	s.windows[cell] = window
	return found, nil
}

// ofLedger returns the values of a cell before an instant, the newest last.
func (s *slips) ofLedger(ctx context.Context, cell tanks.Cell, at int64) ([]float64, error) {
	rows, err := s.before.QueryContext(context.WithoutCancel(ctx), cell.System, cell.Analyte, at, expectBy)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	window := make([]float64, 0, expectBy)
	for rows.Next() {
		var v float64
		if err := rows.Scan(&v); err != nil {
			return nil, err
		}
		window = append([]float64{v}, window...)
	}
	return window, rows.Err()
}

func far(v, last float64) bool {
	v, last = math.Abs(v), math.Abs(last)
	return v > smallestSlip*last || last > smallestSlip*v
}
