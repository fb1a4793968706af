package chem

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func freshTank() Analysis {
	return Analysis{Temperature: 25, Conductivity: 420, PH: 7.2, Alkalinity: 2, Calcium: 45, Magnesium: 8}
}

// A dose for a target, put in, gives the target: the question and its answer are
// two ways round of one equation.
func TestDoseForComesBack(t *testing.T) {
	for _, c := range []struct {
		name    string
		water   Analysis
		product Product
		target  Target
	}{
		{"pH up with soda", freshTank(), solid("Na2CO3", 1), Target{Aim: AimPH, Value: 8, Litres: 200, By: nbs}},
		{"pH down with acid", freshTank(), liquid("HCl", 50), Target{Aim: AimPH, Value: 6.5, Litres: 200, By: nbs}},
		{"pH down with vinegar", freshTank(), liquid("CH3COOH", 50), Target{Aim: AimPH, Value: 6.8, Litres: 200,
			By: nbs}},
		{"aired pH", freshTank(), solid("NaHCO3", 1), Target{Aim: AimPH, Value: 8.6, Litres: 200, Aired: true, Air: AirCO2,
			By: nbs}},
		{"carbon dioxide by acid", freshTank(), liquid("HCl", 50), Target{Aim: AimCO2, Value: 30, Litres: 200, By: nbs}},
		{"Langelier index", freshTank(), solid("Ca(OH)2", 1), Target{Aim: AimCalciteIndex, Value: 0, Litres: 200,
			By: nbs}},
		{"saturation of calcite", freshTank(), solid("CaCl2·2H2O", 1), Target{Aim: AimCalcite, Value: 0.7, Litres: 200,
			By: nbs}},
		{"aragonite of a reef", reefWater(), solid("Na2CO3", 1), Target{Aim: AimAragonite, Value: 5, Litres: 500,
			By: nbs}},
		{"pH of a reef, aired", reefWater(), solid("NaHCO3", 1), Target{Aim: AimPH, Value: 8.45, Litres: 500, Aired: true,
			Air: 500, By: nbs}},
	} {
		if c.target.Air == 0 {
			c.target.Air = AirCO2
		}
		amount, r, err := c.water.DoseFor(c.product, c.target)
		if err != nil || !(amount > 0) {
			t.Errorf("%s: %g, %v", c.name, amount, err)
			continue
		}
		d, err := c.product.CarbonateDose(amount, c.target.Litres)
		if err != nil {
			t.Fatal(err)
		}
		again, err := c.water.Response(d, c.target.Air, c.target.By)
		got := again.AtOnce
		if c.target.Aired {
			got = again.Aired
		}
		want(t, c.name, c.target.Aim.of(got), err, c.target.Value, 1e-6)
		want(t, c.name+", as said", r.AtOnce.PH, nil, again.AtOnce.PH, 1e-9)
	}
}

// A strong product's steps go past the target and past all sense at once: the
// target is found all the same.
func TestDoseNearTheEdge(t *testing.T) {
	soft := Analysis{Temperature: 25, Salinity: 0, PH: 6.8, Alkalinity: 0.05}
	amount, r, err := soft.DoseFor(liquid("HCl", 365), Target{Aim: AimPH, Value: 5.8, Litres: 1000, Air: AirCO2, By: nbs})
	want(t, "pH", r.AtOnce.PH, err, 5.8, 1e-6)
	if !(amount > 0 && amount < 5.1) {
		t.Errorf("%g mL of a tenfold molar acid for 50 meq", amount)
	}
	// Of 6 meq/L hardly any is left at pH 4.5, and a step further there is none.
	hard := Analysis{Temperature: 25, Salinity: 0, PH: 7.5, Alkalinity: 6}
	for _, pH := range []float64{4.3, 4.4, 4.5, 4.6, 4.8} {
		_, r, err := hard.DoseFor(liquid("HCl", 36.458), Target{Aim: AimPH, Value: pH, Litres: 1, Air: AirCO2, By: nbs})
		want(t, "pH of hard water", r.AtOnce.PH, err, pH, 1e-6)
	}
}

// Strong acid by hand: DIC stays, so at pH 6.35 half of the carbon is bicarbonate
// (pK1 of Plummer and Busenberg 1982 at 25 °C, 6.352, and 0.05 less by activity).
func TestAcidForAPHByHand(t *testing.T) {
	water := Analysis{Temperature: 25, Salinity: 0, PH: 8.3, Alkalinity: 2}
	before, err := water.Carbonates(nbs)
	if err != nil {
		t.Fatal(err)
	}
	amount, _, err := water.DoseFor(liquid("HCl", 36.458), Target{Aim: AimPH, Value: 6.352, Litres: 1, Air: AirCO2,
		By: nbs})
	// A mL of a molar acid takes a meq from a litre.
	want(t, "acid", amount, err, 2-before.DIC/2, 0.06)
}

// A goal on the other side, one that is out of reach and one of water that nobody
// tested are refused, each with its reason.
func TestDoseForRefuses(t *testing.T) {
	at := Target{Aim: AimPH, Value: 9.5, Litres: 100, Air: AirCO2, By: nbs}
	soft := freshTank()
	delete(soft, Calcium)
	for name, c := range map[string]struct {
		water   Analysis
		product Product
		target  Target
		err     error
	}{
		"the other way": {freshTank(), liquid("HCl", 50), at, ErrTarget},
		"out of reach":  {freshTank(), solid("NaHCO3", 1), at, ErrTarget},
		"no effect":     {freshTank(), solid("NaCl", 1), at, ErrNoEffect},
		"no volume":     {freshTank(), solid("NaHCO3", 1), Target{Aim: AimPH, Value: 8}, ErrVolume},
		"of a label":    {freshTank(), Product{Form: Solid, Label: []Strength{{Alkalinity, 1, 1, 1}}}, at, ErrCarbon},
		"no calcium known": {soft, solid("NaHCO3", 1), Target{Aim: AimCalcite, Value: 2, Litres: 10, Air: AirCO2,
			By: nbs}, nil},
	} {
		amount, _, err := c.water.DoseFor(c.product, c.target)
		if err == nil || amount != 0 || c.err != nil && !errors.Is(err, c.err) || c.err == nil && !errors.As(err, new(*MissingError)) {
			t.Errorf("%s: %g, %v", name, amount, err)
		}
	}
	if got := Aim(0).of(Carbonates{PH: 8}); !math.IsNaN(got) {
		t.Errorf("no aim is %g", got)
	}
	here := Target{Aim: AimPH, Value: 7.2, Litres: 100, Air: AirCO2, By: nbs}
	if amount, r, err := freshTank().DoseFor(liquid("HCl", 50), here); err != nil || amount > 1e-6 || math.Abs(r.AtOnce.PH-7.2) > 1e-6 {
		t.Errorf("where it stands: %g, %v", amount, err)
	}
}

// At one alkalinity carbon dioxide goes with 10^−pH: from 5 to 50 mg/L pH falls by one.
// The gas goes in as carbon and takes no alkalinity.
func TestWithCO2(t *testing.T) {
	low, _, err := freshTank().WithCO2(5, nbs)
	high, gas, err2 := freshTank().WithCO2(50, nbs)
	want(t, "fall", low.PH-high.PH, errors.Join(err, err2), 1, 0.02)
	want(t, "reached", high.CO2, nil, 50, 1e-6)
	want(t, "alkalinity", high.Alkalinity, nil, 2, 1e-9)
	now, err := freshTank().Carbonates(nbs)
	want(t, "gas", gas, err, (high.DIC-now.DIC)*44.009, 1e-9)
	same, none, err := freshTank().WithCO2(now.CO2, nbs)
	want(t, "as it is", same.PH, err, 7.2, 1e-6)
	want(t, "no gas", none, nil, 0, 1e-4)
	for _, bad := range []float64{0, -1, 201, math.NaN()} {
		if _, _, err := freshTank().WithCO2(bad, nbs); !errors.As(err, new(RangeError)) {
			t.Errorf("%g: %v", bad, err)
		}
	}
	if _, _, err := (Analysis{}).WithCO2(20, nbs); err == nil {
		t.Error("of nothing it is known")
	}
}

// Closed sea water warmed by a degree loses some 0.016 of pH (Hunter 1998, from
// memory: −0.0158 at S 35), and there and back it is as it was.
func TestPHAtAnotherTemperature(t *testing.T) {
	warm, err := reefWater().PHAt(26, Conventions{})
	now, err2 := reefWater().Carbonates(Conventions{})
	want(t, "a degree", warm-now.PH, errors.Join(err, err2), -0.0158, 0.0015)
	rapid.Check(t, func(t *rapid.T) {
		a := freshTank()
		a[PH] = rapid.Float64Range(6.2, 8.8).Draw(t, "pH")
		tC := rapid.Float64Range(5, 35).Draw(t, "T")
		there, err := a.PHAt(tC, nbs)
		if err != nil {
			t.Fatal(err)
		}
		b := freshTank()
		b[PH], b[Temperature] = there, tC
		back, err := b.PHAt(25, nbs)
		if err != nil || math.Abs(back-a[PH]) > 1e-6 {
			t.Fatalf("pH %g is %g at %g °C and %g back, %v", a[PH], there, tC, back, err)
		}
	})
	if _, err := (Analysis{}).PHAt(20, nbs); err == nil {
		t.Error("of nothing it is known")
	}
}
