// Package rounds is the screen that opens first: what work is due, and what
// needs attention, each with its next step.
package rounds

import (
	"context"
	"slices"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/forms"
	"weirkeeper/app/look"
	"weirkeeper/app/prefs"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/state"
	"weirkeeper/app/widgets"
	"weirkeeper/storage"
	"weirkeeper/tanks"
	"weirkeeper/tanks/board"
	"weirkeeper/tasks"
)

// Page shows due work on the left and concerns on the right.
type Page struct {
	widget.BaseWidget
	session *session.Session
	loader  session.Loader
	heading *widgets.Heading
	list    *widgets.List[rowKey, row]
	concern *fyne.Container
	all     bool // every concern is shown, not only the most pressing
	room    *board.Estimated
	saving  bool // chores were marked as done and are not shown so yet: a second press would do it twice
	content fyne.CanvasObject
}

// New builds the page; it is empty until Visit.
func New(s *session.Session) *Page {
	p := &Page{session: s, heading: widgets.NewHeading(say.L("Rounds"), ""), concern: container.NewVBox()}
	p.list = widgets.NewList(widgets.ListModel[rowKey, row]{
		Name: "rounds", Key: row.key, Checks: true, Columns: columns(), Open: p.start, Chose: p.updateHeading, Empty: p.empty,
	}, s.Memory)
	buttons := widgets.NewBar(
		widgets.NewPrimary(say.L("Start round"), func() { p.start(p.list.Ticked()) }).With(look.IconStart),
		widgets.NewSecondary(say.L("Done"), p.done).With(look.IconDone),
		widgets.NewSecondary(say.L("Skip"), p.skip).With(look.IconSkip),
		widgets.NewSecondary(say.L("Move"), p.move).With(look.IconLater),
	).And(p.list.Tools()...)
	left := container.NewBorder(container.NewVBox(p.heading, buttons), nil, nil, nil, p.list.Object())
	attention := widgets.NewHeading(say.L("Needs attention"), say.L("Most pressing first, with the next step"))
	right := container.NewBorder(attention, nil, nil, nil, widgets.NewScrolled(p.concern))
	p.content = widgets.NewSides(left, right, 0.62)
	p.ExtendBaseWidget(p)
	return p
}

func columns() []widgets.ListColumn[row] {
	return []widgets.ListColumn[row]{
		{ID: "system", Column: widgets.Column{Title: say.L("System"), Weight: 3}, Cell: func(r row) widgets.Cell {
			return widgets.Cell{Bold: r.code, Text: r.name}
		}},
		{ID: "work", Column: widgets.Column{Title: say.L("Work"), Weight: 4}, Cell: func(r row) widgets.Cell {
			return widgets.Cell{Text: r.work}
		}},
		{ID: "due", Column: widgets.Column{Title: say.L("Due"), Width: 110}, Cell: func(r row) widgets.Cell {
			return widgets.Cell{Text: r.due, By: r.item.Due}
		}},
		{ID: "last", Column: widgets.Column{Title: say.L("Last done"), Width: 130, Spare: true}, Cell: func(r row) widgets.Cell {
			return widgets.Cell{Text: r.last, Quiet: true, By: r.item.LastDone}
		}},
	}
}

// CreateRenderer implements fyne.Widget.
func (p *Page) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(p.content) }

// Visit loads the page; a route to Rounds asks for nothing more.
func (p *Page) Visit(session.Route) {
	p.all = false
	p.Reload()
}

// FirstFocus puts the keyboard on the list.
func (p *Page) FirstFocus() fyne.Focusable { return p.list.Focus() }

// loaded is what the page shows.
type loaded struct {
	room     *board.Estimated
	board    tasks.Agenda
	concerns []tasks.Concern
}

// Reload reads the due work and the concerns anew.
func (p *Page) Reload() {
	now, zone, units := p.session.Clock(), p.session.Zone, p.session.Prefs
	reads := p.session.Reads
	session.Load(p.session, &p.loader, say.L("Reading what is due"), func(ctx context.Context, store *storage.Store) (loaded, error) {
		return fetch(ctx, store, reads, now, zone, units)
	}, p.show)
}

func fetch(
	ctx context.Context,
	store *storage.Store,
	reads *state.Reads,
	now time.Time,
	zone *time.Location,
	units prefs.Preferences,
) (loaded, error) {
	room, err := reads.Room(ctx, now)
	if err != nil {
		return loaded{}, err
	}
	work, concerns, err := state.Work(ctx, reads, room, zone, units.Unit)
	return loaded{room, work, concerns}, err
}

func (p *Page) show(l loaded) {
	p.room, p.saving = l.room, false
	var groups []widgets.Group[row]
	for _, sec := range sections(p.session, l.room, l.board) {
		groups = append(groups, widgets.Group[row]{Title: say.F("%s  %d", sec.title, len(sec.rows)), Records: sec.rows})
	}
	p.list.SetGroups(groups)
	p.showConcerns(l)
}

// empty is what to do when nothing is due.
func (p *Page) empty() fyne.CanvasObject {
	switch {
	case p.room == nil:
		return widgets.NewLine("", "", false)
	case len(p.room.Systems) == 0:
		return widgets.NewEmpty(say.L("No system yet"),
			say.L("A room begins with its systems: their volume, and a profile that says what to test and how often."),
			widgets.Action{Text: say.L("Add a system"), Do: p.to(session.Route{Place: session.Setup, Section: session.SetupSystems})})
	}
	if doubt := p.session.Store.CheckClock(); doubt != nil {
		return widgets.NewEmpty(say.L("What is due cannot be told"), say.Of(doubt))
	}
	return widgets.NewEmpty(say.L("Nothing is due"), say.L("No test or chore is due today or in the next seven days. "+
		"Test intervals belong to profiles, chores to tasks; both are in Setup."),
		widgets.Action{Text: say.L("Type a test anyway"), Do: p.to(session.Route{Place: session.TestSheet})})
}

func (p *Page) to(r session.Route) func() { return func() { p.session.Go(r) } }

func (p *Page) updateHeading() {
	if chosen := len(p.list.Ticked()); chosen > 0 {
		p.heading.SetSubtitle(say.F("%d of %d chosen.", chosen, p.list.Len()))
		return
	}
	p.heading.SetSubtitle(say.N(p.list.Len(), "%d tests and chores. Space ticks a row, Enter starts it."))
}

// start opens the Test sheet for the tests of rows; of none: for all in sight that
// are due by today.
func (p *Page) start(rows []row) {
	if len(rows) == 0 {
		rows = slices.DeleteFunc(p.list.Shown(), func(r row) bool { return r.days(p.session) < 0 })
	}
	cells := cellsOf(rows)
	if len(cells) == 0 {
		p.say(say.L("No test among these"), say.L("A round is for tests. Mark a chore as done with Done."))
		return
	}
	p.session.Go(session.Route{Place: session.TestSheet, Cells: cells})
}

// done records chores as done. Tests are done by their values.
func (p *Page) done() {
	if p.saving {
		return
	}
	var chores []row
	chosen := p.list.Chosen()
	for _, r := range chosen {
		if r.item.Task != 0 {
			chores = append(chores, r)
		}
	}
	if len(chores) == 0 {
		p.say(say.L("Choose a chore first"), say.L("A test is done when its value is saved on the Test sheet."))
		return
	}
	completions := p.completionsOf(chores, tasks.Completion{Outcome: tasks.Done})
	p.saving = true
	p.session.Try(complete(completions), func(err error) {
		if err != nil {
			p.saving = false
			p.session.NotDone(say.L("Marking as done"), err)
			return
		}
		text := say.N(len(completions), "%d chores are marked as done.")
		if len(chosen) > len(chores) {
			text += " " + say.L("A test is done when its value is saved on the Test sheet.")
		}
		p.saved(text)
	})
}

// skip asks for a reason and skips the chosen work.
func (p *Page) skip() {
	rows, ok := p.need()
	if !ok {
		return
	}
	reason := widgets.NewTextEntry("")
	form := widgets.NewForm(widgets.Field{Name: "reason", Label: say.L("Why"), Input: reason, Help: say.L("It stays in the record.")})
	completions := p.completionsOf(rows, tasks.Completion{Outcome: tasks.Skipped})
	title := say.F("Skip: %s", describe(rows))
	forms.Show(p.session, forms.Ask{Title: title, Confirm: say.L("Skip"), Form: form, Read: func() (session.Deed, []widgets.Fault) {
		why := strings.TrimSpace(reason.Text)
		if why == "" {
			problem, remedy := say.L("Work is skipped without a reason"), say.L("say why in a word or two")
			return nil, []widgets.Fault{{Field: "reason", Problem: problem, Remedy: remedy}}
		}
		for i := range completions {
			completions[i].Reason = why
		}
		return complete(slices.Clone(completions)), nil
	}, Saved: func() { p.saved(say.N(len(rows), "%d are skipped; the reason is in the record.")) }})
}

// move asks for a day and puts the chosen work off.
func (p *Page) move() {
	rows, ok := p.need()
	if !ok {
		return
	}
	day := widgets.NewDateEntry(p.session.Now().AddDate(0, 0, 1), p.session.Zone, p.session.Clock)
	form := widgets.NewForm(widgets.Field{Name: "moved_to", Label: say.L("To"), Input: day, Help: say.L("2026-03-14, tomorrow, +3")})
	completions := p.completionsOf(rows, tasks.Completion{Outcome: tasks.Moved})
	title := say.F("Move: %s", describe(rows))
	forms.Show(p.session, forms.Ask{Title: title, Confirm: say.L("Move"), Form: form, Read: func() (session.Deed, []widgets.Fault) {
		to, err := day.Time()
		if err != nil || !to.After(p.session.Clock()) {
			return nil, []widgets.Fault{{Field: "moved_to", Problem: say.L("That is no day to come"), Remedy: say.L("choose a later day")}}
		}
		for i := range completions {
			completions[i].MovedTo = to
		}
		return complete(slices.Clone(completions)), nil
	}, Saved: func() { p.saved(say.N(len(rows), "%d are moved to %s.", p.session.Day(completions[0].MovedTo))) }})
}

// need returns the chosen rows, or says that none is chosen.
func (p *Page) need() ([]row, bool) {
	rows := p.list.Chosen()
	if len(rows) == 0 {
		p.say(say.L("Nothing is chosen"), say.L("Choose rows with Space or by their box first."))
		return nil, false
	}
	return rows, true
}

func describe(rows []row) string {
	if len(rows) == 1 {
		return rows[0].work
	}
	return say.N(len(rows), "%d tests and chores")
}

// completionsOf makes a completion like one for each chore and each test of the
// rows.
func (p *Page) completionsOf(rows []row, like tasks.Completion) []tasks.Completion {
	var out []tasks.Completion
	for _, r := range rows {
		c := like
		c.Task, c.System, c.At, c.Person = r.item.Task, r.item.System, p.session.Clock(), p.session.Person
		if r.item.Task != 0 {
			out = append(out, c)
			continue
		}
		for _, a := range r.item.Analytes {
			c.Analyte = int(a)
			out = append(out, c)
		}
	}
	return out
}

func complete(completions []tasks.Completion) session.Deed {
	return func(ctx context.Context, store *storage.Store) error { return store.CompleteAll(ctx, completions) }
}

func (p *Page) saved(text string) { p.say(say.L("Saved"), text) }

func (p *Page) say(title, text string) { p.session.Say(session.Notice{Title: title, Text: text}) }

// pressing is how many concerns are shown at first: more than fit into a window, and
// each takes time to lay out.
const pressing = 30

func (p *Page) showConcerns(l loaded) {
	shown := l.concerns
	if !p.all && len(shown) > pressing {
		shown = shown[:pressing]
	}
	rows := make([]fyne.CanvasObject, 0, len(shown)+1)
	for _, c := range shown {
		if system, ok := l.room.System(c.System); ok {
			rows = append(rows, p.concernRow(system, c))
		}
	}
	switch more := len(l.concerns) - len(shown); {
	case len(l.concerns) == 0:
		rows = append(rows, widgets.NewWrapped(say.L("Nothing stands out: no value is outside its band as far as the readings can tell.")))
	case more > 0:
		rows = append(rows, widgets.NewBar(widgets.NewSecondary(say.N(more, "Show the other %d"), func() {
			p.all = true
			p.showConcerns(l)
		})))
	}
	p.concern.Objects = rows // at once: each Add would lay all of them out again
	p.concern.Refresh()
}

func (p *Page) concernRow(system tanks.System, c tasks.Concern) fyne.CanvasObject {
	title := widgets.NewLine(system.Code+"  "+say.Of(c.Analyte), "", true)
	text := widgets.NewWrapped(say.L(c.Text))
	button := widgets.NewSecondary(stepLabel(c.Next), func() { p.session.Go(routeOf(c)) })
	mark := widgets.NewMark(widgets.MarkOf(int(c.Verdict.Word), int(c.Verdict.Sure), c.Verdict.Stale))
	head := container.NewBorder(nil, nil, mark, nil, widgets.NewBar(title, button))
	return container.NewVBox(head, text, widgets.NewRule())
}
