package setup

import (
	"context"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/forms"
	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/storage"
	"weirkeeper/tanks"
)

// peopleView lists who works in the room.
type peopleView struct {
	session *session.Session
	list    *chooser[tanks.PersonID, tanks.Person]
	content fyne.CanvasObject
}

func newPeopleView(s *session.Session) *peopleView {
	v := &peopleView{session: s}
	add := v.add
	v.list = newChooser(widgets.ListModel[tanks.PersonID, tanks.Person]{
		Name: "setup.people", Key: func(p tanks.Person) tanks.PersonID { return p.ID },
		Columns: []widgets.ListColumn[tanks.Person]{
			{
				ID:     "initials",
				Column: widgets.Column{Title: say.L("Initials"), Width: 120},
				Cell:   func(p tanks.Person) widgets.Cell { return widgets.Cell{Text: p.Initials, Quiet: p.Gone} },
			},
			{
				ID:     "name",
				Column: widgets.Column{Title: say.L("Name"), Weight: 2},
				Cell:   func(p tanks.Person) widgets.Cell { return widgets.Cell{Text: p.Name, Quiet: p.Gone} },
			},
			{ID: "remark", Column: widgets.Column{Title: say.L("Remark"), Weight: 2}, Cell: remarkOn},
		},
		Open: func(people []tanks.Person) { v.edit(people[0]) },
		Empty: func() fyne.CanvasObject {
			return widgets.NewEmpty(
				say.L("Nobody yet"),
				say.L("Say whose initials stand beside the entries, so that a handover and the log can be read years later."),
				widgets.Action{Text: say.L("Add a person"), Do: add},
			)
		},
	}, s.Memory)
	buttons := widgets.NewBar(
		widgets.NewPrimary(say.L("Add a person"), add).With(look.IconAdd),
		widgets.NewSecondary(say.L("Change"), v.editCurrent).With(look.IconChange),
	).And(
		v.list.Tools()...)
	about := widgets.NewWrapped(say.L("The initials at the top right stand beside every entry; here they get a name."))
	v.content = container.NewBorder(container.NewVBox(buttons, about), nil, nil, nil, v.list.Object())
	return v
}

func remarkOn(p tanks.Person) widgets.Cell {
	if !p.Gone {
		return widgets.Cell{}
	}
	return widgets.Cell{Text: say.L("works here no more"), Quiet: true}
}

func (v *peopleView) object() fyne.CanvasObject { return v.content }

func (v *peopleView) focus() fyne.Focusable { return v.list.Focus() }

func (v *peopleView) show(l *loaded) { v.list.show(l.people) }

// add asks for a new one.
func (v *peopleView) add() { v.edit(tanks.Person{}) }

func (v *peopleView) editCurrent() {
	if p, ok := v.list.Current(); ok {
		v.edit(p)
	}
}

// edit asks for a person; one without ID is new.
func (v *peopleView) edit(p tanks.Person) {
	initials, name := widgets.NewTextEntry(p.Initials), widgets.NewTextEntry(p.Name)
	gone := widgets.NewCheck(say.L("works here no more; the entries stay"), nil)
	gone.SetChecked(p.Gone)
	form := widgets.NewForm(
		widgets.Field{
			Name:  "initials",
			Label: say.L("Initials"),
			Input: initials,
			Help:  say.L("as they are typed at the top right; entries keep the initials that they were made with"),
		},
		widgets.Field{Name: "name", Label: say.L("Name"), Input: name},
		widgets.Field{Name: "gone", Label: "", Input: gone},
	)
	title := say.L("Add a person")
	if p.ID != 0 {
		title = say.F("Change %s", p.Initials)
	}
	var next tanks.Person
	forms.Show(v.session, forms.Ask{Title: title, Form: form, Size: fyne.NewSize(520, 220), Read: func() (session.Deed, []widgets.Fault) {
		next = tanks.Person{ID: p.ID, Initials: strings.TrimSpace(initials.Text), Name: strings.TrimSpace(name.Text), Gone: gone.Checked}
		return func(ctx context.Context, store *storage.Store) error { return store.SavePerson(ctx, &next) }, forms.Faults(next.Validate())
	}, Saved: func() {
		v.list.choose(next.ID)
		saySaved(v.session, next.Initials)
	}})
}
