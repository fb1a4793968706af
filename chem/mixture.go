package chem

import (
	"maps"
	"slices"

	"weirkeeper/assets/words"
)

// LiquidByMass describes a liquid whose ingredients are given as shares of its
// mass, 0 to 1 (w/w), by its density in kg/L, 0.5 to 3: grams per litre are
// 1000·share·density. The error is a [RangeError] or says what is wrong.
func LiquidByMass(shares []Ingredient, density float64) (Product, error) {
	if !(density >= 0.5 && density <= 3) {
		return Product{}, RangeError{Quantity: "density", Value: density, Low: 0.5, High: 3, Unit: "kg/L"}
	}
	if _, err := (Product{Form: Solid, Ingredients: shares}).Effects(); err != nil {
		return Product{}, err
	}
	p := Product{Form: Liquid, Ingredients: slices.Clone(shares)}
	for i := range p.Ingredients {
		p.Ingredients[i].Amount *= 1000 * density
	}
	return p, nil
}

// Part is an amount of a product in a mixture, in g of a solid or mL of a
// liquid.
type Part struct {
	Product Product
	Amount  float64
}

// Mix returns the product that parts make, all solid or all liquid: a mL (or g)
// of it does what its parts do. Volumes are taken to add up, which in strong
// solutions is wrong by a per cent or two. Whether the parts bear one another,
// [Product.Stock] tells. The error says which part is wrong.
func Mix(parts ...Part) (Product, error) {
	if len(parts) == 0 {
		return Product{}, words.Errorf("a mixture of nothing: give its parts")
	}
	var total float64
	for i, part := range parts {
		switch {
		case part.Product.Form != parts[0].Product.Form:
			return Product{}, words.Errorf("part %d is measured in %s and the first in %s: mix solids with solids and liquids with liquids",
				i+1, part.Product.AmountUnit(), parts[0].Product.AmountUnit())
		case !(part.Amount > 0) || !finite(part.Amount):
			return Product{}, words.Errorf("part %d has the amount %g: give a number above zero", i+1, part.Amount)
		}
		total += part.Amount
	}
	mixed := Product{Form: parts[0].Product.Form}
	effects, labelled := Effects{}, map[Analyte]bool{}
	for i, part := range parts {
		e, err := part.Product.Effects()
		if err != nil {
			return Product{}, words.Errorf("part %d: %w", i+1, err)
		}
		share := part.Amount / total
		for a, v := range e {
			effects[a] += v * share
		}
		for _, s := range part.Product.Label {
			labelled[s.Analyte] = true
		}
		mixed.addShare(part.Product.Ingredients, share)
	}
	for _, a := range slices.Sorted(maps.Keys(labelled)) {
		mixed.Label = append(mixed.Label, Strength{Analyte: a, Amount: 1, Litres: 1, Raises: effects[a]})
	}
	return mixed, nil
}

// addShare adds ingredients, joining those that are there already.
func (p *Product) addShare(ingredients []Ingredient, share float64) {
	for _, in := range ingredients {
		i := slices.IndexFunc(p.Ingredients, func(x Ingredient) bool { return x.Compound == in.Compound })
		if i < 0 {
			p.Ingredients = append(p.Ingredients, Ingredient{in.Compound, in.Amount * share})
			continue
		}
		p.Ingredients[i].Amount += in.Amount * share
	}
}
