package chem

import (
	"math"

	"weirkeeper/assets/words"
)

// CarbonByPH is the carbon dioxide that pH and alkalinity tell of, with its doubt.
type CarbonByPH struct {
	CO2 float64 // mg/L
	U   float64 // standard uncertainty, mg/L
	// Invalid says why the reckoning may not hold in this water; empty where nothing
	// known speaks against it.
	Invalid []words.Text
}

// CO2ByPH returns the carbon dioxide of an analysis by its pH and alkalinity, whose
// standard uncertainties are uPH and uAlkalinity (meq/L), both 0 or more. Half a
// tenth of pH is some 12 % of carbon dioxide. The error is a *MissingError or a
// [RangeError].
func (a Analysis) CO2ByPH(uPH, uAlkalinity float64, by Conventions) (CarbonByPH, error) {
	if !(uPH >= 0 && uPH <= 2) {
		return CarbonByPH{}, RangeError{Quantity: "doubt of pH", Value: uPH, Low: 0, High: 2}
	}
	if !(uAlkalinity >= 0 && uAlkalinity <= catalogue[Alkalinity].High) {
		return CarbonByPH{}, RangeError{Quantity: "doubt of alkalinity", Value: uAlkalinity, Low: 0, High: catalogue[Alkalinity].High,
			Unit: "meq/L"}
	}
	c, err := a.Carbonates(by)
	if err != nil {
		return CarbonByPH{}, err
	}
	// Carbon dioxide goes with 10^−pH and with alkalinity: relative doubts add as
	// squares (GUM, JCGM 100:2008, 5.1).
	byPH, byAlkalinity := math.Ln10*uPH, 0.0
	if c.Alkalinity > 0 {
		byAlkalinity = uAlkalinity / c.Alkalinity
	}
	return CarbonByPH{CO2: c.CO2, U: c.CO2 * math.Hypot(byPH, byAlkalinity), Invalid: a.otherAcids(c)}, nil
}

// Where other acids and bases count: the limits are common practice, no source.
const (
	littleAlkalinity = 0.36 // meq/L, a German degree
	muchOrganic      = 5    // mg/L C
	noCarbonPH       = 8.4
)

// otherAcids says what makes pH and alkalinity tell little of carbon dioxide.
func (a Analysis) otherAcids(c Carbonates) []words.Text {
	var out []words.Text
	if c.Alkalinity < littleAlkalinity {
		out = append(out, "With so little alkalinity humic and other acids set the pH as well.")
	}
	if a[Organic] > muchOrganic {
		out = append(out, "Humic acids of peat, wood or leaves hold alkalinity and lower pH: carbon dioxide is overstated.")
	}
	if meq := a[Phosphate] / speciesMass[Phosphate]; meq > 0.05*c.Alkalinity && c.Alkalinity > 0 {
		out = append(out, "Phosphate buffers count as alkalinity here: carbon dioxide is overstated.")
	}
	if c.PH > noCarbonPH {
		out = append(out, "Above pH 8.4 there is almost none, and the number says no more than that.")
	}
	return out
}

// WeeklyBalance is a water that is fed once a week and partly changed, as planted
// systems are, all levels in one unit.
type WeeklyBalance struct {
	Dose     float64 // what a week's dose raises, 0 or more
	Uptake   float64 // what plants use in a week while there is any, 0 or more
	Share    float64 // of the water replaced each week, 0 to 1
	NewWater float64 // level of the new water
}

func (w WeeklyBalance) check() error {
	for _, q := range []struct {
		name words.Text
		v    float64
	}{{"weekly dose", w.Dose}, {"weekly uptake", w.Uptake}, {"level of the new water", w.NewWater}} {
		if !(q.v >= 0 && q.v <= largestNumber) {
			return RangeError{Quantity: q.name, Value: q.v, Low: 0, High: largestNumber}
		}
	}
	return checkShare("share of the water", w.Share)
}

// After returns the level right after the change and the dose of week n, 0 to 10
// 000, from a level right after those of week 0. The error is a [RangeError].
func (w WeeklyBalance) After(level float64, n int) (float64, error) {
	const most = 10000
	if err := w.check(); err != nil {
		return 0, err
	}
	if n < 0 || n > most {
		return 0, RangeError{Quantity: "number of weeks", Value: float64(n), Low: 0, High: most}
	}
	for range n {
		level = (1-w.Share)*max(0, level-w.Uptake) + w.Share*w.NewWater + w.Dose
	}
	return level, nil
}

// LevelsOff returns where the level settles, right after change and dose and right
// before them; short tells that plants use all there is before the week is over.
// Without changes it rises for ever where the dose is above the uptake: +Inf. The
// error is a [RangeError].
func (w WeeklyBalance) LevelsOff() (after, before float64, short bool, err error) {
	if err := w.check(); err != nil {
		return 0, 0, false, err
	}
	gives := w.Share*w.NewWater + w.Dose
	switch {
	case gives <= w.Uptake:
		return gives, 0, gives < w.Uptake, nil
	case w.Share == 0:
		return math.Inf(1), math.Inf(1), false, nil
	}
	after = (gives - (1-w.Share)*w.Uptake) / w.Share
	return after, after - w.Uptake, false, nil
}

// DoseFor returns the weekly dose at which the level right before change and dose
// settles at a goal, 0 or more. The error wraps [ErrOtherWay] where the new water
// alone brings more, or is a [RangeError].
func (w WeeklyBalance) DoseFor(before float64) (float64, error) {
	w.Dose = 0
	if err := w.check(); err != nil {
		return 0, err
	}
	if !(before >= 0 && before <= largestNumber) {
		return 0, RangeError{Quantity: "goal", Value: before, Low: 0, High: largestNumber}
	}
	dose := w.Uptake + w.Share*(before-w.NewWater)
	if dose < 0 {
		return 0, words.Errorf("new water of %g brings more than %g: %w", w.NewWater, before, ErrOtherWay)
	}
	return dose, nil
}
