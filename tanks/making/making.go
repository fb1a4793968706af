// Package making reckons a batch of new water: how much of each water, what takes
// its chlorine out, what is weighed and added in which order, and what the water
// then holds. Nothing is recorded by it.
package making

import (
	"math"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// Source is a water that goes into the batch.
type Source struct {
	ID       tanks.SystemID
	Code     string
	Purified bool // what was not measured of it counts as nothing
	Known    map[chem.Analyte]tanks.Estimate
	// Litres are given for the whole order; with Auto as the goals ask.
	Litres float64
	Auto   bool
}

// Goal is what the water is to have of an analyte in its canonical unit, or at most.
type Goal struct {
	Analyte chem.Analyte
	Value   float64
	AtMost  bool
}

// Order is what is asked for. Amounts of the order are for all batches together.
type Order struct {
	Litres  float64
	Sources []Source
	Goals   []Goal
	// CalciumToMagnesium is the ratio by mass that is asked for; zero: any.
	CalciumToMagnesium float64
	Products           []tanks.Product // chosen from the shelf
	Vat                float64         // litres that it holds; zero: all at once
	Watts              float64         // of the heater; zero: not said
	Moisture           float64         // of sea salt, a share of its mass
	Readable           float64         // step of the balance in g and of the cylinder in mL; zero: 0.1
	Air                float64         // ppm of carbon dioxide in the room's air when dry
	By                 chem.Conventions
	// Unit and Volume are what values and volumes are written in.
	Unit   func(chem.Analyte) chem.Unit
	Volume chem.VolumeUnit
}

// The fields of an order at which something can be wrong, besides "source.N",
// "goal.N" and "product.N" counted from 0.
const (
	FieldLitres   = "litres"
	FieldVat      = "vat"
	FieldRatio    = "ratio"
	FieldSources  = "sources"
	FieldMoisture = "moisture"
)

// Portion is how much of a source goes into one batch.
type Portion struct {
	Source int // its place in the order
	Litres float64
}

// Made is a batch and what it holds. Analyses are in canonical units.
type Made struct {
	Batches  int
	Litres   float64 // of one batch
	Portions []Portion
	Blend    chem.Blended  // of the waters alone, chlorine taken out
	After    chem.Analysis // with all that is put in; pH of the aired water, where it can be told
	AtOnce   float64       // pH as it is mixed, NaN where it cannot be told
	// NoPH says why there is no pH; nil where there is one.
	NoPH  error
	U     map[chem.Analyte]float64 // standard uncertainties of After
	Steps []Step
	// Ceilings are how much of each source may go in, one for every source that is not
	// purified and some goal stops.
	Ceilings []Ceiling
	Missed   []chem.Missed
	// Unmeasured are the analytes of which purified water was counted as holding
	// none because nobody measured it.
	Unmeasured []chem.Analyte
	Doses      []chem.Dosed // what is put in of the products, of one batch
	Ammonia    float64      // that chloramine leaves, mg/L NH4
}

// Make returns how the water is made. The error is tanks.Faults with the fields at
// which something is wrong.
func (o Order) Make() (Made, error) {
	n, each, err := o.batches()
	if err != nil {
		return Made{}, err
	}
	m := Made{Batches: n, Litres: each, AtOnce: math.NaN()}
	if m.Portions, err = o.share(each, n); err != nil {
		return Made{}, err
	}
	salt, err := o.seaSalt(each, m.Portions)
	if err != nil {
		return Made{}, err
	}
	if salt.Kg > 0 {
		o.makeRoom(m.Portions, salt.WaterLitres)
	}
	if m.Blend, err = chem.BlendMany(o.portions(m.Portions)...); err != nil {
		return Made{}, wrong(FieldSources, err)
	}
	m.Unmeasured = m.Blend.Unmeasured
	o.countAsNone(&m)
	m.Ceilings = o.ceilings(m.Portions, m.Blend.Litres)
	b := batch{order: o, made: &m, salt: salt}
	b.dechlorinate()
	if err := b.remineralise(); err != nil {
		return Made{}, err
	}
	b.warm()
	b.settlePH()
	b.findDoubts()
	m.Missed = b.missed()
	b.writeSteps()
	return m, nil
}

// batch is one batch under way.
type batch struct {
	order    Order
	made     *Made
	salt     seaSalt
	chlorine []chlorine
	minerals chem.Minerals
	weighed  chem.Remineralised
	places   []int // of the minerals among the order's products
	kwh      float64
}

func wrong(field string, err error) error {
	return tanks.Faults{{Field: field, Problem: words.Of(err)}}
}

// mostLitres is more water than anybody makes.
const mostLitres = 1e6

func (o Order) batches() (int, float64, error) {
	if !(o.Litres > 0) {
		return 0, 0, tanks.Faults{{Field: FieldLitres, Problem: "It is not said how much is wanted", Remedy: "give litres above zero"}}
	}
	if o.Litres > mostLitres {
		return 0, 0, wrong(FieldLitres, chem.RangeError{Quantity: "volume", Value: o.Litres, Low: 0, High: mostLitres, Unit: "L"})
	}
	if o.Vat == 0 {
		return 1, o.Litres, nil
	}
	n, each, err := chem.Batches(o.Litres, o.Vat)
	if err != nil {
		return 0, 0, wrong(FieldVat, err)
	}
	return n, each, nil
}

func (o Order) goal(a chem.Analyte) (Goal, bool) {
	for _, g := range o.Goals {
		if g.Analyte == a {
			return g, true
		}
	}
	return Goal{}, false
}

func (o Order) portions(in []Portion) []chem.Portion {
	out := make([]chem.Portion, len(in))
	for i, p := range in {
		s := o.Sources[p.Source]
		out[i] = chem.Portion{Water: s.analysis(), Litres: p.Litres, Purified: s.Purified}
	}
	return out
}

// analysis is what is known of a source; what is only known to be above something
// is not known.
func (s Source) analysis() chem.Analysis {
	a := chem.Analysis{}
	for x, e := range s.Known {
		if e.Limit != tanks.Above {
			a[x] = e.Value
		}
	}
	return a
}

// litres writes a volume as the person reads it.
func (o Order) litres(l float64) words.Text { return o.Volume.Volume(l, 1) }

// value writes a value with its unit as the person reads it.
func (o Order) value(a chem.Analyte, v float64) words.Text {
	u := o.Unit(a)
	return words.T("%s %s", chem.Format(a, v, u, chem.Water{}), u)
}
