package system

import (
	"math"

	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// weeklyAnalytes are what planted systems are fed with.
var weeklyAnalytes = []chem.Analyte{chem.Nitrate, chem.Phosphate, chem.Potassium, chem.Iron}

// weeklyForm sets a weekly dose against uptake and a weekly change.
type weeklyForm struct {
	session  *session.Session
	in       *loaded
	products []tanks.Product // that raise the analyte
	analyte  *widgets.Choice[chem.Analyte]
	fields   map[string]*widgets.NumberEntry // in the person's unit
	share    *widgets.NumberEntry
	product  *widgets.Choice[tanks.ProductID]
	calc     *widgets.Calculator
	filling  bool
}

// usualShare is the part of the water that planted systems change a week, in per cent
// (common practice, no source).
const usualShare = 50

// askWeekly opens the sum.
func (p *Page) askWeekly() {
	f := newWeeklyForm(p.session, p.loaded)
	widgets.ShowDialog(p.session.Window, widgets.Dialog{
		Title: say.F("Weekly dose: %s", p.loaded.system.Code), Content: f.calc.Content(), Focus: f.analyte, Width: sumWidth,
	})
}

func newWeeklyForm(s *session.Session, l *loaded) *weeklyForm {
	f := &weeklyForm{session: s, in: l, fields: map[string]*widgets.NumberEntry{},
		share: widgets.NewNumberEntry(widgets.PlainNumber(usualShare))}
	f.analyte = widgets.NewChoice(widgets.OptionsOf(weeklyAnalytes, func(a chem.Analyte) string {
		return say.F("%s, %s", say.Of(a), string(s.Unit(a)))
	}), chem.Nitrate)
	for _, name := range []string{"now", "goal", "uptake", "new", "dose"} {
		f.fields[name] = widgets.NewNumberEntry("")
		f.fields[name].OnChanged = func(string) { f.compute() }
	}
	f.product = widgets.NewChoice([]widgets.Option[tanks.ProductID]{{Name: say.L("none")}}, 0)
	f.calc = widgets.NewCalculator(
		widgets.Field{Name: "analyte", Label: say.L("Analyte"), Input: f.analyte},
		widgets.Field{Name: "now", Label: say.L("Level now"), Input: f.fields["now"], Help: say.L("right after a change and a dose")},
		widgets.Field{Name: "uptake", Label: say.L("Used in a week"), Input: f.fields["uptake"],
			Help: say.L("as the readings tell it, where they do")},
		widgets.Field{Name: "share", Label: say.L("Changed in a week"), Input: f.share, Help: say.L("% of the water; 0 for none")},
		widgets.Field{Name: "new", Label: say.L("Level of the new water"), Input: f.fields["new"]},
		widgets.Field{Name: "goal", Label: say.L("Wanted before the change"), Input: f.fields["goal"]},
		widgets.Field{Name: "dose", Label: say.L("Or a weekly dose of"), Input: f.fields["dose"],
			Help: say.L("how far it raises the level; empty: what the goal takes")},
		widgets.Field{Name: "product", Label: say.L("Product"), Input: f.product},
	)
	f.analyte.OnChanged = func(chem.Analyte) { f.fill() }
	f.share.OnChanged = func(string) { f.compute() }
	f.product.OnChanged = func(tanks.ProductID) { f.compute() }
	f.fill()
	return f
}

// fill puts in what is known of the analyte.
func (f *weeklyForm) fill() {
	f.filling = true
	a := f.analyte.Value()
	cell := tanks.Cell{System: f.in.system.ID, Analyte: a}
	known := map[string]float64{}
	if e, ok := f.in.room.Estimate(cell); ok && e.Limit == tanks.Exact {
		known["now"] = e.Value
	}
	if used, ok := f.in.room.Uptake(cell); ok {
		known["uptake"] = max(0, used.PerDay*7)
	}
	if band, ok := f.in.room.BandHere(cell); ok && band.HasEdges() {
		known["goal"] = band.Aim
	}
	if level, ok := f.newWater(a); ok {
		known["new"] = level
	}
	for name, e := range f.fields {
		v, ok := known[name]
		if e.SetText(""); ok {
			e.SetText(widgets.PlainNumber(f.rounded(a, f.shown(a, v))))
		}
	}
	f.products = nil
	options := []widgets.Option[tanks.ProductID]{{Name: say.L("none")}}
	for _, p := range f.in.products {
		if effects, err := p.Contents.Effects(); err == nil && effects[a] > 0 && !p.Retired {
			f.products = append(f.products, p)
			options = append(options, widgets.Option[tanks.ProductID]{Value: p.ID, Name: p.Name})
		}
	}
	f.product.SetOptions(options)
	f.filling = false
	f.compute()
}

// rounded is a level with one decimal more than is shown of it.
func (f *weeklyForm) rounded(a chem.Analyte, v float64) float64 {
	scale := math.Pow10(chem.Decimals(a, f.session.Unit(a)) + 1)
	return math.Round(v*scale) / scale
}

// newWater is the level of the one source whose level is known.
func (f *weeklyForm) newWater(a chem.Analyte) (level float64, ok bool) {
	for _, s := range f.in.room.Systems {
		if s.Kind != tanks.Source {
			continue
		}
		e, known := f.in.room.Estimate(tanks.Cell{System: s.ID, Analyte: a})
		switch {
		case known && ok:
			return 0, false
		case known:
			level, ok = e.Value, true
		}
	}
	return level, ok
}

// shown is a canonical level in the person's unit, and kept the other way.
func (f *weeklyForm) shown(a chem.Analyte, v float64) float64 {
	info, _ := chem.Lookup(a)
	in, err := chem.Convert(a, v, info.Unit, f.session.Unit(a), f.in.room.Water(f.in.system.ID))
	if err != nil {
		return math.NaN()
	}
	return in
}

func (f *weeklyForm) kept(name string) float64 {
	a := f.analyte.Value()
	if f.fields[name].Text == "" {
		return 0
	}
	info, _ := chem.Lookup(a)
	v, err := chem.Convert(a, f.calc.Number(name, f.fields[name]), f.session.Unit(a), info.Unit, f.in.room.Water(f.in.system.ID))
	f.calc.Wrong(name, err)
	return v
}

func (f *weeklyForm) compute() {
	if f.filling {
		return
	}
	if f.fields["uptake"].Text == "" || f.fields["dose"].Text == "" && f.fields["goal"].Text == "" {
		f.calc.Say(say.L("Give what is used in a week, and what level is wanted."), say.L("Uptake follows from readings of some weeks; "+
			"plants of a full, well lit system use 10 to 30 mg/L of nitrate a week (common practice, no source)."))
		return
	}
	w := chem.WeeklyBalance{Uptake: f.kept("uptake"), Share: f.calc.Number("share", f.share) / 100, NewWater: f.kept("new"),
		Dose: f.kept("dose")}
	now, goal := f.kept("now"), f.kept("goal")
	var lines []string
	var err error
	if f.fields["dose"].Text == "" {
		if w.Dose, err = w.DoseFor(goal); err != nil {
			f.calc.Wrong("goal", err)
		}
	}
	if f.calc.Fine() {
		lines, err = f.lines(w, now)
		f.calc.Wrong("share", err)
	}
	f.calc.Say(lines...)
}

// lines say the dose, where the level settles, and the weeks until then.
func (f *weeklyForm) lines(w chem.WeeklyBalance, now float64) ([]string, error) {
	a := f.analyte.Value()
	unit := f.session.Unit(a)
	show := func(v float64) string { return say.F("%s %s", f.session.Value(a, v), unit) }
	after, before, short, err := w.LevelsOff()
	if err != nil {
		return nil, err
	}
	lines := []string{say.F("A weekly dose of %s", show(w.Dose))}
	if p := f.chosen(); p.ID != 0 && w.Dose > 0 {
		effects, _ := p.Contents.Effects()
		if litres := f.in.system.NetVolume().Litres; litres > 0 {
			lines[0] = say.F("%s: %s of %s", lines[0], amountOf(w.Dose*litres/effects[a], p.Contents), p.Name)
		}
	}
	switch {
	case math.IsInf(after, 1):
		lines = append(lines, say.L("It rises for ever: more is given than used, and no water is changed."))
	case short:
		lines = append(lines, say.F("It settles at %s right after change and dose, and is used up before the week is over.", show(after)))
	default:
		lines = append(lines, say.F("It settles at %s right after change and dose, and %s right before.", show(after), show(before)))
	}
	for _, n := range []int{1, 2, 4, 8} {
		level, err := w.After(now, n)
		if err != nil {
			return nil, err
		}
		lines = append(lines, say.N(n, "After %d weeks: %s, right after change and dose", show(level)))
	}
	return append(lines, f.limits(w.Dose), say.F("Each week: (1 − %.0f %%) × (level − %s, not below 0) + %.0f %% × %s + %s.", w.Share*100,
		show(w.Uptake),
		w.Share*100, show(w.NewWater), show(w.Dose))), nil
}

// limits says when the dose is more than is given at once.
func (f *weeklyForm) limits(dose float64) string {
	a := f.analyte.Value()
	band, _ := f.in.room.Band(tanks.Cell{System: f.in.system.ID, Analyte: a})
	band.Analyte = a
	step, source := band.Step(f.in.system.Kind)
	if step <= 0 {
		return say.L("No largest step of it is known.")
	}
	if dose <= step {
		return say.F("It is within the largest step of %s %s (%s).", f.session.Value(a, step), f.session.Unit(a), source)
	}
	n := int(math.Ceil(dose / step))
	return say.F("Give it in %d parts over the week: the largest step is %s %s (%s).", n, f.session.Value(a, step), f.session.Unit(a),
		source)
}

func (f *weeklyForm) chosen() tanks.Product {
	for _, p := range f.products {
		if p.ID == f.product.Value() {
			return p
		}
	}
	return tanks.Product{}
}
