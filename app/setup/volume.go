package setup

import (
	"context"
	"errors"
	"maps"
	"math"
	"slices"

	"fyne.io/fyne/v2"

	"weirkeeper/app/forms"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/tanks"
)

// volumeForm finds a system's net volume by a known addition.
type volumeForm struct {
	session  *session.Session
	products map[tanks.ProductID]tanks.Product
	product  *widgets.Choice[tanks.ProductID]
	analyte  *widgets.Choice[chem.Analyte]
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
		session: s, products: map[tanks.ProductID]tanks.Product{}, amount: widgets.NewNumberEntry(""), doubt: widgets.NewNumberEntryOf(1),
		before: widgets.NewNumberEntry(""), after: widgets.NewNumberEntry(""), scatter: widgets.NewNumberEntry(""),
	}
	var options []widgets.Option[tanks.ProductID]
	for _, p := range products {
		if _, err := p.Contents.Effects(); err == nil && !p.Retired {
			options = append(
				options,
				widgets.Option[tanks.ProductID]{
					Value:  p.ID,
					Name:   p.Name,
					Detail: say.F("%s %s left", widgets.PlainNumber(round(p.Stock)), p.Unit()),
				},
			)
			f.products[p.ID] = p
		}
	}
	f.product, f.analyte = widgets.NewChoice(options, 0), widgets.NewChoice[chem.Analyte](nil, 0)
	f.calc = widgets.NewCalculator(
		widgets.Field{
			Name:  "product",
			Label: say.L("Product"),
			Input: f.product,
			Help:  say.L("of known strength, and harmless in this amount"),
		},
		widgets.Field{Name: "analyte", Label: say.L("Measured"), Input: f.analyte},
		widgets.Field{Name: "mass", Label: say.L("Added"), Input: f.amount, Help: say.L("mL of a liquid, g of a solid")},
		widgets.Field{
			Name:  "doubt",
			Label: say.L("Good to"),
			Input: f.doubt,
			Help:  say.L("% of the amount and strength, standard uncertainty"),
		},
		widgets.Field{
			Name:  "before",
			Label: say.L("Before"),
			Input: f.before,
			Help:  say.L("by one and the same method, better a mean of several"),
		},
		widgets.Field{
			Name:  "after",
			Label: say.L("After"),
			Input: f.after,
			Help:  say.L("when it is mixed throughout, an hour or more later"),
		},
		widgets.Field{
			Name:  "scatter",
			Label: say.L("Scatter"),
			Input: f.scatter,
			Help:  say.L("standard deviation of a reading, in its unit"),
		},
	)
	f.product.OnChanged = func(tanks.ProductID) { f.productChosen() }
	f.analyte.OnChanged = func(chem.Analyte) { f.compute() }
	for _, e := range []*widgets.NumberEntry{f.amount, f.doubt, f.before, f.after, f.scatter} {
		e.OnChanged = func(string) { f.compute() }
	}
	f.compute()
	return f
}

// productChosen offers what the product raises.
func (f *volumeForm) productChosen() {
	effects, _ := f.products[f.product.Value()].Contents.Effects()
	var raised []chem.Analyte
	for _, a := range slices.Sorted(maps.Keys(effects)) {
		if effects[a] > 0 && a != chem.Salinity && a != chem.Hardness {
			raised = append(raised, a)
		}
	}
	f.analyte.SetOptions(widgets.OptionsOf(raised, func(a chem.Analyte) string { return say.Of(a) }))
	if _, chosen := f.analyte.Selected(); !chosen && len(raised) > 0 {
		f.analyte.SetSelected(raised[0])
	}
	f.compute()
}

// compute shows the volume, or what is still wanting.
func (f *volumeForm) compute() {
	f.litres, f.u = 0, 0
	p, ok := f.products[f.product.Value()]
	a, chosen := f.analyte.Selected()
	if !ok || !chosen || f.amount.Text == "" || f.before.Text == "" || f.after.Text == "" || f.scatter.Text == "" {
		f.calc.Say(
			say.L("Add a known amount, and read before and after."),
			say.L("The rise should be five times the scatter or more; keep within what the animals bear in a day."),
		)
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
	f.calc.Say(
		say.F("%s (standard uncertainty).", f.session.VolumeUnit().VolumeWithin(f.litres, f.u)),
		say.L("Added mass over the rise; what was used up meanwhile makes it read high."),
	)
}

// missing says which fields are empty.
func (f *volumeForm) missing() []widgets.Fault {
	var faults []widgets.Fault
	need := func(field string, has bool) {
		if !has {
			faults = append(
				faults,
				widgets.Fault{Field: field, Problem: say.L("This is missing"), Remedy: say.L("the volume cannot be told without it")},
			)
		}
	}
	_, hasProduct := f.product.Selected()
	_, hasAnalyte := f.analyte.Selected()
	need("product", hasProduct)
	need("analyte", hasAnalyte || !hasProduct)
	need("mass", f.amount.Text != "")
	need("before", f.before.Text != "")
	need("after", f.after.Text != "")
	need("scatter", f.scatter.Text != "")
	return faults
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
	k := chem.KnownAddition{
		Mass:            mass,
		MassUncertainty: mass * f.calc.Number("doubt", f.doubt) / 100,
		Before:          level("before", f.before),
		After:           level("after", f.after),
	}
	scatter, err := chem.ConvertDelta(a, 0, f.calc.Number("scatter", f.scatter), unit, info.Unit, chem.Water{})
	f.calc.Wrong("scatter", err)
	k.BeforeScatter, k.AfterScatter = math.Abs(scatter), math.Abs(scatter)
	return k
}

// measure asks for a known addition to the current system and keeps what it
// finds as the system's net volume.
func (v *systemsView) measure() {
	s, ok := v.list.Current()
	if !ok {
		return
	}
	f := newVolumeForm(v.session, v.loaded.products)
	next := s
	forms.Show(
		v.session,
		forms.Ask{
			Title:   say.F("Measure the volume of %s", s.Code),
			Confirm: say.L("Use it"),
			Form:    f.calc.Form,
			Content: f.calc.Content(),
			Focus:   f.product,
			Size:    fyne.NewSize(520, 0),
			Read: func() (session.Deed, []widgets.Fault) {
				if faults := f.missing(); len(faults) > 0 {
					return nil, faults
				}
				f.compute()
				next.Stated, next.StatedUncertainty = math.Round(f.litres*10)/10, math.Round(f.u*10)/10
				return func(ctx context.Context, store *storage.Store) error { return store.SaveSystem(ctx, &next) }, f.calc.Shown()
			},
			Saved: func() {
				saySaved(v.session, say.F("%s holds %s", s.Code, v.session.VolumeUnit().VolumeWithin(next.Stated, next.StatedUncertainty)))
			},
		},
	)
}
