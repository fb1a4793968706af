package plan

import (
	"strings"
	"testing"

	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// mineral raises GH by 3 and KH by 1.5 degrees with 10 g in 100 L, by its label.
func mineral() tanks.Product {
	gh, kh := canonicalOf(chem.Hardness, 3, chem.DGH), dkh(1.5)
	return tanks.Product{ID: 9, Name: "Mineral", Stock: 500, Contents: chem.Product{Form: chem.Solid, Label: []chem.Strength{
		{Analyte: chem.Hardness, Amount: 10, Litres: 100, Raises: gh}, {Analyte: chem.Alkalinity, Amount: 10, Litres: 100, Raises: kh}}}}
}

func canonicalOf(a chem.Analyte, v float64, u chem.Unit) float64 {
	info, _ := chem.Lookup(a)
	c, err := chem.Convert(a, v, u, info.Unit, chem.Water{})
	if err != nil {
		panic(err)
	}
	return c
}

// rack is a shrimp rack of 120 L, KH 1 for 2 and GH 3 for 6; high is the edge of its KH.
func rack(high float64) Input {
	gh := func(v float64) float64 { return canonicalOf(chem.Hardness, v, chem.DGH) }
	in := input(120, []tanks.Band{{Analyte: chem.Alkalinity, Low: dkh(1.5), Aim: dkh(2), High: dkh(high)},
		{Analyte: chem.Hardness, Low: gh(4), Aim: gh(6), High: gh(9)}}, dkh(1), gh(3))
	in.System.Kind = tanks.Freshwater
	return in
}

func rackOptions() Options {
	opt := options()
	opt.Analytes = []chem.Analyte{chem.Alkalinity, chem.Hardness}
	opt.Products = []tanks.Product{bicarbonate, mineral()}
	opt.Chosen = map[chem.Analyte]tanks.ProductID{chem.Alkalinity: bicarbonate.ID, chem.Hardness: 9}
	return opt
}

func besidesOf(l Line) (Guard, bool) {
	for _, g := range l.Guards {
		if g.Rule == RuleBesides {
			return g, true
		}
	}
	return Guard{}, false
}

// Twelve grams for the hardness bring 1.5 degrees of carbonate hardness besides: that is
// said at its line, and where both lead above the band the bicarbonate is not given.
func TestWhatOtherLinesBringIsSaid(t *testing.T) {
	p := Make([]Input{rack(6)}, rackOptions())[0]
	kh, gh := p.Lines[0], p.Lines[1]
	near(t, "mineral", gh.Daily*float64(gh.Days), 12, 0.05)
	g, said := besidesOf(kh)
	if !said || g.Stops || kh.Hold() || !strings.Contains(g.Message.String(), "raise alkalinity by 1.50 dKH too") ||
		!strings.Contains(g.Message.String(), "3.5 dKH") {
		t.Errorf("%+v, hold %v", kh.Guards, kh.Hold())
	}
	if _, said := besidesOf(gh); said {
		t.Errorf("bicarbonate raises no hardness: %+v", gh.Guards)
	}
	p = Make([]Input{rack(3)}, rackOptions())[0]
	if g, said := besidesOf(p.Lines[0]); !said || !g.Stops || !p.Lines[0].Hold() || p.Lines[1].Hold() {
		t.Errorf("above the band: %+v", p.Lines[0].Guards)
	}
	// Where the person takes the hardness out, the bicarbonate is given again.
	in, opt := rack(3), rackOptions()
	p = Make([]Input{in}, opt)[0]
	p.Lines[1] = p.Lines[1].WithDaily(0, p.Lines[1].Days, in, opt)
	p.Check(in, opt)
	if _, said := besidesOf(p.Lines[0]); said || p.Lines[0].Hold() {
		t.Errorf("with the hardness out: %+v, hold %v", p.Lines[0].Guards, p.Lines[0].Hold())
	}
	// Together the mineral takes the bicarbonate's share.
	opt.Together = true
	p = Make([]Input{rack(6)}, opt)[0]
	if after := 1 + (p.Lines[0].Correction*effectOf(bicarbonate)+p.Lines[1].Correction*effectOf(mineral()))/120/dkh(1); after > 3 {
		t.Errorf("together KH comes to %.2f", after)
	}
	if !(p.Lines[0].Correction < 1) {
		t.Errorf("together %g mL of bicarbonate", p.Lines[0].Correction)
	}
}

func effectOf(p tanks.Product) float64 {
	e, err := p.Contents.Effects()
	if err != nil {
		panic(err)
	}
	return e[chem.Alkalinity]
}
