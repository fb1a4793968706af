package dosing

import (
	"context"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/tanks"
	"weirkeeper/tanks/plan"
)

// cautions are the shares of the computed amounts to start at.
var cautions = []int{100, 75, 50, 25}

// decision is what a person changed of a line.
type decision struct {
	daily   float64
	days    int
	product tanks.ProductID
	amount  bool // daily and days are decided
	out     bool // taken out of the plan
}

// planView is the plan for many systems, with the arithmetic of the line
// under the cursor beside it.
type planView struct {
	session  *session.Session
	loaded   *loaded
	wanted   map[tanks.SystemID]bool // systems asked for; empty: those that need something
	analytes []chem.Analyte
	caution  int
	together bool
	// committing: a commit is under way; another one would write twice.
	committing bool
	decisions  map[tanks.Cell]decision
	plans      []plan.SystemPlan
	lines      []*plan.Line
	table      *widgets.Table
	how        *fyne.Container
	summary    *widgets.Line
	list       *fyne.Container
	content    fyne.CanvasObject
}

func newPlanView(s *session.Session) *planView {
	v := &planView{session: s, caution: 100, wanted: map[tanks.SystemID]bool{}, decisions: map[tanks.Cell]decision{},
		how: container.NewVBox(), summary: widgets.NewLine("", "", false), list: container.NewStack()}
	v.table = widgets.NewTable([]widgets.Column{
		{Title: say.L("Analyte"), Width: 142}, {Title: say.L("Now"), Width: 92, Align: fyne.TextAlignTrailing}, {Title: say.L("Aim"), Width: 48, Align: fyne.TextAlignTrailing},
		{Title: say.L("Uptake"), Width: 68, Align: fyne.TextAlignTrailing, Spare: true}, {Title: say.L("By day"), Width: 96, Align: fyne.TextAlignTrailing},
		{Title: say.L("After"), Width: 48, Align: fyne.TextAlignTrailing}, {Title: say.L("Product"), Weight: 2, Min: 96}, {Title: say.L("Rules"), Weight: 2, Spare: true},
	})
	v.table.OnCurrent = func(int) { v.showHow() }
	v.table.OnOpen = func(int) { v.change() }
	caution := widgets.NewChoice(cautionNames(), cautionNames()[0])
	caution.OnChanged = v.setCaution
	together := widgets.NewCheck(say.L("Solve together"), func(on bool) { v.together = on; v.make() })
	buttons := widgets.NewBar(
		widgets.NewPrimary(say.L("Commit plan"), v.commit).With(look.IconDone), widgets.NewSecondary(say.L("Change amount"), v.change).With(look.IconChange), widgets.NewSecondary(say.L("Another product"), v.changeProduct).With(look.IconDosing),
		widgets.NewSecondary(say.L("Take out"), v.takeOut).With(look.IconRemove))
	choices := widgets.NewBar(container.NewGridWrap(fyne.NewSize(136, look.FieldHeight()), caution), together,
		widgets.NewSecondary(say.L("Systems"), v.chooseSystems).With(look.IconSystem), widgets.NewSecondary(say.L("Analytes"), v.chooseAnalytes).With(look.IconColumns))
	left := container.NewBorder(container.NewVBox(buttons, choices), v.summary, nil, nil, v.list)
	how := widgets.NewScrolled(v.how)
	how.SetMinSize(fyne.NewSize(236, 0))
	split := widgets.NewSides(left, how, 0.7)
	v.content = split
	return v
}

func cautionNames() []string {
	names := make([]string, len(cautions))
	for i, c := range cautions {
		names[i] = say.F("Start at %d %%", c)
	}
	return names
}

func (v *planView) object() fyne.CanvasObject { return v.content }

func (v *planView) focus() fyne.Focusable { return widgets.IfShown(v.list, v.table, v.table) }

// ask opens the plan for a route's systems and analytes; a route without any
// leaves the choice as it is.
func (v *planView) ask(r session.Route) {
	if r.System == 0 && len(r.Cells) == 0 {
		return
	}
	v.wanted = map[tanks.SystemID]bool{}
	if r.System != 0 {
		v.wanted[r.System] = true
	}
	for _, c := range r.Cells {
		v.wanted[c.System] = true
		v.include(c.Analyte)
	}
}

func (v *planView) include(a chem.Analyte) {
	if len(v.analytes) == 0 {
		v.analytes = append(v.analytes, usual...)
	}
	for _, have := range v.analytes {
		if have == a {
			return
		}
	}
	if isPlanned(a) {
		v.analytes = append(v.analytes, a)
	}
}

func (v *planView) setCaution(name string) {
	for i, n := range cautionNames() {
		if n == name {
			v.caution = cautions[i]
		}
	}
	v.make()
}

func (v *planView) show(l *loaded) {
	v.loaded = l
	v.make()
}

func (v *planView) options() plan.Options {
	return plan.Options{
		Now: v.session.Clock(), Zone: v.session.Zone, Caution: float64(v.caution) / 100, Products: v.loaded.products, Analytes: v.analytes,
		Together: v.together, Unit: v.session.Unit, VolumeUnit: v.session.VolumeUnit(),
	}
}

// make computes the plan anew and puts the person's decisions back on it.
func (v *planView) make() {
	if v.loaded == nil {
		return
	}
	opt := v.options()
	var inputs []plan.Input
	for _, s := range v.loaded.room.Systems {
		if s.Kind == tanks.Source || (len(v.wanted) > 0 && !v.wanted[s.ID]) {
			continue
		}
		inputs = append(inputs, inputOf(v.loaded.room, s))
	}
	v.plans = plan.Make(inputs, opt)
	for i := range v.plans {
		v.decide(&v.plans[i], inputs[i], opt)
	}
	v.lay()
}

// decide puts decisions onto a system's fresh plan.
func (v *planView) decide(p *plan.SystemPlan, in plan.Input, opt plan.Options) {
	for i, l := range p.Lines {
		d, ok := v.decisions[tanks.Cell{System: p.System.ID, Analyte: l.Analyte}]
		if !ok {
			continue
		}
		if d.product != 0 {
			l = l.WithProduct(d.product, in, opt)
		}
		if d.amount {
			l = l.WithDaily(d.daily, d.days, in, opt)
		}
		if d.out {
			l = l.WithDaily(0, l.Days, in, opt)
		}
		p.Lines[i] = l
	}
	p.Check()
}

// lay fills the table. Without a choice it shows the systems in which there is
// something to do or to know.
func (v *planView) lay() {
	current, _ := v.table.Current()
	v.lines = nil
	var rows []widgets.Row
	doses := 0
	for i := range v.plans {
		p := &v.plans[i]
		if len(p.Lines) == 0 || (len(v.wanted) == 0 && !speaks(*p)) {
			continue
		}
		volume := say.L("net volume not known")
		if p.Volume.Known() {
			volume = v.session.Volume(p.Volume.Litres, 0)
		}
		rows = append(rows, widgets.GroupRow(say.F("%s  %s, %s", p.System.Code, p.System.Name, volume)))
		for j := range p.Lines {
			l := &p.Lines[j]
			rows = append(rows, widgets.Row{ID: len(v.lines), Cells: v.cells(*l)})
			v.lines = append(v.lines, l)
			if !l.Hold() {
				doses++
			}
		}
		for _, text := range p.NotReached {
			rows = append(rows, widgets.GroupRow(say.F("Not reached: %s", text)))
		}
	}
	v.table.SetRows(rows)
	if len(v.lines) > 0 {
		v.table.SetCurrent(min(current, len(v.lines)-1))
	}
	v.summary.SetText(say.F("%d lines give something, %d hold.", doses, len(v.lines)-doses))
	v.list.Objects = []fyne.CanvasObject{v.tableOrEmpty()}
	v.list.Refresh()
	v.showHow()
}

// speaks tells whether a system's plan has something to do or to say.
func speaks(p plan.SystemPlan) bool {
	if p.Touches() {
		return true
	}
	for _, l := range p.Lines {
		if l.Known && len(l.Guards) > 0 {
			return true
		}
	}
	return false
}

func (v *planView) tableOrEmpty() fyne.CanvasObject {
	if len(v.lines) > 0 {
		return v.table
	}
	if len(v.loaded.room.Systems) == 0 {
		return widgets.NewEmpty(say.L("No system yet"), say.L("A plan needs systems with a volume, a profile with bands, readings, and products on the shelf."),
			widgets.Action{Text: say.L("Add a system"), Do: func() { v.session.Go(session.Route{Place: session.Setup, Section: "Systems"}) }})
	}
	return widgets.NewEmpty(say.L("Nothing to dose"), say.L("No system has a band for calcium, alkalinity or magnesium with a value outside it. Choose systems or analytes to plan all the same."),
		widgets.Action{Text: say.L("Choose systems"), Do: v.chooseSystems}, widgets.Action{Text: say.L("Choose analytes"), Do: v.chooseAnalytes})
}

// cells are a line as the table shows it.
func (v *planView) cells(l plan.Line) []widgets.Cell {
	u := v.session.Unit(l.Analyte)
	mark := widgets.MarkOf(int(l.Verdict.Word), int(l.Verdict.Sure), l.Verdict.Stale)
	first := widgets.Cell{Mark: mark, Text: say.Of(l.Analyte), Side: string(u)}
	if !l.Known {
		return []widgets.Cell{first, {Text: say.L("not tested"), Quiet: true}, {}, {}, {}, {}, {}, {Text: say.L("test first")}}
	}
	uptake := widgets.Cell{Text: say.L("can't tell"), Quiet: true}
	if l.HasFit {
		uptake = widgets.Cell{Text: v.delta(l, l.Uptake.PerDay) + "/d"}
	}
	daily := widgets.Cell{Bold: say.L("hold")}
	after := widgets.Cell{}
	if !l.Hold() {
		daily = widgets.Cell{Bold: amount(l.Daily, l.Product) + say.F(" × %d", l.Days)}
		after = widgets.Cell{Text: v.session.Value(l.Analyte, l.After)}
	}
	return []widgets.Cell{
		first, {Text: v.session.Value(l.Analyte, l.Estimate.Value) + " ± " + v.delta(l, 2*l.Estimate.Uncertainty)}, {Text: v.session.Value(l.Analyte, l.Band.Aim)},
		uptake, daily, after, {Text: l.Product.Name}, {Text: rules(l), Quiet: true},
	}
}

// rules names a line's guards, without the handling cautions.
func rules(l plan.Line) string {
	var names []string
	for _, g := range l.Guards {
		if g.Rule != plan.RuleHandling {
			names = append(names, say.L(g.Rule))
		}
	}
	if l.Decided {
		names = append([]string{say.L("decided by you")}, names...)
	}
	return strings.Join(names, ", ")
}

func (v *planView) delta(l plan.Line, d float64) string {
	info, _ := chem.Lookup(l.Analyte)
	u := v.session.Unit(l.Analyte)
	in, err := chem.ConvertDelta(l.Analyte, l.Estimate.Value, d, info.Unit, u, chem.Water{})
	if err != nil {
		return "?"
	}
	return say.Number(in, chem.Decimals(l.Analyte, u))
}

func amount(a float64, p tanks.Product) string {
	if a < 10 {
		return say.F("%.1f %s", a, p.Unit())
	}
	return say.F("%.0f %s", a, p.Unit())
}

// current is the line under the cursor.
func (v *planView) current() (*plan.Line, bool) {
	n, ok := v.table.Current()
	if !ok || n >= len(v.lines) {
		return nil, false
	}
	return v.lines[n], true
}

// commit writes the plan's doses to the ledger.
func (v *planView) commit() {
	if v.loaded == nil || v.committing {
		return
	}
	record := plan.Record(v.plans, v.options(), v.session.Person)
	if len(record.Lines) == 0 {
		v.session.Say(session.Notice{Title: say.L("Nothing to commit"), Text: say.L("Every line holds. Change an amount first if you want to dose all the same.")})
		return
	}
	v.committing = true
	v.session.Runner.Queue(func(ctx context.Context) error {
		return v.session.Store.CommitPlan(ctx, &record)
	}, func(err error) {
		v.committing = false
		if err != nil {
			v.session.Fail(say.L("Committing the plan"), err)
			return
		}
		v.decisions = map[tanks.Cell]decision{}
		doses := 0
		for _, l := range record.Lines {
			doses += len(l.Doses)
		}
		v.session.Go(session.Route{Place: session.Dosing, Section: runSection})
		v.session.Say(session.Notice{Title: say.L("Plan committed"), Text: say.N(doses, "%d doses are on the run sheet. Mark each as given when it is in the water.")})
	})
}
