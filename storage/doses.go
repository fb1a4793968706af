package storage

import (
	"context"
	"strings"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/tanks"
)

// GivenDose says how much of a waiting dose was given, in mL of a liquid or g of
// a solid, and when.
type GivenDose struct {
	ID     tanks.DoseID
	At     time.Time
	Amount float64
}

// GiveDoses marks waiting doses as given and records the additions that they
// are, all or none. A dose that does not wait is a tanks.Fault of "dose".
func (s *Store) GiveDoses(ctx context.Context, all []GivenDose, person string) error {
	return s.actOn(ctx, "marking doses as given", func(tx *act) (Touched, error) {
		notice := Touched{Kinds: []Kind{KindPlan, KindAddition, KindProduct}}
		for _, g := range all {
			dose, line, err := waiting(tx, g.ID)
			if err != nil {
				return Touched{}, err
			}
			a := tanks.Addition{
				System: tanks.SystemID(line.SystemID), Product: tanks.ProductID(line.ProductID),
				At: g.At, Amount: g.Amount, Dose: g.ID, Person: person,
			}
			if err := a.Validate(s.clock()); err != nil {
				return Touched{}, err
			}
			if err := add(tx, &a); err != nil {
				return Touched{}, err
			}
			if err := tx.set("doses", dose.ID, "done_at", stamp(g.At), "given", g.Amount); err != nil {
				return Touched{}, err
			}
			notice.Systems = append(notice.Systems, a.System)
		}
		return notice, nil
	})
}

// DropDoses takes waiting doses off the run sheet with a reason, all or none. A
// dose that does not wait is a tanks.Fault of "dose".
func (s *Store) DropDoses(ctx context.Context, ids []tanks.DoseID, reason, person string) error {
	if strings.TrimSpace(reason) == "" {
		return tanks.Fault{Field: "reason", Problem: "A dose is dropped without a reason", Remedy: "say why in a word or two"}
	}
	if person != "" {
		reason += " (" + person + ")"
	}
	return s.actOn(ctx, "dropping doses", func(tx *act) (Touched, error) {
		notice := of(KindPlan)
		for _, id := range ids {
			dose, line, err := waiting(tx, id)
			if err != nil {
				return Touched{}, err
			}
			if err := tx.set("doses", dose.ID, "dropped", true, "reason", reason); err != nil {
				return Touched{}, err
			}
			notice.Systems = append(notice.Systems, tanks.SystemID(line.SystemID))
		}
		return notice, nil
	})
}

// waiting returns a dose that is neither given nor dropped, with its line.
func waiting(tx *act, id tanks.DoseID) (doseRow, lineRow, error) {
	var dose doseRow
	var line lineRow
	if err := tx.Limit(1).Find(&dose, int64(id)).Error; err != nil {
		return dose, line, err
	}
	if dose.ID == 0 {
		return dose, line, words.Errorf("dose %d: %w", id, ErrNotFound)
	}
	if err := tx.Take(&line, dose.LineID).Error; err != nil {
		return dose, line, err
	}
	if dose.dose().Waiting() {
		return dose, line, nil
	}
	sys, err := system(tx.DB, tanks.SystemID(line.SystemID))
	if err != nil {
		return dose, line, err
	}
	given := words.T("The dose for %s is given or dropped already", sys.Code)
	return dose, line, tanks.Fault{Field: "dose", Problem: given, Remedy: "look at the run sheet again"}
}
