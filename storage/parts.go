package storage

import "slices"

// How many values are read into one piece of memory.
const (
	leastPart = 16
	mostPart  = 512
)

// parts gathers values of which nobody knows how many there are: piece by piece,
// since a list that grows is copied again and again and leaves as much behind as it
// holds. The zero value is ready.
type parts[T any] struct {
	full [][]T
	last []T
}

func (p *parts[T]) add(value T) {
	if len(p.last) == cap(p.last) {
		if p.last != nil {
			p.full = append(p.full, p.last)
		}
		p.last = make([]T, 0, min(max(2*cap(p.last), leastPart), mostPart))
	}
	p.last = append(p.last, value)
}

// all returns the values in one list that is as long as it must be, nil of none.
func (p *parts[T]) all() []T { return slices.Concat(append(p.full, p.last)...) }
