package system

import (
	"errors"
	"math"
	"strings"

	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/tanks"
	"weirkeeper/tanks/derive"
)

// sumWidth is that of the sums of the Chemistry tab.
const sumWidth = 520

// known is what a sum of the Chemistry tab begins from.
func (l *loaded) known() derive.Input {
	id := l.system.ID
	return derive.Input{Kind: l.system.Kind, Estimates: l.room.Estimates(id), By: l.room.Conventions(id)}
}

// aims are what a dose can be for, those of fresh water or of salt water.
func aims(k tanks.Kind) []widgets.Option[chem.Aim] {
	ph := widgets.Option[chem.Aim]{Value: chem.AimPH, Name: say.L("pH")}
	gas := widgets.Option[chem.Aim]{Value: chem.AimCO2, Name: say.L("Free carbon dioxide, mg/L")}
	if k == tanks.Freshwater {
		return []widgets.Option[chem.Aim]{ph, gas, {Value: chem.AimCalciteIndex, Name: say.L("Langelier index")}}
	}
	return []widgets.Option[chem.Aim]{
		ph, gas, {Value: chem.AimAragonite, Name: say.L("Aragonite saturation")}, {Value: chem.AimCalcite,
			Name: say.L("Calcite saturation")},
	}
}

// giver is what can be dosed: a product of the shelf, or a compound as such.
type giver struct {
	name     string
	contents chem.Product
}

// givers are the products, and then the compounds, that change carbonates or calcium.
func givers(products []tanks.Product) []giver {
	var out []giver
	bears := func(p chem.Product) bool {
		d, err := p.CarbonateDose(1, 1)
		return err == nil && (d.Alkalinity != 0 || d.Calcium != 0)
	}
	for _, p := range products {
		if !p.Retired && bears(p.Contents) {
			out = append(out, giver{p.Name, p.Contents})
		}
	}
	for _, c := range chem.Compounds() {
		alone := chem.Product{Form: chem.Solid, Ingredients: []chem.Ingredient{{Compound: c.Key, Amount: 1}}}
		if bears(alone) {
			out = append(out, giver{say.F("%s, %s, pure", say.L(c.Name), c.Key), alone})
		}
	}
	return out
}

// targetForm asks for a dose that brings the system's water to a value.
type targetForm struct {
	session *session.Session
	in      *loaded
	givers  []giver
	aim     *widgets.Choice[chem.Aim]
	value   *widgets.NumberEntry
	product *widgets.Choice[int] // in givers
	aired   *widgets.Choice[bool]
	air     *widgets.NumberEntry
	litres  *widgets.QuantityEntry
	calc    *widgets.Calculator
}

// aimAt opens the sum.
func (p *Page) aimAt() {
	f := newTargetForm(p.session, p.loaded)
	widgets.ShowDialog(p.session.Window, widgets.Dialog{
		Title: say.F("Dose for a target: %s", p.loaded.system.Code), Content: f.calc.Content(), Focus: f.aim, Width: sumWidth,
	})
}

func newTargetForm(s *session.Session, l *loaded) *targetForm {
	f := &targetForm{
		session: s, in: l, givers: givers(l.products), aim: widgets.NewChoice(aims(l.system.Kind), chem.AimPH),
		value: widgets.NewNumberEntry(""), air: widgets.NewNumberEntry(widgets.PlainNumber(chem.AirCO2)),
		litres: s.VolumeEntry(l.system.NetVolume().Litres, 1),
		aired: widgets.NewChoice([]widgets.Option[bool]{
			{Value: false, Name: say.L("right after the dose")}, {Value: true, Name: say.L("once the water is aired")},
		}, false),
	}
	var names []widgets.Option[int]
	for n, g := range f.givers {
		names = append(names, widgets.Option[int]{Value: n, Name: g.name})
	}
	f.product = widgets.NewChoice(names, -1)
	f.calc = widgets.NewCalculator(
		widgets.Field{Name: "aim", Label: say.L("Aim"), Input: f.aim},
		widgets.Field{Name: "value", Label: say.L("Value"), Input: f.value},
		widgets.Field{Name: "product", Label: say.L("Product"), Input: f.product,
			Help: say.L("of the shelf, or a pure compound by its grams")},
		widgets.Field{Name: "aired", Label: say.L("It is meant"), Input: f.aired},
		widgets.Field{Name: "air", Label: say.L("Air of the room"), Input: f.air,
			Help: say.L("ppm of carbon dioxide; closed rooms with people hold 800 to 1500")},
		widgets.Field{Name: "litres", Label: say.L("Net volume"), Input: f.litres},
	)
	f.aim.OnChanged = func(chem.Aim) { f.compute() }
	f.value.OnChanged = func(string) { f.compute() }
	f.product.OnChanged = func(int) { f.compute() }
	f.aired.OnChanged = func(bool) { f.compute() }
	f.air.OnChanged = func(string) { f.compute() }
	f.litres.OnChanged = f.compute
	f.compute()
	return f
}

// compute shows the dose, or what is wanting.
func (f *targetForm) compute() {
	n, chosen := f.product.Selected()
	if !chosen || strings.TrimSpace(f.value.Text) == "" || f.litres.Empty() {
		f.calc.Say(say.L("Give the value, what to dose and the net volume."))
		return
	}
	w := derive.Wanted{
		Aim: f.aim.Value(), Value: f.calc.Number("value", f.value), Product: f.givers[n].contents, Litres: f.calc.Quantity("litres",
			f.litres),
		Aired: f.aired.Value(), Air: f.calc.Number("air", f.air), Bands: f.in.room.Bands[f.in.system.ID],
	}
	if !f.calc.Fine() {
		f.calc.Say()
		return
	}
	in := f.in.known()
	led, err := in.DoseFor(w)
	if err != nil {
		f.calc.Wrong(fieldOf(err), err)
		f.calc.Say()
		return
	}
	f.calc.Say(f.lines(f.givers[n], w, led, in)...)
}

// fieldOf is the field at which an error of a target stands.
func fieldOf(err error) string {
	var outside chem.RangeError
	switch {
	case errors.Is(err, chem.ErrTarget), errors.Is(err, chem.ErrNoEffect), errors.Is(err, chem.ErrCarbon):
		return "product"
	case errors.Is(err, chem.ErrVolume):
		return "litres"
	case errors.As(err, &outside) && strings.Contains(string(outside.Quantity), "air"):
		return "air"
	}
	return "value"
}

// lines say the dose, what it does at once and aired, how it is given, the cautions,
// and the numbers behind it.
func (f *targetForm) lines(g giver, w derive.Wanted, led derive.Led, in derive.Input) []string {
	if led.Amount == 0 {
		return []string{say.L("Nothing is to be given: the water stands there already.")}
	}
	lines := []string{
		say.F("%s of %s", amountOf(led.Amount, g.contents), g.name),
		say.F("At once: %s", stateOf(led.Response.AtOnce, f.in.system.Kind)),
		say.F("Once aired, at %.0f ppm: %s", w.Air, stateOf(led.Response.Aired, f.in.system.Kind)),
		f.given(g, led),
	}
	for _, c := range led.Changes {
		lines = append(lines, f.change(c, led))
	}
	if led.Response.AtOnce.OmegaAragonite > mostAragonite {
		lines = append(lines, say.F("Aragonite saturation would pass %d at once: carbonate may fall out (common practice, no source).",
			mostAragonite))
	}
	for _, c := range g.contents.Cautions() {
		lines = append(lines, say.L(c))
	}
	return append(lines, f.how(led, in))
}

// mostAragonite is the saturation at which carbonate may fall out in bulk.
const mostAragonite = 10

// amountOf writes an amount of a product with three digits.
func amountOf(v float64, p chem.Product) string {
	decimals := 2 - int(math.Floor(math.Log10(v)))
	return say.F("%s %s", say.Number(v, max(0, min(4, decimals))), string(p.AmountUnit()))
}

// stateOf writes the carbon dioxide system in one line.
func stateOf(c chem.Carbonates, k tanks.Kind) string {
	text := say.F("pH %.2f, carbon dioxide %.2f mg/L, alkalinity %.2f meq/L", c.PH, c.CO2, c.Alkalinity)
	switch {
	case math.IsNaN(c.OmegaCalcite):
		return text
	case k == tanks.Freshwater:
		return say.F("%s, Langelier index %s", text, chem.Decimal(c.SaturationIndex(), 2))
	}
	return say.F("%s, aragonite %.2f, calcite %.2f", text, c.OmegaAragonite, c.OmegaCalcite)
}

// given says how the dose is given.
func (f *targetForm) given(g giver, led derive.Led) string {
	each := amountOf(led.Amount/float64(led.Days*led.Parts), g.contents)
	switch {
	case led.Days == 1 && led.Parts == 1:
		return say.L("All of it may be given at once.")
	case led.Days == 1:
		return say.F("Give %s, %d times within the day.", each, led.Parts)
	case led.Parts == 1:
		return say.F("Give %s a day, over %d days.", each, led.Days)
	}
	return say.F("Give %s, %d times a day, over %d days.", each, led.Parts, led.Days)
}

// change says what changes beside its limits.
func (f *targetForm) change(c derive.Change, led derive.Led) string {
	water := f.in.room.Water(f.in.system.ID)
	unit := f.session.Unit(c.Analyte)
	show := func(v float64) string {
		info, _ := chem.Lookup(c.Analyte)
		e := f.in.room.Estimates(f.in.system.ID)[c.Analyte]
		d, err := chem.ConvertDelta(c.Analyte, max(e.Value, info.Low), v, info.Unit, unit, water)
		if err != nil {
			return "?"
		}
		return say.L(chem.Decimal(d, chem.Decimals(c.Analyte, unit)+1))
	}
	text := say.F("%s changes by %s %s in all", c.Analyte, show(c.By), unit)
	if c.Day > 0 {
		text = say.F("%s; the largest of a day is %s (%s)", text, show(c.Day), c.DayFrom)
	}
	if c.Step > 0 {
		text = say.F("%s; the largest step is %s (%s)", text, show(c.Step), c.StepFrom)
	}
	if each := math.Abs(c.By) / float64(led.Days*led.Parts); c.Step > 0 && each > c.Step*1.02 {
		text = say.F("%s; each dose is more: use a pump or a lower aim", text)
	}
	return text + "."
}

// how is the arithmetic with its numbers, its equations and their doubt.
func (f *targetForm) how(led derive.Led, in derive.Input) string {
	before := led.Response.Before
	text := say.F("Now %s, %.3f mmol/L of inorganic carbon. The dose brings %s meq/L of alkalinity, %s mmol/L of carbon and %s mg/L of "+
		"calcium; "+
		"what pH follows is solved from alkalinity and carbon.", stateOf(before, f.in.system.Kind), before.DIC,
		chem.Decimal(led.Adds.Alkalinity, 3), chem.Decimal(led.Adds.Carbon, 3), chem.Decimal(led.Adds.Calcium, 1))
	text = say.F("%s %s, by %s.", text, in.By.Scale, before.Equations)
	if d := led.Response.AtOnce.Doubt.PH; d > 0 {
		text = say.F("%s The models leave ± %.2f of pH.", text, 2*d)
	}
	if _, assumed := in.Analysis(); assumed {
		text = say.F("%s The water is taken as without salt: measure conductivity.", text)
	}
	return text
}
