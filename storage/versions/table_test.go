package versions

import (
	"math"
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"weirkeeper/storage/ledgerfile"
)

var every = &Table{Name: "every", key: []int{0}, Columns: []ledgerfile.Column{
	{Name: "id", Kind: "INTEGER", Key: true}, {Name: "value", Kind: "REAL"}, {Name: "text", Kind: "TEXT"}, {Name: "data", Kind: "BLOB"},
	{Name: "other", Kind: "INTEGER", Nullable: true},
}}

// rows are rows of every kind of value that a strict table holds.
func rows() *rapid.Generator[[]any] {
	return rapid.Custom(func(r *rapid.T) []any {
		row := []any{
			rapid.Int64().Draw(r, "id"), rapid.Float64Range(-1e300, 1e300).Draw(r, "value"),
			rapid.OneOf(rapid.String(), rapid.Map(rapid.SliceOf(rapid.Byte()), func(b []byte) string { return string(b) })).Draw(r, "text"),
			rapid.SliceOf(rapid.Byte()).Draw(r, "data"), any(nil),
		}
		if rapid.Bool().Draw(r, "other") {
			row[4] = rapid.Int64().Draw(r, "number")
		}
		return row
	})
}

// An image gives its row back, whatever stands in it.
func TestImagesComeBack(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		row := rows().Draw(r, "row")
		image := every.Image(row)
		got, err := every.Row(image)
		if err != nil || !reflect.DeepEqual(got, row) {
			r.Fatalf("%s came back as %#v, %v", image, got, err)
		}
	})
	for _, image := range []string{"", "[]", `{"id":"x"}`, `{"id":1.5}`, `{"value":"x"}`, `{"text":{"bytes":1}}`, `{"text":1}`} {
		if row, err := every.Row(image); err == nil {
			t.Errorf("%q is the image of %#v", image, row)
		}
	}
}

// Two rows that differ have two sums, and values that change places change the sum
// of both rows.
func TestSums(t *testing.T) {
	var s Sum
	rapid.Check(t, func(r *rapid.T) {
		a, b := rows().Draw(r, "a"), rows().Draw(r, "b")
		if (s.Of(every, a) == s.Of(every, b)) != reflect.DeepEqual(a, b) {
			r.Fatalf("%#v and %#v", a, b)
		}
		if reflect.DeepEqual(a[1], b[1]) || a[0] == b[0] {
			return
		}
		before := s.Of(every, a) + s.Of(every, b)
		a[1], b[1] = b[1], a[1]
		if s.Of(every, a)+s.Of(every, b) == before {
			r.Fatalf("%#v and %#v have changed places", a, b)
		}
	})
}

// The sums that ledgers hold never change.
func TestSumsOfLedgers(t *testing.T) {
	var s Sum
	row := []any{int64(7), 0.0, "calcium", []byte{0, 1}, nil}
	if got := s.Of(every, row); got != 5194290081995777277 {
		t.Errorf("the sum is %d", got)
	}
	row[1] = math.Copysign(0, -1)
	if got := s.Of(every, row); got != 5194290081995777277 {
		t.Errorf("the sum with the other zero is %d", got)
	}
	a := Action{ID: 3, DoneAt: 1773129720000, Doing: "saving", Person: "AB", Workstation: "bench"}
	row[1] = 0.0
	before := every.Image(row)
	v := Version{Entity: "every", First: 7, Last: 7, Event: Changed, Before: &before, HashBefore: 1, HashAfter: 2}
	if got := a.hash(5, []Version{v}); got != -2918132301177096515 {
		t.Errorf("the hash is %d", got)
	}
}

// Rows of following numbers that came are one version; others are not.
func TestListOfWhatCame(t *testing.T) {
	var l List
	other := &Table{Name: "other"}
	for _, n := range []int64{1, 2, 3} {
		l.Came(every, n, 10)
		l.Came(other, 7, 1) // as rows that belong to one row
	}
	l.Came(every, 5, 10)
	l.Add(WentRow(every, []any{int64(6), 0.0, "", []byte{}, nil}))
	l.Came(every, 7, 10)
	type brief struct {
		entity      string
		first, last int64
		event       Event
		sum         int64
	}
	var got []brief
	for n, v := range l.All {
		if v.Place != n {
			t.Errorf("version %d has the place %d", n, v.Place)
		}
		got = append(got, brief{v.Entity, v.First, v.Last, v.Event, v.HashAfter})
	}
	want := []brief{
		{"every", 1, 3, Came, 30}, {"other", 7, 7, Came, 3}, {"every", 5, 5, Came, 10}, {"every", 6, 6, Went, 0}, {"every", 7, 7, Came, 10},
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got %+v", got)
	}
}
