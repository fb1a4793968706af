package chem_test

import (
	"fmt"

	"weirkeeper/chem"
	"weirkeeper/chem/seawater"
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

// One kit reads phosphate, the other phosphorus.
func ExampleCanonical() {
	po4, _ := chem.Canonical(chem.Phosphate, 0.05, chem.MgL, chem.Water{})
	p, err := chem.Canonical(chem.Phosphate, 10, chem.UgPO4P, chem.Water{})
	fmt.Printf("%.3f and %.3f mg/L %v\n", po4, p, err)
	_, err = chem.Canonical(chem.PH, 82, chem.PHUnit, chem.Water{})
	fmt.Println(err)
	// Output:
	// 0.050 and 0.031 mg/L <nil>
	// pH is 82 pH, outside 3 to 11 pH: check the value and its unit
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

// A reef at 8 dKH and pH 8.2 on a meter set with NBS buffers.
func ExampleAnalysis_Carbonates() {
	water := chem.Analysis{chem.Salinity: 35, chem.Temperature: 25, chem.PH: 8.2, chem.Calcium: 420}
	water[chem.Alkalinity], _ = chem.Canonical(chem.Alkalinity, 8, chem.DKH, chem.Water{})
	c, err := water.Carbonates(chem.Conventions{Scale: seawater.NBSScale})
	fmt.Printf("aragonite saturation %.1f, %.0f µatm CO2, %v\n", c.OmegaAragonite, c.PCO2, err)
	delete(water, chem.PH)
	_, err = water.Carbonates(chem.Conventions{Scale: seawater.NBSScale})
	fmt.Println(err)
	// Output:
	// aragonite saturation 4.2, 462 µatm CO2, <nil>
	// the carbon dioxide system needs pH: measure it in the same water
}

// Free carbon dioxide and the Langelier index of a planted tank's water.
func ExampleCarbonates_SaturationIndex() {
	water := chem.Analysis{chem.Conductivity: 350, chem.Temperature: 25, chem.Alkalinity: 1.8, chem.PH: 6.8, chem.Calcium: 40}
	c, err := water.Carbonates(chem.Conventions{Scale: seawater.NBSScale})
	fmt.Printf("%.0f mg/L CO2, index %+.1f, %v\n", c.CO2, c.SaturationIndex(), err)
	// Output: 26 mg/L CO2, index -1.0, <nil>
}

// The same alkalinity as bicarbonate and as hydroxide moves pH differently.
func ExampleAnalysis_Response() {
	water := chem.Analysis{chem.Salinity: 35, chem.Temperature: 25, chem.Alkalinity: 2.5, chem.PH: 8.1, chem.Calcium: 420}
	for _, compound := range []string{"NaHCO3", "NaOH"} {
		p := chem.Product{Form: chem.Solid, Ingredients: []chem.Ingredient{{Compound: compound, Amount: 1}}}
		effects, _ := p.Effects()
		grams, _ := chem.Amount(effects[chem.Alkalinity], 0.3, 200)
		dose, _ := p.AlkalinityDose(grams, 200)
		r, err := water.Response(dose, chem.AirCO2, chem.Conventions{Scale: seawater.NBSScale})
		fmt.Printf("%.1f g %s: pH %.2f to %.2f at once, %.2f in air, %v\n", grams, compound, r.Before.PH, r.AtOnce.PH, r.Aired.PH, err)
	}
	// Output:
	// 5.0 g NaHCO3: pH 8.10 to 8.06 at once, 8.23 in air, <nil>
	// 2.4 g NaOH: pH 8.10 to 8.46 at once, 8.23 in air, <nil>
}

// How much of the ammonia harms fish?
func ExampleAnalysis_UnionizedAmmonia() {
	quarantine := chem.Analysis{chem.Salinity: 0.3, chem.Temperature: 26, chem.PH: 7.8, chem.Ammonia: 0.5}
	u, err := quarantine.UnionizedAmmonia(chem.Conventions{Scale: seawater.NBSScale})
	fmt.Printf("%.1f %%, %.3f mg/L NH3, %v\n", 100*u.Share, u.MgL, err)
	// Output: 3.3 %, 0.016 mg/L NH3, <nil>
}

// Does a laboratory's list of ions add up?
func ExampleAnalysis_ChargeBalance() {
	lab := chem.Analysis{
		chem.Sodium: 10800, chem.Magnesium: 1290, chem.Calcium: 420, chem.Potassium: 400,
		chem.Chloride: 19400, chem.Sulfate: 2700, chem.Alkalinity: 2.6,
	}
	b, err := lab.ChargeBalance()
	fmt.Printf("%.0f and %.0f meq/L, %+.1f %%, sound: %v, %v\n", b.Cations, b.Anions, b.Difference(), b.Sound(), err)
	// Output: 607 and 606 meq/L, +0.1 %, sound: true, <nil>
}

// What does a water lack against the sea of its own salinity?
func ExampleAnalysis_AgainstSeawater() {
	water := chem.Analysis{chem.Salinity: 33, chem.Calcium: 380, chem.Potassium: 400}
	departures, err := water.AgainstSeawater()
	for _, d := range departures {
		fmt.Printf("%s %+.0f mg/L\n", d.Analyte, d.Excess())
	}
	fmt.Println(err)
	// Output:
	// Calcium -17 mg/L
	// Potassium +15 mg/L
	// <nil>
}

// Five litres of a bicarbonate stock that must not settle in a cold cellar.
func ExampleProduct_Stock() {
	soda := chem.Product{Form: chem.Liquid, Ingredients: []chem.Ingredient{{Compound: "NaHCO3", Amount: 85}}}
	r, err := soda.Stock(5, 10)
	w := r.Weigh[0]
	fmt.Printf("%.0f g %s into %.1f L, fill up to %.0f L, %v\n", w.Grams, w.Compound.Name, r.WaterAtFirst, r.Litres, err)
	fmt.Printf("settles at 10 °C: %v, as %.0f g/L stay dissolved\n", w.Settles(), w.Dissolves)
	// Output:
	// 425 g sodium bicarbonate into 3.9 L, fill up to 5 L, <nil>
	// settles at 10 °C: true, as 80 g/L stay dissolved
}

// Acid of 31.45 % by mass: how much alkalinity does a mL take?
func ExampleLiquidByMass() {
	acid, err := chem.LiquidByMass([]chem.Ingredient{{Compound: "HCl", Amount: 0.3145}}, 1.16)
	effects, _ := acid.Effects()
	fmt.Printf("%.1f meq, %v\n", effects[chem.Alkalinity], err)
	// Output: -10.0 meq, <nil>
}

// What share of the water takes nitrate from 40 to 10 mg/L with clean water?
func ExampleShareFor() {
	share, err := chem.ShareFor(40, 10, 0)
	fmt.Printf("%.0f %% %v\n", 100*share, err)
	// Output: 75 % <nil>
}

// The same by a steady drip: how often must the volume run through?
func ExampleTurnoverFor() {
	turnover, err := chem.TurnoverFor(40, 10, 0)
	fmt.Printf("%.2f volumes %v\n", turnover, err)
	// Output: 1.39 volumes <nil>
}

// A vat of 500 L at 35 PSU and 25 °C from RO/DI, of a mix with 12 % moisture.
func ExampleSeaSalt_Batch() {
	b, err := chem.SeaSalt{Moisture: 0.12}.Batch(500, 35, 25, 0)
	fmt.Printf("%.2f kg of salt in %.1f L %v\n", b.SaltKg, b.WaterLitres, err)
	// Output: 20.45 kg of salt in 492.7 L <nil>
}

// Salinity has crept to 36.5: how much water is swapped for pure water?
func ExampleSwapForSalinity() {
	litres, err := chem.SwapForSalinity(800, 36.5, 35, 0, 25)
	fmt.Printf("%.1f L %v\n", litres, err)
	// Output: 33.7 L <nil>
}

// A top-off water with 15 mg/L of nitrate, 8 L a day in 600 L.
func ExampleTopOff_Settles() {
	t := chem.TopOff{Litres: 600, Daily: 8, DailyChange: 0.02, Source: chem.Analysis{chem.Nitrate: 15},
		Change: chem.Analysis{chem.Nitrate: 0}}
	end, err := t.Settles()
	fmt.Printf("nitrate comes to %.0f mg/L %v\n", end[chem.Nitrate], err)
	// Output: nitrate comes to 10 mg/L <nil>
}

// 3000 mg of calcium raised the reading from 420 to 430 mg/L.
func ExampleKnownAddition_Volume() {
	k := chem.KnownAddition{Mass: 3000, MassUncertainty: 15, Before: 420, BeforeScatter: 0.5, After: 430, AfterScatter: 0.5}
	litres, u, err := k.Volume()
	fmt.Printf("%.0f L ± %.0f L %v\n", litres, u, err)
	// Output: 300 L ± 21 L <nil>
}

// A system that used 0.4 meq/L of alkalinity for skeletons used calcium too.
func ExampleCalcification() {
	used, err := chem.Calcification(0.4)
	fmt.Printf("%.1f mg/L of calcium %v\n", used[chem.Calcium], err)
	// Output: -8.0 mg/L of calcium <nil>
}

func ExampleDechlorinate() {
	d, err := chem.Dechlorinate(400, 1.5, true)
	fmt.Printf("%.1f g of thiosulfate, sets %.2f mg/L of ammonia free, %v\n", d.Grams, d.Ammonia, err)
	// Output: 4.2 g of thiosulfate, sets 0.38 mg/L of ammonia free, <nil>
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
