package storage

import (
	"context"
	"time"

	"gorm.io/gorm"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

type productRow struct {
	ID                       int64 `gorm:"primaryKey"`
	Name                     string
	Form                     int
	Stock, FullAmount, Price float64
	Caution                  string
	Retired                  bool
}

func (productRow) TableName() string { return "products" }

type ingredientRow struct {
	ID        int64 `gorm:"primaryKey"`
	ProductID int64
	Compound  string
	Amount    float64
}

func (ingredientRow) TableName() string { return "ingredients" }

type strengthRow struct {
	ID                     int64 `gorm:"primaryKey"`
	ProductID              int64
	AnalyteID              int
	Amount, Litres, Raises float64
}

func (strengthRow) TableName() string { return "strengths" }

// Products returns every product, retired ones too, with its contents.
func (s *Store) Products(ctx context.Context) ([]tanks.Product, error) {
	return products(s.read.WithContext(ctx))
}

func products(db *gorm.DB) ([]tanks.Product, error) {
	var rows []productRow
	if err := db.Order("id").Find(&rows).Error; err != nil {
		return nil, words.Errorf("reading the shelf: %w", err)
	}
	var ingredients []ingredientRow
	if err := db.Order("id").Find(&ingredients).Error; err != nil {
		return nil, words.Errorf("reading the ingredients: %w", err)
	}
	var strengths []strengthRow
	if err := db.Order("id").Find(&strengths).Error; err != nil {
		return nil, words.Errorf("reading the labels: %w", err)
	}
	out := make([]tanks.Product, len(rows))
	at := map[int64]int{}
	for i, r := range rows {
		at[r.ID] = i
		out[i] = tanks.Product{
			ID: tanks.ProductID(r.ID), Name: r.Name, Contents: chem.Product{Form: chem.Form(r.Form)},
			Stock: r.Stock, Full: r.FullAmount, Price: r.Price, Caution: r.Caution, Retired: r.Retired,
		}
	}
	for _, in := range ingredients {
		c := &out[at[in.ProductID]].Contents
		c.Ingredients = append(c.Ingredients, chem.Ingredient{Compound: in.Compound, Amount: in.Amount})
	}
	for _, l := range strengths {
		c := &out[at[l.ProductID]].Contents
		c.Label = append(c.Label, chem.Strength{Analyte: chem.Analyte(l.AnalyteID), Amount: l.Amount, Litres: l.Litres, Raises: l.Raises})
	}
	return out, nil
}

func product(db *gorm.DB, id tanks.ProductID) (tanks.Product, error) {
	all, err := products(db)
	if err != nil {
		return tanks.Product{}, err
	}
	for _, p := range all {
		if p.ID == id {
			return p, nil
		}
	}
	return tanks.Product{}, words.Errorf("product %d: %w", id, ErrNotFound)
}

// SaveProduct writes a product with its contents; a new one (ID 0) gets its
// ID. Recorded additions keep the changes they were recorded with.
func (s *Store) SaveProduct(ctx context.Context, p *tanks.Product) error {
	if err := p.Validate(); err != nil {
		return err
	}
	saved := *p
	err := s.act(ctx, "saving the product", of(KindProduct), func(tx *act) error { return putProduct(tx, &saved, s.clock()) })
	if err == nil {
		*p = saved
	}
	return err
}

// putProduct inserts or replaces a product; a new one gets its ID. A stock that
// differs from what the ledger has was counted.
func putProduct(tx *act, p *tanks.Product, now time.Time) error {
	row := productRow{
		ID: int64(p.ID), Name: p.Name, Form: int(p.Contents.Form), Stock: p.Stock, FullAmount: p.Full, Price: p.Price,
		Caution: p.Caution, Retired: p.Retired,
	}
	if row.ID != 0 {
		stock, err := stockOf(tx, p.ID)
		if err != nil {
			return err
		}
		if stock != p.Stock {
			counted := tanks.Movement{Product: p.ID, At: now, Kind: tanks.Counted, Change: p.Stock - stock, Left: p.Stock}
			if err := recordMovement(tx, &counted); err != nil {
				return err
			}
		}
	}
	if err := tx.put(&row, row.ID); err != nil {
		return err
	}
	p.ID = tanks.ProductID(row.ID)
	return saveContents(tx, row.ID, p.Contents)
}

func saveContents(tx *act, id int64, c chem.Product) error {
	ingredients, strengths := make([]any, len(c.Ingredients)), make([]any, len(c.Label))
	for i, in := range c.Ingredients {
		ingredients[i] = &ingredientRow{ProductID: id, Compound: in.Compound, Amount: in.Amount}
	}
	for i, l := range c.Label {
		strengths[i] = &strengthRow{ProductID: id, AnalyteID: int(l.Analyte), Amount: l.Amount, Litres: l.Litres, Raises: l.Raises}
	}
	if err := tx.replaceAll("ingredients", "product_id = ?", id, ingredients); err != nil {
		return err
	}
	return tx.replaceAll("strengths", "product_id = ?", id, strengths)
}
