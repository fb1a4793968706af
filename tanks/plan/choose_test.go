package plan

import (
	"testing"

	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// with is a liquid of several compounds.
func mix(id tanks.ProductID, name string, ingredients ...chem.Ingredient) tanks.Product {
	p := liquid(id, name, ingredients[0].Compound, ingredients[0].Amount)
	p.Contents.Ingredients = ingredients
	return p
}

// The liquid that does the least besides is taken, a retired one never, a solid
// only where there is no liquid, and what a person chose before all.
func TestChoose(t *testing.T) {
	both := mix(4, "Calcium and magnesium", chem.Ingredient{Compound: "CaCl2·2H2O", Amount: 300},
		chem.Ingredient{Compound: "MgCl2·6H2O", Amount: 600})
	dry := solid(5, "Dry calcium chloride", "CaCl2·2H2O")
	retired := calcium
	retired.ID, retired.Retired = 6, true
	for _, c := range []struct {
		name   string
		shelf  []tanks.Product
		chosen tanks.ProductID
		want   tanks.ProductID
	}{
		{"the only one", []tanks.Product{calcium}, 0, 1},
		{"the purer one, though weaker and last", []tanks.Product{both, calcium}, 0, 1},
		{"the purer one, first", []tanks.Product{calcium, both}, 0, 1},
		{"a liquid before a purer solid", []tanks.Product{dry, both}, 0, 4},
		{"a solid where nothing else is", []tanks.Product{bicarbonate, dry}, 0, 5},
		{"a retired one never", []tanks.Product{retired, both}, 0, 4},
		{"not even when it is chosen", []tanks.Product{retired, both}, 6, 4},
		{"the chosen one", []tanks.Product{calcium, both, dry}, 4, 4},
		{"the chosen solid", []tanks.Product{calcium, both, dry}, 5, 5},
		{"a choice that does not raise it is none", []tanks.Product{bicarbonate, calcium}, 2, 1},
		{"nothing raises it", []tanks.Product{bicarbonate, magnesium}, 0, 0},
		{"the first of two alike", []tanks.Product{liquid(7, "A", "CaCl2·2H2O", 268), liquid(8, "B", "CaCl2·2H2O", 268)}, 0, 7},
	} {
		t.Run(c.name, func(t *testing.T) {
			opt := options()
			opt.Products, opt.Chosen = c.shelf, map[chem.Analyte]tanks.ProductID{chem.Calcium: c.chosen}
			p, effect := choose(chem.Calcium, opt)
			if p.ID != c.want || (effect > 0) != (c.want != 0) {
				t.Errorf("it takes %d with an effect of %g, want %d", p.ID, effect, c.want)
			}
		})
	}
}

// Another product for one line leaves the other choices as they are.
func TestWithProduct(t *testing.T) {
	strong := liquid(4, "Strong calcium stock", "CaCl2·2H2O", 536)
	opt := options()
	opt.Products = append(shelf(), strong)
	opt.Chosen = map[chem.Analyte]tanks.ProductID{chem.Alkalinity: 2}
	in := input(341, []tanks.Band{calciumBand}, 388)
	first := one(t, in, opt)
	if first.Product.ID != 1 || first.Daily != 75 {
		t.Fatalf("by itself it takes %d, %g mL", first.Product.ID, first.Daily)
	}
	// Twice as strong: 149.35 / 2 mL in two days, 37.3 a day.
	opt.Chosen[chem.Calcium] = 4
	l := one(t, in, opt)
	if l.Product.ID != 4 || l.Daily != 37 || l.Days != 2 {
		t.Errorf("with the strong one it gives %g mL of %d on %d days", l.Daily, l.Product.ID, l.Days)
	}
	near(t, "after", l.After, 388+2*37*2*73.0634/341, 0.01)
}
