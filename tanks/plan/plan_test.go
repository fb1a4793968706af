package plan

import (
	"math"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

var now = time.Date(2026, 3, 10, 8, 0, 0, 0, time.UTC)

func liquid(id tanks.ProductID, name, compound string, strength float64) tanks.Product {
	return tanks.Product{ID: id, Name: name, Stock: 3000, Full: 5000, Price: 10,
		Contents: chem.Product{Form: chem.Liquid, Ingredients: []chem.Ingredient{{Compound: compound, Amount: strength}}}}
}

func solid(id tanks.ProductID, name, compound string) tanks.Product {
	return tanks.Product{ID: id, Name: name, Stock: 3000,
		Contents: chem.Product{Form: chem.Solid, Ingredients: []chem.Ingredient{{Compound: compound, Amount: 1}}}}
}

var (
	calcium     = liquid(1, "Calcium stock", "CaCl2·2H2O", 268)
	bicarbonate = liquid(2, "Bicarbonate stock", "NaHCO3", 75)
	magnesium   = liquid(3, "Magnesium stock", "MgCl2·6H2O", 300)
)

func shelf() []tanks.Product { return []tanks.Product{calcium, bicarbonate, magnesium} }

// dkh converts dKH to meq/L: 1 dKH is 10 mg/L CaO.
func dkh(v float64) float64 {
	c, err := chem.Convert(chem.Alkalinity, v, chem.DKH, chem.MeqL, chem.Water{})
	if err != nil {
		panic(err)
	}
	return c
}

var (
	calciumBand = tanks.Band{Analyte: chem.Calcium, Low: 400, Aim: 420, High: 440, MaxRise: 20, MaxStep: 20,
		TestEvery: 7 * 24 * time.Hour}
	alkalinityBand = tanks.Band{Analyte: chem.Alkalinity, Low: dkh(7.5), Aim: dkh(8.3), High: dkh(9.2), MaxRise: dkh(0.7),
		MaxStep:   dkh(0.7),
		TestEvery: 3 * 24 * time.Hour}
	magnesiumBand = tanks.Band{Analyte: chem.Magnesium, Low: 1260, Aim: 1320, High: 1400, MaxRise: 50, MaxStep: 50}
)

// input is a system of some litres with one estimate for each band.
func input(litres float64, bands []tanks.Band, values ...float64) Input {
	in := Input{
		System: tanks.System{ID: 7, Code: "F2", Name: "Frag rack", Kind: tanks.Marine, Stated: litres, Invertebrates: true}, Bands: bands,
		Estimates: map[chem.Analyte]tanks.Estimate{}, Verdicts: map[chem.Analyte]tanks.Verdict{}, Uptakes: map[chem.Analyte]tanks.Uptake{},
		Methods: map[chem.Analyte]tanks.Method{}, Standing: map[chem.Analyte]float64{},
	}
	for i, b := range bands {
		e := tanks.Estimate{Value: values[i], Uncertainty: b.Width() / 20, Scatter: b.Width() / 40, At: now.Add(-time.Hour), N: 1,
			From: "reading"}
		in.Estimates[b.Analyte] = e
		in.Verdicts[b.Analyte] = tanks.Judge(e, b, chem.Water{}, now)
	}
	return in
}

func options() Options { return Options{Now: now, Caution: 1, Products: shelf()} }

func one(t *testing.T, in Input, opt Options) Line {
	t.Helper()
	plans := Make([]Input{in}, opt)
	if len(plans) != 1 || len(plans[0].Lines) != 1 {
		t.Fatalf("the plan is %+v", plans)
	}
	return plans[0].Lines[0]
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if math.Abs(got-want) > within {
		t.Errorf("%s is %g, want %g", what, got, want)
	}
}

// Worked by hand: 32 mg/L in 341 L are 10.9 g of calcium; 268 g/L of the
// dihydrate hold 73.06 g (CIAAW weights), so 149 mL, in two days of 20 mg/L.
func TestCorrection(t *testing.T) {
	l := one(t, input(341, []tanks.Band{calciumBand}, 388), options())
	near(t, "effect", l.Effect, 73.063, 0.001)
	near(t, "correction", l.Correction, 32*341/73.0634, 0.01)
	near(t, "correction", l.Correction, 149, 0.5)
	if l.Days != 2 || l.Daily != 75 || l.Hold() {
		t.Errorf("%d days of %g", l.Days, l.Daily)
	}
	near(t, "after", l.After, 388+2*75*73.0634/341, 0.01)
	near(t, "cost", l.Cost, 150.0/5000*10, 1e-9)
	near(t, "left", l.Left, 2850, 1e-9)
}

// 3.668 g of calcium chloride dihydrate raise calcium in 100 L by 10.0 mg/L;
// 2.996 g of sodium bicarbonate raise alkalinity in 100 L by 1 dKH: computed
// from CIAAW standard atomic weights 2021.
func TestCorrectionAgainstAtomicWeights(t *testing.T) {
	band := calciumBand
	band.MaxRise, band.MaxStep = 0, 1000
	opt := options()
	opt.Products = []tanks.Product{solid(1, "Calcium chloride", "CaCl2·2H2O")}
	near(t, "calcium chloride", one(t, input(100, []tanks.Band{band}, 410-20), opt).Correction, 3*3.668, 0.002)
	alk := alkalinityBand
	opt.Products = []tanks.Product{solid(2, "Bicarbonate", "NaHCO3")}
	near(t, "bicarbonate", one(t, input(100, []tanks.Band{alk}, dkh(7.3)), opt).Correction, 2.996, 0.001)
}

// withUptake gives an uptake a day of k ± se on top of a reading.
func withUptake(in Input, a chem.Analyte, k, se float64) Input {
	in.Uptakes[a] = tanks.Uptake{PerDay: k, SE: se}
	return in
}

func TestUpkeep(t *testing.T) {
	cases := map[string]struct {
		uptake, se, standing float64
		upkeep               float64 // mg/L a day
	}{
		"meets the uptake":               {6, 0.5, 0, 6},
		"only what is not dosed already": {6, 0.5, 4, 2},
		"nothing when the pump does it":  {6, 0.5, 6.2, 0},
		"nothing when it is noise":       {0.6, 0.5, 0, 0},
		"nothing when it accumulates":    {-3, 0.5, 0, 0},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			in := withUptake(input(341, []tanks.Band{calciumBand}, 421), chem.Calcium, c.uptake, c.se)
			in.Standing[chem.Calcium] = c.standing
			l := one(t, in, options())
			near(t, "upkeep", l.Upkeep, c.upkeep*341/73.0634, 0.01)
			near(t, "correction", l.Correction, 0, 0)
			if l.Hold() != (c.upkeep == 0) {
				t.Errorf("hold is %v at an upkeep of %g", l.Hold(), l.Upkeep)
			}
			near(t, "after", l.After, 421+float64(l.Days)*(l.Daily*73.0634/341+c.standing-c.uptake), 1e-5)
		})
	}
}

func TestGuards(t *testing.T) {
	copper := liquid(9, "Copper stock", "CuSO4·5H2O", 10)
	copper.Contents.Ingredients = append(copper.Contents.Ingredients, chem.Ingredient{Compound: "CaCl2·2H2O", Amount: 100})
	strong := liquid(8, "Strong bicarbonate", "NaHCO3", 400)
	cases := map[string]struct {
		in   func() Input
		opt  func(*Options)
		rule words.Text
		stop bool
	}{
		"volume": {func() Input { return input(0, []tanks.Band{calciumBand}, 388) }, nil, RuleVolume, true},
		"no reading": {func() Input {
			in := input(341, []tanks.Band{calciumBand}, 388)
			delete(in.Estimates, chem.Calcium)
			return in
		}, nil, RuleMissing, true},
		"stale": {func() Input {
			in := input(341, []tanks.Band{calciumBand}, 388)
			v := in.Verdicts[chem.Calcium]
			v.Stale = true
			in.Verdicts[chem.Calcium] = v
			return in
		}, nil, RuleStale, true},
		"bound": {func() Input {
			in := input(341, []tanks.Band{calciumBand}, 388)
			e := in.Estimates[chem.Calcium]
			e.Limit = tanks.Above
			in.Estimates[chem.Calcium] = e
			return in
		}, nil, RuleBound, true},
		"too high": {func() Input { return input(341, []tanks.Band{calciumBand}, 480) }, nil, RuleNotDown, false},
		"nothing on the shelf": {func() Input { return input(341, []tanks.Band{calciumBand}, 388) }, func(o *Options) { o.Products = nil },
			RuleNoDoseFor, true},
		"stock": {func() Input { return input(34100, []tanks.Band{calciumBand}, 388) }, nil, RuleStock, false},
		"not soluble": {func() Input { return input(341, []tanks.Band{alkalinityBand}, dkh(7)) },
			func(o *Options) { o.Products = []tanks.Product{strong} }, RuleSoluble, true},
		"copper": {func() Input { return input(341, []tanks.Band{calciumBand}, 388) },
			func(o *Options) { o.Products = []tanks.Product{copper} }, RuleCopper, true},
		"handling": {func() Input { return input(341, []tanks.Band{calciumBand}, 388) }, nil, RuleHandling, false},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			opt := options()
			if c.opt != nil {
				c.opt(&opt)
			}
			l := one(t, c.in(), opt)
			var found *Guard
			for i, g := range l.Guards {
				if g.Rule == c.rule {
					found = &l.Guards[i]
				}
			}
			if found == nil {
				t.Fatalf("the guards are %+v, want %q", l.Guards, c.rule)
			}
			if found.Stops != c.stop || found.Message == "" || (c.stop && !l.Hold()) {
				t.Errorf("%+v, daily %g", *found, l.Daily)
			}
		})
	}
}

// In water without anything that copper kills, copper is no matter of the rule.
func TestCopperNeedsInvertebrates(t *testing.T) {
	copper := liquid(9, "Copper stock", "CuSO4·5H2O", 10)
	copper.Contents.Ingredients = append(copper.Contents.Ingredients, chem.Ingredient{Compound: "CaCl2·2H2O", Amount: 100})
	opt := options()
	opt.Products = []tanks.Product{copper}
	in := input(341, []tanks.Band{calciumBand}, 388)
	in.System.Invertebrates = false
	for _, g := range one(t, in, opt).Guards {
		if g.Rule == RuleCopper {
			t.Errorf("it says %q", g.Message)
		}
	}
}

func TestCalciumAndCarbonateNeverTogether(t *testing.T) {
	plans := Make([]Input{input(341, []tanks.Band{calciumBand, alkalinityBand}, 388, dkh(7))}, options())
	for _, l := range plans[0].Lines {
		said := ""
		for _, g := range l.Guards {
			if g.Rule == RuleSeparate {
				said = g.Message.String()
			}
		}
		if !strings.Contains(said, "30 minutes") {
			t.Errorf("%s says %q", l.Analyte, said)
		}
	}
	doses := plans[0].Doses(options())
	first, second := doses[chem.Calcium][0].Due, doses[chem.Alkalinity][0].Due
	if d := second.Sub(first).Abs(); d < 30*time.Minute {
		t.Errorf("the first doses are %v apart", d)
	}
}

func TestTooHighBecomesAWaterChange(t *testing.T) {
	in := input(400, []tanks.Band{calciumBand}, 500)
	in.Fresh = map[chem.Analyte]float64{chem.Calcium: 400}
	l := one(t, in, options())
	// (500 − 420) / (500 − 400) of the water.
	if l.Dilution == nil || !l.Hold() {
		t.Fatalf("%+v", l)
	}
	near(t, "share", l.Dilution.Share, 0.8, 1e-12)
	near(t, "litres", l.Dilution.Litres, 320, 1e-9)
	in.Fresh = nil
	if l := one(t, in, options()); l.Dilution == nil || l.Dilution.Share != 0 || !strings.Contains(l.Dilution.Text.String(), "not known") {
		t.Errorf("%+v", l.Dilution)
	}
}

func TestDecidedByAPerson(t *testing.T) {
	in := input(341, []tanks.Band{calciumBand}, 388)
	l := one(t, in, options()).WithDaily(150, 1, in, options())
	if l.Daily != 150 || l.Days != 1 || !l.Decided {
		t.Fatalf("%+v", l)
	}
	near(t, "after", l.After, 388+150*73.0634/341, 0.01)
	fast := false
	for _, g := range l.Guards {
		fast = fast || g.Rule == RuleFast && !g.Stops
	}
	how := l.howText()
	if !fast || !strings.Contains(how.String(), "decided by you") {
		t.Errorf("guards %+v\n%s", l.Guards, how)
	}
	record := DosingPlanOf([]SystemPlan{{System: in.System, Lines: []Line{l}}}, options(), "JM")
	if err := record.Validate(); err != nil || len(record.Lines) != 1 || len(record.Lines[0].Doses) != 2 ||
		record.Lines[0].Doses[0].Amount != 75 || record.Lines[0].Doses[1].Amount != 75 || record.Lines[0].Computed != 75 {
		t.Errorf("%+v, %v", record, err)
	}
	if l := l.WithDaily(0, 1, in, options()); !l.Hold() {
		t.Errorf("taken out, it gives %g", l.Daily)
	}
}

func TestRetest(t *testing.T) {
	in := input(341, []tanks.Band{calciumBand}, 388)
	in.Methods[chem.Calcium] = tanks.Method{Analyte: chem.Calcium, Accuracy: 15, Repeatability: 5}
	// A change of 16 mg/L a day is seen by 2·√2·5 = 14.1 after one day.
	if got := one(t, in, options()).Retest.Format(time.DateOnly); got != "2026-03-11" {
		t.Errorf("test again on %s", got)
	}
	in.Methods[chem.Calcium] = tanks.Method{Analyte: chem.Calcium, Accuracy: 15, Repeatability: 12}
	// 2·√2·12 = 33.9: the third day.
	if got := one(t, in, options()).Retest.Format(time.DateOnly); got != "2026-03-13" {
		t.Errorf("with a coarse kit, test again on %s", got)
	}
}

func TestTogether(t *testing.T) {
	opt := options()
	opt.Together = true
	plans := Make([]Input{input(341, []tanks.Band{calciumBand, alkalinityBand, magnesiumBand}, 388, dkh(7), 1200)}, opt)
	apart := Make([]Input{input(341, []tanks.Band{calciumBand, alkalinityBand, magnesiumBand}, 388, dkh(7), 1200)}, options())
	for i, l := range plans[0].Lines {
		near(t, l.Analyte.String(), l.Correction, apart[0].Lines[i].Correction, 0.02*apart[0].Lines[i].Correction)
	}
	// A product that carries both takes the other's share: less of the second.
	both := liquid(4, "Calcium and magnesium", "CaCl2·2H2O", 200)
	both.Contents.Ingredients = append(both.Contents.Ingredients, chem.Ingredient{Compound: "MgCl2·6H2O", Amount: 200})
	opt.Products = []tanks.Product{both, magnesium}
	opt.Chosen = map[chem.Analyte]tanks.ProductID{chem.Calcium: both.ID, chem.Magnesium: magnesium.ID}
	in := input(341, []tanks.Band{calciumBand, magnesiumBand}, 388, 1280)
	joint := Make([]Input{in}, opt)[0].Lines[1]
	opt.Together = false
	single := Make([]Input{in}, opt)[0].Lines[1]
	if !(joint.Correction < single.Correction) {
		t.Errorf("together %g of magnesium stock, alone %g", joint.Correction, single.Correction)
	}
}

func TestLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		litres := rapid.Float64Range(20, 5000).Draw(t, "litres")
		value := rapid.Float64Range(250, 600).Draw(t, "value")
		uptake := rapid.Float64Range(-5, 15).Draw(t, "uptake")
		caution := rapid.Float64Range(0.1, 1).Draw(t, "caution")
		opt := options()
		opt.Caution = caution
		in := withUptake(input(litres, []tanks.Band{calciumBand}, value), chem.Calcium, uptake, 0.3)
		plans := Make([]Input{in}, opt)
		l := plans[0].Lines[0]
		if !l.Stopped() && l.After > calciumBand.High && l.Daily > 0 {
			t.Fatalf("it doses %g × %d and ends at %g, above the band", l.Daily, l.Days, l.After)
		}
		if value > calciumBand.High+5 && l.Daily > 0 {
			t.Fatalf("%g is too high, yet it doses %g", value, l.Daily)
		}
		full := opt
		full.Caution = 1
		if whole := Make([]Input{in}, full)[0].Lines[0]; !whole.Stopped() && l.Daily > whole.Daily {
			t.Fatalf("with caution %g it doses %g, without %g", caution, l.Daily, whole.Daily)
		}
		var sum float64
		for _, d := range plans[0].Doses(opt)[chem.Calcium] {
			sum += d.Amount
		}
		if math.Abs(sum-l.Daily*float64(l.Days)) > 1e-9 && !l.Hold() {
			t.Fatalf("doses add to %g, want %g × %d", sum, l.Daily, l.Days)
		}
		if again := Make([]Input{in}, opt)[0].Lines[0]; again.Daily != l.Daily || again.After != l.After {
			t.Fatal("the same input gives another plan")
		}
	})
}

// A larger gap never gets a smaller correction.
func TestCorrectionGrowsWithTheGap(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Float64Range(300, 415).Draw(t, "a")
		b := rapid.Float64Range(300, 415).Draw(t, "b")
		low, high := math.Min(a, b), math.Max(a, b)
		l := Make([]Input{input(300, []tanks.Band{calciumBand}, low)}, options())[0].Lines[0]
		h := Make([]Input{input(300, []tanks.Band{calciumBand}, high)}, options())[0].Lines[0]
		if l.Correction < h.Correction-1e-9 {
			t.Fatalf("%g mg/L gets %g, %g gets %g", low, l.Correction, high, h.Correction)
		}
	})
}

// The plan of DESIGN's size: 200 systems of 12 analytes.
func BenchmarkPlan(b *testing.B) {
	bands := []tanks.Band{calciumBand, alkalinityBand, magnesiumBand}
	values := []float64{388, dkh(7), 1250}
	analytes := []chem.Analyte{chem.Calcium, chem.Alkalinity, chem.Magnesium}
	for _, a := range []chem.Analyte{chem.Potassium, chem.Strontium, chem.Iodine, chem.Nitrate, chem.Phosphate, chem.Boron, chem.Bromide,
		chem.Fluoride, chem.Sulfate} {
		bands = append(bands, tanks.Band{Analyte: a, Low: 5, Aim: 6, High: 8})
		values, analytes = append(values, 4), append(analytes, a)
	}
	var in []Input
	for range 200 {
		in = append(in, input(341, bands, values...))
	}
	opt := options()
	opt.Analytes, opt.Together = analytes, true
	for b.Loop() {
		Make(in, opt)
	}
}
