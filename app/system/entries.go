package system

import (
	"cmp"
	"context"
	"slices"
	"strings"
	"time"

	"weirkeeper/app/forms"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/storage"
	"weirkeeper/tanks"
)

// addNote asks for a dated note on the system.
func (p *Page) addNote() {
	if p.loaded == nil {
		return
	}
	text := widgets.NewNoteEntry("", 5)
	form := widgets.NewForm(widgets.Field{Name: "text", Label: say.L("What you saw"), Input: text})
	system := p.loaded.system
	forms.Show(p.session, forms.Ask{Title: say.F("Note on %s", system.Code), Form: form, Read: func() (session.Deed, []widgets.Fault) {
		o := tanks.Observation{System: system.ID, At: p.session.Clock(), Text: strings.TrimSpace(text.Text), Person: p.session.Person}
		return func(ctx context.Context, store *storage.Store) error {
			return store.SaveObservation(ctx, &o)
		}, forms.Faults(o.Validate(p.session.Clock()))
	}})
}

// addAddition asks for something that was put into the system.
func (p *Page) addAddition() {
	if p.loaded == nil {
		return
	}
	products := offered(p.loaded.names.products)
	if len(products) == 0 {
		p.session.Say(session.Notice{
			Title: say.L(
				"No product is on the shelf",
			), Text: say.L("An addition names what was put in. Add the product on the shelf first."),
			Do: say.L("Shelf"), Then: func() { p.session.Go(session.Route{Place: session.Dosing, Section: session.DosingShelf}) },
		})
		return
	}
	choice := widgets.NewChoice(products, 0)
	amount := widgets.NewNumberEntry("")
	at := widgets.NewDateTimeEntry(time.Time{}, p.session.Zone, p.session.Clock)
	note := widgets.NewTextEntry("")
	form := widgets.NewForm(
		widgets.Field{Name: "product", Label: say.L("Product"), Input: choice},
		widgets.Field{Name: "amount", Label: say.L("Amount"), Input: amount, Help: say.L("in mL of a liquid, in g of a solid")},
		widgets.Field{Name: "at", Label: say.L("When"), Input: at, Help: say.L("empty: now")},
		widgets.Field{Name: "note", Label: say.L("Note"), Input: note},
	)
	system := p.loaded.system
	forms.Show(p.session, forms.Ask{Title: say.F("Addition to %s", system.Code), Form: form, Read: func() (session.Deed, []widgets.Fault) {
		now := p.session.Clock()
		a := tanks.Addition{
			System:  system.ID,
			Product: choice.Value(),
			At:      now,
			Note:    strings.TrimSpace(note.Text),
			Person:  p.session.Person,
		}
		var faults []widgets.Fault
		var err error
		if a.Amount, err = amount.Value(); err != nil {
			faults = append(faults, widgets.Fault{Field: "amount", Problem: say.Of(err)})
		}
		when, err := at.Time()
		if err != nil {
			faults = append(faults, widgets.Fault{Field: "at", Problem: say.Of(err)})
		}
		if !when.IsZero() {
			a.At = when
		}
		if len(faults) == 0 {
			faults = forms.Faults(a.Validate(now))
		}
		return func(ctx context.Context, store *storage.Store) error { return store.SaveAddition(ctx, &a) }, faults
	}})
}

// offered lists the products in use by name; what is left of each tells apart
// those of one name.
func offered(products map[tanks.ProductID]tanks.Product) []widgets.Option[tanks.ProductID] {
	var out []widgets.Option[tanks.ProductID]
	for _, p := range products {
		if !p.Retired {
			out = append(out, widgets.Option[tanks.ProductID]{Value: p.ID, Name: p.Name, Detail: say.F("%.4g %s left", p.Stock, p.Unit())})
		}
	}
	slices.SortFunc(out, func(a, b widgets.Option[tanks.ProductID]) int {
		return cmp.Or(strings.Compare(a.Name, b.Name), cmp.Compare(a.Value, b.Value))
	})
	return out
}
