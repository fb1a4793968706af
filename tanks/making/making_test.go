package making

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"weirkeeper/chem"
	"weirkeeper/tanks"
)

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s is %.6g, want %.6g ± %g", what, got, want, within)
	}
}

func known(a chem.Analysis) map[chem.Analyte]tanks.Estimate {
	out := map[chem.Analyte]tanks.Estimate{}
	for x, v := range a {
		out[x] = tanks.Estimate{Value: v, Uncertainty: 0.03 * v}
	}
	return out
}

const (
	degreeKH = 0.356652 // meq/L in a German degree
	degreeGH = 0.178326 // mmol/L
)

// tap is our own invention of a hard water with chloramine.
func tap() Source {
	return Source{ID: 1, Code: "TAP", Auto: true, Known: known(chem.Analysis{chem.Temperature: 11, chem.Conductivity: 551, chem.PH: 7.4,
		chem.Alkalinity: 9.8 * degreeKH, chem.Hardness: 13.9 * degreeGH, chem.Calcium: 78, chem.Magnesium: 13, chem.Sodium: 18, chem.Chloride: 32,
		chem.Sulfate: 58, chem.Potassium: 3, chem.Nitrate: 12, chem.Ammonia: 0, chem.AllChlorine: 1.1, chem.Chloramine: 1.1})}
}

func osmosis() Source {
	return Source{ID: 2, Code: "RO", Auto: true, Purified: true, Known: known(chem.Analysis{chem.Conductivity: 6, chem.Temperature: 19})}
}

func product(name string, contents chem.Product) tanks.Product {
	return tanks.Product{Name: name, Contents: contents, Stock: 900}
}

func pure(key string) chem.Product {
	return chem.Product{Form: chem.Solid, Ingredients: []chem.Ingredient{{Compound: key, Amount: 1}}}
}

func order(litres float64, sources ...Source) Order {
	return Order{Litres: litres, Sources: sources, Air: chem.AirCO2, Unit: func(a chem.Analyte) chem.Unit {
		info, _ := chem.Lookup(a)
		return info.Units[0]
	}}
}

func made(t *testing.T, o Order) Made {
	t.Helper()
	m, err := o.Make()
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func litresOf(m Made, source int) float64 {
	for _, p := range m.Portions {
		if p.Source == source {
			return p.Litres
		}
	}
	return 0
}

func textOf(m Made) string {
	var b strings.Builder
	for _, s := range m.Steps {
		b.WriteString(s.Title.String() + " | " + s.Amount.String() + "\n")
		for _, n := range s.Notes {
			b.WriteString("  " + n.String() + "\n")
		}
		for _, h := range s.How {
			b.WriteString("    " + h.Name.String() + ": " + h.Sum.String() + " = " + h.Result.String() + "\n")
		}
	}
	return b.String()
}

// Tap blended for soft water: GH 3 and KH 2 at most come to KH 2 first, at 2/9.8 of
// the batch, worked out by hand.
func TestTapIsThinnedAsFarAsTheGoalsLet(t *testing.T) {
	o := order(200, tap(), osmosis())
	o.Goals = []Goal{{Analyte: chem.Alkalinity, Value: 2 * degreeKH}, {Analyte: chem.Hardness, Value: 3 * degreeGH}}
	o.Products = []tanks.Product{product("Magnesium sulfate", pure("MgSO4·7H2O"))}
	m := made(t, o)
	near(t, "tap", litresOf(m, 0), 200*2/9.8, 0.01)
	near(t, "RO", litresOf(m, 1), 200-200*2/9.8, 0.01)
	// The hardness that tap brings is 2/9.8·13.9 = 2.8367 degrees; 0.1633 are 0.029119 mmol/L
	// of magnesium sulfate heptahydrate, 246.47 g/mol, in 200 L.
	near(t, "sulfate", m.Doses[0].Amount, 0.1633*degreeGH*246.47*200/1000, 0.05)
	near(t, "KH", m.After[chem.Alkalinity], 2*degreeKH, 1e-3)
	near(t, "GH", m.After[chem.Hardness], 3*degreeGH, 1e-3)
	near(t, "nitrate", m.After[chem.Nitrate], 12*2/9.8, 1e-3)
	if len(m.Missed) > 0 || len(m.Ceilings) != 1 || m.Ceilings[0].Analyte != chem.Alkalinity || m.Ceilings[0].Next != chem.Hardness {
		t.Errorf("missed %v, ceilings %+v", m.Missed, m.Ceilings)
	}
	near(t, "ceiling", m.Ceilings[0].Litres, 200*2/9.8, 0.01)
	near(t, "next ceiling", m.Ceilings[0].NextLitres, 200*3/13.9, 0.01)
}

// 1.1 mg/L of chloramine as Cl2 in 40 L: 1.1/70.9 mmol/L, two moles of thiosulfate for
// each; one mole of ammonia each is left.
func TestChloramineIsTakenOutFirst(t *testing.T) {
	tapWater := tap()
	tapWater.Auto, tapWater.Litres = false, 40
	o := order(100, tapWater, osmosis())
	m := made(t, o)
	grams := 1.1 / 70.9 * 40 / 1000 * 2 * 248.18
	text := textOf(m)
	if !strings.Contains(m.Steps[0].Title.String(), "TAP into an empty vat") || !strings.HasPrefix(m.Steps[1].Amount.String(), "0.31 g") {
		t.Errorf("not before all else, %.3f g:\n%s", grams, text)
	}
	if m.After[chem.AllChlorine] != 0 || m.After[chem.Chloramine] != 0 {
		t.Errorf("chlorine is left: %v", m.After)
	}
	ammonia := 1.1 / 70.9 * 18.039 * 0.4
	near(t, "ammonia left", m.Ammonia, ammonia, 1e-4)
	near(t, "ammonia", m.After[chem.Ammonia], ammonia, 1e-4)
	near(t, "sodium", m.After[chem.Sodium], 18*0.4+4*1.1/70.9*0.4*22.99, 1e-3)
	near(t, "chloride", m.After[chem.Chloride], 32*0.4+2*1.1/70.9*0.4*35.45, 1e-3)

	// A stock of the shelf is measured in its own unit.
	o.Products = []tanks.Product{product("Thiosulfate stock", chem.Product{Form: chem.Liquid, Ingredients: []chem.Ingredient{
		{Compound: thiosulfate, Amount: 25}}})}
	m = made(t, o)
	if got := m.Steps[1].Amount.String(); got != "12.32 mL" {
		t.Errorf("of 25 g/L it takes %s, want %.2f mL", got, grams/0.025)
	}
	delete(tapWater.Known, chem.AllChlorine)
	delete(tapWater.Known, chem.Chloramine)
	m = made(t, order(100, tapWater, osmosis()))
	if !strings.Contains(textOf(m), "Chlorine of TAP was never measured") {
		t.Errorf("it is not said:\n%s", textOf(m))
	}
}

// Pure water to GH 6, KH 4 with Ca:Mg of 3: all by hand from molar masses.
func TestPureWaterIsRemineralised(t *testing.T) {
	o := order(100, osmosis())
	o.Goals = []Goal{{Analyte: chem.Hardness, Value: 6 * degreeGH}, {Analyte: chem.Alkalinity, Value: 4 * degreeKH}}
	o.CalciumToMagnesium = 3
	o.Products = []tanks.Product{product("Bicarbonate", pure("KHCO3")), product("Calcium", pure("CaCl2·2H2O")),
		product("Magnesium", pure("MgSO4·7H2O"))}
	m := made(t, o)
	// c/40.078 + m/24.305 = 1.069956 mmol/L with c = 3·m.
	mg := 6 * degreeGH / (3/40.078 + 1/24.305)
	amounts := map[string]float64{"KHCO3": 4 * degreeKH * 100.115 / 10, "CaCl2·2H2O": 3 * mg / 40.078 * 147.01 / 10,
		"MgSO4·7H2O": mg / 24.305 * 246.47 / 10}
	for _, d := range m.Doses {
		key := d.Product.Ingredients[0].Compound
		near(t, key, d.Amount, amounts[key], 0.051)
	}
	near(t, "Ca to Mg", m.After[chem.Calcium]/m.After[chem.Magnesium], 3, 0.05)
	text := textOf(m)
	calcium, last := strings.Index(text, "Calcium |"), strings.Index(text, "Bicarbonate |")
	if calcium < 0 || last < calcium || !strings.Contains(text, "Never in one jug with step") {
		t.Errorf("what raises alkalinity does not come last, apart from calcium:\n%s", text)
	}
	// Potassium bicarbonate, calcium chloride and magnesium sulfate by their equivalents: about 390 µS/cm.
	near(t, "conductivity", m.After[chem.Conductivity], 1.4266*(73.5+44.5)+2*0.8014*(59.5+76.3)*1+2*0.2677*(53+80), 60)
	if !strings.Contains(text, "read the conductivity") {
		t.Errorf("nothing checks the work:\n%s", text)
	}
	// Water of KH 4 in balance with outdoor air has pH 8.2 to 8.4 (Stumm and Morgan, open carbonate systems).
	if m.NoPH != nil {
		t.Error(m.NoPH)
	}
	near(t, "pH once aired", m.After[chem.PH], 8.3, 0.15)
}

// What a made water holds is what goes in: for any waters and goals that can be
// reached each analyte's mass is that of the portions and the weighed amounts.
func TestMassIsConserved(t *testing.T) {
	products := []tanks.Product{product("a", pure("CaCl2·2H2O")), product("b", pure("MgSO4·7H2O")), product("c", pure("KHCO3"))}
	rapid.Check(t, func(t *rapid.T) {
		num := func(name string, low, high float64) float64 { return rapid.Float64Range(low, high).Draw(t, name) }
		w := Source{Code: "W", Litres: num("litres", 10, 200), Known: known(chem.Analysis{
			chem.Alkalinity: num("kh", 0, 2), chem.Hardness: num("gh", 0, 1),
			chem.Calcium: num("ca", 0, 40), chem.Magnesium: num("mg", 0, 10), chem.Potassium: num("k", 0, 5), chem.Chloride: num("cl", 0,
				40),
			chem.Sulfate: num("so4", 0, 40), chem.Conductivity: num("ec", 20, 400), chem.AllChlorine: 0})}
		o := order(w.Litres+num("more", 5, 200), w, osmosis())
		o.Products = products
		o.Goals = []Goal{{Analyte: chem.Hardness, Value: num("goal gh", 1.1, 3)}, {Analyte: chem.Alkalinity, Value: num("goal kh", 2.1, 6)}}
		o.CalciumToMagnesium = 0
		m, err := o.Make()
		if err != nil {
			t.Fatal(err)
		}
		for _, a := range []chem.Analyte{chem.Alkalinity, chem.Hardness, chem.Calcium, chem.Potassium, chem.Chloride, chem.Sulfate} {
			mass := w.Known[a].Value * w.Litres
			for _, d := range m.Doses {
				e, err := d.Product.Effects()
				if err != nil {
					t.Fatal(err)
				}
				mass += e[a] * d.Amount
			}
			if got := m.After[a] * o.Litres; math.Abs(got-mass) > 1e-9*(1+mass) {
				t.Fatalf("%s: %.9g, of what went in %.9g", a, got, mass)
			}
		}
		if len(m.Missed) > 0 {
			t.Fatalf("missed %+v", m.Missed)
		}
	})
}

// Sea water of 35 in 200 L takes 7.2 kg of dry salt (35.165 g/kg at 1.0233 kg/L), and
// no more water than there is room for.
func TestSaltWater(t *testing.T) {
	o := order(200, osmosis())
	o.Goals = []Goal{{Analyte: chem.Salinity, Value: 35}, {Analyte: chem.Temperature, Value: 25},
		{Analyte: chem.Nitrate, Value: 1, AtMost: true}}
	m := made(t, o)
	text := textOf(m)
	if !strings.Contains(text, "Sea salt | 7.20 kg") || !strings.Contains(text, "53.1 mS/cm") {
		t.Errorf("not the salt of 35:\n%s", text)
	}
	// 204.67 kg less 7.197 kg of salt, at 0.99705 kg/L.
	near(t, "water", litresOf(m, 0), (200*1.0233412-7.197)/0.99705, 0.05)
	if _, told := m.After[chem.Calcium]; told || m.After[chem.Salinity] != 35 || m.NoPH == nil {
		t.Errorf("it tells what the salt brings: %v", m.After)
	}
	// 17.5 kWh would be wrong by far: 200 kg by 6 °C are 5 MJ, 1.4 kWh.
	near(t, "kWh", kwhOf(t, text), 1.4, 0.05)
	o.Products = []tanks.Product{product("Calcium", pure("CaCl2·2H2O"))}
	o.Goals = append(o.Goals, Goal{Analyte: chem.Calcium, Value: 420})
	expectFault(t, o, "product.0", "test it")
	o.Products, o.Moisture = nil, 0.6
	expectFault(t, o, FieldMoisture, "moisture")
}

func kwhOf(t *testing.T, text string) float64 {
	t.Helper()
	at := strings.Index(text, " kWh from")
	if at < 0 {
		t.Fatalf("no heat:\n%s", text)
	}
	return chem.Analysis{chem.PH: must(t, strings.TrimSpace(text[strings.LastIndex(text[:at], "\n"):at]))}[chem.PH]
}

func must(t *testing.T, number string) float64 {
	t.Helper()
	v, err := chem.ParseExact(number)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// Brackish water of 12 from a vat of 35 and RO: salt by mass, so a little more than
// 12/35 by volume; nothing is weighed.
func TestBrackishFromAVat(t *testing.T) {
	vat := Source{ID: 3, Code: "VAT", Auto: true, Known: known(chem.Analysis{chem.Salinity: 35, chem.Temperature: 25, chem.Nitrate: 2})}
	pureSalt, ro := pure("NaCl"), osmosis()
	ro.Known[chem.Salinity], ro.Known[chem.Temperature] = tanks.Estimate{}, tanks.Estimate{Value: 25}
	o := order(100, vat, ro)
	o.Goals = []Goal{{Analyte: chem.Salinity, Value: 12}}
	o.Products = []tanks.Product{product("Table salt", pureSalt)}
	m := made(t, o)
	near(t, "salinity", m.After[chem.Salinity], 12, 0.13)
	near(t, "of the vat", litresOf(m, 0), 33.9, 0.4)
	near(t, "nitrate", m.After[chem.Nitrate], 2*litresOf(m, 0)/100, 1e-9)
	if !strings.Contains(textOf(m), "Measure the salinity") {
		t.Errorf("no check by salinity:\n%s", textOf(m))
	}
}

func TestBatchesFitTheVat(t *testing.T) {
	o := order(500, osmosis())
	o.Vat = 180
	o.Goals = []Goal{{Analyte: chem.Alkalinity, Value: degreeKH}}
	o.Products = []tanks.Product{product("Soda", pure("NaHCO3"))}
	m := made(t, o)
	if m.Batches != 3 {
		t.Errorf("%d batches", m.Batches)
	}
	near(t, "each", m.Litres, 500.0/3, 1e-9)
	near(t, "soda in each", m.Doses[0].Amount, degreeKH*84.007*500/3/1000, 0.051)
	o.Sources[0].Auto, o.Sources[0].Litres = false, 500
	near(t, "of the source in each", litresOf(made(t, o), 0), 500.0/3, 1e-9)
}

func expectFault(t *testing.T, o Order, field, says string) {
	t.Helper()
	_, err := o.Make()
	var faults tanks.Faults
	if !errors.As(err, &faults) {
		t.Fatalf("%s: no fault but %v", field, err)
	}
	f, ok := faults.Field(field)
	if !ok || !strings.Contains(strings.ToLower(f.Words().String()), says) {
		t.Errorf("want %q at %s, have %+v", says, field, faults)
	}
}

func TestWhatIsWrongIsSaidAtItsField(t *testing.T) {
	expectFault(t, order(0, osmosis()), FieldLitres, "above zero")
	expectFault(t, order(math.NaN(), osmosis()), FieldLitres, "above zero")
	expectFault(t, order(10), FieldSources, "add a source")
	o := order(10, osmosis())
	o.Vat = -1
	expectFault(t, o, FieldVat, "vat")
	given := osmosis()
	given.Auto, given.Litres = false, 4
	expectFault(t, order(10, given), FieldSources, "4.0 l together and the batch takes 10.0 l")
	given.Litres = 12
	expectFault(t, order(10, given, osmosis()), FieldSources, "12.0 l together")
	given.Litres = -1
	expectFault(t, order(10, given), "source.0", "zero or more")
	expectFault(t, order(10, tap(), osmosis()), FieldSources, "no goal tells it")
	bare := Source{Code: "W", Litres: 5, Known: known(chem.Analysis{chem.Alkalinity: 1})}
	o = order(10, bare, osmosis())
	o.Goals = []Goal{{Analyte: chem.Hardness, Value: 1}}
	o.Products = []tanks.Product{product("Magnesium", pure("MgSO4·7H2O"))}
	expectFault(t, o, "goal.0", "of w was never measured")
	o.Goals = []Goal{{Analyte: chem.Nitrate, Value: 1}}
	expectFault(t, o, "product.0", "no goal")
	o.Goals, o.CalciumToMagnesium = nil, 3
	expectFault(t, o, FieldRatio, "how much")
}

// Goals that minerals cannot reach are said: they take nothing away.
func TestMissedGoalsAreSaid(t *testing.T) {
	hard := tap()
	hard.Auto, hard.Litres = false, 50
	o := order(100, hard, osmosis())
	o.Goals = []Goal{{Analyte: chem.Hardness, Value: 3 * degreeGH}, {Analyte: chem.Nitrate, Value: 5, AtMost: true},
		{Analyte: chem.Sodium, Value: 20, AtMost: true}}
	o.Products = []tanks.Product{product("Magnesium", pure("MgSO4·7H2O"))}
	m := made(t, o)
	if len(m.Missed) != 2 || m.Missed[0].Analyte != chem.Hardness || m.Missed[1].Analyte != chem.Nitrate || len(m.Doses) != 0 {
		t.Fatalf("%+v, doses %v", m.Missed, m.Doses)
	}
	near(t, "hardness", m.Missed[0].Got, 13.9/2*degreeGH, 1e-6)
}

// What is not quite known is passed on: half of each water with 3 %, the volumes with
// 1 % of how far they differ.
func TestDoubtOfTheMix(t *testing.T) {
	a := Source{Code: "A", Litres: 50, Known: known(chem.Analysis{chem.Nitrate: 40, chem.AllChlorine: 0})}
	c := Source{Code: "B", Litres: 50, Known: known(chem.Analysis{chem.Nitrate: 10, chem.AllChlorine: 0})}
	m := made(t, order(100, a, c))
	want := math.Sqrt(math.Pow(0.5*0.03*40, 2) + math.Pow(0.5*0.03*10, 2) + 2*math.Pow(0.5*0.01*15, 2))
	near(t, "doubt of nitrate", m.U[chem.Nitrate], want, 1e-9)
	near(t, "estimate", m.Estimates()[chem.Nitrate].Value, 25, 1e-9)
}
