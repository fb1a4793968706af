package storage

import (
	"context"
	"time"

	"weirkeeper/assets/words"
	"weirkeeper/tanks"
)

type movementRow struct {
	ID         int64 `gorm:"primaryKey"`
	ProductID  int64
	MovedAt    int64
	Kind       int
	Change     float64
	LeftOver   float64
	AdditionID *int64
	Price      float64
	Person     string
	Note       string
}

func (movementRow) TableName() string { return "stock_movements" }

// Movements returns how the stock of a product changed, in order of time. The
// stock that a product was first saved with has no movement.
func (s *Store) Movements(ctx context.Context, id tanks.ProductID) ([]tanks.Movement, error) {
	var rows []movementRow
	if err := s.read.WithContext(ctx).Where("product_id = ?", int64(id)).Order("moved_at, id").Find(&rows).Error; err != nil {
		return nil, words.Errorf("reading the movements of stock: %w", err)
	}
	out := make([]tanks.Movement, len(rows))
	for i, r := range rows {
		out[i] = tanks.Movement{
			ID: tanks.MovementID(
				r.ID,
			), Product: tanks.ProductID(r.ProductID), At: instant(r.MovedAt), Kind: tanks.MovementKind(r.Kind), Change: r.Change,
			Left: r.LeftOver, Addition: referred[tanks.AdditionID](r.AdditionID), Price: r.Price, Person: r.Person, Note: r.Note,
		}
	}
	return out, nil
}

// MoveStock records a purchase, a count or a disposal, and sets the product's
// stock; the movement gets its ID, Change and Left. More than there is cannot be
// discarded: that is a tanks.Fault of "change".
func (s *Store) MoveStock(ctx context.Context, m *tanks.Movement) error {
	if err := m.Validate(s.clock()); err != nil {
		return err
	}
	saved := *m
	err := s.act(ctx, "recording the stock", of(KindProduct), func(tx *act) error {
		stock, err := stockOf(tx, m.Product)
		if err != nil {
			return err
		}
		if m.Kind == tanks.Counted {
			saved.Change = m.Left - stock
		}
		if stock+saved.Change < 0 {
			return tanks.Fault{
				Field:   "change",
				Problem: words.T("Only %.4g are left", stock),
				Remedy:  "count the stock first, or give less",
			}
		}
		return moveStock(tx, &saved)
	})
	if err == nil {
		*m = saved
	}
	return err
}

func stockOf(tx *act, id tanks.ProductID) (float64, error) {
	var row productRow
	if err := tx.Select("id", "stock").Limit(1).Find(&row, int64(id)).Error; err != nil {
		return 0, err
	}
	if row.ID == 0 {
		return 0, words.Errorf("product %d: %w", id, ErrNotFound)
	}
	return row.Stock, nil
}

// moveStock changes a product's stock, to zero at the least, and records by how
// much.
func moveStock(tx *act, m *tanks.Movement) error {
	stock, err := stockOf(tx, m.Product)
	if err != nil {
		return err
	}
	m.Left = max(0, stock+m.Change)
	m.Change = m.Left - stock
	if err := tx.set("products", int64(m.Product), "stock", m.Left); err != nil {
		return err
	}
	return recordMovement(tx, m)
}

func recordMovement(tx *act, m *tanks.Movement) error {
	row := movementRow{
		ProductID: int64(
			m.Product,
		), MovedAt: stamp(m.At), Kind: int(m.Kind), Change: m.Change, LeftOver: m.Left, AdditionID: reference(m.Addition),
		Price: m.Price, Person: m.Person, Note: m.Note,
	}
	if err := tx.insert(&row); err != nil {
		return err
	}
	m.ID = tanks.MovementID(row.ID)
	return nil
}

// takeFromStock records what an addition took.
func takeFromStock(tx *act, a tanks.Addition) error {
	return moveStock(
		tx,
		&tanks.Movement{Product: a.Product, At: a.At, Kind: tanks.Used, Change: -a.Amount, Addition: a.ID, Person: a.Person},
	)
}

// returnToStock gives back what a withdrawn addition had taken; one that took
// nothing gives nothing back.
func returnToStock(tx *act, id tanks.AdditionID, at time.Time, person string) error {
	var taken []movementRow
	if err := tx.Where("addition_id = ?", int64(id)).Find(&taken).Error; err != nil {
		return err
	}
	var back float64
	for _, m := range taken {
		back -= m.Change
	}
	if back <= 0 {
		return nil
	}
	return moveStock(
		tx,
		&tanks.Movement{
			Product:  tanks.ProductID(taken[0].ProductID),
			At:       at,
			Kind:     tanks.Returned,
			Change:   back,
			Addition: id,
			Person:   person,
		},
	)
}
