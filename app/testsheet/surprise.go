package testsheet

import (
	"context"
	"slices"
	"time"

	"weirkeeper/app/say"
	"weirkeeper/app/state"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/tanks"
)

// A cell's newest values within recentSpan let expect the next one.
const (
	recentCount = 6
	recentSpan  = 120 * 24 * time.Hour
)

// measured leaves of cells each that has a value, once.
func measured(room *state.Room, cells []tanks.Cell) []tanks.Cell {
	seen := make(map[tanks.Cell]bool, len(cells))
	return slices.DeleteFunc(cells, func(c tanks.Cell) bool {
		_, has := room.Latest[c]
		again := seen[c]
		seen[c] = true
		return !has || again
	})
}

// recentValues reads the newest exact values of each cell, in canonical units.
func recentValues(ctx context.Context, store *storage.Store, room *state.Room, cells []tanks.Cell) (map[tanks.Cell][]float64, error) {
	out := make(map[tanks.Cell][]float64, len(cells))
	for _, c := range cells {
		readings, err := store.Series(ctx, c.System, c.Analyte, room.Now.Add(-recentSpan), room.Now)
		if err != nil {
			return nil, words.Errorf("reading the last values: %w", err)
		}
		var values []float64
		for _, r := range readings {
			if r.Limit == tanks.Exact && room.Methods[r.Method].Kind != tanks.Lab {
				values = append(values, r.Value)
			}
		}
		out[c] = values[max(0, len(values)-recentCount):]
	}
	return out, nil
}

// surprise asks about a value far from what the fit, or else the last values,
// let expect. instead is what a slip of the decimal point would have been, in
// the column's unit.
func (s *sheet) surprise(cell tanks.Cell, c column, r tanks.Reading) (ask, instead string) {
	if r.Limit != tanks.Exact {
		return "", ""
	}
	scatter, _ := c.method.Scatter(r.Value)
	expected, ok := s.expectation(cell, scatter)
	if !ok {
		return "", ""
	}
	finding := tanks.Surprise(r.Value, scatter, expected)
	if !finding.Surprising {
		return "", ""
	}
	water := s.water(cell)
	show := func(v float64) words.Text {
		in, err := chem.Convert(c.analyte, v, canonical(c.analyte), c.unit, water)
		if err != nil {
			return words.T("%.3g", v)
		}
		return chem.Decimal(in, chem.Decimals(c.analyte, c.unit))
	}
	if finding.Places != 0 {
		instead = say.L(show(finding.Slip))
	}
	return say.L(finding.Sentence(show)), instead
}

func (s *sheet) expectation(cell tanks.Cell, scatter float64) (tanks.Expectation, bool) {
	if _, ok := s.room.Fits[cell]; ok {
		return s.room.Estimate[cell].Expectation(), true
	}
	return tanks.Expect(s.recent[cell], scatter)
}
