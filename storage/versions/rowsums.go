package versions

import (
	"context"
	"encoding/binary"
	"fmt"
	"slices"

	"weirkeeper/storage/ledgerfile"
)

// sumsTable holds the sums of single rows, see the migration that makes it. What it
// says is proved by the versions, whose sums they add up to.
const sumsTable = "row_sums"

// mostSums is how many sums one row of the table holds, so that it fits on a page.
const mostSums = 100

// Part is a row of the sums of single rows: those of some numbers of a version.
type Part struct {
	Action int64
	Place  int
	First  int64
	Sums   []byte
}

// split cuts the sums of a version into parts.
func (v *Version) split(action int64) []Part {
	var all []Part
	for part := range slices.Chunk(v.Sums, mostSums) {
		p := Part{Action: action, Place: v.Place, First: v.First + int64(len(all)*mostSums)}
		for _, s := range part {
			p.Sums = binary.LittleEndian.AppendUint64(p.Sums, uint64(s))
		}
		all = append(all, p)
	}
	return all
}

// Spans tells whether a version is one of several rows, whose sums stand apart.
func (v *Version) Spans() bool {
	return v.Last > v.First && v.Event != Changed && v.Event != Went
}

// Join gives a version the sums of its single rows, of its parts in their order, when
// there is one of each, and tells whether they are right: what they add up to is its
// own sum.
func (v *Version) Join(parts []Part) bool {
	sums := make([]int64, 0, len(parts)*mostSums)
	var total int64
	for _, p := range parts {
		if p.First != v.First+int64(len(sums)) || len(p.Sums)%8 != 0 {
			return false
		}
		for b := p.Sums; len(b) > 0; b = b[8:] {
			sums = append(sums, int64(binary.LittleEndian.Uint64(b)))
			total += sums[len(sums)-1]
		}
	}
	if int64(len(sums)) != v.Last-v.First+1 {
		return false
	}
	v.Sums = sums
	return total == v.HashAfter
}

// partReader reads the sums of single rows beside the versions that they belong to,
// both in the order of actions and places.
type partReader struct {
	all    []Part
	faults []string
}

func readParts(ctx context.Context, db ledgerfile.Querier) (*partReader, error) {
	rows, err := db.QueryContext(ctx, "SELECT action_id, place, first, sums FROM row_sums ORDER BY action_id, place, first")
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	r := &partReader{}
	for rows.Next() {
		var p Part
		if err := rows.Scan(&p.Action, &p.Place, &p.First, &p.Sums); err != nil {
			return nil, err
		}
		r.all = append(r.all, p)
	}
	return r, rows.Err()
}

// before tells a part that comes before those of a version.
func (p Part) before(action int64, v Version) bool {
	return p.Action < action || p.Action == action && p.Place < v.Place
}

// of takes the parts of a version off the front and joins them to it.
func (r *partReader) of(action int64, v *Version) {
	for len(r.all) > 0 && r.all[0].before(action, *v) {
		r.fault("sums of single rows that belong to nothing", r.all[0].Action)
		r.all = r.all[1:]
	}
	n := 0
	for n < len(r.all) && r.all[n].Action == action && r.all[n].Place == v.Place {
		n++
	}
	if v.Spans() && !v.Join(r.all[:n]) || !v.Spans() && n > 0 {
		r.fault(fmt.Sprintf("the sums of the single rows %d to %d of %s have changed", v.First, v.Last, v.Entity), action)
	}
	r.all = r.all[n:]
}

// end finds what is left over.
func (r *partReader) end() []string {
	if len(r.all) > 0 {
		r.fault("sums of single rows that belong to nothing", r.all[0].Action)
	}
	return r.faults
}

func (r *partReader) fault(what string, action int64) {
	if len(r.faults) < ledgerfile.MostFaults {
		r.faults = append(r.faults, fmt.Sprintf("in the account of action %d: %s", action, what))
	}
}
