package versions

import (
	"context"

	"weirkeeper/storage/ledgerfile"
)

// Event is what an action did to rows.
type Event int

// The events; their numbers are stored in ledgers.
const (
	Came      Event = 1 // rows First to Last are new
	Changed   Event = 2 // one row is another one
	Went      Event = 3 // one row is not there any more
	Imported  Event = 4 // came; taken back, they stay, withdrawn
	Withdrawn Event = 5 // imported rows count no more
	Restored  Event = 6 // withdrawn imported rows count again
	Found     Event = 7 // a baseline states that rows First to Last were there
)

// Version is what an action did to a row, or to rows of following numbers. Of the
// rows of a table whose key has two columns, First and Last are those of the first
// column. What a row became is not kept beside it: it is the row itself, or what a
// later version says was before.
type Version struct {
	Action      int64
	Place       int    // among those of the action
	Entity      string // the table
	First, Last int64
	Event       Event
	Before      *string // [Table.Image] of the row; of Changed and Went
	HashBefore  int64   // sum of the rows before the action, and
	HashAfter   int64   // after it: see [Sum]
	Sums        []int64 // what HashAfter adds up, by number; of more than one number
}

// ChangedRow is the version of one row that became another one.
func ChangedRow(t *Table, before, after []any) Version {
	v := WentRow(t, before)
	var s Sum
	v.Event, v.HashAfter = Changed, s.Of(t, after)
	return v
}

// WentRow is the version of one row that is not there any more.
func WentRow(t *Table, before []any) Version {
	var s Sum
	image := t.Image(before)
	n := t.Number(before)
	return Version{Entity: t.Name, First: n, Last: n, Event: Went, Before: &image, HashBefore: s.Of(t, before)}
}

// List collects the versions of one action.
type List struct {
	All    []Version
	newest map[string]int // by table
}

// Add adds a version.
func (l *List) Add(v Version) {
	if l.newest == nil {
		l.newest = map[string]int{}
	}
	v.Place = len(l.All)
	l.newest[v.Entity] = v.Place
	l.All = append(l.All, v)
}

// Came adds a new row; rows of following numbers are one version.
func (l *List) Came(t *Table, number, sum int64) {
	if at, ok := l.newest[t.Name]; ok {
		v := &l.All[at]
		if v.Event == Came && (number == v.Last || number == v.Last+1) {
			v.append(number, sum)
			return
		}
	}
	l.Add(Version{Entity: t.Name, First: number, Last: number, Event: Came, HashAfter: sum, Sums: []int64{sum}})
}

// append adds a row to the newest ones of a version; numbers left out have none.
func (v *Version) append(number, sum int64) {
	for ; v.Last < number; v.Last++ {
		v.Sums = append(v.Sums, 0)
	}
	v.Sums[len(v.Sums)-1] += sum
	v.HashAfter += sum
}

// Ranged is the version of what became of rows of following numbers, which are added
// by Append.
func Ranged(entity string, first int64, event Event) Version {
	return Version{Entity: entity, First: first, Last: first, Event: event, Sums: make([]int64, 1)}
}

// Append adds what one of the rows was and what it became, in the order of their
// numbers.
func (v *Version) Append(number, before, after int64) {
	v.HashBefore += before
	v.append(number, after)
}

// Imported makes the rows of a table that came ones that are withdrawn when they
// are taken back.
func (l *List) Imported(table string) {
	if at, ok := l.newest[table]; ok {
		l.All[at].Event = Imported
	}
}

// Of reads what an action did, in its order.
func Of(ctx context.Context, db ledgerfile.Querier, action int64) ([]Version, error) {
	var all []Version
	err := each(ctx, db, "action_id = ?", []any{action}, func(v Version) error {
		all = append(all, v)
		return nil
	})
	return all, err
}

func each(ctx context.Context, db ledgerfile.Querier, where string, args []any, use func(Version) error) error {
	rows, err := db.QueryContext(ctx, `SELECT action_id, place, entity, first, last, change, before, hash_before, hash_after
		FROM versions WHERE `+where+" ORDER BY action_id, place", args...)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var v Version
		err := rows.Scan(&v.Action, &v.Place, &v.Entity, &v.First, &v.Last, &v.Event, &v.Before, &v.HashBefore, &v.HashAfter)
		if err != nil {
			return err
		}
		if err := use(v); err != nil {
			return err
		}
	}
	return rows.Err()
}
