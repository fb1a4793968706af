package sums_test

import (
	"fmt"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/apptest"
	"weirkeeper/app/screentest"
	"weirkeeper/app/session"
	"weirkeeper/app/sums"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// blank is a screen with nothing on it.
type blank struct{ *fyne.Container }

func (blank) Visit(session.Route) {}
func (blank) Reload()             {}

func open(t *testing.T, id sums.ID, g sums.Given) *screentest.Screen {
	t.Helper()
	store, f := storagetest.Room(t)
	s := screentest.Open(t, store, f.Now, func(*session.Session) screentest.Page { return blank{container.NewStack()} })
	if id != "" {
		sums.Open(s.Session, id, g)
	}
	return s
}

// number is the n-th field for a number of what is in front.
func number(t *testing.T, s *screentest.Screen, n int) *widgets.NumberEntry {
	t.Helper()
	seen := -1
	return apptest.Find(t, apptest.Top(s.Canvas()), func(*widgets.NumberEntry) bool { seen++; return seen == n })
}

func form(t *testing.T, s *screentest.Screen) *widgets.Form {
	t.Helper()
	return apptest.Find(t, apptest.Top(s.Canvas()), func(*widgets.Form) bool { return true })
}

// text is all that is seen, whatever its lines.
func text(s *screentest.Screen) string { return strings.Join(strings.Fields(s.Seen()), " ") }

// fill does what a person does in a sum: "0=35" types into the n-th number, "pick 1=x"
// chooses.
func fill(t *testing.T, s *screentest.Screen, steps []string) {
	t.Helper()
	for _, step := range steps {
		where, what, _ := strings.Cut(step, "=")
		var n int
		if _, err := fmt.Sscanf(where, "pick %d", &n); err == nil {
			s.Pick(n, what)
			continue
		}
		if _, err := fmt.Sscan(where, &n); err != nil {
			t.Fatalf("no step is %q", step)
		}
		s.Focus(number(t, s, n))
		number(t, s, n).SetText("")
		s.Type(what)
	}
}

// Each sum gives what a published value, a book or a sum by hand gives.
func TestSums(t *testing.T) {
	for name, c := range map[string]struct {
		id    sums.ID
		steps []string
		says  []string
	}{
		// ISO 7888:1985, table 3 as a maker's manual has it: 1.116 at 20 °C.
		"natural water, no compensation": {sums.Conductivity, []string{"0=500", "1=20"},
			[]string{"558 µS/cm at 25 °C.", "× 1.116 at 20.0 °C"}},
		"natural water, compensated": {sums.Conductivity, []string{"0=500", "1=20", "pick 1=compensates in a straight line"},
			[]string{"502 µS/cm at 25 °C.", "500 × (1 + 0.02 × (20.0 − 25.0)) = 450 µS/cm"}},
		// The definition of PSS-78: 42.914 mS/cm at 15 °C is 35.
		"salt water": {sums.Conductivity, []string{"0=42.914 mS/cm", "1=15", "pick 0=salt or brackish"},
			[]string{"Salinity 35.0 PSU."}},
		"dissolved solids": {sums.Solids, []string{"0=1000", "1=0.64"},
			[]string{"The meter shows 640 mg/L", "1000 µS/cm × 0.64 = 640 mg/L"}},
		"conductivity of solids": {sums.Solids, []string{"0=350", "1=0.7", "pick 0=dissolved solids, mg/L"},
			[]string{"Conductivity 500 µS/cm at 25 °C."}},
		// UNESCO 1983: 1023.343 kg/m³ of 35 PSU and 997.048 of pure water at 25 °C.
		"hydrometer at its temperature": {sums.Hydrometer, []string{"0=1.02637", "1=25"}, []string{"Salinity 35.0 PSU.", "1023.3"}},
		"warm sample": {sums.Hydrometer, []string{"0=1.0240", "1=28", "pick 0=20/20 °C"},
			[]string{"Read without regard to temperature"}},
		// The glass widens by 75 parts in a million over 3 °C, some 0.1 PSU.
		"warm glass": {sums.Hydrometer, []string{"0=1.024", "1=28"}, []string{"Salinity 33.0 PSU.", "× 1.000075 for the glass"}},
		"warm density meter": {sums.Hydrometer, []string{"0=1.024", "1=28", "pick 1=relative density, as of a density meter"},
			[]string{"Salinity 33.1 PSU."}},
		"density meter": {sums.Hydrometer, []string{"0=1.02637", "1=25", "pick 1=relative density, as of a density meter"},
			[]string{"Salinity 35.0 PSU.", "of pure water at 25.0 °C = 1.0264"}},
		"refractometer for sea water": {sums.Refractometer, []string{"0=35"}, []string{"Salinity 35.0 PSU."}},
		// 35 PSU reads near 36.5 g/kg of plain salt: common practice, no source.
		"refractometer for plain salt": {sums.Refractometer, []string{"pick 0=plain salt (NaCl), g/kg or ‰", "0=36.5"},
			[]string{"Salinity 35.", "1.3330 + 36.5 × 0.000176"}},
		"refractometer by gravity": {sums.Refractometer, []string{"pick 0=sea water, specific gravity 20/20 °C", "0=1.0266"},
			[]string{"Salinity 35.0 PSU."}},
		"refractometer in the warm": {sums.Refractometer, []string{"0=33", "pick 1=it does not correct", "1=25"},
			[]string{"Salinity 36.0 PSU.", "33.0 becomes 36.0 PSU"}},
		// UNESCO 1983 for the densities, PSS-78 for 53.07 mS/cm of 35 PSU at 25 °C.
		"what instruments show": {sums.Instruments, []string{"0=35", "1=25"},
			[]string{"Hydrometer for 25/25 °C: 1.0264.", "without glass: 1.02637.", "Conductivity as it is: 53.07 mS/cm.",
				"shows 53.07 mS/cm."}},
		// Standard Methods 4500-O: pure water of 20 °C holds 9.09 mg/L.
		"oxygen in %": {sums.Oxygen, []string{"0=100", "2=20"}, []string{"100.0 % = 9.09 mg/L = 6.36 mL/L"}},
		"oxygen in mg/L": {sums.Oxygen, []string{"pick 0=concentration", "1=4.55", "2=20"},
			[]string{"50.0 % = 4.55 mg/L = 3.18 mL/L"}},
		"oxygen in mL/L of the sea": {sums.Oxygen, []string{"pick 0=concentration", "1=4.7 mL/L", "2=25", "3=35"},
			[]string{"% = 6.72 mg/L"}},
		// Two mmol/L: 200.2 mg/L CaCO3, 11.2 degrees of CaO.
		"hardness": {sums.Hardness, []string{"0=40.078", "1=24.305", "2=2 meq/L"}, []string{"General hardness 11.2 dGH.",
			"2.00 mmol/L = 200 mg/L CaCO3 = 20.0 °fH", "Ca:Mg is 1.65", "With alkalinity goes 5.6 dGH of it; 5.6 dGH is permanent."}},
		"hardness in every unit": {sums.EveryUnit, []string{"0=10"},
			[]string{"10.0 dGH = 1.78 mmol/L = 178 mg/L CaCO3 = 17.8 °fH = 12.5 °e = 10.4 gpg"}},
		"nitrate in every unit": {sums.EveryUnit, []string{"pick 0=Nitrate, mg/L", "0=10 mg/L NO3-N"}, []string{"Nitrate 44.3 mg/L"}},
		// 35 PSU weighs 1.0233 kg/L at 25 °C.
		"by mass": {sums.EveryUnit, []string{"pick 0=Calcium, mg/L", "0=420", "1=35"}, []string{"410 mg/kg"}},
		"tap and RO": {sums.TwoWaters, []string{"0=20", "1=0", "2=5", "3=200"},
			[]string{"50.0 L of the first and 150.0 L of the second (75.0 %).", "(20 − 5) ÷ (20 − 0) = 0.750"}},
		// Half the sea in pure water is 17.73 PSU by mass.
		"sea and RO": {sums.TwoWaters, []string{"pick 0=Salinity, PSU", "0=35", "1=0", "2=17.73 PSU", "3=100"},
			[]string{"50.0 L of the first and 50.0 L of the second (50.0 %)."}},
		"topping off for ever": {sums.ToppingOff, []string{"0=300", "1=3", "2=500"},
			[]string{"+5 µS/cm a day, +150 µS/cm in 30 days", "Without changes it rises for ever.", "500 × 3 L ÷ 300 L = 5 µS/cm a day"}},
		"topping off with changes": {sums.ToppingOff, []string{"0=300", "1=3", "2=500", "3=10", "4=300"},
			[]string{"With the changes it comes to rest at 650 µS/cm."}},
		// Metcalf and Eddy: 7.14 g of CaCO3 and 4.57 g of oxygen for a gram of nitrogen.
		"nitrification": {sums.Nitrification, []string{"0=1 mg/L NH4-N", "1=100"},
			[]string{"Nitrate: +4.43 mg/L", "Alkalinity: −0.4 dKH", "Oxygen: −4.57 mg/L", "1.2 g of sodium bicarbonate"}},
		// The same: 3.57 g of CaCO3 come back for a gram of nitrogen.
		"denitrification": {sums.Denitrification, []string{"0=10 mg/L NO3-N"}, []string{"Alkalinity: +2 dKH", "= 0.7139 meq/L"}},
		"calcification":   {sums.Calcification, []string{"0=1 meq/L"}, []string{"Calcium: −20 mg/L", "÷ 2 × 40.078 = 20.04 mg/L Ca"}},
		"amount for a rise": {sums.Amount, []string{"0=10", "1=100", "2=1", "3=250", "4=2"},
			[]string{"50 of it for +2 dKH in 250 L.", "10 × 2 ÷ 1 × 250 L ÷ 100 L = 50"}},
		"rise of an amount": {sums.Amount, []string{"pick 0=Nitrate, mg/L", "0=5", "1=50", "2=2", "3=100", "5=10"},
			[]string{"10 of it make +2 mg/L in 100 L.", "2 × 10 ÷ 5 × 50 L ÷ 100 L = 2 mg/L"}},
		// 11.96 % of MgCl2·6H2O is magnesium.
		"per cent by mass": {sums.ByMass, []string{"0=30", "1=1.2"},
			[]string{"360 g/L of magnesium chloride hexahydrate.", "Mg +0.43 mg/L"}},
		"two salts": {sums.TwoProducts, []string{"1=100", "3=60"}, []string{"Ca:Mg is 4.61 by mass.", "1 g in 100 L:"}},
		"two solutions that clash": {sums.TwoProducts,
			[]string{"pick 0=two stock solutions", "0=300", "1=500", "2=200", "3=500"}, []string{"They do not bear one another"}},
		"mix salt water": {sums.MixSalt, []string{"0=200"}, []string{"8.00 kg of salt into", "never water onto salt"}},
		"tap water":      {sums.TakeOutChlorine, []string{"0=100", "1=1"}, []string{"0.70 g of sodium thiosulfate", "248.18 ÷ 70.90"}},
		"salinity": {sums.CorrectSalinity, []string{"0=800", "1=36.5", "2=35"}, []string{"Swap 33.7 L", "Or add 35",
			"800 L × 1.0245 × (36.67 − 35.17) ÷ (1.0245 × (36.67 − 35.17) + 0.9970 × (35.17 − 0.00)) = 33.7 L"}},
		"salinity up": {sums.CorrectSalinity, []string{"0=100", "1=33", "2=35"}, []string{"cannot lead there by a swap", "kg of dry salt",
			"1.0218 kg/L × 100 L × (35.17 − 33.16) g/kg ÷ (1000 − 35.17) = 0.21 kg"}},
	} {
		t.Run(name, func(t *testing.T) {
			s := open(t, c.id, sums.Given{})
			fill(t, s, c.steps)
			for _, says := range c.says {
				if !strings.Contains(text(s), says) {
					t.Errorf("it lacks %q:\n%s", says, s.Seen())
				}
			}
		})
	}
}

// What is wrong stands at its field, and no answer beside it.
func TestFaultsStandAtTheirFields(t *testing.T) {
	for name, c := range map[string]struct {
		id           sums.ID
		steps        []string
		field, fault string
	}{
		"conductivity when boiling": {sums.Conductivity, []string{"0=500", "1=40"}, "temperature", "outside 0 to 35 °C"},
		"conductivity of nothing":   {sums.Conductivity, []string{"0=-5", "1=20"}, "conductivity", "outside 0"},
		"coefficient of 20 %": {sums.Conductivity, []string{"0=500", "1=20", "pick 1=compensates in a straight line", "2=20"},
			"coefficient", "outside 0 to 5 %"},
		"reference in °F": {sums.Conductivity, []string{"0=500", "1=20", "pick 1=compensates in a straight line", "3=44"},
			"reference", "outside 0 to 35"},
		"brine": {sums.Conductivity, []string{"0=200000", "1=20", "pick 0=salt or brackish"}, "conductivity",
			"outside 0"},
		"factor of a meter":          {sums.Solids, []string{"0=500", "1=2"}, "factor", "outside 0.3 to 1"},
		"solids of no water":         {sums.Solids, []string{"0=-1"}, "value", "cannot be"},
		"hydrometer without a point": {sums.Hydrometer, []string{"0=1024", "1=25"}, "reading", "outside"},
		"hydrometer in the oven":     {sums.Hydrometer, []string{"0=1.024", "1=44"}, "temperature", "outside -2 to 40 °C"},
		"hydrometer, words":          {sums.Hydrometer, []string{"0=heavy", "1=25"}, "reading", ""},
		"refractometer beyond":       {sums.Refractometer, []string{"0=60"}, "reading", "outside 0 to 42"},
		"salt scale beyond": {sums.Refractometer, []string{"pick 0=plain salt (NaCl), g/kg or ‰", "0=50"}, "reading",
			"outside 0 to 44"},
		"gravity of a PSU": {sums.Refractometer, []string{"pick 0=sea water, specific gravity 20/20 °C", "0=35"}, "reading",
			"outside 1"},
		"refractometer, no °C": {sums.Refractometer, []string{"0=35", "pick 1=it does not correct"}, "temperature", "no number"},
		"refractometer, hot": {sums.Refractometer, []string{"0=35", "pick 1=it does not correct", "1=35"}, "temperature",
			"outside 0 to 30 °C"},
		"instruments, hot":          {sums.Instruments, []string{"0=35", "1=33"}, "temperature", "outside 0 to 30 °C"},
		"oxygen of 400 %":           {sums.Oxygen, []string{"0=400", "2=20"}, "percent", "outside 0 to 300 %"},
		"oxygen, no %":              {sums.Oxygen, []string{"2=20"}, "percent", "no number"},
		"oxygen, no mg/L":           {sums.Oxygen, []string{"pick 0=concentration", "2=20"}, "concentration", "no number"},
		"oxygen of ice":             {sums.Oxygen, []string{"0=90", "2=-1"}, "temperature", "outside 0 to 40 °C"},
		"calcium of a rock":         {sums.Hardness, []string{"0=9000", "1=5"}, "calcium", "cannot be"},
		"goal beyond both":          {sums.TwoWaters, []string{"0=20", "1=2", "2=30"}, "goal", "between the two waters"},
		"blend of nothing":          {sums.TwoWaters, []string{"0=20", "1=2", "2=5", "3=0"}, "litres", "above zero"},
		"bound in a blend":          {sums.TwoWaters, []string{"0=<20"}, "first", "is a bound"},
		"more topped off than all":  {sums.ToppingOff, []string{"0=100", "1=200", "2=500"}, "daily", "outside 0 to 100 L"},
		"changes of 800 %":          {sums.ToppingOff, []string{"0=100", "1=2", "2=500", "3=800"}, "changed", "outside 0 to 100 %"},
		"no volume to top off":      {sums.ToppingOff, []string{"0=0", "1=2", "2=500"}, "litres", "above zero"},
		"ammonium below nothing":    {sums.Nitrification, []string{"0=-1"}, "used", "cannot be"},
		"bicarbonate for no volume": {sums.Nitrification, []string{"0=1", "1=-5"}, "litres", "above zero"},
		"the other way":             {sums.Amount, []string{"0=10", "1=100", "2=1", "3=250", "4=-2"}, "rise", "the other way"},
		"amount for no volume":      {sums.Amount, []string{"0=10", "1=100", "2=1", "3=0", "4=2"}, "litres", "above zero"},
		"a label that says nothing": {sums.Amount, []string{"0=10", "1=100", "2=0", "3=250", "4=2"}, "labelled", "says no change"},
		"neither rise nor amount":   {sums.Amount, []string{"0=10", "1=100", "2=1", "3=250"}, "rise", "no number"},
		"lighter than a liquid":     {sums.ByMass, []string{"0=30", "1=0.1"}, "density", "outside 0.5 to 3"},
		"more than all":             {sums.ByMass, []string{"0=130", "1=1.2"}, "share", "outside"},
		"solution without a strength": {sums.TwoProducts, []string{"pick 0=two stock solutions", "1=100", "3=60"}, "strength1",
			"no number"},
		"second of nothing":  {sums.TwoProducts, []string{"1=100", "3=0"}, "amount2", "above zero"},
		"chlorine of bleach": {sums.TakeOutChlorine, []string{"1=50000"}, "chlorine", "outside 0 to 20 mg/L"},
		"damp salt":          {sums.MixSalt, []string{"4=80"}, "moisture", "outside 0 to 40 %"},
		"no system":          {sums.CorrectSalinity, []string{"0=0", "1=36", "2=35"}, "litres", "above zero"},
	} {
		t.Run(name, func(t *testing.T) {
			s := open(t, c.id, sums.Given{})
			fill(t, s, c.steps)
			if got := form(t, s).FaultOf(c.field); got == "" || !strings.Contains(got, c.fault) {
				t.Errorf("at %s stands %q:\n%s", c.field, got, s.Seen())
			}
			if strings.Contains(s.Seen(), " = ") && c.id != sums.CorrectSalinity && strings.Contains(s.Seen(), "÷") {
				t.Errorf("beside the fault stands an answer:\n%s", s.Seen())
			}
		})
	}
}

// A sum that waits names what it waits for, and the keyboard stays where one types.
func TestSumsWait(t *testing.T) {
	s := open(t, sums.Hydrometer, sums.Given{})
	if !strings.Contains(s.Seen(), "To fill in: Reading, Sample.") {
		t.Fatalf("it shows\n%s", s.Seen())
	}
	fill(t, s, []string{"0=1024", "1=2"})
	s.Type("5") // at the temperature, though the reading is wrong
	if number(t, s, 1).Text != "25" || !strings.Contains(form(t, s).FaultOf("reading"), "outside") {
		t.Errorf("it shows\n%s", s.Seen())
	}
}

// A sum about a system begins with what is known of it.
func TestGiven(t *testing.T) {
	g := sums.Given{
		Name: "F1", Litres: 350, Levels: chem.Analysis{chem.Salinity: 36, chem.Temperature: 24.62, chem.Hardness: 3, chem.Calcium: 60},
		Aims: chem.Analysis{chem.Salinity: 34, chem.Hardness: 2}, Source: chem.Analysis{chem.Hardness: 0, chem.Calcium: 10},
	}
	for name, c := range map[string]struct {
		id   sums.ID
		says []string
	}{
		"salinity":   {sums.CorrectSalinity, []string{"Correct the salinity of F1", "350", "36", "34", "24.6", "Swap 19.9 L"}},
		"two waters": {sums.TwoWaters, []string{"16.8", "11.2", "133.3 L of the first and 66.7 L of the second", "Calcium 43 mg/L"}},
		"top-off":    {sums.ToppingOff, []string{"350"}},
		"hydrometer": {sums.Hydrometer, []string{"24.6"}},
	} {
		s := open(t, c.id, g)
		for _, says := range c.says {
			if !strings.Contains(s.Seen(), says) {
				t.Errorf("%s lacks %q:\n%s", name, says, s.Seen())
			}
		}
	}
	s := open(t, sums.TwoWaters, g)
	s.Pick(0, "Calcium, mg/L")
	if number(t, s, 0).Text != "60" || number(t, s, 1).Text != "10" || number(t, s, 2).Text != "" {
		t.Errorf("of calcium it holds\n%s", s.Seen())
	}
}

// The room's height lowers what water holds: at 1000 m the standard atmosphere has
// 0.887 atm (ISO 2533), and pure water of 20 °C some 8.0 mg/L.
func TestOxygenByTheRoomsHeight(t *testing.T) {
	s := open(t, "", sums.Given{})
	s.Session.Room.Height = tanks.HeightOf(1000)
	sums.Open(s.Session, sums.Oxygen, sums.Given{})
	fill(t, s, []string{"0=100", "2=20"})
	if seen := s.Seen(); !strings.Contains(seen, "0.887 atm") || !strings.Contains(seen, "= 8.04 mg/L") {
		t.Errorf("it shows\n%s", seen)
	}
}

// Units are the person's.
func TestUnitsOfThePerson(t *testing.T) {
	s := open(t, "", sums.Given{})
	s.Session.Prefs.Temperature, s.Session.Prefs.Salinity, s.Session.Prefs.Volume = chem.Fahrenheit, chem.SG20, chem.USGallon
	sums.Open(s.Session, sums.Instruments, sums.Given{})
	fill(t, s, []string{"0=1.0266", "1=77"})
	if seen := s.Seen(); !strings.Contains(seen, "Hydrometer for 20/20 °C") || !strings.Contains(seen, "53.0") {
		t.Errorf("it shows\n%s", seen)
	}
	s.Press("Close")
	sums.Open(s.Session, sums.TwoWaters, sums.Given{})
	fill(t, s, []string{"0=20", "1=0", "2=5", "3=100"})
	if seen := s.Seen(); !strings.Contains(seen, "25.00 US gal of the first and 75.00 US gal") {
		t.Errorf("it shows\n%s", seen)
	}
}

// The list is narrowed down by what one types, and Enter opens a sum.
func TestList(t *testing.T) {
	s := open(t, "", sums.Given{})
	sums.ShowList(s.Session, sums.Given{})
	s.Drain()
	if got := len(s.Lines()); got != len(sums.All()) {
		t.Fatalf("%d sums are listed", got)
	}
	if seen := text(s); !strings.Contains(seen, "Salt and water for a batch of salt water.") {
		t.Errorf("it does not say what the first is for:\n%s", seen)
	}
	s.Keys(fyne.KeyDown)
	if seen := text(s); !strings.Contains(seen, "The ways from one salinity to another") {
		t.Errorf("it does not say what the second is for:\n%s", seen)
	}
	s.Type("tds")
	if got := s.Lines(); len(got) != 1 || !strings.HasPrefix(got[0], "Dissolved solids of a meter") {
		t.Fatalf("of tds it lists %q", got)
	}
	s.Keys(fyne.KeyDown, fyne.KeyReturn)
	if seen := s.Seen(); !strings.Contains(seen, "Factor of the meter") || strings.Contains(seen, "Found by") {
		t.Errorf("Enter shows\n%s", seen)
	}
}

// Every sum has a name, an ID and a sentence of its own, and opens with a number
// field that has the keyboard or a choice.
func TestEverySumOpens(t *testing.T) {
	seen := map[string]bool{}
	for _, sum := range sums.All() {
		for _, text := range []string{string(sum.ID), string(sum.Name), string(sum.For)} {
			if text == "" || seen[text] {
				t.Errorf("%q of %s is empty or not its own", text, sum.ID)
			}
			seen[text] = true
		}
		if !strings.HasSuffix(string(sum.For), ".") || sum.Also == "" {
			t.Errorf("%s says %q, found by %q", sum.ID, sum.For, sum.Also)
		}
		s := open(t, sum.ID, sums.Given{})
		if !s.Asked() || s.Canvas().Focused() == nil {
			t.Errorf("%s does not open", sum.ID)
		}
	}
}

// The answer is copied as a field or the Test sheet takes it; nothing is copied while
// a sum waits.
func TestAnswerIsCopied(t *testing.T) {
	s := open(t, "", sums.Given{})
	clipboard := fyne.CurrentApp().Clipboard()
	clipboard.SetContent("before")
	sums.Open(s.Session, sums.Oxygen, sums.Given{})
	s.Press("Copy the answer")
	if clipboard.Content() != "before" || len(s.Said) != 0 {
		t.Errorf("while it waits it copies %q", clipboard.Content())
	}
	fill(t, s, []string{"0=100", "2=20"})
	s.Press("Copy the answer")
	got := clipboard.Content()
	if v, err := tanks.ReadTyped(tanks.Typed{Analyte: chem.Oxygen, Text: got, Unit: chem.MgL}); err != nil || v.Canonical < 8 ||
		v.Canonical > 10 {
		t.Errorf("copied is %q, which the sheet reads as %+v, %v", got, v, err)
	}
	if !strings.Contains(s.LastSaid().Title, got) {
		t.Errorf("said %+v", s.Said)
	}
}
