package storage

import (
	"context"
	"database/sql"
	"fmt"
	"strings"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/storage/versions"
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
	// Uncertainty is last, as in the table.
	Uncertainty float64
}

func (readingRow) TableName() string { return "readings" }

func (r readingRow) reading() tanks.Reading {
	return tanks.Reading{
		ID: tanks.ReadingID(r.ID), System: tanks.SystemID(r.SystemID), Analyte: chem.Analyte(r.AnalyteID), At: instant(r.TakenAt),
		Value: r.Value, Limit: tanks.Limit(r.Bound), Typed: r.Typed, Unit: chem.Unit(r.Unit), Method: referred[tanks.MethodID](r.MethodID),
		Sample: referred[tanks.SampleID](
			r.SampleID,
		), Person: r.Person, Note: r.Note, Status: tanks.Status(r.Status), Entered: instant(r.EnteredAt),
		Uncertainty: r.Uncertainty,
	}
}

func (r readingRow) cell() tanks.Cell {
	return tanks.Cell{System: tanks.SystemID(r.SystemID), Analyte: chem.Analyte(r.AnalyteID)}
}

func rowOfReading(r tanks.Reading) readingRow {
	return readingRow{
		ID: int64(r.ID), SystemID: int64(r.System), AnalyteID: int(r.Analyte), TakenAt: stamp(r.At), Value: r.Value, Bound: int(r.Limit),
		Status: int(r.Status), Typed: r.Typed, Unit: string(r.Unit), MethodID: reference(r.Method), SampleID: reference(r.Sample),
		Person: r.Person, Note: r.Note, EnteredAt: stamp(r.Entered), Uncertainty: r.Uncertainty,
	}
}

// readings reads whole readings. The source is what follows FROM and calls the
// readings r.
func (s *Store) readings(ctx context.Context, doing, source string, args ...any) ([]tanks.Reading, error) {
	var all parts[tanks.Reading]
	if err := s.eachReading(ctx, doing, source, args, all.add); err != nil {
		return nil, err
	}
	return all.all(), nil
}

// eachReading hands on readings one by one, read by hand, which is much faster than
// through GORM's reflection. The source is as in readings.
func (s *Store) eachReading(ctx context.Context, doing, source string, args []any, take func(tanks.Reading)) error {
	rows, err := s.read.WithContext(
		ctx,
	).Raw(
		"SELECT r.id, r.system_id, r.analyte_id, r.taken_at, r.value, r.bound, r.status, r.typed, r.unit, r.method_id, r.sample_id, "+
			"r.person, r.note, r.entered_at, r.uncertainty FROM "+source,
		args...).Rows()
	if err != nil {
		return words.Errorf("%s: %w", doing, err)
	}
	defer rows.Close()
	var r readingRow
	for rows.Next() {
		err := rows.Scan(
			&r.ID,
			&r.SystemID,
			&r.AnalyteID,
			&r.TakenAt,
			&r.Value,
			&r.Bound,
			&r.Status,
			&r.Typed,
			&r.Unit,
			&r.MethodID,
			&r.SampleID,
			&r.Person,
			&r.Note,
			&r.EnteredAt,
			&r.Uncertainty,
		)
		if err != nil {
			return words.Errorf("%s: %w", doing, err)
		}
		take(r.reading())
	}
	if err := rows.Err(); err != nil {
		return words.Errorf("%s: %w", doing, err)
	}
	return nil
}

// SaveReadings writes readings, all or none, and returns their IDs in order.
// Faults of the n-th have the field prefixed "readings.n.".
func (s *Store) SaveReadings(ctx context.Context, readings []tanks.Reading) ([]tanks.ReadingID, error) {
	return s.saveReadings(ctx, "saving the readings", readings, "")
}

// SavingSheet is what the action of SaveSheet is called.
const SavingSheet words.Text = "saving the test sheet"

// SaveSheet writes readings and drops the draft they were typed on, in one
// transaction.
func (s *Store) SaveSheet(ctx context.Context, readings []tanks.Reading, draft string) ([]tanks.ReadingID, error) {
	return s.saveReadings(ctx, SavingSheet, readings, draft)
}

func (s *Store) saveReadings(ctx context.Context, doing words.Text, readings []tanks.Reading, draft string) ([]tanks.ReadingID, error) {
	now := s.clock()
	if err := checkReadings(readings, now); err != nil {
		return nil, err
	}
	var ids []tanks.ReadingID
	err := s.act(ctx, doing, of(KindReading, systemsOf(readings)...), func(tx *act) (err error) {
		if ids, err = insertReadings(tx, readings, now); err != nil {
			return err
		}
		return dropDraft(tx, draft)
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

// readingInsert is the prepared statement that writes readings.
type readingInsert struct {
	statement *sql.Stmt
	tx        *act
	now       int64
}

func prepareReadingInsert(tx *act, now time.Time) (*readingInsert, error) {
	statement, err := tx.pool.PrepareContext(
		tx.ctx,
		"INSERT INTO readings (system_id, analyte_id, taken_at, value, bound, status, typed, unit, method_id, sample_id, person, note, "+
			"entered_at, uncertainty) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
	)
	return &readingInsert{statement: statement, tx: tx, now: stamp(now)}, err
}

func (i *readingInsert) close() { i.statement.Close() }

// one writes a reading.
func (i *readingInsert) one(row *readingRow) error {
	if row.EnteredAt == 0 {
		row.EnteredAt = i.now
	}
	result, err := i.statement.ExecContext(i.tx.ctx, row.SystemID, row.AnalyteID, row.TakenAt, row.Value, row.Bound, row.Status,
		row.Typed, row.Unit, row.MethodID, row.SampleID, row.Person, row.Note, row.EnteredAt, row.Uncertainty)
	if err != nil {
		return err
	}
	if row.ID, err = result.LastInsertId(); err != nil {
		return err
	}
	i.tx.versions.Came(i.tx.tables["readings"], row.ID, row.sum(&i.tx.sum))
	return nil
}

// sum is the sum of the row; an import has no time for the mapping of a million
// rows.
func (r *readingRow) sum(s *versions.Sum) int64 {
	s.Begin("readings")
	s.Integer(r.ID)
	s.Integer(r.SystemID)
	s.Integer(int64(r.AnalyteID))
	s.Integer(r.TakenAt)
	s.Real(r.Value)
	s.Integer(int64(r.Bound))
	s.Integer(int64(r.Status))
	s.Text(r.Typed)
	s.Text(r.Unit)
	s.Reference(r.MethodID)
	s.Reference(r.SampleID)
	s.Text(r.Person)
	s.Text(r.Note)
	s.Integer(r.EnteredAt)
	s.Real(r.Uncertainty)
	return s.End()
}

// insertReadings writes readings and brings latest up to date.
func insertReadings(tx *act, readings []tanks.Reading, now time.Time) ([]tanks.ReadingID, error) {
	insert, err := prepareReadingInsert(tx, now)
	if err != nil {
		return nil, err
	}
	defer insert.close()
	ids := make([]tanks.ReadingID, 0, len(readings))
	touched := map[tanks.Cell]bool{}
	for _, r := range readings {
		row := rowOfReading(r)
		if err := insert.one(&row); err != nil {
			return nil, err
		}
		ids = append(ids, tanks.ReadingID(row.ID))
		touched[row.cell()] = true
	}
	return ids, recompute(tx, touched)
}

// Series returns the live readings of one analyte of one system from from to
// to, both included, in order of time. A zero time leaves its end open.
func (s *Store) Series(ctx context.Context, id tanks.SystemID, a chem.Analyte, from, to time.Time) ([]tanks.Reading, error) {
	low, high := bounds(from, to)
	return s.readings(
		ctx,
		"reading a series",
		"readings r WHERE system_id = ? AND analyte_id = ? AND taken_at BETWEEN ? AND ? AND status = 0 ORDER BY taken_at, id",
		int64(id),
		int(a),
		low,
		high,
	)
}

// ReadingsOf returns all readings of a system, withdrawn ones too, in order of
// time. They are found analyte by analyte, since the index has the time behind that:
// a stretch of time of the whole system would be looked for in all of its years.
func (s *Store) ReadingsOf(ctx context.Context, id tanks.SystemID, from, to time.Time) ([]tanks.Reading, error) {
	low, high := bounds(from, to)
	return s.readings(
		ctx,
		"reading the values",
		`analytes a CROSS JOIN readings r ON r.system_id = ? AND r.analyte_id = a.id AND r.taken_at BETWEEN ? AND ?
			ORDER BY r.taken_at, r.id`,
		int64(id),
		low,
		high,
	)
}

// ReadingsOfSample returns the live results of a lab sample.
func (s *Store) ReadingsOfSample(ctx context.Context, id tanks.SampleID) ([]tanks.Reading, error) {
	return s.readings(
		ctx,
		"reading the sample's results",
		"readings r WHERE sample_id = ? AND status = 0 ORDER BY analyte_id, id",
		int64(id),
	)
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
	return s.changeReadings(
		ctx,
		"withdrawing the readings",
		ids,
		reason,
		person,
		func(row *readingRow) { row.Status = int(tanks.Withdrawn) },
	)
}

func (s *Store) changeReadings(
	ctx context.Context,
	doing words.Text,
	ids []tanks.ReadingID,
	reason, person string,
	change func(*readingRow),
) error {
	if strings.TrimSpace(reason) == "" {
		return errNoReason
	}
	return s.actOn(ctx, doing, func(tx *act) (Touched, error) {
		notice := of(KindReading)
		touched := map[tanks.Cell]bool{}
		for _, id := range ids {
			var row readingRow
			if err := tx.Limit(1).Find(&row, int64(id)).Error; err != nil {
				return Touched{}, err
			}
			if row.ID == 0 {
				return Touched{}, words.Errorf("reading %d: %w", id, ErrNotFound)
			}
			if err := s.remember(tx, "reading", row.ID, row.SystemID, words.Typed(reason), person, row.reading()); err != nil {
				return Touched{}, err
			}
			touched[row.cell()] = true
			change(&row)
			touched[row.cell()] = true
			notice.Systems = append(notice.Systems, tanks.SystemID(row.SystemID))
			if err := tx.put(&row, row.ID); err != nil {
				return Touched{}, err
			}
		}
		return notice, recompute(tx, touched)
	})
}
