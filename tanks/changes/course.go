// Package changes reckons courses of water changes: how many it takes to a goal, what
// each does to every analyte, and which limit of a safe change binds. It knows no
// record: it is given levels, the new water and the limits.
package changes

import (
	"math"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// Way is how water is changed.
type Way int

// The ways.
const (
	Several    Way = iota // a share every few days, mixed in before the next
	Continuous            // new water runs in all day while as much of the mixed water runs out
)

// Plan is a course of water changes of one system to a goal. Levels are in canonical
// units; those of analytes that do not mix by volume are not looked at.
type Plan struct {
	Kind  tanks.Kind
	Bands []tanks.Band // whose limits hold; the usual ones where a band has none
	Now   chem.Analysis
	New   chem.Analysis // the new water
	// Gains are what a day without changes adds: regular additions less what the
	// system uses, below zero where it uses more.
	Gains map[chem.Analyte]float64
	Goal  chem.Analyte
	To    float64
	Way   Way
	// Share of the water that each change replaces, above 0 to 1; of a continuous
	// change the volumes that run through in a day.
	Share float64
	Every int // days from one change to the next, 1 or more; a continuous change is told by the day
}

// ErrUnknown is returned where the level of the goal's analyte is not known on both
// sides.
var ErrUnknown = words.New("its level is not known in both waters: measure or type it")

// SettlesError says that what the system adds keeps the level from its goal.
type SettlesError struct {
	Analyte chem.Analyte
	Level   float64 // where it settles, canonical
	Least   float64 // share of each change from which the goal is reached; zero: no share does
}

// Words implements words.Worded: that the goal is not reached, and what would be done.
func (e *SettlesError) Words() words.Text {
	if e.Least == 0 {
		return "What the system adds between two changes keeps it above the goal: change more often, or find where it comes from"
	}
	return words.T("With what the system adds it never gets there: change %.0f %% or more each time, or more often", math.Ceil(100*e.Least))
}

// Error says it in English.
func (e *SettlesError) Error() string { return e.Words().String() }

// Mixes tells whether levels of an analyte mix by volume.
func Mixes(a chem.Analyte) bool { return a.Additive() || a == chem.Conductivity }

// known lists the analytes whose levels are known of both waters, in the catalogue's
// order.
func (p Plan) known() []chem.Analyte {
	var all []chem.Analyte
	for _, info := range chem.Catalogue() {
		_, now := p.Now[info.Analyte]
		_, fresh := p.New[info.Analyte]
		if now && fresh && Mixes(info.Analyte) {
			all = append(all, info.Analyte)
		}
	}
	return all
}

// every is the days between two changes.
func (p Plan) every() float64 {
	if p.Way == Continuous {
		return 1
	}
	return float64(p.Every)
}

// Settles is the level that an analyte comes to in the end: that of the new water and
// what the system adds meanwhile. Changes lead there as they would lead to a new
// water of that level.
func (p Plan) Settles(a chem.Analyte) float64 {
	if p.Way == Continuous {
		return p.New[a] + p.Gains[a]/p.Share
	}
	return p.New[a] + (1-p.Share)*p.Gains[a]*p.every()/p.Share
}

// after is the level right after the n-th change, the first being 1; of a continuous
// change that after n days.
func (p Plan) after(a chem.Analyte, n int) (float64, error) {
	if p.Way == Continuous {
		level, err := chem.DilutedContinuously(p.Now[a], p.Share*float64(n), p.Settles(a))
		return max(0, level), err
	}
	first, err := chem.DilutedBy(p.Now[a], p.Share, p.New[a])
	if err != nil {
		return 0, err
	}
	level, err := chem.DilutedByMany(first, p.Share, p.Settles(a), n-1)
	// What is used up leaves what the change itself brings.
	return max(p.Share*p.New[a], level), err
}

// before is the level right before the n-th change, or at the beginning of the n-th
// day of a continuous one.
func (p Plan) before(a chem.Analyte, n int) (float64, error) {
	if n == 1 {
		return p.Now[a], nil
	}
	level, err := p.after(a, n-1)
	if p.Way == Several {
		level = max(0, level+p.Gains[a]*p.every())
	}
	return level, err
}

// check returns a [chem.RangeError] for a share or days that cannot be, or ErrUnknown.
func (p Plan) check() error {
	const most, longest = 20, 365
	switch {
	case p.Way == Continuous && !(p.Share > 0 && p.Share <= most):
		return chem.RangeError{Quantity: "volumes a day", Value: p.Share, Low: 0, High: most}
	case p.Way == Several && !(p.Share > 0 && p.Share <= 1):
		return chem.RangeError{Quantity: "share of the water", Value: 100 * p.Share, Low: 0, High: 100, Unit: "%"}
	case p.Way == Several && (p.Every < 1 || p.Every > longest):
		return chem.RangeError{Quantity: "days between changes", Value: float64(p.Every), Low: 1, High: longest}
	}
	return p.checkGoal()
}

func (p Plan) checkGoal() error {
	_, now := p.Now[p.Goal]
	_, fresh := p.New[p.Goal]
	if !now || !fresh || !Mixes(p.Goal) {
		return ErrUnknown
	}
	return nil
}

// Changes returns how many changes lead to the goal, of a continuous one how many
// days, rounded up. The error is ErrUnknown, a *SettlesError, wraps
// [chem.ErrFreshCant], or is a [chem.RangeError].
func (p Plan) Changes() (int, error) {
	if err := p.check(); err != nil {
		return 0, err
	}
	now, fresh := p.Now[p.Goal], p.New[p.Goal]
	if _, err := chem.ShareFor(now, p.To, fresh); err != nil {
		return 0, err
	}
	if now == p.To {
		return 0, nil
	}
	if p.blocked() {
		return 0, p.blockedBy()
	}
	if p.Way == Continuous {
		volumes, err := chem.TurnoverFor(now, p.To, p.Settles(p.Goal))
		return int(math.Ceil(volumes/p.Share - 1e-9)), err
	}
	first, err := p.after(p.Goal, 1)
	if err != nil || p.reached(first) {
		return 1, err
	}
	n, err := chem.ChangesFor(first, p.To, p.Settles(p.Goal), p.Share)
	return n + 1, err
}

// reached tells whether a level is at the goal or past it.
func (p Plan) reached(level float64) bool {
	const hair = 1e-9
	if p.Now[p.Goal] > p.To {
		return level <= p.To+hair*math.Abs(p.To)
	}
	return level >= p.To-hair*math.Abs(p.To)
}

// blocked tells whether what the system adds or uses keeps the level from the goal for
// ever.
func (p Plan) blocked() bool {
	first := p.Now[p.Goal]
	if p.Way == Several {
		first = (1-p.Share)*first + p.Share*p.New[p.Goal]
	}
	return !p.reached(first) && !(p.reached(p.Settles(p.Goal)) && p.Settles(p.Goal) != p.To)
}

// blockedBy says why the goal is not reached; a goal that is the new water itself is
// never quite reached either.
func (p Plan) blockedBy() error {
	gain := p.Gains[p.Goal] * p.every()
	if gain == 0 {
		return words.Errorf("changes to the level of the new water itself: %w", chem.ErrFreshCant)
	}
	e := &SettlesError{Analyte: p.Goal, Level: p.Settles(p.Goal)}
	// The share at which it settles at the goal: to = new + (1−f)·gain/f.
	if least := gain / (p.To - p.New[p.Goal] + gain); p.Way == Several && least > 0 && least < 1 {
		e.Least = least
	}
	return e
}

// ShareFor returns the share of each of n changes that lead to the goal, of a
// continuous change the volumes a day for n days. The errors are those of
// [Plan.Changes], and a [chem.RangeError] of n.
func (p Plan) ShareFor(n int) (float64, error) {
	const most = 1000
	if n < 1 || n > most {
		return 0, chem.RangeError{Quantity: "number of changes", Value: float64(n), Low: 1, High: most}
	}
	if err := p.checkGoal(); err != nil {
		return 0, err
	}
	now, fresh := p.Now[p.Goal], p.New[p.Goal]
	share, err := chem.ShareForMany(now, p.To, fresh, n)
	if p.Way == Continuous {
		var volumes float64
		volumes, err = chem.TurnoverFor(now, p.To, fresh)
		share = volumes / float64(n)
	}
	if err != nil || p.Gains[p.Goal] == 0 || now == p.To {
		return share, err
	}
	return p.searchShare(n)
}

// searchShare halves the range of shares until the n-th change just reaches the goal.
func (p Plan) searchShare(n int) (float64, error) {
	low, high := 0.0, 1.0
	if p.Way == Continuous {
		high = 20
	}
	down := p.Now[p.Goal] > p.To
	reaches := func(share float64) bool {
		p.Share = share
		level, err := p.after(p.Goal, n)
		return err == nil && (level <= p.To) == down
	}
	if !reaches(high) {
		p.Share = high
		return 0, p.blockedBy()
	}
	for range 60 {
		middle := (low + high) / 2
		if reaches(middle) {
			high = middle
		} else {
			low = middle
		}
	}
	return high, nil
}
