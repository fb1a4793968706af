package changes

import (
	"math"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// Limit is a largest safe change of an analyte, in its canonical unit.
type Limit struct {
	Analyte chem.Analyte
	Most    float64
	Day     bool // within 24 hours; false: in one step
	Source  words.Text
}

// Use is how much of a limit a change takes.
type Use struct {
	Limit
	Change float64 // canonical, with its sign
}

// Part is the share of the limit that is used; above 1 it is broken.
func (u Use) Part() float64 { return math.Abs(u.Change) / u.Most }

// Broken tells whether the change is more than the limit, beyond rounding.
func (u Use) Broken() bool { return u.Part() > 1+1e-9 }

// limits lists what holds for an analyte: its band's, else the usual ones. What runs
// in all day makes no step.
func (p Plan) limits(a chem.Analyte) []Limit {
	band := tanks.Band{Analyte: a}
	for _, b := range p.Bands {
		if b.Analyte == a {
			band = b
		}
	}
	usual, _ := tanks.DefaultLimits(p.Kind, a)
	day := Limit{a, band.MaxRise, true, "the band"}
	if day.Most == 0 {
		day.Most, day.Source = usual.Day, usual.Source
	}
	var all []Limit
	if day.Most > 0 {
		all = append(all, day)
	}
	if step, source := band.Step(p.Kind); step > 0 && p.Way == Several {
		all = append(all, Limit{a, step, false, source})
	}
	return all
}

// change is what the n-th change does: in a step, and within a day that begins or ends
// with it.
func (p Plan) change(a chem.Analyte, n int) (step, day float64, err error) {
	from, err := p.before(a, n)
	if err != nil {
		return 0, 0, err
	}
	to, err := p.after(a, n)
	if err != nil {
		return 0, 0, err
	}
	step, day = to-from, to-from
	if gain := p.Gains[a]; p.Way == Several && gain*step > 0 {
		day += gain
	}
	return step, day, nil
}

// worst is the limit of all analytes that the n-th change takes most of; ok is false
// where there is none.
func (p Plan) worst(n int) (worst Use, ok bool, err error) {
	for _, a := range p.known() {
		step, day, err := p.change(a, n)
		if err != nil {
			return Use{}, false, err
		}
		for _, l := range p.limits(a) {
			u := Use{l, step}
			if l.Day {
				u.Change = day
			}
			if !ok || u.Part() > worst.Part() {
				worst, ok = u, true
			}
		}
	}
	return worst, ok, nil
}

// Largest returns the largest share of a change, of a continuous one the most volumes
// a day, at which the first one, where the two waters differ most, stays within all
// limits, and the limit that binds. Without a limit it is 1, and ok is false. Zero:
// what the system does by itself is more than a limit.
func (p Plan) Largest() (share float64, by Limit, ok bool) {
	share = 1
	for _, a := range p.known() {
		apart := math.Abs(p.Now[a] - p.New[a])
		for _, l := range p.limits(a) {
			room := l.Most
			if gain := p.Gains[a]; l.Day && p.Way == Several && gain*(p.New[a]-p.Now[a]) > 0 {
				room = max(0, room-math.Abs(gain))
			}
			if room >= apart {
				continue
			}
			part := room / apart
			if p.Way == Continuous {
				part = p.turnover(a, room)
			}
			if part < share || !ok {
				share, by, ok = part, l, true
			}
		}
	}
	return share, by, ok
}

// turnover is the volumes a day that move an analyte by a change, by the new water
// alone.
func (p Plan) turnover(a chem.Analyte, change float64) float64 {
	to := p.Now[a] + math.Copysign(change, p.New[a]-p.Now[a])
	volumes, err := chem.TurnoverFor(p.Now[a], to, p.New[a])
	if err != nil {
		return 0
	}
	return volumes
}
