// Package dosing is where doses are decided and recorded: the plan for many
// systems, the run sheet, the shelf, water changes, and new water.
package dosing

import (
	"context"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/storage"
	"weirkeeper/tanks"
	"weirkeeper/tanks/board"
	"weirkeeper/tasks"
)

// section is one tab: it shows what was loaded.
type section interface {
	object() fyne.CanvasObject
	show(l *loaded)
	focus() fyne.Focusable
}

// Page holds the sections.
type Page struct {
	widget.BaseWidget
	session  *session.Session
	loader   session.Loader
	chosen   session.Section
	tabs     *widgets.Tabs[session.Section]
	sections map[session.Section]section
	plan     *planView
	changes  *changesView
	making   *makingView
	shelf    *shelfView
	body     *fyne.Container
	content  fyne.CanvasObject
}

// addSystem leads from an empty section to where systems are added.
func addSystem(s *session.Session) widgets.Action {
	return widgets.Action{Text: say.L("Add a system"), Do: func() {
		s.Go(session.Route{Place: session.Setup, Section: session.SetupSystems})
	}}
}

// loaded is what the sections show.
type loaded struct {
	room     *board.Estimated
	products []tanks.Product
	recipes  []tanks.WaterRecipe
	tasks    []tasks.Task
	items    []tanks.RunItem
}

// New builds the page; it is empty until Visit.
func New(s *session.Session) *Page {
	p := &Page{session: s, chosen: session.DosingPlan, body: container.NewStack()}
	p.plan = newPlanView(s)
	p.changes, p.making, p.shelf = newChangesView(s), newMakingView(s), newShelfView(s)
	p.sections = map[session.Section]section{
		session.DosingPlan: p.plan, session.DosingRunSheet: newRunView(s),
		session.DosingShelf: p.shelf, session.DosingChanges: p.changes,
		session.DosingMaking: p.making,
	}
	p.tabs = widgets.NewTabs(widgets.TabsOf(session.Dosing.Sections()), func(chosen session.Section) {
		p.chosen = chosen
		p.Reload()
	})
	heading := widgets.NewHeading(say.L("Dosing"), say.L("This advises; you decide. Follow the label of each product."))
	p.content = container.NewBorder(container.NewVBox(heading, p.tabs), nil, nil, nil, p.body)
	p.ExtendBaseWidget(p)
	return p
}

// CreateRenderer implements fyne.Widget.
func (p *Page) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(p.content) }

// FirstFocus puts the keyboard into the open section.
func (p *Page) FirstFocus() fyne.Focusable { return p.sections[p.chosen].focus() }

// Visit opens the route's section with its systems and analytes.
func (p *Page) Visit(r session.Route) {
	if _, ok := p.sections[r.Section]; ok {
		p.chosen = r.Section
	}
	p.tabs.Select(p.chosen)
	switch p.chosen {
	case session.DosingPlan:
		p.plan.ask(r)
	case session.DosingChanges:
		p.changes.ask(r)
	case session.DosingMaking:
		p.making.ask(r)
	case session.DosingShelf:
		p.shelf.begin = r.New
	}
	p.Reload()
}

// Save does what the open section's main button does.
func (p *Page) Save() {
	switch p.chosen {
	case session.DosingPlan:
		p.plan.commit()
	case session.DosingChanges:
		p.changes.save()
	case session.DosingMaking:
		p.making.saveRecipe()
	}
}

// Reload reads room, shelf and run sheet anew.
func (p *Page) Reload() {
	now, zone := p.session.Clock(), p.session.Zone
	reads := p.session.Reads
	session.Load(p.session, &p.loader, say.L("Reading the doses"), func(ctx context.Context, store *storage.Store) (*loaded, error) {
		return fetch(ctx, store, reads, now, zone)
	}, func(l *loaded) {
		open := p.sections[p.chosen]
		open.show(l)
		p.body.Objects = []fyne.CanvasObject{open.object()}
		p.body.Refresh()
	})
}
