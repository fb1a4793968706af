package storage

import (
	"context"
	"database/sql"
	"math"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
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

// Says tells what was expected and what may have been meant, with the unit.
func (s PossibleSlip) Says() words.Text {
	info, _ := chem.Lookup(s.Reading.Analyte)
	return s.Sentence(func(v float64) words.Text {
		return words.T("%s %s", chem.Format(s.Reading.Analyte, v, info.Unit, chem.Water{}), words.Text(info.Unit))
	})
}

// MostSlips is how many possible slips a preview names; it counts all.
const MostSlips = 100

// smallestSlip is how many times a value must differ from the last one: a slip of the
// decimal point is one of ten times at least.
const smallestSlip = 4

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
		if len(window) == board.ExpectBy {
			window = append(window[:0], window[1:]...)
		}
		window = append(window, r.Value)
	}
	s.windows[cell] = window
	return found, nil
}

// ofLedger returns the values of a cell before an instant, the newest last.
func (s *slips) ofLedger(ctx context.Context, cell tanks.Cell, at int64) ([]float64, error) {
	rows, err := s.before.QueryContext(context.WithoutCancel(ctx), cell.System, cell.Analyte, at, board.ExpectBy)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	window := make([]float64, 0, board.ExpectBy)
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
