// Package trends shows any analytes of any system over time.
package trends

import (
	"context"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/figure"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/state"
	"weirkeeper/app/trendview"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/tanks"
	"weirkeeper/tanks/board"
)

// Page is a list of systems beside the chart of the chosen one.
type Page struct {
	widget.BaseWidget
	session *session.Session
	loader  session.Loader
	room    *board.Board
	system  tanks.SystemID
	chosen  []chem.Analyte
	list    *widgets.Table
	view    *trendview.View
	body    *fyne.Container
	content fyne.CanvasObject
}

// New builds the page; it is empty until Visit.
func New(s *session.Session) *Page {
	p := &Page{session: s, view: trendview.New(s), body: container.NewStack()}
	p.list = widgets.NewTable([]widgets.Column{{Title: say.L("System"), Weight: 1}})
	p.list.OnCurrent = p.choose
	p.list.OnOpen = func(n int) { s.Go(session.Route{Place: session.System, System: p.room.Systems[n].ID}) }
	heading := widgets.NewHeading(say.L("Trends"), say.L("Values with their band, additions, water changes and the forecast of the fitted mass balance."))
	p.content = container.NewBorder(heading, nil, nil, nil, p.body)
	p.ExtendBaseWidget(p)
	return p
}

// CreateRenderer implements fyne.Widget.
func (p *Page) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(p.content) }

// FirstFocus puts the keyboard on the list of systems.
func (p *Page) FirstFocus() fyne.Focusable {
	if p.room == nil || len(p.room.Systems) == 0 {
		return nil
	}
	return p.list
}

// Visit opens the route's system and analyte.
func (p *Page) Visit(r session.Route) {
	if r.System != 0 {
		p.system = r.System
	}
	if r.Analyte != 0 {
		p.chosen = []chem.Analyte{r.Analyte}
	}
	p.Reload()
}

// Reload reads the room anew.
func (p *Page) Reload() {
	now := p.session.Clock()
	session.Load(p.session, &p.loader, func(ctx context.Context) (*board.Board, error) {
		return state.Read(ctx, p.session.Store, now)
	}, func(room *board.Board, err error) {
		if err != nil {
			p.session.Fail(say.L("Reading the room"), err)
			return
		}
		p.room = room
		p.lay()
	})
}

func (p *Page) lay() {
	if len(p.room.Systems) == 0 {
		p.body.Objects = []fyne.CanvasObject{widgets.NewEmpty(say.L("No system yet"), say.L("Add the first one in Setup, type its values, and their course will stand here."),
			widgets.Action{Text: say.L("Add a system"), Do: func() { p.session.Go(session.Route{Place: session.Setup, Section: "Systems"}) }})}
		p.body.Refresh()
		return
	}
	if p.system == 0 {
		p.system = p.room.Systems[0].ID
	}
	rows := make([]widgets.Row, len(p.room.Systems))
	at := 0
	for n, s := range p.room.Systems {
		rows[n] = widgets.Row{ID: n, Cells: []widgets.Cell{{Bold: s.Code, Text: s.Name}}}
		if s.ID == p.system {
			at = n
		}
	}
	p.list.SetRows(rows)
	p.list.SetCurrent(at)
	split := widgets.NewSides(p.list, p.view, 0.2)
	p.body.Objects = []fyne.CanvasObject{split}
	p.body.Refresh()
	p.draw()
}

// choose draws another system, with the analytes shown so far where it has them.
func (p *Page) choose(n int) {
	if p.room == nil || n < 0 || n >= len(p.room.Systems) || p.room.Systems[n].ID == p.system {
		return
	}
	p.system = p.room.Systems[n].ID
	p.draw()
}

func (p *Page) draw() {
	system, ok := p.room.System(p.system)
	if !ok {
		return
	}
	offered := p.room.Tested(p.system)
	chosen := p.chosen
	if len(chosen) == 0 {
		chosen = trendview.Usual(offered)
	}
	p.view.Ask(figure.Request{System: system, Analytes: chosen}, offered)
}
