package storage_test

import (
	"testing"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/storage/ledgerfile"
	"weirkeeper/storage/safekeeping"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// fault returns the first field that an error has a fault of.
func fault(err error) string {
	if fs := tanks.FaultsOf(err); len(fs) > 0 {
		return fs[0].Field
	}
	return ""
}

func TestPeople(t *testing.T) {
	s, _ := storagetest.Room(t)
	ctx := t.Context()
	ann, bo := tanks.Person{Initials: "ab", Name: "Ann Bell"}, tanks.Person{Initials: "BO"}
	must(t, s.SavePerson(ctx, &ann))
	must(t, s.SavePerson(ctx, &bo))
	ann.Gone = true
	must(t, s.SavePerson(ctx, &ann))
	same(t, value[[]tanks.Person](t)(s.People(ctx)), []tanks.Person{ann, bo})
	if got := fault(s.SavePerson(ctx, &tanks.Person{Initials: "AB"})); got != "initials" {
		t.Errorf("the same initials in capitals: fault of %q", got)
	}
	if err := s.SavePerson(ctx, &tanks.Person{ID: 99, Initials: "X"}); err == nil {
		t.Error("somebody who is not there was changed")
	}
}

func TestCorrectionsAndStandards(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx := t.Context()
	m := f.Methods[chem.Calcium].ID
	first := tanks.Correction{
		Method: m,
		From:   f.Now.Add(-60 * day),
		Until:  f.Now.Add(-30 * day),
		Factor: 1.02,
		Shift:  -3,
		Reason: "standard read low",
		Person: "AB",
	}
	second := tanks.Correction{Method: m, From: f.Now.Add(-30 * day), Factor: 1, Shift: 4, Reason: "new batch"}
	must(t, s.SaveCorrection(ctx, &second))
	must(t, s.SaveCorrection(ctx, &first))
	same(t, value[[]tanks.Correction](t)(s.Corrections(ctx)), []tanks.Correction{first, second})
	clash := tanks.Correction{Method: m, From: f.Now.Add(-31 * day), Until: f.Now.Add(-29 * day), Factor: 1, Reason: "?"}
	if got := fault(s.SaveCorrection(ctx, &clash)); got != "from" {
		t.Errorf("two corrections at once: fault of %q", got)
	}
	must(t, s.WithdrawCorrection(ctx, first.ID, "wrong standard", "AB"))
	clash.Until = f.Now.Add(-30 * day)
	must(t, s.SaveCorrection(ctx, &clash)) // what is withdrawn is not in the way
	check := tanks.StandardCheck{
		Method:              m,
		At:                  f.Now,
		Standard:            "420 mg/L, batch 7",
		Expected:            420,
		ExpectedUncertainty: 2,
		Found:               409,
		Person:              "AB",
		Note:                "warm",
	}
	must(t, s.SaveStandardCheck(ctx, &check))
	same(t, value[[]tanks.StandardCheck](t)(s.StandardChecks(ctx, m)), []tanks.StandardCheck{check})
	must(t, s.WithdrawStandardCheck(ctx, check.ID, "expired", ""))
	if got := value[[]tanks.StandardCheck](t)(s.StandardChecks(ctx, m)); got[0].Status != tanks.Withdrawn {
		t.Errorf("withdrawn it is %+v", got)
	}
}

// The stock is the sum of its movements: additions take from it, withdrawn ones
// give back what they took, counts set it.
func TestStockMovements(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx := t.Context()
	p := f.Products["calcium"] // 2000 mL
	stock := func() float64 {
		t.Helper()
		for _, one := range value[[]tanks.Product](t)(s.Products(ctx)) {
			if one.ID == p.ID {
				return one.Stock
			}
		}
		return -1
	}
	expect := func(want float64) {
		t.Helper()
		if got := stock(); got != want {
			t.Errorf("the stock is %g, want %g", got, want)
		}
	}
	a := tanks.Addition{System: f.Systems[0].ID, Product: p.ID, At: f.Now.Add(-3 * hour), Amount: 150, Person: "AB"}
	must(t, s.SaveAddition(ctx, &a))
	expect(1850)
	must(t, s.MoveStock(ctx, &tanks.Movement{Product: p.ID, At: f.Now.Add(-2 * hour), Kind: tanks.Counted, Left: 120}))
	expect(120)
	most := tanks.Addition{System: f.Systems[0].ID, Product: p.ID, At: f.Now.Add(-hour), Amount: 200}
	must(t, s.SaveAddition(ctx, &most))
	expect(0)
	must(t, s.WithdrawAddition(ctx, most.ID, "not given", "AB"))
	expect(120) // not 200: there were only 120 to take
	must(t, s.MoveStock(ctx, &tanks.Movement{Product: p.ID, At: f.Now, Kind: tanks.Bought, Change: 1000, Price: 20}))
	expect(1120)
	must(t, s.MoveStock(ctx, &tanks.Movement{Product: p.ID, At: f.Now, Kind: tanks.Discarded, Change: -20}))
	if got := fault(s.MoveStock(ctx, &tanks.Movement{Product: p.ID, At: f.Now, Kind: tanks.Discarded, Change: -2000})); got != "change" {
		t.Errorf("more than there is: fault of %q", got)
	}
	p.Stock, p.Contents = 1000, f.Products["calcium"].Contents
	must(t, s.SaveProduct(ctx, &p))
	expect(1000)
	left := 2000.0
	var kinds []tanks.MovementKind
	for _, m := range value[[]tanks.Movement](t)(s.Movements(ctx, p.ID)) {
		left += m.Change
		if left != m.Left {
			t.Errorf("after %+v there are %g", m, left)
		}
		kinds = append(kinds, m.Kind)
	}
	same(
		t,
		kinds,
		[]tanks.MovementKind{tanks.Used, tanks.Counted, tanks.Used, tanks.Returned, tanks.Bought, tanks.Discarded, tanks.Counted},
	)
	if err := s.MoveStock(ctx, &tanks.Movement{Product: 99, At: f.Now, Kind: tanks.Bought, Change: 1}); err == nil {
		t.Error("stock of no product was taken")
	}
}

func TestPumpsAndPrograms(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx := t.Context()
	pump := tanks.Pump{
		Name:  "Rack pump",
		Place: "North",
		Note:  "new tubes in May",
		Heads: []tanks.Head{{Number: 1, Name: "Ca", Smallest: 0.2, Step: 0.1}, {Number: 2}},
	}
	must(t, s.SavePump(ctx, &pump))
	pump.Heads[0].Number, pump.Heads[1].Number = 2, 1 // they change places
	pump.Heads[0], pump.Heads[1] = pump.Heads[1], pump.Heads[0]
	pump.Heads = append(pump.Heads, tanks.Head{Number: 3})
	must(t, s.SavePump(ctx, &pump))
	same(t, value[[]tanks.Pump](t)(s.Pumps(ctx)), []tanks.Pump{pump})
	head := pump.Heads[1].ID

	c := tanks.Calibration{
		Head:   head,
		At:     f.Now,
		Runs:   []tanks.Run{{Seconds: 60, Millilitres: 41.5, Graduation: 0.5}, {Seconds: 60, Millilitres: 42, Graduation: 0.5}},
		Person: "AB",
		Note:   "warm",
	}
	must(t, s.SaveCalibration(ctx, &c))
	same(t, value[[]tanks.Calibration](t)(s.Calibrations(ctx)), []tanks.Calibration{c})
	must(t, s.WithdrawCalibration(ctx, c.ID, "air in the tube", "AB"))

	vessel := tanks.Container{
		Name:     "Calcium 5 L",
		Product:  f.Products["calcium"].ID,
		Capacity: 5000,
		Contents: 4200,
		AsOf:     f.Now,
		Note:     "on the floor",
	}
	must(t, s.SaveContainer(ctx, &vessel))
	vessel.Contents = 3000
	must(t, s.SaveContainer(ctx, &vessel))
	same(t, value[[]tanks.Container](t)(s.Containers(ctx)), []tanks.Container{vessel})

	first := tanks.Program{
		Head:      head,
		System:    f.Systems[0].ID,
		Container: vessel.ID,
		From:      f.Now.Add(-9 * day),
		Daily:     30,
		Doses:     12,
		Start:     1320,
		End:       480,
		Person:    "AB",
	}
	must(t, s.SaveProgram(ctx, &first))
	second := first
	second.ID, second.From, second.Daily, second.Note = 0, f.Now, 15, "halved"
	must(t, s.SaveProgram(ctx, &second))
	first.Until = second.From
	same(t, value[[]tanks.Program](t)(s.Programs(ctx)), []tanks.Program{first, second})
	late := first
	late.ID, late.From, late.Until = 0, f.Now.Add(-20*day), time.Time{}
	if got := fault(s.SaveProgram(ctx, &late)); got != "from" {
		t.Errorf("a program across others: fault of %q", got)
	}
	pump.Heads = pump.Heads[:1]
	if got := fault(s.SavePump(ctx, &pump)); got != "heads" {
		t.Errorf("a head in use taken away: fault of %q", got)
	}
}

func TestLots(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx, one, two := t.Context(), f.Systems[0].ID, f.Systems[1].ID
	colony := tanks.Lot{System: one, Species: "Acropora millepora", Name: "green", Place: "top left", Watch: "base", Note: "invented"}
	must(t, s.SaveLot(ctx, &colony))
	frags := tanks.Lot{System: one, Parent: colony.ID, Species: "Acropora millepora"}
	must(t, s.SaveLot(ctx, &frags))
	event := func(e tanks.LotEvent) (tanks.LotEvent, error) {
		err := s.SaveLotEvent(ctx, &e)
		return e, err
	}
	in := value[tanks.LotEvent](
		t,
	)(
		event(
			tanks.LotEvent{
				Lot:    colony.ID,
				At:     f.Now.Add(-30 * day),
				Kind:   tanks.CameIn,
				Count:  1,
				Price:  40,
				Person: "AB",
				Note:   "healthy",
			},
		),
	)
	if _, err := event(tanks.LotEvent{Lot: colony.ID, At: f.Now.Add(-29 * day), Kind: tanks.Sold, Count: 2}); fault(err) != "count" {
		t.Errorf("more sold than came: %v", err)
	}
	value[tanks.LotEvent](t)(event(tanks.LotEvent{Lot: colony.ID, At: f.Now.Add(-20 * day), Kind: tanks.CountedLot, Count: 8}))
	split := value[tanks.LotEvent](
		t,
	)(
		event(tanks.LotEvent{Lot: colony.ID, At: f.Now.Add(-10 * day), Kind: tanks.SplitOff, Count: 6, Into: frags.ID}),
	)
	value[tanks.LotEvent](t)(event(tanks.LotEvent{Lot: frags.ID, At: f.Now.Add(-5 * day), Kind: tanks.Sold, Count: 4}))
	move := value[tanks.LotEvent](t)(event(tanks.LotEvent{Lot: frags.ID, At: f.Now.Add(-4 * day), Kind: tanks.Moved, To: two}))
	after := value[tanks.LotEvent](t)(event(tanks.LotEvent{Lot: frags.ID, At: f.Now.Add(-3 * day), Kind: tanks.Died, Count: 1}))
	if in.System != one || move.System != one || after.System != two {
		t.Errorf("systems %d, %d, %d", in.System, move.System, after.System)
	}
	frags.System = two
	same(t, value[[]tanks.Lot](t)(s.Lots(ctx)), []tanks.Lot{colony, frags})
	events := value[[]tanks.LotEvent](t)(s.LotEvents(ctx))
	same(t, events[0], in)
	if a, b := tanks.CountOf(colony.ID, events), tanks.CountOf(frags.ID, events); a != 2 || b != 1 {
		t.Errorf("%d and %d are left", a, b)
	}
	for name, err := range map[string]error{
		"a move":                       s.WithdrawLotEvent(ctx, move.ID, "slip", ""),
		"a split that sales rest on":   s.WithdrawLotEvent(ctx, split.ID, "slip", ""),
		"a lot put elsewhere by hand":  s.SaveLot(ctx, &tanks.Lot{ID: frags.ID, System: one, Species: "x"}),
		"a lot that is its own parent": s.SaveLot(ctx, &tanks.Lot{ID: colony.ID, System: one, Species: "x", Parent: frags.ID}),
	} {
		if fault(err) == "" {
			t.Errorf("%s: %v", name, err)
		}
	}
	must(t, s.WithdrawLotEvent(ctx, after.ID, "alive after all", "AB"))
	if n := tanks.CountOf(frags.ID, value[[]tanks.LotEvent](t)(s.LotEvents(ctx))); n != 2 {
		t.Errorf("%d are left", n)
	}
	if _, err := event(tanks.LotEvent{Lot: 99, At: f.Now, Kind: tanks.CameIn, Count: 1}); err == nil {
		t.Error("an event of no lot was taken")
	}
}

// Everything of version 2 can be taken back as well.
func TestUndoOfEquipmentAndLivestock(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx := t.Context()
	s = own(s)
	db := plain(t, s.Path())
	before := contents(t, db)
	pump := tanks.Pump{Name: "p", Heads: []tanks.Head{{Number: 1}}}
	must(t, s.SavePump(ctx, &pump))
	must(
		t,
		s.SaveCalibration(
			ctx,
			&tanks.Calibration{Head: pump.Heads[0].ID, At: f.Now, Runs: []tanks.Run{{Seconds: 1, Millilitres: 1, Graduation: 1}}},
		),
	)
	lot := tanks.Lot{System: f.Systems[0].ID, Species: "x"}
	must(t, s.SaveLot(ctx, &lot))
	must(t, s.SaveLotEvent(ctx, &tanks.LotEvent{Lot: lot.ID, At: f.Now, Kind: tanks.Moved, To: f.Systems[1].ID}))
	after := contents(t, db)
	undone := 0
	for ; ; undone++ {
		if _, err := s.Undo(ctx, "AB"); err != nil {
			break
		}
	}
	if got := contents(t, db); undone != 4 || difference(got, before) != "" {
		t.Errorf("%d undone: %s", undone, difference(got, before))
	}
	for range undone {
		value[words.Text](t)(s.Redo(ctx, "AB"))
	}
	if got := contents(t, db); difference(got, after) != "" {
		t.Errorf("put back: %s", difference(got, after))
	}
	r := value[ledgerfile.Report](t)(safekeeping.Check(ctx, s.Path()))
	if !r.Sound() {
		t.Error(r.Faults)
	}
}
