package plan

import (
	"weirkeeper/assets/words"
	"weirkeeper/chem"
)

// besidesShare is the part of a band's width from which what other lines bring of an
// analyte is worth a word.
const besidesShare = 0.05

// besides says of each line what the doses of the others bring of its analyte. Where
// all of them together would lead above the band, a dose that was only proposed is not
// given.
func (p *SystemPlan) besides(in Input, opt Options) {
	for i := range p.Lines {
		l := &p.Lines[i]
		brought := p.broughtBy(i)
		if !l.Known || !(brought > besidesShare*l.Band.Width()) {
			continue
		}
		stops := l.After+brought > l.Band.High && !l.Hold() && !l.Decided
		l.add(RuleBesides, stops, words.T("The other doses of this plan raise %s by %s too: with them it would stand at %s %s. "+
			"Solve them together, choose another product, or leave one out.", l.Analyte.InSentence(), l.delta(brought, opt),
			chem.Format(l.Analyte, l.After+brought, opt.unit(l.Analyte), l.water), opt.unit(l.Analyte)))
		if stops {
			l.withheld = given{l.Daily, l.Days, l.Parts}
			l.set(given{}, in, opt)
		}
	}
}

// given is the amount of a day, for how many days, in how many doses.
type given struct {
	daily float64
	days  int
	parts int
}

// giveAgain brings back what [SystemPlan.besides] withheld, to be looked at anew.
func (l *Line) giveAgain(in Input, opt Options) {
	if l.withheld.daily > 0 && !l.Decided {
		l.set(l.withheld, in, opt)
	}
	l.withheld = given{}
}

func (l *Line) set(g given, in Input, opt Options) {
	l.Daily, l.Days, l.Parts = g.daily, g.days, g.parts
	l.follow(in, opt)
	finished := *l
	l.how = func() []HowRow { return finished.steps(in, opt) }
}

// broughtBy is what all doses of the other lines raise the analyte of line i by.
func (p *SystemPlan) broughtBy(i int) float64 {
	var sum float64
	for j, other := range p.Lines {
		if j == i || other.Hold() || p.Volume.Litres <= 0 {
			continue
		}
		if effects, err := other.Product.Contents.Effects(); err == nil {
			sum += effects[p.Lines[i].Analyte] * other.Daily * float64(other.Days) / p.Volume.Litres
		}
	}
	return sum
}
