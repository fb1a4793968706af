package trend

import (
	"errors"
	"fmt"
	"math"
	"testing"
	"time"

	"weirkeeper/chem"
	"weirkeeper/tanks"
)

var start = time.Date(2025, 3, 1, 9, 0, 0, 0, time.UTC)

func day(d float64) time.Time { return start.Add(time.Duration(d * float64(24*time.Hour))) }

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %g, want %g ± %g", what, got, want, tol)
	}
}

// follow walks a water through the record by value, event by event, independent
// of the fit's own bookkeeping.
func follow(c0, k float64, rec Record, t time.Time) float64 {
	c, at := c0, start
	for {
		next, swap, step := t, -1, -1
		for i, s := range rec.Swaps {
			if s.At.After(at) && s.At.Before(next) {
				next, swap = s.At, i
			}
		}
		for i, s := range rec.Steps {
			if s.At.After(at) && s.At.Before(next) {
				next, swap, step = s.At, -1, i
			}
		}
		c -= k * next.Sub(at).Hours() / 24
		switch {
		case swap >= 0:
			c += rec.Swaps[swap].Share * (rec.Swaps[swap].Fresh - c)
		case step >= 0:
			c += rec.Steps[step].Change
		default:
			return c
		}
		at = next
	}
}

func exact(c0, k float64, rec Record, scatter float64, days ...float64) Record {
	for _, d := range days {
		rec.Points = append(rec.Points, Point{At: day(d), Value: follow(c0, k, rec, day(d)), Scatter: scatter})
	}
	return rec
}

func mustFit(t *testing.T, r Record, opt Options) Fit {
	t.Helper()
	f, err := FitRecord(r, opt)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func TestFitRecordExact(t *testing.T) {
	doses := Record{Steps: []Step{{day(1.5), 10}, {day(4.5), 12}, {day(9.5), 8}}}
	mixed := Record{
		Steps: []Step{{day(9.5), 8}, {day(1.5), 10}},
		Swaps: []Swap{{day(6.5), 0.25, 440}, {day(8.2), 0.1, 435}},
	}
	for _, c := range []struct {
		name string
		rec  Record
		k    float64
	}{
		{"nothing happens", Record{}, 2.3},
		{"accumulates", Record{}, -1.1},
		{"doses", doses, 4},
		{"doses and water changes, unordered", mixed, 3.7},
		{"complete water change", Record{Swaps: []Swap{{day(3.3), 1, 425}}}, 2},
	} {
		for _, scatter := range []float64{0, 3} {
			t.Run(fmt.Sprintf("%s, scatter %g", c.name, scatter), func(t *testing.T) {
				f := mustFit(t, exact(430, c.k, c.rec, scatter, 0, 2, 5, 7, 11, 16), Options{})
				near(t, "uptake", f.Uptake, c.k, 1e-8)
				v, _ := f.At(day(8))
				near(t, "level at day 8", v, follow(430, c.k, c.rec, day(8)), 1e-7)
				v, _ = f.At(day(20))
				near(t, "level at day 20", v, follow(430, c.k, c.rec, day(20)), 1e-7)
				if f.N != 6 || !f.From.Equal(start) || !f.To.Equal(day(16)) || len(f.Outliers()) != 0 {
					t.Errorf("N %d, from %v to %v, outliers %v", f.N, f.From, f.To, f.Outliers())
				}
			})
		}
	}
}

// With the scatter known and no outlier the standard error is that of a
// straight line, s/√Σ(t−t̄)², and of its mean, s/√n.
func TestFitRecordStandardErrors(t *testing.T) {
	f := mustFit(t, exact(430, 2, Record{}, 3, 0, 2, 4, 6, 8), Options{Scatter: 3, ScatterDF: 1e9})
	near(t, "uptake se", f.UptakeSE, 3/math.Sqrt(40), 1e-6)
	_, se := f.At(day(4))
	near(t, "se at the middle", se, 3/math.Sqrt(5), 1e-6)
	_, se = f.At(day(14))
	near(t, "se of the forecast", se, math.Sqrt(9.0/5+100*9.0/40), 1e-6)
	near(t, "t", f.T95(), 1.95996, 1e-4)
}

func TestFitRecordOutliers(t *testing.T) {
	days := []float64{0, 3, 6, 9, 12, 15, 18}
	for _, c := range []struct {
		name string
		bad  int
		by   float64
	}{
		{"in the middle", 3, 60}, {"the last", 6, -80}, {"the first", 0, 40}, {"decimal slip", 5, -375},
	} {
		t.Run(c.name, func(t *testing.T) {
			rec := exact(430, 2, Record{}, 3, days...)
			for i, e := range []float64{1, -2, 2, 0.5, -1, 1.5, -1.5} {
				rec.Points[i].Value += e
			}
			clean := rec
			clean.Points = append([]Point{}, rec.Points[:c.bad]...)
			clean.Points = append(clean.Points, rec.Points[c.bad+1:]...)
			rec.Points[c.bad].Value += c.by
			f, g := mustFit(t, rec, Options{}), mustFit(t, clean, Options{})
			if out := f.Outliers(); len(out) != 1 || out[0] != c.bad {
				t.Fatalf("outliers %v, want %d; weights %v", out, c.bad, f.Weights)
			}
			near(t, "uptake", f.Uptake, g.Uptake, 0.02)
			near(t, "se", f.UptakeSE, g.UptakeSE, 0.1*g.UptakeSE)
		})
	}
}

func TestFitRecordNotEnough(t *testing.T) {
	two := exact(430, 2, Record{}, 3, 0, 5)
	ranged := exact(430, 2, Record{}, 3, 0, 5, 10)
	ranged.Points[1].Limit = tanks.Above
	faint := Record{}
	for d := range 5 {
		faint.Points = append(faint.Points, Point{At: day(float64(7 * d)), Value: 0.02, Scatter: 0.005, Limit: tanks.Below})
	}
	apart := exact(430, 2, Record{}, 3, 0, 7, 14)
	apart.Points[1].Value += 90
	for _, c := range []struct {
		name string
		rec  Record
		want string
	}{
		{"no reading", Record{}, "not enough to tell: no reading, 3 are needed"},
		{"one reading", exact(1, 0, Record{}, 1, 0), "not enough to tell: 1 reading, 3 are needed"},
		{"two readings", two, "not enough to tell: 2 readings, 3 are needed"},
		{"above range", ranged, "not enough to tell: 2 readings within the method's range, 3 are needed"},
		{"all below detection", faint, "not enough to tell: all 5 readings are below the limit of detection"},
		{"one moment", exact(430, 0, Record{}, 3, 1, 1, 1),
			"not enough to tell: the readings are of one moment, or a complete water change lies between them"},
		{"three within a day", exact(430, 2, Record{}, 3, 0, 0.5, 1),
			"not enough to tell: 3 readings over 1.0 days do not stand out from their scatter"},
		{"three over two days", exact(430, 0.5, Record{}, 3, 0, 1, 2),
			"not enough to tell: 3 readings over 2.0 days do not stand out from their scatter"},
		{"three that disagree", apart, "not enough to tell: only 2 of 3 readings agree, 3 are needed"},
	} {
		t.Run(c.name, func(t *testing.T) {
			f, err := FitRecord(c.rec, Options{})
			if !errors.Is(err, ErrNotEnough) || err.Error() != c.want {
				t.Errorf("got %v, want %s", err, c.want)
			}
			if v, _ := f.At(day(1)); !math.IsNaN(v) || f.Uptake != 0 {
				t.Errorf("a failed fit gives a level of %g and an uptake of %g", v, f.Uptake)
			}
		})
	}
}

// The uptake that the fit gives to others has its doubt, and knows when the newest
// reading is the one that hardly counts.
func TestUptaken(t *testing.T) {
	for newest, off := range map[float64]bool{0: false, 60: true} {
		rec := exact(430, 2, Record{}, 3, 0, 3, 6, 9, 12, 15, 18)
		rec.Points[2].Value += 2
		rec.Points[6].Value += newest
		f := mustFit(t, rec, Options{})
		if got, want := f.Uptaken(), (tanks.Uptake{PerDay: f.Uptake, SE: f.UptakeSE, DF: f.DF, NewestOff: off}); got != want ||
			got.DF <= 0 {
			t.Errorf("%+v, want %+v", got, want)
		}
	}
}

// An uptake near nothing is a result once it is pinned down.
func TestFitRecordNearZero(t *testing.T) {
	rec := exact(430, 0.02, Record{}, 3, 0, 7, 14, 21)
	rec.Points[1].Value += 2
	f := mustFit(t, rec, Options{})
	if half := f.T95() * f.UptakeSE; half < math.Abs(f.Uptake) || half > 0.6 {
		t.Errorf("uptake %g ± %g", f.Uptake, half)
	}
}

func TestFitRecordWindow(t *testing.T) {
	rec := exact(430, 2, Record{}, 3, -90, -80, 0, 10, 20, 30)
	rec.Points[0].Value, rec.Points[1].Value = 100, 100
	rec.Points = append(rec.Points, Point{At: day(40), Value: 900, Scatter: 3})
	f := mustFit(t, rec, Options{Now: day(31)})
	near(t, "uptake", f.Uptake, 2, 1e-9)
	if f.N != 4 {
		t.Errorf("N = %d, want the 4 of the last 60 days", f.N)
	}
	if f = mustFit(t, rec, Options{Now: day(31), Window: 25 * 24 * time.Hour}); f.N != 3 {
		t.Errorf("N = %d, want the 3 of the last 25 days", f.N)
	}
}

func TestFitRecordBelowLimit(t *testing.T) {
	rec := Record{}
	for d, v := range []float64{0.10, 0.08, 0.06, 0.04} {
		rec.Points = append(rec.Points, Point{At: day(float64(d * 7)), Value: v, Scatter: 0.004})
	}
	rec.Points = append(rec.Points, Point{At: day(28), Value: 0.03, Scatter: 0.004, Limit: tanks.Below})
	f := mustFit(t, rec, Options{})
	near(t, "uptake", f.Uptake, 0.02/7, 0.0002)
	near(t, "value used", f.Points[4].Value, 0.015, 1e-12)
	near(t, "scatter used", f.Points[4].Scatter, math.Hypot(0.004, 0.015/math.Sqrt(3)), 1e-12)
}

func TestTruenessCountsForLevelsOnly(t *testing.T) {
	rec := exact(430, 2, Record{}, 3, 0, 5, 10, 15)
	plain := mustFit(t, rec, Options{})
	for i := range rec.Points {
		rec.Points[i].Trueness = 12
	}
	f := mustFit(t, rec, Options{})
	near(t, "uptake se", f.UptakeSE, plain.UptakeSE, 0)
	e := f.Estimate(day(16))
	near(t, "value", e.Value, 398, 1e-7)
	near(t, "trueness", e.Trueness, 12, 1e-12)
	near(t, "uncertainty", e.Uncertainty, math.Hypot(12, e.Scatter), 1e-12)
	if e.From.String() != "fit of 4 readings" || e.N != 4 || !e.At.Equal(day(15)) {
		t.Errorf("estimate %+v", e)
	}
}

func TestRecordOf(t *testing.T) {
	m := tanks.Method{ID: 1, Name: "drops", Analyte: chem.Calcium, Accuracy: 6, Repeatability: 2}
	live := func(d, v float64) tanks.Reading {
		return tanks.Reading{Analyte: chem.Calcium, At: day(d), Value: v, Method: 1}
	}
	gone, other := live(3, 999), live(3, 8)
	gone.Status, other.Analyte = tanks.Withdrawn, chem.Alkalinity
	adds := []tanks.Addition{
		{At: day(1), Changes: []tanks.Delta{{Analyte: chem.Calcium, Change: 9}, {Analyte: chem.Magnesium, Change: 1}}},
		{At: day(2), Status: tanks.Withdrawn, Changes: []tanks.Delta{{Analyte: chem.Calcium, Change: 7}}},
	}
	changes := []tanks.WaterChange{
		{At: day(4), Share: 0.2, Water: []tanks.Level{{Analyte: chem.Calcium, Value: 440}}},
		{At: day(5), Share: 0.3},
		{At: day(6), Share: 0.3, Status: tanks.Withdrawn},
	}
	rec, unknown := RecordOf(chem.Calcium, []tanks.Reading{live(0, 420), gone, other, live(7, 410)},
		func(tanks.MethodID) tanks.Method { return m }, adds, changes)
	if len(rec.Points) != 2 || rec.Points[1].Value != 410 || rec.Points[1].Scatter != 2 {
		t.Errorf("points %+v", rec.Points)
	}
	near(t, "trueness", rec.Points[0].Trueness, 6/math.Sqrt(3), 1e-12)
	if len(rec.Steps) != 1 || rec.Steps[0] != (Step{day(1), 9}) {
		t.Errorf("steps %+v", rec.Steps)
	}
	if len(rec.Swaps) != 1 || rec.Swaps[0] != (Swap{day(4), 0.2, 440}) || unknown != 1 {
		t.Errorf("swaps %+v, %d unknown", rec.Swaps, unknown)
	}
}

// At one instant readings come first, then water changes, then additions.
func TestOrderAtOneInstant(t *testing.T) {
	rec := Record{Steps: []Step{{day(5), 10}}, Swaps: []Swap{{day(5), 0.5, 100}}}
	for _, p := range []struct{ d, v float64 }{{0, 200}, {2, 200}, {5, 200}, {7, 160}, {12, 160}} {
		rec.Points = append(rec.Points, Point{At: day(p.d), Value: p.v, Scatter: 1})
	}
	f := mustFit(t, rec, Options{})
	near(t, "uptake", f.Uptake, 0, 1e-9)
	if len(f.Outliers()) != 0 {
		t.Errorf("outliers %v", f.Outliers())
	}
}
