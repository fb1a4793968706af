package plan

import (
	"math"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// steps lists the arithmetic of a line so that every number can be followed.
func (l Line) steps(in Input, opt Options) []HowRow {
	u := opt.unit(l.Analyte)
	if !l.Known {
		return []HowRow{{"Now", "not known", words.T("no reading of %s yet", l.Analyte.InSentence())}}
	}
	show := func(v float64) words.Text { return words.T("%s %s", chem.Format(l.Analyte, v, u, l.water), u) }
	volume := in.System.NetVolume()
	steps := []HowRow{
		{"Now", words.T("%s ± %s", chem.Format(l.Analyte, l.Estimate.Value, u, l.water), l.delta(2*l.Estimate.Uncertainty, opt)),
			l.estimateSource(in, opt)},
		{"Aim", show(l.Band.Aim), l.aimSource()},
		{"Gap", l.delta(l.Gap, opt), "aim − now"},
	}
	if !volume.Known() {
		return append(steps, HowRow{"Net volume", "not known", "give dimensions or a volume in Setup"})
	}
	steps = append(steps, HowRow{"Net volume", opt.volumeWithin(volume), volume.How})
	if l.Product.ID == 0 {
		return append(steps, HowRow{"Product", "none", "nothing on the shelf raises it"})
	}
	steps = append(steps, HowRow{"Product", l.strength(opt), contents(l.Product.Contents)})
	if l.Correction > 0 {
		steps = append(steps, HowRow{"Correction", amountText(l.Correction, l), "gap × volume / strength"})
		if l.Band.MaxRise > 0 {
			steps = append(steps, HowRow{"Safe rise", words.T("%s a day", l.delta(l.Band.MaxRise, opt)), "the band"})
		} else {
			steps = append(steps, HowRow{"Safe rise", "not known", "the band names none: all in one day"})
		}
		steps = append(steps, HowRow{"Days", words.T("%d", l.Days), l.daysSource(volume.Litres)})
	}
	if l.HasFit {
		steps = append(steps, HowRow{"Uptake", words.T("%s ± %s a day", l.number(l.Uptake.PerDay, opt), l.delta(l.Uptake.Half(0.95), opt)),
			"mass balance of the last 30 days"})
		source := words.Text("uptake × volume / strength")
		if l.Standing != 0 {
			steps = append(steps, HowRow{"Dosed already", words.T("%s a day", l.delta(l.Standing, opt)),
				"regular additions of the last week, taken to go on"})
			source = "(uptake − dosed already) × volume / strength"
		}
		if l.Upkeep == 0 {
			source = words.T("%s; nothing beyond the noise", source)
		}
		steps = append(steps, HowRow{"Upkeep", words.T("%s a day", amountText(l.Upkeep, l)), source})
	} else {
		steps = append(steps, HowRow{"Uptake", "not enough to tell", "too few readings, or too noisy; none is dosed for"})
	}
	if opt.Caution < 1 && !l.Decided {
		steps = append(steps, HowRow{"Caution", words.T("%.0f %%", opt.Caution*100), "of what was computed, to begin with"})
	}
	source := words.Text("correction / days + upkeep, rounded")
	if l.Decided {
		source = "decided by you"
	} else if opt.Caution < 1 {
		source = "(correction / days + upkeep) × caution, rounded"
	}
	steps = append(steps, HowRow{"Daily", amountText(l.Daily, l), source})
	steps = append(steps, l.givenIn(opt)...)
	if step, ok := l.response(in); ok {
		steps = append(steps, step)
	}
	if !l.Hold() {
		steps = append(steps, HowRow{"After", show(l.After), words.T("now + (all doses − uptake) × %d d", l.Days)})
	}
	return steps
}

// givenIn says how the amount of a day is given, where a step is known.
func (l Line) givenIn(opt Options) []HowRow {
	if l.Hold() || l.Step <= 0 {
		return nil
	}
	rows := []HowRow{{"Largest step", words.T("%s in one dose", l.delta(l.Step, opt)), l.StepFrom}}
	if l.Parts > 1 {
		rows = append(rows, HowRow{"Doses a day", words.T("%d of %.4g %s", l.Parts, l.Dose(), l.Product.Unit()),
			"what a day's amount changes / largest step, rounded up"})
	}
	return rows
}

func (l Line) daysSource(litres float64) words.Text {
	if l.Decided && l.Days != days(l.rise(l.Correction, litres), l.Band.MaxRise) {
		return "decided by you"
	}
	return "gap / safe rise, rounded up"
}

// response says what a day's amount does to pH, when it bears on alkalinity and
// enough is known of the water.
func (l Line) response(in Input) (HowRow, bool) {
	if l.Analyte != chem.Alkalinity || l.Daily <= 0 {
		return HowRow{}, false
	}
	dose, err := l.Product.Contents.CarbonateDose(l.Daily, in.System.NetVolume().Litres)
	if err != nil {
		return HowRow{"pH", "not known", words.Of(err)}, true
	}
	water := chem.Analysis{}
	for a, e := range in.Estimates {
		if e.Limit == tanks.Exact {
			water[a] = e.Value
		}
	}
	r, err := water.Response(dose, chem.AirCO2, in.By)
	if err != nil {
		return HowRow{"pH", "not known", words.Of(err)}, true
	}
	return HowRow{"pH", words.T("%.2f → %.2f at once, %.2f aired", r.Before.PH, r.AtOnce.PH, r.Aired.PH),
		words.T("a day's amount all at once; aired in outdoor air of %d ppm CO2", chem.AirCO2)}, true
}

// delta writes a change of the analyte in the unit shown, with one decimal
// more than a value.
func (l Line) delta(v float64, opt Options) words.Text {
	return words.T("%s %s", l.number(v, opt), opt.unit(l.Analyte))
}

// number is delta without the unit.
func (l Line) number(v float64, opt Options) words.Text {
	u := opt.unit(l.Analyte)
	info, _ := chem.Lookup(l.Analyte)
	d, err := chem.ConvertDelta(l.Analyte, math.Max(l.Estimate.Value, info.Low), v, info.Unit, u, l.water)
	if err != nil {
		return "?"
	}
	return chem.Decimal(d, chem.Decimals(l.Analyte, u)+1)
}

func (l Line) estimateSource(in Input, opt Options) words.Text {
	if l.Estimate.N > 1 {
		return l.Estimate.From
	}
	text := words.T("reading of %s", l.Estimate.At.In(opt.zone()))
	if m, ok := in.Methods[l.Analyte]; ok && m.Name != "" {
		return words.T("%s, %s", text, m.Name)
	}
	return text
}

func (l Line) aimSource() words.Text {
	if l.Band.Aim != l.AsSet.Aim {
		return words.T("the band's %.0f at S %.0f, at this salinity", l.AsSet.Aim, l.AsSet.AtSalinity)
	}
	return "the band"
}

// strength writes what a unit of the product holds of the analyte.
func (l Line) strength(opt Options) words.Text {
	u := opt.unit(l.Analyte)
	info, _ := chem.Lookup(l.Analyte)
	per := map[chem.Unit]string{chem.MgL: "mg", chem.UgL: "µg", chem.MeqL: "meq", chem.MmolL: "mmol"}
	mass, ok := per[info.Unit]
	if ok {
		return words.T("%.4g %s %s/%s", l.Effect, mass, info.Symbol, l.Product.Unit())
	}
	return words.T("%.4g %s·L/%s", l.Effect, u, l.Product.Unit())
}

// contents writes what a product is made of.
func contents(p chem.Product) words.Text {
	var parts []words.Text
	for _, in := range p.Ingredients {
		if p.Form == chem.Liquid {
			parts = append(parts, words.T("%s, %.4g %s", in.Compound, in.Amount, "g/L"))
		} else {
			parts = append(parts, words.T("%s, %.3g %%", in.Compound, in.Amount*100))
		}
	}
	for _, s := range p.Label {
		parts = append(parts, words.T("label: %.3g %s raises %s of %.4g L by %s", s.Amount, p.AmountUnit(),
			s.Analyte.InSentence(), s.Litres, labelRaises(s)))
	}
	return words.Join(parts, "; ")
}

func amountText(v float64, l Line) words.Text {
	if v < 10 {
		return words.T("%.1f %s", v, l.Product.Unit())
	}
	return words.T("%.0f %s", v, l.Product.Unit())
}

// labelRaises writes what a label's amount raises, in the usual unit of the trade.
func labelRaises(s chem.Strength) words.Text {
	info, _ := chem.Lookup(s.Analyte)
	if text := chem.FormatChange(s.Analyte, s.Raises, info.Units[0], chem.Water{}); text != "" {
		return text
	}
	return words.T("%.3g %s", s.Raises, info.Unit)
}
