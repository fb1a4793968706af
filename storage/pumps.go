package storage

import (
	"context"
	"slices"

	"weirkeeper/assets/words"
	"weirkeeper/tanks"
)

type pumpRow struct {
	ID                int64 `gorm:"primaryKey"`
	Name, Place, Note string
	Retired           bool
}

func (pumpRow) TableName() string { return "pumps" }

type headRow struct {
	ID             int64 `gorm:"primaryKey"`
	PumpID         int64
	Number         int
	Name           string
	Smallest, Step float64
}

func (headRow) TableName() string { return "heads" }

// Pumps returns every pump, retired ones too, with its heads, oldest first.
func (s *Store) Pumps(ctx context.Context) ([]tanks.Pump, error) {
	db := s.read.WithContext(ctx)
	var rows []pumpRow
	if err := db.Order("id").Find(&rows).Error; err != nil {
		return nil, words.Errorf("reading the pumps: %w", err)
	}
	var heads []headRow
	if err := db.Order("pump_id, number").Find(&heads).Error; err != nil {
		return nil, words.Errorf("reading the pumps' heads: %w", err)
	}
	of := map[int64][]tanks.Head{}
	for _, h := range heads {
		of[h.PumpID] = append(
			of[h.PumpID],
			tanks.Head{ID: tanks.HeadID(h.ID), Number: h.Number, Name: h.Name, Smallest: h.Smallest, Step: h.Step},
		)
	}
	out := make([]tanks.Pump, len(rows))
	for i, r := range rows {
		out[i] = tanks.Pump{ID: tanks.PumpID(r.ID), Name: r.Name, Place: r.Place, Note: r.Note, Retired: r.Retired, Heads: of[r.ID]}
	}
	return out, nil
}

// SavePump writes a pump with its heads; new ones (ID 0) get their IDs. Heads
// that p lacks are taken away, unless they have calibrations or programs: that
// is a tanks.Fault of "heads".
func (s *Store) SavePump(ctx context.Context, p *tanks.Pump) error {
	if err := p.Validate(); err != nil {
		return err
	}
	saved := *p
	saved.Heads = append([]tanks.Head(nil), p.Heads...)
	err := s.act(ctx, "saving the pump", of(KindPump), func(tx *act) error {
		row := pumpRow{ID: int64(p.ID), Name: p.Name, Place: p.Place, Note: p.Note, Retired: p.Retired}
		if err := tx.put(&row, row.ID); err != nil {
			return err
		}
		saved.ID = tanks.PumpID(row.ID)
		return saveHeads(tx, row.ID, saved.Heads)
	})
	if err == nil {
		*p = saved
	}
	return err
}

func saveHeads(tx *act, pump int64, heads []tanks.Head) error {
	keep := []int64{0}
	for _, h := range heads {
		keep = append(keep, int64(h.ID))
	}
	var used int64
	err := tx.Raw(
		"SELECT count(*) FROM heads h WHERE pump_id = ? AND id NOT IN ? AND (EXISTS (SELECT 1 FROM calibrations WHERE head_id = h.id) OR "+
			"EXISTS (SELECT 1 FROM programs WHERE head_id = h.id))",
		pump,
		keep,
	).Scan(
		&used,
	).Error
	if err != nil {
		return err
	}
	if used > 0 {
		return tanks.Fault{
			Field:   "heads",
			Problem: "A head with calibrations or programs cannot be taken away",
			Remedy:  "leave it; retire the pump when it is out of use",
		}
	}
	var there []headRow
	if err := tx.Where("pump_id = ?", pump).Order("id").Find(&there).Error; err != nil {
		return err
	}
	var mine []int64
	for _, h := range there {
		if !slices.Contains(keep, h.ID) {
			if _, err := tx.remove("heads", "id = ?", h.ID); err != nil {
				return err
			}
			continue
		}
		mine = append(mine, h.ID)
		// Numbers may change places: the ones in use are moved out of the way first.
		if !slices.ContainsFunc(heads, func(to tanks.Head) bool { return int64(to.ID) == h.ID && to.Number == h.Number }) {
			if err := tx.set("heads", h.ID, "number", h.Number+1_000_000); err != nil {
				return err
			}
		}
	}
	for i := range heads {
		h := &heads[i]
		if h.ID != 0 && !slices.Contains(mine, int64(h.ID)) {
			return ErrNotFound
		}
		row := headRow{ID: int64(h.ID), PumpID: pump, Number: h.Number, Name: h.Name, Smallest: h.Smallest, Step: h.Step}
		if err := tx.put(&row, row.ID); err != nil {
			return err
		}
		h.ID = tanks.HeadID(row.ID)
	}
	return nil
}

type calibrationRow struct {
	ID             int64 `gorm:"primaryKey"`
	HeadID, MadeAt int64
	Person, Note   string
	Status         int
}

func (calibrationRow) TableName() string { return "calibrations" }

type calibrationRunRow struct {
	ID                               int64 `gorm:"primaryKey"`
	CalibrationID                    int64
	Seconds, Millilitres, Graduation float64
}

func (calibrationRunRow) TableName() string { return "calibration_runs" }

// Calibrations returns the calibrations of every head with their runs,
// withdrawn ones too, in order of time.
func (s *Store) Calibrations(ctx context.Context) ([]tanks.Calibration, error) {
	db := s.read.WithContext(ctx)
	var rows []calibrationRow
	if err := db.Order("made_at, id").Find(&rows).Error; err != nil {
		return nil, words.Errorf("reading the calibrations: %w", err)
	}
	var runs []calibrationRunRow
	if err := db.Order("id").Find(&runs).Error; err != nil {
		return nil, words.Errorf("reading the calibrations' runs: %w", err)
	}
	of := map[int64][]tanks.Run{}
	for _, r := range runs {
		of[r.CalibrationID] = append(
			of[r.CalibrationID],
			tanks.Run{Seconds: r.Seconds, Millilitres: r.Millilitres, Graduation: r.Graduation},
		)
	}
	out := make([]tanks.Calibration, len(rows))
	for i, r := range rows {
		out[i] = tanks.Calibration{
			ID: tanks.CalibrationID(
				r.ID,
			), Head: tanks.HeadID(r.HeadID), At: instant(r.MadeAt), Runs: of[r.ID], Person: r.Person, Note: r.Note, Status: tanks.Status(r.Status),
		}
	}
	return out, nil
}

// SaveCalibration records a calibration with its runs; it gets its ID.
func (s *Store) SaveCalibration(ctx context.Context, c *tanks.Calibration) error {
	if err := c.Validate(s.clock()); err != nil {
		return err
	}
	row := calibrationRow{HeadID: int64(c.Head), MadeAt: stamp(c.At), Person: c.Person, Note: c.Note, Status: int(c.Status)}
	err := s.act(ctx, "saving the calibration", of(KindPump), func(tx *act) error {
		if err := tx.insert(&row); err != nil {
			return err
		}
		for _, r := range c.Runs {
			if err := tx.insert(&calibrationRunRow{CalibrationID: row.ID, Seconds: r.Seconds, Millilitres: r.Millilitres,
				Graduation: r.Graduation}); err != nil {
				return err
			}
		}
		return nil
	})
	if err == nil {
		c.ID = tanks.CalibrationID(row.ID)
	}
	return err
}

// WithdrawCalibration makes a calibration count no more; it stays in the
// record.
func (s *Store) WithdrawCalibration(ctx context.Context, id tanks.CalibrationID, reason, person string) error {
	return s.withdraw(ctx, withdrawal{entity: "calibration", table: "calibrations", kind: KindPump}, int64(id), reason, person)
}
