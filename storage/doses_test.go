package storage_test

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

func stockOf(t *testing.T, s *storage.Store, id tanks.ProductID) float64 {
	t.Helper()
	for _, p := range value[[]tanks.Product](t)(s.Products(t.Context())) {
		if p.ID == id {
			return p.Stock
		}
	}
	t.Fatalf("no product %d", id)
	return 0
}

func changeOf(a tanks.Addition, analyte chem.Analyte) float64 {
	for _, d := range a.Changes {
		if d.Analyte == analyte {
			return d.Change
		}
	}
	return 0
}

func TestAdditionComputesItsChanges(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx := t.Context()
	product := f.Products["calcium"]
	// 3.668 g of calcium chloride dihydrate raise calcium in 100 L by 10.0 mg/L
	// (computed from CIAAW weights); 36.68 mL of 100 g/L in 350 L by 2.857.
	a := tanks.Addition{System: f.Systems[0].ID, Product: product.ID, At: f.Now, Amount: 36.68}
	must(t, s.SaveAddition(ctx, &a))
	if got := changeOf(a, chem.Calcium); math.Abs(got-10.0/3.5) > 0.001 {
		t.Errorf("calcium rises by %g, want %g", got, 10.0/3.5)
	}
	if got := changeOf(a, chem.Chloride); math.Abs(got-10.0/3.5*2*35.45/40.078) > 0.01 {
		t.Errorf("chloride rises by %g", got)
	}
	for i := 1; i < len(a.Changes); i++ {
		if a.Changes[i-1].Analyte >= a.Changes[i].Analyte {
			t.Errorf("changes out of order: %+v", a.Changes)
		}
	}
	if got := stockOf(t, s, product.ID); math.Abs(got-(2000-36.68)) > 1e-9 {
		t.Errorf("stock %g", got)
	}
	// What was recorded stays when the volume changes later.
	smaller := f.Systems[0]
	smaller.Stated = 100
	must(t, s.SaveSystem(ctx, &smaller))
	same(t, value[[]tanks.Addition](t)(s.Additions(ctx, smaller.ID, time.Time{}, time.Time{})), []tanks.Addition{a})
	b := tanks.Addition{System: smaller.ID, Product: product.ID, At: f.Now, Amount: 36.68}
	must(t, s.SaveAddition(ctx, &b))
	if got := changeOf(b, chem.Calcium); math.Abs(got-10) > 0.005 {
		t.Errorf("in 100 L calcium rises by %g, want 10", got)
	}
}

func TestStockStopsAtZero(t *testing.T) {
	s, f := storagetest.Room(t)
	a := tanks.Addition{System: f.Systems[0].ID, Product: f.Products["magnesium"].ID, At: f.Now, Amount: 2001}
	must(t, s.SaveAddition(t.Context(), &a))
	if got := stockOf(t, s, a.Product); got != 0 {
		t.Errorf("stock %g", got)
	}
}

func TestAdditionNeedsAVolume(t *testing.T) {
	s, f := storagetest.Room(t)
	system := tanks.System{Code: "V0", Name: "No volume yet", Kind: tanks.Marine}
	must(t, s.SaveSystem(t.Context(), &system))
	a := tanks.Addition{System: system.ID, Product: f.Products["calcium"].ID, At: f.Now, Amount: 5}
	err := s.SaveAddition(t.Context(), &a)
	fault, ok := tanks.FaultsOf(err).Field("system")
	if !ok || !strings.Contains(fault.Problem.String(), "V0") || a.ID != 0 {
		t.Errorf("got %v", err)
	}
	if got := stockOf(t, s, a.Product); got != 2000 {
		t.Errorf("the stock went down to %g", got)
	}
}

func TestRecordedAdditionsKeepTheirChanges(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx := t.Context()
	all := []tanks.Addition{{
		System: f.Systems[0].ID, Product: f.Products["calcium"].ID, At: f.Now.Add(-day), Amount: 5, Changes: []tanks.Delta{{Analyte: chem.Calcium, Change: 1.5}},
	}}
	must(t, s.RecordAdditions(ctx, all))
	same(t, value[[]tanks.Addition](t)(s.Additions(ctx, f.Systems[0].ID, time.Time{}, time.Time{})), all)
	if got := stockOf(t, s, all[0].Product); got != 2000 {
		t.Errorf("stock %g", got)
	}
	bad := append(all, tanks.Addition{System: f.Systems[0].ID, Product: f.Products["calcium"].ID, At: f.Now})
	if err := s.RecordAdditions(ctx, bad); len(tanks.FaultsOf(err)) == 0 {
		t.Errorf("an addition of nothing was recorded: %v", err)
	}
	if got := value[[]tanks.Addition](t)(s.Additions(ctx, f.Systems[0].ID, time.Time{}, time.Time{})); len(got) != 1 {
		t.Errorf("half saved: %+v", got)
	}
}

func TestDoseIsGivenOnce(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx := t.Context()
	plan := committed(t, s, f)
	dose := plan.Lines[0].Doses[0]
	at := f.Now.Add(-time.Minute)
	must(t, s.GiveDoses(ctx, given(at, 18, dose.ID), "CD"))

	got := value[[]tanks.Addition](t)(s.Additions(ctx, f.Systems[0].ID, time.Time{}, time.Time{}))
	if len(got) != 1 || got[0].Dose != dose.ID || got[0].Amount != 18 || !got[0].At.Equal(at) || got[0].Person != "CD" {
		t.Fatalf("got %+v", got)
	}
	if change := changeOf(got[0], chem.Calcium); math.Abs(change-18.0/36.68*10/3.5) > 0.001 {
		t.Errorf("calcium rises by %g", change)
	}
	if stock := stockOf(t, s, got[0].Product); stock != 1982 {
		t.Errorf("stock %g", stock)
	}
	for name, err := range map[string]error{
		"given": s.GiveDoses(ctx, given(f.Now, 18, dose.ID), "CD"), "dropped": s.DropDoses(ctx, []tanks.DoseID{dose.ID}, "late", "CD"),
	} {
		if _, ok := tanks.FaultsOf(err).Field("dose"); !ok {
			t.Errorf("%s a second time: %v", name, err)
		}
	}
	if again := value[[]tanks.Addition](t)(s.Additions(ctx, f.Systems[0].ID, time.Time{}, time.Time{})); len(again) != 1 {
		t.Errorf("added twice: %+v", again)
	}
	saved := value[[]tanks.DosingPlan](t)(s.Plans(ctx))[0].Lines[0].Doses[0]
	if !saved.Done.Equal(at) || saved.Given != 18 || saved.Amount != 20 || saved.Waiting() {
		t.Errorf("got %+v", saved)
	}
}

// given are doses given at one time, each with one amount.
func given(at time.Time, amount float64, ids ...tanks.DoseID) []storage.GivenDose {
	all := make([]storage.GivenDose, len(ids))
	for n, id := range ids {
		all[n] = storage.GivenDose{ID: id, At: at, Amount: amount}
	}
	return all
}

func doseIDs(items []tanks.RunItem) []tanks.DoseID {
	ids := make([]tanks.DoseID, len(items))
	for n, i := range items {
		ids[n] = i.Dose.ID
	}
	return ids
}

// Several doses are given, or dropped, all or none, and taken back at once.
func TestDosesAllOrNone(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx := t.Context()
	s = own(s)
	line := committed(t, s, f).Lines[0]
	first, second := line.Doses[0].ID, line.Doses[1].ID
	waiting := func() []tanks.DoseID {
		var ids []tanks.DoseID
		for _, i := range value[[]tanks.RunItem](t)(s.RunItems(ctx, f.Now.Add(time.Second), f.Now.Add(9*day))) {
			if i.Dose.ID == first || i.Dose.ID == second {
				ids = append(ids, i.Dose.ID)
			}
		}
		return ids
	}
	both := []tanks.DoseID{first, second}
	for name, err := range map[string]error{
		"given, one unknown":   s.GiveDoses(ctx, given(f.Now, 5, first, 99), "AB"),
		"given, one twice":     s.GiveDoses(ctx, given(f.Now, 5, first, first), "AB"),
		"dropped, one unknown": s.DropDoses(ctx, []tanks.DoseID{first, 99}, "late", "AB"),
		"dropped, one twice":   s.DropDoses(ctx, []tanks.DoseID{first, first}, "late", "AB"),
	} {
		if err == nil || !slices.Equal(waiting(), both) {
			t.Errorf("%s: got %v, waiting are %v", name, err, waiting())
		}
	}
	additions := func() int {
		return len(value[[]tanks.Addition](t)(s.Additions(ctx, f.Systems[0].ID, time.Time{}, time.Time{})))
	}
	if n := additions(); n != 0 {
		t.Errorf("%d half saved", n)
	}
	must(t, s.GiveDoses(ctx, given(f.Now, 5, both...), "AB"))
	if n := additions(); n != 2 || len(waiting()) != 0 {
		t.Errorf("%d additions, waiting are %v", n, waiting())
	}
	value[words.Text](t)(s.Undo(ctx, "AB"))
	if n := additions(); n != 0 || !slices.Equal(waiting(), both) {
		t.Errorf("taken back: %d additions, waiting are %v", n, waiting())
	}
	must(t, s.DropDoses(ctx, both, "late", "AB"))
	if got := waiting(); len(got) != 0 {
		t.Errorf("waiting are %v", got)
	}
	value[words.Text](t)(s.Undo(ctx, "AB"))
	same(t, waiting(), both)
}

func TestDoseThatCannotBeGivenWaitsOn(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx := t.Context()
	dose := committed(t, s, f).Lines[0].Doses[0]
	for name, try := range map[string]func() error{
		"nothing":  func() error { return s.GiveDoses(ctx, given(f.Now, 0, dose.ID), "CD") },
		"tomorrow": func() error { return s.GiveDoses(ctx, given(f.Now.Add(day), 5, dose.ID), "CD") },
	} {
		if err := try(); len(tanks.FaultsOf(err)) == 0 {
			t.Errorf("%s: got %v", name, err)
		}
	}
	items := value[[]tanks.RunItem](t)(s.RunItems(ctx, f.Now, f.Now))
	if len(items) != 1 || items[0].Dose.ID != dose.ID || stockOf(t, s, items[0].Product) != 2000 {
		t.Errorf("got %+v", items)
	}
}

func TestRunSheet(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx := t.Context()
	line := func(sys int, due ...time.Duration) tanks.PlanLine {
		l := tanks.PlanLine{
			System:  f.Systems[sys].ID,
			Analyte: chem.Calcium,
			Product: f.Products["calcium"].ID,
			Now:     400,
			Aim:     425,
			After:   415,
		}
		for _, d := range due {
			l.Doses = append(l.Doses, tanks.Dose{Due: f.Now.Add(d), Amount: 10})
		}
		return l
	}
	plan := tanks.DosingPlan{Made: f.Now, Caution: 1, Lines: []tanks.PlanLine{line(1, hour, -hour), line(0, 0, 3*day)}}
	must(t, s.CommitPlan(ctx, &plan))
	order := func(since, until time.Time) []tanks.DoseID {
		var ids []tanks.DoseID
		for _, i := range value[[]tanks.RunItem](t)(s.RunItems(ctx, since, until)) {
			if i.Plan != plan.ID || i.Analyte != chem.Calcium || i.Product != f.Products["calcium"].ID || i.Line == 0 {
				t.Errorf("item %+v", i)
			}
			ids = append(ids, i.Dose.ID)
		}
		return ids
	}
	second, first, own, far := plan.Lines[0].Doses[0].ID, plan.Lines[0].Doses[1].ID, plan.Lines[1].Doses[0].ID, plan.Lines[1].Doses[1].ID
	same(t, order(f.Now, f.Now.Add(day)), []tanks.DoseID{own, first, second}) // F1 is walked before F2
	same(t, order(f.Now, f.Now.Add(9*day)), []tanks.DoseID{own, far, first, second})
	must(t, s.DropDoses(ctx, []tanks.DoseID{second}, "pump stopped", "AB"))
	must(t, s.GiveDoses(ctx, given(f.Now.Add(-time.Minute), 10, first), "AB"))
	same(t, order(f.Now.Add(-hour), f.Now.Add(day)), []tanks.DoseID{own, first})
	same(t, order(f.Now, f.Now.Add(day)), []tanks.DoseID{own})
	if got := value[[]tanks.DosingPlan](t)(s.Plans(ctx))[0].Lines[0].Doses[1]; !got.Dropped || got.Reason != "pump stopped (AB)" {
		t.Errorf("got %+v", got)
	}
}
