package storage

import (
	"context"

	"weirkeeper/assets/words"
	"weirkeeper/tanks"
)

type correctionRow struct {
	ID              int64 `gorm:"primaryKey"`
	MethodID        int64
	FromAt, UntilAt int64
	Factor, Shift   float64
	Reason, Person  string
	Status          int
}

func (correctionRow) TableName() string { return "corrections" }

// Corrections returns the dated corrections of every method, withdrawn ones
// too, in order of their beginning.
func (s *Store) Corrections(ctx context.Context) ([]tanks.Correction, error) {
	var rows []correctionRow
	if err := s.read.WithContext(ctx).Order("from_at, id").Find(&rows).Error; err != nil {
		return nil, words.Errorf("reading the corrections: %w", err)
	}
	out := make([]tanks.Correction, len(rows))
	for i, r := range rows {
		out[i] = tanks.Correction{
			ID: tanks.CorrectionID(r.ID), Method: tanks.MethodID(r.MethodID), From: instant(r.FromAt), Until: instant(r.UntilAt),
			Factor: r.Factor, Shift: r.Shift, Reason: r.Reason, Person: r.Person, Status: tanks.Status(r.Status),
		}
	}
	return out, nil
}

// SaveCorrection writes a correction; a new one (ID 0) gets its ID. Two of one
// method may not act at once: that is a tanks.Fault of "from".
func (s *Store) SaveCorrection(ctx context.Context, c *tanks.Correction) error {
	if err := c.Validate(); err != nil {
		return err
	}
	row := correctionRow{
		ID: int64(c.ID), MethodID: int64(c.Method), FromAt: stamp(c.From), UntilAt: stamp(c.Until), Factor: c.Factor, Shift: c.Shift,
		Reason: c.Reason, Person: c.Person, Status: int(c.Status),
	}
	err := s.act(ctx, "saving the correction", of(KindMethod), func(tx *act) error {
		var clash int64
		err := tx.Model(
			&correctionRow{},
		).Where(
			"method_id = ? AND id <> ? AND status = 0 AND ? = 0 AND (until_at = 0 OR until_at > ?) AND (? = 0 OR from_at < ?)",
			row.MethodID,
			row.ID,
			row.Status,
			row.FromAt,
			row.UntilAt,
			row.UntilAt,
		).Count(
			&clash,
		).Error
		if err != nil {
			return err
		}
		if clash > 0 {
			return tanks.Fault{Field: "from", Problem: "Another correction of the method acts in this time", Remedy: "end that one first"}
		}
		return tx.put(&row, row.ID)
	})
	if err == nil {
		c.ID = tanks.CorrectionID(row.ID)
	}
	return err
}

// WithdrawCorrection makes a correction act no more; it stays in the record.
func (s *Store) WithdrawCorrection(ctx context.Context, id tanks.CorrectionID, reason, person string) error {
	return s.withdraw(ctx, withdrawal{entity: "correction", table: "corrections", kind: KindMethod}, int64(id), reason, person)
}

type standardRow struct {
	ID                                   int64 `gorm:"primaryKey"`
	MethodID, CheckedAt                  int64
	Standard                             string
	Expected, ExpectedUncertainty, Found float64
	Person, Note                         string
	Status                               int
}

func (standardRow) TableName() string { return "standard_checks" }

// StandardChecks returns the checks of a method on standards, withdrawn ones
// too, in order of time.
func (s *Store) StandardChecks(ctx context.Context, id tanks.MethodID) ([]tanks.StandardCheck, error) {
	var rows []standardRow
	if err := s.read.WithContext(ctx).Where("method_id = ?", int64(id)).Order("checked_at, id").Find(&rows).Error; err != nil {
		return nil, words.Errorf("reading the checks on standards: %w", err)
	}
	out := make([]tanks.StandardCheck, len(rows))
	for i, r := range rows {
		out[i] = tanks.StandardCheck{
			ID: tanks.StandardCheckID(
				r.ID,
			), Method: tanks.MethodID(r.MethodID), At: instant(r.CheckedAt), Standard: r.Standard, Expected: r.Expected,
			ExpectedUncertainty: r.ExpectedUncertainty, Found: r.Found, Person: r.Person, Note: r.Note, Status: tanks.Status(r.Status),
		}
	}
	return out, nil
}

// SaveStandardCheck records a check of a method on a standard; it gets its ID.
func (s *Store) SaveStandardCheck(ctx context.Context, c *tanks.StandardCheck) error {
	if err := c.Validate(s.clock()); err != nil {
		return err
	}
	row := standardRow{
		MethodID: int64(
			c.Method,
		), CheckedAt: stamp(c.At), Standard: c.Standard, Expected: c.Expected, ExpectedUncertainty: c.ExpectedUncertainty,
		Found: c.Found, Person: c.Person, Note: c.Note, Status: int(c.Status),
	}
	err := s.act(ctx, "saving the check on a standard", of(KindMethod), func(tx *act) error { return tx.insert(&row) })
	if err == nil {
		c.ID = tanks.StandardCheckID(row.ID)
	}
	return err
}

// WithdrawStandardCheck makes a check count no more; it stays in the record.
func (s *Store) WithdrawStandardCheck(ctx context.Context, id tanks.StandardCheckID, reason, person string) error {
	return s.withdraw(ctx, withdrawal{entity: "check on a standard", table: "standard_checks", kind: KindMethod}, int64(id), reason, person)
}
