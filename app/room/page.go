// Package room is the board of the whole room: systems by place against
// chosen analytes, each with its value, its place in the band and its age.
package room

import (
	"context"
	"slices"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/state"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
	"weirkeeper/tanks/board"
)

// Page is the board with its filters.
type Page struct {
	widget.BaseWidget
	session *session.Session
	loader  session.Loader
	room    *board.Estimated
	filter  filter
	columns []chem.Analyte // chosen; nil: the usual ones
	systems []tanks.SystemID
	heading *widgets.Heading
	listing *widgets.List // what table shows
	table   *widgets.Table
	body    *fyne.Container
	content fyne.CanvasObject
}

// New builds the page; it is empty until Visit.
func New(s *session.Session) *Page {
	p := &Page{session: s, heading: widgets.NewHeading(say.L("Room"), ""), body: container.NewStack()}
	p.listing = widgets.NewList(nil, s.Memory, "room")
	p.table = p.listing.Table
	p.columns = remembered(s.Memory)
	p.table.RowHeight = boardRowHeight
	p.table.OnOpen = p.open
	outside := widgets.NewCheck(say.L("Outside or unsure only"), func(on bool) { p.filter.outsideOnly = on; p.lay() })
	var names []string
	for _, w := range waters {
		names = append(names, say.L(w.name))
	}
	kinds := widgets.NewChoice(names, names[0])
	kinds.OnChanged = p.chooseKind
	bar := widgets.NewBar(container.NewGridWrap(fyne.NewSize(130, look.FieldHeight()), kinds), outside,
		widgets.NewSecondary(say.L("Choose columns"), p.chooseColumns).With(look.IconColumns),
		widgets.NewSecondary(say.L("Open the system"), p.openCurrent).With(look.IconSystem)).And(p.listing.Tools()[0])
	p.content = container.NewBorder(container.NewVBox(p.heading, bar), widgets.NewMarkLegend(), nil, nil, p.body)
	p.ExtendBaseWidget(p)
	return p
}

const boardRowHeight = 46

// waters are the choices of which systems are shown.
var waters = []struct {
	name  words.Text
	kinds []tanks.Kind // empty: all
}{
	{name: "All waters"}, {"Marine", []tanks.Kind{tanks.Marine}}, {"Brackish", []tanks.Kind{tanks.Brackish}},
	{"Freshwater", []tanks.Kind{tanks.Freshwater}}, {"Sources", []tanks.Kind{tanks.Source}},
}

// CreateRenderer implements fyne.Widget.
func (p *Page) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(p.content) }

// Visit loads the board.
func (p *Page) Visit(session.Route) { p.Reload() }

// FirstFocus puts the keyboard on the board.
func (p *Page) FirstFocus() fyne.Focusable { return widgets.IfShown(p.body, p.table, p.table) }

// Reload reads the room anew.
func (p *Page) Reload() {
	now := p.session.Clock()
	session.Load(p.session, &p.loader, func(ctx context.Context) (*board.Estimated, error) {
		return state.ReadEstimated(ctx, p.session.Store, now)
	}, func(room *board.Estimated, err error) {
		if err != nil {
			p.session.Fail(say.L("Reading the room"), err)
			return
		}
		p.room = room
		p.lay()
	})
}

// lay fills the table from the room, the filter and the chosen columns.
func (p *Page) lay() {
	if p.room == nil {
		return
	}
	b := layOut(p.session, p.room, p.filter, p.columns)
	p.heading.SetSubtitle(b.summary())
	p.systems = nil
	p.listing.SetColumns(p.tableColumns(b.columns))
	var rows []widgets.Row
	for _, g := range b.groups {
		rows = append(rows, widgets.GroupRow(g.place))
		for _, r := range g.rows {
			rows = append(rows, widgets.Row{ID: len(p.systems), Cells: p.tableCells(b, r)})
			p.systems = append(p.systems, r.system.ID)
		}
	}
	p.listing.SetRows(rows)
	p.body.Objects = []fyne.CanvasObject{p.tableOrEmpty(b)}
	p.body.Refresh()
}

func (p *Page) tableOrEmpty(b layout) fyne.CanvasObject {
	switch {
	case b.total == 0:
		return widgets.NewEmpty(say.L("No system yet"), say.L("Add the first one with its volume and profile; its values will stand here."),
			widgets.Action{Text: say.L("Add a system"), Do: func() { p.session.Go(session.Route{Place: session.Setup, Section: "Systems"}) }})
	case b.shown == 0:
		return widgets.NewEmpty(say.L("No system matches"), say.L("The chosen water and the filter leave none of the room's systems."),
			widgets.Action{Text: say.L("Show all"), Do: p.showAll})
	case len(b.columns) == 0:
		return widgets.NewEmpty(say.L("No analyte to show"), say.L("Profiles say what is measured. Give the systems a profile with bands, or choose columns."),
			widgets.Action{Text: say.L("Profiles"), Do: func() { p.session.Go(session.Route{Place: session.Setup, Section: "Profiles"}) }})
	}
	return p.table
}

func (p *Page) showAll() {
	p.filter = filter{}
	p.lay()
}

func (p *Page) tableColumns(analytes []chem.Analyte) []widgets.Column {
	columns := []widgets.Column{{Title: say.L("System"), Width: 190}, {Title: say.L("Worst of all"), Width: 92}}
	for n, a := range analytes {
		columns = append(columns, widgets.Column{Title: say.Of(a), Subtitle: string(p.session.Unit(a)), Weight: 1, Min: 112, Max: 170,
			Spare: len(p.columns) == 0 && n >= alwaysColumns})
	}
	return columns
}

func (p *Page) tableCells(b layout, r boardRow) []widgets.Cell {
	cells := []widgets.Cell{{Bold: r.system.Code, Text: r.system.Name}, worstCell(r)}
	for _, c := range r.cells {
		cells = append(cells, cellOf(c))
	}
	return cells
}

// worstCell names the analyte that wants a look first, empty when none does.
func worstCell(r boardRow) widgets.Cell {
	if !r.wantsLook {
		return widgets.Cell{}
	}
	v := r.worst.Verdict
	info, _ := chem.Lookup(r.worst.Cell.Analyte)
	return widgets.Cell{Text: info.Symbol, Mark: widgets.MarkOf(int(v.Word), int(v.Sure), v.Stale)}
}

// cellOf is a board's cell as the table draws it.
func cellOf(c boardCell) widgets.Cell {
	if !c.tested {
		if !c.wanted {
			return widgets.Cell{}
		}
		return widgets.Cell{Text: say.L("not tested"), Quiet: true}
	}
	cell := widgets.Cell{
		Text: c.value, By: c.gauge.value, Side: c.age, Trend: int(c.tendency),
		Mark: widgets.MarkOf(int(c.verdict.Word), int(c.verdict.Sure), c.verdict.Stale),
	}
	if c.hasBand {
		cell.Gauge = &widgets.GaugeValue{Low: c.gauge.low, Aim: c.gauge.aim, High: c.gauge.high, Value: c.gauge.value, U: c.gauge.uncertainty}
	}
	return cell
}

func (p *Page) open(n int) {
	if n >= 0 && n < len(p.systems) {
		p.session.Go(session.Route{Place: session.System, System: p.systems[n]})
	}
}

func (p *Page) openCurrent() {
	if n, ok := p.table.Current(); ok {
		p.open(n)
	}
}

func (p *Page) chooseKind(name string) {
	p.filter.kinds = nil
	for _, w := range waters {
		if say.L(w.name) == name {
			p.filter.kinds = w.kinds
		}
	}
	p.lay()
}

// chooseColumns asks which analytes to show; none: the usual ones.
func (p *Page) chooseColumns() {
	if p.room == nil {
		return
	}
	shown := layOut(p.session, p.room, p.filter, p.columns).columns
	var rows []widgets.Row
	var checked []int
	for _, info := range chem.Catalogue() {
		rows = append(rows, widgets.Row{ID: int(info.Analyte), Cells: []widgets.Cell{{Text: say.L(info.Name)}}})
		if slices.Contains(shown, info.Analyte) {
			checked = append(checked, int(info.Analyte))
		}
	}
	widgets.ShowTicks(p.session.Window, say.L("Choose columns"), rows, checked, func(ids []int) bool {
		p.columns = nil
		for _, id := range ids {
			p.columns = append(p.columns, chem.Analyte(id))
		}
		remember(p.session.Memory, p.columns)
		p.lay()
		return true
	})
}

// memoryKey is where the chosen columns are kept.
const memoryKey = "room.columns"

// remember keeps the chosen columns, by the keys of the catalogue.
func remember(m widgets.Memory, columns []chem.Analyte) {
	var keys []string
	for _, a := range columns {
		if info, ok := chem.Lookup(a); ok {
			keys = append(keys, info.Key)
		}
	}
	m.Remember(memoryKey, strings.Join(keys, " "))
}

// remembered returns the columns chosen last; none: the usual ones.
func remembered(m widgets.Memory) []chem.Analyte {
	var columns []chem.Analyte
	for _, key := range strings.Fields(m.Recall(memoryKey)) {
		if a, err := chem.ParseAnalyte(key); err == nil {
			columns = append(columns, a)
		}
	}
	return columns
}
