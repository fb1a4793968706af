package plan

import (
	"slices"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// The named rules.
const (
	RuleVolume    words.Text = "volume unknown"
	RuleMissing   words.Text = "no reading"
	RuleStale     words.Text = "reading too old"
	RuleBound     words.Text = "only a bound"
	RuleOutlier   words.Text = "reading off the forecast"
	RuleHigh      words.Text = "would pass the high edge"
	RuleFast      words.Text = "more than the safe change a day"
	RuleStep      words.Text = "more than the largest step"
	RuleProduct   words.Text = "no product"
	RuleStock     words.Text = "not enough left"
	RuleSoluble   words.Text = "not soluble at this strength"
	RuleSeparate  words.Text = "never together"
	RuleCopper    words.Text = "copper and invertebrates"
	RuleNotDown   words.Text = "never dosed down"
	RuleHandling  words.Text = "handling"
	RuleBesides   words.Text = "others raise it too"
	RuleNoDoseFor words.Text = "nothing to raise it with"
)

// Guard is a rule that speaks up. Stops: nothing is proposed before it is
// settled.
type Guard struct {
	Rule    words.Text
	Message words.Text
	Stops   bool
}

func (l *Line) add(rule words.Text, stops bool, message words.Text) {
	l.Guards = append(l.Guards, Guard{rule, message, stops})
}

// guard applies every rule to the line.
func (l *Line) guard(in Input, opt Options) {
	l.guardKnowledge(in, opt)
	if l.Product.ID == 0 {
		if l.Gap > 0 && l.Known {
			l.add(RuleNoDoseFor, true, l.nothing())
		}
		return
	}
	l.guardAmount(opt)
	l.guardProduct(in)
}

// nothing says that no product raises the analyte, and what would where there is a
// choice.
func (l *Line) nothing() words.Text {
	text := words.T("Nothing on the shelf raises %s. Add a product on the Shelf.", l.Analyte.InSentence())
	if l.Analyte != chem.Hardness {
		return text
	}
	return words.T("%s What raises it is a choice: %s.", text, nameWays(tanks.WaysToHarden()))
}

// nameWays lists ways by their names.
func nameWays(all []tanks.Way) words.Text {
	names := make([]words.Text, len(all))
	for i, w := range all {
		names[i] = w.Name
	}
	return words.Join(names, "; ")
}

func (l *Line) guardKnowledge(in Input, opt Options) {
	if !in.System.NetVolume().Known() {
		l.add(RuleVolume, true, words.T("The net volume of %s is not known. Give its dimensions in Setup.", in.System.Code))
	}
	if !l.Known {
		l.add(RuleMissing, true, words.T("There is no reading of %s. Test first.", l.Analyte.InSentence()))
		return
	}
	if l.Verdict.Stale {
		l.add(RuleStale, true, words.T("The last reading of %s is of %s, too old to dose by. Test first.", l.Analyte.InSentence(),
			l.Estimate.At.In(opt.zone())))
	}
	if l.Estimate.Limit == tanks.Above {
		l.add(RuleBound, true, "The reading is above the method's range. Dilute the sample and test again.")
	}
	if l.HasFit && l.Uptake.NewestOff {
		l.add(RuleOutlier, true, words.T("The newest reading of %s does not fit the ones before. Test again before you dose by it.",
			l.Analyte.InSentence()))
	}
	if l.Verdict.Word == tanks.AboveBand {
		text := words.T("Too high is never dosed down. %s", l.dilutionText())
		if l.Analyte == chem.Phosphate {
			text = words.T("%s What lowers it is a choice: %s.", text, nameWays(tanks.WaysToLowerPhosphate()))
		}
		l.add(RuleNotDown, false, text)
	}
}

func (l *Line) dilutionText() words.Text {
	if l.Dilution == nil {
		return "Wait, or change water."
	}
	return l.Dilution.Text
}

// withinRounding is how much more than a limit a rounded amount may do.
const withinRounding = 1.02

func (l *Line) guardAmount(opt Options) {
	if l.Hold() {
		return
	}
	volume := l.System.NetVolume().Litres
	if volume <= 0 {
		return
	}
	rise := l.rise(l.Daily, volume)
	net := rise
	if l.HasFit {
		net -= l.Uptake.PerDay - l.Standing
	}
	if l.Band.MaxRise > 0 && net > l.Band.MaxRise*withinRounding {
		l.add(RuleFast, false, words.T("This raises %s by %s a day, more than the safe %s.", l.Analyte.InSentence(), l.delta(net, opt),
			l.delta(l.Band.MaxRise, opt)))
	}
	if step := l.rise(l.Dose(), volume); l.Step > 0 && step > l.Step*withinRounding {
		l.add(RuleStep, false, words.T("Even in %d doses a day, one raises %s by %s, more than the largest step of %s (%s). Use a weaker "+
			"product or a pump, take more days, or raise the step in the band.", l.Parts, l.Analyte.InSentence(), l.delta(step, opt),
			l.delta(l.Step, opt), l.StepFrom))
	}
	if l.After > l.Band.High {
		l.add(RuleHigh, !l.Decided, words.N(l.Days,
			"After %d day %s would stand at %s %s, above the band.", "After %d days %s would stand at %s %s, above the band.",
			l.Analyte.InSentence(), chem.Format(l.Analyte, l.After, opt.unit(l.Analyte), l.water), opt.unit(l.Analyte)))
	}
	if total := l.Daily * float64(l.Days); l.Product.Stock > 0 && total > l.Product.Stock {
		l.add(RuleStock, false, words.T("Only %.0f %s of %s are left, this takes %.0f.", l.Product.Stock, l.Product.Unit(), l.Product.Name,
			total))
	}
}

func (l *Line) guardProduct(in Input) {
	for _, ingredient := range l.Product.Contents.Ingredients {
		c, ok := chem.Compound(ingredient.Compound)
		if !ok {
			continue
		}
		if l.Product.Contents.Form == chem.Liquid && c.SolubilityGPerL > 0 && ingredient.Amount > c.SolubilityGPerL {
			l.add(RuleSoluble, true, words.T("%s holds %.0f g/L of %s; about %.0f dissolve at 20 °C (%s). Check the recipe.",
				l.Product.Name, ingredient.Amount, c.Name, c.SolubilityGPerL, c.SolubilitySource))
		}
		if c.Gives[chem.Copper] > 0 && in.System.Invertebrates {
			l.add(RuleCopper, true, words.T("%s holds copper and invertebrates live in %s. Copper kills them.", l.Product.Name,
				in.System.Code))
		}
	}
	if l.Hold() {
		return
	}
	for _, caution := range l.Product.Contents.Cautions() {
		l.add(RuleHandling, false, caution)
	}
	if l.Product.Caution != "" {
		l.add(RuleHandling, false, words.Text(l.Product.Caution))
	}
}

// Check applies the rules that look at all lines of a system anew, after
// lines were changed.
func (p *SystemPlan) Check(in Input, opt Options) {
	for i := range p.Lines {
		l := &p.Lines[i]
		l.Guards = slices.DeleteFunc(l.Guards, func(g Guard) bool { return g.Rule == RuleSeparate || g.Rule == RuleBesides })
		l.giveAgain(in, opt)
	}
	p.besides(in, opt)
	p.conflicts()
}

// conflicts names the products of one system's plan that must not meet.
func (p *SystemPlan) conflicts() {
	for i := range p.Lines {
		for j := range p.Lines {
			if i == j || p.Lines[i].Hold() || p.Lines[j].Hold() {
				continue
			}
			if other := clash(p.Lines[i].Product, p.Lines[j].Product); other != "" {
				p.Lines[i].add(RuleSeparate, false, words.T("Do not add with %s (%s): leave 30 minutes between them, never in one vessel.",
					p.Lines[j].Product.Name, other))
			}
		}
	}
}

// clash tells what would fall out when calcium meets carbonate or sulfate.
func clash(a, b tanks.Product) words.Text {
	if holds(a, chem.Calcium) {
		switch {
		case holds(b, chem.Alkalinity):
			return "calcium carbonate falls out"
		case holds(b, chem.Sulfate):
			return "gypsum falls out"
		}
	}
	if holds(b, chem.Calcium) && (holds(a, chem.Alkalinity) || holds(a, chem.Sulfate)) {
		return clash(b, a)
	}
	return ""
}

func holds(p tanks.Product, a chem.Analyte) bool {
	effects, err := p.Contents.Effects()
	return err == nil && effects[a] > 0
}
