package safekeeping

import (
	"bytes"
	"cmp"
	"context"
	"maps"
	"reflect"
	"slices"

	"weirkeeper/storage/pages"
	"weirkeeper/storage/versions"
)

// candidate is a row as it was read somewhere.
type candidate struct {
	row  []any
	cell pages.Cell // as it lies; without a payload: SQLite read it
	live bool       // it lies in a page in use, and not in one that was given back or replaced
}

// mostCandidates bounds the readings of one row.
const mostCandidates = 8

// candidates are the readings of rows by their keys.
type candidates map[string][]candidate

// add adds a reading of a row, unless there is an equal one that tells as much.
func (c candidates) add(key string, one candidate) {
	for i, old := range c[key] {
		if !reflect.DeepEqual(old.row, one.row) {
			continue
		}
		if old.cell.Payload == nil && one.live {
			c[key][i].cell = one.cell
		}
		return
	}
	if len(c[key]) == mostCandidates {
		return
	}
	one.cell.Payload = bytes.Clone(one.cell.Payload)
	one.row = slices.Clone(one.row)
	c[key] = append(c[key], one)
}

// account is what could be read of the account of a damaged ledger, and what it says
// that the tables hold.
type account struct {
	shapes   map[string]*shape
	rows     map[string]map[int64]candidates // of its tables, by the number of the action
	base     int64                           // the baseline; what came before is only rows of a table
	proved   map[string][][]any              // rows of actions from the baseline on
	expected map[string]*versions.Expected   // what is missing as yet; nil: there is none
	written  map[string]*versions.Expected   // all that there was
	whole    bool                            // every action since the baseline is there and proved
	cut      bool                            // a part of it was behind the end of the file
	repaired int
}

// readAccount reads the account by SQLite and, when that is not whole, page by page.
func (d *damaged) readAccount(ctx context.Context, lastKnown int64) (*account, error) {
	a := &account{shapes: d.shapes, rows: map[string]map[int64]candidates{}, cut: d.accountCut()}
	for _, name := range versions.TablesOfAccount() {
		a.rows[name] = map[int64]candidates{}
	}
	if d.shapes["versions"] == nil {
		return a, nil
	}
	for name := range a.rows {
		s := d.shapes[name]
		if s == nil {
			continue
		}
		if _, err := d.bySQL(ctx, s, func(row []any) error {
			a.add(s, candidate{row: row, live: true})
			return nil
		}); err != nil {
			return nil, err
		}
	}
	if a.build(lastKnown); a.whole {
		return a, nil
	}
	take := func(live bool) func(c pages.Cell) {
		return func(c pages.Cell) {
			for name := range a.rows {
				if s := d.shapes[name]; s != nil {
					if row, ok := s.row(c); ok {
						a.add(s, candidate{row, c, live})
					}
				}
			}
		}
	}
	for n := uint32(1); n <= d.pages.Pages() && ctx.Err() == nil; n++ {
		d.pages.Cells(n, d.pages.Page(n), take(!d.free[n]))
	}
	// What the account says does not change, so that an older page says it too.
	d.pages.Older(func(n uint32, page []byte) { d.pages.Cells(n, page, take(false)) })
	a.build(lastKnown)
	return a, ctx.Err()
}

func (a *account) add(s *shape, one candidate) {
	action := s.Number(one.row)
	if a.rows[s.Name][action] == nil {
		a.rows[s.Name][action] = candidates{}
	}
	a.rows[s.Name][action].add(keyOf(s.Table, one.row), one)
}

// build follows the account from its last baseline on. LastKnown is an action that is
// known to have been.
func (a *account) build(lastKnown int64) {
	ids := slices.Sorted(maps.Keys(a.rows["actions"]))
	ids = slices.DeleteFunc(ids, func(id int64) bool { return !a.live(id) })
	a.expected, a.proved, a.whole, a.repaired = nil, map[string][][]any{}, false, 0
	if len(ids) == 0 {
		return
	}
	a.expected, a.written = map[string]*versions.Expected{}, map[string]*versions.Expected{}
	for name := range a.shapes {
		a.expected[name], a.written[name] = versions.NewExpected(), versions.NewExpected()
	}
	last := ids[len(ids)-1]
	a.base = a.baseline(ids)
	first := max(a.base, 1)
	a.whole = last >= lastKnown && !a.cut
	for id := first; id <= last; {
		one := a.pick(id)
		a.whole = a.whole && one.proved
		if one.repaired {
			a.repaired++
		}
		for name, rows := range one.rows {
			a.proved[name] = append(a.proved[name], rows...)
		}
		for _, v := range one.versions {
			if v.Spans() && !v.Join(a.parts(v)) && a.shapes["row_sums"] != nil || v.Spans() && v.Sums == nil {
				a.whole = false
			}
			if e := a.expected[v.Entity]; e != nil && v.Last >= v.First {
				e.Take(v)
				a.written[v.Entity].Take(v)
			}
		}
		// The next that there is: a gap may be as wide as numbers are.
		at, found := slices.BinarySearch(ids, id+1)
		if !found {
			a.whole = a.whole && at == len(ids)
		}
		if at == len(ids) {
			break
		}
		id = ids[at]
	}
}

func (a *account) live(id int64) bool {
	for _, all := range a.rows["actions"][id] {
		if slices.ContainsFunc(all, func(c candidate) bool { return c.live }) {
			return true
		}
	}
	return false
}

// baseline returns the last baseline that is proved, else the last one.
func (a *account) baseline(ids []int64) (last int64) {
	for _, id := range slices.Backward(ids) {
		for _, c := range a.of("actions", id) {
			if versions.ActionOf(a.shapes["actions"].Table, c.row).Baseline != 1 {
				continue
			}
			if a.pick(id).proved {
				return id
			}
			last = max(last, id)
		}
	}
	return last
}

// of returns the readings of all rows of an action in a table.
func (a *account) of(table string, id int64) []candidate {
	var all []candidate
	for _, key := range slices.Sorted(maps.Keys(a.rows[table][id])) {
		all = append(all, a.rows[table][id][key]...)
	}
	return all
}

// parts are the sums of single rows of a version.
func (a *account) parts(v versions.Version) []versions.Part {
	var all []versions.Part
	for _, list := range a.rows["row_sums"][v.Action] {
		if p := versions.PartOf(a.shapes["row_sums"].Table, list[0].row); p.Place == v.Place {
			all = append(all, p)
		}
	}
	slices.SortFunc(all, func(a, b versions.Part) int { return cmp.Compare(a.First, b.First) })
	return all
}

// picked is an action with its versions, as they were read.
type picked struct {
	rows             map[string][][]any
	versions         []versions.Version
	proved, repaired bool
}

// pick chooses among the readings of an action and of its versions those that its hash
// proves; one bit that is wrong in one of them is put right.
func (a *account) pick(id int64) picked {
	actions := a.of("actions", id)
	if len(actions) == 0 {
		return picked{}
	}
	table := a.shapes["versions"].Table
	var lists [][]candidate
	for _, list := range a.rows["versions"][id] {
		lists = append(lists, list)
	}
	slices.SortFunc(lists, func(x, y []candidate) int {
		return cmp.Compare(versions.VersionOf(table, x[0].row).Place, versions.VersionOf(table, y[0].row).Place)
	})
	p := proving{a: a, before: a.hashesBefore(id)}
	p.choose(actions[0].row)
	for i, list := range lists {
		p.rows, p.versions = append(p.rows, nil), append(p.versions, versions.Version{})
		p.chooseVersion(i, list[0].row)
	}
	p.search(actions, lists)
	return picked{map[string][][]any{"actions": {p.row}, "versions": p.rows}, p.versions, p.proved, p.repaired}
}

// hashesBefore are what the hash of the action before may be.
func (a *account) hashesBefore(id int64) []int64 {
	if id == 1 {
		return []int64{0}
	}
	var all []int64
	for _, c := range a.of("actions", id-1) {
		all = append(all, versions.ActionOf(a.shapes["actions"].Table, c.row).Hash)
	}
	return all
}

// proving is a choice of rows that may prove an action.
type proving struct {
	a                *account
	before           []int64
	row              []any
	action           versions.Action
	rows             [][]any
	versions         []versions.Version
	proved, repaired bool
}

func (p *proving) choose(row []any) {
	p.row, p.action = row, versions.ActionOf(p.a.shapes["actions"].Table, row)
}

func (p *proving) chooseVersion(i int, row []any) {
	p.rows[i], p.versions[i] = row, versions.VersionOf(p.a.shapes["versions"].Table, row)
}

// holds tells whether the choice is proved.
func (p *proving) holds() bool {
	return slices.ContainsFunc(p.before, func(hash int64) bool { return p.action.Proved(hash, p.versions) })
}

// mostTried bounds the versions of an action whose bits are tried.
const mostTried = 60

// search tries the readings of each row in turn, beside the first of the others, and
// then, when no version is missing, each of them with one bit changed.
func (p *proving) search(actions []candidate, lists [][]candidate) {
	if p.try(p.a.shapes["actions"], p.row, p.choose, actions, false) {
		return
	}
	if len(p.before) == 0 {
		return // nothing can prove it
	}
	each := func(flipped bool) bool {
		for i, list := range lists {
			if p.try(p.a.shapes["versions"], p.rows[i], func(row []any) { p.chooseVersion(i, row) }, list, flipped) {
				return true
			}
		}
		return false
	}
	if each(false) || len(lists) > mostTried {
		return
	}
	for i, v := range p.versions {
		if v.Place != i {
			return
		}
	}
	if !p.try(p.a.shapes["actions"], p.row, p.choose, actions, true) {
		each(true)
	}
}

// try chooses one row after another until the choice is proved, else the first again.
func (p *proving) try(s *shape, first []any, choose func(row []any), list []candidate, flipped bool) bool {
	for _, c := range list {
		if !flipped {
			choose(c.row)
			p.proved = p.holds()
		} else if flips(s, c, func(row []any) bool {
			choose(row)
			return p.holds()
		}) != nil {
			p.proved, p.repaired = true, true
		}
		if p.proved {
			return true
		}
	}
	choose(first)
	return false
}
