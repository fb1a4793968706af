package storage

import (
	"context"
	"fmt"
	"strings"
	"time"

	"gorm.io/gorm"

	"weirkeeper/chem"
	"weirkeeper/tanks"
)

type readingRow struct {
	ID        int64 `gorm:"primaryKey"`
	SystemID  int64
	AnalyteID int
	TakenAt   int64
	Value     float64
	Bound     int
	Status    int
	Typed     string
	Unit      string
	MethodID  *int64
	SampleID  *int64
	Person    string
	Note      string
	EnteredAt int64
}

func (readingRow) TableName() string { return "readings" }

func (r readingRow) reading() tanks.Reading {
	return tanks.Reading{
		ID: tanks.ReadingID(r.ID), System: tanks.SystemID(r.SystemID), Analyte: chem.Analyte(r.AnalyteID), At: instant(r.TakenAt),
		Value: r.Value, Limit: tanks.Limit(r.Bound), Typed: r.Typed, Unit: chem.Unit(r.Unit), Method: referred[tanks.MethodID](r.MethodID),
		Sample: referred[tanks.SampleID](r.SampleID), Person: r.Person, Note: r.Note, Status: tanks.Status(r.Status), Entered: instant(r.EnteredAt),
	}
}

func rowOfReading(r tanks.Reading) readingRow {
	return readingRow{
		ID: int64(r.ID), SystemID: int64(r.System), AnalyteID: int(r.Analyte), TakenAt: stamp(r.At), Value: r.Value, Bound: int(r.Limit),
		Status: int(r.Status), Typed: r.Typed, Unit: string(r.Unit), MethodID: reference(r.Method), SampleID: reference(r.Sample),
		Person: r.Person, Note: r.Note, EnteredAt: stamp(r.Entered),
	}
}

func toReadings(rows []readingRow) []tanks.Reading {
	out := make([]tanks.Reading, len(rows))
	for i, r := range rows {
		out[i] = r.reading()
	}
	return out
}

// SaveReadings writes readings, all or none, and returns their IDs in order.
// Faults of the n-th have the field prefixed "readings.n.".
func (s *Store) SaveReadings(ctx context.Context, readings []tanks.Reading) ([]tanks.ReadingID, error) {
	return s.saveReadings(ctx, readings, "")
}

// SaveSheet writes readings and drops the draft they were typed on, in one
// transaction.
func (s *Store) SaveSheet(ctx context.Context, readings []tanks.Reading, draft string) ([]tanks.ReadingID, error) {
	return s.saveReadings(ctx, readings, draft)
}

func (s *Store) saveReadings(ctx context.Context, readings []tanks.Reading, draft string) ([]tanks.ReadingID, error) {
	now := s.clock()
	if err := checkReadings(readings, now); err != nil {
		return nil, err
	}
	var ids []tanks.ReadingID
	err := s.act(ctx, "saving the readings", of(KindReading, systemsOf(readings)...), func(tx *gorm.DB) (err error) {
		if ids, err = insertReadings(tx, readings, now); err != nil {
			return err
		}
		if draft != "" {
			return dropDraft(tx, draft)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return ids, nil
}

func checkReadings(readings []tanks.Reading, now time.Time) error {
	var all tanks.Faults
	for n, r := range readings {
		for _, f := range tanks.FaultsOf(r.Validate(now)) {
			f.Field = fmt.Sprintf("readings.%d.%s", n, f.Field)
			all = append(all, f)
		}
	}
	return all.Err()
}

func systemsOf(readings []tanks.Reading) []tanks.SystemID {
	seen := map[tanks.SystemID]bool{}
	var out []tanks.SystemID
	for _, r := range readings {
		if !seen[r.System] {
			seen[r.System] = true
			out = append(out, r.System)
		}
	}
	return out
}

// insertReadings writes rows through one prepared statement and brings latest
// up to date.
func insertReadings(tx *gorm.DB, readings []tanks.Reading, now time.Time) ([]tanks.ReadingID, error) {
	insert, err := tx.Statement.ConnPool.PrepareContext(tx.Statement.Context,
		"INSERT INTO readings (system_id, analyte_id, taken_at, value, bound, status, typed, unit, method_id, sample_id, person, note, entered_at) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)")
	if err != nil {
		return nil, err
	}
	defer insert.Close()
	ids := make([]tanks.ReadingID, 0, len(readings))
	touched := map[pair]bool{}
	for _, r := range readings {
		if r.Entered.IsZero() {
			r.Entered = now
		}
		row := rowOfReading(r)
		result, err := insert.ExecContext(tx.Statement.Context, row.SystemID, row.AnalyteID, row.TakenAt, row.Value, row.Bound, row.Status,
			row.Typed, row.Unit, row.MethodID, row.SampleID, row.Person, row.Note, row.EnteredAt)
		if err != nil {
			return nil, err
		}
		id, err := result.LastInsertId()
		if err != nil {
			return nil, err
		}
		ids = append(ids, tanks.ReadingID(id))
		touched[pair{row.SystemID, row.AnalyteID}] = true
	}
	return ids, recompute(tx, touched)
}

// Series returns the live readings of one analyte of one system from from to
// to, both included, in order of time. A zero time leaves its end open.
func (s *Store) Series(ctx context.Context, id tanks.SystemID, a chem.Analyte, from, to time.Time) ([]tanks.Reading, error) {
	low, high := bounds(from, to)
	var rows []readingRow
	err := s.read.WithContext(ctx).Raw("SELECT * FROM readings WHERE system_id = ? AND analyte_id = ? AND taken_at BETWEEN ? AND ? AND status = 0 ORDER BY taken_at, id",
		int64(id), int(a), low, high).Scan(&rows).Error
	if err != nil {
		return nil, fmt.Errorf("reading a series: %w", err)
	}
	return toReadings(rows), nil
}

// ReadingsOf returns all readings of a system, withdrawn ones too, in order of
// time.
func (s *Store) ReadingsOf(ctx context.Context, id tanks.SystemID, from, to time.Time) ([]tanks.Reading, error) {
	low, high := bounds(from, to)
	var rows []readingRow
	if err := s.read.WithContext(ctx).Where("system_id = ? AND taken_at BETWEEN ? AND ?", int64(id), low, high).Order("taken_at, id").Find(&rows).Error; err != nil {
		return nil, fmt.Errorf("reading the values: %w", err)
	}
	return toReadings(rows), nil
}

// ReadingsOfSample returns the live results of a lab sample.
func (s *Store) ReadingsOfSample(ctx context.Context, id tanks.SampleID) ([]tanks.Reading, error) {
	var rows []readingRow
	if err := s.read.WithContext(ctx).Where("sample_id = ? AND status = 0", int64(id)).Order("analyte_id, id").Find(&rows).Error; err != nil {
		return nil, fmt.Errorf("reading the sample's results: %w", err)
	}
	return toReadings(rows), nil
}

// AmendReading replaces what a reading says; what stood there before stays in
// the amendments with the reason.
func (s *Store) AmendReading(ctx context.Context, id tanks.ReadingID, r tanks.Reading, reason, person string) error {
	now := s.clock()
	if err := r.Validate(now); err != nil {
		return err
	}
	return s.changeReadings(ctx, "correcting the reading", []tanks.ReadingID{id}, reason, person, func(row *readingRow) {
		entered := row.EnteredAt
		*row = rowOfReading(r)
		row.ID, row.EnteredAt = int64(id), entered
	})
}

// WithdrawReading makes a reading count no more; it stays in the record.
func (s *Store) WithdrawReading(ctx context.Context, id tanks.ReadingID, reason, person string) error {
	return s.WithdrawReadings(ctx, []tanks.ReadingID{id}, reason, person)
}

// WithdrawReadings withdraws several, all or none.
func (s *Store) WithdrawReadings(ctx context.Context, ids []tanks.ReadingID, reason, person string) error {
	return s.changeReadings(ctx, "withdrawing the readings", ids, reason, person, func(row *readingRow) { row.Status = int(tanks.Withdrawn) })
}

func (s *Store) changeReadings(ctx context.Context, doing string, ids []tanks.ReadingID, reason, person string, change func(*readingRow)) error {
	if strings.TrimSpace(reason) == "" {
		return tanks.Fault{Field: "reason", Problem: "The record needs a reason", Remedy: "say in a word or two what was wrong"}
	}
	notice := of(KindReading)
	err := s.write.WithContext(ctx).Transaction(func(tx *gorm.DB) error {
		touched := map[pair]bool{}
		for _, id := range ids {
			var row readingRow
			if err := tx.Limit(1).Find(&row, int64(id)).Error; err != nil {
				return err
			}
			if row.ID == 0 {
				return fmt.Errorf("reading %d: %w", id, ErrNotFound)
			}
			if err := s.remember(tx, "reading", row.ID, row.SystemID, reason, person, row.reading()); err != nil {
				return err
			}
			touched[pair{row.SystemID, row.AnalyteID}] = true
			change(&row)
			touched[pair{row.SystemID, row.AnalyteID}] = true
			notice.Systems = append(notice.Systems, tanks.SystemID(row.SystemID))
			if err := oneRow(tx.Select("*").Updates(&row)); err != nil {
				return err
			}
		}
		return recompute(tx, touched)
	})
	if err != nil {
		return writeFailed(doing, err)
	}
	s.tell(notice)
	return nil
}
