package system_test

import (
	"path/filepath"
	"strings"
	"testing"
	"time"

	"weirkeeper/app/apptest"
	"weirkeeper/app/screentest"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// threeWaters is a ledger with a fresh, a brackish and a marine system of 200 L that were
// measured this morning, and a bottle of soda.
func threeWaters(t *testing.T) (*storage.Store, map[string]tanks.System) {
	t.Helper()
	room := tanks.Room{Name: "Test room", Zone: "Europe/Paris"}
	store, err := storage.Create(t.Context(), filepath.Join(t.TempDir(), "room.wkr"), room, storagetest.Clock)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() })
	soda := tanks.Product{Name: "Soda", Stock: 500, Full: 500, Contents: chem.Product{
		Form: chem.Liquid, Ingredients: []chem.Ingredient{{Compound: "Na2CO3", Amount: 53}},
	}}
	potash := tanks.Product{Name: "Saltpetre", Stock: 500, Full: 500, Contents: chem.Product{
		Form: chem.Liquid, Ingredients: []chem.Ingredient{{Compound: "KNO3", Amount: 100}},
	}}
	for _, p := range []*tanks.Product{&soda, &potash} {
		if err := store.SaveProduct(t.Context(), p); err != nil {
			t.Fatal(err)
		}
	}
	systems := map[string]tanks.System{}
	for n, psu := range []float64{0.2, 12, 35} {
		s := tanks.System{
			Code: []string{"W1", "B1", "M1"}[n], Name: "Rack", Order: n + 1, Stated: 200, Opened: storagetest.Now.AddDate(-1, 0, 0),
			Kind: []tanks.Kind{tanks.Freshwater, tanks.Brackish, tanks.Marine}[n],
		}
		if err := store.SaveSystem(t.Context(), &s); err != nil {
			t.Fatal(err)
		}
		systems[s.Code] = s
		var all []tanks.Reading
		for a, v := range map[chem.Analyte]float64{
			chem.Salinity: psu, chem.Temperature: 24, chem.PH: 7.8, chem.Alkalinity: 2, chem.Calcium: 11*psu + 40, chem.Light: 80,
			chem.Nitrate: 10, chem.Phosphate: 0.3,
		} {
			all = append(all, tanks.Reading{System: s.ID, Analyte: a, At: storagetest.Now.Add(-time.Hour), Value: v, Typed: "x"})
		}
		if _, err := store.SaveReadings(t.Context(), all); err != nil {
			t.Fatal(err)
		}
	}
	return store, systems
}

// into types a text in the place of what the n-th field for a number holds.
func into(t *testing.T, s *screentest.Screen, n int, text string) {
	t.Helper()
	seen := -1
	e := apptest.Find(t, apptest.Top(s.Canvas()), func(*widgets.NumberEntry) bool { seen++; return seen == n })
	e.SetText("")
	s.Focus(e)
	s.Type(text)
}

// seen fails unless the screen shows each text.
func seen(t *testing.T, s *screentest.Screen, texts ...string) {
	t.Helper()
	shown := inOneLine(s)
	for _, text := range texts {
		if !strings.Contains(shown, text) {
			t.Errorf("not shown: %q\n%s", text, shown)
		}
	}
}

// inOneLine is what the screen shows, wherever its lines break.
func inOneLine(s *screentest.Screen) string { return strings.Join(strings.Fields(s.Seen()), " ") }

// The dose for a pH of a bottle of the shelf, on each water, with what it does, how it is
// given and why: half a molar soda brings 1 meq and half a mmol of carbon a mL.
func TestDoseForATarget(t *testing.T) {
	store, systems := threeWaters(t)
	for code, given := range map[string]string{"W1": "over 2 days", "B1": "over 2 days", "M1": "2 times a day, over 2 days"} {
		s := open(t, store, storagetest.Now, session.Route{System: systems[code].ID, Section: session.SystemChemistry})
		s.Press("Dose for a target")
		seen(t, s, "Give the value, what to dose and the net volume.", "Dose for a target: "+code)
		into(t, s, 0, "8.2")
		s.Pick(1, "Soda")
		seen(t, s, " mL of Soda", "At once: pH 8.20", "Once aired, at 425 ppm: pH", given, "pH changes by 0.400 pH in all",
			"the largest of a day is",
			"the largest step is", "common practice, no source", "mmol/L of inorganic carbon", "by ")
		other := map[bool]string{true: "aragonite", false: "Langelier index"}[code == "W1"]
		if _, line, _ := strings.Cut(inOneLine(s), "At once: pH 8.20"); strings.Contains(line, other) {
			t.Errorf("%s says %s: %s", code, other, line)
		}
		into(t, s, 0, "6.5")
		seen(t, s, "no amount of this product leads there")
		into(t, s, 0, "7.8")
		seen(t, s, "Nothing is to be given")
		s.Pick(1, "sodium hydroxide, NaOH, pure")
		into(t, s, 0, "8.2")
		seen(t, s, " g of sodium hydroxide", "eye")
	}
}

// The aims of a kind of water: the index in fresh water, saturations in salt water.
func TestAimsOfEachWater(t *testing.T) {
	store, systems := threeWaters(t)
	for code, c := range map[string]struct{ aim, value, says string }{
		"W1": {"Langelier index", "0.6", "Langelier index 0.60"}, "B1": {"Calcite saturation", "6", "calcite 6.00"},
		"M1": {"Aragonite saturation", "4", "aragonite 4.00"},
	} {
		s := open(t, store, storagetest.Now, session.Route{System: systems[code].ID, Section: session.SystemChemistry})
		s.Press("Dose for a target")
		s.Pick(0, c.aim)
		into(t, s, 0, c.value)
		s.Pick(1, "Soda")
		s.Pick(2, "once the water is aired")
		into(t, s, 1, "900")
		seen(t, s, "Once aired, at 900 ppm: pH")
		_, line, _ := strings.Cut(inOneLine(s), "Once aired, at 900")
		if line, _, _ = strings.Cut(line, "Give"); !strings.Contains(line, c.says) {
			t.Errorf("%s: %q, want %q", code, line, c.says)
		}
	}
}

// The pH of a carbon dioxide, with the doubt of what is in it now, the light beside it,
// and the pH at another temperature; the numbers are those of the chemistry.
func TestCarbonDioxideAndPH(t *testing.T) {
	store, systems := threeWaters(t)
	for code := range systems {
		s := open(t, store, storagetest.Now, session.Route{System: systems[code].ID, Section: session.SystemChemistry})
		s.Press("Carbon dioxide and pH")
		into(t, s, 0, "25")
		into(t, s, 1, "28")
		seen(t, s, "25 mg/L of carbon dioxide are pH", "what a controller would be set to", "Now ", "by pH 7.80", "Light: 80 µmol/m²/s",
			"The same water is at pH", "at 28.0 °C", "can stun fish")
		into(t, s, 0, "500")
		seen(t, s, "carbon dioxide")
		if strings.Contains(s.Seen(), "500 mg/L of carbon dioxide are") {
			t.Errorf("%s: 500 mg/L are taken", code)
		}
	}
}

// Where other acids set the pH the sum says that it may not hold.
func TestCarbonDioxideThatDoesNotHold(t *testing.T) {
	store, systems := threeWaters(t)
	soft := tanks.Reading{System: systems["W1"].ID, Analyte: chem.Alkalinity, At: storagetest.Now, Value: 0.2, Typed: "x"}
	if _, err := store.SaveReadings(t.Context(), []tanks.Reading{soft}); err != nil {
		t.Fatal(err)
	}
	s := open(t, store, storagetest.Now, session.Route{System: systems["W1"].ID, Section: session.SystemChemistry})
	s.Press("Carbon dioxide and pH")
	seen(t, s, "With so little alkalinity humic and other acids set the pH as well.")
}

// A weekly dose, by hand: 20 mg/L used, half changed for water of 2: the dose that keeps 8
// before is 20 + 0.5 × (8 − 2) = 23, and it stands at 28 right after. From 10 the first
// week ends at 0.5 × 0 + 0.5 × 2 + 23 = 24. KNO3 of 100 g/L holds 61.33 mg of nitrate a mL
// (62.005 of 101.103): 75 mL for 200 L.
func TestWeeklyDose(t *testing.T) {
	store, systems := threeWaters(t)
	for code := range systems {
		s := open(t, store, storagetest.Now, session.Route{System: systems[code].ID, Section: session.SystemChemistry})
		s.Press("Weekly dose")
		seen(t, s, "Give what is used in a week")
		for n, text := range []string{"10", "20", "50", "2", "8"} {
			into(t, s, n, text)
		}
		s.Pick(1, "Saltpetre")
		seen(t, s, "A weekly dose of 23.0 mg/L: 75.0 mL of Saltpetre",
			"It settles at 28.0 mg/L right after change and dose, and 8.0 mg/L right before.",
			"After 1 week: 24.0 mg/L", "After 8 weeks: 28.0 mg/L")
		if code == "W1" {
			seen(t, s, "Give it in 2 parts over the week: the largest step is 20.0 mg/L (common practice, no source).")
		}
		into(t, s, 5, "5")
		seen(t, s, "used up before the week is over")
		into(t, s, 2, "0")
		into(t, s, 5, "21")
		seen(t, s, "It rises for ever")
	}
}

// The ways that are a choice stand where they are looked for, each with what it does, its
// source and its cautions.
func TestWays(t *testing.T) {
	store, systems := threeWaters(t)
	s := open(t, store, storagetest.Now, session.Route{System: systems["W1"].ID, Section: session.SystemChemistry})
	s.Press("Ways to raise hardness")
	for _, w := range tanks.WaysToHarden() {
		seen(t, s, w.Name.String())
	}
	seen(t, s, "sulfate rises with it", "It takes", "(common practice, no source)", "None of them is taken by the program")
	s.Press("Close")
	s.Press("Ways to lower phosphate")
	for _, w := range tanks.WaysToLowerPhosphate() {
		seen(t, s, w.Name.String())
	}
}
