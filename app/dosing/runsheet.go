package dosing

import (
	"bytes"
	"context"
	"slices"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/dossier"
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
	table   *widgets.Table
	listing *widgets.List // what table shows
	list    *fyne.Container
	said    *widgets.Line
	content fyne.CanvasObject
}

func newRunView(s *session.Session) *runView {
	v := &runView{session: s, list: container.NewStack(), said: widgets.NewLine("", "", false)}
	v.listing = widgets.NewList([]widgets.Column{
		{Title: say.L("System"), Weight: 2}, {Title: say.L("Product"), Weight: 2}, {Title: say.L("For"), Width: 110}, {Title: say.L("Amount"), Width: 90, Align: fyne.TextAlignTrailing},
		{Title: say.L("Due"), Width: 130}, {Title: say.L("Given"), Weight: 2},
	}, s.Memory, "dosing.run")
	v.table = v.listing.Table
	v.table.Checks = true
	v.table.OnOpen = func(int) { v.give() }
	buttons := widgets.NewBar(
		widgets.NewPrimary(say.L("Mark as given"), v.giveChosen).With(look.IconDone), widgets.NewSecondary(say.L("Give another amount"), v.give).With(look.IconChange),
		widgets.NewSecondary(say.L("Drop"), v.drop).With(look.IconRemove), widgets.NewSecondary(say.L("Print"), v.print).With(look.IconPrint), v.said).And(v.listing.Tools()...)
	v.content = container.NewBorder(buttons, nil, nil, nil, v.list)
	return v
}

func (v *runView) object() fyne.CanvasObject { return v.content }

func (v *runView) focus() fyne.Focusable { return widgets.IfShown(v.list, v.table, v.table) }

func (v *runView) show(l *loaded) {
	v.loaded = l
	rows := make([]widgets.Row, 0, len(l.items))
	waiting := 0
	last := tanks.SystemID(0)
	for n, item := range l.items {
		system, _ := l.room.System(item.System)
		if item.System != last {
			last = item.System
			rows = append(rows, widgets.GroupRow(system.Label()))
		}
		if item.Dose.Waiting() {
			waiting++
		}
		rows = append(rows, widgets.Row{ID: n, Cells: v.cells(system, item)})
	}
	v.listing.SetRows(rows)
	v.said.SetText(say.F("%d waiting in the next seven days.", waiting))
	v.list.Objects = []fyne.CanvasObject{v.table}
	if len(l.items) == 0 {
		v.list.Objects = []fyne.CanvasObject{widgets.NewEmpty(say.L("Nothing to give"), say.L("Doses come here when a plan is committed, and stay until they are marked as given or dropped."),
			widgets.Action{Text: say.L("Plan doses"), Do: func() { v.session.Go(session.Route{Place: session.Dosing, Section: planSection}) }})}
	}
	v.list.Refresh()
}

func (v *runView) cells(system tanks.System, item tanks.RunItem) []widgets.Cell {
	p := v.product(item.Product)
	cells := []widgets.Cell{
		{Bold: system.Code, Text: system.Name}, {Text: p.Name}, {Text: say.Of(item.Analyte)}, {Bold: amount(item.Dose.Amount, p), By: item.Dose.Amount},
		{Text: v.session.Minute(item.Dose.Due), By: item.Dose.Due}, {Text: say.L("waiting"), Quiet: true},
	}
	if !item.Dose.Waiting() {
		cells[5] = widgets.Cell{Text: amount(item.Dose.Given, p) + ", " + v.session.Minute(item.Dose.Done)}
	}
	return cells
}

func (v *runView) product(id tanks.ProductID) tanks.Product {
	n := slices.IndexFunc(v.loaded.products, func(p tanks.Product) bool { return p.ID == id })
	if n < 0 {
		return tanks.Product{}
	}
	return v.loaded.products[n]
}

// chosen are the ticked waiting doses, else the one under the cursor.
func (v *runView) chosen() []tanks.RunItem {
	ids := v.table.Checked()
	if len(ids) == 0 {
		if n, ok := v.table.Current(); ok {
			ids = []int{n}
		}
	}
	var out []tanks.RunItem
	for _, n := range ids {
		if n < len(v.loaded.items) && v.loaded.items[n].Dose.Waiting() {
			out = append(out, v.loaded.items[n])
		}
	}
	if len(out) == 0 {
		v.session.Say(session.Notice{Title: say.L("No waiting dose is chosen"), Text: say.L("Choose rows with Space or by their box first.")})
	}
	return out
}

// giveChosen marks the chosen doses as given in full, now.
func (v *runView) giveChosen() {
	items := v.chosen()
	if len(items) == 0 {
		return
	}
	at, person, store := v.session.Clock(), v.session.Person, v.session.Store
	given := make([]storage.GivenDose, len(items))
	for n, item := range items {
		given[n] = storage.GivenDose{ID: item.Dose.ID, At: at, Amount: item.Dose.Amount}
	}
	v.session.Act(say.L("Marking as given"), func(ctx context.Context) error { return store.GiveDoses(ctx, given, person) }, func() {
		v.session.Say(session.Notice{Title: say.L("Saved"), Text: say.F("%d given; they stand in the systems' logs and trends.", len(items))})
	})
}

// give asks how much of one dose was really given, and when.
func (v *runView) give() {
	items := v.chosen()
	if len(items) == 0 {
		return
	}
	item := items[0]
	p := v.product(item.Product)
	given := widgets.NewNumberEntry(widgets.PlainNumber(item.Dose.Amount))
	at := widgets.NewDateTimeEntry(time.Time{}, v.session.Zone, v.session.Clock)
	form := widgets.NewForm(
		widgets.Field{Name: "amount", Label: say.F("%s given", p.Unit()), Input: given},
		widgets.Field{Name: "at", Label: say.L("When"), Input: at, Help: say.L("empty: now")},
	)
	system, _ := v.loaded.room.System(item.System)
	widgets.ShowForm(v.session.Window, say.F("%s, %s", system.Code, p.Name), say.L("Mark as given"), form, func() bool {
		value, err := given.Value()
		if err != nil || value <= 0 {
			form.ShowFaults([]widgets.Fault{{Field: "amount", Problem: say.F("%q is no amount", given.Text), Remedy: say.L("give a number above zero")}})
			return false
		}
		when, err := at.Time()
		if err != nil || when.After(v.session.Clock()) {
			form.ShowFaults([]widgets.Fault{{Field: "at", Problem: say.L("That is no time up to now"), Remedy: say.L("say when it was given")}})
			return false
		}
		if when.IsZero() {
			when = v.session.Clock()
		}
		one := []storage.GivenDose{{ID: item.Dose.ID, At: when, Amount: value}}
		store, person := v.session.Store, v.session.Person
		v.session.Act(say.L("Marking as given"), func(ctx context.Context) error { return store.GiveDoses(ctx, one, person) }, nil)
		return true
	})
}

// drop asks why and takes the chosen doses off the sheet.
func (v *runView) drop() {
	items := v.chosen()
	if len(items) == 0 {
		return
	}
	reason := widgets.NewTextEntry("")
	form := widgets.NewForm(widgets.Field{Name: "reason", Label: say.L("Why"), Input: reason})
	widgets.ShowForm(v.session.Window, say.F("Drop %d doses", len(items)), say.L("Drop"), form, func() bool {
		if strings.TrimSpace(reason.Text) == "" {
			form.ShowFaults([]widgets.Fault{{Field: "reason", Problem: say.L("A dose is dropped without a reason"), Remedy: say.L("say why in a word or two")}})
			return false
		}
		ids := make([]tanks.DoseID, len(items))
		for n, item := range items {
			ids[n] = item.Dose.ID
		}
		store, why, person := v.session.Store, reason.Text, v.session.Person
		v.session.Act(say.L("Dropping"), func(ctx context.Context) error { return store.DropDoses(ctx, ids, why, person) }, nil)
		return true
	})
}

// print writes the waiting doses as a PDF to carry round.
func (v *runView) print() {
	sheet := dossier.RunSheet{Room: v.session.Room.Name, Demo: v.session.Room.Demo, Made: v.session.Clock(), Zone: v.session.Zone, Language: v.session.Language()}
	for _, item := range v.loaded.items {
		if !item.Dose.Waiting() {
			continue
		}
		system, _ := v.loaded.room.System(item.System)
		p := v.product(item.Product)
		sheet.Items = append(sheet.Items, dossier.RunLine{
			System: system.Label(), Product: p.Name, Amount: words.Text(amount(item.Dose.Amount, p)), Due: item.Dose.Due, Purpose: item.Analyte.Words(),
		})
		for _, c := range p.Contents.Cautions() {
			if !slices.Contains(sheet.Cautions, c) {
				sheet.Cautions = append(sheet.Cautions, c)
			}
		}
	}
	var out bytes.Buffer
	if err := dossier.WriteRunSheet(&out, sheet); err != nil {
		v.session.Fail(say.L("Writing the run sheet"), err)
		return
	}
	savefile.Ask(v.session, "run-sheet-"+v.session.Now().Format("2006-01-02")+".pdf", out.Bytes())
}
