// Package system is the page of one system: its water, trend, log and bands,
// and the entries that a keeper makes beside the tank.
package system

import (
	"context"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/state"
	"weirkeeper/app/trendview"
	"weirkeeper/app/ways"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/tanks"
	"weirkeeper/tanks/board"
)

// Page shows one system.
type Page struct {
	widget.BaseWidget
	session *session.Session
	loader  session.Loader
	id      tanks.SystemID
	section session.Section
	analyte chem.Analyte
	loaded  *loaded
	heading *widgets.Heading
	tabs    *widgets.Tabs[session.Section]
	water   *widgets.List[chem.Analyte, waterRow]
	follows *chemistryView
	log     *logView
	trend   *trendview.View
	tools   map[session.Section]fyne.CanvasObject // filter and columns of the sections' lists
	beside  *fyne.Container                       // the tools of the open section, beside the tabs
	body    *fyne.Container
	content fyne.CanvasObject
}

// New builds the page; it is empty until Visit.
func New(s *session.Session) *Page {
	p := &Page{session: s, section: session.SystemWater, heading: widgets.NewHeading(say.L("System"), ""), body: container.NewStack()}
	p.tabs = widgets.NewTabs(widgets.TabsOf(session.System.Sections()), func(s session.Section) { p.section = s; p.lay() })
	p.water = newWaterList(s, p.openTrend, p.noWater)
	p.follows = newChemistryView(s, p.measure, p.sums())
	p.log = newLogView(s, p.amend)
	p.trend = trendview.New(s)
	p.tools = map[session.Section]fyne.CanvasObject{
		session.SystemWater: container.NewHBox(p.water.Tools()...), session.SystemChemistry: container.NewHBox(p.follows.list.Tools()...),
		session.SystemLog: container.NewHBox(p.log.list.Tools()...),
	}
	p.beside = container.NewStack()
	sections := container.NewBorder(nil, nil, nil, p.beside, p.tabs)
	p.content = container.NewBorder(container.NewVBox(p.heading, p.buttons(), sections), nil, nil, nil, p.body)
	p.ExtendBaseWidget(p)
	return p
}

func (p *Page) buttons() fyne.CanvasObject {
	to := func(place session.Place, section session.Section) func() {
		return func() { p.session.Go(session.Route{Place: place, Section: section, System: p.id}) }
	}
	return widgets.NewBar(
		widgets.NewSecondary(say.L("Back to Room"), func() { p.session.Go(session.Route{Place: session.Room}) }).With(look.IconBack),
		widgets.NewSecondary(say.L("Type values"), p.typeValues).With(look.IconTestSheet),
		widgets.NewSecondary(say.L("Plan a dose"), to(session.Dosing, session.DosingPlan)).With(look.IconDosing),
		widgets.NewSecondary(say.L("Record an addition"), p.addAddition).With(look.IconDosing),
		widgets.NewSecondary(say.L("Record a water change"), to(session.Dosing, session.DosingChanges)).With(look.IconWave),
		widgets.NewSecondary(say.L("Write a note"), p.addNote).With(look.IconNote),
		widgets.NewSecondary(say.L("Handover"), to(session.Handover, session.NoSection)).With(look.IconHandover),
	)
}

// sums are the questions the other way round: what to do for a value that is wanted.
func (p *Page) sums() fyne.CanvasObject {
	return widgets.NewBar(
		widgets.NewSecondary(say.L("Dose for a target"), p.aimAt).With(look.IconDosing),
		widgets.NewSecondary(say.L("Carbon dioxide and pH"), p.askCarbon).With(look.IconMeasure),
		widgets.NewSecondary(say.L("Weekly dose"), p.askWeekly).With(look.IconDosing),
		widgets.NewSecondary(say.L("Ways to raise hardness"), func() { ways.Show(p.session, chem.Hardness) }).With(look.IconWave),
		widgets.NewSecondary(say.L("Ways to lower phosphate"), func() { ways.Show(p.session, chem.Phosphate) }).With(look.IconWave),
	)
}

// CreateRenderer implements fyne.Widget.
func (p *Page) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(p.content) }

// Visit opens the route's system, at its section and analyte.
func (p *Page) Visit(r session.Route) {
	if r.System != 0 && r.System != p.id {
		p.id, p.analyte, p.section = r.System, 0, session.SystemWater
	}
	if r.Section != session.NoSection {
		p.section = r.Section
	}
	if r.Analyte != 0 {
		p.analyte, p.section = r.Analyte, session.SystemTrend
	}
	p.tabs.Select(p.section)
	p.Reload()
}

// FirstFocus puts the keyboard on the list that is open.
func (p *Page) FirstFocus() fyne.Focusable {
	if p.loaded == nil {
		return nil
	}
	switch p.section {
	case session.SystemWater:
		return p.water.Focus()
	case session.SystemChemistry:
		return widgets.IfShown(p.body, p.follows.content, p.follows.list.Focus())
	case session.SystemLog:
		return p.log.list.Focus()
	}
	return nil
}

// loaded is what the page shows of the ledger beside the log.
type loaded struct {
	room     *board.Estimated
	system   tanks.System
	names    names
	products []tanks.Product
	readings []tanks.Reading // of the span of the small lines
}

// Reload reads the system anew.
func (p *Page) Reload() {
	now, id := p.session.Clock(), p.id
	reads := p.session.Reads
	session.Load(p.session, &p.loader, say.L("Opening the system"), func(ctx context.Context, store *storage.Store) (*loaded, error) {
		return fetch(ctx, store, reads, id, now)
	}, func(l *loaded) {
		p.loaded = l
		p.lay()
	})
}

func fetch(ctx context.Context, store *storage.Store, reads *state.Reads, id tanks.SystemID, now time.Time) (*loaded, error) {
	room, err := reads.Room(ctx, now)
	if err != nil {
		return nil, err
	}
	l := &loaded{room: room}
	var ok bool
	if l.system, ok = room.System(id); !ok {
		return nil, words.Errorf("the system is not in use any more; choose another one in Room")
	}
	if l.readings, err = store.ReadingsOf(ctx, id, now.Add(-courseSpan), now); err != nil {
		return nil, words.Errorf("reading the last values: %w", err)
	}
	products, err := store.Products(ctx)
	if err != nil {
		return nil, words.Errorf("reading the shelf: %w", err)
	}
	l.names, l.products = namesOf(room, products), products
	return l, nil
}

func namesOf(room *board.Estimated, products []tanks.Product) names {
	n := names{methods: room.Methods, products: map[tanks.ProductID]tanks.Product{}, systems: map[tanks.SystemID]tanks.System{}}
	for _, product := range products {
		n.products[product.ID] = product
	}
	for _, system := range room.Systems {
		n.systems[system.ID] = system
	}
	return n
}

// lay shows the open section.
func (p *Page) lay() {
	if p.loaded == nil {
		return
	}
	p.heading.SetTitle(p.loaded.system.Label())
	p.heading.SetSubtitle(about(p.session, p.loaded.system))
	var shown, tools fyne.CanvasObject
	switch p.section {
	case session.SystemTrend:
		p.showTrend()
		shown = p.trend
	case session.SystemChemistry:
		shown, tools = p.chemistryOrEmpty(), p.tools[session.SystemChemistry]
	case session.SystemLog:
		p.log.show(p.id, p.loaded.names)
		shown, tools = p.log.list.Object(), p.tools[session.SystemLog]
	default:
		p.water.SetRecords(waterRows(p.session, p.loaded.room, p.loaded.system, p.loaded.readings))
		shown, tools = p.water.Object(), p.tools[session.SystemWater]
	}
	p.body.Objects, p.beside.Objects = []fyne.CanvasObject{shown}, nil
	if tools != nil {
		p.beside.Objects = []fyne.CanvasObject{tools}
	}
	p.beside.Refresh()
	p.body.Refresh()
}

// about says what the system is: water, place, volume and how it is known.
func about(in *session.Session, s tanks.System) string {
	text := say.Of(s.Kind)
	if s.Place != "" {
		text += ", " + s.Place
	}
	v := s.NetVolume()
	if !v.Known() {
		return say.F("%s, net volume unknown: give dimensions in Setup", text)
	}
	return say.F("%s, net volume %s %s", text, in.VolumeUnit().VolumeWithin(v.Litres, v.Uncertainty), v.How)
}

func (p *Page) noWater() fyne.CanvasObject {
	return widgets.NewEmpty(say.L("Nothing is known of this water yet"),
		say.L("Type its first values, or give it a profile that says what to test."),
		widgets.Action{Text: say.L("Type values"), Do: p.typeValues})
}

func (p *Page) chemistryOrEmpty() fyne.CanvasObject {
	if !p.follows.show(p.loaded.room, p.loaded.system) {
		return widgets.NewEmpty(
			say.L("Nothing to follow from yet"),
			say.L(
				"From temperature, salinity, pH, alkalinity and the ions come carbon dioxide, saturation, ammonia's harmful part and more.",
			),
			widgets.Action{Text: say.L("Type values"), Do: p.typeValues},
		)
	}
	return p.follows.content
}

// openTrend shows the course of one analyte.
func (p *Page) openTrend(a chem.Analyte) {
	p.analyte, p.section = a, session.SystemTrend
	p.tabs.Select(p.section)
	p.lay()
}

// measure opens the test sheet for one analyte of the system.
func (p *Page) measure(a chem.Analyte) {
	p.session.Go(session.Route{Place: session.TestSheet, Cells: []tanks.Cell{{System: p.id, Analyte: a}}})
}

// showTrend gives the chart its request: the chosen analyte, else the usual ones.
func (p *Page) showTrend() {
	var wanted []chem.Analyte
	if p.analyte != 0 {
		wanted = []chem.Analyte{p.analyte}
	}
	p.analyte = 0 // what is ticked since stays
	p.trend.Ask(p.loaded.system, wanted, p.loaded.room.Tested(p.id))
}

func (p *Page) typeValues() {
	if p.loaded == nil {
		return
	}
	var cells []tanks.Cell
	for _, b := range p.loaded.room.Bands[p.id] {
		cells = append(cells, tanks.Cell{System: p.id, Analyte: b.Analyte})
	}
	if len(cells) == 0 {
		for _, a := range []chem.Analyte{chem.Temperature, chem.Salinity, chem.Alkalinity, chem.Calcium, chem.Magnesium} {
			cells = append(cells, tanks.Cell{System: p.id, Analyte: a})
		}
	}
	p.session.Go(session.Route{Place: session.TestSheet, Cells: cells})
}
