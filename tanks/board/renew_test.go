package board_test

import (
	"maps"
	"math"
	"slices"
	"testing"
	"time"

	"weirkeeper/chem"
	"weirkeeper/tanks"
	"weirkeeper/tanks/board"
)

// falling is a record of three readings that fall out of the band together: only
// with the last of them there is enough to tell.
func falling(newest time.Time) board.SystemRecord {
	var rec board.SystemRecord
	for n, v := range []float64{2.9, 2.75, 2.62} {
		r := reading(reef, chem.Alkalinity, alkalinityKit, 0, v)
		r.At = newest.AddDate(0, 0, 10*(n-2))
		rec.Readings = append(rec.Readings, r)
	}
	return rec
}

// A value that is typed minutes after the board was read counts in the fit by
// which it is judged.
func TestTypedLaterCountsInTheFit(t *testing.T) {
	later := now.Add(10 * time.Minute)
	rec, k := falling(later), cell(reef, chem.Alkalinity)
	saved := facts(last(rec))
	saved.Now = later
	want := estimated(saved, map[tanks.SystemID]board.SystemRecord{reef: rec})
	if course, ok := want.Course(k); !ok || course.Uptake().PerDay < 0.01 {
		t.Fatal("the three readings make no course")
	}
	before := board.SystemRecord{Readings: rec.Readings[:2]}
	e := estimated(facts(last(before)), map[tanks.SystemID]board.SystemRecord{reef: before})
	got := e.JudgeWith(k, last(rec))
	if math.Abs(got.PBelow-want.Judge(k).PBelow) > 1e-9 {
		t.Errorf("typed it is %g below, saved %g", got.PBelow, want.Judge(k).PBelow)
	}
	if alone := e.JudgeReading(last(rec)); math.Abs(alone.PBelow-got.PBelow) < 0.001 {
		t.Errorf("the record makes no difference: %g below", alone.PBelow)
	}
}

// A board that is renewed for the systems that changed is the board that a whole
// read gives, and the one before it is as it was.
func TestRenewedBoardIsTheBoard(t *testing.T) {
	later := now.Add(10 * time.Minute)
	rec := falling(later)
	before := board.SystemRecord{Readings: rec.Readings[:2]}
	calm := series(lagoon, 3, 0.05, 0)
	salt := reading(reef, chem.Salinity, salinityMeter, 1, 35)
	first := estimated(facts(last(before), salt, last(calm)), map[tanks.SystemID]board.SystemRecord{reef: before, lagoon: calm})
	verdicts := first.Verdicts()

	got := first.Renew(
		first.With(later, []tanks.SystemID{reef}, []tanks.Reading{last(rec)}),
		map[tanks.SystemID]board.SystemRecord{reef: rec},
	)
	f := facts(last(rec), last(calm)) // the salinity was withdrawn
	f.Now = later
	want := estimated(f, map[tanks.SystemID]board.SystemRecord{reef: rec, lagoon: calm})
	alike(t, got, want)
	if !got.Now.Equal(later) || !maps.Equal(got.Latest, want.Latest) {
		t.Errorf("at %v the newest values are %v", got.Now, got.Latest)
	}
	if !first.Now.Equal(now) || !maps.Equal(first.Verdicts(), verdicts) || first.Latest[salt.Cell()] != salt {
		t.Error("the board before it has changed")
	}
}

// With time alone values grow stale, courses run on and old readings drop out: the
// board at a later time is the one that a whole read gives then.
func TestLaterBoardIsTheBoard(t *testing.T) {
	rec := series(reef, 3, 0.05, 0.04)
	records := map[tanks.SystemID]board.SystemRecord{reef: rec}
	ammonia := reading(quarantine, chem.Ammonia, ammoniaKit, 0, 0.02)
	e := estimated(facts(last(rec), ammonia), records)
	for _, days := range []int{0, 1, 5, 9, 20, 40} {
		f := facts(last(rec), ammonia)
		f.Now = now.AddDate(0, 0, days)
		want := estimated(f, records)
		alike(t, e.At(f.Now), want)
		got, _ := e.At(f.Now).Course(cell(reef, chem.Alkalinity))
		whole, ok := want.Course(cell(reef, chem.Alkalinity))
		if ok && !slices.Equal(got.Ahead(week, 3), whole.Ahead(week, 3)) {
			t.Errorf("after %d days it goes on as %+v, want %+v", days, got.Ahead(week, 3), whole.Ahead(week, 3))
		}
	}
	if v := e.At(now.AddDate(0, 0, 11)).Judge(ammonia.Cell()); !v.Stale {
		t.Errorf("after 11 days at an interval of 7: %s", v)
	}
}

// Readings older than a month tell nothing of the uptake, whatever the record
// holds: two of the last days are not enough, and what a month and more ago was
// another course does not bend this one.
func TestOldReadingsTellNothing(t *testing.T) {
	k := cell(reef, chem.Alkalinity)
	var rec board.SystemRecord
	for _, days := range []float64{50, 45, 40, 35, 31} {
		rec.Readings = append(rec.Readings, reading(reef, k.Analyte, alkalinityKit, days, 2+0.1*days))
	}
	rec.Readings = append(rec.Readings, reading(reef, k.Analyte, alkalinityKit, 5, 3), reading(reef, k.Analyte, alkalinityKit, 0, 2.9))
	e := estimated(facts(last(rec)), map[tanks.SystemID]board.SystemRecord{reef: rec})
	if u, ok := e.Uptake(k); ok {
		t.Errorf("two readings of the last month tell an uptake of %g", u.PerDay)
	}
	young := series(reef, 3, 0.02, 0)
	both := young
	both.Readings = append(rec.Readings[:5:5], young.Readings...)
	want, _ := estimated(facts(last(young)), map[tanks.SystemID]board.SystemRecord{reef: young}).Uptake(k)
	got, ok := estimated(facts(last(young)), map[tanks.SystemID]board.SystemRecord{reef: both}).Uptake(k)
	if !ok || got != want {
		t.Errorf("the uptake is %+v, want %+v", got, want)
	}
	for days, want := range map[float64]bool{29.9: true, 30.1: false} {
		three := board.SystemRecord{Readings: slices.Insert(slices.Clone(rec.Readings[5:]), 0,
			reading(reef, k.Analyte, alkalinityKit, days, 3.5))}
		if _, ok := estimated(facts(last(rec)), map[tanks.SystemID]board.SystemRecord{reef: three}).Uptake(k); ok != want {
			t.Errorf("with a third reading of %g days ago there is an uptake: %v", days, ok)
		}
	}
}

// alike compares estimates, verdicts and uptakes of all cells.
func alike(t *testing.T, got, want *board.Estimated) {
	t.Helper()
	if a, b := got.Verdicts(), want.Verdicts(); !maps.Equal(a, b) {
		t.Errorf("at %v the verdicts are %v, want %v", want.Now, a, b)
	}
	for c := range want.Latest {
		a, _ := got.Estimate(c)
		b, _ := want.Estimate(c)
		if a != b {
			t.Errorf("at %v %v is estimated as %+v, want %+v", want.Now, c, a, b)
		}
		u, _ := got.Uptake(c)
		w, _ := want.Uptake(c)
		if u != w || got.Standing(c) != want.Standing(c) {
			t.Errorf("at %v %v uses %+v and is given %g, want %+v and %g", want.Now, c, u, got.Standing(c), w, want.Standing(c))
		}
	}
}
