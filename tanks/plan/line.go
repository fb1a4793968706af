package plan

import (
	"math"
	"slices"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// finish computes what follows from correction, upkeep and days: the daily
// amount, where it leads, side effects, cost, retest, guards and the
// arithmetic.
func (l *Line) finish(in Input, opt Options) {
	if l.Days == 0 && (l.Correction > 0 || l.Upkeep > 0) {
		l.Days = l.upkeepDays()
	}
	if !l.Decided {
		l.Daily = roundAmount(opt.Caution * (l.perDay() + l.Upkeep))
	}
	l.split(in)
	if l.Verdict.Word == tanks.AboveBand && !l.Decided {
		l.Daily, l.Days, l.Parts, l.Correction = 0, 0, 0, 0
		l.Dilution = dilutionFor(*l, in, opt)
	}
	l.follow(in, opt)
	l.Retest = l.retest(in, opt)
	l.guard(in, opt)
	if l.Stopped() && !l.Decided {
		l.Daily, l.Days, l.Parts = 0, 0, 0
		l.follow(in, opt)
	}
	finished := *l
	l.how = func() []HowRow { return finished.steps(in, opt) }
}

// perDay is the correction's share of a day.
func (l Line) perDay() float64 {
	if l.Days == 0 || l.Correction == 0 {
		return 0
	}
	return l.Correction / float64(l.Days)
}

// upkeepDays is how long upkeep alone is planned for: to the next test, a
// week when there is no interval.
func (l Line) upkeepDays() int {
	if l.Band.TestEvery <= 0 {
		return 7
	}
	return int(math.Max(1, math.Min(7, math.Round(l.Band.TestEvery.Hours()/24))))
}

// roundAmount rounds to what a syringe or a scale shows: 0.1 below 10, whole
// ones above.
func roundAmount(v float64) float64 {
	if math.IsNaN(v) || v <= 0 {
		return 0
	}
	if v < 10 {
		return math.Round(v*10) / 10
	}
	return math.Round(v)
}

// follow computes what the rounded daily amount leads to.
func (l *Line) follow(in Input, opt Options) {
	volume := in.System.NetVolume().Litres
	l.Side, l.Path, l.Cost, l.Left, l.Lasts = nil, nil, 0, l.Product.Stock, -1
	l.After = l.Estimate.Value
	if !l.Known {
		return
	}
	uptake := 0.0
	if l.HasFit {
		uptake = l.Uptake.PerDay - l.Standing
	}
	daily := l.rise(l.Daily, volume)
	l.After = l.Estimate.Value + (daily-uptake)*float64(l.Days)
	for d := 0; d <= l.Days; d++ {
		se := math.Hypot(l.Estimate.Scatter, l.Uptake.SE*float64(d))
		l.Path = append(l.Path, tanks.CoursePoint{At: opt.Now.AddDate(0, 0, d), Value: l.Estimate.Value + (daily-uptake)*float64(d), SE: se,
			DF: l.Uptake.DF})
	}
	if l.Daily <= 0 {
		return
	}
	total := l.Daily * float64(l.Days)
	l.Left = math.Max(0, l.Product.Stock-total)
	l.Lasts = int(l.Product.Stock / l.Daily)
	if l.Product.Full > 0 {
		l.Cost = l.Product.Price * total / l.Product.Full
	}
	l.Side = sideEffects(l.Product, l.Analyte, total, volume)
}

// rise is what an amount of the line's product does to its analyte, zero without
// a product or a volume: such a line is on hold.
func (l *Line) rise(amount, litres float64) float64 {
	change, err := chem.Delta(l.Effect, amount, litres)
	if err != nil || l.Product.ID == 0 {
		return 0
	}
	return change
}

// sideEffects lists what an amount changes besides the analyte: hardness only
// where calcium and magnesium do not tell it already.
func sideEffects(p tanks.Product, a chem.Analyte, amount, litres float64) []tanks.Delta {
	effects, err := p.Contents.Effects()
	if err != nil {
		return nil
	}
	told := effects[chem.Calcium] != 0 || effects[chem.Magnesium] != 0
	var out []tanks.Delta
	for _, info := range chem.Catalogue() {
		e := effects[info.Analyte]
		if e == 0 || info.Analyte == a || info.Analyte == chem.Hardness && told {
			continue
		}
		if change, err := chem.Delta(e, amount, litres); err == nil {
			out = append(out, tanks.Delta{Analyte: info.Analyte, Change: change})
		}
	}
	return out
}

// retest is when the predicted change is more than the method can miss: 2·√2
// of its scatter. It lies between tomorrow and the next scheduled test, a week
// away where there is no interval.
func (l Line) retest(in Input, opt Options) time.Time {
	longest := 7
	if l.Band.TestEvery > 0 {
		longest = int(math.Max(1, math.Round(l.Band.TestEvery.Hours()/24)))
	}
	scatter := l.Estimate.Scatter
	if m, ok := in.Methods[l.Analyte]; ok {
		scatter, _ = m.Scatter(l.Estimate.Value)
	}
	change := 0.0
	if len(l.Path) > 1 {
		change = math.Abs(l.Path[1].Value - l.Path[0].Value)
	}
	n := longest
	if change > 0 {
		n = int(math.Min(float64(longest), math.Max(1, math.Ceil(2*math.Sqrt2*scatter/change))))
	}
	local := opt.Now.In(opt.zone())
	return time.Date(local.Year(), local.Month(), local.Day()+n, 9, 0, 0, 0, opt.zone())
}

// WithDaily is the line with an amount a day that a person decided, over days
// days; days 0 keeps the line's own. Guards and arithmetic are made anew.
func (l Line) WithDaily(amount float64, days int, in Input, opt Options) Line {
	l.Decided, l.Daily, l.Guards = true, amount, nil
	if days > 0 {
		l.Days = days
	}
	if l.Days == 0 {
		l.Days = 1
	}
	l.finish(in, opt)
	return l
}

// mostParts is how many doses a day are given by hand at the most (common practice, no
// source): what needs more is for a pump.
const mostParts = 4

// split parts the amount of a day into doses that each stay within the largest step, as
// far as that goes by hand: of what the program proposes to a tenth of its unit.
func (l *Line) split(in Input) {
	l.Step, l.StepFrom = l.Band.Step(in.System.Kind)
	whole, litres := l.Daily, in.System.NetVolume().Litres
	for l.Parts = 0; whole > 0 && l.Parts < mostParts; {
		one := whole / float64(l.Parts+1)
		if !l.Decided {
			one = math.Round(one*10) / 10
		}
		if one == 0 {
			return // nothing that a syringe shows
		}
		l.Parts++
		l.Daily = one * float64(l.Parts)
		if l.Step <= 0 || l.rise(one, litres) <= l.Step*withinRounding {
			break
		}
	}
	if !l.Decided {
		l.Proposed = l.Daily
	}
}

// Dose is the amount of one dose.
func (l Line) Dose() float64 {
	if l.Parts == 0 {
		return 0
	}
	return l.Daily / float64(l.Parts)
}

// apart is how far two doses that must not meet are given from each other.
const apart = 30 * time.Minute

// between is how far the doses of one day's amount are given from each other: time to
// mix and to act (common practice, no source).
const between = 3 * time.Hour

// Doses returns a system's doses by line from now on: each day its parts, some hours
// apart, and those of different lines at least half an hour apart: calcium and
// carbonate that meet undiluted fall out.
func (p SystemPlan) Doses(opt Options) map[chem.Analyte][]tanks.Dose {
	out := map[chem.Analyte][]tanks.Dose{}
	slot := 0
	spacing := max(between, time.Duration(len(p.Lines))*apart)
	for _, l := range p.Lines {
		if l.Hold() || l.Product.ID == 0 {
			continue
		}
		first := opt.Now.In(opt.zone()).Truncate(time.Minute).Add(time.Duration(slot) * apart)
		for d := range l.Days {
			due := time.Date(first.Year(), first.Month(), first.Day()+d, first.Hour(), first.Minute(), 0, 0, opt.zone())
			for n := range l.Parts {
				at := due.Add(time.Duration(n) * spacing)
				out[l.Analyte] = append(out[l.Analyte], tanks.Dose{Due: at.UTC(), Amount: l.Dose()})
			}
		}
		slot++
	}
	return out
}

// DosingPlanOf returns the plans as a ledger keeps them: the lines with doses.
func DosingPlanOf(plans []SystemPlan, opt Options, person string) tanks.DosingPlan {
	out := tanks.DosingPlan{Made: opt.Now, Caution: opt.Caution, Person: person}
	for _, p := range plans {
		doses := p.Doses(opt)
		for _, l := range p.Lines {
			if len(doses[l.Analyte]) == 0 {
				continue
			}
			out.Lines = append(out.Lines, tanks.PlanLine{
				System: p.System.ID, Analyte: l.Analyte, Product: l.Product.ID, Now: l.Estimate.Value, Aim: l.Band.Aim, After: l.After,
				Computed: l.Proposed, How: l.howText(), Retest: l.Retest, Doses: doses[l.Analyte],
			})
		}
	}
	return out
}

func (l Line) howText() words.Text {
	var steps []words.Text
	for _, s := range l.How() {
		steps = append(steps, words.T("%s: %s (%s)", s.Name, s.Value, s.Source))
	}
	return words.Join(steps, "\n")
}

// Touches tells whether the plan of a system doses anything.
func (p SystemPlan) Touches() bool {
	return slices.ContainsFunc(p.Lines, func(l Line) bool { return !l.Hold() })
}
