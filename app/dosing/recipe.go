package dosing

import (
	"fmt"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/look"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// recipeForm asks for the size of a stock solution and shows how to make it.
type recipeForm struct {
	product tanks.Product
	litres  *widgets.NumberEntry
	coldest *widgets.NumberEntry
	form    *widgets.Form
	weigh   *widgets.Table
	text    *fyne.Container
}

const (
	usualBatch   = 5  // L
	usualColdest = 10 // °C, an unheated room
)

func newRecipeForm(p tanks.Product) *recipeForm {
	f := &recipeForm{product: p, litres: widgets.NewNumberEntryOf(usualBatch), coldest: widgets.NewNumberEntryOf(usualColdest), text: container.NewVBox()}
	f.form = widgets.NewForm(
		widgets.Field{Name: "litres", Label: "Litres", Input: f.litres},
		widgets.Field{Name: "coldest", Label: "Coldest place", Input: f.coldest, Help: "°C where it will stand; it must stay clear there"},
	)
	f.weigh = widgets.NewTable([]widgets.Column{
		{Title: "Put in, in this order", Weight: 3}, {Title: "Weigh", Width: 90, Align: fyne.TextAlignTrailing}, {Title: "Stays dissolved", Weight: 2, Align: fyne.TextAlignTrailing},
	})
	f.litres.OnChanged = func(string) { f.compute() }
	f.coldest.OnChanged = func(string) { f.compute() }
	f.compute()
	return f
}

// compute shows the recipe, or what is wrong at its field.
func (f *recipeForm) compute() {
	var faults []widgets.Fault
	litres, err := f.litres.Value()
	if err != nil {
		faults = append(faults, widgets.Fault{Field: "litres", Problem: err.Error()})
	}
	coldest, err := f.coldest.Value()
	if err != nil {
		faults = append(faults, widgets.Fault{Field: "coldest", Problem: err.Error()})
	}
	var r chem.Recipe
	if len(faults) == 0 {
		if r, err = f.product.Contents.Stock(litres, coldest); err != nil {
			faults = append(faults, widgets.Fault{Field: fieldOf(err, map[string]string{"temperature": "coldest"}, "litres"), Problem: err.Error()})
		}
	}
	f.form.ShowFaults(faults)
	f.weigh.SetRows(nil)
	f.text.Objects = nil
	if len(faults) == 0 {
		f.show(r)
	}
	f.text.Refresh()
}

func (f *recipeForm) show(r chem.Recipe) {
	var rows []widgets.Row
	for i, w := range r.Weigh {
		stays := "not known"
		switch {
		case w.Settles():
			stays = fmt.Sprintf("no: %.0f of %.0f g/L", w.Dissolves, w.GramsPerLitre)
		case w.Dissolves > 0:
			stays = fmt.Sprintf("yes, up to %.0f g/L", w.Dissolves)
		}
		rows = append(rows, widgets.Row{ID: i, Cells: []widgets.Cell{{Text: w.Compound.Name}, {Bold: grams(w.Grams)}, {Text: stays, Quiet: !w.Settles()}}})
	}
	f.weigh.SetRows(rows)
	for _, line := range recipeLines(r) {
		f.text.Add(widgets.NewWrapped(line))
	}
}

func grams(g float64) string {
	if g < 10 {
		return fmt.Sprintf("%.2f g", g)
	}
	return fmt.Sprintf("%.1f g", g)
}

// recipeLines says the steps, what goes wrong, and the cautions.
func recipeLines(r chem.Recipe) []string {
	lines := []string{fmt.Sprintf("Begin with %.2f L of cold pure water, stir in one after the other, each clear before the next, then fill up to %.4g L.", r.WaterAtFirst, r.Litres)}
	if !r.Stays() {
		lines = append(lines, "This does not stay clear: make it weaker, or in separate bottles.")
	}
	for _, c := range r.Clashes {
		lines = append(lines, fmt.Sprintf("%s and %s together: %s.", ionName(c.First), ionName(c.Second), c.Why))
	}
	switch {
	case r.Warming > 5:
		lines = append(lines, fmt.Sprintf("It would warm by some %.0f °C if all went in at once. Let it cool before you fill up.", r.Warming))
	case r.Warming < -5:
		lines = append(lines, fmt.Sprintf("It cools by some %.0f °C and dissolves slowly: let it come to room temperature before you fill up.", -r.Warming))
	}
	lines = append(lines, r.Cautions...)
	return append(lines, "Label the bottle with contents, strength and date. Solubilities are handbook values from memory, each salt alone.")
}

var raisedSigns = strings.NewReplacer("^2+", "²⁺", "^3+", "³⁺", "^+", "⁺", "^2-", "²⁻", "^3-", "³⁻", "^-", "⁻")

// ionName writes an ion with a raised charge.
func ionName(formula string) string { return raisedSigns.Replace(formula) }

// makeUp opens the recipe of the current product.
func (v *shelfView) makeUp() {
	n, ok := v.table.Current()
	if !ok || v.loaded == nil {
		return
	}
	p := v.loaded.products[n]
	f := newRecipeForm(p)
	list := container.NewGridWrap(fyne.NewSize(560, look.RowHeight*float32(len(p.Contents.Ingredients)+1)+8), f.weigh)
	scroll := container.NewVScroll(container.NewVBox(f.form, list, f.text))
	scroll.SetMinSize(fyne.NewSize(580, 440))
	widgets.ShowDialog(v.session.Window, widgets.Dialog{Title: "Make up " + p.Name, Content: scroll, Focus: f.litres, Width: 580})
}
