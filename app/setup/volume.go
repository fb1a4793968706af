package setup

import (
	"context"
	"errors"
	"maps"
	"math"
	"slices"

	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// volumeForm finds a system's net volume by a known addition.
type volumeForm struct {
	session  *session.Session
	products map[string]tanks.Product
	product  *widgets.Choice
	analyte  *widgets.Choice
	amount   *widgets.NumberEntry
	doubt    *widgets.NumberEntry
	before   *widgets.NumberEntry
	after    *widgets.NumberEntry
	scatter  *widgets.NumberEntry
	calc     *widgets.Calculator
	litres   float64 // found, zero: not yet
	u        float64
}

func newVolumeForm(s *session.Session, products []tanks.Product) *volumeForm {
	f := &volumeForm{
		session: s, products: map[string]tanks.Product{}, amount: widgets.NewNumberEntry(""), doubt: widgets.NewNumberEntryOf(1),
		before: widgets.NewNumberEntry(""), after: widgets.NewNumberEntry(""), scatter: widgets.NewNumberEntry(""),
	}
	var names []string
	for _, p := range products {
		if _, err := p.Contents.Effects(); err == nil && !p.Retired {
			names = append(names, p.Name)
			f.products[p.Name] = p
		}
	}
	f.product, f.analyte = widgets.NewChoice(names, ""), widgets.NewChoice(nil, "")
	f.calc = widgets.NewCalculator(
		widgets.Field{Name: "product", Label: say.L("Product"), Input: f.product, Help: say.L("of known strength, and harmless in this amount")},
		widgets.Field{Name: "analyte", Label: say.L("Measured"), Input: f.analyte},
		widgets.Field{Name: "mass", Label: say.L("Added"), Input: f.amount, Help: say.L("mL of a liquid, g of a solid")},
		widgets.Field{Name: "doubt", Label: say.L("Good to"), Input: f.doubt, Help: say.L("% of the amount and strength, standard uncertainty")},
		widgets.Field{Name: "before", Label: say.L("Before"), Input: f.before, Help: say.L("by one and the same method, better a mean of several")},
		widgets.Field{Name: "after", Label: say.L("After"), Input: f.after, Help: say.L("when it is mixed throughout, an hour or more later")},
		widgets.Field{Name: "scatter", Label: say.L("Scatter"), Input: f.scatter, Help: say.L("standard deviation of a reading, in its unit")},
	)
	f.product.OnChanged = func(string) { f.productChosen() }
	f.analyte.OnChanged = func(string) { f.compute() }
	for _, e := range []*widgets.NumberEntry{f.amount, f.doubt, f.before, f.after, f.scatter} {
		e.OnChanged = func(string) { f.compute() }
	}
	f.compute()
	return f
}

// productChosen offers what the product raises.
func (f *volumeForm) productChosen() {
	effects, _ := f.products[f.product.Selected()].Contents.Effects()
	var names []string
	for _, a := range slices.Sorted(maps.Keys(effects)) {
		if effects[a] > 0 && a != chem.Salinity && a != chem.Hardness {
			names = append(names, say.Of(a))
		}
	}
	f.analyte.SetOptions(names)
	if len(names) > 0 {
		f.analyte.SetSelected(names[0])
	}
	f.compute()
}

// compute shows the volume, or what is still wanting.
func (f *volumeForm) compute() {
	f.litres, f.u = 0, 0
	p, ok := f.products[f.product.Selected()]
	a, chosen := session.AnalyteNamed(f.analyte.Selected())
	if !ok || !chosen || f.amount.Text == "" || f.before.Text == "" || f.after.Text == "" || f.scatter.Text == "" {
		f.calc.Say(say.L("Add a known amount, and read before and after."), say.L("The rise should be five times the scatter or more; keep within what the animals bear in a day."))
		return
	}
	k := f.addition(p, a)
	if f.calc.Fine() {
		litres, u, err := k.Volume()
		field := "after"
		var wrong *chem.AdditionError
		if errors.As(err, &wrong) {
			field = wrong.Field
		}
		f.calc.Wrong(field, err)
		f.litres, f.u = litres, u
	}
	f.calc.Say(say.F("%s (standard uncertainty).", f.session.VolumeUnit().VolumeWithin(f.litres, f.u)), say.L("Added mass over the rise; what was used up meanwhile makes it read high."))
}

// addition reads the fields.
func (f *volumeForm) addition(p tanks.Product, a chem.Analyte) chem.KnownAddition {
	effects, _ := p.Contents.Effects()
	info, _ := chem.Lookup(a)
	unit := f.session.Unit(a)
	level := func(name string, e *widgets.NumberEntry) float64 {
		v, err := chem.Convert(a, f.calc.Number(name, e), unit, info.Unit, chem.Water{})
		f.calc.Wrong(name, err)
		return v
	}
	mass := effects[a] * f.calc.Number("mass", f.amount)
	k := chem.KnownAddition{Mass: mass, MassUncertainty: mass * f.calc.Number("doubt", f.doubt) / 100, Before: level("before", f.before), After: level("after", f.after)}
	scatter, err := chem.ConvertDelta(a, 0, f.calc.Number("scatter", f.scatter), unit, info.Unit, chem.Water{})
	f.calc.Wrong("scatter", err)
	k.BeforeScatter, k.AfterScatter = math.Abs(scatter), math.Abs(scatter)
	return k
}

// measure asks for a known addition to the current system and keeps what it
// finds as the system's net volume.
func (v *systemsView) measure() {
	n, ok := v.table.Current()
	if !ok || v.loaded == nil {
		return
	}
	s := v.loaded.systems[n]
	f := newVolumeForm(v.session, v.loaded.products)
	widgets.ShowDialog(v.session.Window, widgets.Dialog{Title: say.F("Measure the volume of %s", s.Code), Content: f.calc.Content(), Confirm: say.L("Use it"), Focus: f.product, Width: 520, OnConfirm: func() bool {
		f.compute()
		if f.litres == 0 {
			return false
		}
		next := s
		next.Stated, next.StatedUncertainty = math.Round(f.litres*10)/10, math.Round(f.u*10)/10
		v.session.Act(say.L("Saving the volume"), func(ctx context.Context) error {
			return v.session.Store.SaveSystem(ctx, &next)
		}, nil)
		return true
	}})
}
