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
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/tanks"
)

// title names the event; a withdrawn one says so.
func (e event) title() string {
	if e.withdrawn {
		return say.F("%s (withdrawn)", e.what)
	}
	return e.what
}

// addNote asks for a dated note on the system.
func (p *Page) addNote() {
	text := widgets.NewNoteEntry("", 5)
	form := widgets.NewForm(widgets.Field{Name: "text", Label: say.L("What you saw"), Input: text})
	id := p.id
	forms.Show(p.session, forms.Ask{Title: say.F("Note on %s", p.code()), Form: form, Read: func() (session.Deed, []widgets.Fault) {
		o := tanks.Observation{System: id, At: p.session.Clock(), Text: strings.TrimSpace(text.Text), Person: p.session.Person}
		return func(ctx context.Context, store *storage.Store) error { return store.SaveObservation(ctx, &o) }, forms.Faults(o.Validate(p.session.Clock()))
	}})
}

// addAddition asks for something that was put into the system.
func (p *Page) addAddition() {
	if p.loaded == nil {
		return
	}
	var products []widgets.Option[tanks.ProductID]
	for _, product := range p.loaded.names.products {
		if !product.Retired {
			products = append(products, widgets.Option[tanks.ProductID]{Value: product.ID, Name: product.Name, Detail: say.F("%.4g %s left", product.Stock, product.Unit())})
		}
	}
	slices.SortFunc(products, func(a, b widgets.Option[tanks.ProductID]) int {
		return cmp.Or(strings.Compare(a.Name, b.Name), cmp.Compare(a.Value, b.Value))
	})
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
	id := p.id
	forms.Show(p.session, forms.Ask{Title: say.F("Addition to %s", p.code()), Form: form, Read: func() (session.Deed, []widgets.Fault) {
		a := tanks.Addition{System: id, Product: choice.Value(), At: p.session.Clock(), Note: note.Text, Person: p.session.Person}
		given, err := amount.Value()
		if err != nil {
			return nil, []widgets.Fault{{Field: "amount", Problem: say.Of(err)}}
		}
		a.Amount = given
		when, err := at.Time()
		if err != nil {
			return nil, []widgets.Fault{{Field: "at", Problem: say.Of(err)}}
		}
		if !when.IsZero() {
			a.At = when
		}
		return func(ctx context.Context, store *storage.Store) error { return store.SaveAddition(ctx, &a) }, forms.Faults(a.Validate(p.session.Clock()))
	}})
}

// amend lets a reading be corrected or withdrawn with a reason; the first
// value stays in the record.
func (p *Page) amend(e event) {
	if e.kind != "reading" || e.withdrawn {
		return
	}
	value := widgets.NewTextEntry(e.reading.Typed)
	reason := widgets.NewTextEntry("")
	withdraw := widgets.NewCheck(say.L("It should not count at all"), nil)
	form := widgets.NewForm(
		widgets.Field{Name: "value", Label: say.F("%s, %s", e.reading.Analyte, e.reading.Unit), Input: value},
		widgets.Field{Name: "withdraw", Label: say.L("Withdraw"), Input: withdraw},
		widgets.Field{Name: "reason", Label: say.L("Why"), Input: reason, Help: say.L("The first value stays in the record, with this reason.")},
	)
	water := p.loaded.room.Water(p.id)
	forms.Show(p.session, forms.Ask{Title: say.F("Correct a value of %s", p.code()), Form: form, Read: func() (session.Deed, []widgets.Fault) {
		why, person := strings.TrimSpace(reason.Text), p.session.Person
		if why == "" {
			return nil, []widgets.Fault{{Field: "reason", Problem: say.L("The record needs a reason"), Remedy: say.L("say in a word or two what was wrong")}}
		}
		if withdraw.Checked {
			return func(ctx context.Context, store *storage.Store) error {
				return store.WithdrawReading(ctx, e.reading.ID, why, person)
			}, nil
		}
		r, fault := retyped(e.reading, value.Text, water)
		if fault != nil {
			return nil, []widgets.Fault{*fault}
		}
		return func(ctx context.Context, store *storage.Store) error {
			return store.AmendReading(ctx, r.ID, r, why, person)
		}, forms.Faults(r.Validate(p.session.Clock()))
	}})
}

// retyped is the reading with another value, in the unit it was typed in.
func retyped(r tanks.Reading, text string, water chem.Water) (tanks.Reading, *widgets.Fault) {
	q, err := chem.ParseNumber(text)
	if err != nil {
		return r, &widgets.Fault{Field: "value", Problem: say.Of(err)}
	}
	info, _ := chem.Lookup(r.Analyte)
	v, err := chem.Convert(r.Analyte, q.Value, r.Unit, info.Unit, water)
	if err != nil {
		return r, &widgets.Fault{Field: "value", Problem: say.Of(err)}
	}
	r.Value, r.Typed = v, strings.TrimSpace(text)
	r.Limit = map[string]tanks.Limit{"<": tanks.Below, ">": tanks.Above}[q.Limit]
	return r, nil
}

func (p *Page) code() string {
	if p.loaded == nil {
		return ""
	}
	return p.loaded.system.Code
}
