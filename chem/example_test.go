package chem_test

import (
	"fmt"

	"weirkeeper/chem"
)

// How many grams of calcium chloride dihydrate raise 100 L by 10 mg/L?
func ExampleAmount() {
	salt := chem.Product{Form: chem.Solid, Ingredients: []chem.Ingredient{{Compound: "CaCl2·2H2O", Amount: 1}}}
	effects, err := salt.Effects()
	if err != nil {
		fmt.Println(err)
		return
	}
	grams, err := chem.Amount(effects[chem.Calcium], 10, 100)
	fmt.Printf("%.3f g %v\n", grams, err)
	// Output: 3.668 g <nil>
}

func ExampleConvert() {
	dkh, err := chem.Convert(chem.Alkalinity, 3, chem.MeqL, chem.DKH, chem.Water{})
	fmt.Printf("%.2f dKH %v\n", dkh, err)
	// Output: 8.41 dKH <nil>
}

func ExampleParseNumber() {
	q, err := chem.ParseNumber("<0,02")
	fmt.Println(q.Limit, q.Value, err)
	_, err = chem.ParseNumber("8.3o")
	fmt.Println(err)
	// Output:
	// < 0.02 <nil>
	// "8.3o" has the character 'o', which is no part of a number: type digits with a point or a comma
}

func ExampleParseFormula() {
	f, err := chem.ParseFormula("Na2B4O7.10H2O")
	fmt.Printf("%.2f g/mol, %.1f %% boron, %v\n", f.MolarMass(), 100*f.MassFraction("B"), err)
	// Output: 381.36 g/mol, 11.3 % boron, <nil>
}

// What share of the water takes nitrate from 40 to 10 mg/L with clean water?
func ExampleShareFor() {
	share, err := chem.ShareFor(40, 10, 0)
	fmt.Printf("%.0f %% %v\n", 100*share, err)
	// Output: 75 % <nil>
}

// Two products, two aims, the first capped for a day.
func ExampleSolve() {
	s := chem.Solve(chem.BoxProblem{
		A:      [][]float64{{0.27, 0}, {0, 0.119}},
		Want:   []float64{40, 30},
		Weight: []float64{1.0 / 40, 1.0 / 100},
		Cap:    []float64{100, 500},
	})
	fmt.Printf("%.0f mL and %.0f mL, calcium %.0f mg/L short\n", s.X[0], s.X[1], -s.Residual[0])
	// Output: 100 mL and 252 mL, calcium 13 mg/L short
}
