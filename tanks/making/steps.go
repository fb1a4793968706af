package making

import (
	"errors"
	"math"
	"slices"
	"sort"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/chem/seawater"
)

// Step is one thing to do, in its order.
type Step struct {
	Title  words.Text
	Amount words.Text // with its unit; empty where there is none
	Notes  []words.Text
	// How is the arithmetic with the numbers put in, a line for each thing.
	How []HowLine
}

// HowLine is a name, the sum and what comes of it.
type HowLine struct{ Name, Sum, Result words.Text }

// writeSteps puts the work in its order: chlorine out first, then the softer waters,
// heat, minerals one by one with what raises alkalinity last, and a check of the work.
func (b *batch) writeSteps() {
	b.pourChlorinated()
	b.pourRest()
	b.heat()
	b.putSalt()
	b.putMinerals()
	b.check()
}

// litres writes a volume as the person reads it.
func (b *batch) litres(l float64) words.Text { return b.order.litres(l) }

func (b *batch) add(s Step) { b.made.Steps = append(b.made.Steps, s) }

// pourChlorinated are the waters that hold chlorine, or may, each with what takes it
// out before anything else goes in.
func (b *batch) pourChlorinated() {
	for _, c := range b.chlorine {
		s := b.order.Sources[c.portion.Source]
		pour := Step{Title: words.T("%s into an empty vat", s.Code), Amount: b.litres(c.portion.Litres)}
		if c.unknown {
			pour.Notes = append(pour.Notes, words.T("Chlorine of %s was never measured. Test it before anything else goes in: "+
				"total chlorine must read none.", s.Code))
			b.add(pour)
			continue
		}
		b.add(pour)
		b.add(b.takeChlorineOut(c))
	}
}

func (b *batch) takeChlorineOut(c chlorine) Step {
	step := Step{Title: "Sodium thiosulfate pentahydrate", Amount: words.T("%.2f g", c.needs.Grams)}
	if place, grams, ok := b.order.chlorineProduct(); ok {
		p := b.order.Products[place]
		step.Title, step.Amount = words.Text(p.Name), words.T("%.2f %s", c.needs.Grams/grams, p.Unit())
		if p.Caution != "" {
			step.Notes = append(step.Notes, words.Text(p.Caution))
		}
	}
	step.Notes = append(step.Notes, "Stir for 2 minutes, then test: total chlorine must read none before anything else goes in. "+
		"Where a product is labelled for this, its label goes first.")
	if c.needs.Ammonia > 0 {
		step.Notes = append(step.Notes,
			words.T("Chloramine leaves ammonia: %s in this water, %s once all is mixed. Let a filter or a binder "+
				"take it, and test before animals meet it.", b.order.value(chem.Ammonia, c.needs.Ammonia),
				b.order.value(chem.Ammonia, c.needs.Ammonia*c.portion.Litres/b.made.Blend.Litres)))
	}
	s := b.order.Sources[c.portion.Source].analysis()
	step.How = []HowLine{{"Chlorine", words.T("%.2f mg/L × %.1f L ÷ 70.90 g/mol × 2 × 248.18 g/mol ÷ 1000", chlorineOf(s),
		c.portion.Litres),
		words.T("%.2f g", c.needs.Grams)}}
	return step
}

// chlorineOf is the total chlorine that was counted.
func chlorineOf(a chem.Analysis) float64 {
	if total, ok := a[chem.AllChlorine]; ok {
		return max(total, a[chem.Chloramine])
	}
	return a[chem.FreeChlorine] + a[chem.Chloramine]
}

func (b *batch) treated(p Portion) bool {
	return slices.ContainsFunc(b.chlorine, func(c chlorine) bool { return c.portion.Source == p.Source })
}

func (b *batch) pourRest() {
	for _, p := range b.made.Portions {
		if b.treated(p) {
			continue
		}
		s := b.order.Sources[p.Source]
		b.add(Step{Title: words.T("%s into the vat", s.Code), Amount: b.litres(p.Litres)})
	}
}

// smallWarming in kWh is not worth a step.
const smallWarming = 0.01

func (b *batch) heat() {
	g, asked := b.order.goal(chem.Temperature)
	if !asked {
		return
	}
	now, known := b.made.Blend.Water[chem.Temperature]
	switch {
	case !known:
		b.add(Step{Title: "Bring to temperature", Amount: b.order.value(chem.Temperature, g.Value), Notes: []words.Text{
			"How warm the waters are is not known. Heater off while filling and before anyone reaches in."}})
	case b.kwh > smallWarming:
		step := Step{Title: "Heat", Amount: words.T("to %s", b.order.value(chem.Temperature, g.Value))}
		note := words.T("%.1f kWh from %s", b.kwh, b.order.value(chem.Temperature, now))
		if b.order.Watts > 0 {
			hours := b.kwh * 1000 / b.order.Watts
			note = words.T("%s, %.1f h at %.0f W without losses", note, hours, b.order.Watts)
		}
		step.Notes = []words.Text{words.T("%s. Heater off while filling and before anyone reaches in.", note)}
		step.How = []HowLine{{"Heat", words.T("%.1f L × %.2f kJ/(kg·°C) × %.1f °C ÷ 3600", b.made.Blend.Litres,
			chem.HeatCapacity(b.made.Blend.Water[chem.Salinity], (now+g.Value)/2), g.Value-now), words.T("%.2f kWh", b.kwh)}}
		b.add(step)
	case b.kwh < -smallWarming:
		b.add(Step{Title: "Let it cool", Amount: words.T("to %s", b.order.value(chem.Temperature, g.Value)),
			Notes: []words.Text{words.T("It is mixed at %s.", b.order.value(chem.Temperature, now))}})
	}
}

func (b *batch) putSalt() {
	if b.salt.Kg == 0 {
		return
	}
	b.add(Step{Title: "Sea salt", Amount: words.T("%.2f kg", b.salt.Kg), Notes: []words.Text{
		"Salt into water, never water onto salt. Stir and aerate until it is clear, as its label says.",
		"What the salt brings besides salinity is not known: test alkalinity, calcium and magnesium once it is clear.",
	}, How: []HowLine{{"Salt", words.T("by mass, densities of EOS-80, %.1f L at %s PSU, moisture %.0f %%", b.made.Litres,
		chem.Decimal(b.salt.PSU, 1), 100*b.order.Moisture), words.T("%.2f kg", b.salt.Kg)}}})
}

// mineral is one that goes in.
type mineral struct {
	place  int // in the order's products
	amount float64
	litres float64 // of water that it is dissolved in; zero: a liquid
	known  bool    // how well it dissolves
}

// putMinerals writes a step for each, what raises alkalinity last.
func (b *batch) putMinerals() {
	var in []mineral
	for i, place := range b.places {
		if len(b.weighed.Amounts) > i && b.weighed.Amounts[i] > 0 {
			m := mineral{place: place, amount: b.weighed.Amounts[i]}
			m.litres, m.known = b.jug(place, m.amount)
			in = append(in, m)
		}
	}
	sort.SliceStable(in, func(i, j int) bool { return !b.basic(in[i]) && b.basic(in[j]) })
	first := len(b.made.Steps) + 1
	for i, m := range in {
		b.add(b.mineralStep(m, in[:i], first))
	}
}

func (b *batch) basic(m mineral) bool {
	e, err := b.order.Products[m.place].Contents.Effects()
	return err == nil && e[chem.Alkalinity] > 0
}

// jugTemperature is that of the water in which minerals are dissolved, in °C.
const jugTemperature = 20

// jug is how much of the water a solid is dissolved in: at half of its solubility,
// one litre at least.
func (b *batch) jug(place int, grams float64) (litres float64, known bool) {
	p := b.order.Products[place].Contents
	if p.Form != chem.Solid {
		return 0, true
	}
	known = len(p.Ingredients) > 0
	least := min(1, b.made.Litres/10)
	for _, in := range p.Ingredients {
		c, ok := chem.Compound(in.Compound)
		if !ok {
			return least, false
		}
		at, err := c.SolubilityAt(jugTemperature)
		if err != nil {
			known = false
			continue
		}
		least = max(least, math.Ceil(2*grams*in.Amount/at*2)/2)
	}
	return least, known
}

func (b *batch) mineralStep(m mineral, before []mineral, first int) Step {
	p := b.order.Products[m.place]
	step := Step{Title: words.Text(p.Name), Amount: words.T("%.*f %s", b.decimals(), m.amount, p.Unit())}
	note := func(t words.Text) { step.Notes = append(step.Notes, t) }
	switch {
	case m.litres > b.made.Litres:
		note(words.T("It takes %s to dissolve, more than the batch: it stays cloudy, or makes the water only slowly.", b.litres(m.litres)))
	case m.litres > 0 && m.known:
		note(words.T("Powder into %s of this water, stirred until it is clear; then into the vat.", b.litres(m.litres)))
	case m.litres > 0:
		note(words.T("Powder into %s or more of this water, stirred until it is clear; how well it dissolves is not known.",
			b.litres(m.litres)))
	}
	for i, other := range before {
		if why, clash := b.clash(m, other); clash {
			note(words.T("Never in one jug with step %d: %s.", first+i, why))
		}
	}
	for _, c := range p.Contents.Cautions() {
		note(c)
	}
	if p.Caution != "" {
		note(words.Text(p.Caution))
	}
	b.noteStock(p.Stock, m.amount, p.Unit(), note)
	if share := b.order.readable() / math.Sqrt(12) / m.amount; share > strengthDoubt && m.litres > 0 {
		note(words.T("With a balance that shows %g %s this is known to %.0f %%. Weigh more, dissolve it and use a part.",
			b.order.readable(), p.Unit(), 100*share))
	} else if share > strengthDoubt {
		note(words.T("Read to %g %s this is known to %.0f %%. Use a finer syringe.", b.order.readable(), p.Unit(), 100*share))
	}
	step.How = b.howMuch(m)
	return step
}

func (b *batch) noteStock(stock, amount float64, unit string, note func(words.Text)) {
	all := amount * float64(b.made.Batches)
	switch {
	case stock <= 0:
		note("How much is left is not known.")
	case all >= stock:
		note(words.T("That is all there is: %.0f %s left on the shelf.", stock, unit))
	default:
		note(words.T("%.0f %s left on the shelf.", stock, unit))
	}
}

func (b *batch) decimals() int { return int(max(0, math.Ceil(-math.Log10(b.order.readable())-1e-9))) }

// clash tells what happens when two minerals meet in one jug.
func (b *batch) clash(x, y mineral) (words.Text, bool) {
	together := chem.Product{Form: chem.Liquid}
	litres := max(x.litres, y.litres, 1)
	for _, m := range []mineral{x, y} {
		p := b.order.Products[m.place].Contents
		perUnit := 1.0 // g of ingredient for a share
		if p.Form == chem.Liquid {
			perUnit = 1.0 / 1000
		}
		for _, in := range p.Ingredients {
			together.Ingredients = append(together.Ingredients, chem.Ingredient{Compound: in.Compound,
				Amount: in.Amount * perUnit * m.amount / litres})
		}
	}
	recipe, err := together.Stock(1, jugTemperature)
	if err != nil || len(recipe.Clashes) == 0 {
		return "", false
	}
	return recipe.Clashes[0].Why, true
}

// howMuch shows the arithmetic of an amount: what it gives of each goal, from what
// the waters have.
func (b *batch) howMuch(m mineral) []HowLine {
	p := b.order.Products[m.place]
	e, err := p.Contents.Effects()
	if err != nil {
		return nil
	}
	var out []HowLine
	for _, g := range b.minerals.Goals {
		if e[g.Analyte] == 0 {
			continue
		}
		info, _ := chem.Lookup(g.Analyte)
		u := b.order.Unit(g.Analyte)
		one, err := chem.ConvertDelta(g.Analyte, info.Low, e[g.Analyte], info.Unit, u, chem.Water{})
		if err != nil {
			continue
		}
		out = append(out, b.blendHow(g.Analyte), HowLine{words.T("%s rises", g.Analyte),
			words.T("%.*f %s × %.5g %s ÷ %.1f L", b.decimals(), m.amount, p.Unit(), one, u, b.made.Litres),
			b.order.value(g.Analyte, e[g.Analyte]*m.amount/b.made.Litres)})
	}
	return out
}

// blendHow shows how what the waters have adds up.
func (b *batch) blendHow(a chem.Analyte) HowLine {
	var sums []words.Text
	u := b.order.Unit(a)
	for _, p := range b.made.Portions {
		sums = append(sums, words.T("%.1f × %s", p.Litres, chem.Format(a, b.order.Sources[p.Source].analysis()[a], u, chem.Water{})))
	}
	return HowLine{words.T("%s before", a), words.T("(%s) ÷ %.1f", words.Join(sums, " + "), b.made.Blend.Litres),
		b.order.value(a, b.made.Blend.Water[a])}
}

// check ends the work with a reading that shows a wrong weight or volume.
func (b *batch) check() {
	m := b.made
	if psu := m.After[chem.Salinity]; psu > saltWater {
		step := Step{Title: "Measure the salinity once it is clear", Amount: b.order.value(chem.Salinity, psu)}
		step.Notes = []words.Text{"The meter and the label decide, not this sum."}
		if mScm, err := seawater.ConductivityFromSalinity(psu, 25); err == nil {
			step.Notes = append(step.Notes, words.T("That is %.1f mS/cm at 25 °C.", mScm))
		}
		b.add(step)
		return
	}
	v, known := m.After[chem.Conductivity]
	if !known {
		b.add(Step{Title: "Air for 2 hours, stirred, then test what was asked for", Notes: b.notToldWhy()})
		return
	}
	const about95 = 2
	u := about95 * m.U[chem.Conductivity]
	unit := b.order.Unit(chem.Conductivity)
	at := func(x float64) words.Text { return chem.Format(chem.Conductivity, x, unit, chem.Water{}) }
	b.add(Step{Title: "Air for 2 hours, stirred, then read the conductivity", Amount: words.T("%s ± %s %s", at(v), at(u), unit),
		Notes: []words.Text{words.T("Outside %s to %s a weight or a volume is wrong: do not use it. Read pH only now.",
			at(max(0, v-u)), at(v+u))}})
}

func (b *batch) notToldWhy() []words.Text {
	if len(b.made.Doses) > 0 {
		_, err := chem.ConductivityWith(0, b.made.Litres, b.made.Doses...)
		if errors.Is(err, chem.ErrSalts) {
			return []words.Text{"The label does not say which salts it holds, so the conductivity cannot be told beforehand: note what you " +
				"measure, it is the check of the next batch."}
		}
	}
	return []words.Text{"The conductivity of the waters was never measured, so it cannot check the work."}
}
