package board

import (
	"math"
	"time"

	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// Estimated is a board with estimates of the systems whose record it was given;
// of the others it judges no cell. It is not changed once it is made.
type Estimated struct {
	*Board
	known map[tanks.Cell]known
}

// known is what is known of a cell.
type known struct {
	estimate tanks.Estimate
	verdict  tanks.Verdict
	course   Course // of a balanced analyte
}

// Estimate returns the board with estimates of every cell of the systems that
// records has, which holds what happened within [Window].
func (b *Board) Estimate(records map[tanks.SystemID]SystemRecord) *Estimated {
	return (&Estimated{}).Renew(b, records)
}

// Renew returns a newer board of the same room with estimates: of the systems that
// records has by these records, of the others by the courses that were known, which
// are followed on once an hour has passed. It is for when little has changed; the
// methods have not.
func (e *Estimated) Renew(b *Board, records map[tanks.SystemID]SystemRecord) *Estimated {
	out := &Estimated{Board: b, known: make(map[tanks.Cell]known, len(b.Latest))}
	waters := make(map[tanks.SystemID]chem.Water, len(b.Systems))
	for c, newest := range b.Latest {
		rec, changed := records[c.System]
		k, was := e.known[c]
		if !changed && !was {
			continue
		}
		switch {
		case !Balanced(c.Analyte):
			k.course = Course{}
		case changed:
			k.course = courseOf(c.Analyte, rec, b.Methods, b.Now)
		case b.Now.Sub(k.course.now).Abs() >= holds:
			k.course = follow(k.course.record, b.Now)
		}
		water, ok := waters[c.System]
		if !ok {
			water = b.Water(c.System)
			waters[c.System] = water
		}
		k.estimate = b.estimateBy(newest, k.course, b.Now)
		k.verdict = b.judge(c, k.estimate, water, b.Now)
		out.known[c] = k
	}
	return out
}

// holds is how long a course stands for the instant that it was followed to: days
// are what moves doses out of the last week and readings out of [Window].
const holds = time.Hour

// At returns the same board as it stands at another time, with nothing new.
func (e *Estimated) At(now time.Time) *Estimated {
	b := *e.Board
	b.Now = now
	return e.Renew(&b, nil)
}

// estimateBy is the best knowledge of a cell: by its course where that was found,
// else by the newest reading. A newest reading above its method's range, which no
// course can heed, stands by itself.
func (b *Board) estimateBy(newest tanks.Reading, c Course, now time.Time) tanks.Estimate {
	if !c.found || newest.Limit == tanks.Above {
		return b.Tells(newest)
	}
	return c.estimate(now)
}

// Estimate returns the best knowledge of a cell; ok is false for one without a
// reading.
func (e *Estimated) Estimate(c tanks.Cell) (_ tanks.Estimate, ok bool) {
	k, ok := e.known[c]
	return k.estimate, ok
}

// Estimates returns the best knowledge of a system's analytes.
func (e *Estimated) Estimates(id tanks.SystemID) map[chem.Analyte]tanks.Estimate {
	out := map[chem.Analyte]tanks.Estimate{}
	for _, info := range e.Analytes() {
		if k, ok := e.known[tanks.Cell{System: id, Analyte: info.Analyte}]; ok {
			out[info.Analyte] = k.estimate
		}
	}
	return out
}

// Judge returns the verdict on a cell, none without a reading or a band.
func (e *Estimated) Judge(c tanks.Cell) tanks.Verdict { return e.known[c].verdict }

// Verdicts returns the verdicts on all cells that have one or are stale.
func (e *Estimated) Verdicts() map[tanks.Cell]tanks.Verdict {
	out := make(map[tanks.Cell]tanks.Verdict, len(e.known))
	for c, k := range e.known {
		if k.verdict != (tanks.Verdict{}) {
			out[c] = k.verdict
		}
	}
	return out
}

// JudgeWith returns the verdict that a cell has once the given readings of its
// system are saved: the same judge, the same band, the same estimate. Readings
// older than the newest one of the cell count as they do in the record.
func (e *Estimated) JudgeWith(c tanks.Cell, typed ...tanks.Reading) tanks.Verdict {
	now, k := e.Now, e.known[c]
	newest, has := e.Latest[c]
	for _, r := range typed {
		if r.At.After(now) {
			now = r.At
		}
		if r.Cell() == c && (!has || !r.At.Before(newest.At)) {
			newest, has = r, true
		}
	}
	if !has {
		return tanks.Verdict{}
	}
	for _, r := range typed {
		if r.Cell() == c && Balanced(c.Analyte) {
			k.course = k.course.with(r, e.Methods[r.Method], now)
		}
	}
	return e.judge(c, e.estimateBy(newest, k.course, now), e.waterWith(c.System, typed), now)
}

// waterWith is the system's water once the readings are saved.
func (e *Estimated) waterWith(id tanks.SystemID, typed []tanks.Reading) chem.Water {
	s, _ := e.System(id)
	newest := e.newest(id)
	return s.Water(func(a chem.Analyte) (tanks.Reading, bool) {
		r, ok := newest(a)
		for _, t := range typed {
			if t.System == id && t.Analyte == a && (!ok || !t.At.Before(r.At)) {
				r, ok = t, true
			}
		}
		return r, ok
	})
}

// Course returns the course of a cell; ok is false where there is not enough to
// tell.
func (e *Estimated) Course(c tanks.Cell) (_ Course, ok bool) {
	course := e.known[c].course
	return course, course.found
}

// Uptake returns what the system uses of an analyte a day; ok is false where
// there is not enough to tell.
func (e *Estimated) Uptake(c tanks.Cell) (_ tanks.Uptake, ok bool) {
	course, ok := e.Course(c)
	if !ok {
		return tanks.Uptake{}, false
	}
	return course.Uptake(), true
}

// Standing returns the change a day that regular additions make, in the canonical
// unit.
func (e *Estimated) Standing(c tanks.Cell) float64 { return e.known[c].course.standing }

// Direction is where a level goes by itself.
type Direction int

// The directions. Steady: no change stands out, or nothing is known.
const (
	Falling Direction = iota - 1
	Steady
	Rising
)

// Direction returns where a level goes: the sign of the net change a day, which is
// what standing doses give less the uptake, where it is more than its 95 %
// interval.
func (e *Estimated) Direction(c tanks.Cell) Direction {
	u, ok := e.Uptake(c)
	net := e.Standing(c) - u.PerDay
	switch {
	case !ok || math.Abs(net) <= u.Half(clear):
		return Steady
	case net < 0:
		return Falling
	}
	return Rising
}

// clear is the probability of the interval that a change must be outside of to
// stand out.
const clear = 0.95

// age is how old the newest reading of a cell is.
func (e *Estimated) age(c tanks.Cell) time.Duration { return e.Now.Sub(e.Latest[c].At) }
