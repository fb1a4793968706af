package board_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"weirkeeper/chem"
	"weirkeeper/tanks"
	"weirkeeper/tanks/board"
)

// drawn is an invented system with its record, of fresh, brackish or sea water,
// read by a kit.
func drawn(t *rapid.T) (board.Facts, board.SystemRecord, tanks.Cell) {
	c := cell(rapid.SampledFrom([]tanks.SystemID{reef, lagoon, planted}).Draw(t, "system"), chem.Calcium)
	f := facts()
	var rec board.SystemRecord
	level, uptake := rapid.Float64Range(20, 500).Draw(t, "level"), rapid.Float64Range(-5, 5).Draw(t, "uptake")
	for n := rapid.IntRange(1, 9).Draw(t, "readings"); n > 0; n-- {
		r := reading(
			c.System,
			c.Analyte,
			calciumKit,
			float64(3*n)-3+rapid.Float64Range(0, 1).Draw(t, "hours"),
			max(0, level+uptake*float64(3*n)+rapid.Float64Range(-8, 8).Draw(t, "off")),
		)
		rec.Readings = append(rec.Readings, r)
	}
	if rapid.Bool().Draw(t, "dosed") {
		for d := 0.5; d < 25; d++ {
			rec.Additions = append(rec.Additions, dose(c.System, c.Analyte, d, 3))
		}
	}
	f.Latest = []tanks.Reading{last(rec)}
	if rapid.Bool().Draw(t, "salinity is known") {
		f.Latest = append(f.Latest, reading(c.System, chem.Salinity, salinityMeter, 0, rapid.Float64Range(0, 40).Draw(t, "salinity")))
	}
	return f, rec, c
}

// The verdict on a cell is the same by whatever road one comes to it: asked for,
// listed, as worst of its system, before it is saved and after.
func TestOneVerdictByWhateverRoad(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f, rec, c := drawn(t)
		e := estimated(f, map[tanks.SystemID]board.SystemRecord{c.System: rec})
		want := e.Judge(c)
		if got := e.Verdicts()[c]; got != want {
			t.Fatalf("listed it is %s, asked for %s", got, want)
		}
		if got := e.JudgeWith(c); got != want {
			t.Fatalf("with nothing typed it is %s, want %s", got, want)
		}
		if w, ok := e.Worst(c.System); ok && w.Cell == c && w.Verdict != want {
			t.Fatalf("as the worst it is %s, want %s", w.Verdict, want)
		}
		one := board.New(f).Estimate(map[tanks.SystemID]board.SystemRecord{c.System: rec})
		if got := one.Judge(c); got != want {
			t.Fatalf("on a board of its system alone it is %s, want %s", got, want)
		}
		before, unsaved := f, rec
		unsaved.Readings = rec.Readings[:len(rec.Readings)-1]
		before.Latest = f.Latest[1:]
		if n := len(unsaved.Readings); n > 0 {
			before.Latest = append([]tanks.Reading{unsaved.Readings[n-1]}, before.Latest...)
		}
		got := estimated(before, map[tanks.SystemID]board.SystemRecord{c.System: unsaved}).JudgeWith(c, last(rec))
		if got.Word != want.Word || got.Sure != want.Sure || math.Abs(got.PWithin-want.PWithin) > 1e-9 || got.Stale != want.Stale {
			t.Fatalf("as it was typed it is %+v, saved %+v", got, want)
		}
	})
}

// Without a course the cell is its newest reading, and is judged as that.
func TestCellWithoutACourseIsItsReading(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f, rec, c := drawn(t)
		e := estimated(f, map[tanks.SystemID]board.SystemRecord{c.System: {Readings: rec.Readings[len(rec.Readings)-1:]}})
		if got, want := e.Judge(c), e.JudgeReading(last(rec)); got != want {
			t.Fatalf("the cell is %s, its reading %s", got, want)
		}
	})
}

func TestProbabilitiesAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f, rec, c := drawn(t)
		e := estimated(f, map[tanks.SystemID]board.SystemRecord{c.System: rec})
		for _, v := range []tanks.Verdict{e.Judge(c), e.JudgeReading(last(rec))} {
			if sum := v.PBelow + v.PWithin + v.PAbove; math.Abs(sum-1) > 1e-9 || min(v.PBelow, v.PWithin, v.PAbove) < 0 {
				t.Fatalf("%g below, %g within, %g above", v.PBelow, v.PWithin, v.PAbove)
			}
		}
	})
}

// Salt water that is diluted is judged as before by a band that holds at a
// salinity: value, doubt and edges shrink alike.
func TestDilutionKeepsTheVerdict(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		scale := rapid.Float64Range(0.05, 1).Draw(t, "share of the sea")
		u, v := rapid.Float64Range(0.1, 20).Draw(t, "u"), rapid.Float64Range(300, 550).Draw(t, "value")
		judge := func(scale float64) tanks.Verdict {
			r := reading(lagoon, chem.Calcium, calciumKit, 0, v*scale)
			r.Uncertainty = u * scale
			return board.New(facts(reading(lagoon, chem.Salinity, salinityMeter, 0, 35*scale))).JudgeReading(r)
		}
		sea, diluted := judge(1), judge(scale)
		if math.Abs(sea.PBelow-diluted.PBelow) > 1e-9 || math.Abs(sea.PAbove-diluted.PAbove) > 1e-9 {
			t.Fatalf("%+v becomes %+v", sea, diluted)
		}
	})
}
