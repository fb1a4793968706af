// Package plan turns what is known of many systems into a dosing decision for
// each: how much of which product, over how many days, what it leads to, what
// it does besides, and which rules hold it back. It advises; a person decides.
package plan

import (
	"cmp"
	"math"
	"slices"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// Input is one system with what is known of it.
type Input struct {
	System    tanks.System
	Bands     []tanks.Band
	Estimates map[chem.Analyte]tanks.Estimate
	Verdicts  map[chem.Analyte]tanks.Verdict
	Uptakes   map[chem.Analyte]tanks.Uptake // where there was enough to tell
	Methods   map[chem.Analyte]tanks.Method
	// Standing is the change a day that regular dosing makes already, in
	// canonical units; the plan comes on top of it.
	Standing map[chem.Analyte]float64
	// Fresh is the water that changes are made with; nil: not known.
	Fresh map[chem.Analyte]float64
	// By holds the scale of the pH estimate, the constants and the air's pressure.
	By chem.Conventions
}

// Options hold for the whole plan.
type Options struct {
	Now  time.Time
	Zone *time.Location
	// Caution is the share of the computed amounts to begin with, above 0 to 1.
	Caution  float64
	Products []tanks.Product
	// Analytes to decide on; empty: calcium, alkalinity and magnesium.
	Analytes []chem.Analyte
	// Chosen products by analyte; others are chosen by their effect.
	Chosen map[chem.Analyte]tanks.ProductID
	// Together solves all products of a system at once, side effects included.
	Together bool
	// Unit names the unit that an analyte is shown in; nil: the catalogue's first.
	Unit func(chem.Analyte) chem.Unit
	// VolumeUnit is the unit that volumes are shown in.
	VolumeUnit chem.VolumeUnit
}

func (o Options) volume(litres float64) words.Text { return o.VolumeUnit.Volume(litres, 0) }

func (o Options) volumeWithin(v tanks.Volume) words.Text {
	return o.VolumeUnit.VolumeWithin(v.Litres, v.Uncertainty)
}

func (o Options) unit(a chem.Analyte) chem.Unit {
	if o.Unit != nil {
		return o.Unit(a)
	}
	info, _ := chem.Lookup(a)
	return info.Units[0]
}

func (o Options) zone() *time.Location {
	if o.Zone == nil {
		return time.UTC
	}
	return o.Zone
}

func (o Options) analytes() []chem.Analyte {
	if len(o.Analytes) > 0 {
		return o.Analytes
	}
	return []chem.Analyte{chem.Calcium, chem.Alkalinity, chem.Magnesium, chem.Hardness}
}

// SystemPlan is the decision for one system.
type SystemPlan struct {
	System tanks.System
	Volume tanks.Volume
	Lines  []Line
	// NotReached says of analytes that the products together cannot bring to
	// their aim.
	NotReached []words.Text
}

// Line is the decision for one analyte of a system. Values are in the
// analyte's canonical unit, amounts in the product's unit.
type Line struct {
	System   tanks.System
	water    chem.Water // of the system
	Analyte  chem.Analyte
	Estimate tanks.Estimate
	Verdict  tanks.Verdict
	Known    bool       // there is an estimate
	Band     tanks.Band // as it holds at the system's salinity
	AsSet    tanks.Band // as the profile or the system states it
	Gap      float64    // aim less estimate
	Uptake   tanks.Uptake
	HasFit   bool          // there was enough to tell the uptake
	Standing float64       // change a day by regular dosing that goes on
	Product  tanks.Product // ID 0: none on the shelf does it
	Effect   float64       // of a unit of the product on the analyte in a litre
	// Correction closes the gap over Days days; Upkeep meets what the uptake
	// takes beyond the standing doses, a day. Both are as computed, before the
	// caution.
	Correction float64
	Upkeep     float64
	Days       int
	// Daily is what to give a day during the correction: its share of the
	// correction and the upkeep, both times the caution, or as decided.
	Daily float64
	// Parts is how many doses the amount of a day is given in, so that none changes the
	// water by more than Step: the largest single step, which StepFrom names the source
	// of; zero: none is known.
	Parts    int
	Step     float64
	StepFrom words.Text
	Decided  bool // a person chose Daily
	// Proposed is Daily as the program proposed it.
	Proposed float64
	After    float64 // what the doses lead to at the end of Days
	Path     []tanks.CoursePoint
	Side     []tanks.Delta // changes of the other analytes by all doses of the line
	Cost     float64       // of all doses of the line; 0: no price known
	Left     float64       // stock after them
	Lasts    int           // days that the stock lasts at Daily; -1: no use
	Retest   time.Time
	Guards   []Guard
	Dilution *Dilution // instead of a dose, when the value is too high
	how      func() []HowRow
	withheld given // what was proposed before the other lines' doses were looked at
}

// How returns the arithmetic of the line. It is written when it is asked for: of the
// lines of a large room few are looked at.
func (l Line) How() []HowRow {
	if l.how == nil {
		return nil
	}
	return l.how()
}

// Hold tells whether nothing is to be given.
func (l Line) Hold() bool { return l.Daily <= 0 }

// Stopped tells whether a guard forbids to dose before something is done.
func (l Line) Stopped() bool {
	return slices.ContainsFunc(l.Guards, func(g Guard) bool { return g.Stops })
}

// HowRow is one row of the arithmetic: what, how much, and where it comes from.
type HowRow struct{ Name, Value, Source words.Text }

// mostDays bounds a correction: what takes longer is planned again.
const mostDays = 30

// Make plans every system. The result keeps the order of the systems and the
// bands' order of analytes.
func Make(in []Input, opt Options) []SystemPlan {
	out := make([]SystemPlan, 0, len(in))
	for _, one := range in {
		out = append(out, makeSystem(one, opt))
	}
	return out
}

func makeSystem(in Input, opt Options) SystemPlan {
	p := SystemPlan{System: in.System, Volume: in.System.NetVolume()}
	for _, band := range in.Bands {
		if slices.Contains(opt.analytes(), band.Analyte) && band.HasEdges() {
			p.Lines = append(p.Lines, newLine(in, band, opt))
		}
	}
	slices.SortStableFunc(p.Lines, func(a, b Line) int {
		return cmp.Compare(slices.Index(opt.analytes(), a.Analyte), slices.Index(opt.analytes(), b.Analyte))
	})
	if opt.Together {
		p.together(opt)
	}
	for i := range p.Lines {
		p.Lines[i].finish(in, opt)
	}
	p.besides(in, opt)
	p.conflicts()
	return p
}

// newLine finds gap, uptake and product, and the correction that closes the
// gap by itself.
func newLine(in Input, band tanks.Band, opt Options) Line {
	l := Line{System: in.System, water: in.water(), Analyte: band.Analyte, AsSet: band, Verdict: in.Verdicts[band.Analyte], Lasts: -1}
	l.Band = band.In(in.water())
	l.Estimate, l.Known = in.Estimates[band.Analyte]
	l.Uptake, l.HasFit = in.Uptakes[band.Analyte]
	l.Standing = in.Standing[band.Analyte]
	l.Product, l.Effect = choose(band.Analyte, opt)
	volume := in.System.NetVolume()
	if !l.Known || l.Estimate.Limit == tanks.Above {
		return l
	}
	l.Gap = l.Band.Aim - l.Estimate.Value
	if l.Product.ID == 0 || !volume.Known() {
		return l
	}
	if short := l.Uptake.PerDay - l.Standing; l.HasFit && short > 0 && l.matters(short) {
		l.Upkeep = short * volume.Litres / l.Effect
	}
	if l.Gap > 0 && l.wants() {
		l.Correction = l.Gap * volume.Litres / l.Effect
		l.Days = days(l.Gap, band.MaxRise)
	}
	return l
}

// water is what the estimates tell of the system's water.
func (in Input) water() chem.Water {
	return in.System.Water(func(a chem.Analyte) (tanks.Reading, bool) {
		e, ok := in.Estimates[a]
		return tanks.Reading{Value: e.Value, Limit: e.Limit}, ok
	})
}

// wants tells whether the gap is worth closing: the value is not likely
// within the band, or the gap is larger than the estimate's expanded
// uncertainty. Smaller gaps are noise.
func (l Line) wants() bool {
	if l.Verdict.Word == tanks.BelowBand && l.Verdict.Sure != tanks.Unsure {
		return true
	}
	return math.Abs(l.Gap) > 2*l.Estimate.Uncertainty
}

// matters tells whether a change a day is more than half of the uptake's 95 %
// interval: less is noise.
func (l Line) matters(daily float64) bool { return daily > l.Uptake.Half(0.95) }

// days is how many days a gap takes at the largest safe change a day; one
// when none is known.
func days(gap, rise float64) int {
	if rise <= 0 {
		return 1
	}
	return int(math.Min(mostDays, math.Max(1, math.Ceil(gap/rise-1e-9))))
}

// choose finds the shelf's product for an analyte: the chosen one, else the
// one whose effect on it stands out most from its other effects, a solid only
// where no liquid does it. The effect of a unit in a litre is returned with it.
func choose(a chem.Analyte, opt Options) (best tanks.Product, effect float64) {
	bestScore := 0.0
	for _, p := range opt.Products {
		if p.Retired {
			continue
		}
		effects, err := p.Contents.Effects()
		if err != nil || effects[a] <= 0 {
			continue
		}
		score := purity(a, effects)
		if p.Contents.Form == chem.Solid {
			score /= 10
		}
		if opt.Chosen[a] == p.ID && p.ID != 0 {
			return p, effects[a]
		}
		if score > bestScore {
			best, effect, bestScore = p, effects[a], score
		}
	}
	return best, effect
}

// wantedIons are what products are bought for; counter-ions such as chloride
// and sodium do not count against one.
var wantedIons = []chem.Analyte{
	chem.Calcium, chem.Alkalinity, chem.Magnesium, chem.Potassium, chem.Strontium, chem.Nitrate, chem.Phosphate, chem.Iodine, chem.Boron,
}

// purity is the share of the analyte among the wanted effects, each measured
// by its level in sea water.
func purity(a chem.Analyte, effects chem.Effects) float64 {
	own := relative(a, effects[a])
	var all float64
	for _, w := range wantedIons {
		all += math.Abs(relative(w, effects[w]))
	}
	if all == 0 {
		return 0
	}
	return own / all
}

func relative(a chem.Analyte, effect float64) float64 {
	info, ok := chem.Lookup(a)
	if !ok || math.IsNaN(info.Seawater) || info.Seawater <= 0 {
		return effect
	}
	return effect / info.Seawater
}
