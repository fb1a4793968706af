package dosing

import (
	"slices"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// recipeForm asks for the size of a stock solution and shows how to make it.
type recipeForm struct {
	product tanks.Product
	session *session.Session
	litres  *widgets.QuantityEntry
	coldest *widgets.QuantityEntry
	form    *widgets.Form
	weigh   *widgets.Table
	text    *fyne.Container
}

const (
	usualBatch   = 5  // L
	usualColdest = 10 // °C, an unheated room
)

func newRecipeForm(s *session.Session, p tanks.Product) *recipeForm {
	f := &recipeForm{session: s, product: p, litres: s.VolumeEntry(usualBatch, 1), text: container.NewVBox()}
	f.coldest = temperatureEntry(s, usualColdest)
	f.form = widgets.NewForm(
		widgets.Field{Name: "litres", Label: say.L("Volume"), Input: f.litres},
		widgets.Field{Name: "coldest", Label: say.L("Coldest place"), Input: f.coldest,
			Help: say.L("where it will stand; it must stay clear there")},
	)
	f.weigh = widgets.NewTable([]widgets.Column{
		{Title: say.L("Put in, in this order"), Weight: 3}, {Title: say.L("Weigh"), Width: 90, Align: fyne.TextAlignTrailing},
		{Title: say.L("Stays dissolved"), Weight: 2, Align: fyne.TextAlignTrailing},
	})
	f.litres.OnChanged = f.compute
	f.coldest.OnChanged = f.compute
	f.compute()
	return f
}

// compute shows the recipe, or what is wrong at its field.
func (f *recipeForm) compute() {
	var faults []widgets.Fault
	litres, err := f.litres.Value()
	if err != nil {
		faults = append(faults, widgets.Fault{Field: "litres", Problem: say.Of(err)})
	}
	coldest, err := f.coldest.Value()
	if err != nil {
		faults = append(faults, widgets.Fault{Field: "coldest", Problem: say.Of(err)})
	}
	var r chem.Recipe
	if len(faults) == 0 {
		if r, err = f.product.Contents.Stock(litres, coldest); err != nil {
			field := fieldOf(err, map[string]string{"temperature": "coldest"}, "litres")
			faults = append(faults, widgets.Fault{Field: field, Problem: say.Of(err)})
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
		stays := say.L("not known")
		switch {
		case w.Settles():
			stays = say.F("no: %.0f of %.0f g/L", w.Dissolves, w.GramsPerLitre)
		case w.Dissolves > 0:
			stays = say.F("yes, up to %.0f g/L", w.Dissolves)
		}
		rows = append(rows, widgets.Row{ID: i, Cells: []widgets.Cell{
			{Text: say.L(w.Compound.Name)}, {Bold: grams(w.Grams)}, {Text: stays, Quiet: !w.Settles()},
		}})
	}
	f.weigh.SetRows(rows)
	for _, line := range f.lines(r) {
		f.text.Add(widgets.NewWrapped(line))
	}
}

func grams(g float64) string {
	if g < 10 {
		return say.F("%.2f g", g)
	}
	return say.F("%.1f g", g)
}

// lines says the steps, what goes wrong, and the cautions.
func (f *recipeForm) lines(r chem.Recipe) []string {
	lines := []string{
		say.F("Begin with %s of cold pure water, stir in one after the other, each clear before the next, then fill up to %s.",
			f.session.Volume(r.WaterAtFirst, 2), f.session.Volume(r.Litres, 2)),
	}
	if !r.Stays() {
		lines = append(lines, say.L("This does not stay clear: make it weaker, or in separate bottles."))
	}
	for _, c := range r.Clashes {
		lines = append(lines, say.F("%s and %s together: %s.", ionName(c.First), ionName(c.Second), c.Why))
	}
	if line := f.warming(r); line != "" {
		lines = append(lines, line)
	}
	for _, c := range r.Cautions {
		lines = append(lines, say.L(c))
	}
	var sources []words.Text
	for _, w := range r.Weigh {
		if w.Compound.Note != "" {
			lines = append(lines, say.F("%s: %s", say.L(w.Compound.Name), say.L(w.Compound.Note)))
		}
		if source := w.Compound.SolubilitySource; w.Dissolves > 0 && !slices.Contains(sources, source) {
			sources = append(sources, source)
		}
	}
	for _, source := range sources {
		lines = append(lines,
			say.F("Solubility, each salt alone in pure water: %s. Grams in a litre follow from an estimated density.", source))
	}
	return append(lines, say.L("Label the bottle with contents, strength and date."))
}

// noticeable is a warming or cooling in °C that is worth a word.
const noticeable = 5

// warming says what happens to the temperature; by how much only where that is
// published.
func (f *recipeForm) warming(r chem.Recipe) string {
	switch {
	case r.Warming > noticeable && r.WarmingKnown:
		return say.F("It would warm by some %s if all went in at once. Let it cool before you fill up.", f.degrees(r.Warming))
	case r.Warming > noticeable:
		return say.L("It warms as it dissolves; by how much is not known here. Let it cool before you fill up.")
	case r.Warming < -noticeable && r.WarmingKnown:
		return say.F("It cools by some %s and dissolves slowly: let it come to room temperature before you fill up.",
			f.degrees(-r.Warming))
	case r.Warming < -noticeable:
		return say.L("It cools as it dissolves, and does so slowly: let it come to room temperature before you fill up.")
	}
	return ""
}

// degrees writes a difference of temperature in the person's unit.
func (f *recipeForm) degrees(celsius float64) string {
	u := f.session.Unit(chem.Temperature)
	d, err := chem.ConvertDelta(chem.Temperature, usualColdest, celsius, chem.Celsius, u, chem.Water{})
	if err != nil {
		return "?"
	}
	return say.F("%.0f %s", d, u)
}

var raisedSigns = strings.NewReplacer("^2+", "²⁺", "^3+", "³⁺", "^+", "⁺", "^2-", "²⁻", "^3-", "³⁻", "^-", "⁻")

// ionName writes an ion with a raised charge.
func ionName(formula string) string { return raisedSigns.Replace(formula) }

// makeUp opens the recipe of the current product.
func (v *shelfView) makeUp() {
	p, ok := v.list.Current()
	if !ok {
		return
	}
	f := newRecipeForm(v.session, p)
	list := container.NewGridWrap(fyne.NewSize(560, look.RowHeight()*float32(len(p.Contents.Ingredients)+1)+8), f.weigh)
	scroll := widgets.NewScrolled(container.NewVBox(f.form, list, f.text))
	scroll.SetMinSize(fyne.NewSize(580, 440))
	widgets.ShowDialog(v.session.Window, widgets.Dialog{
		Title: say.F("Make up %s", p.Name), Content: scroll, Focus: f.litres.FocusTarget(), Width: 580,
	})
}
