package storage_test

import (
	"database/sql"
	"slices"
	"testing"
	"time"

	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
	"weirkeeper/tasks"
)

func TestSheetIsSavedAndItsDraftDropped(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx := t.Context()
	must(t, s.SaveDraft(ctx, "sheet", []byte("typed")))
	must(t, s.SaveDraft(ctx, "sheet", []byte("typed more")))
	must(t, s.SaveDraft(ctx, "other", []byte("stays")))

	wrong := calcium(f, 1, 430)
	wrong.At = f.Now.Add(day)
	wrong.Analyte = 0
	_, err := s.SaveSheet(ctx, []tanks.Reading{calcium(f, 1, 420), wrong}, "sheet")
	faults := tanks.FaultsOf(err)
	if _, ok := faults.Field("readings.1.at"); !ok || len(faults) != 2 || faults[1].Field != "readings.1.analyte" {
		t.Errorf("got %+v", faults)
	}
	unknown := calcium(f, 1, 430)
	unknown.Method = 999
	if ids, err := s.SaveSheet(ctx, []tanks.Reading{calcium(f, 1, 420), unknown}, "sheet"); err == nil || ids != nil {
		t.Errorf("a method that is not there: %v, %v", ids, err)
	}
	same(t, value[[]byte](t)(s.Draft(ctx, "sheet")), []byte("typed more"))
	same(t, newest(t, s), []float64(nil))

	var heard []storage.Touched
	defer s.Listen(func(c storage.Touched) { heard = append(heard, c) })()
	ids := value[[]tanks.ReadingID](t)(s.SaveSheet(ctx, []tanks.Reading{calcium(f, 1, 420), calcium(f, 2, 410)}, "sheet"))
	if len(ids) != 2 || len(heard) != 1 {
		t.Errorf("ids %v, heard %d times", ids, len(heard))
	}
	same(t, value[[]byte](t)(s.Draft(ctx, "sheet")), []byte(nil))
	same(t, value[[]byte](t)(s.Draft(ctx, "other")), []byte("stays"))
	must(t, s.DropDraft(ctx, "other"))
	same(t, value[[]byte](t)(s.Draft(ctx, "other")), []byte(nil))
	must(t, s.SaveDraft(ctx, "empty", nil))
	same(t, value[[]byte](t)(s.Draft(ctx, "empty")), []byte{})
}

// TestListenersHearEachActionOnce does every kind of action and reads the
// ledger from inside the listener, so what it is told must be committed.
func TestListenersHearEachActionOnce(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx, one := t.Context(), f.Systems[0].ID
	plan := committed(t, s, f)
	ids := value[[]tanks.ReadingID](t)(s.SaveReadings(ctx, []tanks.Reading{calcium(f, 1, 420)}))
	system, profile, method, product := f.Systems[0], tanks.Profile{
		Name: "New",
		Kind: tanks.Marine,
	}, f.Methods[chem.Calcium], f.Products["calcium"]
	chore := tasks.Task{System: one, Title: "Wipe", Every: 7, Start: f.Now}
	must(t, s.SaveTask(ctx, &chore))
	sample := tanks.Sample{System: one, Code: "K1", Drawn: f.Now.Add(-hour)}
	addition := tanks.Addition{System: one, Product: product.ID, At: f.Now, Amount: 1}
	change := tanks.WaterChange{System: one, At: f.Now, Litres: 10, Share: 0.02}

	var heard []storage.Touched
	stop := s.Listen(func(c storage.Touched) {
		heard = append(heard, c)
		value[[]tanks.Reading](t)(s.Latest(ctx))
	})
	for _, c := range []struct {
		name  string
		kind  storage.Kind
		whole bool
		do    func() error
	}{
		{"room", storage.KindRoom, true, func() error { return s.SaveRoom(ctx, someRoom) }},
		{"system", storage.KindSystem, false, func() error { return s.SaveSystem(ctx, &system) }},
		{"profile", storage.KindProfile, true, func() error { return s.SaveProfile(ctx, &profile) }},
		{"profile copied", storage.KindTask, true, func() error {
			p := tanks.Profile{Name: "Copy", Kind: tanks.Marine}
			return s.CopyProfile(ctx, &p, nil)
		}},
		{"own bands", storage.KindProfile, false, func() error { return s.SaveOwnBands(ctx, one, nil) }},
		{"method", storage.KindMethod, true, func() error { return s.SaveMethod(ctx, &method) }},
		{"product", storage.KindProduct, true, func() error { return s.SaveProduct(ctx, &product) }},
		{"readings", storage.KindReading, false, func() error {
			_, err := s.SaveReadings(ctx, []tanks.Reading{calcium(f, 1, 420), calcium(f, 2, 421)})
			return err
		}},
		{"amendment", storage.KindReading, false, func() error { return s.AmendReading(ctx, ids[0], calcium(f, 1, 425), "slip", "") }},
		{"withdrawal", storage.KindReading, false, func() error { return s.WithdrawReading(ctx, ids[0], "slip", "") }},
		{"sample", storage.KindSample, false, func() error { return s.SaveSample(ctx, &sample) }},
		{"results", storage.KindSample, false, func() error {
			sample.Received = f.Now
			return s.SaveResults(ctx, sample, []tanks.Reading{calcium(f, 1, 420)}, "")
		}},
		{"addition", storage.KindAddition, false, func() error { return s.SaveAddition(ctx, &addition) }},
		{"addition withdrawn", storage.KindAddition, false, func() error { return s.WithdrawAddition(ctx, addition.ID, "slip", "") }},
		{"water change", storage.KindWaterChange, false, func() error { return s.SaveWaterChange(ctx, &change) }},
		{"note", storage.KindObservation, false, func() error {
			return s.SaveObservation(ctx,
				&tanks.Observation{System: one, At: f.Now, Text: "seen"})
		}},
		{"dose given", storage.KindPlan, false, func() error { return s.GiveDoses(ctx, given(f.Now, 1, plan.Lines[0].Doses[0].ID), "") }},
		{"dose dropped", storage.KindPlan, false, func() error {
			return s.DropDoses(ctx, []tanks.DoseID{plan.Lines[0].Doses[1].ID}, "late",
				"")
		}},
		{"work done", storage.KindTask, false, func() error {
			return s.Complete(ctx,
				&tasks.Completion{Task: chore.ID, System: one, At: f.Now})
		}},
		{"work on the room done", storage.KindTask, true, func() error {
			return s.CompleteAll(ctx, []tasks.Completion{{Task: chore.ID, System: one, At: f.Now}, {Task: chore.ID, At: f.Now}})
		}},
		{"draft", storage.KindDraft, true, func() error { return s.SaveDraft(ctx, "x", nil) }},
	} {
		t.Run(c.name, func(t *testing.T) {
			heard = nil
			must(t, c.do())
			if len(heard) != 1 || !heard[0].Has(c.kind) || heard[0].Has(storage.Kind(99)) {
				t.Fatalf("heard %+v", heard)
			}
			for _, id := range heard[0].Systems {
				if id != one {
					t.Errorf("system %d was not touched", id)
				}
			}
			if c.whole != (len(heard[0].Systems) == 0) {
				t.Errorf("systems %v", heard[0].Systems)
			}
		})
	}
	heard = nil
	stop()
	must(t, s.SaveRoom(ctx, someRoom))
	if len(heard) != 0 {
		t.Errorf("heard %+v after the end", heard)
	}
}

// TestFailuresSaveNothingAndSayNothing gives each action a value that the
// domain or the ledger refuses, and compares the whole file's contents.
func TestFailuresSaveNothingAndSayNothing(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx, one := t.Context(), f.Systems[0].ID
	committed(t, s, f)
	before := rowCounts(t, s.Path())
	defer s.Listen(func(c storage.Touched) { t.Errorf("told of %+v", c) })()

	twoTanks := f.Systems[0]
	twoTanks.Name, twoTanks.Tanks = "Renamed", append(
		twoTanks.Tanks,
		tanks.Tank{ID: f.Systems[1].Tanks[0].ID, Length: 10, Width: 10, Height: 10},
	)
	badTank := f.Systems[0]
	badTank.Tanks = []tanks.Tank{{Length: 10, Width: 10, Height: -10}}
	profile := tanks.Profile{
		Name:  "Upside down",
		Kind:  tanks.Marine,
		Bands: []tanks.Band{{Analyte: chem.Calcium, Low: 450, Aim: 440, High: 400}},
	}
	product := f.Products["calcium"]
	product.Contents.Ingredients = []chem.Ingredient{{Compound: "nonsense", Amount: 1}}
	noProfile := tanks.System{Code: "P9", Name: "x", Kind: tanks.Marine, Profile: 99}
	lost := tanks.DosingPlan{Made: f.Now, Caution: 1, Lines: []tanks.PlanLine{
		{System: one, Analyte: chem.Calcium, Product: f.Products["calcium"].ID, Doses: []tanks.Dose{{Due: f.Now, Amount: 1}}},
		{System: one, Analyte: chem.Calcium, Product: 99},
	}}
	elsewhere := calcium(f, 1, 420)
	elsewhere.System = 99
	changes := []tanks.WaterChange{{System: one, At: f.Now, Litres: 1, Share: 0.1}, {System: 99, At: f.Now, Litres: 1, Share: 0.1}}
	additions := []tanks.Addition{{System: one, Product: 1, At: f.Now, Amount: 1}, {System: one, Product: 99, At: f.Now, Amount: 1}}
	for name, do := range map[string]func() error{
		"room without name":    func() error { return s.SaveRoom(ctx, tanks.Room{Zone: "UTC"}) },
		"negative height":      func() error { return s.SaveSystem(ctx, &badTank) },
		"tank of another":      func() error { return s.SaveSystem(ctx, &twoTanks) },
		"profile that is not":  func() error { return s.SaveSystem(ctx, &noProfile) },
		"band upside down":     func() error { return s.SaveProfile(ctx, &profile) },
		"own band upside down": func() error { return s.SaveOwnBands(ctx, one, profile.Bands) },
		"own bands of nobody": func() error {
			return s.SaveOwnBands(ctx, 99, []tanks.Band{{Analyte: chem.Nitrate, Low: 1, Aim: 2, High: 3}})
		},
		"method without name":  func() error { return s.SaveMethod(ctx, &tanks.Method{Kind: tanks.Kit, Analyte: chem.Calcium}) },
		"compound that is not": func() error { return s.SaveProduct(ctx, &product) },
		"second reading astray": func() error {
			_, err := s.SaveReadings(ctx, []tanks.Reading{calcium(f, 1, 420), elsewhere})
			return err
		},
		"sample without code": func() error { return s.SaveSample(ctx, &tanks.Sample{System: one, Drawn: f.Now}) },
		"results of no sample": func() error {
			return s.SaveResults(ctx, tanks.Sample{ID: 99, System: one, Code: "K", Drawn: f.Now}, []tanks.Reading{calcium(f, 1, 420)}, "")
		},
		"results too high": func() error {
			return s.SaveResults(ctx, tanks.Sample{ID: 1, System: one, Code: "K", Drawn: f.Now}, []tanks.Reading{calcium(f, 1, 99999)}, "")
		},
		"results without code":   func() error { return s.SaveResults(ctx, tanks.Sample{ID: 1, System: one, Drawn: f.Now}, nil, "") },
		"addition of nothing":    func() error { return s.SaveAddition(ctx, &tanks.Addition{System: one, Product: 1, At: f.Now}) },
		"second change astray":   func() error { return s.SaveWaterChanges(ctx, changes) },
		"second addition astray": func() error { return s.RecordAdditions(ctx, additions) },
		"change of too much": func() error {
			return s.SaveWaterChange(ctx, &tanks.WaterChange{System: one, At: f.Now, Litres: 1, Share: 1.1})
		},
		"empty note":          func() error { return s.SaveObservation(ctx, &tanks.Observation{System: one, At: f.Now, Text: " "}) },
		"plan with lost line": func() error { return s.CommitPlan(ctx, &lost) },
		"plan without lines":  func() error { return s.CommitPlan(ctx, &tanks.DosingPlan{Made: f.Now, Caution: 1}) },
		"task without title":  func() error { return s.SaveTask(ctx, &tasks.Task{Start: f.Now}) },
		"second task astray": func() error {
			return s.SaveTasks(ctx, []tasks.Task{{System: one, Title: "x", Start: f.Now}, {System: 99, Title: "x", Start: f.Now}})
		},
		"second task without a day": func() error {
			return s.SaveTasks(ctx, []tasks.Task{{System: one, Title: "x", Start: f.Now}, {System: one, Title: "x"}})
		},
		"skipped for no cause": func() error { return s.Complete(ctx, &tasks.Completion{Task: 1, At: f.Now, Outcome: tasks.Skipped}) },
		"second work astray": func() error {
			return s.CompleteAll(ctx, []tasks.Completion{{System: one, Analyte: 5, At: f.Now}, {Task: 99, At: f.Now}})
		},
	} {
		t.Run(name, func(t *testing.T) {
			if err := do(); err == nil {
				t.Error("it was saved")
			}
			same(t, rowCounts(t, s.Path()), before)
		})
	}
	same(t, value[tanks.System](t)(s.System(ctx, one)), f.Systems[0])
	if lost.ID != 0 || lost.Lines[0].ID != 0 || lost.Lines[0].Doses[0].ID != 0 {
		t.Errorf("the plan that was not saved has ids: %+v", lost)
	}
	if changes[0].ID != 0 || additions[0].ID != 0 {
		t.Errorf("what was not saved has ids: %d, %d", changes[0].ID, additions[0].ID)
	}
}

// tableNames lists a ledger's tables.
func tableNames(t testing.TB, db *sql.DB) []string {
	t.Helper()
	rows, err := db.Query("SELECT name FROM sqlite_schema WHERE type = 'table'")
	must(t, err)
	defer rows.Close()
	var names []string
	for rows.Next() {
		var name string
		must(t, rows.Scan(&name))
		names = append(names, name)
	}
	must(t, rows.Err())
	return names
}

// rowCounts returns how many rows each table has.
func rowCounts(t testing.TB, path string) map[string]int {
	t.Helper()
	db := plain(t, path)
	defer db.Close()
	out := map[string]int{}
	for _, name := range tableNames(t, db) {
		var n int
		must(t, db.QueryRow("SELECT count(*) FROM "+name).Scan(&n))
		out[name] = n
	}
	return out
}

func TestStartingSetIsSavedWhole(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx := t.Context()
	set := storage.Start{
		Profiles: []tanks.Profile{{Name: "Rack", Kind: tanks.Marine}, {Name: "River", Kind: tanks.Freshwater}},
		Chores:   [][]tasks.Task{{{Title: "Wipe", Every: 7, Start: f.Now}}},
		Methods:  []tanks.Method{{Name: "Strip", Kind: tanks.Kit, Analyte: chem.Nitrate, Unit: chem.MgL}},
		Products: []tanks.Product{
			{Name: "Salt", Contents: chem.Product{Form: chem.Solid, Ingredients: []chem.Ingredient{{Compound: "NaCl", Amount: 1}}}},
		},
	}
	bad := set
	bad.Methods = []tanks.Method{{Name: "Strip", Kind: tanks.Kit, Analyte: chem.Nitrate, Unit: chem.DKH}}
	before := rowCounts(t, s.Path())
	if err := s.SaveStart(ctx, bad); len(tanks.FaultsOf(err)) == 0 {
		t.Errorf("got %v", err)
	}
	same(t, rowCounts(t, s.Path()), before)
	must(t, s.SaveStart(ctx, set))
	chores := value[[]tasks.Task](t)(s.Tasks(ctx))
	profiles := value[[]tanks.Profile](t)(s.Profiles(ctx))
	if len(chores) != 1 || chores[0].Title != "Wipe" || len(profiles) != 3 {
		t.Fatalf("chores %+v, profiles %+v", chores, profiles)
	}
	for _, p := range profiles {
		if p.Name == "Rack" && p.ID != chores[0].Profile {
			t.Errorf("the chore belongs to profile %d, not %d", chores[0].Profile, p.ID)
		}
	}
	after := rowCounts(t, s.Path())
	if after["methods"] != before["methods"]+1 || after["products"] != before["products"]+1 {
		t.Errorf("before %v, after %v", before, after)
	}
}

func TestResultsComeWithTheSample(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx := t.Context()
	sample := tanks.Sample{System: f.Systems[0].ID, Code: "K1", Drawn: f.Now.Add(-5 * day)}
	must(t, s.SaveSample(ctx, &sample))
	result := calcium(f, 120, 415)
	result.Sample = sample.ID
	sample.Received = f.Now.Add(-time.Hour)
	must(t, s.SaveResults(ctx, sample, []tanks.Reading{result}, ""))
	same(t, value[[]tanks.Sample](t)(s.Samples(ctx)), []tanks.Sample{sample})
	if got := value[[]tanks.Reading](t)(s.ReadingsOfSample(ctx, sample.ID)); len(got) != 1 || got[0].Value != 415 {
		t.Errorf("got %+v", got)
	}
}

// A copy of a profile has its bands and its chores under numbers of its own; what it
// was copied from stays as it was, and one undo takes all of it away.
func TestACopyOfAProfileIsItsOwn(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx := t.Context()
	chore := tasks.Task{Profile: f.ProfileID, Title: "Wipe the panes", Every: 7, Start: f.Now}
	must(t, s.SaveTask(ctx, &chore))
	before := value[[]tanks.Profile](t)(s.Profiles(ctx))
	original := before[slices.IndexFunc(before, func(p tanks.Profile) bool { return p.ID == f.ProfileID })]
	next := original
	next.Name = "Copy"
	must(t, s.CopyProfile(ctx, &next, []tasks.Task{chore}))
	if next.ID == 0 || next.ID == original.ID {
		t.Fatalf("the copy has the number %d", next.ID)
	}
	all := value[[]tanks.Profile](t)(s.Profiles(ctx))
	saved := all[slices.IndexFunc(all, func(p tanks.Profile) bool { return p.ID == next.ID })]
	if len(all) != len(before)+1 || !slices.Equal(saved.Bands, original.Bands) || saved.Kind != original.Kind {
		t.Errorf("the ledger has %+v", saved)
	}
	work := value[[]tasks.Task](t)(s.Tasks(ctx))
	own := slices.DeleteFunc(slices.Clone(work), func(t tasks.Task) bool { return t.Profile != next.ID })
	if len(own) != 1 || own[0].Title != chore.Title || own[0].ID == chore.ID || own[0].Every != 7 {
		t.Errorf("the chores of the copy are %+v of %+v", own, work)
	}
	if err := s.CopyProfile(ctx, &tanks.Profile{}, nil); len(tanks.FaultsOf(err)) == 0 {
		t.Errorf("a copy without a name: %v", err)
	}
	if err := s.CopyProfile(ctx, &next, []tasks.Task{{}}); len(tanks.FaultsOf(err)) == 0 {
		t.Errorf("a chore without a title: %v", err)
	}
	if _, err := s.Undo(ctx, ""); err != nil {
		t.Fatal(err)
	}
	if left, jobs := value[[]tanks.Profile](t)(s.Profiles(ctx)), value[[]tasks.Task](t)(s.Tasks(ctx)); len(left) != len(before) ||
		len(jobs) != len(work)-1 {
		t.Errorf("undone, there are %d profiles and %d tasks", len(left), len(jobs))
	}
}
