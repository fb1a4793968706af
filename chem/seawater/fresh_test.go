package seawater

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// freshwater_carbonate_constants.csv: Plummer and Busenberg 1982 at zero ionic
// strength, where activity coefficients are one.
func TestFreshConstants(t *testing.T) {
	rows := readTable(t, "freshwater_carbonate_constants.csv")
	if len(rows) != 15 {
		t.Fatalf("%d rows", len(rows))
	}
	for _, row := range rows {
		k := Fresh{Temperature: number(t, row["T_C"])}.constants()
		for name, got := range map[string]float64{"logKH": k.kh, "logK1": k.k1, "logK2": k.k2, "logKspCalcite": k.calcite,
			"logKspAragonite": k.aragonite} {
			want(t, name, math.Log10(got), nil, number(t, row[name]), 1e-8)
		}
		want(t, "activity coefficients", k.gamma1*k.gamma2, nil, 1, 1e-12)
	}
}

// pKw of pure water is 13.995 at 25 °C and 14.167 at 20 °C (IAPWS R11-07, from
// memory): Millero's form at S = 0 keeps to it within 0.005.
func TestWaterItself(t *testing.T) {
	for tC, pKw := range map[float64]float64{20: 14.167, 25: 13.995} {
		want(t, "pKw", -math.Log10(Fresh{Temperature: tC}.constants().kw), nil, pKw, 0.006)
	}
}

// Davies's coefficients at 25 °C: 0.966 at 1 mM, 0.901 at 10 mM, 0.78 at 0.1 M
// for a single charge (textbook values, such as Stumm and Morgan 1996, table
// 3.3; from memory).
func TestActivityCoefficients(t *testing.T) {
	for ionic, gamma := range map[float64]float64{1: 0.965, 10: 0.902, 100: 0.78} {
		k := Fresh{Temperature: 25, IonicStrength: ionic}.constants()
		want(t, "γ1", k.gamma1, nil, gamma, 0.003)
		want(t, "γ2", k.gamma2, nil, math.Pow(k.gamma1, 4), 1e-12)
	}
}

// Rain in equilibrium with air of 400 µatm has pH 5.61 (textbooks give 5.6).
func TestRain(t *testing.T) {
	rain, err := Fresh{Temperature: 25}.FromPCO2(0, 400)
	want(t, "pH of rain", rain.PH, err, 5.61, 0.01)
	want(t, "CO2 of rain", rain.CO2*1000, err, 13.6, 0.1)
}

// Water saturated with calcite in equilibrium with air of 10^-3.5 atm at 25 °C has
// pH 8.3 and 0.47 to 0.5 mmol/L of calcium (Stumm and Morgan 1996, chapter 4,
// pH 8.3 and [Ca] 4.7e-4 M; from memory).
func TestCalciteInAir(t *testing.T) {
	const calcium = 0.49
	f := Fresh{Temperature: 25, IonicStrength: 3 * calcium, Calcium: calcium}
	s, err := f.FromPCO2(2*calcium, math.Pow(10, -3.5)*1e6)
	want(t, "pH", s.PH, err, 8.3, 0.05)
	want(t, "Ω", s.OmegaCalcite, err, 1, 0.1)
	want(t, "Langelier index", s.LangelierIndex(), err, math.Log10(s.OmegaCalcite), 0)
}

// The trade's rule CO2 [mg/L] = 3·KH·10^(7 − pH), common practice, no source: at
// KH 4 dKH (1.43 meq/L), pH 7 and 25 °C it says 12 mg/L; the equilibrium says
// 13.1, as the rule's constant belongs to water of some 30 °C.
func TestFreeCarbonDioxide(t *testing.T) {
	const meqL, molarCO2 = 4 * 0.35665246, 44.009
	s, err := Fresh{Temperature: 25, IonicStrength: 4}.FromPH(meqL, 7)
	want(t, "CO2 in mg/L", s.CO2*molarCO2, err, 13.2, 0.2)
	want(t, "the trade's rule", 12, nil, s.CO2*molarCO2, 0.15*s.CO2*molarCO2)
}

// pH less the pH of saturation, solved for, is the index.
func TestLangelierIsADistanceInPH(t *testing.T) {
	f := Fresh{Temperature: 20, IonicStrength: 5, Calcium: 1.2}
	s, err := f.FromPH(2, 7)
	if err != nil {
		t.Fatal(err)
	}
	// At low pH the alkalinity is bicarbonate, so CO3 rises tenfold per pH.
	saturated, err := f.FromPH(2, 7-s.LangelierIndex())
	want(t, "Ω at the pH of saturation", saturated.OmegaCalcite, err, 1, 0.02)
	none, err := Fresh{Temperature: 20}.FromPH(2, 7)
	if err != nil || !math.IsInf(none.LangelierIndex(), -1) {
		t.Errorf("without calcium the index is %g, %v", none.LangelierIndex(), err)
	}
}

func TestFreshLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := Fresh{
			Temperature:   rapid.Float64Range(0, 40).Draw(t, "T"),
			IonicStrength: rapid.Float64Range(0, highestIonicStrength).Draw(t, "I"),
			Calcium:       rapid.Float64Range(0, highestFreshTotal).Draw(t, "Ca"),
		}
		alk := rapid.Float64Range(0, highestFreshTotal).Draw(t, "alkalinity")
		pCO2 := rapid.Float64Range(1, highestPressure).Draw(t, "pCO2")
		s, err := f.FromPCO2(alk, pCO2)
		if err != nil {
			t.Fatal(err)
		}
		k := f.constants()
		activity := exp10(-s.PH)
		sum := s.HCO3 + 2*s.CO3 + 1000*(k.kw/activity/k.gamma1-activity/k.gamma1)
		if math.Abs(sum-alk) > 1e-9*(alk+1) || math.Abs(s.CO2+s.HCO3+s.CO3-s.DIC) > 1e-9*s.DIC {
			t.Fatalf("alkalinity %g of %g, carbon %g of %g", sum, alk, s.CO2+s.HCO3+s.CO3, s.DIC)
		}
		back, err := f.FromPH(alk, s.PH)
		// Near pure water the alkalinity is a difference of small numbers.
		if alk > 0.01 && (err != nil || math.Abs(back.PCO2-pCO2) > 1e-6*pCO2) {
			t.Fatalf("pCO2 %g came back as %g, %v", pCO2, back.PCO2, err)
		}
		if s.DIC > highestFreshTotal {
			return
		}
		third, err := f.FromDIC(alk, s.DIC)
		if err != nil || math.Abs(third.PH-s.PH) > 1e-9 {
			t.Fatalf("pH %g came back from DIC %g as %g, %v", s.PH, s.DIC, third.PH, err)
		}
	})
}

func TestFreshOutOfRange(t *testing.T) {
	water := Fresh{Temperature: 25}
	nan := math.NaN()
	for _, c := range []struct {
		name     string
		call     func() (FreshCO2, error)
		quantity string
	}{
		{"frozen", func() (FreshCO2, error) { return Fresh{Temperature: -1}.FromPH(1, 7) }, "temperature"},
		{"sea", func() (FreshCO2, error) { return Fresh{Temperature: 25, IonicStrength: 700}.FromPH(1, 7) }, "ionic strength"},
		{"negative calcium", func() (FreshCO2, error) { return Fresh{Temperature: 25, Calcium: -1}.FromPCO2(1, 400) }, "calcium"},
		{"alkalinity NaN", func() (FreshCO2, error) { return water.FromPH(nan, 7) }, "alkalinity"},
		{"alkalinity 1000", func() (FreshCO2, error) { return water.FromPCO2(1000, 400) }, "alkalinity"},
		{"pH 20", func() (FreshCO2, error) { return water.FromPH(1, 20) }, "pH"},
		{"only hydroxide", func() (FreshCO2, error) { return water.FromPH(0.1, 11) }, "alkalinity at this pH"},
		{"no air", func() (FreshCO2, error) { return water.FromPCO2(1, 0) }, "partial pressure of CO2"},
		{"carbon NaN", func() (FreshCO2, error) { return water.FromDIC(1, nan) }, "inorganic carbon"},
		{"carbon and negative alkalinity", func() (FreshCO2, error) { return water.FromDIC(-1, 1) }, "alkalinity"},
		{"carbon when boiling", func() (FreshCO2, error) { return Fresh{Temperature: 99}.FromDIC(1, 1) }, "temperature"},
		{"lye without carbon", func() (FreshCO2, error) { return Fresh{Temperature: 25}.FromDIC(100, 0) }, "pH"},
		{"lye", func() (FreshCO2, error) { return Fresh{Temperature: 5}.FromPCO2(100, 1e-3) }, "pH"},
	} {
		got, err := c.call()
		var e RangeError
		if !errors.As(err, &e) || e.Quantity.String() != c.quantity || got != (FreshCO2{}) {
			t.Errorf("%s gave %+v, %v", c.name, got, err)
		}
	}
	for ec, mmol := range map[float64]float64{0: 0, 500: 8, 6000: 96} {
		got, err := IonicStrengthFromConductivity(ec)
		want(t, "ionic strength", got, err, mmol, 1e-12)
	}
	if got, err := IonicStrengthFromConductivity(50000); !errors.As(err, new(RangeError)) || got != 0 {
		t.Errorf("the sea's conductivity gave %g, %v", got, err)
	}
}
