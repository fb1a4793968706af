package storage

import (
	"context"
	"slices"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

type additionRow struct {
	ID        int64 `gorm:"primaryKey"`
	SystemID  int64
	ProductID int64
	GivenAt   int64
	Amount    float64
	DoseID    *int64
	Person    string
	Note      string
	Status    int
}

func (additionRow) TableName() string { return "additions" }

type deltaRow struct {
	AdditionID int64
	AnalyteID  int
	Change     float64
}

func (deltaRow) TableName() string { return "addition_changes" }

// SaveAddition records something put into a system; it gets its ID and its
// Changes, computed from the net volume and the product as they are now, and
// the stock goes down by the amount, to zero at the least.
func (s *Store) SaveAddition(ctx context.Context, a *tanks.Addition) error {
	if err := a.Validate(s.clock()); err != nil {
		return err
	}
	saved := *a
	err := s.act(
		ctx,
		"saving the addition",
		Touched{Kinds: []Kind{KindAddition, KindProduct}, Systems: []tanks.SystemID{a.System}},
		func(tx *act) error {
			return add(tx, &saved)
		},
	)
	if err == nil {
		*a = saved
	}
	return err
}

// RecordAdditions writes additions whose Changes are known already, such as
// those of a generated or imported history; the stock stays.
func (s *Store) RecordAdditions(ctx context.Context, all []tanks.Addition) error {
	var systems []tanks.SystemID
	for n, a := range all {
		if err := a.Validate(s.clock()); err != nil {
			return words.Errorf("addition %d: %w", n, err)
		}
		if !slices.Contains(systems, a.System) {
			systems = append(systems, a.System)
		}
	}
	saved := slices.Clone(all)
	err := s.act(ctx, "saving the additions", of(KindAddition, systems...), func(tx *act) error {
		for i := range saved {
			if err := insertAddition(tx, &saved[i]); err != nil {
				return err
			}
		}
		return nil
	})
	if err == nil {
		copy(all, saved)
	}
	return err
}

func add(tx *act, a *tanks.Addition) error {
	sys, err := system(tx.DB, a.System)
	if err != nil {
		return err
	}
	p, err := product(tx.DB, a.Product)
	if err != nil {
		return err
	}
	volume := sys.NetVolume()
	if !volume.Known() {
		return tanks.Fault{
			Field:   "system",
			Problem: words.T("The net volume of %s is not known", sys.Code),
			Remedy:  "give its dimensions or its volume in Setup first",
		}
	}
	effects, err := p.Contents.Effects()
	if err != nil {
		return words.Errorf("what %s contains: %w", p.Name, err)
	}
	if a.Changes, err = changesOf(effects, a.Amount, volume.Litres); err != nil {
		return words.Errorf("what %s does to %s: %w", p.Name, sys.Code, err)
	}
	if err := insertAddition(tx, a); err != nil {
		return err
	}
	return takeFromStock(tx, *a)
}

// changesOf lists the changes of concentration in the order of the analytes.
func changesOf(effects chem.Effects, amount, litres float64) ([]tanks.Delta, error) {
	out := make([]tanks.Delta, 0, len(effects))
	for a, effect := range effects {
		change, err := chem.Delta(effect, amount, litres)
		if err != nil {
			return nil, err
		}
		out = append(out, tanks.Delta{Analyte: a, Change: change})
	}
	slices.SortFunc(out, func(x, y tanks.Delta) int { return int(x.Analyte - y.Analyte) })
	return out, nil
}

func insertAddition(tx *act, a *tanks.Addition) error {
	row := additionRow{
		SystemID: int64(a.System), ProductID: int64(a.Product), GivenAt: stamp(a.At), Amount: a.Amount, DoseID: reference(a.Dose),
		Person: a.Person, Note: a.Note, Status: int(a.Status),
	}
	if err := tx.insert(&row); err != nil {
		return err
	}
	a.ID = tanks.AdditionID(row.ID)
	for _, d := range a.Changes {
		if err := tx.insert(&deltaRow{AdditionID: row.ID, AnalyteID: int(d.Analyte), Change: d.Change}); err != nil {
			return err
		}
	}
	return nil
}

// Additions returns what was put into a system, withdrawn entries too, in
// order of time.
func (s *Store) Additions(ctx context.Context, id tanks.SystemID, from, to time.Time) ([]tanks.Addition, error) {
	low, high := bounds(from, to)
	db := s.read.WithContext(ctx)
	var rows []additionRow
	if err := db.Where("system_id = ? AND given_at BETWEEN ? AND ?", int64(id), low,
		high).Order("given_at, id").Find(&rows).Error; err != nil {
		return nil, words.Errorf("reading the additions: %w", err)
	}
	var deltas []deltaRow
	err := db.Raw(
		"SELECT c.* FROM additions a JOIN addition_changes c ON c.addition_id = a.id WHERE a.system_id = ? AND a.given_at BETWEEN ? AND "+
			"? ORDER BY c.addition_id, c.analyte_id",
		int64(id),
		low,
		high,
	).Scan(
		&deltas,
	).Error
	if err != nil {
		return nil, words.Errorf("reading what the additions changed: %w", err)
	}
	changes := map[int64][]tanks.Delta{}
	for _, d := range deltas {
		changes[d.AdditionID] = append(changes[d.AdditionID], tanks.Delta{Analyte: chem.Analyte(d.AnalyteID), Change: d.Change})
	}
	out := make([]tanks.Addition, len(rows))
	for i, r := range rows {
		out[i] = tanks.Addition{
			ID: tanks.AdditionID(r.ID), System: tanks.SystemID(r.SystemID), Product: tanks.ProductID(r.ProductID), At: instant(r.GivenAt),
			Amount: r.Amount, Changes: changes[r.ID], Dose: referred[tanks.DoseID](r.DoseID), Person: r.Person, Note: r.Note, Status: tanks.Status(r.Status),
		}
	}
	return out, nil
}

// WithdrawAddition makes an addition count no more; it stays in the record, and
// what it took from the stock is there again.
func (s *Store) WithdrawAddition(ctx context.Context, id tanks.AdditionID, reason, person string) error {
	return s.withdraw(
		ctx,
		withdrawal{entity: "addition", table: "additions", kind: KindAddition, then: func(tx *act, _ map[string]any) error {
			return returnToStock(tx, id, s.clock(), person)
		}},
		int64(id),
		reason,
		person,
	)
}
