package system

import (
	"context"
	"strings"

	"weirkeeper/app/forms"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/tanks"
)

// amend lets an entry of the log be corrected or withdrawn with a reason; what
// stood there first stays in the record.
func (p *Page) amend(e event) {
	if p.loaded == nil {
		return
	}
	switch {
	case e.withdrawn:
		p.session.Say(session.Notice{
			Title: say.L("It is withdrawn already"), Text: say.L("It counts no more, and stays in the record with its reason."),
		})
	case e.key.kind == noteEvent:
		p.session.Say(session.Notice{
			Title: say.L("A note stays as it was written"), Text: say.L("Write another one that says what is different."),
			Do: say.L("Write a note"), Then: p.addNote,
		})
	case e.key.kind == readingEvent:
		p.correct(e)
	default:
		p.withdraw(e)
	}
}

// correct asks for another value of a reading, or whether it counts at all.
func (p *Page) correct(e event) {
	value := widgets.NewTextEntry(e.reading.Typed)
	withdraw := widgets.NewCheck(say.L("It should not count at all"), nil)
	reason := widgets.NewTextEntry("")
	form := widgets.NewForm(
		widgets.Field{Name: "value", Label: say.F("%s, %s", e.reading.Analyte, e.reading.Unit), Input: value},
		widgets.Field{Name: "withdraw", Label: say.L("Withdraw"), Input: withdraw},
		widgets.Field{
			Name:  "reason",
			Label: say.L("Why"),
			Input: reason,
			Help:  say.L("The first value stays in the record, with this reason."),
		},
	)
	system, water := p.loaded.system, p.loaded.waterOf(e.reading)
	title := say.F("Correct a value of %s", system.Code)
	forms.Show(p.session, forms.Ask{Title: title, Form: form, Read: func() (session.Deed, []widgets.Fault) {
		why, faults := reasonOf(reason)
		person := p.session.Person
		if withdraw.Checked {
			return func(ctx context.Context, store *storage.Store) error {
				return store.WithdrawReading(ctx, e.reading.ID, why, person)
			}, faults
		}
		r, err := retyped(e.reading, value.Text, water)
		if err != nil {
			faults = append(faults, widgets.Fault{Field: "value", Problem: say.Of(err)})
		} else {
			faults = append(faults, forms.Faults(r.Validate(p.session.Clock()))...)
		}
		return func(ctx context.Context, store *storage.Store) error {
			return store.AmendReading(ctx, r.ID, r, why, person)
		}, faults
	}})
}

// waterOf is the water that a reading was of: with the temperature that was measured
// nearest to it.
func (l *loaded) waterOf(r tanks.Reading) chem.Water {
	var nearest []tanks.Reading // one or none
	for _, t := range l.readings {
		if t.Analyte != chem.Temperature || t.Status != tanks.Live {
			continue
		}
		if nearest == nil || t.At.Sub(r.At).Abs() < nearest[0].At.Sub(r.At).Abs() {
			nearest = []tanks.Reading{t}
		}
	}
	return l.room.WaterAt(l.system.ID, r.At, nearest...)
}

// withdraw asks why an addition or a water change does not count.
func (p *Page) withdraw(e event) {
	reason := widgets.NewTextEntry("")
	entry := widgets.NewWrapped(say.F("%s, %s, %s", p.session.Minute(e.at), e.what, e.value))
	form := widgets.NewForm(
		widgets.Field{Name: "what", Label: say.L("Entry"), Input: entry},
		widgets.Field{
			Name: "reason", Label: say.L("Why"), Input: reason, Help: say.L("The entry stays in the record, with this reason, and counts " +
				"no more."),
		},
	)
	title := say.F("Withdraw an entry of %s", p.loaded.system.Code)
	forms.Show(p.session, forms.Ask{Title: title, Confirm: say.L("Withdraw"), Form: form, Read: func() (session.Deed, []widgets.Fault) {
		why, faults := reasonOf(reason)
		key, person := e.key, p.session.Person
		return func(ctx context.Context, store *storage.Store) error {
			if key.kind == additionEvent {
				return store.WithdrawAddition(ctx, tanks.AdditionID(key.id), why, person)
			}
			return store.WithdrawWaterChange(ctx, tanks.WaterChangeID(key.id), why, person)
		}, faults
	}})
}

// reasonOf returns the reason that was typed, which must not be missing.
func reasonOf(entry *widgets.TextEntry) (why string, faults []widgets.Fault) {
	why = strings.TrimSpace(entry.Text)
	if why == "" {
		faults = []widgets.Fault{{
			Field: "reason", Problem: say.L("The record needs a reason"), Remedy: say.L("say in a word or two what was wrong"),
		}}
	}
	return why, faults
}

// retyped is the reading with another value, in the unit it was typed in unless one
// is typed.
func retyped(r tanks.Reading, text string, water chem.Water) (tanks.Reading, error) {
	v, err := tanks.ReadTyped(tanks.Typed{Analyte: r.Analyte, Text: text, Unit: r.Unit, Water: water})
	if err != nil {
		return r, err
	}
	return v.In(r), nil
}
