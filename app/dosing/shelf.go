package dosing

import (
	"context"
	"errors"
	"fmt"
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

// shelfView is the products with stock and strength.
type shelfView struct {
	session *session.Session
	list    *widgets.List[tanks.ProductID, tanks.Product]
	begin   bool // a new product is asked for
	content fyne.CanvasObject
}

func newShelfView(s *session.Session) *shelfView {
	v := &shelfView{session: s}
	v.list = widgets.NewList(widgets.ListModel[tanks.ProductID, tanks.Product]{
		Name: "dosing.shelf", Key: func(p tanks.Product) tanks.ProductID { return p.ID },
		Columns: v.columns(), Open: v.editFirst, Empty: v.empty,
	}, s.Memory)
	buttons := widgets.NewBar(widgets.NewPrimary(say.L("Add a product"), func() { v.edit(tanks.Product{}) }).With(look.IconAdd),
		widgets.NewSecondary(say.L("Change"), func() { v.editFirst(v.list.Chosen()) }).With(look.IconChange),
		widgets.NewSecondary(say.L("Make it up"), v.makeUp).With(look.IconSamples)).And(v.list.Tools()...)
	v.content = container.NewBorder(buttons, nil, nil, nil, v.list.Object())
	return v
}

func (v *shelfView) columns() []widgets.ListColumn[tanks.Product] {
	number := func(title string, width float32) widgets.Column {
		return widgets.Column{Title: title, Width: width, Align: fyne.TextAlignTrailing}
	}
	does := say.F("One unit in %s", v.session.Volume(100*v.session.VolumeUnit().Litres(), 0))
	return []widgets.ListColumn[tanks.Product]{
		{ID: "product", Column: widgets.Column{Title: say.L("Product"), Weight: 2}, Cell: func(p tanks.Product) widgets.Cell {
			if p.Retired {
				return widgets.Cell{Text: say.F("%s (retired)", p.Name), Quiet: true}
			}
			return widgets.Cell{Text: p.Name}
		}},
		{ID: "contains", Column: widgets.Column{Title: say.L("Contains"), Weight: 3}, Cell: func(p tanks.Product) widgets.Cell {
			return widgets.Cell{Text: contains(v.session, p.Contents), Quiet: true}
		}},
		{ID: "does", Column: widgets.Column{Title: does, Weight: 3}, Cell: func(p tanks.Product) widgets.Cell {
			return widgets.Cell{Text: v.does(p)}
		}},
		{ID: "left", Column: number(say.L("Left"), 90), Cell: func(p tanks.Product) widgets.Cell {
			return widgets.Cell{Text: amount(p.Stock, p), By: p.Stock}
		}},
		{ID: "full", Column: number(say.L("Full"), 90), Cell: func(p tanks.Product) widgets.Cell {
			return widgets.Cell{Text: amount(p.Full, p), Quiet: true, By: p.Full}
		}},
		{ID: "price", Column: number(say.L("Price"), 60), Cell: func(p tanks.Product) widgets.Cell {
			return widgets.Cell{Text: price(p.Price), Quiet: true, By: p.Price}
		}},
	}
}

func (v *shelfView) object() fyne.CanvasObject { return v.content }

func (v *shelfView) focus() fyne.Focusable { return v.list.Focus() }

func (v *shelfView) show(l *loaded) {
	v.list.SetRecords(l.products)
	if v.begin {
		v.begin = false
		v.edit(tanks.Product{})
	}
}

func (v *shelfView) empty() fyne.CanvasObject {
	return widgets.NewEmpty(say.L("The shelf is empty"), say.L("Describe each bottle and bag by the compound in it and its strength; "+
		"the plan then knows what it does to a system."),
		widgets.Action{Text: say.L("Add a product"), Do: func() { v.edit(tanks.Product{}) }})
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
		parts = append(parts, say.F("label: %.3g %s change %s by %s", s.Amount, p.AmountUnit(), in.Volume(s.Litres, 0), raised(in, s)))
	}
	return strings.Join(parts, ", ")
}

// raised writes what a label says of an analyte, in the unit shown.
func raised(in *session.Session, s chem.Strength) string {
	info, _ := chem.Lookup(s.Analyte)
	u := in.Unit(s.Analyte)
	v, err := chem.ConvertDelta(s.Analyte, 0, s.Raises, info.Unit, u, chem.Water{})
	if err != nil {
		return "?"
	}
	return say.F("%s %+.4g %s", info.Symbol, v, u)
}

// does writes the effects of one unit in a hundred of the unit of volume, what
// plans are about first, and the alkalinity that bacteria make of it later.
func (v *shelfView) does(p tanks.Product) string {
	effects, err := p.Contents.Effects()
	if err != nil {
		return say.Of(err)
	}
	per := 1 / (100 * v.session.VolumeUnit().Litres())
	var parts []string
	for _, a := range shelfOrder(effects) {
		if text := v.change(a, effects[a]*per); text != "" {
			parts = append(parts, text)
		}
	}
	if later := p.Contents.AlkalinityLater(); later != 0 {
		parts = append(parts, say.F("later %s", v.change(chem.Alkalinity, later*per)))
	}
	return strings.Join(parts, ", ")
}

// change writes a change of an analyte in the unit shown.
func (v *shelfView) change(a chem.Analyte, canonical float64) string {
	info, _ := chem.Lookup(a)
	u := v.session.Unit(a)
	in, err := chem.ConvertDelta(a, 0, canonical, info.Unit, u, chem.Water{})
	if err != nil {
		return ""
	}
	return say.F("%s %+.3g %s", info.Symbol, in, u)
}

// shelfOrder lists what a product changes: what plans are about, then the others;
// salinity only where nothing else is said.
func shelfOrder(effects chem.Effects) []chem.Analyte {
	var out []chem.Analyte
	for _, a := range planned {
		if effects[a] != 0 {
			out = append(out, a)
		}
	}
	for _, info := range chem.Catalogue() {
		if a := info.Analyte; effects[a] != 0 && a != chem.Salinity && !slices.Contains(out, a) {
			out = append(out, a)
		}
	}
	if len(out) == 0 && effects[chem.Salinity] != 0 {
		out = append(out, chem.Salinity)
	}
	return out
}

func (v *shelfView) editFirst(products []tanks.Product) {
	if len(products) > 0 {
		v.edit(products[0])
	}
}

// compounds lists the compounds by name, with their formula.
func compounds() []widgets.Option[string] {
	options := []widgets.Option[string]{{}}
	for _, c := range chem.Compounds() {
		options = append(options, widgets.Option[string]{Value: c.Key, Name: say.F("%s, %s", c.Name, c.Key)})
	}
	return options
}

// strengthBy is how the strength of a product is given.
type strengthBy int

// The ways to give it.
const (
	byLitre strengthBy = iota
	byMass
	bySolid
)

func strengths() []widgets.Option[strengthBy] {
	return []widgets.Option[strengthBy]{
		{Value: byLitre, Name: say.L("Liquid, grams in a litre")}, {Value: byMass, Name: say.L("Liquid, per cent by mass")},
		{Value: bySolid, Name: say.L("Solid, per cent")},
	}
}

// mostParts is how many ingredients the form offers.
const mostParts = 3

// productForm is the form of one product.
type productForm struct {
	form     *widgets.Form
	name     *widgets.TextEntry
	kind     *widgets.Choice[strengthBy]
	compound [mostParts]*widgets.Choice[string]
	strength [mostParts]*widgets.NumberEntry
	density  *widgets.NumberEntry
	label    labelFields
	stock    *widgets.NumberEntry
	full     *widgets.NumberEntry
	price    *widgets.NumberEntry
	caution  *widgets.TextEntry
	retired  *widgets.Check
}

func newProductForm(in *session.Session, p tanks.Product) *productForm {
	kind := byLitre
	if p.Contents.Form == chem.Solid {
		kind = bySolid
	}
	f := &productForm{
		name: widgets.NewTextEntry(p.Name), kind: widgets.NewChoice(strengths(), kind), density: widgets.NewNumberEntry(""),
		label: newLabelFields(in, p.Contents.Label), stock: widgets.NewNumberEntryOf(p.Stock),
		full: widgets.NewNumberEntryOf(p.Full), price: widgets.NewNumberEntryOf(p.Price),
		caution: widgets.NewTextEntry(p.Caution), retired: widgets.NewCheck(say.L("not offered in plans any more"), nil),
	}
	f.retired.SetChecked(p.Retired)
	fields := []widgets.Field{
		{Name: "name", Label: say.L("Name"), Input: f.name, Help: say.L("as on your shelf")},
		{Name: "form", Label: say.L("Form"), Input: f.kind},
	}
	for i := range mostParts {
		chosen, strength := "", 0.0
		if i < len(p.Contents.Ingredients) {
			chosen, strength = p.Contents.Ingredients[i].Compound, p.Contents.Ingredients[i].Amount
			if p.Contents.Form == chem.Solid {
				strength *= 100
			}
		}
		f.compound[i], f.strength[i] = widgets.NewChoice(compounds(), chosen), widgets.NewNumberEntryOf(strength)
		help := ""
		if i == 0 {
			help = say.L("g in a litre of a liquid, % of a solid (99 for nearly pure) or of a liquid's mass")
		}
		fields = append(fields,
			widgets.Field{Name: fmt.Sprintf("compound%d", i), Label: say.F("Compound %d", i+1), Input: f.compound[i]},
			widgets.Field{Name: fmt.Sprintf("strength%d", i), Label: say.L("Strength"), Input: f.strength[i], Help: help})
	}
	fields = append(fields,
		widgets.Field{Name: "density", Label: say.L("Density"), Input: f.density,
			Help: say.L("kg/L, only of a liquid that is given by mass; kept as g in a litre")})
	fields = append(fields, f.label.fields()...)
	fields = append(fields,
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
	switch f.kind.Value() {
	case bySolid:
		p.Contents.Form, share = chem.Solid, 0.01
	case byMass:
		share = 0.01
	}
	p.Contents.Ingredients = nil
	for i := range mostParts {
		compound := f.compound[i].Value()
		if compound == "" {
			continue
		}
		strength := number(fmt.Sprintf("strength%d", i), f.strength[i]) * share
		p.Contents.Ingredients = append(p.Contents.Ingredients, chem.Ingredient{Compound: compound, Amount: strength})
	}
	if f.kind.Value() == byMass && len(faults) == 0 {
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
	var wrong []widgets.Fault
	p.Contents.Label, wrong = f.label.read()
	faults = append(faults, wrong...)
	if len(faults) > 0 {
		return p, faults
	}
	for _, fault := range forms.Faults(p.Validate()) {
		if fault.Field == "contents" {
			fault.Field = "strength0"
			if len(p.Contents.Ingredients) == 0 && len(p.Contents.Label) > 0 {
				fault.Field = "label0"
			}
		}
		faults = append(faults, fault)
	}
	return p, faults
}

// edit asks for a product; one without ID is new.
func (v *shelfView) edit(p tanks.Product) {
	f := newProductForm(v.session, p)
	title := say.F("Change %s", p.Name)
	if p.ID == 0 {
		title = say.L("Add a product")
	}
	forms.Show(v.session, forms.Ask{Title: title, Form: f.form, Size: fyne.NewSize(480, 430), Read: func() (session.Deed,
		[]widgets.Fault) {
		next, faults := f.read(p)
		return func(ctx context.Context, store *storage.Store) error { return store.SaveProduct(ctx, &next) }, faults
	}})
}
