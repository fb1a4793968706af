package dosing_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"fyne.io/fyne/v2"

	"weirkeeper/app/apptest"
	"weirkeeper/app/screentest"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// lowRoom is the test room with calcium too low in the first system and
// alkalinity in the second, and its plan.
func lowRoom(t *testing.T) (*screentest.Screen, storagetest.Fixture) {
	t.Helper()
	store, f := storagetest.Room(t)
	save(t, store, f, 0, chem.Calcium, 360)
	save(t, store, f, 1, chem.Alkalinity, 2.1)
	return open(t, store, f.Now, session.DosingPlan), f
}

func plans(t *testing.T, store *storage.Store) []tanks.DosingPlan {
	t.Helper()
	all, err := store.Plans(t.Context())
	must(t, err)
	return all
}

// A plan is committed by one press as one act, however often it is pressed, and
// one undo takes it back.
func TestCommitIsOneAct(t *testing.T) {
	s, _ := lowRoom(t)
	for range 3 {
		must(t, apptest.PressLabel(s.Canvas(), "Commit plan"))
	}
	s.Drain()
	if all := plans(t, s.Store); len(all) != 1 || len(all[0].Lines) != 2 {
		t.Fatalf("the ledger has %+v", all)
	}
	if len(s.Went) != 1 || s.Went[0].Section != session.DosingRunSheet || s.LastSaid().Title != "Plan committed" {
		t.Errorf("went to %+v, said %+v", s.Went, s.LastSaid())
	}
	items, err := s.Store.RunItems(t.Context(), s.Session.Clock(), s.Session.Clock().Add(60*day))
	must(t, err)
	if len(items) == 0 || !strings.HasPrefix(s.LastSaid().Text, fmt.Sprintf("%d doses are on the run sheet", len(items))) {
		t.Errorf("%d doses, said %q", len(items), s.LastSaid().Text)
	}
	s.Undo()
	if all := plans(t, s.Store); len(all) != 0 {
		t.Errorf("undone once, the ledger has %+v", all)
	}
	s.Press("Commit plan")
	if all := plans(t, s.Store); len(all) != 1 {
		t.Errorf("committed again, the ledger has %+v", all)
	}
}

// Ctrl+S commits too; a plan that the ledger refuses says so and can be committed
// again with all that was decided.
func TestCommitRefused(t *testing.T) {
	s, f := lowRoom(t)
	s.Point("Calcium mg/L | 360")
	s.Press("Take out")
	s.FailActs(errors.New("the disk is full"))
	save := func() {
		s.Page.(interface{ Save() }).Save()
		s.Drain()
	}
	save()
	if got := s.LastSaid(); !got.Bad || !strings.Contains(got.Text, "the disk is full") || len(s.Went) != 0 {
		t.Fatalf("said %+v, went to %+v", got, s.Went)
	}
	s.FailActs(nil)
	save()
	if got := plans(t, s.Store); len(got) != 1 || len(got[0].Lines) != 1 || got[0].Lines[0].System != f.Systems[1].ID {
		t.Errorf("the ledger has %+v", got)
	}
}

func TestNothingToCommit(t *testing.T) {
	s, _ := lowRoom(t)
	s.Point("Calcium mg/L | 360")
	s.Press("Take out")
	s.Point("Alkalinity dKH | 5.9")
	s.Press("Take out")
	s.Press("Commit plan")
	if got := s.LastSaid(); got.Title != "Nothing to commit" || len(plans(t, s.Store)) != 0 {
		t.Errorf("said %+v", got)
	}
}

// What is decided is decided of the line under the cursor, which stays there, and
// the arithmetic beside it is that line's.
func TestDecisionsOfTheLineUnderTheCursor(t *testing.T) {
	s, f := lowRoom(t)
	s.Point("Alkalinity dKH | 5.9")
	if !strings.Contains(s.Seen(), "How: F2 alkalinity") {
		t.Fatalf("beside it stands\n%s", s.Seen())
	}
	s.Press("Change amount")
	if !strings.Contains(s.Seen(), "F2 alkalinity: Bicarbonate stock") {
		t.Fatalf("it asks\n%s", s.Seen())
	}
	daily := apptest.Find(t, apptest.Top(s.Canvas()), func(*widgets.NumberEntry) bool { return true })
	daily.SetText("-3")
	s.Press("Set")
	if !s.Asked() || !strings.Contains(s.Seen(), "\"-3\" is no amount") {
		t.Fatalf("for a negative amount it shows\n%s", s.Seen())
	}
	daily.SetText("12.5")
	s.Press("Set")
	if got := s.Line("Alkalinity dKH | 5.9").Cells[3].Bold; s.Asked() || !strings.HasPrefix(got, "12.5 mL") {
		t.Fatalf("a day it gives %q", got)
	}
	if !strings.Contains(s.Seen(), "How: F2 alkalinity") || !strings.Contains(lines(s), "decided by you") {
		t.Errorf("afterwards it shows\n%s", s.Seen())
	}
	s.Point("Calcium mg/L | 360")
	s.Press("Take out")
	if got := s.Line("Calcium mg/L | 360").Cells[3].Bold; got != "hold" {
		t.Errorf("taken out, calcium gives %q", got)
	}
	s.Press("Take out")
	if got := s.Line("Calcium mg/L | 360").Cells[3].Bold; got == "hold" {
		t.Error("taken out twice, calcium gives nothing")
	}
	s.Press("Commit plan")
	all := plans(t, s.Store)
	if len(all) != 1 || len(all[0].Lines) != 2 {
		t.Fatalf("the ledger has %+v", all)
	}
	for _, l := range all[0].Lines {
		if l.System == f.Systems[1].ID && l.Doses[0].Amount != 12.5 && l.Doses[0].Amount != 6.25 {
			t.Errorf("alkalinity is dosed %v", l.Doses)
		}
	}
	if got := lines(s); strings.Contains(got, "decided by you") {
		t.Errorf("after the commit it is still decided:\n%s", got)
	}
}

// Two products of one name are told apart by what is in them, and both can be
// chosen.
func TestProductsOfOneName(t *testing.T) {
	s, f := lowRoom(t)
	other := f.Products["calcium"]
	other.ID, other.Stock = 0, 750
	other.Contents = chem.Product{Form: chem.Liquid, Ingredients: []chem.Ingredient{{Compound: "CaCl2·2H2O", Amount: 50}}}
	must(t, s.Store.SaveProduct(t.Context(), &other))
	s.Drain()
	for _, want := range []tanks.Product{other, f.Products["calcium"]} {
		s.Point("Calcium mg/L | 360")
		s.Press("Another product")
		choice := apptest.Find(t, apptest.Top(s.Canvas()), func(*widgets.Choice[tanks.ProductID]) bool { return true })
		if got := choice.Names(); !slices.Equal(got, []string{"Calcium stock", "Calcium stock"}) {
			t.Fatalf("offered are %q", got)
		}
		choice.SetSelected(want.ID)
		detail := fmt.Sprintf("Calcium stock, CaCl2·2H2O %.0f g/L; %.0f mL left", want.Contents.Ingredients[0].Amount, want.Stock)
		if choice.Shown() != detail {
			t.Errorf("it shows %q, want %q", choice.Shown(), detail)
		}
		s.Press("Use")
	}
	full := s.Line("Calcium mg/L | 360").Cells[3].Bold
	s.Press("Another product")
	apptest.Find(t, apptest.Top(s.Canvas()), func(*widgets.Choice[tanks.ProductID]) bool { return true }).SetSelected(other.ID)
	s.Press("Use")
	if got := s.Line("Calcium mg/L | 360").Cells[3].Bold; got == full {
		t.Errorf("of half the strength it gives %q too", got)
	}
	s.Press("Commit plan")
	for _, l := range plans(t, s.Store)[0].Lines {
		if l.Analyte == chem.Calcium && l.Product != other.ID {
			t.Errorf("committed %+v, want product %d", l, other.ID)
		}
	}
}

func TestNoProductRaisesIt(t *testing.T) {
	s, _ := lowRoom(t)
	products, err := s.Store.Products(t.Context())
	must(t, err)
	for _, p := range products {
		if p.Name == "Calcium stock" {
			p.Retired = true
			must(t, s.Store.SaveProduct(t.Context(), &p))
		}
	}
	s.Drain()
	s.Point("Calcium mg/L | 360")
	s.Press("Another product")
	if got := s.LastSaid(); s.Asked() || !strings.Contains(got.Title, "Nothing on the shelf raises calcium") || got.Then == nil {
		t.Fatalf("said %+v", got)
	}
	s.LastSaid().Then()
	if len(s.Went) != 1 || s.Went[0].Section != session.DosingShelf {
		t.Errorf("went to %+v", s.Went)
	}
}

// The share of the dose to start at is chosen by its number and goes into the
// ledger.
func TestCaution(t *testing.T) {
	s, _ := lowRoom(t)
	if seen := s.Seen(); !strings.Contains(seen, "The full dose") || strings.Contains(seen, "Start at") {
		t.Fatalf("it shows\n%s", seen)
	}
	s.Pick(0, "25 % of the dose")
	quarter := s.Line("Calcium mg/L | 360").Cells[5].Text
	s.Pick(0, "The full dose")
	if full := s.Line("Calcium mg/L | 360").Cells[5].Text; full <= quarter {
		t.Errorf("afterwards %s mg/L with a quarter, %s with all of the dose", quarter, full)
	}
	s.Pick(0, "50 % of the dose")
	s.Press("Commit plan")
	if got := plans(t, s.Store); len(got) != 1 || got[0].Caution != 0.5 {
		t.Errorf("the ledger has %+v", got)
	}
}

// Systems and analytes are chosen by what they are, not by their place in a list
// that may have changed meanwhile.
func TestChooseSystemsAndAnalytes(t *testing.T) {
	s, f := lowRoom(t)
	save(t, s.Store, f, 0, chem.Magnesium, 1300)
	s.Press("Systems")
	first := tanks.System{Code: "A0", Name: "Before all others", Kind: tanks.Marine, Place: "Back wall", Opened: f.Now.Add(-day)}
	must(t, s.Store.SaveSystem(t.Context(), &first))
	s.Drain()
	s.Tick("F2")
	s.Press("Show")
	for _, line := range s.Lines() {
		if strings.HasPrefix(line, "F1 ") || strings.HasPrefix(line, "A0 ") {
			t.Errorf("F2 was chosen; it shows\n%s", lines(s))
		}
	}
	s.Press("Analytes")
	if !strings.Contains(s.Seen(), "Analytes to plan") || !strings.Contains(s.Seen(), "Hardness") || !strings.Contains(s.Seen(), "Iron") {
		t.Errorf("it asks\n%s", s.Seen())
	}
	s.Tick("Magnesium")
	s.Tick("Nitrate")
	s.Press("Show")
	if got := lines(s); !strings.Contains(got, "Nitrate") || !strings.Contains(got, "Alkalinity") || strings.Contains(got, "Magnesium") {
		t.Errorf("it shows\n%s", got)
	}
}

// A route opens the plan for its own system and asks for its analyte.
func TestRouteToAPlan(t *testing.T) {
	s, f := lowRoom(t)
	save(t, s.Store, f, 1, chem.Calcium, 425)
	s.Visit(session.Route{
		Place: session.Dosing, Section: session.DosingPlan, System: f.Systems[1].ID, Analyte: chem.Nitrate,
		Cells: []tanks.Cell{{System: f.Systems[1].ID, Analyte: chem.Nitrate}},
	})
	if got := lines(s); strings.Contains(got, "F1 ") || !strings.Contains(got, "Nitrate") || !strings.Contains(got, "Calcium") {
		t.Errorf("it shows\n%s", got)
	}
}

func TestNothingToDose(t *testing.T) {
	store, f := storagetest.Room(t)
	s := open(t, store, f.Now, session.DosingPlan)
	if !strings.Contains(s.Seen(), "Nothing to dose") || !strings.Contains(s.Seen(), "To dose: 0. To leave as they are: 0.") {
		t.Fatalf("it shows\n%s", s.Seen())
	}
	for _, button := range []string{"Change amount", "Another product", "Take out", "Commit plan"} {
		s.Press(button)
	}
	if s.Asked() || s.LastSaid().Title != "Nothing to commit" {
		t.Errorf("asked %v, said %+v", s.Asked(), s.LastSaid())
	}
	s.Press("Choose systems")
	s.Tick("F1")
	s.Press("Show")
	if !strings.Contains(lines(s), "not tested") || !strings.Contains(lines(s), "test first") {
		t.Errorf("F1 shows\n%s", lines(s))
	}
	s.Point("Calcium")
	s.Keys(fyne.KeyReturn)
	if s.Asked() || s.LastSaid().Title != "There is nothing to change" {
		t.Errorf("said %+v", s.LastSaid())
	}
}

// In the smallest window that the program is made for, the plan shows its rules.
func TestRulesStayInANarrowWindow(t *testing.T) {
	s := open(t, screentest.Demo(t), screentest.Morning, session.DosingPlan)
	s.Window.Resize(fyne.NewSize(860, 600)) // what 1024 leaves beside the rail
	apptest.Settle(s.Window)
	heads, cut := map[string]bool{}, []string{}
	for _, text := range apptest.Texts(s.Window) {
		if !slices.Contains(text.In, "Table") {
			continue
		}
		inSight := text.At.Within(text.Clip)
		heads[text.Text] = heads[text.Text] || inSight.W >= text.At.W-0.5
		if strings.HasSuffix(text.Text, "...") || strings.HasSuffix(text.Text, "…") {
			cut = append(cut, text.Text)
		}
	}
	for _, want := range []string{"Analyte", "Now", "Aim", "By day", "Product", "Rules", "reading too old"} {
		if !heads[want] {
			t.Errorf("%q is not in sight", want)
		}
	}
	if len(cut) > 0 {
		t.Errorf("cut are %q", cut)
	}
}

func TestPlanCannotBeRead(t *testing.T) {
	s, _ := lowRoom(t)
	s.FailReads(errors.New("the disk is gone"))
	s.Page.Reload()
	s.Drain()
	if got := s.LastSaid(); !got.Bad || got.Title != "Reading the doses: it could not be read" || strings.Contains(got.Text, "typed") {
		t.Errorf("said %+v", got)
	}
}
