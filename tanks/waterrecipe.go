package tanks

import (
	"fmt"
	"strings"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
)

// WaterRecipe says how a water is made again.
type WaterRecipe struct {
	ID     WaterRecipeID
	Name   string   // unique in the room regardless of case
	For    SystemID // whose bands gave the goals; zero: none
	Litres float64
	// Portions are the waters that go into it, in their order.
	Portions []RecipePortion
	Goals    []RecipeGoal
	// CalciumToMagnesium is the ratio by mass that is asked for besides; zero: any.
	CalciumToMagnesium float64
	// Products are what the water may be remineralised with, in their order.
	Products []ProductID
	// Air is the carbon dioxide in the room's air in ppm when dry; zero: outdoor air.
	Air float64
}

// RecipePortion is a water that goes into a recipe.
type RecipePortion struct {
	Source SystemID
	Litres float64 // zero: as the goals ask
}

// RecipeGoal is what a recipe's water is to hold.
type RecipeGoal struct {
	Analyte chem.Analyte
	Value   float64 // canonical
	AtMost  bool    // less is as good
}

// mostAir is the most carbon dioxide that air may hold where people work for a quarter
// of an hour, in ppm: the short-term limit of the NIOSH Pocket Guide to Chemical
// Hazards.
const mostAir = 30000

// Validate returns Faults, nil when r can be saved. Fields: "name", "litres",
// "portions", "portions.N.source", "portions.N.litres", "goals.N.analyte",
// "goals.N.value", "ratio", "products.N" and "air", with N counted from 0.
func (r WaterRecipe) Validate() error {
	var fs Faults
	if strings.TrimSpace(r.Name) == "" {
		fs.add("name", "The recipe has no name", "name it after the water that it makes")
	}
	if !(r.Litres > 0) || !finite(r.Litres) {
		fs.add("litres", words.T("%g L of water cannot be made", r.Litres), "give litres above zero")
	}
	r.validatePortions(&fs)
	r.validateGoals(&fs)
	if r.CalciumToMagnesium < 0 || !finite(r.CalciumToMagnesium) {
		fs.add("ratio", "The ratio of calcium to magnesium is negative", "give more than zero, or leave it empty for any")
	}
	seen := map[ProductID]bool{}
	for i, p := range r.Products {
		switch field := fmt.Sprintf("products.%d", i); {
		case p == 0:
			fs.add(field, "A product is not chosen", "choose one from the shelf, or take the line away")
		case seen[p]:
			fs.add(field, "A product stands there twice", "keep one of them")
		}
		seen[p] = true
	}
	if !(r.Air >= 0) || r.Air > mostAir {
		fs.add("air", words.T("Air with %g ppm of carbon dioxide cannot be", r.Air),
			words.T("give up to %d ppm, or leave it empty for outdoor air", mostAir))
	}
	return fs.Err()
}

func (r WaterRecipe) validatePortions(fs *Faults) {
	if len(r.Portions) == 0 {
		fs.add("portions", "The recipe has no water", "choose a source, such as tap water")
	}
	var sum float64
	seen := map[SystemID]bool{}
	for i, p := range r.Portions {
		field := fmt.Sprintf("portions.%d.", i)
		switch {
		case p.Source == 0:
			fs.add(field+"source", "A water is not chosen", "choose a source, or take the line away")
		case seen[p.Source]:
			fs.add(field+"source", "A water stands there twice", "keep one of them")
		}
		seen[p.Source] = true
		if p.Litres < 0 || !finite(p.Litres) {
			fs.add(field+"litres", words.T("%g L of a water cannot be", p.Litres),
				"give litres, or leave them empty for what the goals ask")
			continue
		}
		sum += p.Litres
	}
	const dust = 1e-9
	if r.Litres > 0 && sum > r.Litres*(1+dust) {
		fs.add("litres", words.T("The waters are %g L, more than the %g L that are made", sum, r.Litres),
			"give more litres, or less of a water")
	}
}

func (r WaterRecipe) validateGoals(fs *Faults) {
	seen := map[chem.Analyte]bool{}
	for i, g := range r.Goals {
		field := fmt.Sprintf("goals.%d.", i)
		info, ok := chem.Lookup(g.Analyte)
		switch {
		case !ok:
			fs.add(field+"analyte", "The analyte is not in the catalogue", "choose one from the list")
			continue
		case seen[g.Analyte]:
			fs.add(field+"analyte", words.T("%s has two goals", g.Analyte), "keep one of them")
		}
		seen[g.Analyte] = true
		if !(g.Value >= info.Low) || g.Value > info.High {
			fs.add(field+"value", words.T("%s of %g %s is outside what can be (%g to %g)", g.Analyte, g.Value, info.Unit, info.Low,
				info.High),
				"check the number and its unit")
		}
	}
}
