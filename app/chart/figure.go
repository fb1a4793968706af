// Package chart draws figures of readings over time, for the window, for
// pictures and for paper, by one routine on a vector canvas.
//
// Shape, word and colour always go together: below is a blue triangle
// pointing down, above a vermilion one pointing up, within a plain dot.
package chart

import (
	"math"
	"time"

	"weirkeeper/app/typeset"
	"weirkeeper/assets/words"
)

// Figure is one or more panels over a common time axis with one lane of
// events.
type Figure struct {
	Title, Subtitle words.Text
	Zone            *time.Location // nil: UTC
	From, To        time.Time      // ends of the time axis
	Now             time.Time      // where the "today" line stands; zero: none
	Panels          []Panel
	Doses           []Dose
	Changes         []WaterChange
	Notes           []Note
	// Language is what the figure is labelled in; nil: English.
	Language words.Language
	// Fonts are what the figure is lettered with; nil: those of this machine.
	Fonts *typeset.Fonts
}

// Panel is one analyte. All values are in Unit.
type Panel struct {
	Name     words.Text
	Unit     string
	Decimals int
	Points   []Point // in order of time
	Band     *Band
	Fit      []PathPoint // the fitted course
	Forecast []PathPoint
	Verdict  words.Text // of the newest value, in words
	State    State
}

// Point is one reading.
type Point struct {
	At      time.Time
	Value   float64 // with a Limit, the bound
	U       float64 // standard uncertainty
	Limit   Limit
	Lab     bool
	State   State
	Outlier bool // left out of the fit
}

// Limit tells that a point is only a bound.
type Limit int

// The limits.
const (
	LimitNone Limit = iota
	LimitBelow
	LimitAbove
)

// State is where a value lies to its band.
type State int

// The states.
const (
	StateNone State = iota
	StateBelow
	StateWithin
	StateAbove
)

// Band is the target stretch.
type Band struct{ Low, Aim, High float64 }

// PathPoint is one point of a fitted course or forecast. Of a forecast Half50 and
// Half80 are half of its 50 % and its 80 % interval.
type PathPoint struct {
	At             time.Time
	Value          float64
	Half50, Half80 float64
}

// Dose is an addition in the event lane.
type Dose struct {
	At     time.Time
	Amount float64
}

// WaterChange is a water change.
type WaterChange struct {
	At      time.Time
	Percent float64
}

// Note is a dated remark.
type Note struct {
	At   time.Time
	Text string
}

func (f Figure) language() words.Language {
	if f.Language == nil {
		return words.English
	}
	return f.Language
}

// say puts a sentence into the figure's language.
func (f Figure) say(t words.Text) string { return t.In(f.language()) }

func (f Figure) zone() *time.Location {
	if f.Zone == nil {
		return time.UTC
	}
	return f.Zone
}

// check refuses what cannot be drawn.
func (f Figure) check() error {
	if !f.From.Before(f.To) {
		return words.Errorf("drawing %q: the time axis from %s to %s is empty", f.Title, f.From.Format(time.DateOnly),
			f.To.Format(time.DateOnly))
	}
	for _, p := range f.Panels {
		for _, pt := range p.Points {
			if !finite(pt.Value) || !finite(pt.U) {
				return words.Errorf("drawing %s: the value of %s is no number", p.Name, pt.At.Format(time.RFC3339))
			}
		}
		for _, pt := range append(append([]PathPoint(nil), p.Fit...), p.Forecast...) {
			if !finite(pt.Value) || !finite(pt.Half50) || !finite(pt.Half80) {
				return words.Errorf("drawing %s: the course at %s is no number", p.Name, pt.At.Format(time.RFC3339))
			}
		}
	}
	return nil
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
