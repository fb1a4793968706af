package versions

import (
	"maps"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// Whatever versions follow each other, what is expected of each number is what a plain
// list of sums by number comes to.
func TestExpectedLaw(t *testing.T) {
	const most = 24
	rapid.Check(t, func(r *rapid.T) {
		e, model := NewExpected(), map[int64]int64{}
		sums := rapid.Int64Range(1, 1<<40)
		ranged := func(event Event, set func(n, sum int64)) Version {
			first := rapid.Int64Range(1, most-1).Draw(r, "first")
			last := rapid.Int64Range(first+1, most).Draw(r, "last")
			v := Version{First: first, Last: last, Event: event}
			for n := first; n <= last; n++ {
				sum := sums.Draw(r, "sum")
				v.Sums, v.HashAfter = append(v.Sums, sum), v.HashAfter+sum
				set(n, sum)
			}
			return v
		}
		for range rapid.IntRange(1, 30).Draw(r, "versions") {
			n := rapid.Int64Range(1, most).Draw(r, "number")
			switch rapid.IntRange(0, 4).Draw(r, "kind") {
			case 0:
				sum := sums.Draw(r, "sum")
				model[n] += sum
				e.Take(Version{First: n, Last: n, Event: Came, HashAfter: sum, Sums: []int64{sum}})
			case 1:
				e.Take(ranged(rapid.SampledFrom([]Event{Came, Imported, Found}).Draw(r, "event"), func(n, sum int64) { model[n] += sum }))
			case 2:
				after := sums.Draw(r, "after")
				e.Take(Version{First: n, Last: n, Event: Changed, HashBefore: model[n], HashAfter: after})
				model[n] = after
			case 3:
				e.Take(Version{First: n, Last: n, Event: Went, HashBefore: model[n]})
				model[n] = 0
			case 4:
				e.Take(ranged(rapid.SampledFrom([]Event{Withdrawn, Restored}).Draw(r, "event"), func(n, sum int64) { model[n] = sum }))
			}
		}
		var want, got []int64
		for _, n := range slices.Sorted(maps.Keys(model)) {
			if model[n] != 0 {
				want = append(want, n, model[n])
			}
		}
		for n := range int64(most + 2) {
			if sum, sure := e.Of(n); !sure || sum != model[n] {
				r.Fatalf("of %d is expected %d, sure %v, not %d", n, sum, sure, model[n])
			}
		}
		e.Left(func(n, sum int64) { got = append(got, n, sum) })
		if !slices.Equal(got, want) {
			r.Fatalf("left are %v, not %v", got, want)
		}
	})
}

// Where only the sum of several rows together is known, it follows what single ones of
// them become.
func TestExpectedOfSpans(t *testing.T) {
	e := NewExpected()
	e.Take(Version{First: 10, Last: 19, Event: Imported, HashAfter: 1000})
	if _, sure := e.Of(12); sure {
		t.Error("a row of a span is sure")
	}
	e.Take(Version{First: 12, Last: 12, Event: Changed, HashBefore: 70, HashAfter: 75})
	e.Take(Version{First: 13, Last: 13, Event: Went, HashBefore: 30})
	for number, want := range map[int64]int64{12: 75, 13: 0} {
		if sum, sure := e.Of(number); !sure || sum != want {
			t.Errorf("of %d is expected %d, %v", number, sum, sure)
		}
	}
	if s := e.spanOf(15); s == nil || s.want != 900 {
		t.Errorf("the others are expected to be %+v", s)
	}
	e.Take(Version{First: 10, Last: 19, Event: Withdrawn, HashAfter: 500})
	if _, sure := e.Of(12); sure || e.spanOf(15).want != 500 {
		t.Errorf("withdrawn they are expected to be %+v", e.spanOf(15))
	}
}
