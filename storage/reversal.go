package storage

import (
	"slices"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/storage/versions"
	"weirkeeper/tanks"
)

// reversal takes the versions of one action back, inside another one.
type reversal struct {
	*act
	touched   map[tanks.Cell]bool // whose readings change
	change    Touched
	wholeRoom bool
}

// reverse takes back what an action did, the last change first, and tells what
// that changes.
func (s *Store) reverse(a *act, action int64, reason words.Text) (Touched, error) {
	all, err := versions.Of(a.ctx, a.pool, action)
	if err != nil {
		return Touched{}, err
	}
	if _, err := a.pool.ExecContext(a.ctx, "PRAGMA defer_foreign_keys = ON"); err != nil {
		return Touched{}, err
	}
	if err := s.account(a, all, reason); err != nil {
		return Touched{}, err
	}
	r := reversal{act: a, touched: map[tanks.Cell]bool{}}
	for _, v := range slices.Backward(all) {
		if err := r.one(v); err != nil {
			return Touched{}, err
		}
	}
	if r.wholeRoom {
		r.change.Systems = nil
	}
	return r.change, recompute(a, r.touched)
}

// one takes one version back. The account of what was done stays.
func (r *reversal) one(v versions.Version) error {
	if v.Entity == "amendments" {
		return nil
	}
	t := r.tables[v.Entity]
	if k := kinds[v.Entity]; !r.change.Has(k) {
		r.change.Kinds = append(r.change.Kinds, k)
	}
	switch v.Event {
	case versions.Came:
		return r.takeAway(t, v)
	case versions.Changed:
		return r.changeBack(t, v)
	case versions.Went:
		return r.bringBack(t, v)
	case versions.Imported, versions.Restored:
		return r.count(t, v, versions.Withdrawn, tanks.Withdrawn)
	}
	return r.count(t, v, versions.Restored, tanks.Live)
}

func (r *reversal) takeAway(t *versions.Table, v versions.Version) error {
	rows, err := t.Rows(r.ctx, r.pool, t.First()+" BETWEEN ? AND ?", v.First, v.Last)
	if err != nil {
		return err
	}
	var sum int64
	for _, row := range rows {
		sum += r.sum.Of(t, row)
	}
	if sum != v.HashAfter {
		return r.unlessTyped(v)
	}
	for _, row := range rows {
		r.saw(t, row)
		if err := r.removeRow(t, row); err != nil {
			return err
		}
	}
	return nil
}

// unlessTyped is the refusal of what was changed since; what is being typed wins
// over what is taken back, and stays.
func (r *reversal) unlessTyped(v versions.Version) error {
	if v.Entity == draftsTable {
		return nil
	}
	return &changedSince{v}
}

func (r *reversal) changeBack(t *versions.Table, v versions.Version) error {
	before, err := t.Row(*v.Before)
	if err != nil {
		return err
	}
	now, err := t.Rows(r.ctx, r.pool, t.First()+" = ?", v.First)
	if err != nil {
		return err
	}
	if len(now) != 1 || r.sum.Of(t, now[0]) != v.HashAfter {
		return &changedSince{v}
	}
	r.saw(t, now[0])
	r.saw(t, before)
	return r.replaceRow(t, now[0], before)
}

func (r *reversal) bringBack(t *versions.Table, v versions.Version) error {
	before, err := t.Row(*v.Before)
	if err != nil {
		return err
	}
	where, args := t.SameRow(before)
	if t.Name == draftsTable {
		where, args = where+" OR name = ?", append(args, before[t.At("name")])
	}
	now, err := t.Rows(r.ctx, r.pool, where, args...)
	if err != nil {
		return err
	}
	if len(now) > 0 {
		return r.unlessTyped(v)
	}
	r.saw(t, before)
	return r.insertRow(t, before)
}

// count makes the readings of an import count no more, or again.
func (r *reversal) count(t *versions.Table, v versions.Version, as versions.Event, status tanks.Status) error {
	at := t.At("status")
	out := versions.Ranged(v.Entity, v.First, as)
	err := t.Each(r.ctx, r.pool, t.First()+" BETWEEN ? AND ?", []any{v.First, v.Last}, func(row []any) error {
		r.saw(t, row)
		before := r.sum.Of(t, row)
		row[at] = int64(status)
		out.Append(t.Number(row), before, r.sum.Of(t, row))
		return nil
	})
	if err != nil {
		return err
	}
	if out.HashBefore != v.HashAfter || out.Last != v.Last {
		return &changedSince{v}
	}
	if _, err := r.exec("UPDATE readings SET status = ? WHERE id BETWEEN ? AND ?", int(status), v.First, v.Last); err != nil {
		return err
	}
	r.versions.Add(out)
	return nil
}

// saw notes what a row that comes, changes or goes concerns.
func (r *reversal) saw(t *versions.Table, row []any) {
	of := []int{t.At("system_id"), t.At("to_system_id")}
	if t.Name == "systems" {
		of[0] = 0
	}
	for n, at := range of {
		if at < 0 {
			continue
		}
		id, ok := row[at].(int64)
		if !ok && n == 0 {
			r.wholeRoom = true
		}
		if ok && !slices.Contains(r.change.Systems, tanks.SystemID(id)) {
			r.change.Systems = append(r.change.Systems, tanks.SystemID(id))
		}
	}
	if t.Name == "readings" {
		analyte, _ := row[t.At("analyte_id")].(int64)
		system, _ := row[t.At("system_id")].(int64)
		r.touched[tanks.Cell{System: tanks.SystemID(system), Analyte: chem.Analyte(analyte)}] = true
	}
}

// entries are the tables of the room's record, by the word that an amendment
// calls them by: what is taken back of them is written down.
var entries = map[string]string{
	"readings": "reading", "additions": "addition", "water_changes": "water change", "observations": "note", "photos": "photo",
	"lot_events": "livestock event", "calibrations": "calibration", "corrections": "correction", "standard_checks": "check on a standard",
}

// account keeps the entries that are about to go or change. An import, whose
// readings are only withdrawn, is kept as a whole.
func (s *Store) account(a *act, all []versions.Version, reason words.Text) error {
	type entry struct {
		table string
		id    int64
	}
	goes := map[entry]bool{} // by what was done to it first
	var order []entry
	for _, v := range all {
		if _, ok := entries[v.Entity]; !ok {
			continue
		}
		if v.Event >= versions.Imported {
			if err := s.accountRange(a, v, reason); err != nil {
				return err
			}
			continue
		}
		for id := v.First; id <= v.Last; id++ {
			e := entry{v.Entity, id}
			if _, seen := goes[e]; !seen {
				goes[e] = v.Event == versions.Came
				order = append(order, e)
			}
		}
	}
	for _, e := range slices.Backward(order) {
		system, row, err := entryNow(a, e.table, e.id)
		if err != nil {
			return err
		}
		if row == nil {
			continue
		}
		id := e.id
		if goes[e] {
			id = 0 // its number may be given again
		}
		if err := s.remember(a, entries[e.table], id, system, reason, s.by.Person, row); err != nil {
			return err
		}
	}
	return nil
}

// entryNow returns an entry as it stands, nil when it is not there, and the
// system that it belongs to.
func entryNow(tx *act, table string, id int64) (system int64, entry any, err error) {
	if table == "readings" {
		var row readingRow
		if err := tx.Limit(1).Find(&row, id).Error; err != nil || row.ID == 0 {
			return 0, nil, err
		}
		return row.SystemID, row.reading(), nil
	}
	var row map[string]any
	if err := tx.Table(table).Where("id = ?", id).Limit(1).Find(&row).Error; err != nil || len(row) == 0 {
		return 0, nil, err
	}
	system, _ = row["system_id"].(int64)
	return system, row, nil
}

// accountRange writes down for each system how many readings of an import
// change.
func (s *Store) accountRange(a *act, v versions.Version, reason words.Text) error {
	var counts []struct {
		SystemID int64
		Readings int
	}
	err := a.Raw("SELECT system_id, count(*) AS readings FROM readings WHERE id BETWEEN ? AND ? GROUP BY system_id",
		v.First, v.Last).Scan(&counts).Error
	if err != nil {
		return err
	}
	for _, c := range counts {
		held := map[string]any{"first": v.First, "last": v.Last, "readings": c.Readings}
		if err := s.remember(a, "import", v.First, c.SystemID, reason, s.by.Person, held); err != nil {
			return err
		}
	}
	return nil
}
