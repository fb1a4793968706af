package making

import (
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// UsualReadable is what a shelf's balance shows in g, and a cylinder in mL, where it
// is not said (common practice, no source).
const UsualReadable = 0.1

func (o Order) readable() float64 {
	if o.Readable > 0 {
		return o.Readable
	}
	return UsualReadable
}

func (o Order) rounded(amount float64) float64 {
	return math.Round(amount/o.readable()) * o.readable()
}

// saltWater is the salinity in PSU from which a water is salt water, not fresh.
const saltWater = 2

// remineralise finds what is put in of the chosen minerals, as it is weighed.
func (b *batch) remineralise() error {
	m := b.made
	m.After = maps.Clone(m.Blend.Water)
	if b.salt.Kg > 0 {
		b.withSalt()
		return nil
	}
	if psu, known := m.Blend.Water[chem.Salinity]; known && psu > saltWater {
		delete(m.After, chem.Conductivity) // which does not mix by volume there
	}
	b.minerals = chem.Minerals{Water: m.Blend.Water, Litres: m.Litres, CalciumToMagnesium: b.order.CalciumToMagnesium,
		Purified: !slices.ContainsFunc(m.Portions, func(p Portion) bool { return !b.order.Sources[p.Source].Purified })}
	for i, p := range b.order.Products {
		if TakesChlorine(p.Contents) {
			continue
		}
		b.places = append(b.places, i)
		b.minerals.Products = append(b.minerals.Products, p.Contents)
		b.minerals.Most = append(b.minerals.Most, p.Stock/float64(m.Batches))
	}
	b.minerals.Goals = b.goalsOfMinerals()
	if len(b.places) == 0 || len(b.minerals.Goals) == 0 && b.order.CalciumToMagnesium == 0 {
		return b.nothingToAdd()
	}
	if len(b.minerals.Goals) == 0 {
		return tanks.Faults{{Field: FieldRatio, Problem: "A ratio alone does not say how much",
			Remedy: "give a goal for hardness, calcium or magnesium"}}
	}
	solved, err := b.minerals.Solve()
	if err != nil {
		return b.wrongMinerals(err)
	}
	amounts := make([]float64, len(solved.Amounts))
	for i, x := range solved.Amounts {
		amounts[i] = b.order.rounded(x)
	}
	if b.weighed, err = b.minerals.With(amounts); err != nil {
		return b.wrongMinerals(err)
	}
	for i, x := range amounts {
		if x > 0 {
			m.Doses = append(m.Doses, chem.Dosed{Product: b.minerals.Products[i], Amount: x})
		}
	}
	m.After = b.weighed.Water
	for _, a := range b.weighed.Unmeasured {
		if !slices.Contains(m.Unmeasured, a) {
			m.Unmeasured = append(m.Unmeasured, a)
		}
	}
	b.setConductivity()
	return nil
}

// nothingToAdd is for a mix of waters alone.
func (b *batch) nothingToAdd() error {
	if len(b.places) > 0 && len(b.order.Goals) > 0 {
		return tanks.Faults{{Field: fmt.Sprintf("product.%d", b.places[0]), Problem: "No goal is given that what was chosen brings",
			Remedy: "give a goal that it raises, or take it away"}}
	}
	return nil
}

// goalsOfMinerals are the goals that the chosen minerals raise. What waters alone
// give, a caution at most or a temperature, is not for them.
func (b *batch) goalsOfMinerals() []chem.Goal {
	var out []chem.Goal
	for _, g := range b.order.Goals {
		if g.AtMost || g.Analyte == chem.Temperature || !b.raised(g.Analyte) {
			continue
		}
		out = append(out, chem.Goal{Analyte: g.Analyte, Value: g.Value, Within: closeShare*math.Abs(g.Value) + closeLeast})
	}
	return out
}

func (b *batch) raised(a chem.Analyte) bool {
	return slices.ContainsFunc(b.places, func(i int) bool {
		p := b.order.Products[i]
		e, err := p.Contents.Effects()
		if a == chem.Salinity && !bringsSalt(p) {
			return false
		}
		return err == nil && (e[a] != 0 || a == chem.TDS)
	})
}

// wrongMinerals puts an error at the goal whose analyte is missing.
func (b *batch) wrongMinerals(err error) error {
	var missing *chem.MissingError
	if !errors.As(err, &missing) {
		return wrong(FieldSources, err)
	}
	a := missing.Missing[0]
	var codes []words.Text
	for _, p := range b.made.Portions {
		s := b.order.Sources[p.Source]
		if _, known := s.analysis()[a]; !known && !s.Purified {
			codes = append(codes, words.Text(s.Code))
		}
	}
	field := FieldRatio
	if _, asked := b.order.goal(a); asked {
		field = b.order.goalField(a)
	}
	return tanks.Faults{{Field: field, Problem: words.T("%s of %s was never measured", a, words.Join(codes, ", ")),
		Remedy: "test that water, or type its report on the Test sheet"}}
}

// setConductivity tells the conductivity with the minerals, where the salts are known.
func (b *batch) setConductivity() {
	before, known := b.made.Blend.Water[chem.Conductivity]
	if !known && !b.minerals.Purified {
		return
	}
	after, err := chem.ConductivityWith(before, b.made.Litres, b.made.Doses...)
	if err != nil {
		delete(b.made.After, chem.Conductivity)
		return
	}
	b.made.After[chem.Conductivity] = after
}

// missed are the goals that the water does not come near enough to; what is known of
// neither is not among them.
func (b *batch) missed() []chem.Missed {
	var out []chem.Missed
	for _, g := range b.order.Goals {
		got, known := b.made.After[g.Analyte]
		if !known || g.Analyte == chem.Temperature {
			continue
		}
		over, near := got-g.Value, b.order.closeTo(g.Analyte, g.Value)+b.byBalance(g.Analyte)
		if over > near || !g.AtMost && over < -near {
			out = append(out, chem.Missed{Goal: chem.Goal{Analyte: g.Analyte, Value: g.Value, Within: near}, Got: got})
		}
	}
	if r := b.order.CalciumToMagnesium; r > 0 {
		out = append(out, b.missedRatio(r)...)
	}
	return out
}

// byBalance is how far the rounding of what is weighed may lead away from a goal.
func (b *batch) byBalance(a chem.Analyte) float64 {
	var sum float64
	for _, d := range b.made.Doses {
		if e, err := d.Product.Effects(); err == nil {
			sum += math.Abs(e[a]) * b.order.readable() / 2 / b.made.Litres
		}
	}
	return sum
}

// missedRatio says calcium as the one that is off when the ratio is not met.
func (b *batch) missedRatio(ratio float64) []chem.Missed {
	calcium, magnesium := b.made.After[chem.Calcium], b.made.After[chem.Magnesium]
	const near = 0.05
	if magnesium > 0 && math.Abs(calcium/magnesium/ratio-1) <= near {
		return nil
	}
	want := ratio * magnesium
	return []chem.Missed{{Goal: chem.Goal{Analyte: chem.Calcium, Value: want, Within: near * want}, Got: calcium}}
}
