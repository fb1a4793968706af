package dosing

import (
	"context"
	"slices"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/forms"
	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/tanks"
)

// recipeOf is what the fields ask for, to be made again.
func (v *makingView) recipeOf() (tanks.WaterRecipe, bool) {
	order, faults := v.fields.order(v.loaded, v.session)
	if len(faults) > 0 || order.Litres <= 0 || len(order.Sources) == 0 {
		return tanks.WaterRecipe{}, false
	}
	r := tanks.WaterRecipe{ID: v.recipe.ID, Name: v.recipe.Name, For: max(v.fields.forWhom.Value(), freshForNone), Litres: order.Litres,
		CalciumToMagnesium: order.CalciumToMagnesium, Air: order.Air}
	for _, s := range order.Sources {
		r.Portions = append(r.Portions, tanks.RecipePortion{Source: s.ID, Litres: s.Litres})
	}
	for _, g := range order.Goals {
		r.Goals = append(r.Goals, tanks.RecipeGoal{Analyte: g.Analyte, Value: g.Value, AtMost: g.AtMost})
	}
	for _, p := range order.Products {
		r.Products = append(r.Products, p.ID)
	}
	return r, true
}

// saveRecipe asks for a name and keeps the recipe; under the name of the one that is
// open it takes its place.
func (v *makingView) saveRecipe() {
	r, ok := v.recipeOf()
	if !ok {
		v.session.Say(session.Notice{Title: say.L("The water is not settled yet"),
			Text: say.L("See what is asked at its fields at the left.")})
		return
	}
	name := widgets.NewTextEntry(r.Name)
	form := widgets.NewForm(widgets.Field{Name: "name", Label: say.L("Name"), Input: name,
		Help: say.L("under the name of the recipe that is open it takes its place")})
	opened := v.recipe
	forms.Show(v.session, forms.Ask{Title: say.L("Save as a recipe"), Form: form, Read: func() (session.Deed, []widgets.Fault) {
		r.Name = strings.TrimSpace(name.Text)
		r.ID = 0
		if strings.EqualFold(r.Name, opened.Name) {
			r.ID = opened.ID
		}
		if faults := forms.Faults(r.Validate()); len(faults) > 0 {
			return nil, faults
		}
		return func(ctx context.Context, store *storage.Store) error { return store.SaveWaterRecipe(ctx, &r) }, nil
	}, Saved: func() {
		v.recipe = r
		v.session.Say(session.Notice{Title: say.L("Saved"), Text: say.F("%s can be opened here again.", r.Name)})
	}})
}

// openRecipe offers the recipes; one is opened by Enter.
func (v *makingView) openRecipe() {
	var closeDialog func()
	open := func(r tanks.WaterRecipe) {
		closeDialog()
		v.takeRecipe(r)
	}
	list := widgets.NewList(widgets.ListModel[tanks.WaterRecipeID, tanks.WaterRecipe]{
		Name: "dosing.recipes", Key: func(r tanks.WaterRecipe) tanks.WaterRecipeID { return r.ID },
		Columns: []widgets.ListColumn[tanks.WaterRecipe]{
			{ID: "name", Column: widgets.Column{Title: say.L("Recipe"), Weight: 2}, Cell: func(r tanks.WaterRecipe) widgets.Cell {
				return widgets.Cell{Bold: r.Name}
			}},
			{ID: "volume", Column: widgets.Column{Title: say.L("Volume"), Width: 90, Align: fyne.TextAlignTrailing},
				Cell: func(r tanks.WaterRecipe) widgets.Cell {
					return widgets.Cell{Text: v.session.Volume(r.Litres, 0), By: r.Litres}
				}},
			{ID: "waters", Column: widgets.Column{Title: say.L("Waters"), Weight: 2}, Cell: func(r tanks.WaterRecipe) widgets.Cell {
				return widgets.Cell{Text: v.watersText(r), Quiet: true}
			}},
		},
		Open: func(rs []tanks.WaterRecipe) { open(rs[0]) },
		Empty: func() fyne.CanvasObject {
			return widgets.NewEmpty(say.L("No recipe yet"), say.L("Settle a water at the left and save it as a recipe."))
		},
	}, v.session.Memory)
	list.SetGroups([]widgets.Group[tanks.WaterRecipe]{{Records: v.loaded.recipes}})
	remove := widgets.NewSecondary(say.L("Remove the recipe"), func() {
		if r, ok := list.Current(); ok {
			closeDialog()
			v.removeRecipe(r)
		}
	}).With(look.IconRemove)
	content := container.NewBorder(widgets.NewBar(remove).And(list.Tools()...), nil, nil, nil,
		container.NewGridWrap(fyne.NewSize(560, 300), list.Object()))
	closeDialog = widgets.ShowDialog(v.session.Window, widgets.Dialog{Title: say.L("Open a recipe"), Content: content,
		Confirm: say.L("Open"),
		Focus:   list.Focus(), Width: 560, OnConfirm: func() bool {
			r, ok := list.Current()
			if ok {
				v.takeRecipe(r)
			}
			return ok
		}})
}

func (v *makingView) watersText(r tanks.WaterRecipe) string {
	var codes []string
	for _, p := range r.Portions {
		if s, ok := v.loaded.room.System(p.Source); ok {
			codes = append(codes, s.Code)
		}
	}
	return strings.Join(codes, ", ")
}

func (v *makingView) removeRecipe(r tanks.WaterRecipe) {
	v.session.Act(say.L("Removing the recipe"), func(ctx context.Context, store *storage.Store) error {
		return store.RemoveWaterRecipe(ctx, r.ID)
	}, func() {
		if v.recipe.ID == r.ID {
			v.recipe = tanks.WaterRecipe{}
		}
		v.session.Say(session.Notice{Title: say.L("Removed"), Text: say.F("%s is no recipe any more. Undo brings it back.", r.Name)})
	})
}

// takeRecipe fills the fields from a recipe; what is no longer there of it is said.
func (v *makingView) takeRecipe(r tanks.WaterRecipe) {
	v.recipe = r
	gone := v.fields.fillFrom(r, v.loaded)
	v.compute()
	if len(gone) > 0 {
		v.session.Say(session.Notice{Title: say.F("%s is not as it was", r.Name), Bad: true,
			Text: say.F("Of it there is no more: %s. Choose something in its place.", strings.Join(gone, ", "))})
	}
}

// fillFrom sets all fields to a recipe and returns what of it is gone.
func (f *makingFields) fillFrom(r tanks.WaterRecipe, l *loaded) (gone []string) {
	f.filling = true
	defer func() { f.filling = false }()
	forWhom := r.For
	if forWhom == freshForNone && slices.ContainsFunc(r.Goals, func(g tanks.RecipeGoal) bool { return g.Analyte == chem.Salinity }) {
		forWhom = saltForNone
	}
	if s, ok := l.room.System(r.For); r.For != freshForNone && (!ok || s.Kind == tanks.Source) {
		gone = append(gone, say.L("the system that it was for"))
		forWhom = freshForNone
	}
	f.forWhom.SetSelected(forWhom)
	f.litres.SetValue(r.Litres)
	for i, w := range f.waters {
		w.source.SetSelected(noSource)
		w.litres.SetText("")
		if i >= len(r.Portions) {
			continue
		}
		if _, ok := l.room.System(r.Portions[i].Source); !ok {
			gone = append(gone, say.F("water %d", i+1))
			continue
		}
		w.source.SetSelected(r.Portions[i].Source)
		if r.Portions[i].Litres > 0 {
			w.litres.SetValue(r.Portions[i].Litres)
		}
	}
	f.fillGoalsFrom(r)
	f.air.SetText(widgets.PlainNumber(r.Air))
	for i, c := range f.minerals {
		c.SetSelected(0)
		if i >= len(r.Products) {
			continue
		}
		c.SetSelected(r.Products[i])
		if c.Value() != r.Products[i] {
			gone = append(gone, say.F("what is put in %d", i+1))
		}
	}
	return gone
}

func (f *makingFields) fillGoalsFrom(r tanks.WaterRecipe) {
	for _, g := range f.goals {
		i := slices.IndexFunc(r.Goals, func(x tanks.RecipeGoal) bool { return x.Analyte == g.analyte })
		if i < 0 {
			g.entry.SetText("")
			continue
		}
		g.entry.SetValue(r.Goals[i].Value)
	}
	f.ratio.SetText("")
	if r.CalciumToMagnesium > 0 {
		f.ratio.SetText(widgets.PlainNumber(r.CalciumToMagnesium))
	}
}
