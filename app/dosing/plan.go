package dosing

import (
	"context"
	"math"
	"slices"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/storage"
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
	// committing: a plan was committed and what is shown was not read anew since:
	// another commit would write it twice.
	committing bool
	decisions  map[tanks.Cell]decision
	plans      []plan.SystemPlan
	table      *widgets.List[tanks.Cell, *plan.Line]
	how        *fyne.Container
	summary    *widgets.Line
	content    fyne.CanvasObject
}

func newPlanView(s *session.Session) *planView {
	v := &planView{session: s, caution: 100, wanted: map[tanks.SystemID]bool{}, decisions: map[tanks.Cell]decision{},
		how: container.NewVBox(), summary: widgets.NewLine("", "", false)}
	v.table = widgets.NewList(widgets.ListModel[tanks.Cell, *plan.Line]{
		Name: "dosing.plan", Key: lineKey, Columns: v.columns(), Open: func([]*plan.Line) { v.change() }, Chose: v.showHow, Empty: v.empty,
	}, s.Memory)
	caution := widgets.NewChoice(cautionOptions(), v.caution)
	caution.OnChanged = func(percent int) { v.caution = percent; v.make() }
	together := widgets.NewCheck(say.L("Solve together"), func(on bool) { v.together = on; v.make() })
	buttons := widgets.NewBar(
		widgets.NewPrimary(say.L("Commit plan"), v.commit).With(look.IconDone),
		widgets.NewSecondary(say.L("Change amount"), v.change).With(look.IconChange),
		widgets.NewSecondary(say.L("Another product"), v.changeProduct).With(look.IconDosing),
		widgets.NewSecondary(say.L("Take out"), v.takeOut).With(look.IconRemove))
	choices := widgets.NewBar(container.NewGridWrap(fyne.NewSize(look.Scaled(160), look.FieldHeight()), caution), together,
		widgets.NewSecondary(say.L("Systems"), v.chooseSystems).With(look.IconSystem),
		widgets.NewSecondary(say.L("Analytes"), v.chooseAnalytes).With(look.IconColumns),
		widgets.NewSecondary(say.L("Ways"), v.showWays).With(look.IconWave))
	left := container.NewBorder(container.NewVBox(buttons, choices), v.summary, nil, nil, v.table.Object())
	how := widgets.NewScrolled(v.how)
	how.SetMinSize(fyne.NewSize(216, 0))
	split := widgets.NewSides(left, how, 0.72)
	v.content = split
	return v
}

func cautionOptions() []widgets.Option[int] {
	return widgets.OptionsOf(cautions, func(percent int) string {
		if percent == 100 {
			return say.L("The full dose")
		}
		return say.F("%d %% of the dose", percent)
	})
}

func lineKey(l *plan.Line) tanks.Cell { return tanks.Cell{System: l.System.ID, Analyte: l.Analyte} }

func (v *planView) object() fyne.CanvasObject { return v.content }

func (v *planView) focus() fyne.Focusable { return v.table.Focus() }

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
	if isPlanned(a) && !slices.Contains(v.analytes, a) {
		v.analytes = append(v.analytes, a)
	}
}

func (v *planView) show(l *loaded) {
	v.loaded, v.committing = l, false
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
	v.plans = v.plans[:0]
	for _, in := range inputs {
		own := opt
		own.Chosen = v.chosenFor(in.System.ID)
		made := plan.Make([]plan.Input{in}, own)
		v.decide(&made[0], in, own)
		v.plans = append(v.plans, made[0])
	}
	v.lay()
}

// chosenFor are the products that the person chose for the lines of a system.
func (v *planView) chosenFor(id tanks.SystemID) map[chem.Analyte]tanks.ProductID {
	chosen := map[chem.Analyte]tanks.ProductID{}
	for key, d := range v.decisions {
		if key.System == id && d.product != 0 {
			chosen[key.Analyte] = d.product
		}
	}
	return chosen
}

// decide puts decisions onto a system's fresh plan.
func (v *planView) decide(p *plan.SystemPlan, in plan.Input, opt plan.Options) {
	for i, l := range p.Lines {
		d, ok := v.decisions[tanks.Cell{System: p.System.ID, Analyte: l.Analyte}]
		if !ok {
			continue
		}
		if d.amount {
			l = l.WithDaily(d.daily, d.days, in, opt)
		}
		if d.out {
			l = l.WithDaily(0, l.Days, in, opt)
		}
		p.Lines[i] = l
	}
	p.Check(in, opt)
}

// lay fills the table. Without a choice it shows the systems in which there is
// something to do or to know.
func (v *planView) lay() {
	var groups []widgets.Group[*plan.Line]
	doses, lines := 0, 0
	for i := range v.plans {
		p := &v.plans[i]
		if len(v.wanted) == 0 && !speaks(*p) {
			continue
		}
		g := widgets.Group[*plan.Line]{Title: v.title(*p)}
		for j := range p.Lines {
			g.Records = append(g.Records, &p.Lines[j])
			if !p.Lines[j].Hold() {
				doses++
			}
		}
		lines += len(p.Lines)
		groups = append(groups, g)
	}
	v.summary.SetText(say.F("To dose: %d. To leave as they are: %d.", doses, lines-doses))
	v.table.SetGroups(groups)
}

// title names a system's part of the plan, with what its doses do not reach.
func (v *planView) title(p plan.SystemPlan) string {
	volume := say.L("net volume not known")
	if p.Volume.Known() {
		volume = v.session.Volume(p.Volume.Litres, 0)
	}
	title := say.F("%s  %s, %s", p.System.Code, p.System.Name, volume)
	for _, text := range p.NotReached {
		title += "    " + say.F("Not reached: %s", text)
	}
	return title
}

// speaks tells whether a system's plan has something to do or to say, or had before
// a person took it out.
func speaks(p plan.SystemPlan) bool {
	if p.Touches() {
		return true
	}
	return slices.ContainsFunc(p.Lines, func(l plan.Line) bool { return l.Decided || (l.Known && len(l.Guards) > 0) })
}

// empty is what stands in the place of a plan without lines.
func (v *planView) empty() fyne.CanvasObject {
	if v.loaded == nil {
		return widgets.NewLine("", "", false)
	}
	if len(v.loaded.room.Systems) == 0 {
		return widgets.NewEmpty(say.L("No system yet"),
			say.L("A plan needs systems with a volume, a profile with bands, readings, and products on the shelf."), addSystem(v.session))
	}
	return widgets.NewEmpty(say.L("Nothing to dose"),
		say.L("No system has a band for calcium, alkalinity or magnesium with a value outside it. "+
			"Choose systems or analytes to plan all the same."),
		widgets.Action{Text: say.L("Choose systems"), Do: v.chooseSystems},
		widgets.Action{Text: say.L("Choose analytes"), Do: v.chooseAnalytes})
}

// columns are the lines' columns. Where room is short the rules stay: what is left
// out stands beside the list, for the line under the cursor.
func (v *planView) columns() []widgets.ListColumn[*plan.Line] {
	number := func(title string, width float32) widgets.Column {
		return widgets.Column{Title: title, Width: width, Align: fyne.TextAlignTrailing}
	}
	product := widgets.Column{Title: say.L("Product"), Weight: 2, Min: 96, Max: 200, Spare: true}
	after, uptake := number(say.L("After"), 48), number(say.L("Uptake"), 68)
	after.Spare, uptake.Spare = true, true
	return []widgets.ListColumn[*plan.Line]{
		{ID: "analyte", Column: widgets.Column{Title: say.L("Analyte"), Width: 136}, Cell: v.analyteCell},
		{ID: "now", Column: number(say.L("Now"), 80), Cell: v.nowCell},
		{ID: "aim", Column: number(say.L("Aim"), 48), Cell: known(func(l *plan.Line) widgets.Cell {
			return widgets.Cell{Text: v.session.Value(l.Analyte, l.Band.Aim)}
		})},
		{ID: "daily", Column: number(say.L("By day"), 84), Cell: known(dailyCell)},
		{ID: "product", Column: product, Cell: known(func(l *plan.Line) widgets.Cell { return widgets.Cell{Text: l.Product.Name} })},
		{ID: "after", Column: after, Cell: known(v.afterCell)},
		{ID: "uptake", Column: uptake, Cell: known(v.uptakeCell)},
		{ID: "rules", Column: widgets.Column{Title: say.L("Rules"), Weight: 2}, Cell: rulesCell},
	}
}

// known shows a cell only of lines whose value is known.
func known(cell func(*plan.Line) widgets.Cell) func(*plan.Line) widgets.Cell {
	return func(l *plan.Line) widgets.Cell {
		if !l.Known {
			return widgets.Cell{}
		}
		return cell(l)
	}
}

func (v *planView) analyteCell(l *plan.Line) widgets.Cell {
	return widgets.Cell{
		Mark: widgets.MarkOf(int(l.Verdict.Word), int(l.Verdict.Sure), l.Verdict.Stale),
		Text: say.Of(l.Analyte), Side: string(v.session.Unit(l.Analyte)),
	}
}

func (v *planView) nowCell(l *plan.Line) widgets.Cell {
	if !l.Known {
		return widgets.Cell{Text: say.L("not tested"), Quiet: true}
	}
	return widgets.Cell{Text: v.session.Value(l.Analyte, l.Estimate.Value) + " ± " + v.delta(*l, 2*l.Estimate.Uncertainty)}
}

func (v *planView) uptakeCell(l *plan.Line) widgets.Cell {
	if !l.HasFit {
		return widgets.Cell{Text: say.L("can't tell"), Quiet: true}
	}
	return widgets.Cell{Text: v.delta(*l, l.Uptake.PerDay) + "/d"}
}

func dailyCell(l *plan.Line) widgets.Cell {
	if l.Hold() {
		return widgets.Cell{Bold: say.L("hold")}
	}
	return widgets.Cell{Bold: amount(l.Daily, l.Product) + say.F(" × %d", l.Days)}
}

func (v *planView) afterCell(l *plan.Line) widgets.Cell {
	if l.Hold() {
		return widgets.Cell{}
	}
	return widgets.Cell{Text: v.session.Value(l.Analyte, l.After)}
}

func rulesCell(l *plan.Line) widgets.Cell {
	if !l.Known {
		return widgets.Cell{Text: say.L("test first")}
	}
	return widgets.Cell{Text: rules(*l), Quiet: true}
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
	in, err := chem.ConvertDelta(l.Analyte, l.Estimate.Value, d, info.Unit, u, v.loaded.room.Water(l.System.ID))
	if err != nil {
		return "?"
	}
	return say.Number(in, chem.Decimals(l.Analyte, u))
}

// amount writes an amount, with a tenth below ten and, where it has one, below a hundred.
func amount(a float64, p tanks.Product) string {
	const shown = 0.05
	if a < 10 || a < 100 && math.Abs(a-math.Round(a)) >= shown {
		return say.F("%.1f %s", a, p.Unit())
	}
	return say.F("%.0f %s", a, p.Unit())
}

// commit writes the plan's doses to the ledger.
func (v *planView) commit() {
	if v.loaded == nil || v.committing {
		return
	}
	record := plan.DosingPlanOf(v.plans, v.options(), v.session.Person)
	if len(record.Lines) == 0 {
		text := say.L("Every line holds. Change an amount first if you want to dose all the same.")
		v.session.Say(session.Notice{Title: say.L("Nothing to commit"), Text: text})
		return
	}
	v.committing = true
	v.session.Try(func(ctx context.Context, store *storage.Store) error { return store.CommitPlan(ctx, &record) }, func(err error) {
		if err != nil {
			v.committing = false
			v.session.NotDone(say.L("Committing the plan"), err)
			return
		}
		v.decisions = map[tanks.Cell]decision{}
		doses := 0
		for _, l := range record.Lines {
			doses += len(l.Doses)
		}
		v.session.Go(session.Route{Place: session.Dosing, Section: session.DosingRunSheet})
		text := say.N(doses, "%d doses are on the run sheet. Mark each as given when it is in the water.")
		v.session.Say(session.Notice{Title: say.L("Plan committed"), Text: text})
	})
}
