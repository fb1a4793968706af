package storage

import (
	"context"
	"strings"

	"gorm.io/gorm"

	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

type recipeRow struct {
	ID                 int64 `gorm:"primaryKey"`
	Name               string
	SystemID           *int64
	Litres             float64
	CalciumToMagnesium float64
	Air                float64
}

func (recipeRow) TableName() string { return "water_recipes" }

type portionRow struct {
	ID       int64 `gorm:"primaryKey"`
	RecipeID int64
	SystemID int64
	Litres   float64
}

func (portionRow) TableName() string { return "recipe_portions" }

type goalRow struct {
	ID        int64 `gorm:"primaryKey"`
	RecipeID  int64
	AnalyteID int
	Value     float64
	AtMost    bool
}

func (goalRow) TableName() string { return "recipe_goals" }

type recipeProductRow struct {
	ID        int64 `gorm:"primaryKey"`
	RecipeID  int64
	ProductID int64
}

func (recipeProductRow) TableName() string { return "recipe_products" }

// WaterRecipes returns every recipe of water, by name. One may name sources that are
// closed and products that are retired.
func (s *Store) WaterRecipes(ctx context.Context) ([]tanks.WaterRecipe, error) {
	return recipes(s.read.WithContext(ctx))
}

func recipes(db *gorm.DB) ([]tanks.WaterRecipe, error) {
	var rows []recipeRow
	if err := db.Order("name, id").Find(&rows).Error; err != nil {
		return nil, words.Errorf("reading the recipes of water: %w", err)
	}
	out := make([]tanks.WaterRecipe, len(rows))
	at := map[int64]*tanks.WaterRecipe{}
	for i, r := range rows {
		out[i] = tanks.WaterRecipe{
			ID: tanks.WaterRecipeID(r.ID), Name: r.Name, For: referred[tanks.SystemID](r.SystemID), Litres: r.Litres,
			CalciumToMagnesium: r.CalciumToMagnesium, Air: r.Air,
		}
		at[r.ID] = &out[i]
	}
	var portions []portionRow
	if err := db.Order("id").Find(&portions).Error; err != nil {
		return nil, words.Errorf("reading the waters of the recipes: %w", err)
	}
	for _, p := range portions {
		r := at[p.RecipeID]
		r.Portions = append(r.Portions, tanks.RecipePortion{Source: tanks.SystemID(p.SystemID), Litres: p.Litres})
	}
	var goals []goalRow
	if err := db.Order("id").Find(&goals).Error; err != nil {
		return nil, words.Errorf("reading the goals of the recipes: %w", err)
	}
	for _, g := range goals {
		r := at[g.RecipeID]
		r.Goals = append(r.Goals, tanks.RecipeGoal{Analyte: chem.Analyte(g.AnalyteID), Value: g.Value, AtMost: g.AtMost})
	}
	var products []recipeProductRow
	if err := db.Order("id").Find(&products).Error; err != nil {
		return nil, words.Errorf("reading the products of the recipes: %w", err)
	}
	for _, p := range products {
		at[p.RecipeID].Products = append(at[p.RecipeID].Products, tanks.ProductID(p.ProductID))
	}
	return out, nil
}

// SaveWaterRecipe writes a recipe of water; a new one (ID 0) gets its ID. A name that
// another one has, whatever its case, is a tanks.Fault of "name".
func (s *Store) SaveWaterRecipe(ctx context.Context, r *tanks.WaterRecipe) error {
	if err := r.Validate(); err != nil {
		return err
	}
	id := int64(r.ID)
	err := s.act(ctx, "saving the recipe of water", of(KindWaterRecipe), func(tx *act) error {
		if err := freeRecipe(tx, *r); err != nil {
			return err
		}
		row := recipeRow{
			ID: int64(r.ID), Name: r.Name, SystemID: reference(r.For), Litres: r.Litres, CalciumToMagnesium: r.CalciumToMagnesium, Air: r.Air,
		}
		if err := tx.put(&row, row.ID); err != nil {
			return err
		}
		id = row.ID
		return putRecipeParts(tx, id, *r)
	})
	if err == nil {
		r.ID = tanks.WaterRecipeID(id)
	}
	return err
}

// freeRecipe refuses a name that another recipe has.
func freeRecipe(tx *act, r tanks.WaterRecipe) error {
	var others []recipeRow
	if err := tx.Where("id <> ?", int64(r.ID)).Find(&others).Error; err != nil {
		return err
	}
	for _, o := range others {
		if strings.EqualFold(o.Name, r.Name) {
			return tanks.Fault{Field: "name", Problem: words.T("There is a recipe %q already", o.Name), Remedy: "choose another name"}
		}
	}
	return nil
}

func putRecipeParts(tx *act, id int64, r tanks.WaterRecipe) error {
	var portions, goals, products []any
	for _, p := range r.Portions {
		portions = append(portions, &portionRow{RecipeID: id, SystemID: int64(p.Source), Litres: p.Litres})
	}
	for _, g := range r.Goals {
		goals = append(goals, &goalRow{RecipeID: id, AnalyteID: int(g.Analyte), Value: g.Value, AtMost: g.AtMost})
	}
	for _, p := range r.Products {
		products = append(products, &recipeProductRow{RecipeID: id, ProductID: int64(p)})
	}
	if err := tx.replaceAll("recipe_portions", ofRecipe, id, portions); err != nil {
		return err
	}
	if err := tx.replaceAll("recipe_goals", ofRecipe, id, goals); err != nil {
		return err
	}
	return tx.replaceAll("recipe_products", ofRecipe, id, products)
}

const ofRecipe = "recipe_id = ?"

// RemoveWaterRecipe takes a recipe of water away; ErrNotFound when there is none.
func (s *Store) RemoveWaterRecipe(ctx context.Context, id tanks.WaterRecipeID) error {
	return s.act(ctx, "removing the recipe of water", of(KindWaterRecipe), func(tx *act) error {
		if err := putRecipeParts(tx, int64(id), tanks.WaterRecipe{}); err != nil {
			return err
		}
		n, err := tx.remove("water_recipes", "id = ?", int64(id))
		if err == nil && n == 0 {
			err = ErrNotFound
		}
		return err
	})
}
