package dosing

import (
	"context"
	"errors"
	"fmt"
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

// shelfView is the products with stock and strength.
type shelfView struct {
	session *session.Session
	loaded  *loaded
	table   *widgets.Table
	listing *widgets.List // what table shows
	list    *fyne.Container
	content fyne.CanvasObject
}

func newShelfView(s *session.Session) *shelfView {
	v := &shelfView{session: s, list: container.NewStack()}
	v.listing = widgets.NewList([]widgets.Column{
		{Title: say.L("Product"), Weight: 2}, {Title: say.L("Contains"), Weight: 3}, {Title: say.F("One unit in %s", s.Volume(100*s.VolumeUnit().Litres(), 0)), Weight: 3},
		{Title: say.L("Left"), Width: 90, Align: fyne.TextAlignTrailing}, {Title: say.L("Full"), Width: 90, Align: fyne.TextAlignTrailing}, {Title: say.L("Price"), Width: 60, Align: fyne.TextAlignTrailing},
	}, s.Memory, "dosing.shelf")
	v.table = v.listing.Table
	v.table.OnOpen = func(n int) { v.edit(v.loaded.products[n]) }
	buttons := widgets.NewBar(widgets.NewPrimary(say.L("Add a product"), func() { v.edit(tanks.Product{}) }).With(look.IconAdd), widgets.NewSecondary(say.L("Change"), v.editCurrent).With(look.IconChange), widgets.NewSecondary(say.L("Make it up"), v.makeUp).With(look.IconSamples)).And(v.listing.Tools()...)
	v.content = container.NewBorder(buttons, nil, nil, nil, v.list)
	return v
}

func (v *shelfView) object() fyne.CanvasObject { return v.content }

func (v *shelfView) focus() fyne.Focusable { return widgets.IfShown(v.list, v.table, v.table) }

func (v *shelfView) show(l *loaded) {
	v.loaded = l
	var rows []widgets.Row
	for n, p := range l.products {
		name := widgets.Cell{Text: p.Name}
		if p.Retired {
			name = widgets.Cell{Text: say.F("%s (retired)", p.Name), Quiet: true}
		}
		rows = append(rows, widgets.Row{ID: n, Cells: []widgets.Cell{
			name, {Text: contains(v.session, p.Contents), Quiet: true}, {Text: v.does(p)}, {Text: amount(p.Stock, p), By: p.Stock}, {Text: amount(p.Full, p), Quiet: true, By: p.Full}, {Text: price(p.Price), Quiet: true, By: p.Price},
		}})
	}
	v.listing.SetRows(rows)
	v.list.Objects = []fyne.CanvasObject{v.table}
	if len(rows) == 0 {
		v.list.Objects = []fyne.CanvasObject{widgets.NewEmpty(say.L("The shelf is empty"), say.L("Describe each bottle and bag by the compound in it and its strength; the plan then knows what it does to a system."),
			widgets.Action{Text: say.L("Add a product"), Do: func() { v.edit(tanks.Product{}) }})}
	}
	v.list.Refresh()
}

func price(p float64) string {
	if p == 0 {
		return ""
	}
	return say.F("%.2f", p)
}

// contains writes what is in a product.
func contains(in *session.Session, p chem.Product) string {
	var parts []string
	for _, part := range p.Ingredients {
		if p.Form == chem.Liquid {
			parts = append(parts, say.F("%s %.4g %s", part.Compound, part.Amount, "g/L"))
		} else {
			parts = append(parts, say.F("%s %.3g %%", part.Compound, part.Amount*100))
		}
	}
	for _, s := range p.Label {
		parts = append(parts, say.F("label: %.3g %s raise %s by %.4g %s", s.Amount, p.AmountUnit(), in.Volume(s.Litres, 0), s.Raises, s.Analyte))
	}
	return strings.Join(parts, ", ")
}

// does writes the main effects of one unit in a hundred of the unit of volume.
func (v *shelfView) does(p tanks.Product) string {
	effects, err := p.Contents.Effects()
	if err != nil {
		return say.Of(err)
	}
	var parts []string
	for _, a := range planned {
		e := effects[a] / (100 * v.session.VolumeUnit().Litres())
		if e == 0 {
			continue
		}
		info, _ := chem.Lookup(a)
		u := v.session.Unit(a)
		in, err := chem.ConvertDelta(a, 0, e, info.Unit, u, chem.Water{})
		if err == nil {
			parts = append(parts, say.F("%s %+.3g %s", info.Symbol, in, u))
		}
	}
	return strings.Join(parts, ", ")
}

func (v *shelfView) editCurrent() {
	if n, ok := v.table.Current(); ok && v.loaded != nil {
		v.edit(v.loaded.products[n])
	}
}

// compounds lists the compounds by name, with their formula.
func compounds() (names []string, keys map[string]string) {
	keys = map[string]string{}
	for _, c := range chem.Compounds() {
		label := say.F("%s, %s", c.Name, c.Key)
		names = append(names, label)
		keys[label] = c.Key
	}
	return names, keys
}

const (
	liquidForm words.Text = "Liquid, grams in a litre"
	massForm   words.Text = "Liquid, per cent by mass"
	solidForm  words.Text = "Solid, per cent"
	mostParts             = 3 // ingredients that the form offers
)

// productForm is the form of one product.
type productForm struct {
	form     *widgets.Form
	name     *widgets.TextEntry
	kind     *widgets.Choice
	compound [mostParts]*widgets.Choice
	strength [mostParts]*widgets.NumberEntry
	density  *widgets.NumberEntry
	stock    *widgets.NumberEntry
	full     *widgets.NumberEntry
	price    *widgets.NumberEntry
	caution  *widgets.TextEntry
	retired  *widgets.Check
	keys     map[string]string
}

func newProductForm(p tanks.Product) *productForm {
	names, keys := compounds()
	f := &productForm{
		name: widgets.NewTextEntry(p.Name), kind: widgets.NewChoice([]string{say.L(liquidForm), say.L(massForm), say.L(solidForm)}, say.L(liquidForm)), density: widgets.NewNumberEntry(""), stock: widgets.NewNumberEntryOf(p.Stock), full: widgets.NewNumberEntryOf(p.Full),
		price: widgets.NewNumberEntryOf(p.Price), caution: widgets.NewTextEntry(p.Caution), retired: widgets.NewCheck(say.L("not offered in plans any more"), nil), keys: keys,
	}
	if p.Contents.Form == chem.Solid {
		f.kind.SetSelected(say.L(solidForm))
	}
	f.retired.SetChecked(p.Retired)
	fields := []widgets.Field{{Name: "name", Label: say.L("Name"), Input: f.name, Help: say.L("as on your shelf")}, {Name: "form", Label: say.L("Form"), Input: f.kind}}
	for i := range mostParts {
		chosen, strength := "", 0.0
		if i < len(p.Contents.Ingredients) {
			in := p.Contents.Ingredients[i]
			for label, key := range keys {
				if key == in.Compound {
					chosen = label
				}
			}
			strength = in.Amount
			if p.Contents.Form == chem.Solid {
				strength *= 100
			}
		}
		f.compound[i], f.strength[i] = widgets.NewChoice(append([]string{""}, names...), chosen), widgets.NewNumberEntryOf(strength)
		help := ""
		if i == 0 {
			help = say.L("g in a litre of a liquid, % of a solid (99 for nearly pure) or of a liquid's mass")
		}
		fields = append(fields,
			widgets.Field{Name: fmt.Sprintf("compound%d", i), Label: say.F("Compound %d", i+1), Input: f.compound[i]},
			widgets.Field{Name: fmt.Sprintf("strength%d", i), Label: say.L("Strength"), Input: f.strength[i], Help: help})
	}
	fields = append(fields,
		widgets.Field{Name: "density", Label: say.L("Density"), Input: f.density, Help: say.L("kg/L, only of a liquid that is given by mass; kept as g in a litre")},
		widgets.Field{Name: "stock", Label: say.L("Left"), Input: f.stock, Help: say.L("mL of a liquid, g of a solid")},
		widgets.Field{Name: "full", Label: say.L("A full package"), Input: f.full},
		widgets.Field{Name: "price", Label: say.L("Its price"), Input: f.price},
		widgets.Field{Name: "caution", Label: say.L("Caution"), Input: f.caution, Help: say.L("from the label; shown where it is dosed")},
		widgets.Field{Name: "retired", Label: say.L("Retired"), Input: f.retired},
	)
	f.form = widgets.NewForm(fields...)
	return f
}

// read takes the form over into p, or returns what is wrong at which field.
func (f *productForm) read(p tanks.Product) (tanks.Product, []widgets.Fault) {
	var faults []widgets.Fault
	number := func(field string, e *widgets.NumberEntry) float64 {
		if strings.TrimSpace(e.Text) == "" {
			return 0
		}
		v, err := e.Value()
		if err != nil {
			faults = append(faults, widgets.Fault{Field: field, Problem: say.Of(err)})
		}
		return v
	}
	p.Name, p.Caution, p.Retired = strings.TrimSpace(f.name.Text), strings.TrimSpace(f.caution.Text), f.retired.Checked
	p.Stock, p.Full, p.Price = number("stock", f.stock), number("full", f.full), number("price", f.price)
	p.Contents.Form = chem.Liquid
	share := 1.0
	switch f.kind.Selected() {
	case say.L(solidForm):
		p.Contents.Form, share = chem.Solid, 0.01
	case say.L(massForm):
		share = 0.01
	}
	p.Contents.Ingredients = nil
	for i := range mostParts {
		if f.compound[i].Selected() == "" {
			continue
		}
		strength := number(fmt.Sprintf("strength%d", i), f.strength[i]) * share
		p.Contents.Ingredients = append(p.Contents.Ingredients, chem.Ingredient{Compound: f.keys[f.compound[i].Selected()], Amount: strength})
	}
	if f.kind.Selected() == say.L(massForm) && len(faults) == 0 {
		made, err := chem.LiquidByMass(p.Contents.Ingredients, number("density", f.density))
		if err != nil {
			field := "strength0"
			if errors.As(err, new(chem.RangeError)) {
				field = "density"
			}
			return p, append(faults, widgets.Fault{Field: field, Problem: say.Of(err)})
		}
		p.Contents.Ingredients = made.Ingredients
	}
	for _, fault := range session.FormFaults(p.Validate()) {
		if fault.Field == "contents" {
			fault.Field = "strength0"
		}
		faults = append(faults, fault)
	}
	return p, faults
}

// edit asks for a product; one without ID is new.
func (v *shelfView) edit(p tanks.Product) {
	f := newProductForm(p)
	title := say.F("Change %s", p.Name)
	if p.ID == 0 {
		title = say.L("Add a product")
	}
	scroll := widgets.NewScrolled(f.form)
	scroll.SetMinSize(fyne.NewSize(480, 430))
	widgets.ShowDialog(v.session.Window, widgets.Dialog{Title: title, Content: scroll, Confirm: say.L("Save"), Focus: f.name, Width: 480, OnConfirm: func() bool {
		next, faults := f.read(p)
		f.form.ShowFaults(faults)
		if len(faults) > 0 {
			return false
		}
		v.session.Act(say.L("Saving the product"), func(ctx context.Context) error {
			return v.session.Store.SaveProduct(ctx, &next)
		}, nil)
		return true
	}})
}
