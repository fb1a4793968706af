package trend

import (
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// drawn is a record with noisy readings over weeks, doses and water changes.
func drawn(t *rapid.T) Record {
	var rec Record
	n := rapid.IntRange(6, 30).Draw(t, "n")
	for i := range n {
		rec.Points = append(rec.Points, Point{
			At:      day(float64(i)*1.9 + rapid.Float64Range(0, 1).Draw(t, "hour")),
			Value:   420 + rapid.Float64Range(-8, 8).Draw(t, "noise"),
			Scatter: rapid.Float64Range(2, 5).Draw(t, "scatter"),
		})
	}
	for i := range rapid.IntRange(0, 20).Draw(t, "doses") {
		rec.Steps = append(rec.Steps, Step{day(float64(i)*1.3 + 0.4), rapid.Float64Range(0, 1).Draw(t, "dose")})
	}
	for i := range rapid.IntRange(0, 4).Draw(t, "changes") {
		rec.Swaps = append(rec.Swaps, Swap{day(float64(i)*5 + 2.2), rapid.Float64Range(0.01, 0.3).Draw(t, "share"), 425})
	}
	return rec
}

func sameFit(t *rapid.T, what string, a, b Fit, errA, errB error, scale float64) {
	if (errA == nil) != (errB == nil) {
		t.Fatalf("%s: %v beside %v", what, errA, errB)
	}
	if errA != nil {
		return
	}
	tol := 1e-6 * scale
	if math.Abs(a.Uptake*scale-b.Uptake) > tol || math.Abs(a.UptakeSE*scale-b.UptakeSE) > tol {
		t.Fatalf("%s: uptake %g ± %g became %g ± %g", what, a.Uptake, a.UptakeSE, b.Uptake, b.UptakeSE)
	}
}

func TestExactDataGiveTheUptake(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rec := drawn(t)
		k := rapid.Float64Range(-5, 5).Draw(t, "k")
		for i, p := range rec.Points {
			rec.Points[i].Value = follow(500, k, rec, p.At)
		}
		f, err := FitRecord(rec, Options{})
		if err != nil {
			t.Skip(err)
		}
		if math.Abs(f.Uptake-k) > 1e-7 {
			t.Fatalf("uptake %g, want %g", f.Uptake, k)
		}
	})
}

func TestDoseAndInverseChangeNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rec := drawn(t)
		f, err := FitRecord(rec, Options{})
		at, x := day(rapid.Float64Range(0.1, 20).Draw(t, "at")), rapid.Float64Range(-50, 50).Draw(t, "dose")
		rec.Steps = append(rec.Steps, Step{at, x}, Step{at, -x})
		g, err2 := FitRecord(rec, Options{})
		sameFit(t, "a dose and its inverse", f, g, err, err2, 1)
	})
}

// A water change by water of the level that is there leaves exact readings,
// and so the uptake, as they are.
func TestSwapOfSameWaterChangesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.Float64Range(-5, 5).Draw(t, "k")
		d := rapid.Float64Range(1, 13).Draw(t, "at")
		share := rapid.Float64Range(0.01, 0.9).Draw(t, "share")
		rec := exact(430, k, Record{}, 3, 0, 3, 6, 9, 12, 15, 18)
		f, err := FitRecord(rec, Options{})
		rec.Swaps = []Swap{{day(d), share, 430 - k*d}}
		g, err2 := FitRecord(rec, Options{})
		if err != nil || err2 != nil {
			t.Skip("not enough to tell")
		}
		if math.Abs(f.Uptake-g.Uptake) > 1e-6 {
			t.Fatalf("uptake %g became %g", f.Uptake, g.Uptake)
		}
	})
}

func TestShiftInTimeChangesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rec := drawn(t)
		f, err := FitRecord(rec, Options{})
		by := time.Duration(rapid.Int64Range(-1e6, 1e6).Draw(t, "minutes")) * time.Minute
		for i := range rec.Points {
			rec.Points[i].At = rec.Points[i].At.Add(by)
		}
		for i := range rec.Steps {
			rec.Steps[i].At = rec.Steps[i].At.Add(by)
		}
		for i := range rec.Swaps {
			rec.Swaps[i].At = rec.Swaps[i].At.Add(by)
		}
		g, err2 := FitRecord(rec, Options{})
		sameFit(t, "a shift in time", f, g, err, err2, 1)
	})
}

func TestUnitsScaleTheFit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rec := drawn(t)
		f, err := FitRecord(rec, Options{})
		u := math.Pow(10, rapid.Float64Range(-4, 4).Draw(t, "unit"))
		for i := range rec.Points {
			rec.Points[i].Value *= u
			rec.Points[i].Scatter *= u
		}
		for i := range rec.Steps {
			rec.Steps[i].Change *= u
		}
		for i := range rec.Swaps {
			rec.Swaps[i].Fresh *= u
		}
		g, err2 := FitRecord(rec, Options{})
		sameFit(t, "another unit", f, g, err, err2, u)
	})
}
