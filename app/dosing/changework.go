package dosing

import (
	"context"
	"slices"

	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
	"weirkeeper/storage"
	"weirkeeper/tanks/changes"
	"weirkeeper/tasks"
)

// mostWork is how many tasks a course can be put down as: nobody keeps to more.
const mostWork = 60

// putDown puts the course down as work, a task for each day of it; what breaks a limit
// is asked about.
func (c *courseView) putDown() {
	c.changes.compute()
	if !c.fine || c.saving {
		c.form.ShowFaults(c.faultsNow())
		return
	}
	p := c.planned
	switch {
	case p.course.Changes == 0:
		c.changes.session.Say(session.Notice{Title: say.L("Nothing to put down"), Text: c.sum(p)})
	case p.course.Changes > mostWork:
		err := words.Errorf("that is %d days of work: change more at a time, or give the number of changes", p.course.Changes)
		c.form.ShowFaults([]widgets.Fault{{Field: "each", Problem: say.Of(err)}})
	case p.course.Nearest.Broken():
		text := say.F("%s (%s). Animals may suffer. Put it down all the same?", c.use(p.course.Nearest), say.L(p.course.Nearest.Source))
		widgets.ShowQuestion(c.changes.session.Window, say.L("This is more than is safe"), text, say.L("Put it down"),
			func() { c.write(p) })
	case c.stands(c.work(p)):
		text := say.L("The same course was put down already. Down a second time its work stands twice in Rounds.")
		widgets.ShowQuestion(c.changes.session.Window, say.L("Once more?"), text, say.L("Put it down"), func() { c.write(p) })
	default:
		c.write(p)
	}
}

// stands tells whether the ledger has the first task of a course, on its day: a whole
// course came, or went, with it.
func (c *courseView) stands(work []tasks.Task) bool {
	return slices.ContainsFunc(c.changes.loaded.tasks, func(t tasks.Task) bool {
		return !t.Ended && t.System == work[0].System && t.Title == work[0].Title && t.Start.Equal(work[0].Start)
	})
}

// faultsNow is what is wrong with what stands in the fields.
func (c *courseView) faultsNow() []widgets.Fault {
	p, faults := c.read()
	if len(faults) == 0 {
		_, err := p.plan.Run()
		faults.at(courseField(err, "each"), err)
	}
	return faults
}

// write saves the tasks of a course, in one act.
func (c *courseView) write(p coursePlan) {
	work := c.work(p)
	c.saving = true
	in := c.changes.session
	in.Try(func(ctx context.Context, store *storage.Store) error { return store.SaveTasks(ctx, work) }, func(err error) {
		c.saving = false
		if err != nil {
			in.NotDone(say.L("Putting the course down as work"), err)
			return
		}
		in.Say(session.Notice{Title: say.L("Saved"), Text: say.N(len(work), "%d tasks for %s, the first on %s.", p.system.Code,
			in.Day(work[0].Start)), Do: say.L("Show them"), Then: func() {
			in.Go(session.Route{Place: session.Setup, Section: session.SetupTasks})
		}})
	})
}

// work lists the tasks of a course.
func (c *courseView) work(p coursePlan) []tasks.Task {
	in, a := c.changes.session, p.plan.Goal
	note := say.F("A course to bring %s from %s to %s with water of %s. Measure before the next.", say.Of(a.InSentence()),
		c.level(a, p.plan.Now[a]), c.level(a, p.plan.To), c.changes.water.from.Shown())
	var work []tasks.Task
	for _, step := range p.course.Steps {
		title := say.F("Change %s of water (%d of %d)", in.Volume(p.litres, 0), step.Number, p.course.Changes)
		if p.plan.Way == changes.Continuous {
			title = say.F("Run %s of new water in over the day (%d of %d)", in.Volume(p.litres, 0), step.Number, p.course.Changes)
		}
		work = append(work, tasks.Task{System: p.system.ID, Title: title, Start: p.on(step), Note: note})
	}
	return work
}
