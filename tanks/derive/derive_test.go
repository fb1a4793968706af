package derive

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"weirkeeper/chem"
	"weirkeeper/chem/seawater"
	"weirkeeper/tanks"
)

var now = time.Date(2026, 3, 10, 12, 0, 0, 0, time.UTC)

func estimate(v, u float64) tanks.Estimate {
	return tanks.Estimate{Value: v, Uncertainty: u, At: now, N: 1}
}

func reef() Input {
	return Input{Kind: tanks.Marine, By: chem.Conventions{Scale: seawater.NBSScale}, Estimates: map[chem.Analyte]tanks.Estimate{
		chem.Salinity: estimate(35, 0), chem.Temperature: estimate(25, 0), chem.PH: estimate(8.2, 0), chem.Alkalinity: estimate(2.8, 0),
		chem.Calcium: estimate(420, 21), chem.Oxygen: estimate(6.4, 0.1),
	}}
}

func named(t *testing.T, all []Quantity, name string) Quantity {
	t.Helper()
	i := slices.IndexFunc(all, func(q Quantity) bool { return q.Name.String() == name })
	if i < 0 {
		t.Fatalf("there is no %q", name)
	}
	return all[i]
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s is %g, want %g", what, got, want)
	}
}

func TestReef(t *testing.T) {
	in := reef()
	old := in.Estimates[chem.Calcium]
	old.At = now.AddDate(0, 0, -4)
	in.Estimates[chem.Calcium] = old
	all := Of(in)
	c, err := chem.Analysis{chem.Salinity: 35, chem.Temperature: 25, chem.PH: 8.2, chem.Alkalinity: 2.8,
		chem.Calcium: 420}.Carbonates(chem.Conventions{Scale: seawater.NBSScale})
	if err != nil {
		t.Fatal(err)
	}
	omega := named(t, all, "Aragonite saturation")
	near(t, "Ω", omega.Value, c.OmegaAragonite, 1e-12)
	near(t, "its uncertainty is calcium's 5 % and 1.8 % of the NBS scale", omega.Uncertainty, math.Hypot(0.05, 0.0177)*c.OmegaAragonite,
		1e-3)
	if omega.Oldest != old.At || !slices.Contains(omega.From, chem.Calcium) || omega.Remark != "above 1 the mineral can form" {
		t.Errorf("%+v", omega)
	}
	near(t, "CO2", named(t, all, "Free carbon dioxide").Value, c.CO2, 1e-12)
	near(t, "pCO2", named(t, all, "Carbon dioxide pressure").Value, c.PCO2, 1e-9)
	near(t, "oxygen's uncertainty", named(t, all, "Oxygen saturation").Uncertainty, 0.1/6.772*100, 0.01)
	beside := named(t, all, "Calcium compared with seawater")
	near(t, "calcium compared with seawater", beside.Value, 420/421.7*100, 0.01)
	near(t, "its uncertainty", beside.Uncertainty, 5, 0.05)
	var missing *chem.MissingError
	if q := named(t, all, "Un-ionised ammonia"); !errors.As(q.Err, &missing) ||
		!slices.Equal(missing.Missing, []chem.Analyte{chem.Ammonia}) {
		t.Errorf("ammonia without a reading: %+v", q)
	}
	if q := named(t, all, "Charge balance"); !errors.As(q.Err, &missing) || q.Uncertainty != 0 {
		t.Errorf("a balance without sodium: %+v", q)
	}
}

func TestFresh(t *testing.T) {
	in := Input{Kind: tanks.Freshwater, By: chem.Conventions{Scale: seawater.NBSScale}, Estimates: map[chem.Analyte]tanks.Estimate{
		chem.Temperature: estimate(25, 0.1), chem.PH: estimate(7, 0.1), chem.Alkalinity: estimate(1.43, 0.05),
		chem.Ammonia: estimate(0.5, 0.05),
	}}
	all := Of(in)
	co2 := named(t, all, "Free carbon dioxide")
	near(t, "CO2", co2.Value, 14.0, 0.3) // at no ionic strength
	if co2.Remark != "taken as without salt: measure conductivity" {
		t.Errorf("the assumption is not said: %q", co2.Remark)
	}
	if q := named(t, all, "Langelier index"); q.Err == nil ||
		q.Err.Error() != "the Langelier index needs calcium: measure it in the same water" {
		t.Errorf("%+v", q)
	}
	near(t, "NH3", named(t, all, "Un-ionised ammonia").Value, 0.5*0.00564*17.031/18.039, 1e-4)
	for _, q := range all {
		if q.Name.String() == "Aragonite saturation" || q.Name.String() == "Calcium compared with seawater" {
			t.Errorf("fresh water has %s", q.Name)
		}
	}
	in.Estimates[chem.Calcium] = estimate(40, 2)
	in.Estimates[chem.Conductivity] = estimate(300, 10)
	all = Of(in)
	if slices.ContainsFunc(all, func(q Quantity) bool { return q.Name.String() == "Calcium compared with seawater" }) {
		t.Error("fresh water with calcium is compared with the sea")
	}
	index := named(t, all, "Langelier index")
	if index.Err != nil || index.Value > 0 || index.Remark != "below zero the water dissolves calcite" {
		t.Errorf("%+v", index)
	}
	near(t, "the index follows pH one for one", index.Uncertainty, 0.1, 0.03)
}

// A result below the limit of detection counts as half of it, as its estimate does:
// ammonia of "<0.04" is 0.02 ± 0.0115, and its un-ionised part likewise. Above a
// range nothing is known.
func TestOfResultsAtALimit(t *testing.T) {
	in := reef()
	exact := estimate(0.02, 0.04/(2*math.Sqrt(3)))
	in.Estimates[chem.Ammonia] = exact
	want := named(t, Of(in), "Un-ionised ammonia")
	below := exact
	below.Limit = tanks.Below
	in.Estimates[chem.Ammonia] = below
	got := named(t, Of(in), "Un-ionised ammonia")
	if got.Err != nil || got.Value != want.Value || got.Uncertainty != want.Uncertainty || !slices.Equal(got.From, want.From) {
		t.Errorf("%+v, want %+v", got, want)
	}
	near(t, "its relative uncertainty", got.Uncertainty/got.Value, 1/math.Sqrt(3), 0.01)
	above := exact
	above.Limit = tanks.Above
	in.Estimates[chem.Ammonia] = above
	if q := named(t, Of(in), "Un-ionised ammonia"); !errors.As(q.Err, new(*chem.MissingError)) || slices.Contains(q.From, chem.Ammonia) {
		t.Errorf("above the range: %+v", q)
	}
}

// The passed-on uncertainty is what 20,000 draws of the readings scatter by.
func TestUncertaintyByDraws(t *testing.T) {
	in := reef()
	for a, u := range map[chem.Analyte]float64{chem.Salinity: 0.5, chem.Temperature: 0.2, chem.PH: 0.05, chem.Alkalinity: 0.1,
		chem.Calcium: 10} {
		e := in.Estimates[a]
		e.Uncertainty = u
		in.Estimates[a] = e
	}
	q := named(t, Of(in), "Aragonite saturation")
	r := rand.New(rand.NewPCG(1, 2))
	var sum, squares float64
	const n = 20000
	for range n {
		a := chem.Analysis{}
		for x, e := range in.Estimates {
			a[x] = e.Value + e.Uncertainty*r.NormFloat64()
		}
		c, err := a.Carbonates(in.By)
		if err != nil {
			t.Fatal(err)
		}
		sum += c.OmegaAragonite
		squares += c.OmegaAragonite * c.OmegaAragonite
	}
	mean := sum / n
	near(t, "uncertainty", q.Uncertainty, math.Sqrt(squares/n-mean*mean), 0.03*q.Uncertainty)
}

func TestEdges(t *testing.T) {
	if Of(Input{Kind: tanks.Marine}) != nil {
		t.Error("something follows from nothing")
	}
	// At the lowest salinity of the sea's constants one side of the range is
	// another set of equations, at the highest temperature there is none.
	in := reef()
	in.Estimates[chem.Temperature] = estimate(35, 0.5)
	q := named(t, Of(in), "Aragonite saturation")
	if q.Err != nil || !(q.Uncertainty > 0.05*q.Value) {
		t.Errorf("%+v", q)
	}
	in.Estimates[chem.Temperature] = estimate(36, 0.5)
	if q := named(t, Of(in), "Aragonite saturation"); !errors.As(q.Err, new(chem.RangeError)) {
		t.Errorf("%+v", q)
	}
	// A value above the range of its method is no value.
	in = reef()
	e := in.Estimates[chem.Calcium]
	e.Limit = tanks.Above
	in.Estimates[chem.Calcium] = e
	if slices.ContainsFunc(Of(in), func(q Quantity) bool { return q.Name.String() == "Calcium compared with seawater" }) {
		t.Error("a bound is compared with the sea")
	}
	in.Estimates = map[chem.Analyte]tanks.Estimate{chem.Calcium: estimate(420, 5)}
	if q := named(t, Of(in), "Calcium compared with seawater"); !errors.As(q.Err, new(*chem.MissingError)) {
		t.Errorf("without salinity: %+v", q)
	}
	in.Estimates[chem.Salinity] = estimate(0, 0.1)
	if q := named(t, Of(in), "Calcium compared with seawater"); !errors.Is(q.Err, chem.ErrNoSea) {
		t.Errorf("a source of RO water: %+v", q)
	}
}

// Brackish water of 3 PSU lies between the models of fresh water and of the sea:
// what they leave in doubt is in the uncertainty, said apart, and the equations are
// named. At 35 PSU nothing of that is left but what the NBS scale is good to.
func TestBridge(t *testing.T) {
	in := reef()
	in.Kind = tanks.Brackish
	in.Estimates[chem.Salinity] = estimate(3, 0)
	in.Estimates[chem.Calcium] = estimate(60, 0)
	c, err := chem.Analysis{chem.Salinity: 3, chem.Temperature: 25, chem.PH: 8.2, chem.Alkalinity: 2.8,
		chem.Calcium: 60}.Carbonates(in.By)
	if err != nil {
		t.Fatal(err)
	}
	q := named(t, Of(in), "Calcite saturation")
	near(t, "the models' part", q.Model, c.Doubt.OmegaCalcite, 1e-12)
	if q.Model < 0.05*q.Value || q.Uncertainty <= q.Model || q.ModelShown().String() != "± 0.95" ||
		q.Equations.String() != "between Plummer and Busenberg 1982 and Millero 2010, borate of Uppström 1974" {
		t.Errorf("%+v, %s, %s", q, q.ModelShown(), q.Equations)
	}
	in = reef()
	in.By.Set = seawater.SetLee
	q = named(t, Of(in), "Carbon dioxide pressure")
	if q.Model != 0 || q.Equations.String() != "Lueker 2000, borate of Lee 2010" {
		t.Errorf("%+v by %s", q, q.Equations)
	}
	near(t, "pCO2 by the 0.01 of the NBS scale", q.Uncertainty/q.Value, 0.01*math.Ln10*1.23, 0.0005)
	in.By.Scale = seawater.TotalScale
	near(t, "pCO2 by the total scale", named(t, Of(in), "Carbon dioxide pressure").Uncertainty, 0, 0)
}

// Where the room lies high the air holds less: oxygen is compared with that.
func TestHeight(t *testing.T) {
	in := reef()
	in.By.Pressure = 0.8
	q := named(t, Of(in), "Oxygen saturation")
	near(t, "oxygen", q.Value, 100*6.4/6.772/0.795, 0.5)
	if q.Remark.String() != "of what air of 0.80 atm gives" {
		t.Errorf("%q", q.Remark)
	}
	if q := named(t, Of(in), "Carbon dioxide pressure"); q.Remark.String() != "above outdoor air (327): aeration raises pH" {
		t.Errorf("%q", q.Remark)
	}
}

// Calcium that was measured as none is known: there is no index then, and nothing to
// measure.
func TestNoCalcium(t *testing.T) {
	in := Input{Kind: tanks.Freshwater, By: chem.Conventions{Scale: seawater.NBSScale}, Estimates: map[chem.Analyte]tanks.Estimate{
		chem.Temperature: estimate(25, 0.1), chem.PH: estimate(7, 0.1), chem.Alkalinity: estimate(1.43, 0.05), chem.Calcium: estimate(0, 1),
	}}
	if q := named(t, Of(in), "Langelier index"); !errors.Is(q.Err, errNoCalcium) {
		t.Errorf("%+v", q)
	}
	in.Kind = tanks.Brackish
	in.Estimates[chem.Salinity] = estimate(3, 0)
	if q := named(t, Of(in), "Calcite saturation"); q.Err != nil || q.Value != 0 {
		t.Errorf("%+v", q)
	}
	delete(in.Estimates, chem.Calcium)
	if q := named(t, Of(in), "Calcite saturation"); !errors.As(q.Err, new(*chem.MissingError)) {
		t.Errorf("brackish water of unknown calcium: %+v", q)
	}
}

func TestRemarks(t *testing.T) {
	// 425 × 1.2 = 510 and 425 / 1.2 = 354.2.
	for pCO2, want := range map[float64]string{
		1000: "above outdoor air (425): aeration raises pH", 511: "above outdoor air (425): aeration raises pH",
		509: "near outdoor air (425)",
		425: "near outdoor air (425)", 355: "near outdoor air (425)", 354: "below outdoor air (425): aeration lowers pH",
		200: "below outdoor air (425): aeration lowers pH",
	} {
		if got := besideAir(pCO2, 425); got.String() != want {
			t.Errorf("%g µatm: %q", pCO2, got)
		}
	}
	if saturated(0.5) != "below 1 the mineral dissolves" || aboveZero(0.5) != "above zero calcite can form" {
		t.Error("the remarks are the wrong way round")
	}
}

func TestShown(t *testing.T) {
	for want, q := range map[string]Quantity{
		"4.2 ± 0.8":     {Value: 4.23, Uncertainty: 0.4, Decimals: 1},
		"4.23 ± 0.00":   {Value: 4.23, Decimals: 2},
		"460 ± 120":     {Value: 462.3, Uncertainty: 60, Decimals: 0},
		"600 ± 200":     {Value: 559, Uncertainty: 102, Decimals: 0},
		"0.017 ± 0.005": {Value: 0.0171, Uncertainty: 0.0026, Decimals: 3},
		"−1.0 ± 0.2":    {Value: -1.04, Uncertainty: 0.1, Decimals: 2},
	} {
		if got := q.Shown(); got.String() != want {
			t.Errorf("%+v is shown as %q, want %q", q, got, want)
		}
	}
}
