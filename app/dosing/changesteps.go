package dosing

import (
	"math"
	"strings"
	"time"

	"fyne.io/fyne/v2"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks/changes"
)

var errNotWhole = words.New("only a whole number can be here")

// on is the day of a step, at the beginning of that day.
func (p coursePlan) on(step changes.Step) time.Time {
	return time.Date(p.first.Year(), p.first.Month(), p.first.Day()+step.Day, 0, 0, 0, 0, p.first.Location())
}

// show writes the course: what it comes to, and a line for each change.
func (c *courseView) show(p coursePlan) {
	for _, text := range c.changes.water.cautions(p.system, p.plan.Share) {
		c.says.Add(widgets.NewNotice(say.L("Before it goes in"), text, false))
	}
	for i, line := range c.lines(p) {
		label := widgets.NewWrapped(line)
		label.SetBold(i == 0)
		c.says.Add(label)
	}
	shown := shownOf(p)
	table := widgets.NewTable(c.columns(p, shown))
	rows := make([]widgets.Row, len(p.course.Steps))
	for i, step := range p.course.Steps {
		rows[i] = widgets.Row{ID: i, Cells: c.cells(p, step, shown)}
	}
	table.SetRows(rows)
	c.steps.Objects = []fyne.CanvasObject{table}
}

// shownOf lists the analytes of the columns: the goal's first, then the hardnesses
// and the nutrients, then the rest.
func shownOf(p coursePlan) []chem.Analyte {
	if len(p.course.Steps) == 0 {
		return nil
	}
	known := p.course.Steps[0].After
	var shown []chem.Analyte
	seen := map[chem.Analyte]bool{}
	add := func(a chem.Analyte) {
		if _, ok := known[a]; ok && !seen[a] {
			shown = append(shown, a)
			seen[a] = true
		}
	}
	for _, a := range []chem.Analyte{p.plan.Goal, chem.Alkalinity, chem.Hardness, chem.Salinity, chem.Conductivity, chem.Nitrate,
		chem.Phosphate} {
		add(a)
	}
	for _, info := range chem.Catalogue() {
		add(info.Analyte)
	}
	return shown
}

func (c *courseView) columns(p coursePlan, shown []chem.Analyte) []widgets.Column {
	number := fyne.TextAlignTrailing
	title := say.L("Change")
	if p.plan.Way == changes.Continuous {
		title = say.L("Day")
	}
	columns := []widgets.Column{{Title: title, Width: 50, Align: number}, {Title: say.L("On"), Width: 86},
		{Title: say.L("Nearest limit"), Weight: 1, Min: 180}}
	for i, a := range shown {
		info, _ := chem.Lookup(a)
		columns = append(columns, widgets.Column{Title: info.Symbol, Subtitle: string(c.changes.session.Unit(a)), Width: 62, Align: number,
			Spare: i > 0})
	}
	return columns
}

func (c *courseView) cells(p coursePlan, step changes.Step, shown []chem.Analyte) []widgets.Cell {
	limit := widgets.Cell{Text: say.L("none is known"), Quiet: true}
	if step.Limited {
		limit = widgets.Cell{Text: c.use(step.Nearest), Quiet: true}
		if step.Nearest.Broken() {
			limit = widgets.Cell{Text: c.use(step.Nearest), Color: look.Problem}
		}
	}
	cells := []widgets.Cell{{Text: say.Number(float64(step.Number), 0)}, {Text: c.changes.session.Day(p.on(step))}, limit}
	for i, a := range shown {
		cell := widgets.Cell{Text: c.changes.session.Value(a, step.After[a])}
		if i == 0 {
			cell = widgets.Cell{Bold: c.changes.session.Value(a, step.After[a])}
		}
		cells = append(cells, cell)
	}
	return cells
}

// use writes how much of a limit a change takes: "NO3 −21.0 of 20.0 a day".
func (c *courseView) use(u changes.Use) string {
	info, _ := chem.Lookup(u.Analyte)
	change := strings.TrimSuffix(c.moved(u.Analyte, u.Change), " "+string(c.changes.session.Unit(u.Analyte)))
	most := changed(c.changes.session, u.Analyte, u.Most)
	if u.Day {
		return say.F("%s %s of %s a day", info.Symbol, change, most)
	}
	return say.F("%s %s of %s a step", info.Symbol, change, most)
}

// moved writes a change with its sign and unit, to three figures.
func (c *courseView) moved(a chem.Analyte, canonical float64) string {
	sign := "+"
	if canonical < 0 {
		sign = "−"
	}
	return sign + changed(c.changes.session, a, math.Abs(canonical)) + " " + string(c.changes.session.Unit(a))
}

// changed writes the size of a change in the unit shown, to three figures.
func changed(in *session.Session, a chem.Analyte, canonical float64) string {
	info, _ := chem.Lookup(a)
	v, err := chem.ConvertDelta(a, info.Low, canonical, info.Unit, in.Unit(a), chem.Water{})
	if err != nil {
		return "?"
	}
	return say.F("%.3g", math.Abs(v))
}

// level writes a level with its unit.
func (c *courseView) level(a chem.Analyte, v float64) string {
	return say.F("%s %s", c.changes.session.Value(a, v), string(c.changes.session.Unit(a)))
}

// lines says what the course comes to: the number, the limits, what was counted, how
// it follows, and what the new water lacks.
func (c *courseView) lines(p coursePlan) []string {
	lines := []string{c.sum(p)}
	lines = append(lines, c.limits(p)...)
	if gain := p.plan.Gains[p.plan.Goal]; gain != 0 {
		lines = append(lines, say.F("Counted with %s a day that the board knows of besides.", c.moved(p.plan.Goal, gain)))
	}
	if names := c.names(p.assumed); names != "" {
		lines = append(lines, say.F("Purified water counts as nothing of what was not measured in it: %s.", names))
	}
	if p.course.Changes > 0 {
		lines = append(lines, c.formula(p))
	}
	for _, m := range p.plan.Lacking() {
		lines = append(lines, c.lacking(m))
	}
	return lines
}

func (c *courseView) sum(p coursePlan) string {
	in, a := c.changes.session, p.plan.Goal
	if p.course.Changes == 0 {
		return say.F("%s is at the goal: no change is needed.", say.Of(a))
	}
	last := p.on(changes.Step{Day: (p.course.Changes - 1) * max(1, c.gap(p))})
	ends := c.level(a, p.plan.To)
	if n := len(p.course.Steps); n == p.course.Changes {
		ends = c.level(a, p.course.Steps[n-1].After[a])
	}
	total := in.Volume(p.course.Volumes*p.system.NetVolume().Litres, 0)
	if p.plan.Way == changes.Continuous {
		return say.N(p.course.Changes, "%d days of %s a day: %s from %s to %s. In all %s of new water, until %s.",
			in.Volume(p.litres, 0), say.Of(a.InSentence()), c.level(a, p.plan.Now[a]), ends, total, in.Day(last))
	}
	return say.N(p.course.Changes, "%d changes of %s: %s from %s to %s. In all %s of new water, until %s.",
		in.Volume(p.litres, 0), say.Of(a.InSentence()), c.level(a, p.plan.Now[a]), ends, total, in.Day(last))
}

// gap is the days between two steps.
func (c *courseView) gap(p coursePlan) int {
	if p.plan.Way == changes.Continuous {
		return 1
	}
	return p.plan.Every
}

// limits says which limit is broken or is the nearest, and the largest volume that
// keeps all.
func (c *courseView) limits(p coursePlan) []string {
	if !p.course.Limited {
		return nil
	}
	u := p.course.Nearest
	text := say.F("All limits are kept; the nearest is %s (%s).", c.use(u), say.L(u.Source))
	if u.Broken() {
		text = say.F("More than is safe: %s (%s).", c.use(u), say.L(u.Source))
	}
	share, by, bound := p.plan.Largest()
	switch {
	case bound && share == 0:
		return []string{text, say.F("%s moves by itself by more than its limit: find out why first.", say.Of(by.Analyte))}
	case bound && u.Broken():
		litres := c.wholeVolume(share * p.system.NetVolume().Litres)
		return []string{text, say.F("The largest that keeps all limits is %s (%.1f %%); %s binds.", c.changes.session.Volume(litres, 0),
			100*litres/p.system.NetVolume().Litres, say.Of(by.Analyte.InSentence()))}
	}
	return []string{text}
}

// formula writes how the level follows, with the numbers put in.
func (c *courseView) formula(p coursePlan) string {
	a, n := p.plan.Goal, p.course.Changes
	now, ends := p.plan.Now[a], p.plan.Settles(a)
	value := c.changes.session.Value
	if p.plan.Way == changes.Continuous {
		return say.F("%s + (%s − %s) × e^(−%.3f × %d): what is left of the difference to where it settles.", value(a, ends), value(a, now),
			value(a, ends), p.plan.Share, n)
	}
	if p.plan.Gains[a] == 0 {
		return say.F("%s + (%s − %s) × (1 − %.3f)^%d: what is left of the difference to the new water.", value(a, ends), value(a, now),
			value(a, ends), p.plan.Share, n)
	}
	return say.F("%s + (%s − %s) × (1 − %.3f)^%d: what is left, after the first change, of the difference to where it settles.",
		value(a, ends), value(a, p.course.Steps[0].After[a]), value(a, ends), p.plan.Share, n-1)
}

// lacking says by how much new water must be hardened so that the system keeps its
// hardness.
func (c *courseView) lacking(m changes.Missing) string {
	in := c.changes.session
	const perLitres = 100
	litres := perLitres * in.VolumeUnit().Litres()
	text := say.F("The new water has %s of %s, the aim is %s: %s of it want %s.", c.level(m.Analyte, m.Has),
		say.Of(m.Analyte.InSentence()), c.level(m.Analyte, m.Aim), in.Volume(litres, 0), c.moved(m.Analyte, m.Lacks()))
	if m.Analyte == chem.Alkalinity {
		return text + " " + say.F("That is %.3g meq, such as %.3g g of sodium bicarbonate.", m.Lacks()*litres, m.Lacks()*litres*bicarbonate)
	}
	return text + " " + say.F("That is %.3g mmol of calcium and magnesium.", m.Lacks()*litres)
}

// bicarbonate is the grams of sodium bicarbonate for a meq of alkalinity.
const bicarbonate = 0.084007

func (c *courseView) names(analytes []chem.Analyte) string {
	var names []string
	for _, a := range analytes {
		names = append(names, say.Of(a.InSentence()))
	}
	return strings.Join(names, ", ")
}
