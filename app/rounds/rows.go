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
	item   tasks.Item
	code   string
	name   string
	work   string
	due    string
	last   string
	isTest bool
}

// section is a heading of the list with its rows.
type section struct {
	title string
	rows  []row
}

// sections lays the board out as the list shows it.
func sections(s *session.Session, room *board.Estimated, board tasks.Board) []section {
	return []section{
		{say.L("Overdue"), rowsOf(s, room, board.Overdue)},
		{say.L("Today"), rowsOf(s, room, board.Today)},
		{say.L("Next seven days"), rowsOf(s, room, board.Soon)},
	}
}

func rowsOf(s *session.Session, room *board.Estimated, items []tasks.Item) []row {
	rows := make([]row, 0, len(items))
	for _, item := range items {
		r := row{item: item, work: work(item), due: due(s, item), last: last(s, item), isTest: item.Task == 0}
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

// due says when the item is due, from today's point of view.
func due(s *session.Session, item tasks.Item) string {
	days := session.DaysBetween(item.Due.In(s.Zone), s.Now())
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

// cellsOf returns the tests among items, as cells of the Test sheet.
func cellsOf(items []tasks.Item) []tanks.Cell {
	var cells []tanks.Cell
	for _, item := range items {
		if item.Task != 0 {
			continue
		}
		for _, a := range item.Analytes {
			cells = append(cells, tanks.Cell{System: item.System, Analyte: a})
		}
	}
	return cells
}

// stepLabel is the button of a concern's next step.
func stepLabel(step tasks.Step) string {
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
	switch c.Step {
	case tasks.PlanDose:
		return session.Route{Place: session.Dosing, Section: "Plan", System: c.System, Analyte: c.Analyte, Cells: cell}
	case tasks.PlanChange:
		return session.Route{Place: session.Dosing, Section: "Water changes", System: c.System, Analyte: c.Analyte}
	case tasks.Compare:
		return session.Route{Place: session.Samples, System: c.System, Analyte: c.Analyte}
	}
	return session.Route{Place: session.TestSheet, Cells: cell}
}
