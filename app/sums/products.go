package sums

import (
	"errors"
	"math"
	"slices"
	"strings"

	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
)

// amountFor tells how much of a product makes a rise, or what an amount does.
func amountFor(s *session.Session, g Given) {
	b := newSheet(s)
	b.otherwise = "labelled"
	b.quantities["gap"], b.quantities["amount"] = "rise", "amount"
	analyte := b.analytes(chem.Analyte.Additive, chem.Alkalinity)
	labelled := b.number("labelled", say.L("Label: amount"), say.L("mL or g"), "", required)
	in := b.quantity("in", say.L("Label: in"), say.L("the water that the label speaks of"), s.VolumeEntry(100, 0), required)
	raises := b.number("raises", say.L("Label: raises by"), say.L("in the analyte's unit; with a minus where it lowers"), "", required)
	litres := b.quantity("litres", say.L("Net volume"), say.L("of your system"), s.VolumeEntry(math.Round(g.Litres), 0), required)
	rise := b.number("rise", say.L("Rise that is wanted"), say.L("in the analyte's unit; empty: tell what an amount does"), "", optional)
	amount := b.number("amount", say.L("Amount given"), say.L("mL or g; empty: tell the amount for the rise"), "", optional)
	b.show(say.L("Amount for a rise"), func() (answer, error) {
		a := analyte.Value()
		strength := chem.Strength{Analyte: a, Amount: labelled.v, Litres: in.v, Raises: b.canonicalChange(a, raises.v)}
		e, err := chem.Product{Form: chem.Liquid, Label: []chem.Strength{strength}}.Effects()
		if err != nil {
			return answer{}, err
		}
		out := answer{
			source: say.L("By the label alone: a label's strength is rounded, and a bottle ages."),
			notes: []string{say.L("Measure before and after. A large gap is closed over days: the plan of Dosing splits it by what the " +
				"system " +
				"bears.")},
		}
		u := string(s.Unit(a))
		if rise.given {
			need, err := chem.Amount(e[a], b.canonicalChange(a, rise.v), litres.v)
			if err != nil {
				return answer{}, at(amountField(err), err)
			}
			out.results = append(out.results, say.F("%.4g of it for %+.4g %s in %s.", need, rise.v, u, s.Volume(litres.v, 0)))
			out.formula = say.F("%.4g × %.4g ÷ %.4g × %.4g L ÷ %.4g L = %.4g", labelled.v, rise.v, raises.v, litres.v, in.v, need)
		}
		if amount.given {
			d, err := chem.Delta(e[a], amount.v, litres.v)
			if err != nil {
				return answer{}, err
			}
			out.results = append(out.results, say.F("%.4g of it make %s in %s.", amount.v, b.change(a, d), s.Volume(litres.v, 0)))
			if !rise.given {
				out.formula = say.F("%.4g × %.4g ÷ %.4g × %.4g L ÷ %.4g L = %.4g %s", raises.v, amount.v, labelled.v, in.v, litres.v,
					b.inUnit(a, d), u)
			}
		}
		if out.results == nil {
			return answer{}, at("rise", widgets.ErrNoNumber)
		}
		return out, nil
	})
}

// amountField is where an error of an amount belongs.
func amountField(err error) string {
	if errors.Is(err, chem.ErrVolume) {
		return "litres"
	}
	return "rise"
}

// canonicalChange is a change typed in the unit shown.
func (b *sheet) canonicalChange(a chem.Analyte, v float64) float64 {
	info, _ := chem.Lookup(a)
	d, err := chem.ConvertDelta(a, info.Low, v, b.in.Unit(a), info.Unit, chem.Water{})
	if err != nil {
		return math.NaN()
	}
	return d
}

// compounds offers the table's compounds, by name.
func (b *sheet) compounds(name, label string, selected string) *widgets.Choice[string] {
	var options []widgets.Option[string]
	for _, c := range chem.Compounds() {
		options = append(options, widgets.Option[string]{Value: c.Key, Name: say.F("%s, %s", say.L(c.Name), c.Key)})
	}
	slices.SortFunc(options, func(a, b widgets.Option[string]) int { return strings.Compare(a.Name, b.Name) })
	return choose(b, name, label, "", options, selected)
}

// percentByMass tells the strength of a liquid whose label says per cent by mass.
func percentByMass(s *session.Session, _ Given) {
	b := newSheet(s)
	b.otherwise, b.quantities["density"] = "share", "density"
	compound := b.compounds("compound", say.L("Compound"), "MgCl2·6H2O")
	share := b.number("share", say.L("Share by mass"), say.L("%, as the compound is written, its water of crystallisation counted"), "",
		required)
	density := b.number("density", say.L("Density"), say.L("kg/L, 0.5 to 3: weigh 100 mL"), "", required)
	b.show(say.L("Liquid given in % by mass"), func() (answer, error) {
		part := chem.Ingredient{Compound: compound.Value(), Amount: share.v / 100}
		p, err := chem.LiquidByMass([]chem.Ingredient{part}, density.v)
		if err != nil {
			return answer{}, err
		}
		e, err := p.Effects()
		c, _ := chem.Compound(compound.Value())
		a := answer{
			results: []string{say.F("%.4g g/L of %s.", p.Ingredients[0].Amount, say.L(c.Name)), b.does(e, p.AmountUnit())},
			formula: say.F("%.4g ÷ 100 × %.4g kg/L × 1000 = %.4g g/L", share.v, density.v, p.Ingredients[0].Amount),
			source:  say.L("So it stands on the shelf: a liquid of one compound in g/L."),
		}
		if c.Caution != "" {
			a.notes = append(a.notes, say.L(c.Caution))
		}
		return a, err
	})
}

// does writes what one unit of a product does in a hundred units of volume.
func (b *sheet) does(e chem.Effects, unit string) string {
	litres := 100 * b.in.VolumeUnit().Litres()
	var all []string
	for _, info := range chem.Catalogue() {
		if v := e[info.Analyte] / litres; v != 0 {
			all = append(all, say.F("%s %s", info.Symbol, b.change(info.Analyte, v)))
		}
	}
	return say.F("1 %s in %s: %s.", unit, b.in.Volume(litres, 0), strings.Join(all, ", "))
}

// part is one of two products that are mixed.
type part struct {
	compound *widgets.Choice[string]
	strength *typed
	amount   *typed
}

func (p part) of(form chem.Form) chem.Part {
	strength := 1.0 // a salt is its compound alone
	if form == chem.Liquid {
		strength = p.strength.v
	}
	product := chem.Product{Form: form, Ingredients: []chem.Ingredient{{Compound: p.compound.Value(), Amount: strength}}}
	return chem.Part{Product: product, Amount: p.amount.v}
}

// twoProducts tells what a mixture of two salts or stock solutions does.
func twoProducts(s *session.Session, _ Given) {
	b := newSheet(s)
	b.otherwise = "amount1"
	form := choose(b, "form", say.L("Mixed are"), "", []widgets.Option[chem.Form]{
		{Value: chem.Solid, Name: say.L("two salts, weighed")}, {Value: chem.Liquid, Name: say.L("two stock solutions")},
	}, chem.Solid)
	strength := say.L("g/L, of a solution only")
	ask := func(n, first, second, third, compound string) part {
		return part{
			compound: b.compounds("compound"+n, first, compound),
			strength: b.number("strength"+n, second, strength, "", optional),
			amount:   b.number("amount"+n, third, say.L("g of a salt, mL of a solution"), "", required),
		}
	}
	first := ask("1", say.L("First"), say.L("Its strength"), say.L("Its amount"), "CaCl2·2H2O")
	second := ask("2", say.L("Second"), say.L("Strength of the second"), say.L("Amount of the second"), "MgSO4·7H2O")
	b.show(say.L("Two products mixed"), func() (answer, error) {
		for i, p := range []part{first, second} {
			name := string(rune('1' + i))
			if form.Value() == chem.Liquid && !p.strength.given {
				return answer{}, at("strength"+name, widgets.ErrNoNumber)
			}
			if _, err := p.of(form.Value()).Product.Effects(); err != nil {
				return answer{}, at("strength"+name, err)
			}
			if p.amount.v <= 0 {
				return answer{}, at("amount"+name, aboveZero())
			}
		}
		mixed, err := chem.Mix(first.of(form.Value()), second.of(form.Value()))
		if err != nil {
			return answer{}, err
		}
		return b.mixture(mixed, first.amount.v, second.amount.v)
	})
}

// mixture says what a mixed product does, and whether it stays as it is.
func (b *sheet) mixture(mixed chem.Product, first, second float64) (answer, error) {
	e, err := mixed.Effects()
	if err != nil {
		return answer{}, err
	}
	a := answer{
		results: []string{b.does(e, mixed.AmountUnit())},
		formula: say.F("%.4g of %.4g is the first: %.1f %%", first, first+second, 100*first/(first+second)),
		source:  say.L("Volumes are taken to add up, which in strong solutions is wrong by a per cent or two."),
	}
	if e[chem.Magnesium] > 0 && e[chem.Calcium] > 0 {
		a.results = append(a.results, say.F("Ca:Mg is %.2f by mass.", e[chem.Calcium]/e[chem.Magnesium]))
	}
	if mixed.Form == chem.Solid {
		a.notes = []string{say.L("Salts cake and part in the bag: weigh them apart where that matters. The labels' cautions go first.")}
		return a, nil
	}
	const coldest = 10 // °C, an unheated room
	recipe, err := mixed.Stock((first+second)/1000, coldest)
	if err != nil {
		return answer{}, err
	}
	for _, c := range recipe.Clashes {
		a.notes = append(a.notes, say.F("They do not bear one another: %s.", say.L(c.Why)))
	}
	for _, w := range recipe.Weigh {
		if w.Settles() {
			a.notes = append(a.notes, say.F("%s settles in an unheated room: %.0f g/L, and %.0f stay dissolved at 10 °C.",
				say.L(w.Compound.Name), w.GramsPerLitre, w.Dissolves))
		}
	}
	for _, c := range recipe.Cautions {
		a.notes = append(a.notes, say.L(c))
	}
	return a, nil
}
