package setup

import (
	"math"
	"strings"
	"testing"

	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// A known addition gives the volume of the system under the cursor. 100 g/L of
// CaCl2·2H2O are 27.26 g/L of calcium (Ca 40.078, the salt 147.01 g/mol; from
// memory): 500 mL hold 13.63 g, which raise 20 mg/L in 682 L.
func TestMeasureTheVolume(t *testing.T) {
	s, fixture := room(t, session.SetupSystems)
	weak := tanks.Product{
		Name:     "Calcium stock",
		Contents: chem.Product{Form: chem.Liquid, Ingredients: []chem.Ingredient{{Compound: "CaCl2·2H2O", Amount: 10}}},
		Stock:    500,
		Full:     500,
	}
	must(t, s.Store.SaveProduct(t.Context(), &weak))
	s.Drain()
	s.Press("Measure the volume")
	s.Press("Use it")
	if !s.Asked() || !strings.Contains(s.Seen(), "This is missing") {
		t.Fatalf("with nothing typed: open %v\n%s", s.Asked(), s.Seen())
	}
	product := nth[*widgets.Choice[tanks.ProductID]](s, 0)
	product.SetSelected(weak.ID)
	if product.Shown() == "Calcium stock" {
		t.Errorf("two products are both shown as %q", product.Shown())
	}
	product.SetSelected(fixture.Products["calcium"].ID)
	for n, text := range []string{"500", "1", "400", "401", "1"} {
		s.number(n, text)
	}
	s.Press("Use it")
	if !s.Asked() || !strings.Contains(s.Seen(), "too small beside") {
		t.Fatalf("a rise within the scatter: open %v\n%s", s.Asked(), s.Seen())
	}
	s.number(3, "420")
	s.Press("Use it")
	got := ledger(s, s.Store.Systems)
	if s.Asked() || math.Abs(got[0].Stated-681.6) > 1 || got[1].Stated != 0 {
		t.Errorf("open %v, saved %g L and %g L", s.Asked(), got[0].Stated, got[1].Stated)
	}
	if !strings.Contains(s.LastSaid().Text, "F1") {
		t.Errorf("said %+v", s.LastSaid())
	}
}
