package chem

import (
	"maps"
	"math"
	"slices"

	"weirkeeper/assets/words"
	"weirkeeper/chem/seawater"
)

// DilutedBy returns the concentration after a share f of the water, 0 to 1, is
// replaced by water of concentration fresh: (1−f)·c + f·fresh. The error is a
// [RangeError].
func DilutedBy(c, share, fresh float64) (float64, error) {
	if err := checkWaters(c, fresh); err != nil {
		return 0, err
	}
	if err := checkShare("share of the water", share); err != nil {
		return 0, err
	}
	return (1-share)*c + share*fresh, nil
}

// DilutedByMany returns the concentration after n changes of a share each, 0 to
// 1, every one mixed in before the next: fresh + (c − fresh)·(1−f)ⁿ. n is 0 to
// 1 000 000. The error is a [RangeError].
func DilutedByMany(c, share, fresh float64, n int) (float64, error) {
	if err := checkWaters(c, fresh); err != nil {
		return 0, err
	}
	if err := checkShare("share of the water", share); err != nil {
		return 0, err
	}
	const most = 1000000
	if n < 0 || n > most {
		return 0, RangeError{Quantity: "number of water changes", Value: float64(n), Low: 0, High: most}
	}
	return fresh + (c-fresh)*math.Pow(1-share, float64(n)), nil
}

// DilutedContinuously returns the concentration after new water of turnover
// times the volume, 0 to 1 000 000, has run in while as much of the mixed water
// ran out: fresh + (c − fresh)·e^(−turnover). The error is a [RangeError].
func DilutedContinuously(c, turnover, fresh float64) (float64, error) {
	if err := checkWaters(c, fresh); err != nil {
		return 0, err
	}
	const most = 1000000
	if !(turnover >= 0 && turnover <= most) {
		return 0, RangeError{Quantity: "turnover", Value: turnover, Low: 0, High: most, Unit: "volumes"}
	}
	return fresh + (c-fresh)*math.Exp(-turnover), nil
}

func checkWaters(c, fresh float64) error {
	if err := checkNumber("level of the water", c); err != nil {
		return err
	}
	return checkNumber("level of the new water", fresh)
}

// checkShare returns a [RangeError] in per cent unless a share is 0 to 1.
func checkShare(quantity words.Text, share float64) error {
	if share >= 0 && share <= 1 {
		return nil
	}
	return RangeError{Quantity: quantity, Value: 100 * share, Low: 0, High: 100, Unit: "%"}
}

// remaining returns the part (goal − fresh)/(c − fresh) of the old difference
// that may remain, 0 to 1. The error wraps [ErrFreshCant] when the goal does not
// lie between c and fresh.
func remaining(c, goal, fresh float64) (float64, error) {
	if err := checkWaters(c, fresh); err != nil {
		return 0, err
	}
	if err := checkNumber("goal", goal); err != nil {
		return 0, err
	}
	if c == goal {
		return 1, nil
	}
	if goal < min(c, fresh) || goal > max(c, fresh) {
		return 0, words.Errorf("a water change from %g to %g with water of %g: %w", c, goal, fresh, ErrFreshCant)
	}
	return (goal - fresh) / (c - fresh), nil
}

// ShareFor returns the share of the water, 0 to 1, to replace in one change so
// that c becomes goal: (c−goal)/(c−fresh). The error wraps [ErrFreshCant] when
// the goal does not lie between c and fresh.
func ShareFor(c, goal, fresh float64) (float64, error) {
	left, err := remaining(c, goal, fresh)
	if err != nil {
		return 0, err
	}
	return 1 - left, nil
}

// ShareForMany returns the share, 0 to 1, to replace in each of n changes, n
// above zero, so that c becomes goal. The errors are those of [ShareFor].
func ShareForMany(c, goal, fresh float64, n int) (float64, error) {
	left, err := remaining(c, goal, fresh)
	if err != nil {
		return 0, err
	}
	if n < 1 {
		return 0, words.Errorf("%d water changes reach no goal: plan one or more", n)
	}
	return 1 - math.Pow(left, 1/float64(n)), nil
}

// ChangesFor returns the least number of changes of a share each, above 0 and
// up to 1, after which c has come to goal or past it. The error wraps
// [ErrFreshCant] when the goal is not between c and fresh, or is the new water
// itself, which changes of less than all never quite reach.
func ChangesFor(c, goal, fresh, share float64) (int, error) {
	left, err := remaining(c, goal, fresh)
	if err != nil {
		return 0, err
	}
	if !(share > 0 && share <= 1) {
		return 0, RangeError{Quantity: "share of the water", Value: 100 * share, Low: 0, High: 100, Unit: "%"}
	}
	switch {
	case left == 1:
		return 0, nil
	case share == 1:
		return 1, nil
	case left == 0:
		return 0, words.Errorf("changes of %g %% from %g with water of %g: %w", 100*share, c, fresh, ErrFreshCant)
	}
	// A hair is taken off so that a goal met exactly takes no change more.
	return int(math.Ceil(math.Log(left)/math.Log(1-share) - 1e-9)), nil
}

// TurnoverFor returns how many times the volume must run through continuously so
// that c becomes goal: ln((c−fresh)/(goal−fresh)). The error wraps
// [ErrFreshCant] when the goal is not between c and fresh, or is the new water
// itself.
func TurnoverFor(c, goal, fresh float64) (float64, error) {
	left, err := remaining(c, goal, fresh)
	if err != nil {
		return 0, err
	}
	if left == 0 {
		return 0, words.Errorf("a continuous change from %g with water of %g: %w", c, fresh, ErrFreshCant)
	}
	return -math.Log(left), nil
}

// Blend returns the water that two waters make: a share of b, 0 to 1 by volume
// at 25 °C, in a. It holds the analytes that both know. pH is left out: it follows
// from the alkalinity and carbon of the blend, not from a mean. Where the salinity of
// both is known the masses of water and of every solute are conserved, with the
// densities of EOS-80: half the sea in pure water is 17.73 PSU. Temperature is mixed
// by volume. The error is a [RangeError], also of a level below zero.
func Blend(a, b Analysis, share float64) (Analysis, error) {
	if err := checkShare("share of the second water", share); err != nil {
		return nil, err
	}
	out := Analysis{}
	shrinks := 1.0 // volumes put together over that of the blend
	_, both := b[Salinity]
	if _, known := a[Salinity]; known && both {
		s, ratio, err := blendSalinity(a[Salinity], b[Salinity], share)
		if err != nil {
			return nil, words.Errorf("blending salinity: %w", err)
		}
		out[Salinity], shrinks = s, ratio
	}
	for _, x := range slices.Sorted(maps.Keys(a)) {
		w, both := b[x]
		if !both || x == PH || x == Salinity {
			continue
		}
		for _, level := range []float64{a[x], w} {
			if err := plausible(x, level); err != nil {
				return nil, words.Errorf("blending %s: %w", x.InSentence(), err)
			}
		}
		out[x] = (1-share)*a[x] + share*w
		if x.Additive() {
			out[x] *= shrinks
		}
	}
	return out, nil
}

// blendSalinity returns the salinity of a share of water of salinity b in that of
// salinity a, and the volumes put together over that of the blend.
func blendSalinity(a, b, share float64) (s, shrinks float64, err error) {
	first, second, err := twoBrines(a, b, blendTemperature)
	if err != nil {
		return 0, 0, err
	}
	mass := (1-share)*first.density + share*second.density
	salt := (1-share)*first.density*first.salt + share*second.density*second.salt
	perUnit, err := seawater.ReferenceSalinity(1)
	if err != nil {
		return 0, 0, err
	}
	s = min(max(salt/mass*1000/perUnit, min(a, b)), max(a, b))
	blend, err := brineOf(s, blendTemperature)
	return s, blend.density / mass, err
}

// blendTemperature is that at which concentrations are kept, in °C.
const blendTemperature = 25

// BlendFor returns the share of b by volume, 0 to 1, at which the blend of two waters
// has the goal of one analyte; of salinity by mass, as [Blend] mixes it. The error
// wraps [ErrFreshCant], or is a *MissingError or a [RangeError].
func BlendFor(a, b Analysis, x Analyte, goal float64) (float64, error) {
	for _, water := range []Analysis{a, b} {
		if err := water.need("the blend", x); err != nil {
			return 0, err
		}
	}
	if x == Salinity {
		return SwapForSalinity(1, a[x], goal, b[x], blendTemperature)
	}
	return ShareFor(a[x], goal, b[x])
}

// TopOff is what evaporation and its replacement do to a water: what runs in
// brings its own solutes, and none leave with the vapour.
type TopOff struct {
	Litres float64 // of the system, above zero
	Daily  float64 // litres evaporated and replaced in a day, 0 or more
	// DailyChange is the share of the water that water changes replace in a day
	// on average, 0 to 1, by water of Change.
	DailyChange float64
	Source      Analysis // what the top-off water holds
	Change      Analysis // what the water of changes holds
}

func (t TopOff) check() error {
	if err := checkLitres("top-off in", t.Litres); err != nil {
		return err
	}
	if !(t.Daily >= 0 && t.Daily <= t.Litres) {
		return RangeError{Quantity: "top-off a day", Value: t.Daily, Low: 0, High: t.Litres, Unit: "L"}
	}
	return checkShare("share of the water changed a day", t.DailyChange)
}

// CarryOver returns how much each analyte of the source rises in a day of
// top-off alone, in canonical units: Daily/Litres times the source's level.
// Temperature and pH are left out. The error wraps [ErrVolume] or is a
// [RangeError].
func (t TopOff) CarryOver() (Effects, error) {
	if err := t.check(); err != nil {
		return nil, err
	}
	out := Effects{}
	for a, v := range t.Source {
		if !a.Additive() && a != Conductivity {
			continue
		}
		if err := plausible(a, v); err != nil {
			return nil, err
		}
		out[a] = v * t.Daily / t.Litres
	}
	return out, nil
}

// Settles returns the level that each analyte known of both waters comes to in
// the end, when nothing else uses it: what the changes bring plus
// carry-over/r, r being the changes' share a day. Without changes it would rise
// for ever: +Inf where the source holds any. The errors are those of
// [TopOff.CarryOver].
func (t TopOff) Settles() (Analysis, error) {
	carried, err := t.CarryOver()
	if err != nil {
		return nil, err
	}
	out := Analysis{}
	for _, a := range slices.Sorted(maps.Keys(carried)) {
		level, known := t.Change[a]
		if known {
			if err := plausible(a, level); err != nil {
				return nil, err
			}
		}
		switch {
		case t.DailyChange == 0 && carried[a] == 0:
			continue
		case t.DailyChange == 0:
			out[a] = math.Inf(1)
		case known:
			out[a] = level + carried[a]/t.DailyChange
		}
	}
	return out, nil
}
