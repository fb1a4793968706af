// Package dosing is where doses are decided and recorded: the plan for many
// systems, the run sheet, the shelf, and water changes.
package dosing

import (
	"context"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
	"weirkeeper/tanks"
	"weirkeeper/tanks/board"
)

// Sections of the page.
const (
	planSection    words.Text = "Plan"
	runSection     words.Text = "Run sheet"
	shelfSection   words.Text = "Shelf"
	changesSection words.Text = "Water changes"
)

// Sections lists the sections in their order.
func Sections() []words.Text {
	return []words.Text{planSection, runSection, shelfSection, changesSection}
}

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
	chosen   words.Text
	tabs     *widgets.Tabs
	sections map[words.Text]section
	plan     *planView
	changes  *changesView
	body     *fyne.Container
	content  fyne.CanvasObject
}

// loaded is what the sections show.
type loaded struct {
	room     *board.Estimated
	products []tanks.Product
	items    []tanks.RunItem
}

// New builds the page; it is empty until Visit.
func New(s *session.Session) *Page {
	p := &Page{session: s, chosen: planSection, body: container.NewStack()}
	p.plan = newPlanView(s)
	p.changes = newChangesView(s)
	p.sections = map[words.Text]section{
		planSection: p.plan, runSection: newRunView(s), shelfSection: newShelfView(s), changesSection: p.changes,
	}
	p.tabs = widgets.NewTabs(Sections(), func(name words.Text) {
		p.chosen = name
		p.Reload()
	})
	p.content = container.NewBorder(container.NewVBox(widgets.NewHeading(say.L("Dosing"), say.L("This advises; you decide. Follow the label of each product.")), p.tabs), nil, nil, nil, p.body)
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
	case planSection:
		p.plan.ask(r)
	case changesSection:
		p.changes.ask(r)
	}
	p.Reload()
}

// Save does what the open section's main button does.
func (p *Page) Save() {
	switch p.chosen {
	case planSection:
		p.plan.commit()
	case changesSection:
		p.changes.save()
	}
}

// Reload reads room, shelf and run sheet anew.
func (p *Page) Reload() {
	now := p.session.Clock()
	session.Load(p.session, &p.loader, func(ctx context.Context) (*loaded, error) {
		return fetch(ctx, p.session, now)
	}, func(l *loaded, err error) {
		if err != nil {
			p.session.Fail(say.L("Reading the doses"), err)
			return
		}
		open := p.sections[p.chosen]
		open.show(l)
		p.body.Objects = []fyne.CanvasObject{open.object()}
		p.body.Refresh()
	})
}
