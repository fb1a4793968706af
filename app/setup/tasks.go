package setup

import (
	"context"
	"strconv"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/forms"
	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
	"weirkeeper/storage"
	"weirkeeper/tanks"
	"weirkeeper/tasks"
)

// tasksView lists the chores.
type tasksView struct {
	session *session.Session
	loaded  *loaded
	list    *chooser[tasks.ID, tasks.Task]
	content fyne.CanvasObject
}

func newTasksView(s *session.Session) *tasksView {
	v := &tasksView{session: s, loaded: &loaded{}}
	add := v.add
	v.list = newChooser(widgets.ListModel[tasks.ID, tasks.Task]{
		Name: "setup.tasks", Key: func(t tasks.Task) tasks.ID { return t.ID }, Columns: v.columns(),
		Open: func(all []tasks.Task) { v.edit(all[0]) },
		Empty: func() fyne.CanvasObject {
			return widgets.NewEmpty(
				say.L("No task yet"),
				say.L("A task is a chore that comes back, for one system, for all of a profile, or for the whole room."),
				widgets.Action{Text: say.L("Add a task"), Do: add},
			)
		},
	}, s.Memory)
	buttons := widgets.NewBar(
		widgets.NewPrimary(say.L("Add a task"), add).With(look.IconAdd),
		widgets.NewSecondary(say.L("Change"), v.editCurrent).With(look.IconChange),
		widgets.NewLine(say.L("Tests come from the bands of the profiles, chores from here."), "", false),
	).And(
		v.list.Tools()...)
	v.content = container.NewBorder(buttons, nil, nil, nil, v.list.Object())
	return v
}

func (v *tasksView) columns() []widgets.ListColumn[tasks.Task] {
	return []widgets.ListColumn[tasks.Task]{
		{ID: "task", Column: widgets.Column{Title: say.L("Task"), Weight: 3}, Cell: func(t tasks.Task) widgets.Cell {
			if t.Ended {
				return widgets.Cell{Text: say.F("%s (ended)", t.Title), Quiet: true}
			}
			return widgets.Cell{Text: t.Title}
		}},
		{
			ID:     "for",
			Column: widgets.Column{Title: say.L("For"), Weight: 2},
			Cell:   func(t tasks.Task) widgets.Cell { return widgets.Cell{Text: v.owner(t)} },
		},
		{
			ID:     "often",
			Column: widgets.Column{Title: say.L("How often"), Weight: 2},
			Cell:   func(t tasks.Task) widgets.Cell { return widgets.Cell{Text: often(t), Quiet: true} },
		},
		{ID: "start", Column: widgets.Column{Title: say.L("First day"), Width: 110}, Cell: func(t tasks.Task) widgets.Cell {
			return widgets.Cell{Text: v.session.Day(t.Start), Quiet: true, By: t.Start}
		}},
	}
}

func (v *tasksView) object() fyne.CanvasObject { return v.content }

func (v *tasksView) focus() fyne.Focusable { return v.list.Focus() }

func (v *tasksView) show(l *loaded) {
	v.loaded = l
	v.list.show(l.tasks)
}

const wholeRoom words.Text = "the whole room"

// owner is what a task belongs to; the zero value: the whole room.
type owner struct {
	profile tanks.ProfileID
	system  tanks.SystemID
}

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

// owners offers all that a task can belong to.
func (v *tasksView) owners() []widgets.Option[owner] {
	options := []widgets.Option[owner]{{Name: say.L(wholeRoom)}}
	for _, p := range v.loaded.profiles {
		options = append(
			options,
			widgets.Option[owner]{Value: owner{profile: p.ID}, Name: say.F("each %s", p.Name), Detail: say.Of(p.Kind)},
		)
	}
	for _, s := range v.loaded.systems {
		options = append(options, widgets.Option[owner]{Value: owner{system: s.ID}, Name: s.Label(), Detail: s.Place})
	}
	return options
}

func often(t tasks.Task) string {
	switch {
	case t.Rule != "":
		return t.Rule
	case t.Every == 1:
		return say.L("every day")
	case t.Every > 1:
		return say.N(t.Every, "every %d days")
	}
	return say.L("once")
}

// add asks for a new one.
func (v *tasksView) add() { v.edit(tasks.Task{}) }

func (v *tasksView) editCurrent() {
	if t, ok := v.list.Current(); ok {
		v.edit(t)
	}
}

// edit asks for a task; one without ID is new.
func (v *tasksView) edit(t tasks.Task) {
	heading := say.L("Change the task")
	if t.ID == 0 {
		heading, t.Start = say.L("Add a task"), midnight(v.session)
	}
	f := newTaskForm(v.session, t, v.owners())
	var next tasks.Task
	forms.Show(
		v.session,
		forms.Ask{Title: heading, Form: f.form, Size: fyne.NewSize(520, 380), Read: func() (session.Deed, []widgets.Fault) {
			var faults []widgets.Fault
			next, faults = f.read(t)
			return func(ctx context.Context, store *storage.Store) error { return store.SaveTask(ctx, &next) }, faults
		}, Saved: func() {
			v.list.choose(next.ID)
			saySaved(v.session, next.Title)
		}},
	)
}

// taskForm is the form of one task.
type taskForm struct {
	form                  *widgets.Form
	title, interval, rule *widgets.TextEntry
	note                  *widgets.TextEntry
	owner                 *widgets.Choice[owner]
	start                 *widgets.DateEntry
	ended                 *widgets.Check
}

func newTaskForm(s *session.Session, t tasks.Task, owners []widgets.Option[owner]) *taskForm {
	every := ""
	if t.Every > 0 {
		every = strconv.Itoa(t.Every)
	}
	f := &taskForm{
		title: widgets.NewTextEntry(
			t.Title,
		), interval: widgets.NewTextEntry(every), rule: widgets.NewTextEntry(t.Rule), note: widgets.NewNoteEntry(t.Note, 2),
		owner: widgets.NewChoice(
			owners,
			owner{t.Profile, t.System},
		), start: widgets.NewDateEntry(t.Start, s.Zone, s.Clock), ended: widgets.NewCheck(say.L("due no more; what was done stays"), nil),
	}
	f.ended.SetChecked(t.Ended)
	f.form = widgets.NewForm(
		widgets.Field{
			Name:  "title",
			Label: say.L("What"),
			Input: f.title,
		},
		widgets.Field{Name: "owner", Label: say.L("For"), Input: f.owner},
		widgets.Field{
			Name:  "every",
			Label: say.L("Every"),
			Input: f.interval,
			Help:  say.L("days after it was done last; empty with no rule: once"),
		},
		widgets.Field{
			Name:  "rule",
			Label: say.L("Or by rule"),
			Input: f.rule,
			Help:  say.L("an RFC 5545 rule such as FREQ=WEEKLY;BYDAY=MO"),
		},
		widgets.Field{
			Name:  "start",
			Label: say.L("First day"),
			Input: f.start,
		},
		widgets.Field{Name: "note", Label: say.L("Note"), Input: f.note},
		widgets.Field{Name: "ended", Label: say.L("Ended"), Input: f.ended},
	)
	return f
}

// read takes the form over into t, or returns what is wrong at which field.
func (f *taskForm) read(t tasks.Task) (tasks.Task, []widgets.Fault) {
	var faults []widgets.Fault
	t.Title, t.Rule, t.Note, t.Ended = strings.TrimSpace(f.title.Text), strings.TrimSpace(f.rule.Text), f.note.Text, f.ended.Checked
	belongs, chosen := f.owner.Selected()
	if !chosen {
		faults = append(
			faults,
			widgets.Fault{Field: "owner", Problem: say.L("What it is for is not chosen"), Remedy: say.L("choose one of the list")},
		)
	}
	t.System, t.Profile, t.Every = belongs.system, belongs.profile, 0
	if text := strings.TrimSpace(f.interval.Text); text != "" {
		n, err := strconv.Atoi(text)
		if err != nil {
			faults = append(
				faults,
				widgets.Fault{
					Field:   "every",
					Problem: say.F("%q is no number of days", text),
					Remedy:  say.L("give a whole number such as 7"),
				},
			)
		}
		t.Every = n
	}
	at, err := f.start.Time()
	if err != nil {
		faults = append(faults, widgets.Fault{Field: "start", Problem: say.Of(err)})
	}
	t.Start = at
	return t, append(faults, forms.Faults(t.Validate())...)
}
