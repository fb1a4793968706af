package system

import (
	"context"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/storage"
	"weirkeeper/tanks"
)

// logView lists what happened to a system.
type logView struct {
	session *session.Session
	loader  session.Loader
	of      tanks.SystemID // whose log the list holds
	list    *widgets.List[eventKey, event]
}

func newLogView(s *session.Session, amend func(event)) *logView {
	v := &logView{session: s}
	v.list = widgets.NewList(widgets.ListModel[eventKey, event]{
		Name: "system.log", Key: func(e event) eventKey { return e.key }, Columns: logColumns(s),
		Open: func(chosen []event) { amend(chosen[0]) }, Empty: v.empty,
	}, s.Memory)
	return v
}

func logColumns(s *session.Session) []widgets.ListColumn[event] {
	column := func(id widgets.ColumnID, c widgets.Column, cell func(event) widgets.Cell) widgets.ListColumn[event] {
		return widgets.ListColumn[event]{ID: id, Column: c, Cell: cell}
	}
	return []widgets.ListColumn[event]{
		column("when", widgets.Column{Title: say.L("When"), Width: 150}, func(e event) widgets.Cell {
			return widgets.Cell{Text: say.Moment(e.at.In(s.Zone)), By: e.at}
		}),
		column("what", widgets.Column{Title: say.L("What"), Weight: 3}, func(e event) widgets.Cell {
			return widgets.Cell{Text: e.title(), Quiet: e.withdrawn}
		}),
		column("value", widgets.Column{Title: say.L("Value"), Width: 140, Align: fyne.TextAlignTrailing}, func(e event) widgets.Cell {
			return widgets.Cell{Text: e.value, Quiet: e.withdrawn}
		}),
		column("by", widgets.Column{Title: say.L("By"), Width: 60}, func(e event) widgets.Cell { return widgets.Cell{Text: e.by} }),
		column("remark", widgets.Column{Title: say.L("Remark"), Weight: 3, Spare: true}, func(e event) widgets.Cell {
			return widgets.Cell{Text: e.remark, Quiet: true}
		}),
	}
}

// empty stands in the place of the log before it is read, too: then it says
// nothing.
func (v *logView) empty() fyne.CanvasObject {
	if v.of == 0 {
		return container.NewWithoutLayout()
	}
	return widgets.NewEmpty(
		say.L("The log is empty"),
		say.L("Values, additions, water changes and notes will stand here in order of time."),
	)
}

// recentDays is how far back the log is read first: what is seen at once.
const recentDays = 60

// show reads the log of a system and shows it; of another system than before the
// newest events first, since all of them may be those of ten years.
func (v *logView) show(id tanks.SystemID, n names) {
	l, now := logger{n, v.session.Prefs}, v.session.Clock()
	all := func() { v.load(l, id, time.Time{}, now, nil) }
	if v.of == id {
		all()
		return
	}
	v.of = 0
	v.list.SetRecords(nil)
	v.load(l, id, now.AddDate(0, 0, -recentDays), now, all)
}

// load reads a stretch of the log and shows it, then goes on.
func (v *logView) load(l logger, id tanks.SystemID, from, to time.Time, then func()) {
	session.Load(v.session, &v.loader, say.L("Reading the log"), func(ctx context.Context, store *storage.Store) ([]event, error) {
		return l.read(ctx, store, id, from, to)
	}, func(events []event) {
		if then == nil || len(events) > 0 {
			v.of = id
			v.list.SetRecords(events)
		}
		if then != nil {
			then()
		}
	})
}
