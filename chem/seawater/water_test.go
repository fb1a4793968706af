package seawater

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// anyWater draws a water of a salinity, with or without measured ions.
func anyWater(t *rapid.T, s float64) Water {
	draw := func(name string, high float64) float64 { return rapid.Float64Range(0, high).Draw(t, name) }
	w := Water{Salinity: s, Temperature: rapid.Float64Range(5, 35).Draw(t, "T"), Set: rapid.SampledFrom(Sets()).Draw(t, "set")}
	if rapid.Bool().Draw(t, "measured") {
		w.IonicStrength, w.Calcium, w.Magnesium = Measured(draw("I", 2e5)), Measured(draw("Ca", 1e4)), Measured(draw("Mg", 3e4))
		w.Sulfate, w.Sodium, w.Boron = Measured(draw("SO4", 2e4)), Measured(draw("Na", 3e5)), Measured(draw("B", 800))
	}
	if rapid.Bool().Draw(t, "nutrients") {
		w.Phosphate, w.Silicate = draw("P", 200), draw("Si", 500)
	}
	return w
}

// seen is every derived quantity of a water, with its doubt.
func seen(w Water, ta, pH, pCO2 float64, scale PHScale) (values, doubts map[string]float64, err error) {
	s, d, err1 := w.FromPH(ta, pH, scale)
	a, ad, err2 := w.FromPCO2(ta, pCO2)
	b, bd, err3 := w.FromDIC(ta, 0.98*ta)
	nbs, err4 := a.PHOn(NBSScale)
	share, sd, err5 := w.UnionizedAmmonia(pH, scale)
	if w.Salinity > 40 {
		err5 = nil
	}
	values = map[string]float64{"DIC": s.DIC, "CO2": s.CO2, "HCO3": s.HCO3, "CO3": s.CO3, "PCO2": s.PCO2, "Ωa": s.OmegaAragonite,
		"Ωc": s.OmegaCalcite, "pH in air": a.PH, "NBS pH in air": nbs, "pH of DIC": b.PH, "NH3": share, "Ωc in air": a.OmegaCalcite}
	doubts = map[string]float64{"DIC": d.DIC, "CO2": d.CO2, "HCO3": d.HCO3, "CO3": d.CO3, "PCO2": d.PCO2, "Ωa": d.OmegaAragonite,
		"Ωc": d.OmegaCalcite, "pH in air": ad.PH, "NBS pH in air": ad.PH + a.Equilibria.NBSDoubt(), "pH of DIC": bd.PH, "NH3": sd,
		"Ωc in air": ad.OmegaCalcite}
	return values, doubts, errors.Join(err1, err2, err3, err4, err5)
}

// From fresh water to the sea there is no hole and no jump: over a hair of salinity
// nothing that is derived moves by more than a hair, least of all by its doubt,
// wherever the equations change.
func TestNoJumpFromFreshToSea(t *testing.T) {
	seams := []float64{0.05, naturalUpTo, freshUpTo, lowSalinity, saltFrom, seaFrom, takahashiFrom, setFrom, 39.999999, 40}
	rapid.Check(t, func(t *rapid.T) {
		at := rapid.Float64Range(0.05, 42).Draw(t, "S")
		if rapid.Bool().Draw(t, "at a seam") {
			at = rapid.SampledFrom(seams).Draw(t, "seam")
		}
		w := anyWater(t, at)
		ta, pH := rapid.Float64Range(600, 6000).Draw(t, "TA"), rapid.Float64Range(6.5, 8.4).Draw(t, "pH")
		scale := rapid.SampledFrom([]PHScale{TotalScale, FreeScale, SeawaterScale, NBSScale}).Draw(t, "scale")
		const hair = 1e-6
		low, high := w, w
		low.Salinity, high.Salinity = at-hair, at+hair
		before, doubts, err1 := seen(low, ta, pH, 420, scale)
		after, _, err2 := seen(high, ta, pH, 420, scale)
		if err := errors.Join(err1, err2); err != nil {
			if at < 42-hair {
				t.Fatalf("a hole at S %g: %v", at, err)
			}
			return
		}
		if high.Salinity > 40 { // where the constant of ammonia ends
			delete(before, "NH3")
		}
		for name, v := range before {
			moved := math.Abs(after[name] - v)
			if !(moved <= 1e-4*math.Abs(v)+1e-9) || math.IsNaN(v) {
				t.Fatalf("%s jumps at S %g from %g to %g, doubt %g", name, at, v, after[name], doubts[name])
			}
		}
	})
}

// Along the bridges no value strays by more from either model than they stand
// apart: it lies between them, and the doubt is half of that in the middle.
func TestBridgesLieBetween(t *testing.T) {
	for _, s := range []float64{1.5, 3, 4.5, 12, 22.5} {
		for _, tC := range []float64{5, 15, 25, 30} {
			var c course
			w := Water{Salinity: s, Temperature: tC}
			if err := w.lay(&c); err != nil {
				t.Fatal(err)
			}
			e := c.mixed()
			for name, k := range map[string][3]float64{
				"K1": {c.lower.K1, e.K1, c.upper.K1}, "K2": {c.lower.K2, e.K2, c.upper.K2}, "KB": {c.lower.KB, e.KB, c.upper.KB},
				"calcite":   {c.lower.KspCalcite, e.KspCalcite, c.upper.KspCalcite},
				"aragonite": {c.lower.KspAragonite, e.KspAragonite, c.upper.KspAragonite},
				"fH":        {c.lower.activity, e.activity, c.upper.activity},
			} {
				if low, high := min(k[0], k[2]), max(k[0], k[2]); k[1] < low*(1-1e-12) || k[1] > high*(1+1e-12) {
					t.Errorf("%s at S %g and %g °C is %g, outside %g to %g", name, s, tC, k[1], low, high)
				}
			}
		}
	}
	w := Water{Salinity: 3, Temperature: 25}
	var c course
	if err := w.lay(&c); err != nil {
		t.Fatal(err)
	}
	want(t, "the middle of the bridge", c.weight, nil, 0.5, 1e-12)
	p := pair{ta: 2000, with: withPH, value: 7.8, scale: NBSScale}
	s, doubt, err := w.FromPH(2000, 7.8, NBSScale)
	e := c.mixed()
	if _, err := c.settle(&e, p); err != nil {
		t.Fatal(err)
	}
	lower, err1 := p.solve(&c.lower)
	upper, err2 := p.solve(&c.upper)
	if err := errors.Join(err, err1, err2); err != nil {
		t.Fatal(err)
	}
	close2(t, "doubt of Ω", doubt.OmegaCalcite, math.Abs(upper.OmegaCalcite-lower.OmegaCalcite)/2, 1e-9)
	half := func(a, b float64) float64 { return math.Abs(b-a) / 2 }
	if whole := (CO2Doubt{
		PH: half(lower.PH, upper.PH), DIC: half(lower.DIC, upper.DIC), CO2: half(lower.CO2, upper.CO2), HCO3: half(lower.HCO3, upper.HCO3),
		CO3: half(lower.CO3, upper.CO3), PCO2: half(lower.PCO2, upper.PCO2),
		OmegaAragonite: half(lower.OmegaAragonite, upper.OmegaAragonite), OmegaCalcite: half(lower.OmegaCalcite, upper.OmegaCalcite),
	}); whole != doubt || doubt.PCO2 == 0 || doubt.DIC == 0 {
		t.Errorf("the doubt is %+v, want %+v", doubt, whole)
	}
	if doubt.OmegaCalcite < 0.005*s.OmegaCalcite || doubt.OmegaCalcite > 0.15*s.OmegaCalcite {
		t.Errorf("Ω %g ± %g", s.OmegaCalcite, doubt.OmegaCalcite)
	}
}

// How far the models of the bridges stand apart, so that a change of either is
// seen: at 1, 3 and 5 PSU K1 within 0.018, K2 within 0.07 and the products within
// 0.21 of one another in log10 between 15 and 30 °C; the two ways to the activity of
// hydrogen within 0.045 from 5 to 20 PSU.
func TestBridgesAreShort(t *testing.T) {
	for _, tC := range []float64{15, 25, 30} {
		for _, s := range []float64{1.001, 3, 4.999} {
			var c course
			if err := (Water{Salinity: s, Temperature: tC}).lay(&c); err != nil {
				t.Fatal(err)
			}
			want(t, "pK1", math.Log10(c.lower.K1), nil, math.Log10(c.upper.K1), 0.018)
			want(t, "pK2", math.Log10(c.lower.K2), nil, math.Log10(c.upper.K2), 0.07)
			want(t, "calcite", math.Log10(c.lower.KspCalcite), nil, math.Log10(c.upper.KspCalcite), 0.21)
		}
		for s := 5.0; s < 20; s++ {
			var c course
			if err := (Water{Salinity: s, Temperature: tC}).lay(&c); err != nil {
				t.Fatal(err)
			}
			want(t, "log fH", math.Log10(c.lower.activity), nil, math.Log10(c.upper.activity), 0.046)
		}
	}
}

// In the sea the course is the chosen set itself, and the set of brackish water
// keeps the chosen borate.
func TestCourseKeepsTheSet(t *testing.T) {
	for _, set := range Sets() {
		w := Water{Salinity: 35, Temperature: 25, Set: set}
		e, err := w.Equilibria()
		pure, err2 := Conditions{Salinity: 35, Temperature: 25, Set: set}.Equilibria()
		if err := errors.Join(err, err2); err != nil || e != pure || w.Equations().String() != set.String() {
			t.Errorf("%s: %v, %q", set, err, w.Equations())
		}
		w.Salinity = 10
		low, err := w.Equilibria()
		pure, err2 = Conditions{Salinity: 10, Temperature: 25, Set: set.brackish()}.Equilibria()
		if err := errors.Join(err, err2); err != nil || low.K1 != pure.K1 || low.Borate != pure.Borate {
			t.Errorf("%s in brackish water: %v", set, err)
		}
	}
	lee, _ := Water{Salinity: 10, Temperature: 25, Set: SetLee}.Equilibria()
	close2(t, "borate of Lee in brackish water", lee.Borate, 0.0004326*10/35, 1e-12)
	for s, name := range map[float64]string{
		0.2: "Plummer and Busenberg 1982",
		3:   "between Plummer and Busenberg 1982 and Millero 2010, borate of Uppström 1974",
		10:  "Millero 2010, borate of Uppström 1974",
		22:  "between Millero 2010, borate of Uppström 1974 and Lueker 2000, borate of Uppström 1974",
		35:  "Lueker 2000, borate of Uppström 1974",
	} {
		if got := (Water{Salinity: s}).Equations().String(); got != name {
			t.Errorf("at S %g the equations are %q, want %q", s, got, name)
		}
	}
}

// There is one ionic strength. Natural fresh water of 500 µS/cm has 8 mmol/L by
// Russell's rule; from 5 PSU it is the sea's, 0.7226 at S 35 (Dickson, Sabine and
// Christian 2007: 0.723); a conductivity and the salinity that it tells agree.
func TestIonicStrength(t *testing.T) {
	for ec, molal := range map[float64]float64{0: 0, 500: 0.008, 950: 0.0152} {
		i, err := IonicStrengthFromConductivity(ec)
		want(t, "by conductivity", i, err, molal, 1e-12)
	}
	sea, err := IonicStrength(35)
	want(t, "of the sea", sea, err, 0.7227, 1e-4)
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.Float64Range(0, 42).Draw(t, "S")
		ec, err1 := ConductivityFromSalinity(s, 25)
		a, err2 := IonicStrength(s)
		b, err3 := IonicStrengthFromConductivity(min(ec*1000, 62000))
		if err := errors.Join(err1, err2, err3); err != nil {
			t.Fatal(err)
		}
		if ec < 62 && math.Abs(a-b) > 1e-9 {
			t.Fatalf("S %g has %g, its conductivity %g", s, a, b)
		}
		back := salinityOfIonicStrength(seaSaltIonicStrength(s))
		if math.Abs(back-s) > 1e-12*s {
			t.Fatalf("S %g came back as %g", s, back)
		}
	})
	if _, err := IonicStrengthFromConductivity(-1); !errors.As(err, new(RangeError)) {
		t.Errorf("a negative conductivity gave %v", err)
	}
}

// A bridge begins and ends without a bend, by hand 3t² − 2t³.
func TestSmooth(t *testing.T) {
	for x, y := range map[float64]float64{0.5: 0, 1: 0, 1.04: 2.98e-4, 2: 0.15625, 3: 0.5, 4.96: 1 - 2.98e-4, 5: 1, 9: 1} {
		want(t, "the weight", smooth(x, 1, 5), nil, y, 1e-6)
	}
}

// A pH on the NBS scale is in more doubt the further below 20 PSU, and 0.01 above.
func TestNBSDoubt(t *testing.T) {
	for s, doubt := range map[float64]float64{35: 0.01, 20: 0.01, 10: 0.03, 3: 0.03, 0.1: 0.012} {
		e, err := Water{Salinity: s, Temperature: 25}.Equilibria()
		want(t, "doubt of the NBS scale", e.NBSDoubt(), err, doubt, 0.012)
	}
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.Float64Range(0, 42).Draw(t, "S")
		e, err := Water{Salinity: s, Temperature: 25}.Equilibria()
		if err != nil || e.NBSDoubt() < 0.01 || e.NBSDoubt() > 0.06 {
			t.Fatalf("at S %g NBS is in doubt by %g, %v", s, e.NBSDoubt(), err)
		}
	})
}

// In fresh water the constants take the NBS scale as it is, and a pH on another must
// be brought to it; in the sea it is the other way round.
func TestScaleDoubt(t *testing.T) {
	for _, c := range []struct {
		s          float64
		nbs, total float64
	}{{0.3, 0, 0.0155}, {3, 0.0144, 0.0144}, {35, 0.01, 0}} {
		w := Water{Salinity: c.s, Temperature: 25}
		nbs, err1 := w.ScaleDoubt(NBSScale)
		total, err2 := w.ScaleDoubt(TotalScale)
		want(t, "doubt of an NBS pH", nbs, err1, c.nbs, 5e-4)
		want(t, "doubt of a pH on the total scale", total, err2, c.total, 5e-4)
	}
	if _, err := (Water{Salinity: -1}).ScaleDoubt(NBSScale); !errors.As(err, new(RangeError)) {
		t.Errorf("a salinity below zero gave %v", err)
	}
}

// Ammonia of fresh water with its ionic strength: Emerson's constant alone reads 7 %
// too high at 5 mmol/L and 27 % at 100, which is what ammonium's activity coefficient
// leaves out (0.93 and 0.78 by Davies); here by Truesdell and Jones's.
func TestAmmoniaWithIonicStrength(t *testing.T) {
	for ionic, over := range map[float64]float64{0: 1, 0.005: 1.07, 0.1: 1.33} {
		w := Water{Temperature: 25, IonicStrength: Measured(ionic * 1e6)}
		share, doubt, err := w.UnionizedAmmonia(8, NBSScale)
		alone, _, err2 := distilled(25).UnionizedAmmonia(8, NBSScale)
		want(t, "Emerson's share over the water's", alone/share, errors.Join(err, err2), over, 0.03)
		if doubt != 0 {
			t.Errorf("fresh water's share is in doubt by %g", doubt)
		}
	}
	sea, doubt, err := Water{Salinity: 35, Temperature: 25}.UnionizedAmmonia(8, TotalScale)
	want(t, "share in the sea", sea, err, shareOfBase(8, pKClegg(35, 25)), 1e-15)
	want(t, "its doubt", doubt, nil, 0, 0)
	_, between, err := Water{Salinity: 3, Temperature: 25}.UnionizedAmmonia(8, NBSScale)
	want(t, "doubt on the bridge", between, err, 0.0014, 0.0002)
}

func TestWaterOutOfRange(t *testing.T) {
	nan := math.NaN()
	water := distilled(25)
	for _, c := range []struct {
		name     string
		call     func() (CO2System, CO2Doubt, error)
		quantity string
	}{
		{"frozen", func() (CO2System, CO2Doubt, error) { return distilled(-1).FromPH(1000, 7, NBSScale) }, "temperature"},
		{"S 90", func() (CO2System, CO2Doubt, error) {
			return Water{Salinity: 90, Temperature: 25}.FromPH(1000, 7, NBSScale)
		}, "salinity"},
		{"no set", func() (CO2System, CO2Doubt, error) { return Water{Set: 9}.FromPH(1000, 7, NBSScale) }, "set of constants"},
		{"phosphate", func() (CO2System, CO2Doubt, error) {
			return Water{Temperature: 25, Phosphate: nan}.FromPH(1, 7, NBSScale)
		},
			"phosphate"},
		{"alkalinity NaN", func() (CO2System, CO2Doubt, error) { return water.FromPH(nan, 7, NBSScale) }, "alkalinity"},
		{"alkalinity", func() (CO2System, CO2Doubt, error) { return water.FromPCO2(1e6, 400) }, "alkalinity"},
		{"pH 20", func() (CO2System, CO2Doubt, error) { return water.FromPH(1000, 20, NBSScale) }, "pH"},
		{"only hydroxide", func() (CO2System, CO2Doubt, error) { return water.FromPH(100, 11, NBSScale) }, "alkalinity at this pH"},
		{"no air", func() (CO2System, CO2Doubt, error) { return water.FromPCO2(1000, 0) }, "partial pressure of CO2"},
		{"carbon NaN", func() (CO2System, CO2Doubt, error) { return water.FromDIC(1000, nan) }, "inorganic carbon"},
		{"negative alkalinity", func() (CO2System, CO2Doubt, error) { return water.FromDIC(-1, 1) }, "alkalinity"},
		{"lye without carbon", func() (CO2System, CO2Doubt, error) { return water.FromDIC(100000, 0) }, "pH"},
		{"lye", func() (CO2System, CO2Doubt, error) { return distilled(5).FromPCO2(100000, 1e-3) }, "pH"},
	} {
		got, doubt, err := c.call()
		var e RangeError
		if !errors.As(err, &e) || e.Quantity.String() != c.quantity || got != (CO2System{}) || doubt != (CO2Doubt{}) {
			t.Errorf("%s gave %+v, %v", c.name, got, err)
		}
	}
	for _, w := range []Water{{Salinity: 41, Temperature: 25}, {Salinity: 35, Temperature: nan}, {Salinity: nan}} {
		if share, _, err := w.UnionizedAmmonia(8, TotalScale); !errors.As(err, new(RangeError)) || share != 0 {
			t.Errorf("ammonia of %+v gave %g, %v", w, share, err)
		}
	}
	if _, _, err := water.UnionizedAmmonia(20, NBSScale); !errors.As(err, new(RangeError)) {
		t.Errorf("ammonia at pH 20 gave %v", err)
	}
}

// Every pair leads to the same water on the whole course.
func TestWaterPairsAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := anyWater(t, rapid.Float64Range(0, 42).Draw(t, "S"))
		ta := rapid.Float64Range(300, 20000).Draw(t, "TA")
		pH := rapid.Float64Range(5, 9).Draw(t, "pH")
		s, _, err := w.FromPH(ta, pH, TotalScale)
		if err != nil {
			if !errors.As(err, new(RangeError)) {
				t.Fatalf("an error of another kind: %v", err)
			}
			return
		}
		d, _, err := w.FromDIC(ta, s.DIC)
		if err != nil || math.Abs(d.PH-pH) > 1e-9 {
			t.Fatalf("pH %g came back from DIC %g as %g, %v", pH, s.DIC, d.PH, err)
		}
		if s.PCO2 < lowestPressure || s.PCO2 > highestPressure {
			return
		}
		p, _, err := w.FromPCO2(ta, s.PCO2)
		if err != nil || math.Abs(p.PH-pH) > 1e-9 {
			t.Fatalf("pH %g came back from pCO2 %g as %g, %v", pH, s.PCO2, p.PH, err)
		}
	})
}

// From 25 PSU the chosen set alone holds, at every temperature of its own and without a
// bridge's doubt; below, down to 20, it is mixed with the set for brackish water.
func TestTheSetHoldsFrom25(t *testing.T) {
	for _, set := range Sets() {
		for _, s := range []float64{25, 27.5, 30} {
			alone, err := Conditions{Salinity: s, Temperature: 25, Set: set}.FromPH(2300, 8.1, TotalScale)
			got, doubt, err2 := Water{Salinity: s, Temperature: 25, Set: set}.FromPH(2300, 8.1, TotalScale)
			if err := errors.Join(err, err2); err != nil || got.PCO2 != alone.PCO2 || got.OmegaCalcite != alone.OmegaCalcite ||
				doubt != (CO2Doubt{}) {
				t.Errorf("%s at S %g: %g µatm with doubt %+v, the set says %g, %v", set, s, got.PCO2, doubt, alone.PCO2, err)
			}
			if name := (Water{Salinity: s, Set: set}).Equations(); name.String() != set.String() {
				t.Errorf("at S %g it goes by %s", s, name)
			}
		}
		got, doubt, err := Water{Salinity: 24.9, Temperature: 25, Set: set}.FromPH(2300, 8.1, TotalScale)
		if bridged := set != set.brackish(); err != nil || (doubt.PCO2 > 0) != bridged || got.PCO2 <= 0 {
			t.Errorf("%s at S 24.9: doubt %+v, %v", set, doubt, err)
		}
	}
}

// The borate of a set holds along its whole course, on the bridge too: by hand 0.0004157
// (Uppström 1974, to the four digits) or 0.0004326 (Lee et al. 2010) mol/kg at 35 PSU, in
// proportion.
func TestBorateOnTheBridge(t *testing.T) {
	for set, at35 := range map[Set]float64{SetUppstrom: 4.157e-4, SetLee: 4.326e-4, SetGuide2007: 4.157e-4, SetEstuary: 4.157e-4,
		SetEstuaryLee: 4.326e-4} {
		for _, s := range []float64{8, 20.001, 21, 22.5, 24.999, 25, 35} {
			e, err := Water{Salinity: s, Temperature: 25, Set: set}.Equilibria()
			want(t, set.String(), e.Borate, err, at35*s/35, 7e-8)
		}
		measured, err := Water{Salinity: 22.5, Temperature: 25, Set: set, Boron: Measured(500)}.Equilibria()
		want(t, set.String()+", measured", measured.Borate, err, 5e-4, 1e-9)
	}
}
