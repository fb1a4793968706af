// Package trend finds what a system uses of an analyte in a day, and where
// that leads, from the mass balance over the system's record: readings,
// additions and water changes.
//
// Between events the water obeys c' = −k; an addition steps c by its change,
// a water change of share f by water of value n makes c ← (1−f)·c + f·n. So
// at any time c = α·c0 − β·k + γ, linear in the start c0 and the uptake k,
// which a weighted least squares fit finds that outliers cannot pull.
package trend

import (
	"slices"
	"time"

	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// Point is a reading as the fit sees it. All numbers are in the analyte's
// canonical unit.
type Point struct {
	At    time.Time
	Value float64 // with a Limit, the bound
	// Scatter is the standard deviation between repeated readings; zero: not
	// known. Trueness is the standard uncertainty that all readings share: it
	// never counts for the slope, only for levels.
	Scatter, Trueness float64
	Limit             tanks.Limit
}

// Step is an addition: the concentration changes at once.
type Step struct {
	At     time.Time
	Change float64 // canonical unit
}

// Swap is a water change.
type Swap struct {
	At    time.Time
	Share float64 // replaced part of the net volume, 0 to 1
	Fresh float64 // the new water's value, canonical unit
}

// Record is what happened to one analyte in one system. The slices may be in
// any order. At one and the same instant readings come first, then water
// changes, then additions: one tests before acting. Steady dosing is given as
// many small steps, a continuous water change as many small swaps; a step an
// hour is never further than 1/24 of a day's dose from the continuous one.
type Record struct {
	Points []Point
	Steps  []Step
	Swaps  []Swap
}

// PointOf returns the reading as a point of a record, with the parts of
// uncertainty that its method states.
func PointOf(r tanks.Reading, m tanks.Method) Point {
	m.Analyte = r.Analyte
	scatter, trueness := m.Parts(r)
	return Point{At: r.At, Value: r.Value, Scatter: scatter, Trueness: trueness, Limit: r.Limit}
}

// RecordOf gathers the record of one analyte from a system's entries.
// Withdrawn entries and those of other analytes are left out. method returns
// the method of an identifier, the zero Method for one that is not known.
// Water changes whose new water is not known for the analyte cannot be
// followed and are left out; their number is returned so that it can be said.
func RecordOf(a chem.Analyte, readings []tanks.Reading, method func(tanks.MethodID) tanks.Method, additions []tanks.Addition,
	changes []tanks.WaterChange) (rec Record, unknown int) {
	for _, r := range readings {
		if r.Analyte == a && r.Status == tanks.Live {
			rec.Points = append(rec.Points, PointOf(r, method(r.Method)))
		}
	}
	for _, d := range additions {
		if d.Status != tanks.Live {
			continue
		}
		for _, c := range d.Changes {
			if c.Analyte == a && c.Change != 0 {
				rec.Steps = append(rec.Steps, Step{At: d.At, Change: c.Change})
			}
		}
	}
	for _, w := range changes {
		if w.Status != tanks.Live {
			continue
		}
		i := slices.IndexFunc(w.Water, func(l tanks.Level) bool { return l.Analyte == a })
		if i < 0 {
			unknown++
			continue
		}
		rec.Swaps = append(rec.Swaps, Swap{At: w.At, Share: w.Share, Fresh: w.Water[i].Value})
	}
	return rec, unknown
}
