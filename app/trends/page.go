// Package trends shows any analytes of any system over time.
package trends

import (
	"context"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/trendview"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/tanks"
	"weirkeeper/tanks/board"
)

// Page is a list of systems beside the chart of the chosen one.
type Page struct {
	widget.BaseWidget
	session *session.Session
	loader  session.Loader
	room    *board.Estimated
	system  tanks.SystemID
	wanted  []chem.Analyte // by the route; none: those shown so far
	list    *widgets.List[tanks.SystemID, tanks.System]
	side    fyne.CanvasObject // the list with its filter
	view    *trendview.View
	filling bool // the list is being filled
	body    *fyne.Container
	content fyne.CanvasObject
}

// New builds the page; it is empty until Visit.
func New(s *session.Session) *Page {
	p := &Page{session: s, view: trendview.New(s), body: container.NewStack()}
	p.list = widgets.NewList(widgets.ListModel[tanks.SystemID, tanks.System]{
		Name: "trends.systems", Key: func(s tanks.System) tanks.SystemID { return s.ID },
		Columns: []widgets.ListColumn[tanks.System]{
			{ID: "system", Column: widgets.Column{Title: say.L("System"), Weight: 1}, Cell: func(s tanks.System) widgets.Cell {
				return widgets.Cell{Bold: s.Code, Text: s.Name}
			}},
		},
		Chose: p.chose,
		Open:  func(systems []tanks.System) { s.Go(session.Route{Place: session.System, System: systems[0].ID}) },
	}, s.Memory)
	p.side = container.NewBorder(p.list.Tools()[0], nil, nil, nil, p.list.Object())
	heading := widgets.NewHeading(
		say.L("Trends"),
		say.L("Values with their band, additions, water changes and the forecast of the fitted mass balance."),
	)
	p.content = container.NewBorder(heading, nil, nil, nil, p.body)
	p.ExtendBaseWidget(p)
	return p
}

// CreateRenderer implements fyne.Widget.
func (p *Page) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(p.content) }

// FirstFocus puts the keyboard on the list of systems.
func (p *Page) FirstFocus() fyne.Focusable {
	if p.room == nil {
		return nil
	}
	return p.list.Focus()
}

// Visit opens the route's system and analyte.
func (p *Page) Visit(r session.Route) {
	if r.System != 0 {
		p.system = r.System
	}
	if r.Analyte != 0 {
		p.wanted = []chem.Analyte{r.Analyte}
	}
	p.Reload()
}

// Reload reads the room anew.
func (p *Page) Reload() {
	now := p.session.Clock()
	reads := p.session.Reads
	session.Load(p.session, &p.loader, say.L("Reading the room"), func(ctx context.Context, _ *storage.Store) (*board.Estimated, error) {
		return reads.Room(ctx, now)
	}, func(room *board.Estimated) {
		p.room = room
		p.lay()
	})
}

func (p *Page) lay() {
	if len(p.room.Systems) == 0 {
		p.body.Objects = []fyne.CanvasObject{
			widgets.NewEmpty(
				say.L("No system yet"),
				say.L("Add the first one in Setup, type its values, and their course will stand here."),
				widgets.Action{
					Text: say.L("Add a system"),
					Do:   func() { p.session.Go(session.Route{Place: session.Setup, Section: session.SetupSystems}) },
				},
			),
		}
		p.body.Refresh()
		return
	}
	if _, ok := p.room.System(p.system); !ok {
		p.system = p.room.Systems[0].ID
	}
	p.filling = true
	p.list.SetRecords(p.room.Systems)
	p.list.SetCurrent(p.system)
	p.filling = false
	p.body.Objects = []fyne.CanvasObject{widgets.NewSides(p.side, p.view, 0.22)}
	p.body.Refresh()
	p.draw()
}

// chose draws another system, with the analytes shown so far where it has them.
func (p *Page) chose() {
	s, ok := p.list.Current()
	if !ok || p.filling || s.ID == p.system {
		return
	}
	p.system = s.ID
	p.draw()
}

func (p *Page) draw() {
	system, ok := p.room.System(p.system)
	if !ok {
		return
	}
	p.view.Ask(system, p.wanted, p.room.Tested(p.system))
	p.wanted = nil
}
