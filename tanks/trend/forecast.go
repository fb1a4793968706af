package trend

import (
	"math"
	"slices"
	"time"

	"weirkeeper/tanks"
)

// At returns the level at an instant and its standard error (scatter part
// only: add Trueness in quadrature for the level itself, not for changes).
// Events count up to and at the instant; beyond the last reading it is the
// forecast without further doses. Both are NaN for a Fit that failed.
func (f Fit) At(t time.Time) (value, se float64) {
	if len(f.knots) == 0 {
		return math.NaN(), math.NaN()
	}
	alpha, beta, gamma := stateAt(f.knots, daysFrom(f.From, t))
	return f.value(alpha, beta) + gamma, f.se(alpha, beta)
}

// Uptaken returns the uptake with its doubt, and whether the newest reading lies
// off the fit.
func (f Fit) Uptaken() tanks.Uptake {
	last := len(f.Weights) - 1
	return tanks.Uptake{PerDay: f.Uptake, SE: f.UptakeSE, DF: f.DF, NewestOff: last >= 0 && f.Weights[last] < outlierBelow}
}

// Forecast returns n points (at least two) evenly from one instant to
// another: the level that the fit and the planned steps lead to, with the
// standard error's scatter part and its degrees of freedom. planned may be in any order; steps before
// from count too, unless the record has them already. No level falls below
// zero.
func (f Fit) Forecast(from, to time.Time, n int, planned []Step) []tanks.CoursePoint {
	if len(f.knots) == 0 || !from.Before(to) {
		return nil
	}
	n = max(2, n)
	planned = inOrder(planned, time.Time{}, stepTime)
	knots, extra := f.knots, 0.0
	path := make([]tanks.CoursePoint, n)
	for i := range path {
		t := from.Add(time.Duration(float64(to.Sub(from)) * float64(i) / float64(n-1)))
		extra, knots, planned = f.advance(t, extra, knots, planned)
		value, se := f.At(t)
		path[i] = tanks.CoursePoint{At: t, Value: max(0, value+extra), SE: se, DF: f.DF}
	}
	return path
}

// advance carries what the planned steps add through the record's events up
// to an instant, and returns it with the events and steps still to come.
func (f Fit) advance(t time.Time, extra float64, knots []knot, planned []Step) (float64, []knot, []Step) {
	day := daysFrom(f.From, t)
	for {
		next := len(planned) > 0 && !planned[0].At.After(t)
		event := len(knots) > 0 && knots[0].day <= day
		switch {
		case next && (!event || daysFrom(f.From, planned[0].At) < knots[0].day):
			extra += planned[0].Change
			planned = planned[1:]
		case event:
			extra *= knots[0].keep
			knots = knots[1:]
		default:
			return extra, knots, planned
		}
	}
}

// Leaves returns when the forecast from an instant on leaves the band, and to
// which side, within the horizon; ok is false when it does not or b has no
// edges. A level outside at the start leaves at once. Of future doses only
// those in the record count.
func (f Fit) Leaves(b tanks.Band, from time.Time, horizon time.Duration) (at time.Time, side tanks.Word, ok bool) {
	if len(f.knots) == 0 || !b.HasEdges() {
		return time.Time{}, tanks.NoVerdict, false
	}
	day, end := daysFrom(f.From, from), daysFrom(f.From, from.Add(horizon))
	ahead, _ := slices.BinarySearchFunc(f.knots, day, func(k knot, d float64) int {
		if k.day <= d {
			return -1
		}
		return 1
	})
	for day <= end {
		until := end
		if ahead < len(f.knots) {
			until = min(end, f.knots[ahead].day)
		}
		if d, word := f.leavesStretch(b, day, until); word != tanks.NoVerdict {
			return f.From.Add(time.Duration(d * float64(24*time.Hour))), word, true
		}
		if ahead == len(f.knots) {
			break
		}
		day = f.knots[ahead].day
		ahead++
	}
	return time.Time{}, tanks.NoVerdict, false
}

// leavesStretch looks for the day at which the level, straight between two
// days, is first outside the band.
func (f Fit) leavesStretch(b tanks.Band, day, until float64) (float64, tanks.Word) {
	alpha, beta, gamma := stateAt(f.knots, day)
	v := f.value(alpha, beta) + gamma
	end := v - f.Uptake*(until-day)
	switch {
	case v < b.Low:
		return day, tanks.BelowBand
	case v > b.High:
		return day, tanks.AboveBand
	case end < b.Low:
		return day + (v-b.Low)/f.Uptake, tanks.BelowBand
	case end > b.High:
		return day + (v-b.High)/f.Uptake, tanks.AboveBand
	}
	return 0, tanks.NoVerdict
}
