package trend

import (
	"cmp"
	"slices"
	"sort"
	"time"
)

// knot is the state right after an event, or at the first reading: from it on
// c = α·c0 − β·k + γ, with β growing by one a day.
type knot struct {
	day                float64 // since the first reading
	alpha, beta, gamma float64
	keep               float64 // what the event left of the water, 1 for an addition
}

// row is one reading as the least squares see it: z = α·c0 − β·k.
type row struct {
	alpha, beta, z float64
	sd             float64
}

// at returns the state at a day not before the knot.
func (k knot) at(day float64) (alpha, beta, gamma float64) {
	return k.alpha, k.beta + day - k.day, k.gamma
}

// swapped returns the state after a water change.
func (k knot) swapped(day float64, s Swap) knot {
	keep := 1 - s.Share
	alpha, beta, gamma := k.at(day)
	return knot{day: day, alpha: keep * alpha, beta: keep * beta, gamma: keep*gamma + s.Share*s.Fresh, keep: keep}
}

// stepped returns the state after an addition.
func (k knot) stepped(day float64, s Step) knot {
	alpha, beta, gamma := k.at(day)
	return knot{day: day, alpha: alpha, beta: beta, gamma: gamma + s.Change, keep: 1}
}

// carry walks through the record from the first point on. It returns the
// state after each event and a row for each point; points are in order of
// time, the row's sd is not set.
func carry(points []Point, steps []Step, swaps []Swap) ([]knot, []row) {
	from := points[0].At
	steps = inOrder(steps, from, func(s Step) time.Time { return s.At })
	swaps = inOrder(swaps, from, func(s Swap) time.Time { return s.At })
	knots := make([]knot, 1, 1+len(steps)+len(swaps))
	knots[0] = knot{alpha: 1, keep: 1}
	rows := make([]row, 0, len(points))
	for len(points)+len(steps)+len(swaps) > 0 {
		last := knots[len(knots)-1]
		switch {
		case len(points) > 0 && !later(points[0].At, swaps, swapTime) && !later(points[0].At, steps, stepTime):
			alpha, beta, gamma := last.at(daysFrom(from, points[0].At))
			rows = append(rows, row{alpha: alpha, beta: beta, z: points[0].Value - gamma})
			points = points[1:]
		case len(swaps) > 0 && !later(swaps[0].At, steps, stepTime):
			knots = append(knots, last.swapped(daysFrom(from, swaps[0].At), swaps[0]))
			swaps = swaps[1:]
		default:
			knots = append(knots, last.stepped(daysFrom(from, steps[0].At), steps[0]))
			steps = steps[1:]
		}
	}
	return knots, rows
}

func stepTime(s Step) time.Time { return s.At }
func swapTime(s Swap) time.Time { return s.At }

// later tells whether t comes after the first of the events.
func later[E any](t time.Time, events []E, at func(E) time.Time) bool {
	return len(events) > 0 && t.After(at(events[0]))
}

// inOrder returns the events from an instant on in order of time, without
// copying when they are in order already.
func inOrder[E any](events []E, from time.Time, at func(E) time.Time) []E {
	order := func(a, b E) int { return at(a).Compare(at(b)) }
	if !slices.IsSortedFunc(events, order) {
		events = slices.Clone(events)
		slices.SortStableFunc(events, order)
	}
	first := sort.Search(len(events), func(i int) bool { return !at(events[i]).Before(from) })
	return events[first:]
}

func daysFrom(from, t time.Time) float64 { return t.Sub(from).Hours() / 24 }

// stateAt returns the state at a day; at the day of an event the one after
// it. Days before the first reading continue its line backwards.
func stateAt(knots []knot, day float64) (alpha, beta, gamma float64) {
	i, found := slices.BinarySearchFunc(knots, day, func(k knot, d float64) int { return cmp.Compare(k.day, d) })
	if found {
		for i+1 < len(knots) && knots[i+1].day == day {
			i++
		}
	} else {
		i = max(0, i-1)
	}
	return knots[i].at(day)
}
