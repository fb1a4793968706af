package derive

import (
	"slices"
	"strings"
	"testing"

	"weirkeeper/chem"
	"weirkeeper/chem/seawater"
	"weirkeeper/tanks"
)

// Standard Methods 2340 B: 80 mg/L of calcium and 20 of magnesium are 282.1 mg/L
// CaCO3, 15.8 dGH; 4 meq/L of alkalinity go with 11.2 of it.
func TestHardnessOfFreshWater(t *testing.T) {
	in := Input{Kind: tanks.Freshwater, By: chem.Conventions{Scale: seawater.NBSScale}, Estimates: map[chem.Analyte]tanks.Estimate{
		chem.Calcium: estimate(80, 4), chem.Magnesium: estimate(20, 0), chem.Alkalinity: estimate(4, 0), chem.Hardness: estimate(2.9, 0.05),
		chem.Potassium: estimate(3, 0), chem.Sodium: estimate(12, 0),
	}}
	all := Of(in)
	sum := named(t, all, "Hardness from calcium and magnesium")
	near(t, "sum", sum.Value, 282.1/17.848, 0.02)
	near(t, "its uncertainty is calcium's", sum.Uncertainty, 4*2.497/17.848, 0.01)
	if sum.Remark.String() != "the test of hardness says 16.3 dGH" || sum.Unit != "dGH" {
		t.Errorf("%+v", sum)
	}
	near(t, "permanent", named(t, all, "Permanent hardness").Value, (2.9-2)*100.086/17.848, 0.01)
	near(t, "Ca:Mg", named(t, all, "Calcium to magnesium").Value, 4, 1e-12)
	near(t, "K:Na", named(t, all, "Potassium to sodium").Value, 0.25, 1e-12)
	delete(in.Estimates, chem.Hardness)
	if got := named(t, Of(in), "Hardness from calcium and magnesium").Remark.String(); got != "calcium and magnesium added up" {
		t.Errorf("without a test: %q", got)
	}
	delete(in.Estimates, chem.Magnesium)
	for _, q := range Of(in) {
		if strings.Contains(q.Name.String(), "ardness") || q.Name == "Calcium to magnesium" {
			t.Errorf("without magnesium there is %+v", q)
		}
	}
	marine := reef()
	marine.Estimates[chem.Magnesium] = estimate(1300, 0)
	if slices.ContainsFunc(Of(marine), func(q Quantity) bool { return strings.Contains(q.Name.String(), "ardness") }) {
		t.Error("the sea has a hardness")
	}
}

// EPA 2013 at pH 7 and 20 °C: 1.9 mg/L for a month and 17 for an hour as nitrogen (78
// FR 52192), 2.4 and 22 as NH4.
func TestAmmoniaThatIsAllowed(t *testing.T) {
	in := Input{Kind: tanks.Freshwater, By: chem.Conventions{Scale: seawater.NBSScale}, Estimates: map[chem.Analyte]tanks.Estimate{
		chem.PH: estimate(7, 0.1), chem.Temperature: estimate(20, 0)}}
	q := named(t, Of(in), "Total ammonia allowed for weeks")
	near(t, "for weeks", q.Value, 1.9*1.288, 0.06)
	if !strings.Contains(q.Remark.String(), "NH3; for an hour 21.") || !strings.Contains(q.Equations.String(), "EPA-822-R-13-001") ||
		!(q.Uncertainty > 0.02) {
		t.Errorf("%+v", q)
	}
	delete(in.Estimates, chem.PH)
	if slices.ContainsFunc(Of(in), func(q Quantity) bool { return q.Name == "Total ammonia allowed for weeks" }) {
		t.Error("without pH something is allowed")
	}
}
