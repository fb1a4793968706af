package chem

import (
	"cmp"
	"math"
	"slices"

	"weirkeeper/assets/words"
)

// Weighed is a compound of a recipe and how much of it to weigh out.
type Weighed struct {
	Compound CompoundInfo
	Grams    float64
	// Dissolves is how many g/L stay dissolved at the recipe's coldest
	// temperature, the compound alone in pure water; zero: not known, or mixes
	// freely.
	Dissolves float64
	// GramsPerLitre is the strength of the finished solution.
	GramsPerLitre float64
}

// Settles tells whether the compound would fall out at the coldest
// temperature.
func (w Weighed) Settles() bool { return w.Dissolves > 0 && w.GramsPerLitre > w.Dissolves }

// Recipe is how to make a stock solution.
type Recipe struct {
	Litres  float64
	Coldest float64   // °C at which it must stay clear
	Weigh   []Weighed // in the order of mixing
	// WaterAtFirst is the litres of pure water to begin with; then the vessel is
	// filled up to Litres.
	WaterAtFirst float64
	Density      float64 // estimated, kg/L of the finished solution
	// Warming is about how much the solution would warm if all were put in at
	// once and no heat were lost, °C; below zero it cools. Its size is fit to be
	// shown only when WarmingKnown: the heats of all its compounds are published.
	Warming      float64
	WarmingKnown bool
	Clashes      []Clash
	Cautions     []words.Text
}

// Stays tells whether the solution stays clear: nothing settles and no ions
// clash.
func (r Recipe) Stays() bool {
	return len(r.Clashes) == 0 && !slices.ContainsFunc(r.Weigh, Weighed.Settles)
}

// hotSolution is the warming in °C from which a recipe must warn of heat.
const hotSolution = 15

const cautionHotStock = "The solution gets hot: use a vessel that bears heat, add in small portions with stirring, never close it " +
	"while it is warm." + cautionLabel

// Stock returns how to make litres of the liquid product, above zero, from its
// ingredients, to stay clear down to coldest, 0 to 40 °C. What warms the water
// goes in first, into cold water, as the heat helps the rest; acids go last. It
// needs the product's ingredients. The error says what is missing or wrong.
func (p Product) Stock(litres, coldest float64) (Recipe, error) {
	if err := checkLitres("a stock of", litres); err != nil {
		return Recipe{}, err
	}
	switch {
	case p.Form != Liquid || len(p.Ingredients) == 0:
		return Recipe{}, words.Errorf("only a liquid that is described by its compounds can be made: give grams per litre of each")
	case !(coldest >= coldestSolubility && coldest <= hottestSolubility):
		return Recipe{}, RangeError{Quantity: "temperature", Value: coldest, Low: coldestSolubility, High: hottestSolubility, Unit: "°C"}
	}
	if _, err := p.Effects(); err != nil {
		return Recipe{}, err
	}
	r := Recipe{Litres: litres, Coldest: coldest, Cautions: p.Cautions()}
	for _, in := range p.Ingredients {
		c, _ := Compound(in.Compound)
		w := Weighed{Compound: c, Grams: in.Amount * litres, GramsPerLitre: in.Amount}
		if limit, err := c.SolubilityAt(coldest); err == nil {
			w.Dissolves = limit
		}
		r.Weigh = append(r.Weigh, w)
	}
	slices.SortStableFunc(r.Weigh, func(a, b Weighed) int {
		return cmp.Or(cmp.Compare(a.rank(), b.rank()), cmp.Compare(b.Grams, a.Grams))
	})
	r.setWater()
	r.Clashes = clashes(p)
	if r.Warming > hotSolution {
		r.Cautions = append(r.Cautions, cautionHotStock)
	}
	return r, nil
}

// rank orders mixing: what warms, what cools or does neither, acids.
func (w Weighed) rank() int {
	switch {
	case w.Compound.AlkPerMol < 0:
		return 2
	case w.Compound.HeatOfSolution < 0:
		return 0
	}
	return 1
}

// setWater estimates density, warming and the water to begin with. A recipe
// stronger than its salts dissolve has no such solution, and the estimate is
// then the slurry's.
func (r *Recipe) setWater() {
	var grams, crystal, heat float64 // per litre: as weighed, crystal water in it, kJ set free
	for _, w := range r.Weigh {
		grams += w.GramsPerLitre
		crystal += w.GramsPerLitre * (1 - w.Compound.anhydrousShare())
		heat -= w.GramsPerLitre / w.Compound.Formula.MolarMass() * w.Compound.HeatOfSolution
	}
	// ρ = ρ0·exp(Σ k·w) with w = g/(1000·ρ) settles within a few rounds.
	r.Density = waterDensity20
	for range 30 {
		var k float64
		for _, w := range r.Weigh {
			share := w.GramsPerLitre * w.Compound.anhydrousShare() / (1000 * r.Density)
			k += thickening(w.Compound) * min(share, 1)
		}
		r.Density = waterDensity20 * math.Exp(k)
	}
	const heatCapacity = 4.18 // kJ/(kg·K), of water
	water := max(0, 1000*r.Density-grams)
	r.WarmingKnown = !slices.ContainsFunc(r.Weigh, func(w Weighed) bool { return w.Compound.HeatSource == "" })
	r.Warming = heat / (heatCapacity * (water + crystal) / 1000)
	if water+crystal == 0 {
		r.Warming = 0
	}
	const atFirst = 0.8
	r.WaterAtFirst = atFirst * water / 1000 / waterDensity20 * r.Litres
}

// usualThickening stands for compounds that are not in the table.
const usualThickening = 0.8

func thickening(c CompoundInfo) float64 {
	if t, ok := solubilities[c.anhydrous()]; ok {
		return t.thickening
	}
	return usualThickening
}
