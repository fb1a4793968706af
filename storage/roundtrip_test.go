package storage_test

import (
	"errors"
	"reflect"
	"slices"
	"testing"
	"time"

	"weirkeeper/chem"
	"weirkeeper/chem/seawater"
	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
	"weirkeeper/tasks"
)

const (
	hour = time.Hour
	day  = 24 * time.Hour
)

// reopen closes a ledger and opens it again.
func reopen(t *testing.T, s *storage.Store) *storage.Store {
	t.Helper()
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	again, err := storage.Open(t.Context(), s.Path(), storagetest.Clock)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { again.Close() })
	return again
}

// same fails the test when two values differ in anything.
func same(t *testing.T, got, want any) {
	t.Helper()
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got  %+v\nwant %+v", got, want)
	}
}

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// value returns what a read gave, and fails the test on its error.
func value[T any](t testing.TB) func(T, error) T {
	return func(v T, err error) T {
		t.Helper()
		must(t, err)
		return v
	}
}

// TestEverythingComesBack saves one of each thing with every field set, reopens
// the ledger and compares.
func TestEverythingComesBack(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx := t.Context()

	room := tanks.Room{Name: "Cellar", Zone: "America/Chicago", Note: "mind the step", Demo: true, Height: tanks.HeightOf(1234.5),
		Constants: seawater.SetLee}
	must(t, s.SaveRoom(ctx, room))

	profile := tanks.Profile{Name: "Soft coral", Kind: tanks.Marine, Source: "our own", Bands: []tanks.Band{
		{Analyte: chem.Calcium, Low: 380, Aim: 400, High: 430, MaxRise: 20, MaxStep: 7.5, TestEvery: 7 * day, AtSalinity: 35},
		{Analyte: chem.Temperature, Low: 24, Aim: 25, High: 26, TestEvery: 12 * hour},
	}}
	must(t, s.SaveProfile(ctx, &profile))
	profile.Name, profile.Bands = "Leather coral", profile.Bands[:1]
	must(t, s.SaveProfile(ctx, &profile))

	system := tanks.System{
		Code: "Q1", Name: "Quarantine", Kind: tanks.Brackish, Place: "Door", Profile: profile.ID, Order: 7,
		Tanks: []tanks.Tank{
			{Name: "Left", Length: 60, Width: 40, Height: 35, Displaced: 5},
			{Name: "Right", Length: 60, Width: 40, Height: 36},
		},
		Stated: 160, StatedUncertainty: 4, Invertebrates: true, Opened: f.Now.Add(-30 * day), Closed: f.Now.Add(-day), Note: "cover glass",
	}
	must(t, s.SaveSystem(ctx, &system))
	firstTank := system.Tanks[0].ID
	system.Tanks = append(system.Tanks[:1], tanks.Tank{Name: "Sump", Length: 50, Width: 40, Height: 30})
	system.Name = "Quarantine, new"
	must(t, s.SaveSystem(ctx, &system))
	if system.Tanks[0].ID != firstTank || system.Tanks[1].ID == 0 {
		t.Errorf("tanks %+v: the first was %d", system.Tanks, firstTank)
	}
	store := tanks.System{Code: "RO", Name: "RO store", Kind: tanks.Source, Purified: true, Opened: f.Now}
	must(t, s.SaveSystem(ctx, &store))
	own := []tanks.Band{{Analyte: chem.Nitrate, Low: 1, Aim: 2, High: 5, MaxStep: 0.5}}
	must(t, s.SaveOwnBands(ctx, system.ID, own))

	method := tanks.Method{
		Name: "Phosphate photometer", Kind: tanks.Photometer, Analyte: chem.Phosphate, Unit: chem.PO4P, Resolution: 0.003, Accuracy: 0.01,
		AccuracyShare: 0.05, Repeatability: 0.004, Detection: 0.01, Top: 0.9, Note: "rinse twice",
	}
	must(t, s.SaveMethod(ctx, &method))
	method.Retired, method.Note = true, ""
	must(t, s.SaveMethod(ctx, &method))

	product := tanks.Product{
		Name: "Balanced salts", Stock: 900, Full: 1000, Price: 12.5, Caution: "keep dry", Contents: chem.Product{
			Form:        chem.Solid,
			Ingredients: []chem.Ingredient{{Compound: "CaCl2·2H2O", Amount: 0.4}, {Compound: "MgCl2·6H2O", Amount: 0.5}},
			Label:       []chem.Strength{{Analyte: chem.Strontium, Amount: 10, Litres: 100, Raises: 0.2}},
		},
	}
	must(t, s.SaveProduct(ctx, &product))
	product.Retired, product.Contents.Ingredients = true, product.Contents.Ingredients[:1]
	must(t, s.SaveProduct(ctx, &product))

	sample := tanks.Sample{
		System: system.ID, Code: "K-17", Lab: "Invented lab", Drawn: f.Now.Add(-9 * day), Sent: f.Now.Add(-8 * day), Expected: f.Now.Add(2 * day),
		Received: f.Now.Add(-day), Note: "filtered",
	}
	must(t, s.SaveSample(ctx, &sample))
	sample.Note = "not filtered"
	must(t, s.SaveSample(ctx, &sample))

	reading := tanks.Reading{
		System: system.ID, Analyte: chem.Phosphate, At: f.Now.Add(-9*day +
			123*time.Millisecond), Value: 0.02, Limit: tanks.Below, Typed: "<0,02",
		Unit: chem.MgL, Method: method.ID, Sample: sample.ID, Person: "AB", Note: "cloudy", Entered: f.Now.Add(-hour),
	}
	ids := value[[]tanks.ReadingID](t)(s.SaveReadings(ctx, []tanks.Reading{reading}))
	reading.ID = ids[0]

	addition := tanks.Addition{
		System:  f.Systems[0].ID,
		Product: f.Products["calcium"].ID,
		At:      f.Now.Add(-hour),
		Amount:  25,
		Person:  "CD",
		Note:    "by hand",
	}
	must(t, s.SaveAddition(ctx, &addition))
	change := tanks.WaterChange{
		System: f.Systems[0].ID, At: f.Now.Add(-2 * hour), Litres: 35, Share: 0.1, From: f.Systems[1].ID, Person: "EF", Note: "siphoned",
		Water: []tanks.Level{{Analyte: chem.Salinity, Value: 35}, {Analyte: chem.Calcium, Value: 430}},
	}
	must(t, s.SaveWaterChange(ctx, &change))
	note := tanks.Observation{
		System: f.Systems[0].ID,
		At:     f.Now.Add(-3 * hour),
		Text:   "polyps out — all of them\nsecond line",
		Person: "GH",
	}
	must(t, s.SaveObservation(ctx, &note))

	chore := tasks.Task{
		Profile: profile.ID,
		Title:   "Rinse the filter",
		Rule:    "FREQ=WEEKLY;BYDAY=MO",
		Start:   f.Now.Add(-20 * day),
		Note:    "cold water",
	}
	must(t, s.SaveTask(ctx, &chore))
	chore.Ended = true
	must(t, s.SaveTask(ctx, &chore))
	plan := committed(t, s, f)
	must(t, s.SaveDraft(ctx, "sheet", []byte{0, 1, 255}))

	s = reopen(t, s)
	same(t, value[tanks.Room](t)(s.Room(ctx)), room)
	profiles := value[[]tanks.Profile](t)(s.Profiles(ctx))
	same(t, profiles[slices.IndexFunc(profiles, func(p tanks.Profile) bool { return p.ID == profile.ID })], profile)
	same(t, value[tanks.System](t)(s.System(ctx, system.ID)), system)
	same(t, value[tanks.System](t)(s.System(ctx, store.ID)), store)
	same(t, value[[]tanks.Band](t)(s.OwnBands(ctx, system.ID)), own)
	same(t, value[map[tanks.SystemID][]tanks.Band](t)(s.AllBands(ctx))[system.ID], []tanks.Band{profile.Bands[0], own[0]})
	methods := value[[]tanks.Method](t)(s.Methods(ctx))
	same(t, methods[len(methods)-1], method)
	products := value[[]tanks.Product](t)(s.Products(ctx))
	same(t, products[len(products)-1], product)
	same(t, value[[]tanks.Sample](t)(s.Samples(ctx)), []tanks.Sample{sample})
	same(t, value[[]tanks.Sample](t)(s.SamplesSince(ctx, sample.Drawn)), []tanks.Sample{sample})
	if later := value[[]tanks.Sample](t)(s.SamplesSince(ctx, sample.Drawn.Add(time.Millisecond))); len(later) > 0 {
		t.Errorf("drawn later: %+v", later)
	}
	same(t, value[[]tanks.Reading](t)(s.ReadingsOf(ctx, system.ID, time.Time{}, time.Time{})), []tanks.Reading{reading})
	same(t, value[[]tanks.Reading](t)(s.ReadingsOfSample(ctx, sample.ID)), []tanks.Reading{reading})
	same(t, value[[]tanks.Reading](t)(s.Latest(ctx)), []tanks.Reading{reading})
	same(t, value[[]tanks.Addition](t)(s.Additions(ctx, f.Systems[0].ID, time.Time{}, time.Time{})), []tanks.Addition{addition})
	same(t, value[[]tanks.WaterChange](t)(s.WaterChanges(ctx, f.Systems[0].ID, time.Time{}, time.Time{})), []tanks.WaterChange{change})
	same(t, value[[]tanks.Observation](t)(s.Observations(ctx, f.Systems[0].ID, time.Time{}, time.Time{})), []tanks.Observation{note})
	same(t, value[[]tasks.Task](t)(s.Tasks(ctx)), []tasks.Task{chore})
	same(t, value[[]tanks.DosingPlan](t)(s.Plans(ctx)), []tanks.DosingPlan{plan})
	same(t, value[[]byte](t)(s.Draft(ctx, "sheet")), []byte{0, 1, 255})

}

func TestPeriodsIncludeTheirEnds(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx, id := t.Context(), f.Systems[0].ID
	at := func(days int) time.Time { return f.Now.Add(time.Duration(days) * day) }
	for _, days := range []int{-3, -2, -1} {
		must(t, s.SaveObservation(ctx, &tanks.Observation{System: id, At: at(days), Text: "seen"}))
		must(t, s.SaveWaterChange(ctx, &tanks.WaterChange{System: id, At: at(days), Litres: 10, Share: 0.03}))
		must(t, s.SaveAddition(ctx, &tanks.Addition{System: id, Product: f.Products["calcium"].ID, At: at(days), Amount: 1}))
		value[[]tanks.ReadingID](t)(s.SaveReadings(ctx, []tanks.Reading{{System: id, Analyte: chem.Calcium, At: at(days), Value: 420}}))
	}
	for _, c := range []struct {
		name     string
		from, to time.Time
		want     int
	}{
		{"open", time.Time{}, time.Time{}, 3},
		{"from", at(-2), time.Time{}, 2},
		{"to", time.Time{}, at(-2), 2},
		{"one instant", at(-2), at(-2), 1},
		{"between", at(-2).Add(time.Second), at(-1).Add(-time.Second), 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := [5]int{
				len(
					value[[]tanks.Observation](t)(s.Observations(ctx, id, c.from, c.to)),
				), len(value[[]tanks.WaterChange](t)(s.WaterChanges(ctx, id, c.from, c.to))),
				len(
					value[[]tanks.Addition](t)(s.Additions(ctx, id, c.from, c.to)),
				), len(value[[]tanks.Reading](t)(s.ReadingsOf(ctx, id, c.from, c.to))),
				len(value[[]tanks.Reading](t)(s.Series(ctx, id, chem.Calcium, c.from, c.to))),
			}
			if want := [5]int{c.want, c.want, c.want, c.want, c.want}; got != want {
				t.Errorf("got %v, want %v", got, want)
			}
		})
	}
}

func TestCodeUsedTwice(t *testing.T) {
	s, f := storagetest.Room(t)
	again := tanks.System{Code: "f1", Name: "Other", Kind: tanks.Freshwater}
	err := s.SaveSystem(t.Context(), &again)
	fault, ok := tanks.FaultsOf(err).Field("code")
	if !ok || fault.Problem.String() != `The code F1 is used by "Frag rack, north"` || fault.Remedy == "" || again.ID != 0 {
		t.Errorf("got %v, id %d", err, again.ID)
	}
	second := f.Systems[1]
	second.Code = "F1"
	if _, ok := tanks.FaultsOf(s.SaveSystem(t.Context(), &second)).Field("code"); !ok {
		t.Error("renamed to a code that is taken")
	}
	renamed := f.Systems[0]
	renamed.Code = "f1"
	must(t, s.SaveSystem(t.Context(), &renamed))
	if all := value[[]tanks.System](t)(s.Systems(t.Context())); len(all) != 2 || all[0].Code != "f1" || all[1].Code != "F2" {
		t.Errorf("got %+v", all)
	}
}

func TestNewSystemOpensNow(t *testing.T) {
	s, f := storagetest.Room(t)
	system := tanks.System{Code: "N1", Name: "New", Kind: tanks.Marine}
	must(t, s.SaveSystem(t.Context(), &system))
	if !system.Opened.Equal(f.Now) {
		t.Errorf("opened %v", system.Opened)
	}
}

func TestUpdatingWhatIsNotThere(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx := t.Context()
	system, profile, method, product := f.Systems[0], tanks.Profile{
		ID:   99,
		Name: "x",
		Kind: tanks.Marine,
	}, f.Methods[chem.Calcium], f.Products["calcium"]
	system.ID, system.Code, method.ID, product.ID = 99, "Z9", 99, 99
	for name, err := range map[string]error{
		"system":                s.SaveSystem(ctx, &system),
		"profile":               s.SaveProfile(ctx, &profile),
		"method":                s.SaveMethod(ctx, &method),
		"product":               s.SaveProduct(ctx, &product),
		"task":                  s.SaveTask(ctx, &tasks.Task{ID: 99, Title: "x", Start: f.Now}),
		"sample":                s.SaveSample(ctx, &tanks.Sample{ID: 99, System: f.Systems[0].ID, Code: "K", Drawn: f.Now}),
		"reading":               s.WithdrawReading(ctx, 99, "slip", "AB"),
		"added":                 s.WithdrawAddition(ctx, 99, "slip", "AB"),
		"changed":               s.WithdrawWaterChange(ctx, 99, "slip", "AB"),
		"given":                 s.GiveDoses(ctx, given(f.Now, 1, 99), "AB"),
		"dropped":               s.DropDoses(ctx, []tanks.DoseID{99}, "slip", "AB"),
		"product that is added": s.SaveAddition(ctx, &tanks.Addition{System: f.Systems[0].ID, Product: 99, At: f.Now, Amount: 1}),
		"system added to":       s.SaveAddition(ctx, &tanks.Addition{System: 99, Product: f.Products["calcium"].ID, At: f.Now, Amount: 1}),
	} {
		if !errors.Is(err, storage.ErrNotFound) {
			t.Errorf("%s: got %v", name, err)
		}
	}
	if _, err := s.System(ctx, 99); !errors.Is(err, storage.ErrNotFound) {
		t.Errorf("got %v", err)
	}
}

// committed saves a plan of one line with two doses.
func committed(t *testing.T, s *storage.Store, f storagetest.Fixture) tanks.DosingPlan {
	t.Helper()
	plan := tanks.DosingPlan{Made: f.Now.Add(-hour), Caution: 0.5, Person: "AB", Note: "gently", Lines: []tanks.PlanLine{{
		System: f.Systems[0].ID, Analyte: chem.Calcium, Product: f.Products["calcium"].ID, Now: 400, Aim: 425, After: 415, Computed: 30,
		How: "first step\nsecond step", Retest: f.Now.Add(3 * day),
		Doses: []tanks.Dose{{Due: f.Now, Amount: 20}, {Due: f.Now.Add(day), Amount: 30}},
	}}}
	must(t, s.CommitPlan(t.Context(), &plan))
	if plan.ID == 0 || plan.Lines[0].ID == 0 || plan.Lines[0].Doses[0].ID == 0 || plan.Lines[0].Doses[1].ID == plan.Lines[0].Doses[0].ID {
		t.Fatalf("ids missing: %+v", plan)
	}
	return plan
}
