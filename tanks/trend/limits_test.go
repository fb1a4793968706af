package trend

import (
	"errors"
	"math"
	"testing"
	"time"

	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// known is a scatter that the room is sure of.
func known(sd float64) Options { return Options{Scatter: sd, ScatterDF: 1e9} }

// A reading is an outlier when its weight, (1 − (u/4.685)²)² of the biweight,
// is under 0.3: from 3.151 standard deviations on. Many exact readings hold the
// line, so that u is the reading's own.
func TestOutlierFrom(t *testing.T) {
	for _, w := range []struct {
		name      string
		level, sd float64
	}{{"fresh, hardness", 2.5, 0.1}, {"brackish, alkalinity", 3.1, 0.05}, {"marine, calcium", 430, 3}} {
		for off, want := range map[float64]bool{0: false, 2: false, 3: false, 3.1: false, 3.25: true, -3.1: false, -3.25: true, 4.5: true,
			40: true} {
			days := make([]float64, 41)
			for i := range days {
				days[i] = float64(i)
			}
			rec := exact(w.level, w.sd/10, Record{}, w.sd, days...)
			rec.Points[20].Value += off * w.sd
			f := mustFit(t, rec, known(w.sd))
			if got := f.Outliers(); (len(got) == 1) != want || want && got[0] != 20 {
				t.Errorf("%s: %g standard deviations off, weight %g, outliers %v", w.name, off, f.Weights[20], got)
			}
		}
	}
}

// What the fit's degrees of freedom are: 5 of a scatter that methods state, 20
// of one learned from the room, and those of the record's own residuals, its
// readings less two. Pooled, five exact readings with a stated scatter of 3
// leave √(5·9/8).
func TestDegreesOfFreedom(t *testing.T) {
	days := []float64{0, 5, 10, 15, 20}
	for _, c := range []struct {
		name        string
		sd          float64
		opt         Options
		df, scatter float64
	}{
		{"nothing known", 0, Options{}, 3, 0},
		{"stated", 3, Options{}, 5 + 3, 3 * math.Sqrt(5.0/8)},
		{"learned", 3, Options{Scatter: 4}, 20 + 3, 4 * math.Sqrt(20.0/23)},
		{"learned, with its own degrees", 3, Options{Scatter: 4, ScatterDF: 50}, 50 + 3, 4 * math.Sqrt(50.0/53)},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := mustFit(t, exact(430, 2, Record{}, c.sd, days...), c.opt)
			near(t, "degrees of freedom", f.DF, c.df, 1e-9)
			near(t, "scatter", f.Scatter, c.scatter, 1e-6)
			near(t, "own degrees", f.ResidualDF, 3, 1e-9)
		})
	}
}

// Student's t at 97.5 %, tabulated.
func TestT95(t *testing.T) {
	for df, want := range map[float64]float64{1: 12.706, 3: 3.182, 8: 2.306, 20: 2.086, 120: 1.980} {
		near(t, "t", Fit{DF: df}.T95(), want, 0.001)
	}
	if !math.IsInf((Fit{}).T95(), 1) || !math.IsInf((Fit{DF: math.NaN()}).T95(), 1) {
		t.Error("without degrees of freedom there is an interval")
	}
}

// An uptake is of use when half of its 95 % interval is at most half of it, or
// leaves open over a week no more than a pair of readings can resolve. By hand:
// readings on days 0, 3 and 6 with a known s have the standard error s/√18, so
// half an interval is 0.462 s: 3.23 s over a week, more than 2·√2 s. On days 0,
// 4 and 8 it is s/√32, 0.346 s and 2.43 s: less.
func TestUsefulUptake(t *testing.T) {
	for _, c := range []struct {
		name   string
		uptake float64 // in s
		days   []float64
		useful bool
	}{
		{"half of the interval is 0.48 of it", 0.96, []float64{0, 3, 6}, true},
		{"half of the interval is 0.51 of it", 0.90, []float64{0, 3, 6}, false},
		{"half of the interval is itself", 0.46, []float64{0, 3, 6}, false},
		{"it accumulates", -0.96, []float64{0, 3, 6}, true},
		{"it accumulates a little", -0.90, []float64{0, 3, 6}, false},
		{"nothing, over eight days", 0, []float64{0, 4, 8}, true},
		{"nothing, over six days", 0, []float64{0, 3, 6}, false},
	} {
		for name, s := range map[string]float64{"marine": 3, "fresh": 0.2} {
			t.Run(c.name+", "+name, func(t *testing.T) {
				f, err := FitRecord(exact(100*s, c.uptake*s, Record{}, s, c.days...), known(s))
				if (err == nil) != c.useful || err != nil && !errors.Is(err, ErrNotEnough) {
					t.Errorf("%v; uptake %g ± %g", err, f.Uptake, f.T95()*f.UptakeSE)
				}
			})
		}
	}
}

// Additions on four of the last seven days are standing ones, on three they are
// not; a day is 24 hours back from now, and the seventh ends a week ago.
func TestStandingFromFourDays(t *testing.T) {
	now := day(30)
	dose := func(hours ...float64) []Step {
		var out []Step
		for _, h := range hours {
			out = append(out, Step{At: now.Add(-time.Duration(h * float64(time.Hour))), Change: 7})
		}
		return out
	}
	for _, c := range []struct {
		name  string
		steps []Step
		want  float64
	}{
		{"three days", dose(1, 25, 49), 0},
		{"four days", dose(1, 25, 49, 73), 4},
		{"four days, far apart", dose(0, 48, 96, 167), 4},
		{"four doses on three days", dose(1, 2, 25, 49), 0},
		{"the fourth a week ago", dose(1, 25, 49, 168), 0},
		{"a month ago as well", dose(1, 25, 49, 73, 24*29, 24*30), 4},
		{"twice a day on three days", dose(1, 13, 25, 37, 49, 61), 0},
		{"twice a day", dose(1, 13, 25, 37, 49, 61, 73, 85), 8},
	} {
		t.Run(c.name, func(t *testing.T) {
			near(t, "a day", Standing(c.steps, now), c.want, 1e-12)
		})
	}
}

// The ends of the window belong to it; what was read after now does not.
func TestWindowEnds(t *testing.T) {
	rec := exact(430, 2, Record{}, 3, 0, 30, 60, 60.1)
	rec.Points[3].Value = 900
	if f := mustFit(t, rec, Options{Now: day(60)}); f.N != 3 || !f.From.Equal(day(0)) || !f.To.Equal(day(60)) {
		t.Errorf("%d readings from %v to %v", f.N, f.From, f.To)
	}
	if f, err := FitRecord(rec, Options{Now: day(60.05)}); !errors.Is(err, ErrNotEnough) || f.N != 2 {
		t.Errorf("a reading of more than 60 days ago counts: %d, %v", f.N, err)
	}
}

// A trueness shared by all readings is the level's, however many they are: the
// mean of theirs, by the weight of each.
func TestSharedTrueness(t *testing.T) {
	rec := exact(430, 2, Record{}, 3, 0, 5, 10, 15)
	for i, u := range []float64{12, 12, 4, 4} {
		rec.Points[i].Trueness = u
	}
	near(t, "trueness", mustFit(t, rec, Options{}).Trueness, 8, 1e-9)
	if got := shared([]Point{{Trueness: 12}, {Trueness: 4}}, []float64{1, 0}); got != 12 {
		t.Errorf("with an outlier it is %g", got)
	}
}

// A point of a record takes the analyte of its reading, whatever the method
// says, so that a pH without a method gets the 0.1 that is assumed of pH.
func TestPointOf(t *testing.T) {
	p := PointOf(tanks.Reading{Analyte: chem.PH, Value: 8.1, Limit: tanks.Below, At: day(1)}, tanks.Method{})
	near(t, "trueness", p.Trueness, 0.1, 1e-12)
	near(t, "scatter", p.Scatter, 0.05, 1e-12)
	if p.Value != 8.1 || p.Limit != tanks.Below || !p.At.Equal(day(1)) {
		t.Errorf("%+v", p)
	}
}
