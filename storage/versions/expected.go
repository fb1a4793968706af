package versions

import (
	"cmp"
	"maps"
	"slices"
)

// Expected is what the account says that the rows of one table are: the sum of the
// rows of each number. Zero: there is none of that number, or not any more.
type Expected struct {
	single map[int64]int64 // comes before the spans
	spans  []*span         // in the order of their numbers; none overlaps another
}

// span is rows of following numbers.
type span struct {
	first, last int64
	sums        []int64 // by number from first on; nil: only the sum of all is known
	want, got   int64   // sums of all without those that are single
}

// NewExpected expects nothing.
func NewExpected() *Expected { return &Expected{single: map[int64]int64{}} }

// Of returns the sum of the rows of a number. Unsure: only that of several numbers
// together is known.
func (e *Expected) Of(number int64) (sum int64, sure bool) {
	if sum, ok := e.single[number]; ok {
		return sum, true
	}
	s := e.spanOf(number)
	if s == nil {
		return 0, true
	}
	if s.sums == nil {
		return 0, false
	}
	return s.sums[number-s.first], true
}

// Set says what the sum of the rows of a number is.
func (e *Expected) Set(number, sum int64) {
	if _, single := e.single[number]; !single {
		if s := e.spanOf(number); s != nil && s.sums != nil {
			s.sums[number-s.first] = sum
			return
		}
	}
	e.single[number] = sum
}

// Left calls use with every number that has rows, in order.
func (e *Expected) Left(use func(number, sum int64)) {
	singles := slices.Sorted(maps.Keys(e.single))
	upTo := func(last int64) {
		for len(singles) > 0 && singles[0] <= last {
			if sum := e.single[singles[0]]; sum != 0 {
				use(singles[0], sum)
			}
			singles = singles[1:]
		}
	}
	for _, s := range e.spans {
		for i, sum := range s.sums {
			n := s.first + int64(i)
			upTo(n - 1)
			if _, single := e.single[n]; !single && sum != 0 {
				use(n, sum)
			}
		}
	}
	upTo(1<<63 - 1)
}

// spanOf returns the span that holds a number, nil when there is none.
func (e *Expected) spanOf(number int64) *span {
	at, found := slices.BinarySearchFunc(e.spans, number, func(s *span, n int64) int { return cmp.Compare(s.first, n) })
	if !found {
		at--
	}
	if at < 0 || e.spans[at].last < number {
		return nil
	}
	return e.spans[at]
}

// Take follows one version.
func (e *Expected) Take(v Version) {
	switch v.Event {
	case Withdrawn, Restored:
		e.takeRange(v)
	case Changed, Went:
		e.change(v)
	default:
		e.come(v)
	}
}

// change follows what one row became.
func (e *Expected) change(v Version) {
	now, sure := e.Of(v.First)
	if !sure {
		s := e.spanOf(v.First)
		s.want -= v.HashBefore
		now = v.HashBefore
	}
	e.Set(v.First, now-v.HashBefore+v.HashAfter)
}

// come follows rows that are there from now on.
func (e *Expected) come(v Version) {
	if v.First == v.Last {
		now, _ := e.Of(v.First)
		e.Set(v.First, now+v.HashAfter)
		return
	}
	if e.overlaps(v.First, v.Last) {
		e.comeAmong(v)
		return
	}
	s := &span{first: v.First, last: v.Last, sums: slices.Clone(v.Sums), want: v.HashAfter}
	at, _ := slices.BinarySearchFunc(e.spans, v.First, func(s *span, n int64) int { return cmp.Compare(s.first, n) })
	e.spans = slices.Insert(e.spans, at, s)
	if v.Sums == nil || len(e.single) == 0 {
		return
	}
	for i, sum := range v.Sums { // numbers that were had before
		n := v.First + int64(i)
		if now, ok := e.single[n]; ok {
			e.single[n] = now + sum
		}
	}
}

func (e *Expected) overlaps(first, last int64) bool {
	at, _ := slices.BinarySearchFunc(e.spans, first, func(s *span, n int64) int { return cmp.Compare(s.first, n) })
	return e.spanOf(first) != nil || at < len(e.spans) && e.spans[at].first <= last
}

// comeAmong follows rows whose numbers were given before.
func (e *Expected) comeAmong(v Version) {
	for i, sum := range v.Sums {
		n := v.First + int64(i)
		now, _ := e.Of(n)
		e.Set(n, now+sum)
	}
	if v.Sums != nil {
		return
	}
	all := &span{first: v.First, last: v.Last, want: v.HashAfter}
	e.spans = slices.DeleteFunc(e.spans, func(s *span) bool {
		if s.last < v.First || s.first > v.Last {
			return false
		}
		for _, sum := range s.sums {
			all.want += sum
		}
		if s.sums == nil {
			all.want += s.want
		}
		all.first, all.last = min(all.first, s.first), max(all.last, s.last)
		return true
	})
	at, _ := slices.BinarySearchFunc(e.spans, all.first, func(s *span, n int64) int { return cmp.Compare(s.first, n) })
	e.spans = slices.Insert(e.spans, at, all)
}

// takeRange follows a withdrawal of what was imported, or its opposite.
func (e *Expected) takeRange(v Version) {
	if v.First == v.Last {
		e.Set(v.First, v.HashAfter)
		return
	}
	for i, sum := range v.Sums {
		e.Set(v.First+int64(i), sum)
	}
	if v.Sums != nil {
		return
	}
	maps.DeleteFunc(e.single, func(n, _ int64) bool { return n >= v.First && n <= v.Last })
	if s := e.spanOf(v.First); s != nil {
		s.want, s.sums = v.HashAfter, nil
	}
}
