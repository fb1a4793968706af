package plan

import (
	"testing"

	"weirkeeper/chem"
	"weirkeeper/tanks"
)

func togetherOptions(products ...tanks.Product) Options {
	opt := options()
	opt.Together, opt.Products = true, products
	return opt
}

// A product that carries both gives the other its share. By hand, with CIAAW
// weights, in 341 L: calcium 32 mg/L by 54.523 mg/mL are 200.13 mL; they bring
// 23.911 mg/mL of magnesium, 14.03 mg/L; the other 25.97 mg/L by 35.866 mg/mL are
// 246.9 mL.
func TestTogetherCountsWhatTheOtherBrings(t *testing.T) {
	both := mix(4, "Calcium and magnesium", chem.Ingredient{Compound: "CaCl2·2H2O", Amount: 200},
		chem.Ingredient{Compound: "MgCl2·6H2O", Amount: 200})
	opt := togetherOptions(both, magnesium)
	p := Make([]Input{input(341, []tanks.Band{calciumBand, magnesiumBand}, 388, 1280)}, opt)[0]
	near(t, "calcium", p.Lines[0].Correction, 200.13, 0.2)
	near(t, "magnesium", p.Lines[1].Correction, 246.9, 0.3)
	if len(p.NotReached) > 0 {
		t.Errorf("not reached: %v", p.NotReached)
	}
	near(t, "calcium comes to", 388+p.Lines[0].Correction*54.523/341, 420, 0.05)
	near(t, "magnesium comes to", 1280+(p.Lines[0].Correction*23.911+p.Lines[1].Correction*35.866)/341, 1320, 0.05)
}

// Where one bottle is all there is, it comes closest to both aims, each counted
// by the width of its band. By hand, for 0.15989 and 0.07012 mg/L per mL: Σ a·g/w²
// / Σ a²/w² with gaps of 32 and 30 and widths of 40 and 140 is 203.7 mL; counted
// alike it would be 236.9.
func TestTogetherWeighsByTheBands(t *testing.T) {
	both := mix(4, "Calcium and magnesium", chem.Ingredient{Compound: "CaCl2·2H2O", Amount: 200},
		chem.Ingredient{Compound: "MgCl2·6H2O", Amount: 200})
	p := Make([]Input{input(341, []tanks.Band{calciumBand, magnesiumBand}, 388, 1290)}, togetherOptions(both))[0]
	near(t, "in all", p.Lines[0].Correction+p.Lines[1].Correction, 203.7, 0.5)
	if len(p.NotReached) != 1 {
		t.Errorf("not reached: %v", p.NotReached)
	}
}

// An acid calcium stock takes alkalinity away. The bicarbonate is held to one
// and a half times its own amount, so that both stay short and this is said. By
// hand, with a mole of acid a litre, 0.21426 mg/L of calcium and −0.0029326 meq/L
// per mL of the one, 0.0026181 meq/L per mL of the other, gaps of 32 and 0.46363
// and widths of 40 and 0.60629: at most 1.5 × 177.1 = 265.6 mL, and then 117.8 mL
// of the calcium stock. They raise calcium by 25.2 in 2 days of 20, and 1.95 dKH
// take 3 days of 0.7.
func TestTogetherSaysWhatItCannotReach(t *testing.T) {
	acid := mix(4, "Acid calcium stock", chem.Ingredient{Compound: "CaCl2·2H2O", Amount: 268},
		chem.Ingredient{Compound: "HCl", Amount: 36.46})
	p := Make([]Input{input(341, []tanks.Band{calciumBand, alkalinityBand}, 388, dkh(7))}, togetherOptions(acid, bicarbonate))[0]
	near(t, "bicarbonate", p.Lines[1].Correction, 265.6, 0.5)
	near(t, "calcium stock", p.Lines[0].Correction, 117.8, 0.3)
	if p.Lines[0].Days != 2 || p.Lines[1].Days != 3 {
		t.Errorf("over %d and %d days", p.Lines[0].Days, p.Lines[1].Days)
	}
	if len(p.NotReached) != 2 {
		t.Fatalf("not reached: %v", p.NotReached)
	}
	for i, want := range []string{
		"Calcium stays 6.8 mg/L short of its aim: the products on the shelf cannot do it together.",
		"Alkalinity stays 0.32 dKH short of its aim: the products on the shelf cannot do it together.",
	} {
		if got := p.NotReached[i].String(); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// One line by itself, or one that is worth no correction, is left as it is.
func TestTogetherNeedsTwo(t *testing.T) {
	for name, level := range map[string]float64{"magnesium at its aim": 1320, "magnesium too high": 1450} {
		t.Run(name, func(t *testing.T) {
			p := Make([]Input{input(341, []tanks.Band{calciumBand, magnesiumBand}, 388, level)}, togetherOptions(shelf()...))[0]
			near(t, "calcium", p.Lines[0].Correction, 149.35, 0.01)
			near(t, "magnesium", p.Lines[1].Correction, 0, 0)
		})
	}
}
