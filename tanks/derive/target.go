package derive

import (
	"cmp"
	"math"
	"slices"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// Wanted asks for a dose that brings a system's water to a value.
type Wanted struct {
	Aim     chem.Aim
	Value   float64 // pH, mg/L of carbon dioxide, a saturation or its index
	Product chem.Product
	Litres  float64
	Aired   bool    // the value is meant in balance with the room's air
	Air     float64 // carbon dioxide of the room's air in ppm when dry
	// Bands of the system, with the largest changes of a day and a step.
	Bands []tanks.Band
}

// Led is the dose that leads there, what it does, and how it is given so that no change
// is too fast.
type Led struct {
	Amount   float64 // of the product, in its unit
	Adds     chem.AlkalinityDose
	Response chem.Response
	Changes  []Change // with a limit that is known, the one that takes longest first
	Days     int      // that it is spread over; zero: nothing is to be given
	Parts    int      // doses a day
}

// Change is what the whole dose changes of an analyte, in its canonical unit.
type Change struct {
	Analyte   chem.Analyte
	By        float64
	Day, Step float64    // the largest change of a day and of one dose; zero: not known
	DayFrom   words.Text // where they come from
	StepFrom  words.Text
}

// What is given by hand at the most (common practice, no source).
const (
	mostDays  = 30
	mostParts = 4
)

// days is over how many days the change is to be made.
func (c Change) days() int {
	if c.Day <= 0 {
		return 1
	}
	return int(min(mostDays, max(1, math.Ceil(math.Abs(c.By)/c.Day-rounding))))
}

// parts is in how many doses a day, of so many days.
func (c Change) parts(days int) int {
	if c.Step <= 0 {
		return 1
	}
	return int(min(mostParts, max(1, math.Ceil(math.Abs(c.By)/float64(days)/c.Step-rounding))))
}

// rounding is what a quotient may be off by in binary.
const rounding = 1e-9

// DoseFor returns the dose that brings the water to a value, by
// [chem.Analysis.DoseFor], whose errors it has; its changes beside the largest of a day
// and a step; and over how many days and doses it is given. pH is taken to change in
// even steps.
func (in Input) DoseFor(w Wanted) (Led, error) {
	a, _ := in.Analysis()
	amount, r, err := a.DoseFor(w.Product, chem.Target{
		Aim: w.Aim, Value: w.Value, Litres: w.Litres, Aired: w.Aired, Air: w.Air, By: in.By,
	})
	if err != nil {
		return Led{}, err
	}
	led := Led{Amount: amount, Response: r}
	if amount == 0 {
		return led, nil
	}
	if led.Adds, err = w.Product.CarbonateDose(amount, w.Litres); err != nil {
		return Led{}, err
	}
	if led.Changes, err = in.changes(w, led); err != nil {
		return Led{}, err
	}
	led.Days, led.Parts = 1, 1
	for _, c := range led.Changes {
		led.Days = max(led.Days, c.days())
	}
	for _, c := range led.Changes {
		led.Parts = max(led.Parts, c.parts(led.Days))
	}
	return led, nil
}

// changes are those of the dose that have a limit.
func (in Input) changes(w Wanted, led Led) ([]Change, error) {
	effects, err := w.Product.Effects()
	if err != nil {
		return nil, err
	}
	var out []Change
	add := func(a chem.Analyte, by float64) {
		c := in.limited(a, w.Bands)
		c.By = by
		if by != 0 && (c.Day > 0 || c.Step > 0) {
			out = append(out, c)
		}
	}
	add(chem.PH, led.Response.AtOnce.PH-led.Response.Before.PH)
	for _, info := range chem.Catalogue() {
		add(info.Analyte, effects[info.Analyte]*led.Amount/w.Litres)
	}
	slices.SortStableFunc(out, func(a, b Change) int {
		return cmp.Compare(b.days()*mostParts+b.parts(b.days()), a.days()*mostParts+a.parts(a.days()))
	})
	return out, nil
}

// limited is a change of nothing with the limits of its band, else the usual ones.
func (in Input) limited(a chem.Analyte, bands []tanks.Band) Change {
	band := tanks.Band{Analyte: a}
	if i := slices.IndexFunc(bands, func(b tanks.Band) bool { return b.Analyte == a }); i >= 0 {
		band = bands[i]
	}
	c := Change{Analyte: a, Day: band.MaxRise, DayFrom: "the band"}
	if c.Day == 0 {
		usual, _ := tanks.DefaultLimits(in.Kind, a)
		c.Day, c.DayFrom = usual.Day, usual.Source
	}
	c.Step, c.StepFrom = band.Step(in.Kind)
	return c
}
