package dosing

import (
	"bytes"
	"context"
	"slices"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/documents"
	"weirkeeper/app/forms"
	"weirkeeper/app/look"
	"weirkeeper/app/savefile"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
	"weirkeeper/storage"
	"weirkeeper/tanks"
)

// runView is the run sheet: waiting doses, and those given today.
type runView struct {
	session *session.Session
	loaded  *loaded
	list    *widgets.List[tanks.DoseID, tanks.RunItem]
	said    *widgets.Line
	saving  bool // doses were marked as given and are not shown so yet
	content fyne.CanvasObject
}

func newRunView(s *session.Session) *runView {
	v := &runView{session: s, said: widgets.NewLine("", "", false)}
	v.list = widgets.NewList(widgets.ListModel[tanks.DoseID, tanks.RunItem]{
		Name: "dosing.run", Key: func(item tanks.RunItem) tanks.DoseID { return item.Dose.ID }, Checks: true,
		Columns: v.columns(), Open: v.opened, Empty: v.empty,
	}, s.Memory)
	// The words stand first: where Commit plan was pressed, a second press finds
	// no button that gives a dose.
	buttons := widgets.NewBar(v.said,
		widgets.NewPrimary(say.L("Mark as given"), v.giveChosen).With(look.IconDone),
		widgets.NewSecondary(say.L("Give another amount"), v.giveOther).With(look.IconChange),
		widgets.NewSecondary(say.L("Drop"), v.drop).With(look.IconRemove),
		widgets.NewSecondary(say.L("Print"), v.print).With(look.IconPrint),
	).And(v.list.Tools()...)
	v.content = container.NewBorder(buttons, nil, nil, nil, v.list.Object())
	return v
}

func (v *runView) columns() []widgets.ListColumn[tanks.RunItem] {
	amounts := widgets.Column{Title: say.L("Amount"), Width: 90, Align: fyne.TextAlignTrailing}
	return []widgets.ListColumn[tanks.RunItem]{
		{ID: "system", Column: widgets.Column{Title: say.L("System"), Weight: 2}, Cell: func(item tanks.RunItem) widgets.Cell {
			system, _ := v.loaded.room.System(item.System)
			return widgets.Cell{Bold: system.Code, Text: system.Name}
		}},
		{ID: "product", Column: widgets.Column{Title: say.L("Product"), Weight: 2}, Cell: func(item tanks.RunItem) widgets.Cell {
			return widgets.Cell{Text: v.product(item.Product).Name}
		}},
		{ID: "for", Column: widgets.Column{Title: say.L("For"), Width: 110}, Cell: func(item tanks.RunItem) widgets.Cell {
			return widgets.Cell{Text: say.Of(item.Analyte)}
		}},
		{ID: "amount", Column: amounts, Cell: func(item tanks.RunItem) widgets.Cell {
			return widgets.Cell{Bold: amount(item.Dose.Amount, v.product(item.Product)), By: item.Dose.Amount}
		}},
		{ID: "due", Column: widgets.Column{Title: say.L("Due"), Width: 130}, Cell: func(item tanks.RunItem) widgets.Cell {
			return widgets.Cell{Text: v.session.Minute(item.Dose.Due), By: item.Dose.Due}
		}},
		{ID: "given", Column: widgets.Column{Title: say.L("Given"), Weight: 2}, Cell: func(item tanks.RunItem) widgets.Cell {
			if item.Dose.Waiting() {
				return widgets.Cell{Text: say.L("waiting"), Quiet: true}
			}
			given := amount(item.Dose.Given, v.product(item.Product))
			return widgets.Cell{Text: given + ", " + v.session.Minute(item.Dose.Done), By: item.Dose.Done}
		}},
	}
}

func (v *runView) object() fyne.CanvasObject { return v.content }

func (v *runView) focus() fyne.Focusable { return v.list.Focus() }

func (v *runView) show(l *loaded) {
	v.loaded, v.saving = l, false
	var groups []widgets.Group[tanks.RunItem]
	waiting := 0
	last := tanks.SystemID(0)
	for _, item := range l.items {
		if item.System != last {
			last = item.System
			system, _ := l.room.System(item.System)
			groups = append(groups, widgets.Group[tanks.RunItem]{Title: system.Label()})
		}
		if item.Dose.Waiting() {
			waiting++
		}
		g := &groups[len(groups)-1]
		g.Records = append(g.Records, item)
	}
	v.said.SetText(say.N(waiting, "%d doses to give in the next seven days."))
	v.list.SetGroups(groups)
}

func (v *runView) empty() fyne.CanvasObject {
	return widgets.NewEmpty(say.L("Nothing to give"),
		say.L("Doses come here when a plan is committed, and stay until they are marked as given or dropped."),
		widgets.Action{Text: say.L("Plan doses"), Do: func() {
			v.session.Go(session.Route{Place: session.Dosing, Section: session.DosingPlan})
		}})
}

func (v *runView) product(id tanks.ProductID) tanks.Product {
	n := slices.IndexFunc(v.loaded.products, func(p tanks.Product) bool { return p.ID == id })
	if n < 0 {
		return tanks.Product{}
	}
	return v.loaded.products[n]
}

// chosen are the waiting ones of the ticked doses, else of the one under the
// cursor; without any it says so.
func (v *runView) chosen() []tanks.RunItem { return v.waiting(v.list.Chosen()) }

func (v *runView) waiting(items []tanks.RunItem) []tanks.RunItem {
	var out []tanks.RunItem
	for _, item := range items {
		if item.Dose.Waiting() {
			out = append(out, item)
		}
	}
	if len(out) == 0 {
		v.say(say.L("No waiting dose is chosen"), say.L("Choose rows with Space or by their box first."))
	}
	return out
}

// giveChosen marks the chosen doses as given in full, now.
func (v *runView) giveChosen() {
	if v.saving {
		return
	}
	items := v.chosen()
	if len(items) == 0 {
		return
	}
	at, person := v.session.Clock(), v.session.Person
	given := make([]storage.GivenDose, len(items))
	for n, item := range items {
		given[n] = storage.GivenDose{ID: item.Dose.ID, At: at, Amount: item.Dose.Amount}
	}
	v.saving = true
	v.session.Try(func(ctx context.Context, store *storage.Store) error { return store.GiveDoses(ctx, given, person) }, func(err error) {
		if err != nil {
			v.saving = false
			v.session.NotDone(say.L("Marking as given"), err)
			return
		}
		v.list.Tick()
		v.say(say.L("Saved"), say.N(len(items), "%d doses are marked as given; logs and trends show them."))
	})
}

// giveOther asks about the one dose that is chosen.
func (v *runView) giveOther() { v.opened(v.list.Chosen()) }

// opened asks how much of one dose was really given, and when. Several can not
// have one amount.
func (v *runView) opened(items []tanks.RunItem) {
	switch items = v.waiting(items); {
	case len(items) == 1:
		v.give(items[0])
	case len(items) > 1:
		v.say(say.L("Several doses are chosen"),
			say.L("Another amount is given to one dose at a time. Mark as given takes all of them as they stand."))
	}
}

func (v *runView) say(title, text string) { v.session.Say(session.Notice{Title: title, Text: text}) }

// give asks how much of a dose was really given, and when.
func (v *runView) give(item tanks.RunItem) {
	p := v.product(item.Product)
	given := widgets.NewNumberEntry(widgets.PlainNumber(item.Dose.Amount))
	at := widgets.NewDateTimeEntry(time.Time{}, v.session.Zone, v.session.Clock)
	form := widgets.NewForm(
		widgets.Field{Name: "amount", Label: say.F("%s given", p.Unit()), Input: given},
		widgets.Field{Name: "at", Label: say.L("When"), Input: at, Help: say.L("empty: now")},
	)
	system, _ := v.loaded.room.System(item.System)
	title := say.F("%s, %s", system.Code, p.Name)
	forms.Show(
		v.session,
		forms.Ask{Title: title, Confirm: say.L("Mark as given"), Form: form, Read: func() (session.Deed, []widgets.Fault) {
			value, err := given.Value()
			if err != nil || value <= 0 {
				problem, remedy := say.F("%q is no amount", given.Text), say.L("give a number above zero")
				return nil, []widgets.Fault{{Field: "amount", Problem: problem, Remedy: remedy}}
			}
			when, err := at.Time()
			if err != nil || when.After(v.session.Clock()) {
				return nil, []widgets.Fault{
					{Field: "at", Problem: say.L("That is no time up to now"), Remedy: say.L("say when it was given")},
				}
			}
			if when.IsZero() {
				when = v.session.Clock()
			}
			one, person := []storage.GivenDose{{ID: item.Dose.ID, At: when, Amount: value}}, v.session.Person
			return func(ctx context.Context, store *storage.Store) error { return store.GiveDoses(ctx, one, person) }, nil
		}},
	)
}

// drop asks why and takes the chosen doses off the sheet.
func (v *runView) drop() {
	items := v.chosen()
	if len(items) == 0 {
		return
	}
	ids := make([]tanks.DoseID, len(items))
	for n, item := range items {
		ids[n] = item.Dose.ID
	}
	reason := widgets.NewTextEntry("")
	form := widgets.NewForm(widgets.Field{Name: "reason", Label: say.L("Why"), Input: reason})
	title := say.N(len(items), "Drop %d doses")
	forms.Show(v.session, forms.Ask{Title: title, Confirm: say.L("Drop"), Form: form, Read: func() (session.Deed, []widgets.Fault) {
		why, person := strings.TrimSpace(reason.Text), v.session.Person
		if why == "" {
			problem, remedy := say.L("A dose is dropped without a reason"), say.L("say why in a word or two")
			return nil, []widgets.Fault{{Field: "reason", Problem: problem, Remedy: remedy}}
		}
		return func(ctx context.Context, store *storage.Store) error { return store.DropDoses(ctx, ids, why, person) }, nil
	}})
}

// print writes the waiting doses as a PDF to carry round.
func (v *runView) print() {
	sheet := documents.RunSheet{Ticked: ticked(v.session)}
	for _, item := range v.loaded.items {
		if !item.Dose.Waiting() {
			continue
		}
		system, _ := v.loaded.room.System(item.System)
		p := v.product(item.Product)
		sheet.Items = append(sheet.Items, documents.RunLine{
			System: system.Label(), Product: p.Name, Amount: words.Text(amount(item.Dose.Amount, p)),
			Due: item.Dose.Due, Purpose: item.Analyte.Words(),
		})
		for _, c := range p.Contents.Cautions() {
			if !slices.Contains(sheet.Cautions, c) {
				sheet.Cautions = append(sheet.Cautions, c)
			}
		}
	}
	var out bytes.Buffer
	if err := documents.WriteRunSheet(&out, sheet); err != nil {
		v.session.NotDone(say.L("Writing the run sheet"), err)
		return
	}
	savefile.Ask(v.session, "run-sheet-"+v.session.Now().Format("2006-01-02")+".pdf", out.Bytes())
}

// ticked is what the pages that are carried to the work know of the room and the person.
func ticked(in *session.Session) documents.Ticked {
	return documents.Ticked{Room: in.Room.Name, Demo: in.Room.Demo, Made: in.Clock(), Zone: in.Zone, Language: in.Language()}
}
