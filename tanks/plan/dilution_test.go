package plan

import (
	"testing"

	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// Up to 30 % of the water is changed in one go (common practice, no source).
func TestLargeWaterChangesAreSplit(t *testing.T) {
	calciumBand := calciumBand
	calciumBand.MaxStep = 30
	for _, c := range []struct {
		name  string
		value float64
		share float64
		want  string
	}{
		{"3/10", 450, 0.3, "30 % new water (60 L) brings it to the aim."},
		{"31 mg/L", 451, 31.0 / 101, "31 % new water (61 L) would bring it to the aim: more than 30 % at once is hard on animals" +
			" (common practice, no source), so in several changes."},
		{"4/11", 460, 4.0 / 11, "36 % new water (73 L) would bring it to the aim: more than 30 % at once is hard on animals" +
			" (common practice, no source), so in several changes."},
	} {
		t.Run(c.name, func(t *testing.T) {
			in := input(200, []tanks.Band{calciumBand}, c.value)
			in.Estimates[chem.Calcium] = tanks.Estimate{Value: c.value, Uncertainty: 1, At: now, N: 1}
			in.Verdicts[chem.Calcium] = tanks.Judge(in.Estimates[chem.Calcium], calciumBand, chem.Water{}, now)
			in.Fresh = map[chem.Analyte]float64{chem.Calcium: 350}
			l := one(t, in, options())
			near(t, "share", l.Dilution.Share, c.share, 1e-9)
			if l.Dilution.Text.String() != c.want {
				t.Errorf("%q", l.Dilution.Text)
			}
		})
	}
	in := input(200, []tanks.Band{calciumBand}, 480)
	in.Fresh = map[chem.Analyte]float64{chem.Calcium: 430}
	l := one(t, in, options())
	if l.Dilution.Share != 0 ||
		l.Dilution.Text != "The new water is not lower than the aim: wait for the uptake, or change the source water." {
		t.Errorf("with water over the aim: %+v", l.Dilution)
	}
}
