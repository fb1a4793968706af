// Package system is the page of one system: its water, trend, log and bands,
// and the entries that a keeper makes beside the tank.
package system

import (
	"context"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/figure"
	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/state"
	"weirkeeper/app/trendview"
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
	session  *session.Session
	loader   session.Loader
	id       tanks.SystemID
	section  session.Section
	analyte  chem.Analyte
	loaded   *loaded
	heading  *widgets.Heading
	tabs     *widgets.Tabs[session.Section]
	water    *widgets.Table
	follows  *chemistryView
	log      *widgets.List[int, event]
	logBox   *fyne.Container // the log under its tools
	analytes []chem.Analyte  // of the water table's rows
	trend    *trendview.View
	body     *fyne.Container
	content  fyne.CanvasObject
}

// New builds the page; it is empty until Visit.
func New(s *session.Session) *Page {
	p := &Page{session: s, section: session.SystemWater, heading: widgets.NewHeading(say.L("System"), ""), body: container.NewStack()}
	p.tabs = widgets.NewTabs(widgets.TabsOf(session.System.Sections()), func(s session.Section) { p.section = s; p.lay() })
	p.water = widgets.NewTable([]widgets.Column{
		{Title: say.L("Analyte"), Weight: 2}, {Title: say.L("Newest"), Width: 100, Align: fyne.TextAlignTrailing}, {Title: say.L("Unit"), Width: 90},
		{Title: say.L("Verdict"), Weight: 2}, {Title: say.L("In the band"), Weight: 2, Spare: true}, {Title: say.L("30 days"), Width: 90, Spare: true}, {Title: say.L("Uptake a day"), Weight: 2, Align: fyne.TextAlignTrailing},
		{Title: say.L("Age"), Width: 70, Align: fyne.TextAlignTrailing}, {Title: say.L("Method"), Weight: 2, Spare: true},
	})
	p.water.OnOpen = func(n int) {
		p.analyte, p.section = p.analytes[n], session.SystemTrend
		p.tabs.Select(p.section)
		p.lay()
	}
	p.follows = newChemistryView(s, p.measure)
	p.log = widgets.NewList(widgets.ListModel[int, event]{
		Name: "system.log", Key: func(e event) int { return e.number }, Columns: logColumns(s), Open: func(chosen []event) { p.amend(chosen[0]) }, Empty: emptyLog,
	}, s.Memory)
	p.logBox = container.NewBorder(widgets.NewBar(p.log.Tools()...), nil, nil, nil, p.log.Object())
	p.trend = trendview.New(s)
	buttons := widgets.NewBar(
		widgets.NewSecondary(say.L("Back to Room"), func() { s.Go(session.Route{Place: session.Room}) }).With(look.IconBack),
		widgets.NewSecondary(say.L("Type values"), p.typeValues).With(look.IconTestSheet),
		widgets.NewSecondary(say.L("Plan a dose"), func() { s.Go(session.Route{Place: session.Dosing, Section: session.DosingPlan, System: p.id}) }).With(look.IconDosing),
		widgets.NewSecondary(say.L("Record an addition"), p.addAddition).With(look.IconDosing),
		widgets.NewSecondary(say.L("Record a water change"), func() { s.Go(session.Route{Place: session.Dosing, Section: session.DosingChanges, System: p.id}) }).With(look.IconWave),
		widgets.NewSecondary(say.L("Write a note"), p.addNote).With(look.IconNote),
		widgets.NewSecondary(say.L("Handover"), func() { s.Go(session.Route{Place: session.Handover, System: p.id}) }).With(look.IconHandover),
	)
	p.content = container.NewBorder(container.NewVBox(p.heading, buttons, p.tabs), nil, nil, nil, p.body)
	p.ExtendBaseWidget(p)
	return p
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
	switch p.section {
	case session.SystemWater:
		return widgets.IfShown(p.body, p.water, p.water)
	case session.SystemChemistry:
		return widgets.IfShown(p.body, p.follows.content, p.follows.table)
	case session.SystemLog:
		return p.log.Focus()
	}
	return nil
}

// loaded is what the page shows of the ledger.
type loaded struct {
	room     *board.Estimated
	system   tanks.System
	names    names
	readings []tanks.Reading
	history  state.History
}

// Reload reads the system anew.
func (p *Page) Reload() {
	now, id := p.session.Clock(), p.id
	session.Load(p.session, &p.loader, say.L("Opening the system"), func(ctx context.Context, store *storage.Store) (*loaded, error) {
		return fetch(ctx, store, id, now)
	}, func(l *loaded) {
		p.loaded = l
		p.lay()
	})
}

func fetch(ctx context.Context, store *storage.Store, id tanks.SystemID, now time.Time) (*loaded, error) {
	room, err := state.ReadEstimated(ctx, store, now, id)
	if err != nil {
		return nil, err
	}
	l := &loaded{room: room}
	var ok bool
	if l.system, ok = room.System(id); !ok {
		return nil, words.Errorf("the system is not in use any more; choose another one in Room")
	}
	if l.readings, err = store.ReadingsOf(ctx, id, time.Time{}, now); err != nil {
		return nil, words.Errorf("reading the log: %w", err)
	}
	if l.history, err = state.ReadHistory(ctx, store, id, time.Time{}, now); err != nil {
		return nil, err
	}
	products, err := store.Products(ctx)
	if err != nil {
		return nil, words.Errorf("reading the shelf: %w", err)
	}
	l.names = namesOf(room, products)
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
	var shown fyne.CanvasObject
	switch p.section {
	case session.SystemTrend:
		p.showTrend()
		shown = p.trend
	case session.SystemChemistry:
		shown = p.chemistryOrEmpty()
	case session.SystemLog:
		p.log.SetRecords(logOf(p.session, p.loaded.readings, p.loaded.history, p.loaded.names))
		shown = p.logBox
	default:
		shown = p.waterOrEmpty()
	}
	p.body.Objects = []fyne.CanvasObject{shown}
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

func (p *Page) waterOrEmpty() fyne.CanvasObject {
	p.analytes = nil
	var rows []widgets.Row
	for _, r := range waterRows(p.session, p.loaded.room, p.loaded.system, p.loaded.readings) {
		rows = append(rows, widgets.Row{ID: len(p.analytes), Cells: r.cells()})
		p.analytes = append(p.analytes, r.analyte)
	}
	p.water.SetRows(rows)
	if len(rows) == 0 {
		return widgets.NewEmpty(say.L("Nothing is known of this water yet"), say.L("Type its first values, or give it a profile that says what to test."),
			widgets.Action{Text: say.L("Type values"), Do: p.typeValues})
	}
	return p.water
}

func (p *Page) chemistryOrEmpty() fyne.CanvasObject {
	if !p.follows.show(p.loaded.room, p.loaded.system) {
		return widgets.NewEmpty(say.L("Nothing to follow from yet"), say.L("From temperature, salinity, pH, alkalinity and the ions come carbon dioxide, saturation, ammonia's harmful part and more."),
			widgets.Action{Text: say.L("Type values"), Do: p.typeValues})
	}
	return p.follows.content
}

// measure opens the test sheet for one analyte of the system.
func (p *Page) measure(a chem.Analyte) {
	p.session.Go(session.Route{Place: session.TestSheet, Cells: []tanks.Cell{{System: p.id, Analyte: a}}})
}

func logColumns(s *session.Session) []widgets.ListColumn[event] {
	return []widgets.ListColumn[event]{
		{ID: "when", Column: widgets.Column{Title: say.L("When"), Width: 150}, Cell: func(e event) widgets.Cell { return widgets.Cell{Text: say.Moment(e.at.In(s.Zone)), By: e.at} }},
		{ID: "what", Column: widgets.Column{Title: say.L("What"), Weight: 3}, Cell: func(e event) widgets.Cell { return widgets.Cell{Text: e.title(), Quiet: e.withdrawn} }},
		{ID: "value", Column: widgets.Column{Title: say.L("Value"), Width: 140, Align: fyne.TextAlignTrailing}, Cell: func(e event) widgets.Cell {
			return widgets.Cell{Text: e.value, Quiet: e.withdrawn}
		}},
		{ID: "by", Column: widgets.Column{Title: say.L("By"), Width: 60}, Cell: func(e event) widgets.Cell { return widgets.Cell{Text: e.by} }},
		{ID: "remark", Column: widgets.Column{Title: say.L("Remark"), Weight: 3, Spare: true}, Cell: func(e event) widgets.Cell { return widgets.Cell{Text: e.remark, Quiet: true} }},
	}
}

func emptyLog() fyne.CanvasObject {
	return widgets.NewEmpty(say.L("The log is empty"), say.L("Values, additions, water changes and notes will stand here in order of time."))
}

// showTrend gives the chart its request: the chosen analyte, else the
// usual ones.
func (p *Page) showTrend() {
	analytes := p.loaded.room.Tested(p.id)
	chosen := trendview.Usual(analytes)
	if p.analyte != 0 {
		chosen = []chem.Analyte{p.analyte}
	}
	p.trend.Ask(figure.Request{System: p.loaded.system, Analytes: chosen}, analytes)
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
