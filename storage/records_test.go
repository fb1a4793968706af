package storage_test

import (
	"reflect"
	"testing"
	"time"

	"weirkeeper/chem"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
	"weirkeeper/tanks/board"
)

// A record holds what counts within the span, of the systems that are asked for.
func TestRecords(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx := t.Context()
	ids := value[[]tanks.ReadingID](t)(s.SaveReadings(ctx, []tanks.Reading{calcium(f, 2, 420), calcium(f, 1, 430), calcium(f, 1000, 410)}))
	must(t, s.WithdrawReading(ctx, ids[1], "slip of the pen", "AB"))
	a := tanks.Addition{System: f.Systems[0].ID, Product: f.Products["calcium"].ID, At: f.Now.Add(-3 * hour), Amount: 20}
	must(t, s.SaveAddition(ctx, &a))
	gone := tanks.Addition{System: f.Systems[0].ID, Product: f.Products["calcium"].ID, At: f.Now.Add(-4 * hour), Amount: 20}
	must(t, s.SaveAddition(ctx, &gone))
	must(t, s.WithdrawAddition(ctx, gone.ID, "spilt", "AB"))
	known := tanks.WaterChange{
		System: f.Systems[1].ID,
		At:     f.Now.Add(-5 * hour),
		Litres: 30,
		Share:  0.1,
		Water:  []tanks.Level{{Analyte: chem.Calcium, Value: 430}, {Analyte: chem.Magnesium, Value: 1300}},
	}
	unknown := tanks.WaterChange{System: f.Systems[1].ID, At: f.Now.Add(-4 * hour), Litres: 30, Share: 0.1}
	must(t, s.SaveWaterChanges(ctx, []tanks.WaterChange{known, unknown}))

	from := f.Now.Add(-24 * hour)
	all := value[map[tanks.SystemID]board.SystemRecord](t)(s.Records(ctx, from, f.Now))
	if len(all) != len(f.Systems) {
		t.Fatalf("%d records of %d systems", len(all), len(f.Systems))
	}
	first := all[f.Systems[0].ID]
	if len(first.Readings) != 1 || first.Readings[0].ID != ids[0] || len(first.Changes) != 0 {
		t.Errorf("the first system's record is %+v", first)
	}
	if len(first.Additions) != 1 || !first.Additions[0].At.Equal(a.At) || !reflect.DeepEqual(first.Additions[0].Changes, a.Changes) {
		t.Errorf("its additions are %+v, want the changes %+v", first.Additions, a.Changes)
	}
	second := all[f.Systems[1].ID]
	if len(second.Changes) != 2 || !reflect.DeepEqual(second.Changes[0].Water, known.Water) || len(second.Changes[1].Water) != 0 ||
		second.Changes[1].Share != 0.1 {
		t.Errorf("the second system's changes are %+v", second.Changes)
	}
	one := value[map[tanks.SystemID]board.SystemRecord](t)(s.Records(ctx, time.Time{}, f.Now, f.Systems[0].ID))
	if len(one) != 1 || len(one[f.Systems[0].ID].Readings) != 2 {
		t.Errorf("of one system, of all times: %+v", one)
	}
}

// A list is whole and in order however many pieces it was read in, and a record holds
// the entries of its own system alone.
func TestLongListsAreWhole(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx := t.Context()
	const many = 1500 // more than two of the largest pieces
	var all []tanks.Reading
	for n := range many {
		r := calcium(f, 0, 400+float64(n)/100)
		r.At = f.Now.Add(-time.Duration(many-n) * time.Minute)
		other := r
		other.System, other.Value = f.Systems[1].ID, r.Value+300
		all = append(all, r, other)
	}
	ids := value[[]tanks.ReadingID](t)(s.SaveReadings(ctx, all))
	for n, id := range []tanks.SystemID{f.Systems[0].ID, f.Systems[1].ID} {
		var want []tanks.ReadingID
		for i := n; i < len(ids); i += 2 {
			want = append(want, ids[i])
		}
		series := value[[]tanks.Reading](t)(s.Series(ctx, id, chem.Calcium, time.Time{}, time.Time{}))
		same(t, idsOf(series), want)
		records := value[map[tanks.SystemID]board.SystemRecord](t)(s.Records(ctx, time.Time{}, f.Now))
		same(t, idsOf(records[id].Readings), want)
	}
	var cells [][]tanks.ReadingID
	must(t, s.Newest(ctx, time.Time{}, 2, func(of []tanks.Reading) { cells = append(cells, idsOf(of)) }, f.Systems[0].ID, f.Systems[1].ID))
	same(t, cells, [][]tanks.ReadingID{{ids[2*many-4], ids[2*many-2]}, {ids[2*many-3], ids[2*many-1]}})
}

func idsOf(readings []tanks.Reading) (ids []tanks.ReadingID) {
	for _, r := range readings {
		ids = append(ids, r.ID)
	}
	return ids
}
