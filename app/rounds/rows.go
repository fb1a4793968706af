package rounds

import (
	"strings"

	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/chem"
	"weirkeeper/tanks"
	"weirkeeper/tanks/board"
	"weirkeeper/tasks"
)

// row is one line of the list of due work.
type row struct {
	item tasks.Item
	code string
	name string
	work string
	due  string
	last string
}

// rowKey is the work of a row: a chore of a system, or its tests of one day. The
// day is part of it, so that a chore that was done is not the one due next.
type rowKey struct {
	task   tasks.ID
	system tanks.SystemID
	due    int64 // Unix seconds
}

func (r row) key() rowKey { return rowKey{r.item.Task, r.item.System, r.item.Due.Unix()} }

// section is a heading of the list with its rows.
type section struct {
	title string
	rows  []row
}

// sections lays the board out as the list shows it.
func sections(s *session.Session, room *board.Estimated, board tasks.Agenda) []section {
	return []section{
		{say.L("Overdue"), rowsOf(s, room, board.Overdue)},
		{say.L("Today"), rowsOf(s, room, board.Today)},
		{say.L("Next seven days"), rowsOf(s, room, board.Soon)},
	}
}

func rowsOf(s *session.Session, room *board.Estimated, items []tasks.Item) []row {
	rows := make([]row, 0, len(items))
	for _, item := range items {
		r := row{item: item, work: work(item), last: last(s, item)}
		r.due = r.dueText(s)
		if item.System == 0 {
			r.code, r.name = say.L("all"), say.L("the whole room")
		} else if system, ok := room.System(item.System); ok {
			r.code, r.name = system.Code, system.Name
		}
		rows = append(rows, r)
	}
	return rows
}

// work names what is to be done: the analytes of a test, the title of a chore.
func work(item tasks.Item) string {
	if item.Task != 0 {
		return item.Title
	}
	return analyteList(item.Analytes)
}

func analyteList(analytes []chem.Analyte) string {
	names := make([]string, len(analytes))
	for i, a := range analytes {
		names[i] = say.L(a.InSentence())
		if i == 0 {
			names[i] = say.Of(a)
		}
	}
	return strings.Join(names, ", ")
}

// days is how many days ago the row was due; negative: still to come.
func (r row) days(s *session.Session) int { return session.DaysBetween(r.item.Due.In(s.Zone), s.Now()) }

// dueText says when the row is due, from today's point of view.
func (r row) dueText(s *session.Session) string {
	item, days := r.item, r.days(s)
	switch {
	case item.LastDone.IsZero() && item.Task == 0 && days > 0:
		return say.L("never tested")
	case days > 0:
		return say.N(days, "%d days late")
	case days == 0:
		return say.L("today")
	}
	return s.Day(item.Due)
}

func last(s *session.Session, item tasks.Item) string {
	if item.LastDone.IsZero() {
		return ""
	}
	if item.LastBy == "" {
		return s.Day(item.LastDone)
	}
	return s.Day(item.LastDone) + ", " + item.LastBy
}

// cellsOf returns the tests among rows, as cells of the Test sheet.
func cellsOf(rows []row) []tanks.Cell {
	var cells []tanks.Cell
	for _, r := range rows {
		if r.item.Task != 0 {
			continue
		}
		for _, a := range r.item.Analytes {
			cells = append(cells, tanks.Cell{System: r.item.System, Analyte: a})
		}
	}
	return cells
}

// stepLabel is the button of a concern's next step.
func stepLabel(step tasks.NextStep) string {
	switch step {
	case tasks.PlanDose:
		return say.L("Plan a dose")
	case tasks.PlanChange:
		return say.L("Plan a water change")
	case tasks.Compare:
		return say.L("Compare the methods")
	}
	return say.L("Test it")
}

// routeOf leads to where a concern's next step is taken.
func routeOf(c tasks.Concern) session.Route {
	cell := []tanks.Cell{{System: c.System, Analyte: c.Analyte}}
	switch c.Next {
	case tasks.PlanDose:
		return session.Route{Place: session.Dosing, Section: session.DosingPlan, System: c.System, Analyte: c.Analyte, Cells: cell}
	case tasks.PlanChange:
		return session.Route{Place: session.Dosing, Section: session.DosingChanges, System: c.System, Analyte: c.Analyte}
	case tasks.Compare:
		return session.Route{Place: session.Samples, System: c.System, Analyte: c.Analyte}
	}
	return session.Route{Place: session.TestSheet, Cells: cell}
}
