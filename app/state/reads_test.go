package state

import (
	"context"
	"errors"
	"maps"
	"math"
	"slices"
	"sync"
	"testing"
	"time"

	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
	"weirkeeper/tanks/board"
)

// same compares two rooms: newest values, estimates and verdicts of every cell.
func same(t *testing.T, when string, got, want *board.Estimated) {
	t.Helper()
	if !maps.Equal(got.Latest, want.Latest) {
		t.Errorf("%s: the newest values are %v, want %v", when, got.Latest, want.Latest)
	}
	a, b := got.Verdicts(), want.Verdicts()
	if !maps.Equal(a, b) {
		t.Errorf("%s: the verdicts are %v, want %v", when, a, b)
	}
	for c := range want.Latest {
		x, _ := got.Estimate(c)
		y, _ := want.Estimate(c)
		if math.Abs(x.Value-y.Value) > 1e-9 || math.Abs(x.Uncertainty-y.Uncertainty) > 1e-9 {
			t.Errorf("%s: %v is estimated as %+v, want %+v", when, c, x, y)
		}
	}
}

// tested writes values of an analyte, the last of them hours before now.
func tested(t *testing.T, store *storage.Store, f storagetest.Fixture, n int, a chem.Analyte, hours int, values ...float64) {
	t.Helper()
	var all []tanks.Reading
	for i, v := range values {
		all = append(all, tanks.Reading{System: f.Systems[n].ID, Analyte: a, Method: f.Methods[a].ID, Value: v, Unit: chem.MgL, Typed: "x",
			At: f.Now.Add(-time.Duration(hours)*time.Hour - time.Duration(len(values)-1-i)*48*time.Hour)})
	}
	if _, err := store.SaveReadings(context.Background(), all); err != nil {
		t.Fatal(err)
	}
}

// Whatever changes, the shared room is the one that a whole read gives.
func TestSharedRoomIsTheRoom(t *testing.T) {
	store, f := storagetest.Room(t)
	ctx, r := t.Context(), NewReads(store)
	defer r.Close()
	now := f.Now
	check := func(when string) {
		t.Helper()
		got, err := r.Room(ctx, now)
		if err != nil {
			t.Fatal(err)
		}
		want, err := ReadEstimated(ctx, store, now)
		if err != nil {
			t.Fatal(err)
		}
		same(t, when, got, want)
	}
	check("empty")
	tested(t, store, f, 0, chem.Calcium, 12, 440, 432, 424, 416, 408)
	check("after readings of one system")
	tested(t, store, f, 1, chem.Calcium, 12, 420)
	tested(t, store, f, 1, chem.Magnesium, 30, 1290, 1300)
	check("after readings of the other")
	addition := tanks.Addition{System: f.Systems[0].ID, Product: f.Products["calcium"].ID, At: now.Add(-6 * time.Hour), Amount: 100}
	if err := store.SaveAddition(ctx, &addition); err != nil {
		t.Fatal(err)
	}
	check("after an addition")
	if _, err := store.Undo(ctx, ""); err != nil && !errors.Is(err, storage.ErrNothingToUndo) {
		t.Fatal(err)
	}
	check("after an undo")
	m := f.Methods[chem.Calcium]
	m.Accuracy, m.Repeatability = 40, 20
	if err := store.SaveMethod(ctx, &m); err != nil {
		t.Fatal(err)
	}
	check("after a method became worse")
	now = now.AddDate(0, 0, 20)
	check("twenty days later")
}

// Until something changes one read serves all, also those who ask at once.
func TestOneReadIsShared(t *testing.T) {
	store, f := storagetest.Room(t)
	r := NewReads(store)
	defer r.Close()
	rooms := make([]*board.Estimated, 8)
	var all sync.WaitGroup
	for n := range rooms {
		all.Go(func() { rooms[n], _ = r.Room(context.Background(), f.Now.Add(time.Duration(n)*time.Second)) })
	}
	all.Wait()
	for _, room := range rooms {
		if room == nil || room != rooms[0] {
			t.Fatal("each asks the ledger by itself")
		}
	}
	person := tanks.Person{Initials: "AB"}
	if err := store.SavePerson(t.Context(), &person); err != nil {
		t.Fatal(err)
	}
	if again, err := r.Room(t.Context(), f.Now); err != nil || again != rooms[0] {
		t.Errorf("a person who is written down makes the water be read anew: %v", err)
	}
}

// What lets expect the next value of a cell are the last ones of the ledger, also
// after a change; those of other systems are not read again.
func TestRecent(t *testing.T) {
	store, f := storagetest.Room(t)
	r := NewReads(store)
	defer r.Close()
	calcium := tanks.Cell{System: f.Systems[0].ID, Analyte: chem.Calcium}
	magnesium := tanks.Cell{System: f.Systems[1].ID, Analyte: chem.Magnesium}
	last := func(c tanks.Cell) []float64 {
		t.Helper()
		room, err := r.Room(t.Context(), f.Now)
		if err != nil {
			t.Fatal(err)
		}
		all, err := r.Recent(t.Context(), room)
		if err != nil {
			t.Fatal(err)
		}
		return all[c]
	}
	tested(t, store, f, 0, chem.Calcium, 12, 400, 401, 402, 403, 404, 405, 406, 407, 408, 409, 410, 411, 412, 413)
	tested(t, store, f, 0, chem.Nitrate, 12, 5, 6)
	tested(t, store, f, 1, chem.Magnesium, 12, 1300)
	if got := last(calcium); !slices.Equal(got, []float64{408, 409, 410, 411, 412, 413}) {
		t.Errorf("the last values are %v", got)
	}
	if got := last(tanks.Cell{System: f.Systems[0].ID, Analyte: chem.Nitrate}); !slices.Equal(got, []float64{5, 6}) {
		t.Errorf("those of the other analyte are %v", got)
	}
	kept := last(magnesium)
	tested(t, store, f, 0, chem.Calcium, 2, 420)
	if got := last(calcium); !slices.Equal(got, []float64{409, 410, 411, 412, 413, 420}) {
		t.Errorf("after another value they are %v", got)
	}
	if got := last(magnesium); len(got) != 1 || &got[0] != &kept[0] {
		t.Errorf("those of the other system are read again: %v", got)
	}
}

// A read that was given up is no answer for the next one.
func TestReadThatEnds(t *testing.T) {
	store, f := storagetest.Room(t)
	r := NewReads(store)
	defer r.Close()
	ctx, end := context.WithCancel(t.Context())
	end()
	if _, err := r.Room(ctx, f.Now); !errors.Is(err, context.Canceled) {
		t.Errorf("read in a context that has ended: %v", err)
	}
	tested(t, store, f, 0, chem.Calcium, 12, 400)
	room, err := r.Room(t.Context(), f.Now)
	if err != nil || room.Latest[tanks.Cell{System: f.Systems[0].ID, Analyte: chem.Calcium}].Value != 400 {
		t.Errorf("then %v", err)
	}
	if _, err := r.Room(ctx, f.Now); err != nil {
		t.Errorf("what is there needs no reading: %v", err)
	}
}
