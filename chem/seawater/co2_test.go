package seawater

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

var carbonateTables = []struct {
	file string
	set  Set
}{
	{"carbonate_uppstrom1974.csv", SetUppstrom},
	{"carbonate_lee2010.csv", SetLee},
	{"carbonate_guide2007.csv", SetGuide2007},
	{"carbonate_nutrients.csv", SetUppstrom},
}

// columns reads a row's numbers by name, zero for a column that is not there.
type columns map[string]float64

func carbonateRows(t *testing.T, file string) []columns {
	t.Helper()
	var rows []columns
	for _, row := range readTable(t, file) {
		c := columns{}
		for name, text := range row {
			c[name] = number(t, text)
		}
		rows = append(rows, c)
	}
	return rows
}

func (c columns) conditions(set Set) Conditions {
	return Conditions{Salinity: c["S"], Temperature: c["T_C"], Phosphate: c["PO4T_umolkg"], Silicate: c["SiT_umolkg"], Set: set}
}

func close2(t *testing.T, what string, got, want, relative float64) {
	t.Helper()
	if !(math.Abs(got-want) <= relative*math.Abs(want)) {
		t.Errorf("%s is %.12g, want %.12g: off by %.2g", what, got, want, got/want-1)
	}
}

// The tables of testdata, computed by PyCO2SYS 1.8.3.4 (Humphreys et al. 2022)
// and by a second transcription of the papers: constants, species and saturation
// states from alkalinity and pH, to half a unit of the tables' tenth digit.
func TestCarbonateTablesFromPH(t *testing.T) {
	for _, table := range carbonateTables {
		rows := carbonateRows(t, table.file)
		if len(rows) < 20 {
			t.Fatalf("%s has %d rows", table.file, len(rows))
		}
		for _, row := range rows {
			s, err := row.conditions(table.set).FromPH(row["TA_umolkg"], row["pH_total"], TotalScale)
			if err != nil {
				t.Fatalf("%s: %v", table.file, err)
			}
			e := s.Equilibria
			got := map[string]float64{
				"DIC_umolkg": s.DIC, "pCO2_uatm": s.PCO2, "fCO2": s.FCO2, "HCO3": s.HCO3, "CO3": s.CO3, "CO2aq": s.CO2,
				"BOH4": s.BOH4, "OmegaAr": s.OmegaAragonite, "OmegaCa": s.OmegaCalcite, "OH": s.OH, "HSO4": s.HSO4,
				"HF": s.HF, "Hfree": s.HFree, "K0": e.K0, "K1": e.K1, "K2": e.K2, "KB": e.KB, "KW": e.KW, "KS": e.KS,
				"KspAr": e.KspAragonite, "KspCa": e.KspCalcite, "BT": e.Borate * 1e6, "ST": e.Sulfate * 1e6,
				"FT": e.Fluoride * 1e6, "CaT": e.Calcium * 1e6, "fH": e.activity, "fugfac": e.FugacityFactor,
				"KF": e.KF,
			}
			if table.set == SetGuide2007 { // its column KF is on the total scale
				got["KF"], got["KF_free"] = e.KF*e.freeToTotal, e.KF
			}
			if _, nutrients := row["PAlk"]; nutrients {
				got["PAlk"], got["SiAlk"] = s.PhosphateAlkalinity, s.SilicateAlkalinity
				got["KP1"], got["KP2"], got["KP3"], got["KSi"] = e.KP1, e.KP2, e.KP3, e.KSi
			}
			for name, v := range got {
				expected, there := row[name]
				if !there {
					t.Fatalf("%s has no column %s", table.file, name)
				}
				close2(t, table.file+" "+name, v, expected, 2e-9)
			}
			for scale, name := range map[PHScale]string{NBSScale: "pH_NBS", FreeScale: "pH_free", SeawaterScale: "pH_SWS"} {
				on, err := s.PHOn(scale)
				want(t, table.file+" "+name, on, err, row[name], 2e-9)
			}
		}
	}
}

// The same rows from the other pairs, and from the pH on another scale.
func TestCarbonateTablesFromOtherPairs(t *testing.T) {
	for _, table := range carbonateTables {
		for _, row := range carbonateRows(t, table.file) {
			c, ta := row.conditions(table.set), row["TA_umolkg"]
			s, err := c.FromDIC(ta, row["DIC_umolkg"])
			want(t, table.file+" pH from DIC", s.PH, err, row["pH_total"], 1e-7)
			s, err = c.FromPCO2(ta, row["pCO2_uatm"])
			want(t, table.file+" pH from pCO2", s.PH, err, row["pH_total"], 1e-7)
			close2(t, table.file+" DIC from pCO2", s.DIC, row["DIC_umolkg"], 1e-7)
			s, err = c.FromPH(ta, row["pH_NBS"], NBSScale)
			want(t, table.file+" pH from NBS", s.PH, err, row["pH_total"], 2e-9)
		}
	}
}

// Check values at S 35 and 25 °C of Dickson, Sabine and Christian 2007, PICES
// Special Publication 3, chapter 5, and for Mucci's products of Zeebe and
// Wolf-Gladrow 2001, appendix A, each to its last printed digit.
func TestGuide2007CheckValues(t *testing.T) {
	e, err := Conditions{Salinity: 35, Temperature: 25, Set: SetGuide2007, Phosphate: 1, Silicate: 1}.Equilibria()
	if err != nil {
		t.Fatal(err)
	}
	got := map[string]float64{
		"ln K0": math.Log(e.K0), "log10 K1": math.Log10(e.K1), "log10 K2": math.Log10(e.K2), "ln KB": math.Log(e.KB),
		"ln KW": math.Log(e.KW), "ln KS": math.Log(e.KS), "ln KF": math.Log(e.KF * e.freeToTotal),
		"ln KP1": math.Log(e.KP1), "ln KP2": math.Log(e.KP2), "ln KP3": math.Log(e.KP3), "ln KSi": math.Log(e.KSi),
		"log10 KspAr": math.Log10(e.KspAragonite), "log10 KspCa": math.Log10(e.KspCalcite),
	}
	a, err := Conditions{Salinity: 35, Temperature: 25}.Equilibria()
	if err != nil {
		t.Fatal(err)
	}
	got["ln KF DR79"] = math.Log(a.KF)
	got["ln KW total SET A"] = math.Log(a.KW)
	got["ln KW M95"] = newKelvin(25, 35).lnWater()
	// Half of the last printed digit; the Guide's KP1 to KP3 and KSi are
	// rounded from terms of their own, hence a unit or three there.
	digits := map[string]float64{"ln K0": 5e-5, "log10 K1": 5e-5, "log10 K2": 5e-5, "ln KB": 5e-5, "ln KW": 5e-4, "ln KS": 5e-3,
		"ln KF": 5e-3, "ln KP1": 5e-3, "ln KP2": 5e-4, "ln KP3": 5e-3, "ln KSi": 5e-3, "log10 KspAr": 5e-5, "log10 KspCa": 5e-5}
	for _, row := range readTable(t, "carbonate_checkvalues.csv") {
		name := row["constant"]
		want(t, name, got[name], nil, number(t, row["computed"]), 2e-9*math.Abs(got[name])+5e-10)
		if row["published"] != "" {
			want(t, name+" as published", got[name], nil, number(t, row["published"]), digits[name])
		}
	}
}

// Millero 2010 against Lueker et al. 2000 where both hold: the two agree within
// the scatter of the measurements, 0.01 in pK1 and 0.02 in pK2 between 20 and
// 40 PSU, and go to Plummer and Busenberg 1982 in fresh water within the same.
func TestEstuaryAgainstItsNeighbours(t *testing.T) {
	for s := 20.0; s <= 40; s += 5 {
		for tC := 10.0; tC <= 35; tC += 5 {
			a, errA := Conditions{Salinity: s, Temperature: tC}.Equilibria()
			m, errM := Conditions{Salinity: s, Temperature: tC, Set: SetEstuary}.Equilibria()
			if err := errors.Join(errA, errM); err != nil {
				t.Fatal(err)
			}
			want(t, "pK1", math.Log10(m.K1), nil, math.Log10(a.K1), 0.015)
			want(t, "pK2", math.Log10(m.K2), nil, math.Log10(a.K2), 0.03)
		}
	}
	for _, row := range readTable(t, "freshwater_carbonate_constants.csv") {
		k1, k2 := newKelvin(number(t, row["T_C"]), 0).carbonicMillero()
		want(t, "pK1 in fresh water", math.Log10(k1), nil, number(t, row["logK1"]), 0.02)
		want(t, "pK2 in fresh water", math.Log10(k2), nil, number(t, row["logK2"]), 0.02)
	}
}

// anyConditions draws from the whole range of a set.
func anyConditions(t *rapid.T) Conditions {
	c := Conditions{Set: Set(rapid.IntRange(int(SetUppstrom), int(SetEstuaryLee)).Draw(t, "set"))}
	lowS, highS, lowT, highT := c.Set.Limits()
	c.Salinity = rapid.Float64Range(lowS, highS).Draw(t, "S")
	c.Temperature = rapid.Float64Range(lowT, highT).Draw(t, "T")
	c.Phosphate = rapid.Float64Range(0, highestNutrient).Draw(t, "P")
	c.Silicate = rapid.Float64Range(0, highestNutrient).Draw(t, "Si")
	c.Calcium = Measured(rapid.Float64Range(0, highestTotal).Draw(t, "Ca"))
	return c
}

// Every pair leads to the same water, on the whole valid domain.
func TestPairsAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := anyConditions(t)
		ta := rapid.Float64Range(0, highestTotal).Draw(t, "TA")
		pH := rapid.Float64Range(MinPH+1e-6, MaxPH-1e-6).Draw(t, "pH")
		s, err := c.FromPH(ta, pH, TotalScale)
		if err != nil {
			if !errors.As(err, new(RangeError)) {
				t.Fatalf("an error of another kind: %v", err)
			}
			t.Skip("no carbon, or too much of it, at this alkalinity and pH")
		}
		d, err := c.FromDIC(ta, s.DIC)
		if err != nil || math.Abs(d.PH-pH) > 1e-9 {
			t.Fatalf("pH %g came back from DIC %g as %g, %v", pH, s.DIC, d.PH, err)
		}
		if s.PCO2 < lowestPressure || s.PCO2 > highestPressure {
			return
		}
		p, err := c.FromPCO2(ta, s.PCO2)
		if err != nil || math.Abs(p.PH-pH) > 1e-9 {
			t.Fatalf("pH %g came back from pCO2 %g as %g, %v", pH, s.PCO2, p.PH, err)
		}
	})
}

// Any alkalinity and inorganic carbon in range give one pH or say that it lies
// outside 3 to 12; carbon and alkalinity are conserved in the species.
func TestConservation(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := anyConditions(t)
		ta := rapid.Float64Range(0, highestTotal).Draw(t, "TA")
		dic := rapid.Float64Range(0, highestTotal).Draw(t, "DIC")
		s, err := c.FromDIC(ta, dic)
		if err != nil {
			var e RangeError
			if !errors.As(err, &e) || e.Quantity != "pH" || (e.Value >= MinPH && e.Value <= MaxPH) {
				t.Fatalf("alkalinity %g and carbon %g gave %v", ta, dic, err)
			}
			return
		}
		carbon := s.CO2 + s.HCO3 + s.CO3
		alk := s.HCO3 + 2*s.CO3 + s.BOH4 + s.OH + s.PhosphateAlkalinity + s.SilicateAlkalinity - s.HFree - s.HSO4 - s.HF
		borate := (s.BOH4 + s.BOH3) / 1e6 / s.Equilibria.Borate
		// What is added to the shares is for the rounding of large terms.
		if math.Abs(carbon-dic) > 1e-12*dic+1e-20 || math.Abs(alk-ta) > 1e-10*(ta+dic)+1e-7 || math.Abs(borate-1) > 1e-12 {
			t.Fatalf("carbon %g of %g, alkalinity %g of %g, borate %g", carbon, dic, alk, ta, borate)
		}
	})
}

// The slopes and the Revelle factor against differences of solved waters.
func TestSlopes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := anyConditions(t)
		c.Calcium = Measured(rapid.Float64Range(1000, 20000).Draw(t, "Ca of a sea"))
		ta := rapid.Float64Range(500, 10000).Draw(t, "TA")
		dic := rapid.Float64Range(0.5, 1.2).Draw(t, "DIC/TA") * ta
		s, err := c.FromDIC(ta, dic)
		if err != nil {
			t.Fatal(err)
		}
		step := 1e-4 * ta
		up, err1 := c.FromDIC(ta+step, dic)
		down, err2 := c.FromDIC(ta-step, dic)
		more, err3 := c.FromDIC(ta, dic*(1+1e-5))
		less, err4 := c.FromDIC(ta, dic*(1-1e-5))
		rich := c
		rich.Calcium = Measured(c.Calcium.umolKg + 1)
		richer, err5 := rich.FromDIC(ta, dic)
		if err := errors.Join(err1, err2, err3, err4, err5); err != nil {
			t.Fatal(err)
		}
		for name, pair := range map[string][2]float64{
			"dpH/dTA":         {s.Slopes.PHPerTA, (up.PH - down.PH) / (2 * step)},
			"dΩarag/dTA":      {s.Slopes.OmegaAragonitePerTA, (up.OmegaAragonite - down.OmegaAragonite) / (2 * step)},
			"dΩcalc/dTA":      {s.Slopes.OmegaCalcitePerTA, (up.OmegaCalcite - down.OmegaCalcite) / (2 * step)},
			"dΩarag/dCa":      {s.Slopes.OmegaAragonitePerCa, richer.OmegaAragonite - s.OmegaAragonite},
			"dΩcalc/dCa":      {s.Slopes.OmegaCalcitePerCa, richer.OmegaCalcite - s.OmegaCalcite},
			"Revelle":         {s.Revelle, math.Log(more.PCO2/less.PCO2) / math.Log((1+1e-5)/(1-1e-5))},
			"pH by Ca (none)": {s.PH, richer.PH},
		} {
			if !(math.Abs(pair[0]-pair[1]) <= 1e-3*math.Abs(pair[0])) {
				t.Fatalf("%s is %g, by differences %g", name, pair[0], pair[1])
			}
		}
	})
}

// The surface ocean of 1994: pCO2 360 µatm, pH about 8.1, and a Revelle factor
// of 9 to 10 in warm water and 12 to 15 in cold (Sabine et al. 2004, Science 305,
// 367-371, figure 3; from memory, rounded).
func TestSurfaceOcean(t *testing.T) {
	warm, err := Conditions{Salinity: 35, Temperature: 25}.FromPCO2(2305, 360)
	if err != nil || math.Abs(warm.PH-8.10) > 0.02 || warm.Revelle < 8.5 || warm.Revelle > 10.5 || math.Abs(warm.OmegaAragonite-3.9) > 0.3 {
		t.Errorf("the warm ocean has pH %.3f, Revelle %.2f, Ω %.2f, %v", warm.PH, warm.Revelle, warm.OmegaAragonite, err)
	}
	cold, err := Conditions{Salinity: 34, Temperature: 2}.FromPCO2(2305, 360)
	if err != nil || cold.Revelle < 12 || cold.Revelle > 15.5 {
		t.Errorf("the cold ocean has a Revelle factor of %.2f, %v", cold.Revelle, err)
	}
}

func TestMeasuredCalcium(t *testing.T) {
	sea, err1 := Conditions{Salinity: 35, Temperature: 25}.FromPH(2300, 8.1, TotalScale)
	twice := Conditions{Salinity: 35, Temperature: 25, Calcium: Measured(2 * sea.Equilibria.Calcium * 1e6)}
	rich, err2 := twice.FromPH(2300, 8.1, TotalScale)
	if err := errors.Join(err1, err2); err != nil {
		t.Fatal(err)
	}
	close2(t, "Ω aragonite at twice the calcium", rich.OmegaAragonite, 2*sea.OmegaAragonite, 1e-12)
	close2(t, "Ω calcite at twice the calcium", rich.OmegaCalcite, 2*sea.OmegaCalcite, 1e-12)
	none := Conditions{Salinity: 35, Temperature: 25, Calcium: Measured(0)}
	bare, err := none.FromPH(2300, 8.1, TotalScale)
	want(t, "Ω of water in which no calcium was found", bare.OmegaCalcite, err, 0, 0)
}

// Boron that was measured counts in alkalinity: at twice the sea's, borate holds
// twice as much of it, which carbon then has not.
func TestMeasuredBoron(t *testing.T) {
	c := Conditions{Salinity: 35, Temperature: 25}
	sea, err1 := c.FromPH(2300, 8.1, TotalScale)
	c.Boron = Measured(2 * sea.Equilibria.Borate * 1e6)
	rich, err2 := c.FromPH(2300, 8.1, TotalScale)
	if err := errors.Join(err1, err2); err != nil {
		t.Fatal(err)
	}
	close2(t, "borate", rich.BOH4, 2*sea.BOH4, 1e-12)
	close2(t, "carbonate alkalinity", rich.HCO3+2*rich.CO3, sea.HCO3+2*sea.CO3-sea.BOH4, 1e-9)
	none := Conditions{Salinity: 35, Temperature: 25, Boron: Measured(0)}
	bare, err := none.FromPH(2300, 8.1, TotalScale)
	want(t, "borate of water without boron", bare.BOH4, err, 0, 0)
}

// Sulfate that was measured moves the scales of pH apart.
func TestMeasuredSulfate(t *testing.T) {
	c := Conditions{Salinity: 35, Temperature: 25, Sulfate: Measured(0)}
	e, err := c.Equilibria()
	if err != nil {
		t.Fatal(err)
	}
	free, err := e.ConvertPH(8, TotalScale, FreeScale)
	want(t, "free scale without sulfate", free, err, 8, 1e-12)
}

func TestCarbonateOutOfRange(t *testing.T) {
	sea := Conditions{Salinity: 35, Temperature: 25}
	nan, inf := math.NaN(), math.Inf(1)
	with := func(change func(*Conditions)) Conditions {
		c := sea
		change(&c)
		return c
	}
	fromPH := func(c Conditions, ta, pH float64, scale PHScale) func() (CO2System, error) {
		return func() (CO2System, error) { return c.FromPH(ta, pH, scale) }
	}
	fromDIC := func(c Conditions, ta, dic float64) func() (CO2System, error) {
		return func() (CO2System, error) { return c.FromDIC(ta, dic) }
	}
	fromPCO2 := func(c Conditions, ta, p float64) func() (CO2System, error) {
		return func() (CO2System, error) { return c.FromPCO2(ta, p) }
	}
	for _, c := range []struct {
		name      string
		call      func() (CO2System, error)
		quantity  string
		low, high float64
	}{
		{"S 90", fromPH(with(func(c *Conditions) { c.Salinity = 90 }), 2300, 8, TotalScale), "salinity", 19, 43},
		{"S NaN", fromDIC(with(func(c *Conditions) { c.Salinity = nan }), 2300, 2000), "salinity", 19, 43},
		{"brackish by Lueker", fromPCO2(with(func(c *Conditions) { c.Salinity = 10 }), 2300, 400), "salinity", 19, 43},
		{"fresh by Millero", fromPH(with(func(c *Conditions) { c.Salinity, c.Set = 1, SetEstuary }), 2300, 8, TotalScale), "salinity", 5,
			42},
		{"boiling", fromPH(with(func(c *Conditions) { c.Temperature = 100 }), 2300, 8, TotalScale), "temperature", 2, 35},
		{"negative calcium", fromPH(with(func(c *Conditions) { c.Calcium = Measured(-1) }), 2300, 8, TotalScale), "calcium", 0,
			highestTotal},
		{"phosphate NaN", fromPH(with(func(c *Conditions) { c.Phosphate = nan }), 2300, 8, TotalScale), "phosphate", 0, highestNutrient},
		{"silicate infinite", fromPH(with(func(c *Conditions) { c.Silicate = inf }), 2300, 8, TotalScale), "silicate", 0, highestNutrient},
		{"no set", fromPH(with(func(c *Conditions) { c.Set = 9 }), 2300, 8, TotalScale), "set of constants", 0, 4},
		{"pH 20", fromPH(sea, 2300, 20, TotalScale), "pH", MinPH, MaxPH},
		{"pH NaN", fromPH(sea, 2300, nan, NBSScale), "pH", MinPH, MaxPH},
		{"no scale", fromPH(sea, 2300, 8, 7), "pH scale", 0, 3},
		{"negative alkalinity", fromPH(sea, -5, 8, TotalScale), "alkalinity", 0, highestTotal},
		{"infinite alkalinity", fromDIC(sea, inf, 2000), "alkalinity", 0, highestTotal},
		{"alkalinity NaN", fromPCO2(sea, nan, 400), "alkalinity", 0, highestTotal},
		{"negative carbon", fromDIC(sea, 2300, -1), "inorganic carbon", 0, highestTotal},
		{"no pressure", fromPCO2(sea, 2300, 0), "partial pressure of CO2", 0.001, highestPressure},
		{"pressure NaN", fromPCO2(sea, 2300, nan), "partial pressure of CO2", 0.001, highestPressure},
		{"only hydroxide", fromPH(sea, 500, 10, TotalScale), "alkalinity at this pH", 1001.9, highestTotal},
		{"acid with alkalinity", fromPH(sea, 4000, 3.5, TotalScale), "inorganic carbon for this alkalinity and pH", 0, highestTotal},
		{"lye", fromDIC(with(func(c *Conditions) { c.Temperature = 2 }), 99999, 0), "pH", MinPH, MaxPH},
		{"lye in still air", fromPCO2(with(func(c *Conditions) { c.Temperature = 2 }), 99999, 0.001), "pH", MinPH, MaxPH},
		{"a heap of soda", fromPCO2(with(func(c *Conditions) { c.Temperature = 2 }), 99999, 90000),
			"inorganic carbon for this alkalinity and pressure", 0, highestTotal},
	} {
		got, err := c.call()
		var e RangeError
		if !errors.As(err, &e) || got != (CO2System{}) || e.Quantity.String() != c.quantity || math.Abs(e.Low-c.low) > 0.01*c.low ||
			math.Abs(e.High-c.high) > 0.01*c.high {
			t.Errorf("%s gave %v, %+v", c.name, got.PH, err)
		}
	}
	e, err := sea.Equilibria()
	if err != nil {
		t.Fatal(err)
	}
	if got, err := e.ConvertPH(8, TotalScale, 9); !errors.As(err, new(RangeError)) || got != 0 {
		t.Errorf("an unknown scale gave %g, %v", got, err)
	}
	same, err := e.ConvertPH(8.123, NBSScale, NBSScale)
	want(t, "pH on its own scale", same, err, 8.123, 0)
}

func TestNamesOfSetsAndScales(t *testing.T) {
	for set, name := range map[Set]string{SetUppstrom: "Lueker 2000, borate of Uppström 1974", SetLee: "Lueker 2000, borate of Lee 2010",
		SetGuide2007: "Guide to Best Practices 2007", SetEstuary: "Millero 2010, borate of Uppström 1974",
		SetEstuaryLee: "Millero 2010, borate of Lee 2010", 9: "no set of constants"} {
		if set.String() != name {
			t.Errorf("set %d is %q, want %q", set, set, name)
		}
	}
	for scale, name := range map[PHScale]string{TotalScale: "total scale", FreeScale: "free scale", SeawaterScale: "seawater scale",
		NBSScale: "NBS scale", 9: "no pH scale"} {
		if scale.String() != name {
			t.Errorf("scale %d is %q, want %q", scale, scale, name)
		}
	}
}
