package setup

import (
	"context"
	"strings"

	"fyne.io/fyne/v2"

	"weirkeeper/app/forms"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/storage"
	"weirkeeper/tanks"
	"weirkeeper/tasks"
)

// rename changes a profile's name, water and source.
func (v *profilesView) rename() {
	if v.at.profile == 0 {
		v.session.Say(session.Notice{Title: say.L("Choose a profile first"), Text: say.L("Systems are renamed under Systems.")})
		return
	}
	v.ask(v.loaded.profile(v.at.profile), nil)
}

// add asks for a new profile.
func (v *profilesView) add() { v.ask(tanks.Profile{}, nil) }

// duplicate asks for a copy of the profile shown, with its bands and its chores from
// now on.
func (v *profilesView) duplicate() {
	if v.at.profile == 0 {
		v.session.Say(session.Notice{Title: say.L("Choose a profile first"),
			Text: say.L("A copy has its bands and chores, to be changed freely.")})
		return
	}
	v.grid.Commit()
	p := v.loaded.profile(v.at.profile)
	var chores []tasks.Task
	for _, t := range v.loaded.tasks {
		if t.Profile == p.ID && !t.Ended {
			t.Start = v.session.Clock()
			chores = append(chores, t)
		}
	}
	p.ID, p.Name = 0, say.F("Copy of %s", p.Name)
	v.ask(p, chores)
}

// ask asks for a profile's particulars; one without ID is new, with chores where it is
// a copy, and chosen when it is saved.
func (v *profilesView) ask(p tanks.Profile, chores []tasks.Task) {
	name, water, source := widgets.NewTextEntry(p.Name), widgets.NewChoice(kindOptions(), p.Kind), widgets.NewTextEntry(p.Source)
	form := widgets.NewForm(
		widgets.Field{Name: "name", Label: say.L("Name"), Input: name},
		widgets.Field{Name: "kind", Label: say.L("Water"), Input: water},
		widgets.Field{
			Name:  "source",
			Label: say.L("Source"),
			Input: source,
			Help:  say.L("where its bands come from, or: common practice, no source"),
		},
	)
	title := say.L("Rename the profile")
	if p.ID == 0 {
		title = say.L("Add a profile")
	}
	next := p
	forms.Show(v.session, forms.Ask{Title: title, Form: form, Size: fyne.NewSize(480, 200), Read: func() (session.Deed, []widgets.Fault) {
		next = p
		next.Name, next.Source, next.Kind = strings.TrimSpace(name.Text), strings.TrimSpace(source.Text), water.Value()
		return func(ctx context.Context, store *storage.Store) error {
			if len(chores) > 0 {
				return store.CopyProfile(ctx, &next, chores)
			}
			return store.SaveProfile(ctx, &next)
		}, forms.Faults(next.Validate())
	}, Saved: func() {
		v.list.choose(target{profile: next.ID})
		saySaved(v.session, next.Name)
	}})
}
