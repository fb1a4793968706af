package setup

import (
	"context"
	"strconv"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
	"weirkeeper/tasks"
)

// tasksView lists the chores.
type tasksView struct {
	session *session.Session
	loaded  *loaded
	table   *widgets.Table
	listing *widgets.List // what table shows
	list    *fyne.Container
	content fyne.CanvasObject
}

func newTasksView(s *session.Session) *tasksView {
	v := &tasksView{session: s, list: container.NewStack()}
	v.listing = widgets.NewList([]widgets.Column{{Title: say.L("Task"), Weight: 3}, {Title: say.L("For"), Weight: 2}, {Title: say.L("How often"), Weight: 2}, {Title: say.L("First day"), Width: 110}}, s.Memory, "setup.tasks")
	v.table = v.listing.Table
	v.table.OnOpen = func(n int) { v.edit(v.loaded.tasks[n]) }
	buttons := widgets.NewBar(widgets.NewPrimary(say.L("Add a task"), func() { v.edit(tasks.Task{}) }).With(look.IconAdd), widgets.NewSecondary(say.L("Change"), v.editCurrent).With(look.IconChange),
		widgets.NewLine(say.L("Tests come from the bands of the profiles, chores from here."), "", false)).And(v.listing.Tools()...)
	v.content = container.NewBorder(buttons, nil, nil, nil, v.list)
	return v
}

func (v *tasksView) object() fyne.CanvasObject { return v.content }

func (v *tasksView) focus() fyne.Focusable { return widgets.IfShown(v.list, v.table, v.table) }

func (v *tasksView) show(l *loaded) {
	v.loaded = l
	rows := make([]widgets.Row, len(l.tasks))
	for n, t := range l.tasks {
		title := widgets.Cell{Text: t.Title}
		if t.Ended {
			title = widgets.Cell{Text: say.F("%s (ended)", t.Title), Quiet: true}
		}
		rows[n] = widgets.Row{ID: n, Cells: []widgets.Cell{title, {Text: v.owner(t)}, {Text: often(t), Quiet: true}, {Text: v.session.Day(t.Start), Quiet: true, By: t.Start}}}
	}
	v.listing.SetRows(rows)
	v.list.Objects = []fyne.CanvasObject{v.table}
	if len(rows) == 0 {
		v.list.Objects = []fyne.CanvasObject{widgets.NewEmpty(say.L("No task yet"), say.L("A task is a chore that comes back, for one system, for all of a profile, or for the whole room."),
			widgets.Action{Text: say.L("Add a task"), Do: func() { v.edit(tasks.Task{}) }})}
	}
	v.list.Refresh()
}

const wholeRoom words.Text = "the whole room"

// owner names what a task belongs to.
func (v *tasksView) owner(t tasks.Task) string {
	for _, s := range v.loaded.systems {
		if s.ID == t.System && t.System != 0 {
			return s.Label()
		}
	}
	if p := v.loaded.profile(t.Profile); p.ID != 0 {
		return say.F("each %s", p.Name)
	}
	return say.L(wholeRoom)
}

func often(t tasks.Task) string {
	switch {
	case t.Rule != "":
		return t.Rule
	case t.Every == 1:
		return say.L("every day")
	case t.Every > 1:
		return say.F("every %d days", t.Every)
	}
	return say.L("once")
}

func (v *tasksView) editCurrent() {
	if n, ok := v.table.Current(); ok && v.loaded != nil {
		v.edit(v.loaded.tasks[n])
	}
}

// edit asks for a task; one without ID is new.
func (v *tasksView) edit(t tasks.Task) {
	if t.ID == 0 {
		t.Start = midnight(v.session)
	}
	owners := []string{say.L(wholeRoom)}
	byName := map[string]tasks.Task{say.L(wholeRoom): {}}
	for _, p := range v.loaded.profiles {
		owners = append(owners, say.F("each %s", p.Name))
		byName[say.F("each %s", p.Name)] = tasks.Task{Profile: p.ID}
	}
	for _, s := range v.loaded.systems {
		owners = append(owners, s.Label())
		byName[s.Label()] = tasks.Task{System: s.ID}
	}
	every := ""
	if t.Every > 0 {
		every = strconv.Itoa(t.Every)
	}
	title, owner, interval, rule := widgets.NewTextEntry(t.Title), widgets.NewChoice(owners, v.owner(t)), widgets.NewTextEntry(every), widgets.NewTextEntry(t.Rule)
	start, note, ended := widgets.NewDateEntry(t.Start, v.session.Zone, v.session.Clock), widgets.NewNoteEntry(t.Note, 2), widgets.NewCheck(say.L("due no more; what was done stays"), nil)
	ended.SetChecked(t.Ended)
	form := widgets.NewForm(
		widgets.Field{Name: "title", Label: say.L("What"), Input: title}, widgets.Field{Name: "owner", Label: say.L("For"), Input: owner},
		widgets.Field{Name: "every", Label: say.L("Every"), Input: interval, Help: say.L("days after it was done last; empty with no rule: once")},
		widgets.Field{Name: "rule", Label: say.L("Or by rule"), Input: rule, Help: say.L("an RFC 5545 rule such as FREQ=WEEKLY;BYDAY=MO")},
		widgets.Field{Name: "start", Label: say.L("First day"), Input: start}, widgets.Field{Name: "note", Label: say.L("Note"), Input: note}, widgets.Field{Name: "ended", Label: say.L("Ended"), Input: ended},
	)
	heading := say.L("Change the task")
	if t.ID == 0 {
		heading = say.L("Add a task")
	}
	showSaving(v.session, heading, form, fyne.NewSize(520, 380), func() (func(context.Context) error, []widgets.Fault) {
		var faults []widgets.Fault
		next := t
		next.Title, next.Rule, next.Note, next.Ended = strings.TrimSpace(title.Text), strings.TrimSpace(rule.Text), note.Text, ended.Checked
		next.System, next.Profile = byName[owner.Selected()].System, byName[owner.Selected()].Profile
		next.Every = 0
		if text := strings.TrimSpace(interval.Text); text != "" {
			n, err := strconv.Atoi(text)
			if err != nil {
				faults = append(faults, widgets.Fault{Field: "every", Problem: say.F("%q is no number of days", text), Remedy: say.L("give a whole number such as 7")})
			}
			next.Every = n
		}
		at, err := start.Time()
		if err != nil {
			faults = append(faults, widgets.Fault{Field: "start", Problem: say.Of(err)})
		}
		next.Start = at
		return func(ctx context.Context) error { return v.session.Store.SaveTask(ctx, &next) }, append(faults, session.FormFaults(next.Validate())...)
	})
}
