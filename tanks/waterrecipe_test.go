package tanks

import (
	"math"
	"testing"

	"weirkeeper/chem"
)

func TestWaterRecipeValidate(t *testing.T) {
	good := WaterRecipe{
		Name: "Soft water", Litres: 100, CalciumToMagnesium: 3, Air: 800,
		Portions: []RecipePortion{{Source: 1, Litres: 60}, {Source: 2, Litres: 40}},
		Goals:    []RecipeGoal{{Analyte: chem.Hardness, Value: 1}, {Analyte: chem.Nitrate, Value: 20, AtMost: true}},
		Products: []ProductID{3, 4},
	}
	portion := func(f func(*RecipePortion)) WaterRecipe {
		return with(good, func(r *WaterRecipe) { r.Portions = []RecipePortion{good.Portions[0], with(good.Portions[1], f)} })
	}
	goal := func(f func(*RecipeGoal)) WaterRecipe {
		return with(good, func(r *WaterRecipe) { r.Goals = []RecipeGoal{good.Goals[0], with(good.Goals[1], f)} })
	}
	for _, c := range []struct {
		name   string
		r      WaterRecipe
		fields string
	}{
		{"good", good, ""},
		{"a blend without goals", with(good, func(r *WaterRecipe) { r.Goals, r.Products, r.CalciumToMagnesium, r.Air = nil, nil, 0, 0 }),
			""},
		{"the rest as the goals ask", portion(func(p *RecipePortion) { p.Litres = 0 }), ""},
		{"no name", with(good, func(r *WaterRecipe) { r.Name = " " }), "name"},
		{"nothing to make", with(good, func(r *WaterRecipe) { r.Litres = 0 }), "litres"},
		{"litres of no number", with(good, func(r *WaterRecipe) { r.Litres = math.NaN() }), "litres"},
		{"no water", with(good, func(r *WaterRecipe) { r.Portions = nil }), "portions"},
		{"no source", portion(func(p *RecipePortion) { p.Source = 0 }), "portions.1.source"},
		{"a source twice", portion(func(p *RecipePortion) { p.Source = 1 }), "portions.1.source"},
		{"less than no water", portion(func(p *RecipePortion) { p.Litres = -1 }), "portions.1.litres"},
		{"more than is made", portion(func(p *RecipePortion) { p.Litres = 40.01 }), "litres"},
		{"no analyte", goal(func(g *RecipeGoal) { g.Analyte = 999 }), "goals.1.analyte"},
		{"a goal twice", goal(func(g *RecipeGoal) { g.Analyte = chem.Hardness }), "goals.1.analyte"},
		{"less than none", goal(func(g *RecipeGoal) { g.Value = -1 }), "goals.1.value"},
		{"value of no number", goal(func(g *RecipeGoal) { g.Value = math.NaN() }), "goals.1.value"},
		{"negative ratio", with(good, func(r *WaterRecipe) { r.CalciumToMagnesium = -1 }), "ratio"},
		{"a product twice", with(good, func(r *WaterRecipe) { r.Products = []ProductID{3, 3} }), "products.1"},
		{"no product", with(good, func(r *WaterRecipe) { r.Products = []ProductID{0} }), "products.0"},
		{"air that nobody breathes", with(good, func(r *WaterRecipe) { r.Air = 30001 }), "air"},
		{"negative air", with(good, func(r *WaterRecipe) { r.Air = -1 }), "air"},
	} {
		t.Run(c.name, func(t *testing.T) { wantFaults(t, c.r.Validate(), c.fields) })
	}
}
