package storage_test

import (
	"database/sql"
	"encoding/json"
	"errors"
	"math"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

func calcium(f storagetest.Fixture, hoursAgo int, v float64) tanks.Reading {
	return tanks.Reading{
		System:  f.Systems[0].ID,
		Analyte: chem.Calcium,
		At:      f.Now.Add(-time.Duration(hoursAgo) * hour),
		Value:   v,
		Unit:    chem.MgL,
	}
}

func newest(t testing.TB, s *storage.Store) []float64 {
	t.Helper()
	var out []float64
	for _, r := range value[[]tanks.Reading](t)(s.Latest(t.Context())) {
		out = append(out, r.Value)
	}
	return out
}

func TestLatestFollowsEveryChange(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx := t.Context()
	ids := value[[]tanks.ReadingID](t)(s.SaveReadings(ctx, []tanks.Reading{calcium(f, 2, 420), calcium(f, 1, 430), calcium(f, 3, 410)}))
	same(t, newest(t, s), []float64{430})

	must(t, s.WithdrawReading(ctx, ids[1], "slip of the pen", "AB"))
	same(t, newest(t, s), []float64{420})

	later := calcium(f, 0, 415)
	must(t, s.AmendReading(ctx, ids[2], later, "wrong day", "AB"))
	same(t, newest(t, s), []float64{415})

	moved := calcium(f, 0, 1300)
	moved.Analyte, moved.System = chem.Magnesium, f.Systems[1].ID
	must(t, s.AmendReading(ctx, ids[2], moved, "wrong column", "AB"))
	same(t, newest(t, s), []float64{420, 1300})

	must(t, s.WithdrawReadings(ctx, []tanks.ReadingID{ids[0], ids[2]}, "wrong bottle", "AB"))
	same(t, newest(t, s), []float64(nil))

	twice := value[[]tanks.ReadingID](t)(s.SaveReadings(ctx, []tanks.Reading{calcium(f, 5, 400), calcium(f, 5, 401)}))
	same(t, newest(t, s), []float64{401}) // of one instant, the later entry
	if twice[0] >= twice[1] {
		t.Errorf("ids %v are not in order", twice)
	}
}

func TestHistoryIsKept(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx, id := t.Context(), f.Systems[0].ID
	first := calcium(f, 2, 4200.0/10)
	first.Typed, first.Person = "420", "AB"
	ids := value[[]tanks.ReadingID](t)(s.SaveReadings(ctx, []tanks.Reading{first}))
	better := first
	better.Value, better.Typed = 425, "425"
	must(t, s.AmendReading(ctx, ids[0], better, "read the scale again", "CD"))
	must(t, s.WithdrawReading(ctx, ids[0], "reagent too old", "EF"))

	got := value[[]tanks.Reading](t)(s.ReadingsOf(ctx, id, time.Time{}, time.Time{}))
	better.ID, better.Status, better.Entered = ids[0], tanks.Withdrawn, f.Now
	same(t, got, []tanks.Reading{better})
	if live := value[[]tanks.Reading](t)(s.Series(ctx, id, chem.Calcium, time.Time{}, time.Time{})); len(live) != 0 {
		t.Errorf("withdrawn yet in the series: %+v", live)
	}
	history := value[[]tanks.Amendment](t)(s.Amendments(ctx, id))
	if len(history) != 2 {
		t.Fatalf("got %+v", history)
	}
	for i, want := range []struct {
		reason, person string
		value          float64
	}{{"read the scale again", "CD", 420}, {"reagent too old", "EF", 425}} {
		var before tanks.Reading
		must(t, json.Unmarshal([]byte(history[i].Before), &before))
		h := history[i]
		if h.Entity != "reading" || h.ID != int64(ids[0]) || h.Reason.String() != want.reason || h.Person != want.person ||
			!h.At.Equal(f.Now) ||
			before.Value != want.value {
			t.Errorf("amendment %d: %+v", i, h)
		}
	}
}

func TestWithdrawnAdditionsAndChangesStay(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx, id := t.Context(), f.Systems[0].ID
	a := tanks.Addition{System: id, Product: f.Products["calcium"].ID, At: f.Now, Amount: 10}
	must(t, s.SaveAddition(ctx, &a))
	w := tanks.WaterChange{System: id, At: f.Now, Litres: 35, Share: 0.1}
	must(t, s.SaveWaterChange(ctx, &w))
	must(t, s.WithdrawAddition(ctx, a.ID, "wrong tank", "AB"))
	must(t, s.WithdrawWaterChange(ctx, w.ID, "never done", "AB"))
	if got := value[[]tanks.Addition](t)(s.Additions(ctx, id, time.Time{}, time.Time{})); len(got) != 1 ||
		got[0].Status != tanks.Withdrawn ||
		len(got[0].Changes) == 0 {
		t.Errorf("got %+v", got)
	}
	if got := value[[]tanks.WaterChange](t)(s.WaterChanges(ctx, id, time.Time{}, time.Time{})); len(got) != 1 ||
		got[0].Status != tanks.Withdrawn {
		t.Errorf("got %+v", got)
	}
	history := value[[]tanks.Amendment](t)(s.Amendments(ctx, id))
	if len(history) != 2 || history[0].Entity != "addition" || history[1].Entity != "water change" {
		t.Fatalf("got %+v", history)
	}
	var before map[string]any
	must(t, json.Unmarshal([]byte(history[0].Before), &before))
	if before["amount"] != 10.0 || before["status"] != 0.0 {
		t.Errorf("before: %v", before)
	}
	if err := s.WithdrawAddition(ctx, a.ID, "again", "AB"); !errors.Is(err, storage.ErrNotFound) {
		t.Errorf("withdrawn twice: %v", err)
	}
}

func TestChangesOfTheRecordNeedAReason(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx := t.Context()
	ids := value[[]tanks.ReadingID](t)(s.SaveReadings(ctx, []tanks.Reading{calcium(f, 2, 420)}))
	plan := committed(t, s, f)
	for name, err := range map[string]error{
		"amend":    s.AmendReading(ctx, ids[0], calcium(f, 2, 425), " ", "AB"),
		"withdraw": s.WithdrawReading(ctx, ids[0], "", "AB"),
		"addition": s.WithdrawAddition(ctx, 1, "", "AB"),
		"change":   s.WithdrawWaterChange(ctx, 1, "\t", "AB"),
		"drop":     s.DropDoses(ctx, []tanks.DoseID{plan.Lines[0].Doses[0].ID}, "", "AB"),
	} {
		if _, ok := tanks.FaultsOf(err).Field("reason"); !ok {
			t.Errorf("%s: got %v", name, err)
		}
	}
	same(t, newest(t, s), []float64{420})
}

// TestLatestStaysRight does random operations, failing ones among them, and
// compares the kept newest readings with the readings.
func TestLatestStaysRight(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx := t.Context()
	analytes := []chem.Analyte{chem.Calcium, chem.Magnesium, chem.Potassium}
	rapid.Check(t, func(r *rapid.T) {
		var ids []tanks.ReadingID
		draw := func() tanks.Reading {
			return tanks.Reading{
				System: f.Systems[rapid.IntRange(0, 1).Draw(r, "system")].ID, Analyte: rapid.SampledFrom(analytes).Draw(r, "analyte"),
				At: f.Now.Add(
					-time.Duration(rapid.IntRange(0, 9).Draw(r, "hours")) * hour,
				), Value: float64(rapid.IntRange(300, 320).Draw(r, "value")),
			}
		}
		pick := func() tanks.ReadingID { return rapid.SampledFrom(ids).Draw(r, "reading") }
		check := func(err error) {
			if err != nil {
				r.Fatal(err)
			}
		}
		save := func(r *rapid.T) {
			batch := make([]tanks.Reading, rapid.IntRange(1, 4).Draw(r, "count"))
			for i := range batch {
				batch[i] = draw()
			}
			more, err := s.SaveReadings(ctx, batch)
			check(err)
			ids = append(ids, more...)
		}
		save(r)
		r.Repeat(map[string]func(*rapid.T){
			"save":     save,
			"amend":    func(*rapid.T) { check(s.AmendReading(ctx, pick(), draw(), "why", "AB")) },
			"withdraw": func(*rapid.T) { check(s.WithdrawReading(ctx, pick(), "why", "AB")) },
			"fail": func(r *rapid.T) {
				if err := s.WithdrawReadings(ctx, []tanks.ReadingID{pick(), 1 << 40}, "why", "AB"); !errors.Is(err, storage.ErrNotFound) {
					r.Fatalf("got %v", err)
				}
			},
			"": func(r *rapid.T) {
				if wrong, err := s.CheckLatest(ctx); wrong != 0 || err != nil {
					r.Fatalf("%d of latest are wrong, %v", wrong, err)
				}
			},
		})
	})
}

func TestCheckLatestFindsAFault(t *testing.T) {
	s, f := storagetest.Room(t)
	value[[]tanks.ReadingID](t)(s.SaveReadings(t.Context(), []tanks.Reading{calcium(f, 2, 420), calcium(f, 1, 430)}))
	execute(t, s.Path(), "UPDATE latest SET reading_id = (SELECT min(id) FROM readings)")
	if wrong := value[int](t)(s.CheckLatest(t.Context())); wrong != 1 {
		t.Errorf("one wrong pair gives %d", wrong)
	}
}

// fillSeries writes hourly readings of three analytes, some withdrawn.
func fillSeries(t testing.TB, s *storage.Store, f storagetest.Fixture, hours int) {
	t.Helper()
	var all []tanks.Reading
	for h := range hours {
		for _, sys := range f.Systems {
			for i, a := range []chem.Analyte{chem.Calcium, chem.Magnesium, chem.Alkalinity} {
				r := tanks.Reading{
					System:  sys.ID,
					Analyte: a,
					At:      f.Now.Add(-time.Duration(h) * hour),
					Value:   []float64{420, 1300, 2.9}[i] + math.Sin(float64(h)),
				}
				if h%7 == i {
					r.Status = tanks.Withdrawn
				}
				all = append(all, r)
			}
		}
	}
	value[[]tanks.ReadingID](t)(s.SaveReadings(t.Context(), all))
}

type point struct {
	system, analyte, at int64
	value               float64
}

func points(t testing.TB, rows *sql.Rows, err error) []point {
	t.Helper()
	must(t, err)
	defer rows.Close()
	var out []point
	for rows.Next() {
		var p point
		must(t, rows.Scan(&p.system, &p.analyte, &p.at, &p.value))
		out = append(out, p)
	}
	must(t, rows.Err())
	return out
}

func pointsOf(readings []tanks.Reading) []point {
	var out []point
	for _, r := range readings {
		out = append(out, point{int64(r.System), int64(r.Analyte), r.At.UnixMilli(), r.Value})
	}
	return out
}

func TestReadsAgreeWithPlainSQL(t *testing.T) {
	s, f := storagetest.Room(t)
	fillSeries(t, s, f, 200)
	db := plain(t, s.Path())
	rows, err := db.Query(`SELECT system_id, analyte_id, taken_at, value FROM (SELECT *, row_number() OVER
		(PARTITION BY system_id, analyte_id ORDER BY taken_at DESC, id DESC) AS n FROM readings WHERE status = 0) WHERE n = 1 ORDER BY system_id, analyte_id`)
	want := points(t, rows, err)
	got := pointsOf(value[[]tanks.Reading](t)(s.Latest(t.Context())))
	if len(got) != 6 || !slices.Equal(got, want) {
		t.Errorf("latest\ngot  %v\nwant %v", got, want)
	}
	from, to := f.Now.Add(-150*hour), f.Now.Add(-50*hour)
	rows, err = db.Query(
		"SELECT system_id, analyte_id, taken_at, value FROM readings NOT INDEXED WHERE system_id = ? AND analyte_id = ? AND taken_at >= "+
			"? AND taken_at <= ? AND status = 0 ORDER BY taken_at",
		int64(f.Systems[1].ID),
		int(chem.Magnesium),
		from.UnixMilli(),
		to.UnixMilli(),
	)
	want = points(t, rows, err)
	got = pointsOf(value[[]tanks.Reading](t)(s.Series(t.Context(), f.Systems[1].ID, chem.Magnesium, from, to)))
	// Of the 101 hours, the 15 that leave 1 when divided by 7 are withdrawn.
	if len(got) != 86 || !slices.Equal(got, want) {
		t.Errorf("series of %d points, want the %d of plain SQL, 86", len(got), len(want))
	}
}
