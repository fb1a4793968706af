package plan

import (
	"slices"
	"testing"

	"weirkeeper/chem"
	"weirkeeper/chem/seawater"
	"weirkeeper/tanks"
)

func stepOf(l Line, name string) (HowRow, bool) {
	i := slices.IndexFunc(l.How, func(s HowRow) bool { return s.Name.String() == name })
	if i < 0 {
		return HowRow{}, false
	}
	return l.How[i], true
}

// A day of bicarbonate for 300 L at 7.9 dKH and pH 8.2: the step is what
// chem.Analysis.Response says of it.
func TestHowTellsOfPH(t *testing.T) {
	in := input(300, []tanks.Band{alkalinityBand}, dkh(7.9))
	for a, v := range map[chem.Analyte]float64{chem.PH: 8.2, chem.Temperature: 25, chem.Salinity: 35} {
		in.Estimates[a] = tanks.Estimate{Value: v, At: now}
	}
	in.Scale = seawater.NBSScale
	opt := options()
	opt.Analytes = []chem.Analyte{chem.Alkalinity}
	l := one(t, in, opt)
	if l.Daily <= 0 {
		t.Fatalf("nothing is dosed: %+v", l)
	}
	got, ok := stepOf(l, "pH")
	if want := "8.20 → 8.18 at once, 8.24 aired"; !ok || got.Value.String() != want {
		t.Errorf("the step is %+v, want %q", got, want)
	}
	delete(in.Estimates, chem.PH)
	if got, ok := stepOf(one(t, in, opt), "pH"); !ok || got.Value != "not known" || got.Source.String() != "the carbon dioxide system needs pH: measure it in the same water" {
		t.Errorf("without pH the step is %+v", got)
	}
	secret := tanks.Product{ID: 4, Name: "By its label", Stock: 3000, Contents: chem.Product{Form: chem.Liquid, Label: []chem.Strength{{Analyte: chem.Alkalinity, Amount: 1, Litres: 100, Raises: 0.01}}}}
	opt.Products = []tanks.Product{secret}
	if got, ok := stepOf(one(t, in, opt), "pH"); !ok || got.Source.String() != chem.ErrCarbon.Error() {
		t.Errorf("of a secret product the step is %+v", got)
	}
	opt = options()
	opt.Analytes = []chem.Analyte{chem.Calcium}
	if _, ok := stepOf(one(t, input(300, []tanks.Band{calciumBand}, 400), opt), "pH"); ok {
		t.Error("calcium is said to move pH")
	}
}
