package setup

import (
	"context"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/tanks"
)

// peopleView lists who works in the room.
type peopleView struct {
	session *session.Session
	loaded  *loaded
	table   *widgets.Table
	listing *widgets.List // what table shows
	list    *fyne.Container
	content fyne.CanvasObject
}

func newPeopleView(s *session.Session) *peopleView {
	v := &peopleView{session: s, list: container.NewStack()}
	v.listing = widgets.NewList([]widgets.Column{{Title: say.L("Initials"), Width: 120}, {Title: say.L("Name"), Weight: 2}, {Title: "", Weight: 2}}, s.Memory, "setup.people")
	v.table = v.listing.Table
	v.table.OnOpen = func(n int) { v.edit(v.loaded.people[n]) }
	buttons := widgets.NewBar(widgets.NewPrimary(say.L("Add a person"), func() { v.edit(tanks.Person{}) }).With(look.IconAdd), widgets.NewSecondary(say.L("Change"), v.editCurrent).With(look.IconChange)).And(v.listing.Tools()...)
	v.content = container.NewBorder(container.NewVBox(buttons, widgets.NewWrapped(say.L("The initials at the top right stand beside every entry; here they get a name."))), nil, nil, nil, v.list)
	return v
}

func (v *peopleView) object() fyne.CanvasObject { return v.content }

func (v *peopleView) focus() fyne.Focusable { return widgets.IfShown(v.list, v.table, v.table) }

func (v *peopleView) show(l *loaded) {
	v.loaded = l
	var rows []widgets.Row
	for n, p := range l.people {
		remark := ""
		if p.Gone {
			remark = say.L("works here no more")
		}
		rows = append(rows, widgets.Row{ID: n, Cells: []widgets.Cell{{Text: p.Initials, Quiet: p.Gone}, {Text: p.Name, Quiet: p.Gone}, {Text: remark, Quiet: true}}})
	}
	v.listing.SetRows(rows)
	v.list.Objects = []fyne.CanvasObject{v.table}
	if len(rows) == 0 {
		v.list.Objects = []fyne.CanvasObject{widgets.NewEmpty(say.L("Nobody yet"), say.L("Say whose initials stand beside the entries, so that a handover and the log can be read years later."),
			widgets.Action{Text: say.L("Add a person"), Do: func() { v.edit(tanks.Person{}) }})}
	}
	v.list.Refresh()
}

func (v *peopleView) editCurrent() {
	if n, ok := v.table.Current(); ok && v.loaded != nil && n < len(v.loaded.people) {
		v.edit(v.loaded.people[n])
	}
}

func (v *peopleView) edit(p tanks.Person) {
	initials, name := widgets.NewTextEntry(p.Initials), widgets.NewTextEntry(p.Name)
	gone := widgets.NewCheck(say.L("works here no more; the entries stay"), nil)
	gone.SetChecked(p.Gone)
	form := widgets.NewForm(
		widgets.Field{Name: "initials", Label: say.L("Initials"), Input: initials, Help: say.L("as they are typed at the top right; entries keep the initials that they were made with")},
		widgets.Field{Name: "name", Label: say.L("Name"), Input: name}, widgets.Field{Name: "gone", Label: "", Input: gone},
	)
	title := say.L("Add a person")
	if p.ID != 0 {
		title = say.F("Change %s", p.Initials)
	}
	showSaving(v.session, title, form, fyne.NewSize(520, 220), func() (func(context.Context) error, []widgets.Fault) {
		next := tanks.Person{ID: p.ID, Initials: strings.TrimSpace(initials.Text), Name: strings.TrimSpace(name.Text), Gone: gone.Checked}
		return func(ctx context.Context) error { return v.session.Store.SavePerson(ctx, &next) }, session.FormFaults(next.Validate())
	})
}
