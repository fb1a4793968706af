package storage_test

import (
	"errors"
	"testing"

	"weirkeeper/chem"
	"weirkeeper/chem/seawater"
	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// changeWater is a recipe of water from both systems of the fixture.
func changeWater(f storagetest.Fixture) tanks.WaterRecipe {
	return tanks.WaterRecipe{
		Name: "Change water", For: f.Systems[0].ID, Litres: 120, CalciumToMagnesium: 3.2, Air: 650,
		Portions: []tanks.RecipePortion{{Source: f.Systems[1].ID, Litres: 40}, {Source: f.Systems[0].ID}},
		Goals:    []tanks.RecipeGoal{{Analyte: chem.Nitrate, Value: 10, AtMost: true}, {Analyte: chem.Calcium, Value: 60.5}},
		Products: []tanks.ProductID{f.Products["magnesium"].ID, f.Products["calcium"].ID},
	}
}

// What is saved comes back as it was, the parts in their order; a changed one stays one.
func TestWaterRecipes(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx := t.Context()
	r, plain := changeWater(f), tanks.WaterRecipe{Name: "Alone", Litres: 5, Portions: []tanks.RecipePortion{{Source: f.Systems[1].ID}}}
	must(t, s.SaveWaterRecipe(ctx, &r))
	must(t, s.SaveWaterRecipe(ctx, &plain))
	same(t, value[[]tanks.WaterRecipe](t)(reopen(t, s).WaterRecipes(ctx)), []tanks.WaterRecipe{plain, r})
}

func TestWaterRecipeChangedAndTakenBack(t *testing.T) {
	s, f := storagetest.Room(t)
	s = own(s)
	ctx := t.Context()
	r := changeWater(f)
	must(t, s.SaveWaterRecipe(ctx, &r))
	first := r
	var told []storage.Touched
	defer s.Listen(func(c storage.Touched) { told = append(told, c) })()

	r.Name, r.Litres, r.Goals, r.Products = "Water for changes", 200, r.Goals[1:], nil
	must(t, s.SaveWaterRecipe(ctx, &r))
	same(t, value[[]tanks.WaterRecipe](t)(s.WaterRecipes(ctx)), []tanks.WaterRecipe{r})
	value[any](t)(s.Undo(ctx, "AB"))
	same(t, value[[]tanks.WaterRecipe](t)(s.WaterRecipes(ctx)), []tanks.WaterRecipe{first})

	must(t, s.RemoveWaterRecipe(ctx, first.ID))
	same(t, value[[]tanks.WaterRecipe](t)(s.WaterRecipes(ctx)), []tanks.WaterRecipe{})
	value[any](t)(s.Undo(ctx, "AB"))
	same(t, value[[]tanks.WaterRecipe](t)(s.WaterRecipes(ctx)), []tanks.WaterRecipe{first})
	for n, c := range told {
		if !c.Has(storage.KindWaterRecipe) || len(c.Kinds) != 1 {
			t.Errorf("notice %d is of %v", n, c.Kinds)
		}
	}
	if len(told) != 4 {
		t.Errorf("%d notices", len(told))
	}
	if err := s.RemoveWaterRecipe(ctx, 99); !errors.Is(err, storage.ErrNotFound) {
		t.Errorf("one that is not there: %v", err)
	}
	first.ID = 99
	if err := s.SaveWaterRecipe(ctx, &first); err == nil {
		t.Error("one that is not there was changed")
	}
}

// A name is had once whatever its case, in any script; a recipe may keep its own.
func TestWaterRecipeNames(t *testing.T) {
	s, f := storagetest.Room(t)
	ctx := t.Context()
	r := changeWater(f)
	r.Name = "Weiches Wasser für Äschen"
	must(t, s.SaveWaterRecipe(ctx, &r))
	again := changeWater(f)
	again.Name = "weiches wasser FÜR äschen"
	if got := fault(s.SaveWaterRecipe(ctx, &again)); got != "name" || again.ID != 0 {
		t.Errorf("the same name: fault of %q, id %d", got, again.ID)
	}
	r.Name = again.Name
	must(t, s.SaveWaterRecipe(ctx, &r))
}

// A recipe outlasts the closing of its source and the end of its product; a source that
// it needs is not taken back under it.
func TestWaterRecipeOutlastsItsParts(t *testing.T) {
	s, f := storagetest.Room(t)
	s = own(s)
	ctx := t.Context()
	tap := tanks.System{Code: "TAP", Name: "Tap", Kind: tanks.Source}
	must(t, s.SaveSystem(ctx, &tap))
	r := changeWater(f)
	r.Portions[1].Source = tap.ID
	must(t, s.SaveWaterRecipe(ctx, &r))
	tap.Closed = f.Now
	must(t, s.SaveSystem(ctx, &tap))
	p := f.Products["calcium"]
	p.Retired = true
	must(t, s.SaveProduct(ctx, &p))
	same(t, value[[]tanks.WaterRecipe](t)(s.WaterRecipes(ctx)), []tanks.WaterRecipe{r})
	for range 3 {
		value[any](t)(s.Undo(ctx, "AB"))
	}
	value[any](t)(s.Redo(ctx, "AB"))
	if all := value[[]tanks.WaterRecipe](t)(s.WaterRecipes(ctx)); len(all) != 1 || all[0].Portions[1].Source != tap.ID {
		t.Errorf("put back it is %+v", all)
	}
}

// What the upgrade adds is as it was before it: nobody said a height, no source is
// purified, no step is known. What the kept ledger of the version holds comes back.
func TestWaterOfVersions(t *testing.T) {
	before := olderLedger(t, "version-4.sqlite")
	room := value[tanks.Room](t)(before.Room(t.Context()))
	if _, said := room.Height.Metres(); said || room.Constants != seawater.SetUppstrom {
		t.Errorf("a room of version 4 is %+v", room)
	}
	for _, bands := range value[map[tanks.SystemID][]tanks.Band](t)(before.AllBands(t.Context())) {
		for _, b := range bands {
			if b.MaxStep != 0 {
				t.Errorf("a band of version 4 is %+v", b)
			}
		}
	}
	kept := olderLedger(t, "version-5.sqlite")
	room = value[tanks.Room](t)(kept.Room(t.Context()))
	if m, said := room.Height.Metres(); !said || m != 850 || room.Constants != seawater.SetLee {
		t.Errorf("the room of version 5 is %+v", room)
	}
	all := value[[]tanks.WaterRecipe](t)(kept.WaterRecipes(t.Context()))
	if len(all) != 1 || all[0].Name != "Change water" || len(all[0].Goals) != 2 || !all[0].Goals[1].AtMost {
		t.Fatalf("the recipes of version 5 are %+v", all)
	}
	source := value[tanks.System](t)(kept.System(t.Context(), all[0].Portions[0].Source))
	bands := value[[]tanks.Band](t)(kept.OwnBands(t.Context(), all[0].For))
	if !source.Purified || len(bands) != 1 || bands[0].MaxStep != 1 {
		t.Errorf("version 5 has the source %+v and the bands %+v", source, bands)
	}
}
