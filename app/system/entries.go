package system

import (
	"context"
	"strings"
	"time"

	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
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
	widgets.ShowForm(p.session.Window, say.F("Note on %s", p.code()), say.L("Save"), form, func() bool {
		o := tanks.Observation{System: p.id, At: p.session.Clock(), Text: strings.TrimSpace(text.Text), Person: p.session.Person}
		return p.check(form, o.Validate(p.session.Clock()), say.L("Saving the note"), func(ctx context.Context) error {
			return p.session.Store.SaveObservation(ctx, &o)
		})
	})
}

// addAddition asks for something that was put into the system.
func (p *Page) addAddition() {
	if p.loaded == nil {
		return
	}
	var names []string
	byName := map[string]tanks.Product{}
	for _, product := range p.loaded.names.products {
		if !product.Retired {
			names = append(names, product.Name)
			byName[product.Name] = product
		}
	}
	choice := widgets.NewChoice(names, "")
	amount := widgets.NewNumberEntry("")
	at := widgets.NewDateTimeEntry(time.Time{}, p.session.Zone, p.session.Clock)
	note := widgets.NewTextEntry("")
	form := widgets.NewForm(
		widgets.Field{Name: "product", Label: say.L("Product"), Input: choice},
		widgets.Field{Name: "amount", Label: say.L("Amount"), Input: amount, Help: say.L("in mL of a liquid, in g of a solid")},
		widgets.Field{Name: "at", Label: say.L("When"), Input: at, Help: say.L("empty: now")},
		widgets.Field{Name: "note", Label: say.L("Note"), Input: note},
	)
	widgets.ShowForm(p.session.Window, say.F("Addition to %s", p.code()), say.L("Save"), form, func() bool {
		a := tanks.Addition{System: p.id, Product: byName[choice.Selected()].ID, At: p.session.Clock(), Note: note.Text, Person: p.session.Person}
		given, err := amount.Value()
		if err != nil {
			form.ShowFaults([]widgets.Fault{{Field: "amount", Problem: say.Of(err)}})
			return false
		}
		a.Amount = given
		when, err := at.Time()
		if err != nil {
			form.ShowFaults([]widgets.Fault{{Field: "at", Problem: say.Of(err)}})
			return false
		}
		if !when.IsZero() {
			a.At = when
		}
		return p.check(form, a.Validate(p.session.Clock()), say.L("Saving the addition"), func(ctx context.Context) error {
			return p.session.Store.SaveAddition(ctx, &a)
		})
	})
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
	widgets.ShowForm(p.session.Window, say.F("Correct a value of %s", p.code()), say.L("Save"), form, func() bool {
		if strings.TrimSpace(reason.Text) == "" {
			form.ShowFaults([]widgets.Fault{{Field: "reason", Problem: say.L("The record needs a reason"), Remedy: say.L("say in a word or two what was wrong")}})
			return false
		}
		if withdraw.Checked {
			return p.check(form, nil, say.L("Withdrawing the value"), func(ctx context.Context) error {
				return p.session.Store.WithdrawReading(ctx, e.reading.ID, reason.Text, p.session.Person)
			})
		}
		r, fault := retyped(e.reading, value.Text, p.loaded.room.Water(p.id))
		if fault != nil {
			form.ShowFaults([]widgets.Fault{*fault})
			return false
		}
		return p.check(form, r.Validate(p.session.Clock()), say.L("Correcting the value"), func(ctx context.Context) error {
			return p.session.Store.AmendReading(ctx, r.ID, r, reason.Text, p.session.Person)
		})
	})
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

// check shows the faults in the form, or saves; the form closes when there is
// no fault.
func (p *Page) check(form *widgets.Form, invalid error, doing string, save func(context.Context) error) bool {
	if faults := session.FormFaults(invalid); len(faults) > 0 {
		form.ShowFaults(faults)
		return false
	}
	p.session.Act(doing, save, nil)
	return true
}

func (p *Page) code() string {
	if p.loaded == nil {
		return ""
	}
	return p.loaded.system.Code
}
