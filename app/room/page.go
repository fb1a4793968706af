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
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/storage"
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
	shown   layout
	heading *widgets.Heading
	kinds   *widgets.Choice[tanks.Kind]
	outside *widgets.Check
	list    *widgets.List[tanks.SystemID, boardRow]
	content fyne.CanvasObject
}

// New builds the page; it is empty until Visit.
func New(s *session.Session) *Page {
	p := &Page{session: s, heading: widgets.NewHeading(say.L("Room"), "")}
	p.list = widgets.NewList(widgets.ListModel[tanks.SystemID, boardRow]{
		Name: "room", Key: func(r boardRow) tanks.SystemID { return r.system.ID }, Open: p.open, Empty: p.empty, RowHeight: boardRowHeight,
	}, s.Memory)
	p.columns = remembered(s.Memory)
	p.outside = widgets.NewCheck(say.L("Outside or unsure only"), func(on bool) { p.filter.outsideOnly = on; p.lay() })
	p.kinds = widgets.NewChoice(waters(), allWaters)
	p.kinds.OnChanged = func(k tanks.Kind) { p.filter.kind = k; p.lay() }
	bar := widgets.NewBar(container.NewGridWrap(fyne.NewSize(130, look.FieldHeight()), p.kinds), p.outside,
		widgets.NewSecondary(say.L("Choose columns"), p.chooseColumns).With(look.IconColumns),
		widgets.NewSecondary(say.L("Open the system"), func() { p.open(p.list.Chosen()) }).With(look.IconSystem)).And(p.list.Tools()[0])
	p.content = container.NewBorder(container.NewVBox(p.heading, bar), widgets.NewMarkLegend(), nil, nil, p.list.Object())
	p.ExtendBaseWidget(p)
	return p
}

const boardRowHeight = 46

// allWaters stands for the systems of every kind.
const allWaters tanks.Kind = 0

// waters are the choices of which systems are shown.
func waters() []widgets.Option[tanks.Kind] {
	return []widgets.Option[tanks.Kind]{
		{Value: allWaters, Name: say.L("All waters")}, {Value: tanks.Marine, Name: say.L("Marine")},
		{Value: tanks.Brackish, Name: say.L("Brackish")}, {Value: tanks.Freshwater, Name: say.L("Freshwater")},
		{Value: tanks.Source, Name: say.L("Sources")},
	}
}

// CreateRenderer implements fyne.Widget.
func (p *Page) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(p.content) }

// Visit loads the board.
func (p *Page) Visit(session.Route) { p.Reload() }

// FirstFocus puts the keyboard on the board.
func (p *Page) FirstFocus() fyne.Focusable { return p.list.Focus() }

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

// lay fills the list from the room, the filter and the chosen columns.
func (p *Page) lay() {
	if p.room == nil {
		return
	}
	p.shown = layOut(p.session, p.room, p.filter, p.columns)
	p.heading.SetSubtitle(p.shown.summary())
	var groups []widgets.Group[boardRow]
	if len(p.shown.columns) > 0 {
		groups = p.shown.groups
	}
	p.list.SetColumns(p.listColumns(p.shown.columns))
	p.list.SetGroups(groups)
}

// empty is what stands in the place of a board without systems or columns.
func (p *Page) empty() fyne.CanvasObject {
	switch {
	case p.room == nil:
		return widgets.NewLine("", "", false)
	case p.shown.total == 0:
		return widgets.NewEmpty(say.L("No system yet"), say.L("Add the first one with its volume and profile; its values will stand here."),
			widgets.Action{Text: say.L("Add a system"), Do: p.to(session.Route{Place: session.Setup, Section: session.SetupSystems})})
	case p.shown.shown == 0:
		return widgets.NewEmpty(say.L("No system matches"), say.L("The chosen water and the filter leave none of the room's systems."),
			widgets.Action{Text: say.L("Show all"), Do: p.showAll})
	}
	return widgets.NewEmpty(say.L("No analyte to show"),
		say.L("Profiles say what is measured. Give the systems a profile with bands, or choose columns."),
		widgets.Action{Text: say.L("Profiles"), Do: p.to(session.Route{Place: session.Setup, Section: session.SetupProfiles})})
}

func (p *Page) to(r session.Route) func() { return func() { p.session.Go(r) } }

// showAll takes the choices back that leave systems out.
func (p *Page) showAll() {
	p.kinds.SetSelected(allWaters)
	p.outside.SetChecked(false)
}

func (p *Page) listColumns(analytes []chem.Analyte) []widgets.ListColumn[boardRow] {
	system := widgets.Column{Title: say.L("System"), Width: 190}
	worst := widgets.Column{Title: say.L("Worst"), Subtitle: say.L("of all values"), Width: 110}
	columns := []widgets.ListColumn[boardRow]{
		{ID: "system", Column: system, Cell: func(r boardRow) widgets.Cell {
			return widgets.Cell{Bold: r.system.Code, Text: r.system.Name}
		}},
		{ID: "worst", Column: worst, Cell: func(r boardRow) widgets.Cell { return worstCell(r) }},
	}
	for n, a := range analytes {
		info, _ := chem.Lookup(a)
		columns = append(columns, widgets.ListColumn[boardRow]{
			ID: widgets.ColumnID(info.Key),
			Column: widgets.Column{
				Title: say.Of(a), Subtitle: string(p.session.Unit(a)), Weight: 1, Min: 112, Max: 170,
				Spare: len(p.columns) == 0 && n >= leastColumns,
			},
			Cell: func(r boardRow) widgets.Cell { return cellOf(r.cells[a]) },
		})
	}
	return columns
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
		g := c.gauge
		cell.Gauge = &widgets.GaugeValue{Low: g.low, Aim: g.aim, High: g.high, Value: g.value, U: g.uncertainty}
	}
	return cell
}

// open leads to the first of the systems.
func (p *Page) open(rows []boardRow) {
	if len(rows) > 0 {
		p.session.Go(session.Route{Place: session.System, System: rows[0].system.ID})
	}
}

// chooseColumns asks which analytes to show; none: the usual ones.
func (p *Page) chooseColumns() {
	if p.room == nil {
		return
	}
	shown := layOut(p.session, p.room, p.filter, p.columns).columns
	var rows []widgets.Row
	var checked []int
	for _, info := range p.room.Analytes() {
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
