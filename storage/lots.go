package storage

import (
	"context"

	"weirkeeper/assets/words"
	"weirkeeper/tanks"
)

type lotRow struct {
	ID                                int64 `gorm:"primaryKey"`
	SystemID                          int64
	ParentID                          *int64
	Species, Name, Place, Watch, Note string
}

func (lotRow) TableName() string { return "lots" }

// Lots returns every lot, oldest first.
func (s *Store) Lots(ctx context.Context) ([]tanks.Lot, error) {
	var rows []lotRow
	if err := s.read.WithContext(ctx).Order("id").Find(&rows).Error; err != nil {
		return nil, words.Errorf("reading the livestock: %w", err)
	}
	out := make([]tanks.Lot, len(rows))
	for i, r := range rows {
		out[i] = tanks.Lot{
			ID: tanks.LotID(
				r.ID,
			), System: tanks.SystemID(r.SystemID), Parent: referred[tanks.LotID](r.ParentID), Species: r.Species, Name: r.Name,
			Place: r.Place, Watch: r.Watch, Note: r.Note,
		}
	}
	return out, nil
}

// SaveLot writes a lot; a new one (ID 0) gets its ID. The system of a lot that
// there is changes by an event, not here; that, and a lot among its own
// ancestors, are tanks.Faults of "system" and "parent".
func (s *Store) SaveLot(ctx context.Context, l *tanks.Lot) error {
	if err := l.Validate(); err != nil {
		return err
	}
	row := lotRow{
		ID: int64(
			l.ID,
		), SystemID: int64(l.System), ParentID: reference(l.Parent), Species: l.Species, Name: l.Name, Place: l.Place, Watch: l.Watch, Note: l.Note,
	}
	err := s.act(ctx, "saving the lot", of(KindLot, l.System), func(tx *act) error {
		if row.ID != 0 {
			if err := lotMayBecome(tx, row); err != nil {
				return err
			}
		}
		return tx.put(&row, row.ID)
	})
	if err == nil {
		l.ID = tanks.LotID(row.ID)
	}
	return err
}

func lotMayBecome(tx *act, row lotRow) error {
	var now lotRow
	if err := tx.Limit(1).Find(&now, row.ID).Error; err != nil {
		return err
	}
	if now.ID == 0 {
		return words.Errorf("lot %d: %w", row.ID, ErrNotFound)
	}
	if now.SystemID != row.SystemID {
		return tanks.Fault{Field: "system", Problem: "The lot lives in another system", Remedy: "record that it moved"}
	}
	var own int64
	err := tx.Raw(
		`WITH RECURSIVE above(id) AS (SELECT ? UNION SELECT l.parent_id FROM lots l JOIN above ON l.id = above.id WHERE l.parent_id IS NOT NULL)
		SELECT count(*) FROM above WHERE id = ?`,
		row.ParentID,
		row.ID,
	).Scan(
		&own,
	).Error
	if err != nil {
		return err
	}
	if own > 0 {
		return tanks.Fault{Field: "parent", Problem: "The lot would be its own ancestor", Remedy: "choose another parent, or none"}
	}
	return nil
}

type lotEventRow struct {
	ID                          int64 `gorm:"primaryKey"`
	LotID, SystemID, HappenedAt int64
	Kind, Count                 int
	IntoID, ToSystemID          *int64
	Price                       float64
	Person, Note                string
	Status                      int
}

func (lotEventRow) TableName() string { return "lot_events" }

func (r lotEventRow) event() tanks.LotEvent {
	return tanks.LotEvent{
		ID: tanks.LotEventID(
			r.ID,
		), Lot: tanks.LotID(r.LotID), System: tanks.SystemID(r.SystemID), At: instant(r.HappenedAt), Kind: tanks.LotEventKind(r.Kind),
		Count: r.Count, Into: referred[tanks.LotID](r.IntoID), To: referred[tanks.SystemID](r.ToSystemID), Price: r.Price, Person: r.Person, Note: r.Note,
		Status: tanks.Status(r.Status),
	}
}

// LotEvents returns what happened to all lots, withdrawn events too, in order
// of time.
func (s *Store) LotEvents(ctx context.Context) ([]tanks.LotEvent, error) {
	var rows []lotEventRow
	if err := s.read.WithContext(ctx).Order("happened_at, id").Find(&rows).Error; err != nil {
		return nil, words.Errorf("reading what happened to the livestock: %w", err)
	}
	out := make([]tanks.LotEvent, len(rows))
	for i, r := range rows {
		out[i] = r.event()
	}
	return out, nil
}

// SaveLotEvent records what happened to a lot; the event gets its ID and the
// system where the lot is. A move puts the lot into its new system. More than
// there are cannot go: that is a tanks.Fault of "count".
func (s *Store) SaveLotEvent(ctx context.Context, e *tanks.LotEvent) error {
	if err := e.Validate(s.clock()); err != nil {
		return err
	}
	saved := *e
	err := s.actOn(ctx, "recording the livestock", func(tx *act) (Touched, error) {
		var lot lotRow
		if err := tx.Limit(1).Find(&lot, int64(e.Lot)).Error; err != nil {
			return Touched{}, err
		}
		if lot.ID == 0 {
			return Touched{}, words.Errorf("lot %d: %w", e.Lot, ErrNotFound)
		}
		saved.System = tanks.SystemID(lot.SystemID)
		row := lotEventRow{
			LotID: lot.ID, SystemID: lot.SystemID, HappenedAt: stamp(e.At), Kind: int(e.Kind), Count: e.Count, IntoID: reference(e.Into), ToSystemID: reference(e.To),
			Price: e.Price, Person: e.Person, Note: e.Note, Status: int(e.Status),
		}
		if err := tx.insert(&row); err != nil {
			return Touched{}, err
		}
		saved.ID = tanks.LotEventID(row.ID)
		if err := enough(tx, e.Lot); err != nil {
			return Touched{}, err
		}
		if e.Kind == tanks.Moved {
			if err := tx.set("lots", lot.ID, "system_id", int64(e.To)); err != nil {
				return Touched{}, err
			}
		}
		return of(KindLot, saved.System, e.To), nil
	})
	if err == nil {
		*e = saved
	}
	return err
}

// enough tells a lot that more left than was ever there, at any time.
func enough(tx *act, lot tanks.LotID) error {
	var rows []lotEventRow
	if err := tx.Where("(lot_id = ? OR into_id = ?) AND status = 0", int64(lot),
		int64(lot)).Order("happened_at, id").Find(&rows).Error; err != nil {
		return err
	}
	var events []tanks.LotEvent
	for _, r := range rows {
		events = append(events, r.event())
		if n := tanks.CountOf(lot, events); n < 0 {
			return tanks.Fault{
				Field:   "count",
				Problem: words.T("That is %d more than there were", -n),
				Remedy:  "correct the count, or record a count of the lot first",
			}
		}
	}
	return nil
}

// WithdrawLotEvent makes an event count no more; it stays in the record. A
// move is not withdrawn but moved back.
func (s *Store) WithdrawLotEvent(ctx context.Context, id tanks.LotEventID, reason, person string) error {
	return s.withdraw(
		ctx,
		withdrawal{entity: "livestock event", table: "lot_events", kind: KindLot, then: func(tx *act, before map[string]any) error {
			if before["kind"] == int64(tanks.Moved) {
				return tanks.Fault{Field: "kind", Problem: "A move is not withdrawn", Remedy: "record that the lot moved back"}
			}
			if into, ok := before["into_id"].(int64); ok {
				if err := enough(tx, tanks.LotID(into)); err != nil {
					return err
				}
			}
			lot, _ := before["lot_id"].(int64)
			return enough(tx, tanks.LotID(lot))
		}},
		int64(id),
		reason,
		person,
	)
}
