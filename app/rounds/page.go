// Package rounds is the screen that opens first: what work is due, and what
// needs attention, each with its next step.
package rounds

import (
	"context"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/state"
	"weirkeeper/app/widgets"
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
	table   *widgets.Table
	listing *widgets.List   // what table shows
	list    *fyne.Container // the table, or what to do when it is empty
	concern *fyne.Container
	rows    []row
	content fyne.CanvasObject
}

// New builds the page; it is empty until Visit.
func New(s *session.Session) *Page {
	p := &Page{session: s, heading: widgets.NewHeading(say.L("Rounds"), ""), list: container.NewStack(), concern: container.NewVBox()}
	p.listing = widgets.NewList([]widgets.Column{
		{Title: say.L("System"), Weight: 3},
		{Title: say.L("Work"), Weight: 4},
		{Title: say.L("Due"), Width: 110},
		{Title: say.L("Last done"), Width: 130, Spare: true},
	}, s.Memory, "rounds")
	p.table = p.listing.Table
	p.table.Checks = true
	p.table.OnOpen = func(n int) { p.start([]tasks.Item{p.rows[n].item}) }
	p.table.OnChecked = func() { p.updateHeading() }
	buttons := widgets.NewBar(
		widgets.NewPrimary(say.L("Start round"), func() { p.start(p.chosen()) }).With(look.IconStart),
		widgets.NewSecondary(say.L("Done"), p.done).With(look.IconDone),
		widgets.NewSecondary(say.L("Skip"), p.skip).With(look.IconSkip),
		widgets.NewSecondary(say.L("Move"), p.move).With(look.IconLater),
	).And(p.listing.Tools()...)
	left := container.NewBorder(container.NewVBox(p.heading, buttons), nil, nil, nil, p.list)
	right := container.NewBorder(widgets.NewHeading(say.L("Needs attention"), say.L("Most pressing first, with the next step")), nil, nil, nil,
		widgets.NewScrolled(p.concern))
	split := widgets.NewSides(left, right, 0.62)
	p.content = split
	p.ExtendBaseWidget(p)
	return p
}

// CreateRenderer implements fyne.Widget.
func (p *Page) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(p.content) }

// Visit loads the page; a route to Rounds asks for nothing more.
func (p *Page) Visit(session.Route) { p.Reload() }

// FirstFocus puts the keyboard on the list.
func (p *Page) FirstFocus() fyne.Focusable { return widgets.IfShown(p.list, p.table, p.table) }

// loaded is what the page shows.
type loaded struct {
	room     *board.Estimated
	board    tasks.Board
	concerns []tasks.Concern
}

// Reload reads the due work and the concerns anew.
func (p *Page) Reload() {
	now, zone := p.session.Clock(), p.session.Zone
	session.Load(p.session, &p.loader, func(ctx context.Context) (loaded, error) {
		return p.fetch(ctx, now, zone)
	}, func(l loaded, err error) {
		if err != nil {
			p.session.Fail(say.L("Reading what is due"), err)
			return
		}
		p.show(l)
	})
}

func (p *Page) fetch(ctx context.Context, now time.Time, zone *time.Location) (loaded, error) {
	room, err := state.ReadEstimated(ctx, p.session.Store, now)
	if err != nil {
		return loaded{}, err
	}
	work, concerns, err := state.Work(ctx, p.session.Store, room, zone, p.session.Unit)
	return loaded{room, work, concerns}, err
}

func (p *Page) show(l loaded) {
	p.rows = p.rows[:0]
	var rows []widgets.Row
	for _, sec := range sections(p.session, l.room, l.board) {
		if len(sec.rows) == 0 {
			continue
		}
		rows = append(rows, widgets.GroupRow(say.F("%s  %d", sec.title, len(sec.rows))))
		for _, r := range sec.rows {
			rows = append(rows, widgets.Row{ID: len(p.rows), Cells: []widgets.Cell{
				{Bold: r.code, Text: r.name}, {Text: r.work}, {Text: r.due, By: r.item.Due}, {Text: r.last, Quiet: true, By: r.item.LastDone},
			}})
			p.rows = append(p.rows, r)
		}
	}
	p.listing.SetRows(rows)
	p.list.Objects = []fyne.CanvasObject{p.listOrEmpty(l)}
	p.list.Refresh()
	p.showConcerns(l)
	p.updateHeading()
}

// listOrEmpty returns the table, or what to do when nothing is due.
func (p *Page) listOrEmpty(l loaded) fyne.CanvasObject {
	switch {
	case len(l.room.Systems) == 0:
		return widgets.NewEmpty(say.L("No system yet"), say.L("A room begins with its systems: their volume, and a profile that says what to test and how often."),
			widgets.Action{Text: say.L("Add a system"), Do: func() { p.session.Go(session.Route{Place: session.Setup, Section: "Systems"}) }})
	case len(p.rows) == 0:
		return widgets.NewEmpty(say.L("Nothing is due"), say.L("No test or chore is due today or in the next seven days. Test intervals belong to profiles, chores to tasks; both are in Setup."),
			widgets.Action{Text: say.L("Type a test anyway"), Do: func() { p.session.Go(session.Route{Place: session.TestSheet}) }})
	}
	return p.table
}

func (p *Page) updateHeading() {
	chosen := p.chosen()
	if len(chosen) == 0 {
		p.heading.SetSubtitle(say.N(len(p.rows), "%d pieces of work. Space chooses a row, Enter starts it."))
		return
	}
	p.heading.SetSubtitle(say.F("%d of %d chosen.", len(chosen), len(p.rows)))
}

// chosen returns the checked items.
func (p *Page) chosen() []tasks.Item {
	var items []tasks.Item
	for _, id := range p.table.Checked() {
		items = append(items, p.rows[id].item)
	}
	return items
}

// chosenOrCurrent returns the checked items, else the one under the cursor.
func (p *Page) chosenOrCurrent() []tasks.Item {
	if items := p.chosen(); len(items) > 0 {
		return items
	}
	if n, ok := p.table.Current(); ok {
		return []tasks.Item{p.rows[n].item}
	}
	return nil
}

// start opens the Test sheet for the chosen tests, or for all tests that are
// due by today when none is chosen.
func (p *Page) start(items []tasks.Item) {
	if len(items) == 0 {
		for _, r := range p.rows {
			if session.DaysBetween(r.item.Due.In(p.session.Zone), p.session.Now()) >= 0 {
				items = append(items, r.item)
			}
		}
	}
	cells := cellsOf(items)
	if len(cells) == 0 {
		p.session.Say(session.Notice{Title: say.L("No test among these"), Text: say.L("A round is for tests. Mark a chore as done with Done.")})
		return
	}
	p.session.Go(session.Route{Place: session.TestSheet, Cells: cells})
}

// done records chores as done. Tests are done by their values.
func (p *Page) done() {
	items := p.chosenOrCurrent()
	var completions []tasks.Completion
	for _, item := range items {
		if item.Task != 0 {
			completions = append(completions, tasks.Completion{Task: item.Task, System: item.System, At: p.session.Clock(), Outcome: tasks.Done, Person: p.session.Person})
		}
	}
	if len(completions) == 0 {
		p.session.Say(session.Notice{Title: say.L("Choose a chore first"), Text: say.L("A test is done when its value is saved on the Test sheet.")})
		return
	}
	p.complete(say.L("Marking as done"), completions)
}

// skip asks for a reason and skips the chosen work.
func (p *Page) skip() {
	items, ok := p.need()
	if !ok {
		return
	}
	reason := widgets.NewTextEntry("")
	form := widgets.NewForm(widgets.Field{Name: "reason", Label: say.L("Why"), Input: reason, Help: say.L("It stays in the record.")})
	widgets.ShowForm(p.session.Window, say.F("Skip: %s", describe(items)), say.L("Skip"), form, func() bool {
		if strings.TrimSpace(reason.Text) == "" {
			form.ShowFaults([]widgets.Fault{{Field: "reason", Problem: say.L("Work is skipped without a reason"), Remedy: say.L("say why in a word or two")}})
			return false
		}
		p.complete(say.L("Skipping"), p.completionsOf(items, tasks.Skipped, reason.Text, time.Time{}))
		return true
	})
}

// move asks for a day and puts the chosen work off.
func (p *Page) move() {
	items, ok := p.need()
	if !ok {
		return
	}
	day := widgets.NewDateEntry(p.session.Now().AddDate(0, 0, 1), p.session.Zone, p.session.Clock)
	form := widgets.NewForm(widgets.Field{Name: "moved_to", Label: say.L("To"), Input: day, Help: say.L("2026-03-14, tomorrow, +3")})
	widgets.ShowForm(p.session.Window, say.F("Move: %s", describe(items)), say.L("Move"), form, func() bool {
		to, err := day.Time()
		if err != nil || !to.After(p.session.Clock()) {
			form.ShowFaults([]widgets.Fault{{Field: "moved_to", Problem: say.L("That is no day to come"), Remedy: say.L("choose a later day")}})
			return false
		}
		p.complete(say.L("Moving"), p.completionsOf(items, tasks.Moved, "", to))
		return true
	})
}

func (p *Page) need() ([]tasks.Item, bool) {
	items := p.chosenOrCurrent()
	if len(items) == 0 {
		p.session.Say(session.Notice{Title: say.L("Nothing is chosen"), Text: say.L("Choose rows with Space or by their box first.")})
		return nil, false
	}
	return items, true
}

func describe(items []tasks.Item) string {
	if len(items) == 1 {
		return work(items[0])
	}
	return say.N(len(items), "%d pieces of work")
}

// completionsOf makes a completion for each chore and each test of the items.
func (p *Page) completionsOf(items []tasks.Item, outcome tasks.Outcome, reason string, to time.Time) []tasks.Completion {
	var out []tasks.Completion
	for _, item := range items {
		c := tasks.Completion{Task: item.Task, System: item.System, At: p.session.Clock(), Outcome: outcome, Reason: reason, MovedTo: to, Person: p.session.Person}
		if item.Task != 0 {
			out = append(out, c)
			continue
		}
		for _, a := range item.Analytes {
			c.Analyte = int(a)
			out = append(out, c)
		}
	}
	return out
}

func (p *Page) complete(doing string, completions []tasks.Completion) {
	p.session.Act(doing, func(ctx context.Context) error {
		return p.session.Store.CompleteAll(ctx, completions)
	}, func() {
		p.session.Say(session.Notice{Title: say.L("Saved"), Text: say.F("%s: %d kept in the record.", doing, len(completions))})
	})
}

func (p *Page) showConcerns(l loaded) {
	p.concern.Objects = nil
	for _, c := range l.concerns {
		system, ok := l.room.System(c.System)
		if !ok {
			continue
		}
		p.concern.Add(p.concernRow(system, c))
	}
	if len(l.concerns) == 0 {
		p.concern.Add(widgets.NewWrapped(say.L("Nothing stands out: no value is outside its band as far as the readings can tell.")))
	}
	p.concern.Refresh()
}

func (p *Page) concernRow(system tanks.System, c tasks.Concern) fyne.CanvasObject {
	title := widgets.NewLine(system.Code+"  "+say.Of(c.Analyte), "", true)
	text := widgets.NewWrapped(say.L(c.Text))
	button := widgets.NewSecondary(stepLabel(c.Step), func() { p.session.Go(routeOf(c)) })
	mark := widgets.NewMark(widgets.MarkOf(int(c.Verdict.Word), int(c.Verdict.Sure), c.Verdict.Stale))
	head := container.NewBorder(nil, nil, mark, nil, widgets.NewBar(title, button))
	return container.NewVBox(head, text, widgets.NewRule())
}
