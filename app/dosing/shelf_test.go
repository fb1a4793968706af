package dosing_test

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"fyne.io/fyne/v2"

	"weirkeeper/app/apptest"
	"weirkeeper/app/screentest"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

func shelf(t *testing.T) *screentest.Screen {
	t.Helper()
	store, f := storagetest.Room(t)
	return open(t, store, f.Now, session.DosingShelf)
}

func products(t *testing.T, s *screentest.Screen) map[string]tanks.Product {
	t.Helper()
	all, err := s.Store.Products(t.Context())
	must(t, err)
	out := map[string]tanks.Product{}
	for _, p := range all {
		out[p.Name] = p
	}
	return out
}

// text is the n-th text field of the form in front.
func text(t *testing.T, s *screentest.Screen, n int) *widgets.TextEntry {
	t.Helper()
	seen := -1
	return apptest.Find(t, apptest.Top(s.Canvas()), func(*widgets.TextEntry) bool { seen++; return seen == n })
}

// number is the n-th field for a number: strengths of the three compounds, density,
// amount and volume of the label, left, full, price.
func number(t *testing.T, s *screentest.Screen, n int) *widgets.NumberEntry {
	t.Helper()
	seen := -1
	return apptest.Find(t, apptest.Top(s.Canvas()), func(*widgets.NumberEntry) bool { seen++; return seen == n })
}

// A product is added in each of the three ways to give a strength; a form that is
// refused stays with what was typed.
func TestAddAProduct(t *testing.T) {
	for name, c := range map[string]struct {
		form, compound, strength, density string
		want                              chem.Product
	}{
		"grams in a litre": {"Liquid, grams in a litre", "sodium bicarbonate, NaHCO3", "80", "",
			chem.Product{Form: chem.Liquid, Ingredients: []chem.Ingredient{{Compound: "NaHCO3", Amount: 80}}}},
		"per cent by mass": {"Liquid, per cent by mass", "sodium bicarbonate, NaHCO3", "7.5", "1.05",
			chem.Product{Form: chem.Liquid, Ingredients: []chem.Ingredient{{Compound: "NaHCO3", Amount: 78.75}}}},
		"a solid": {"Solid, per cent", "sodium bicarbonate, NaHCO3", "99", "",
			chem.Product{Form: chem.Solid, Ingredients: []chem.Ingredient{{Compound: "NaHCO3", Amount: 0.99}}}},
	} {
		t.Run(name, func(t *testing.T) {
			s := shelf(t)
			s.Press("Add a product")
			s.Press("Save")
			if !s.Asked() || !strings.Contains(s.Seen(), "The product has no name") {
				t.Fatalf("without anything it shows\n%s", s.Seen())
			}
			text(t, s, 0).SetText("New bottle")
			s.Pick(0, c.form)
			s.Pick(1, c.compound)
			number(t, s, 0).SetText(c.strength)
			number(t, s, 3).SetText(c.density)
			number(t, s, 6).SetText("450")
			s.FailActs(errors.New("the disk is full"))
			s.Press("Save")
			if !s.Asked() || text(t, s, 0).Text != "New bottle" || !strings.Contains(s.Seen(), "the disk is full") {
				t.Fatalf("refused: asked %v:\n%s", s.Asked(), s.Seen())
			}
			s.FailActs(nil)
			s.Press("Save")
			got, ok := products(t, s)["New bottle"]
			if s.Asked() || !ok || got.Stock != 450 || !near(got.Contents, c.want) {
				t.Errorf("the ledger has %+v", got)
			}
			if !strings.Contains(lines(s), "New bottle") {
				t.Errorf("the shelf shows\n%s", lines(s))
			}
		})
	}
}

func near(a, b chem.Product) bool {
	return a.Form == b.Form && slices.EqualFunc(a.Ingredients, b.Ingredients, func(x, y chem.Ingredient) bool {
		return x.Compound == y.Compound && x.Amount-y.Amount < 1e-9 && y.Amount-x.Amount < 1e-9
	})
}

// What is changed is the product under the cursor, also when another one came in
// before it meanwhile, and what was not touched stays.
func TestChangeAProduct(t *testing.T) {
	s := shelf(t)
	before := products(t, s)
	s.Point("Magnesium stock")
	must(t, s.Store.SaveProduct(t.Context(), &tanks.Product{Name: "A bottle before all", Contents: before["Calcium stock"].Contents}))
	s.Drain()
	s.Press("Change")
	if !strings.Contains(s.Seen(), "Change Magnesium stock") || number(t, s, 0).Text != "300" || number(t, s, 6).Text != "2000" {
		t.Fatalf("it asks\n%s", s.Seen())
	}
	number(t, s, 6).SetText("1500")
	s.Press("Save")
	want := before["Magnesium stock"]
	want.Stock = 1500
	got := products(t, s)["Magnesium stock"]
	if got.ID != want.ID || got.Stock != 1500 || got.Full != want.Full || !near(got.Contents, want.Contents) {
		t.Errorf("the ledger has %+v, want %+v", got, want)
	}
	s.Undo()
	if got := products(t, s)["Magnesium stock"]; got.Stock != 2000 {
		t.Errorf("undone, it has %g", got.Stock)
	}
}

// A retired product stays on the shelf, says so, and is offered in no plan.
func TestRetireAProduct(t *testing.T) {
	s := shelf(t)
	s.Point("Calcium stock")
	s.Keys(fyne.KeyReturn)
	s.Check("not offered in plans any more")
	s.Press("Save")
	if got := products(t, s)["Calcium stock"]; !got.Retired || !strings.Contains(lines(s), "Calcium stock (retired)") {
		t.Errorf("the ledger has %+v, the shelf\n%s", got, lines(s))
	}
}

// The recipe of the product under the cursor: 80 g of sodium bicarbonate in a litre
// are 400 g in five.
func TestMakeItUp(t *testing.T) {
	s := shelf(t)
	s.Point("Bicarbonate stock")
	s.Press("Make it up")
	if seen := s.Seen(); !strings.Contains(seen, "Make up Bicarbonate stock") || !strings.Contains(seen, "400.0 g") {
		t.Errorf("it shows\n%s", seen)
	}
	apptest.Find(t, apptest.Top(s.Canvas()), func(*widgets.QuantityEntry) bool { return true }).SetText("2")
	if seen := s.Seen(); !strings.Contains(seen, "160.0 g") {
		t.Errorf("for two litres it shows\n%s", seen)
	}
}

// A product is known by its label alone, several values at once, each in the unit
// that is typed; the shelf tells hardness and all else, and what was typed comes
// back when it is changed.
func TestAddAProductByItsLabel(t *testing.T) {
	s := shelf(t)
	s.Press("Add a product")
	text(t, s, 0).SetText("Shrimp salt")
	s.Pick(0, "Solid, per cent")
	text(t, s, 1).SetText("3 °dH")
	s.Press("Save")
	for _, told := range []string{"Give the mL or g that the label speaks of.", "Give the volume of water that the label speaks of."} {
		if !strings.Contains(s.Seen(), told) {
			t.Fatalf("without amount and volume it does not say %q:\n%s", told, s.Seen())
		}
	}
	if strings.Index(s.Seen(), "Give the mL") > strings.Index(s.Seen(), "in water of") {
		t.Errorf("what is wrong with the amount is said elsewhere:\n%s", s.Seen())
	}
	number(t, s, 4).SetText("10")
	apptest.Find(t, apptest.Top(s.Canvas()), func(*widgets.QuantityEntry) bool { return true }).SetText("100")
	s.Press("Save")
	if !s.Asked() || !strings.Contains(s.Seen(), "Choose what this is the change of.") {
		t.Fatalf("without an analyte it shows\n%s", s.Seen())
	}
	s.Pick(4, "Hardness")
	s.Pick(5, "Alkalinity")
	text(t, s, 2).SetText("1.5 furlongs")
	s.Press("Save")
	if !s.Asked() || !strings.Contains(s.Seen(), "furlongs") {
		t.Fatalf("with a wrong unit it shows\n%s", s.Seen())
	}
	text(t, s, 2).SetText("1.5") // in the person's unit
	s.Pick(6, "Potassium")
	text(t, s, 3).SetText("-0.5")
	s.Press("Save")
	got := products(t, s)["Shrimp salt"].Contents
	// 3 dGH are 0.534979 mmol/L, 1.5 dKH 0.534979 meq/L (10 mg/L CaO a degree).
	want := []chem.Strength{{Analyte: chem.Hardness, Amount: 10, Litres: 100, Raises: 0.534979},
		{Analyte: chem.Alkalinity, Amount: 10, Litres: 100, Raises: 0.534979}, {Analyte: chem.Potassium, Amount: 10, Litres: 100,
			Raises: -0.5}}
	if s.Asked() || got.Form != chem.Solid || len(got.Label) != len(want) {
		t.Fatalf("the ledger has %+v:\n%s", got, s.Seen())
	}
	for i, w := range want {
		if l := got.Label[i]; l.Analyte != w.Analyte || l.Amount != w.Amount || l.Litres != w.Litres ||
			math.Abs(l.Raises-w.Raises) > 1e-6 {
			t.Errorf("line %d is %+v, want %+v", i, l, w)
		}
	}
	// A gram in 100 L does a tenth of what ten do.
	for _, told := range []string{"Alk +0.15 dKH", "GH +0.3 dGH", "K -0.05 mg/L", "label: 10 g change 100 L by GH +3 dGH"} {
		if !strings.Contains(lines(s), told) {
			t.Errorf("the shelf does not say %q:\n%s", told, lines(s))
		}
	}
	s.Point("Shrimp salt")
	s.Press("Change")
	if text(t, s, 1).Text != "3 dGH" || text(t, s, 2).Text != "1.5 dKH" || number(t, s, 4).Text != "10" {
		t.Errorf("changed, it shows\n%s", s.Seen())
	}
	s.Press("Save")
	if again := products(t, s)["Shrimp salt"].Contents; len(again.Label) != 3 || math.Abs(again.Label[0].Raises-want[0].Raises) > 1e-6 {
		t.Errorf("saved again, the ledger has %+v", again)
	}
}

// The shelf tells hardness of a compound, and the alkalinity that bacteria make of
// an organic acid later.
func TestShelfTellsHardnessAndWhatComesLater(t *testing.T) {
	s := shelf(t)
	for name, c := range map[string]chem.Ingredient{"Magnesium sulfate": {Compound: "MgSO4·7H2O", Amount: 1},
		"Formate": {Compound: "Ca(HCOO)2", Amount: 1}} {
		p := tanks.Product{Name: name, Contents: chem.Product{Form: chem.Solid, Ingredients: []chem.Ingredient{c}}}
		must(t, s.Store.SaveProduct(t.Context(), &p))
	}
	s.Drain()
	// 1 g in 100 L: 0.040574 mmol/L of magnesium and of sulfate, 0.0769 mmol/L of
	// calcium and later 0.1537 meq/L.
	for _, told := range []string{"Mg +0.986 mg/L, GH +0.228 dGH, SO4 +3.9 mg/L |", "later Alk +0.431 dKH"} {
		if !strings.Contains(lines(s), told) {
			t.Errorf("the shelf does not say %q:\n%s", told, lines(s))
		}
	}
}

// How much a solution warms is said only where that is published, and the recipe
// names where its solubility is from.
func TestRecipeSaysItsSources(t *testing.T) {
	s := shelf(t)
	for name, c := range map[string]chem.Ingredient{"Nitrate": {Compound: "NaNO3", Amount: 700},
		"Drying salt":     {Compound: "CaCl2", Amount: 300},
		"Acetate of lime": {Compound: "Ca(CH3COO)2·H2O", Amount: 50}, "Binder": {Compound: "LaCl3·7H2O", Amount: 50}} {
		p := tanks.Product{Name: name, Contents: chem.Product{Form: chem.Liquid, Ingredients: []chem.Ingredient{c}}}
		must(t, s.Store.SaveProduct(t.Context(), &p))
	}
	s.Drain()
	for name, said := range map[string][2]string{
		"Nitrate": {"It cools by some ", "by how much"}, "Drying salt": {"by how much is not known here", "It would warm by some"},
		"Acetate of lime": {"not known", "CRC"}, "Binder": {"lanthanum chloride heptahydrate: Lanthanum carbonate and", "degrees"},
	} {
		s.Point(name)
		s.Press("Make it up")
		if seen := s.Seen(); !strings.Contains(seen, said[0]) || strings.Contains(seen, said[1]) || strings.Contains(seen, "memory") {
			t.Errorf("%s shows\n%s", name, seen)
		}
		whole := strings.Join(strings.Fields(s.Seen()), " ") // without the breaks of its lines
		if crc := strings.Contains(whole,
			"CRC Handbook of Chemistry and Physics, 91st edition 2010"); crc == (name == "Acetate of lime") {
			t.Errorf("%s names the CRC Handbook: %v", name, crc)
		}
		s.Keys(fyne.KeyEscape)
	}
}

// The search leads to the form of a new product, once.
func TestNewProductByRoute(t *testing.T) {
	store, f := storagetest.Room(t)
	s := open(t, store, f.Now, session.DosingShelf)
	s.Visit(session.Route{Place: session.Dosing, Section: session.DosingShelf, New: true})
	if !s.Asked() || !strings.Contains(s.Seen(), "By its label") {
		t.Fatalf("it shows\n%s", s.Seen())
	}
	s.Press("Cancel")
	s.Visit(session.Route{Place: session.Dosing, Section: session.DosingShelf})
	if s.Asked() {
		t.Error("it asks for another product")
	}
}
