package seawater

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// distilled is water without any salt.
func distilled(tC float64) Water { return Water{Temperature: tC, IonicStrength: Measured(0)} }

// hardWater is a well's: hard, with sulfate.
func hardWater() Water {
	return Water{Salinity: 0.3, Temperature: 25, IonicStrength: Measured(9000), Calcium: Measured(2000), Magnesium: Measured(800),
		Sodium: Measured(1000), Potassium: Measured(60), Sulfate: Measured(1500)}
}

func freshEquilibria(t *testing.T, w Water) Equilibria {
	t.Helper()
	e, err := w.Equilibria()
	if err != nil {
		t.Fatal(err)
	}
	return e
}

// freshwater_carbonate_constants.csv: Plummer and Busenberg 1982 at zero ionic
// strength, where activity coefficients are one and nothing pairs. The solubility
// of CO2 is Weiss's here, which at no salt keeps to theirs within 1 %.
func TestFreshConstants(t *testing.T) {
	rows := readTable(t, "freshwater_carbonate_constants.csv")
	if len(rows) != 15 {
		t.Fatalf("%d rows", len(rows))
	}
	for _, row := range rows {
		e := freshEquilibria(t, distilled(number(t, row["T_C"])))
		for name, got := range map[string]float64{"logK1": e.K1, "logK2": e.K2, "logKspCalcite": e.KspCalcite,
			"logKspAragonite": e.KspAragonite} {
			want(t, name, math.Log10(got), nil, number(t, row[name]), 1e-8)
		}
		want(t, "logKH", math.Log10(e.K0), nil, number(t, row["logKH"]), 0.004)
		want(t, "activity coefficient of hydrogen", e.activity, nil, 1, 1e-12)
	}
}

// pKw of pure water is 13.995 at 25 °C and 14.167 at 20 °C (IAPWS R11-07, from
// memory): Millero's form at S = 0 keeps to it within 0.005.
func TestWaterItself(t *testing.T) {
	for tC, pKw := range map[float64]float64{20: 14.167, 25: 13.995} {
		want(t, "pKw", -math.Log10(freshEquilibria(t, distilled(tC)).KW), nil, pKw, 0.006)
	}
}

// Log γ at 25 °C as example 3 of PHREEQC (Parkhurst and Appelo 2013, USGS Techniques
// and Methods 6-A43; output file of its distribution) prints them, parts A (ionic
// strength 4.826e-3) and C (0.2088), and Davies's single charge of a textbook
// (Stumm and Morgan 1996, table 3.3; from memory).
func TestActivityCoefficients(t *testing.T) {
	for _, c := range []struct {
		name      string
		ion       ion
		weak, mix float64
	}{
		{"H+", hydrogen, -0.029, -0.099}, {"OH-", hydroxide, -0.033, -0.153}, {"HCO3-", bicarbonate, -0.032, -0.129},
		{"CO3-2", carbonate, -0.126, -0.515}, {"Ca+2", calcium, -0.126, -0.498}, {"Mg+2", magnesium, math.NaN(), -0.469},
		{"Na+", sodium, math.NaN(), -0.127}, {"K+", potassium, math.NaN(), -0.150}, {"SO4-2", sulfate, math.NaN(), -0.541},
		{"CO2", neutral, 0, 0.021},
	} {
		for ionic, log := range map[float64]float64{4.826e-3: c.weak, 0.2088: c.mix} {
			if !math.IsNaN(log) {
				want(t, "log γ of "+c.name, newDebyeHuckel(298.15, ionic).ln(c.ion)/math.Ln10, nil, log, 0.0015)
			}
		}
	}
	for ionic, gamma := range map[float64]float64{0.001: 0.965, 0.01: 0.902, 0.1: 0.78} {
		want(t, "Davies's γ", math.Exp(newDebyeHuckel(298.15, ionic).ln(anyPair)), nil, gamma, 0.003)
	}
}

// Part A of example 3 of PHREEQC: calcite in equilibrium with CO2 of a fugacity of
// 10^-2 atm at 25 °C has pH 7.297 with 1.646 mmol/kg of calcium and 3.291 meq/kg of
// alkalinity; its carbon is 3.224 HCO3, 0.3399 CO2, 0.0489 CaHCO3, 0.0056 CaCO3 and
// 0.0037 CO3 mmol/kg.
func TestCalciteByPhreeqc(t *testing.T) {
	w := Water{Temperature: 25, IonicStrength: Measured(4826), Calcium: Measured(1646), Sulfate: Measured(0), Sodium: Measured(0),
		Magnesium: Measured(0), Potassium: Measured(0), Boron: Measured(0)}
	s, doubt, err := w.FromPCO2(3291, 1e4/freshEquilibria(t, w).FugacityFactor)
	pH, err2 := s.PHOn(NBSScale)
	want(t, "pH", pH, errors.Join(err, err2), 7.297, 0.004)
	want(t, "calcite", math.Log10(s.OmegaCalcite), nil, 0, 0.01)
	want(t, "aragonite", math.Log10(s.OmegaAragonite), nil, -0.14, 0.01)
	want(t, "HCO3, free and bound", s.HCO3, nil, 3224+48.87, 5)
	want(t, "CO3, free and bound", s.CO3, nil, 3.724+5.559, 0.1)
	want(t, "CO2", s.CO2, nil, 339.9, 2)
	want(t, "carbon", s.DIC, nil, 3622, 5)
	if doubt != (CO2Doubt{}) {
		t.Errorf("fresh water is in doubt by %+v", doubt)
	}
}

// Part C of the same example, 70 parts of that water with 30 of the sea, has pH
// 7.349 and calcite at -0.10: by the constants of estuaries, with their own minerals
// and scale of pH, within 0.1.
func TestMixtureByPhreeqc(t *testing.T) {
	const perMolal = 1 - 0.001005*10.6
	w := Water{Salinity: 10.6, Temperature: 25, Calcium: Measured(4350 * perMolal), Sulfate: Measured(8777 * perMolal), Boron: Measured(0)}
	s, _, err := w.FromPH(3026*perMolal, 7.349, NBSScale)
	want(t, "calcite", math.Log10(s.OmegaCalcite), err, -0.10, 0.1)
	want(t, "carbon", s.DIC, err, 3190*perMolal, 0.005*3190)
}

// The sea of the same example: pH 8.22, calcite 0.75, aragonite 0.61, CO2 at
// 10^-3.39 atm; by the sea's own constants within 0.03 and 0.1.
func TestSeaByPhreeqc(t *testing.T) {
	const perMolal = 1 - 0.001005*35
	w := Water{Salinity: 35, Temperature: 25, Calcium: Measured(10660 * perMolal), Boron: Measured(0)}
	s, _, err := w.FromPH(2406*perMolal, 8.22, NBSScale)
	want(t, "calcite", math.Log10(s.OmegaCalcite), err, 0.75, 0.06)
	want(t, "aragonite", math.Log10(s.OmegaAragonite), err, 0.61, 0.1)
	want(t, "log fCO2", math.Log10(s.FCO2/1e6), err, -3.39, 0.1)
}

// Rain in equilibrium with air of 400 µatm has pH 5.61 (textbooks give 5.6).
func TestRain(t *testing.T) {
	rain, _, err := distilled(25).FromPCO2(0, 400)
	want(t, "pH of rain", rain.PH, err, 5.61, 0.01)
	want(t, "CO2 of rain", rain.CO2, err, 13.6, 0.1)
}

// Stumm and Morgan 1996, chapter 4: the closed form of an open system without
// activity, [H]²≈K1·KH·pCO2 in pure water, and for an alkalinity
// [H] = K1·KH·pCO2/alkalinity; both hold where the terms they leave out are small.
func TestOpenSystemClosedForm(t *testing.T) {
	e := freshEquilibria(t, distilled(25))
	pure, _, err := distilled(25).FromPCO2(0, 10000)
	want(t, "pH of pure water", pure.PH, err, -math.Log10(math.Sqrt(e.K1*e.K0*e.FugacityFactor*0.01)), 1e-3)
	buffered, _, err := distilled(25).FromPCO2(1000, 10000)
	want(t, "pH with an alkalinity", buffered.PH, err, -math.Log10(e.K1*e.K0*e.FugacityFactor*0.01/1e-3), 2e-3)
}

// Water saturated with calcite in equilibrium with air of 10^-3.5 atm at 25 °C has
// pH 8.3 and 0.47 to 0.5 mmol/L of calcium (Stumm and Morgan 1996, chapter 4,
// pH 8.3 and [Ca] 4.7e-4 M; from memory).
func TestCalciteInAir(t *testing.T) {
	const calcium = 490
	w := Water{Temperature: 25, IonicStrength: Measured(3 * calcium), Calcium: Measured(calcium)}
	s, _, err := w.FromPCO2(2*calcium, math.Pow(10, -3.5)*1e6)
	want(t, "pH", s.PH, err, 8.3, 0.05)
	want(t, "Ω", s.OmegaCalcite, err, 1, 0.1)
}

// The trade's rule CO2 [mg/L] = 3·KH·10^(7 − pH), common practice, no source: at
// KH 4 dKH (1.43 meq/L), pH 7 and 25 °C it says 12 mg/L; the equilibrium says
// 13.1, as the rule's constant belongs to water of some 30 °C.
func TestFreeCarbonDioxide(t *testing.T) {
	const ueqL, molarCO2 = 4 * 356.65246, 44.009
	s, _, err := Water{Temperature: 25, IonicStrength: Measured(4000)}.FromPH(ueqL, 7, NBSScale)
	want(t, "CO2 in mg/L", s.CO2/1000*molarCO2, err, 13.2, 0.2)
	want(t, "the trade's rule", 12, nil, s.CO2/1000*molarCO2, 0.15*s.CO2/1000*molarCO2)
}

// pH less the pH of saturation, solved for, is the index.
func TestIndexIsADistanceInPH(t *testing.T) {
	w := Water{Temperature: 20, IonicStrength: Measured(5000), Calcium: Measured(1200)}
	s, _, err := w.FromPH(2000, 7, NBSScale)
	if err != nil {
		t.Fatal(err)
	}
	// At low pH the alkalinity is bicarbonate, so CO3 rises tenfold per pH.
	saturated, _, err := w.FromPH(2000, 7-math.Log10(s.OmegaCalcite), NBSScale)
	want(t, "Ω at the pH of saturation", saturated.OmegaCalcite, err, 1, 0.02)
	w.Calcium = Measured(0)
	none, _, err := w.FromPH(2000, 7, NBSScale)
	want(t, "Ω without calcium", none.OmegaCalcite, err, 0, 0)
}

// Phosphate and silicate count in fresh water too: 100 µmol/kg of phosphate at pH
// 8.5 are nearly all HPO4 and hold as much alkalinity, silicate some of it.
func TestNutrientsInFreshWater(t *testing.T) {
	w := Water{Salinity: 0.1, Temperature: 25}
	plain, _, err1 := w.FromPH(500, 8.5, NBSScale)
	w.Phosphate, w.Silicate = 100, 300
	rich, _, err2 := w.FromPH(500, 8.5, NBSScale)
	if err := errors.Join(err1, err2); err != nil {
		t.Fatal(err)
	}
	want(t, "phosphate's alkalinity", rich.PhosphateAlkalinity, nil, 97, 2)
	want(t, "silicate's alkalinity", rich.SilicateAlkalinity, nil, 13, 3)
	want(t, "what carbon lacks", plain.HCO3+2*plain.CO3-rich.HCO3-2*rich.CO3, nil, rich.PhosphateAlkalinity+rich.SilicateAlkalinity, 1)
}

// In hard water with sulfate pairs lower the saturation, by what the hand finds: of
// calcium some 80 % is free beside 1.5 mmol/kg of sulfate at this ionic strength.
func TestPairsLowerSaturation(t *testing.T) {
	hard := hardWater()
	with, _, err1 := hard.FromPH(4000, 7.5, NBSScale)
	hard.Sulfate, hard.Magnesium, hard.Sodium, hard.Potassium = Measured(0), Measured(0), Measured(0), Measured(0)
	without, _, err2 := hard.FromPH(4000, 7.5, NBSScale)
	if err := errors.Join(err1, err2); err != nil {
		t.Fatal(err)
	}
	if ratio := with.OmegaCalcite / without.OmegaCalcite; ratio > 0.92 || ratio < 0.8 {
		t.Errorf("pairs leave %g of the saturation", ratio)
	}
}

// Mass is conserved among free and bound: what the shares say of the ligands and
// cations adds up to the totals.
func TestPairsConserve(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string, high float64) float64 { return rapid.Float64Range(0, high).Draw(t, name) }
		p := newPairs(rapid.Float64Range(273.15, 313.15).Draw(t, "T"), newDebyeHuckel(298.15, draw("I", 0.3)),
			[cations]float64{draw("Ca", 0.02), draw("Mg", 0.05), draw("Na", 0.3), draw("K", 0.01)}, draw("SO4", 0.03))
		hco3, co3 := draw("HCO3", 0.02), draw("CO3", 0.002)
		over1, over2, overCa := p.bound(hco3, co3)
		free1, free2, ca := hco3/over1, co3/over2, p.total[ofCa]/overCa
		if over1 < 1 || over2 < 1 || overCa < 1 {
			t.Fatalf("less in all than free: %g, %g, %g", over1, over2, overCa)
		}
		sulfateBound := (overCa - 1 - p.bind[withHCO3][ofCa]*free1 - p.bind[withCO3][ofCa]*free2) * ca
		if sulfateBound < -1e-12 || sulfateBound > p.sulfate+1e-12 {
			t.Fatalf("%g of %g sulfate is bound to calcium", sulfateBound, p.sulfate)
		}
		bound2 := p.bind[withCO3][ofCa] * ca * free2
		if bound2 > co3*(1+1e-9) || bound2 > p.total[ofCa]*(1+1e-9) {
			t.Fatalf("%g of CaCO3 from %g and %g", bound2, co3, p.total[ofCa])
		}
	})
}
