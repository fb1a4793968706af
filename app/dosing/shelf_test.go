package dosing_test

import (
	"errors"
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
// left, full, price.
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
			number(t, s, 4).SetText("450")
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
	if !strings.Contains(s.Seen(), "Change Magnesium stock") || number(t, s, 0).Text != "300" || number(t, s, 4).Text != "2000" {
		t.Fatalf("it asks\n%s", s.Seen())
	}
	number(t, s, 4).SetText("1500")
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
