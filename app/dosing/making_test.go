package dosing_test

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"weirkeeper/app/apptest"
	"weirkeeper/app/dosing"
	"weirkeeper/app/screentest"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/assets"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// waterRoom is an own room with a discus tank of 400 L, a brackish and a marine
// system, tap with its report, RO and the starting shelf.
type waterRoom struct {
	store                  *storage.Store
	discus, brackish, reef tanks.System
	tap, osmosis           tanks.System
	methods                map[chem.Analyte]tanks.MethodID
}

func newWaterRoom(t *testing.T) waterRoom {
	t.Helper()
	r := waterRoom{store: emptyLedger(t), methods: map[chem.Analyte]tanks.MethodID{}}
	profiles := map[string]tanks.ProfileID{}
	for _, p := range assets.Profiles() {
		must(t, r.store.SaveProfile(t.Context(), &p.Profile))
		profiles[p.Profile.Name] = p.Profile.ID
	}
	for _, p := range assets.Products() {
		must(t, r.store.SaveProduct(t.Context(), &p))
	}
	system := func(code, name string, k tanks.Kind, profile string, pure bool) tanks.System {
		s := tanks.System{Code: code, Name: name, Kind: k, Profile: profiles[profile], Stated: 400, Purified: pure,
			Opened: storagetest.Clock().Add(-100 * day)}
		must(t, r.store.SaveSystem(t.Context(), &s))
		return s
	}
	r.discus = system("D1", "Discus", tanks.Freshwater, "Discus", false)
	r.brackish = system("B1", "Estuary", tanks.Brackish, "Brackish", false)
	r.reef = system("R1", "Reef", tanks.Marine, "Reef display", false)
	r.tap, r.osmosis = system("T1", "Tap", tanks.Source, "Tap", false), system("S1", "RO", tanks.Source, "RO/DI store", true)
	r.report(t, r.tap, chem.Analysis{chem.Temperature: 12, chem.PH: 7.5, chem.Alkalinity: 3.4952, chem.Hardness: 2.4787,
		chem.Conductivity: 550, chem.Calcium: 78, chem.Magnesium: 13, chem.Nitrate: 12, chem.AllChlorine: 0.4})
	r.report(t, r.osmosis, chem.Analysis{chem.Conductivity: 5, chem.Temperature: 20})
	r.report(t, r.discus, chem.Analysis{chem.Alkalinity: 1.5, chem.Hardness: 1, chem.Nitrate: 40})
	return r
}

// report writes exact readings of a system, of an hour ago.
func (r *waterRoom) report(t *testing.T, s tanks.System, values chem.Analysis) {
	t.Helper()
	for a, v := range values {
		info, _ := chem.Lookup(a)
		if r.methods[a] == 0 {
			m := tanks.Method{Name: "Exact " + a.String(), Kind: tanks.Lab, Analyte: a, Unit: info.Unit, Resolution: 1e-4, Accuracy: 1e-4}
			must(t, r.store.SaveMethod(t.Context(), &m))
			r.methods[a] = m.ID
		}
		_, err := r.store.SaveReadings(t.Context(), []tanks.Reading{{System: s.ID, Analyte: a, Value: v, Method: r.methods[a],
			Unit: info.Unit, At: storagetest.Clock().Add(-time.Hour), Typed: "x"}})
		must(t, err)
	}
}

func makingScreen(t *testing.T, r waterRoom, forWhom tanks.System) *screentest.Screen {
	t.Helper()
	s := open(t, r.store, storagetest.Clock(), session.DosingMaking)
	s.Visit(session.Route{Place: session.Dosing, Section: session.DosingMaking, System: forWhom.ID})
	return s
}

// The places of the quantity fields on the form.
const (
	fieldLitres = iota
	fieldVat
	fieldWater1
	fieldWater2
	_
	_
	fieldSalinity
	fieldHardness
	fieldAlkalinity
	_
	_
	_
	_
	fieldNitrate
	_
	fieldTemperature
)

func quantity(t *testing.T, s *screentest.Screen, n int) *widgets.QuantityEntry {
	t.Helper()
	seen := -1
	return apptest.Find(t, s.Canvas().Content(), func(*widgets.QuantityEntry) bool { seen++; return seen == n })
}

func texts(t *testing.T, s *screentest.Screen, fields ...int) string {
	t.Helper()
	var out []string
	for _, f := range fields {
		out = append(out, quantity(t, s, f).Text())
	}
	return strings.Join(out, " ")
}

func makingForm(t *testing.T, s *screentest.Screen) *widgets.Form {
	t.Helper()
	return apptest.Find(t, s.Canvas().Content(), func(*widgets.Form) bool { return true })
}

func sees(t *testing.T, s *screentest.Screen, parts ...string) {
	t.Helper()
	seen := s.Seen() + "\n" + lines(s)
	for _, p := range parts {
		if !strings.Contains(seen, p) {
			t.Errorf("it does not show %q:\n%s", p, seen)
		}
	}
}

// Tap blended for discus: GH 3 with three of calcium to one of magnesium are 13.83 mg/L of
// calcium, which 35.5 of 200 L of tap with 78 mg/L bring; nitrate of 40 comes to 21.1 when
// half is changed. Worked out by hand.
func TestTapIsBlendedForDiscus(t *testing.T) {
	r := newWaterRoom(t)
	s := makingScreen(t, r, r.discus)
	if typed := texts(t, s, fieldHardness, fieldAlkalinity, fieldNitrate); typed != "3 2 8" {
		t.Fatalf("the goals are not those of the bands:\n%s", s.Seen())
	}
	sees(t, s, "T1 into an empty vat", "35.5 L", "S1 into the vat", "164.5 L", "Thiosulfate stock", "Nitrate mg/L | 2.1 | 2.1 | ≤ 8",
		"T1 may go up to 35.5 L: there calcium stops it. Next is alkalinity, at 40.8 L.",
		"Taken as none in purified water, since nobody", "read the conductivity",
		"What it does to D1, 50 % changed:", "Nitrate 40.0 to 21.1")
	if strings.Contains(s.Seen(), "÷") {
		t.Error("the arithmetic is shown unasked")
	}
	s.Check("Show the arithmetic")
	sees(t, s, "(35.5 × 13.9 + 164.5 × 0.0) ÷ 200.0 = 2.5 dGH")

	// It goes to the water change with all that it holds.
	var routes []session.Route
	s.Session.Go = func(route session.Route) { routes = append(routes, route) }
	s.Press("Use for a water change")
	if len(routes) != 1 || routes[0].Section != session.DosingChanges || routes[0].System != r.discus.ID || routes[0].Water == nil {
		t.Fatalf("it leads to %+v", routes)
	}
	w := *routes[0].Water
	i := slices.IndexFunc(w.Levels, func(l tanks.Level) bool { return l.Analyte == chem.Nitrate })
	if w.Litres != 200 || i < 0 || w.Levels[i].Value < 2.12 || w.Levels[i].Value > 2.14 {
		t.Errorf("handed over is %+v", w)
	}
	if slices.ContainsFunc(w.Levels, func(l tanks.Level) bool { return l.Analyte == chem.PH || l.Analyte == chem.Temperature }) {
		t.Errorf("pH and temperature are handed over: %+v", w)
	}
}

// Salt water for a marine and a brackish system is pure water and salt alone, to the
// salinity of the band.
func TestSaltWaterForBrackishAndMarine(t *testing.T) {
	r := newWaterRoom(t)
	s := makingScreen(t, r, r.reef)
	quantity(t, s, fieldLitres).SetText("100")
	// 102.35 kg with 35 PSU hold 3.6 kg of salt; a tenth of the salt is moisture.
	sees(t, s, "Sea salt", "kg", "S1 into the vat", "Measure the salinity once it is clear", "never water onto salt")
	if quantity(t, s, fieldHardness).Text() != "" || strings.Contains(s.Seen(), "T1 into") {
		t.Errorf("a reef's water is hardened with tap:\n%s", s.Seen())
	}
	reef := seenAmount(t, s, "Sea salt")
	s.Pick(0, r.brackish.Label())
	if quantity(t, s, fieldSalinity).Text() != "12" {
		t.Fatalf("the brackish goal is %q", quantity(t, s, fieldSalinity).Text())
	}
	brackish := seenAmount(t, s, "Sea salt")
	goal := must2(t)(chem.SeaSalt{Moisture: 0.1}.Batch(100, 12, 26, 0))
	if brackish < goal.SaltKg-0.02 || brackish > goal.SaltKg+0.02 || brackish >= reef {
		t.Errorf("brackish takes %.2f kg, marine %.2f; the first should be %.2f", brackish, reef, goal.SaltKg)
	}
}

func must2(t *testing.T) func(chem.Batch, error) chem.Batch {
	return func(b chem.Batch, err error) chem.Batch {
		t.Helper()
		must(t, err)
		return b
	}
}

// seenAmount is the number that stands behind the title of a step.
func seenAmount(t *testing.T, s *screentest.Screen, title string) float64 {
	t.Helper()
	all := strings.Split(s.Seen(), "\n")
	for i, line := range all {
		if !strings.HasSuffix(line, title) {
			continue
		}
		for _, near := range all[max(0, i-1):min(len(all), i+2)] {
			if number, _, ok := strings.Cut(near, " kg"); ok {
				v, err := chem.ParseExact(number)
				must(t, err)
				return v
			}
		}
	}
	t.Fatalf("there is no %q:\n%s", title, s.Seen())
	return 0
}

// What is wrong is said at its field, nothing is made of it, and the keyboard stays
// where one types.
func TestMakingSaysWhatIsWrongAtItsField(t *testing.T) {
	r := newWaterRoom(t)
	s := makingScreen(t, r, r.discus)
	form := makingForm(t, s)
	vat := quantity(t, s, fieldVat).FocusTarget()
	s.Focus(vat)
	for _, c := range []struct {
		field      int
		text, name string
		says       string
	}{
		{fieldLitres, "", "litres", "above zero"},
		{fieldLitres, "-5", "litres", "above zero"},
		{fieldLitres, "much", "litres", "much"},
		{fieldVat, "-1", "vat", "-1"},
		{fieldWater1, "-3", "water 0", "zero or more"},
		{fieldWater2, "900", "water 0", "together"},
		{fieldHardness, "abc", goalName(chem.Hardness), "abc"},
	} {
		q := quantity(t, s, c.field)
		before := q.Text()
		q.SetText(c.text)
		if got := form.FaultOf(c.name); !strings.Contains(got, c.says) {
			t.Errorf("%q in %s: it says %q there\n%s", c.text, c.name, got, s.Seen())
		}
		if len(s.Table().Rows()) != 0 || !strings.Contains(s.Seen(), "Say at the left what is to be made.") {
			t.Errorf("%q in %s makes water all the same", c.text, c.name)
		}
		q.SetText(before)
		if got := form.FaultOf(c.name); got != "" {
			t.Errorf("mended, %s says %q", c.name, got)
		}
	}
	if s.Canvas().Focused() != vat {
		t.Error("the keyboard went away")
	}
	quantity(t, s, fieldLitres).SetText("")
	s.Press("Use for a water change")
	s.Press("Save as a recipe")
	s.Press("Print the weigh list")
	if len(s.Said) != 3 || s.Said[0].Title != "The water is not settled yet" || s.Asked() {
		t.Errorf("said %+v", s.Said)
	}
}

func goalName(a chem.Analyte) string { return fmt.Sprintf("goal %d", a) }

// Water for no system can't be used for a change; goals are then the keeper's own.
func TestWaterForNoSystem(t *testing.T) {
	r := newWaterRoom(t)
	s := open(t, r.store, storagetest.Clock(), session.DosingMaking)
	if !strings.Contains(makingForm(t, s).FaultOf("water 0"), "no goal tells it") {
		t.Errorf("without a goal it says %q", makingForm(t, s).FaultOf("water 0"))
	}
	quantity(t, s, fieldAlkalinity).SetText("4,9")
	sees(t, s, "100.0 L") // half of 9.8
	s.Press("Use for a water change")
	if s.LastSaid().Title != "It is made for no system" {
		t.Errorf("said %+v", s.Said)
	}
	s.Pick(0, "salt water, for no system")
	if quantity(t, s, fieldSalinity).Text() != "35" || quantity(t, s, fieldAlkalinity).Text() != "" {
		t.Errorf("salt water asks for %q", quantity(t, s, fieldSalinity).Text())
	}
}

// A recipe is kept with all that was asked for, opened again, replaced under its own
// name, refused under another's, and removed; undo brings it back.
func TestRecipesOfWater(t *testing.T) {
	r := newWaterRoom(t)
	s := makingScreen(t, r, r.discus)
	quantity(t, s, fieldLitres).SetText("150")
	quantity(t, s, fieldHardness).SetText("4")
	s.Press("Save as a recipe")
	s.Type("Discus week")
	s.Press("Save")
	recipes := savedRecipes(t, r)
	if len(recipes) != 1 || recipes[0].Name != "Discus week" || recipes[0].Litres != 150 || recipes[0].For != r.discus.ID ||
		len(recipes[0].Portions) != 2 || len(recipes[0].Goals) < 3 || len(recipes[0].Products) != 4 || recipes[0].Air != chem.AirCO2 {
		t.Fatalf("kept is %+v", recipes)
	}
	s.Pick(0, r.reef.Label())
	s.Press("Open a recipe")
	s.Press("Open")
	if typed := texts(t, s, fieldLitres, fieldHardness, fieldSalinity); typed != "150 4 " {
		t.Fatalf("opened it is\n%s", s.Seen())
	}
	sees(t, s, "T1 into an empty vat", "What it does to D1")
	quantity(t, s, fieldLitres).SetText("160")
	s.Press("Save as a recipe")
	s.Press("Save")
	if recipes = savedRecipes(t, r); len(recipes) != 1 || recipes[0].Litres != 160 {
		t.Fatalf("under its own name it is %+v", recipes)
	}
	if recipes[0].CalciumToMagnesium != 3 {
		t.Errorf("the ratio is %g", recipes[0].CalciumToMagnesium)
	}
	// Under another name it is another one, and another's name is refused.
	s.Press("Save as a recipe")
	typeOver(t, s, "Second")
	s.Press("Save")
	if recipes = savedRecipes(t, r); len(recipes) != 2 {
		t.Fatalf("under another name there are %+v", recipes)
	}
	s.Press("Save as a recipe")
	typeOver(t, s, "discus WEEK")
	s.Press("Save")
	if recipes = savedRecipes(t, r); len(recipes) != 2 || !strings.Contains(s.Seen(), "already") {
		t.Errorf("another's name is taken: %+v\n%s", recipes, s.Seen())
	}
	s.Press("Cancel")
	s.Press("Cancel") // what was typed is given up at the second press
	must(t, r.store.RemoveWaterRecipe(t.Context(), recipes[1].ID))
	s.Drain()
	s.FailActs(errors.New("the disk is full"))
	s.Press("Save as a recipe")
	s.Press("Save")
	if !s.Asked() || !strings.Contains(s.Seen(), "the disk is full") {
		t.Errorf("a refusal closes the form:\n%s", s.Seen())
	}
	s.FailActs(nil)
	s.Press("Cancel")
	s.Press("Open a recipe")
	s.Press("Remove the recipe")
	if recipes = savedRecipes(t, r); len(recipes) != 0 {
		t.Fatalf("removed it is %+v", recipes)
	}
	s.Undo()
	if recipes = savedRecipes(t, r); len(recipes) != 1 {
		t.Errorf("undone there are %+v", recipes)
	}
}

// typeOver puts a text in place of what stands in the field of the dialog.
func typeOver(t *testing.T, s *screentest.Screen, text string) {
	t.Helper()
	apptest.Find(t, apptest.Top(s.Canvas()), func(*widgets.TextEntry) bool { return true }).SetText(text)
}

// The doubt that is written reaches over 95 %: of half of a nitrate of 40 ± 2 and half of
// 10 ± 0.5, volumes to 1 %, it is twice 1.03.
func TestDoubtIsWritten(t *testing.T) {
	r := newWaterRoom(t)
	r.methods = map[chem.Analyte]tanks.MethodID{}
	m := tanks.Method{Name: "Kit", Kind: tanks.Kit, Analyte: chem.Nitrate, Unit: chem.MgL, Resolution: 1,
		AccuracyShare: 0.05 * math.Sqrt(3)}
	must(t, r.store.SaveMethod(t.Context(), &m))
	r.methods[chem.Nitrate] = m.ID
	other := tanks.System{Code: "W1", Name: "Well", Kind: tanks.Source, Opened: storagetest.Clock().Add(-100 * day)}
	must(t, r.store.SaveSystem(t.Context(), &other))
	r.report(t, r.tap, chem.Analysis{chem.Nitrate: 40})
	r.report(t, other, chem.Analysis{chem.Nitrate: 10})
	s := open(t, r.store, storagetest.Clock(), session.DosingMaking)
	s.Pick(2, other.Label())
	quantity(t, s, fieldWater1).SetText("100")
	row := s.Line("Nitrate")
	if row.Cells[2].Bold != "25.0" || !strings.HasPrefix(row.Cells[2].Side, "± 2.") {
		t.Errorf("it says %+v", row.Cells[2])
	}
}

func savedRecipes(t *testing.T, r waterRoom) []tanks.WaterRecipe {
	t.Helper()
	all, err := r.store.WaterRecipes(t.Context())
	must(t, err)
	return all
}

// A recipe whose water is gone says so and is not made in silence from what is left.
func TestRecipeOfAWaterThatIsGone(t *testing.T) {
	r := newWaterRoom(t)
	recipe := tanks.WaterRecipe{Name: "Old", Litres: 50, Portions: []tanks.RecipePortion{{Source: r.tap.ID}, {Source: r.osmosis.ID}},
		Goals: []tanks.RecipeGoal{{Analyte: chem.Alkalinity, Value: 1}}}
	must(t, r.store.SaveWaterRecipe(t.Context(), &recipe))
	closed := r.tap
	closed.Closed = storagetest.Clock().Add(-time.Hour)
	must(t, r.store.SaveSystem(t.Context(), &closed))
	s := open(t, r.store, storagetest.Clock(), session.DosingMaking)
	s.Press("Open a recipe")
	s.Press("Open")
	if got := s.LastSaid(); !got.Bad || !strings.Contains(got.Text, "water 1") {
		t.Errorf("said %+v\n%s", s.Said, s.Seen())
	}
}

// A product that is known by its label only raises hardness in a shrimp rack: 10 g in
// 100 L give 3 degrees, so 6 degrees in 100 L of pure water take 20 g.
func TestHardeningByALabel(t *testing.T) {
	r := newWaterRoom(t)
	salt := tanks.Product{Name: "Hardening salt", Stock: 500, Contents: chem.Product{Form: chem.Solid, Label: []chem.Strength{
		{Analyte: chem.Hardness, Amount: 10, Litres: 100, Raises: 3 * 0.178326}}}}
	must(t, r.store.SaveProduct(t.Context(), &salt))
	s := open(t, r.store, storagetest.Clock(), session.DosingMaking)
	quantity(t, s, fieldLitres).SetText("100")
	s.Pick(1, r.osmosis.Label())
	s.Pick(2, "none")
	quantity(t, s, fieldHardness).SetText("6")
	s.Pick(5, "Hardening salt")
	sees(t, s, "Hardening salt", "20.0 g", "The label does not say which salts it holds", "500 g left on the shelf")
}

// The weigh list is asked for as a file.
func TestWeighListAsksForAPlace(t *testing.T) {
	r := newWaterRoom(t)
	s := makingScreen(t, r, r.discus)
	s.Press("Print the weigh list")
	if !s.Asked() {
		t.Errorf("it asks for no file; said %+v", s.Said)
	}
}

// The sums begin with what is known of the system that the water is for.
func TestSumsFromTheWaterBench(t *testing.T) {
	r := newWaterRoom(t)
	s := makingScreen(t, r, r.discus)
	s.Press("Sums")
	if !s.Asked() || !strings.Contains(s.Seen()+lines(s), "Salinity by hydrometer") {
		t.Errorf("it lists\n%s", s.Seen())
	}
}

// What was made goes into the change with its litres and the name of its recipe; of
// water with chlorine the change says so, and of a cold one.
func TestMadeWaterIsChangedAsMade(t *testing.T) {
	r := newWaterRoom(t)
	r.report(t, r.discus, chem.Analysis{chem.Temperature: 28})
	s := open(t, r.store, storagetest.Clock(), session.DosingChanges)
	made := tanks.NewWater{Name: "Discus week", Litres: 200, Levels: []tanks.Level{{Analyte: chem.Nitrate, Value: 2}}}
	s.Visit(session.Route{Place: session.Dosing, Section: session.DosingChanges, System: r.discus.ID, Water: &made})
	sees(t, s, "50 % of D1", "Discus week")
	if strings.Contains(s.Seen(), "take it out first") {
		t.Errorf("it warns of chlorine that was taken out:\n%s", s.Seen())
	}
	s.Press("Record the change")
	all := waterChanges(t, s, r.discus.ID)
	if len(all) != 1 || all[0].Litres != 200 || all[0].Note != "Discus week" {
		t.Fatalf("recorded is %+v", all)
	}
	if strings.Contains(s.Seen(), "no number is given") {
		t.Errorf("after the save it finds fault:\n%s", s.Seen())
	}
	s.Pick(1, r.tap.Label())
	quantity(t, s, 0).SetText("200")
	sees(t, s, "The new water holds 0.40 mg/L of chlorine: take it out first", "from 28.0 to 20.0 °C")
	quantity(t, s, 0).SetText("10")
	if strings.Contains(s.Seen(), "warm or cool it first") {
		t.Errorf("ten litres of cold water are warned of:\n%s", s.Seen())
	}
}

// Ctrl+S keeps the recipe and stays.
func TestSaveOnTheWaterBenchKeepsTheRecipe(t *testing.T) {
	r := newWaterRoom(t)
	var page *dosing.Page
	s := screentest.Open(t, r.store, storagetest.Clock(), func(in *session.Session) screentest.Page {
		page = dosing.New(in)
		return page
	})
	s.Visit(session.Route{Place: session.Dosing, Section: session.DosingMaking, System: r.discus.ID})
	page.Save()
	if !s.Asked() || !strings.Contains(s.Seen(), "Save as a recipe") {
		t.Errorf("it shows\n%s", s.Seen())
	}
}

// What a product that the person chooses for one line brings of another is said there,
// and taken into account when all are solved together.
func TestChosenProductCountsForTheOtherLines(t *testing.T) {
	r := newWaterRoom(t)
	kh, gh := 0.356652, 0.178326
	mineral := tanks.Product{Name: "Mineral", Stock: 500, Contents: chem.Product{Form: chem.Solid, Label: []chem.Strength{
		{Analyte: chem.Hardness, Amount: 10, Litres: 100, Raises: 3 * gh}, {Analyte: chem.Alkalinity, Amount: 10, Litres: 100,
			Raises: 1.5 * kh}}}}
	must(t, r.store.SaveProduct(t.Context(), &mineral))
	r.report(t, r.discus, chem.Analysis{chem.Alkalinity: 1 * kh, chem.Hardness: 1 * gh})
	s := open(t, r.store, storagetest.Clock(), session.DosingPlan)
	s.Visit(session.Route{Place: session.Dosing, Section: session.DosingPlan, System: r.discus.ID,
		Cells: []tanks.Cell{{System: r.discus.ID, Analyte: chem.Alkalinity}, {System: r.discus.ID, Analyte: chem.Hardness}}})
	if strings.Contains(lines(s), "others raise it too") {
		t.Fatalf("unasked it shows\n%s", lines(s))
	}
	s.Point("Hardness dGH")
	s.Press("Another product")
	apptest.Find(t, apptest.Top(s.Canvas()), func(*widgets.Choice[tanks.ProductID]) bool { return true }).SetSelected(mineral.ID)
	s.Press("Use")
	if !strings.Contains(lines(s), "others raise it too") {
		t.Errorf("with the mineral it shows\n%s", lines(s))
	}
	before := s.Line("Alkalinity dKH").Cells[3].Bold
	s.Check("Solve together")
	if after := s.Line("Alkalinity dKH").Cells[3].Bold; after == before {
		t.Errorf("together it gives %q too\n%s", after, lines(s))
	}
}
