package dosing

import (
	"bytes"
	"math"
	"slices"
	"strings"

	"fyne.io/fyne/v2/container"

	"weirkeeper/app/documents"
	"weirkeeper/app/look"
	"weirkeeper/app/savefile"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
	"weirkeeper/tanks/derive"
	"weirkeeper/tanks/making"
)

// showMade shows the work and what comes of it; while the fields ask for nothing that
// can be made, neither.
func (v *makingView) showMade() {
	v.steps.Objects, v.remarks.Objects = nil, nil
	v.does.SetText("")
	if !v.fine {
		v.result.SetRows(nil)
		v.steps.Add(widgets.NewWrapped(say.L("Say at the left what is to be made.")))
	} else {
		v.showSteps()
		v.showRemarks()
		v.result.SetRows(v.rows())
		v.does.SetText(v.whatItDoes())
	}
	v.steps.Refresh()
	v.remarks.Refresh()
}

func (v *makingView) showSteps() {
	if v.made.Batches > 1 {
		v.steps.Add(widgets.NewWrapped(say.F("%d batches of %s, each so:", v.made.Batches, v.session.Volume(v.made.Litres, 1))))
	}
	for i, step := range v.made.Steps {
		title := widgets.NewWrapped(say.F("%d  %s", i+1, say.L(step.Title)))
		title.SetBold(true)
		v.steps.Add(container.NewBorder(nil, nil, nil, widgets.NewLine(say.L(step.Amount), look.Text, true), title))
		for _, note := range step.Notes {
			v.steps.Add(widgets.NewSmall(say.L(note)))
		}
		if v.how.Checked {
			for _, line := range step.How {
				v.steps.Add(widgets.NewSmall(say.F("%s: %s = %s", say.L(line.Name), say.L(line.Sum), say.L(line.Result))))
			}
		}
		v.steps.Add(widgets.NewRule())
	}
	v.steps.Add(widgets.NewSmall(say.L("This advises; you decide. Follow the label of each product.")))
}

// showRemarks says what is missed, what binds and what was only taken to be so.
func (v *makingView) showRemarks() {
	remark := func(text string) { v.remarks.Add(widgets.NewSmall(text)) }
	for _, m := range v.made.Missed {
		v.remarks.Add(widgets.NewNotice(say.F("%s misses its goal", m.Analyte), v.missedText(m), false))
	}
	for _, c := range v.made.Ceilings {
		remark(v.ceilingText(c))
	}
	if len(v.made.Unmeasured) > 0 {
		var names []string
		for _, a := range v.made.Unmeasured {
			if slices.ContainsFunc(v.fields.goals, func(g goalField) bool { return g.analyte == a && !g.entry.Empty() }) {
				names = append(names, a.InSentence().String())
			}
		}
		if len(names) > 0 {
			remark(say.F("Taken as none in purified water, since nobody measured it: %s.", strings.Join(names, ", ")))
		}
	}
}

func (v *makingView) missedText(m chem.Missed) string {
	u := v.session.Unit(m.Analyte)
	text := say.F("It comes to %s %s, asked for is %s.", v.session.Value(m.Analyte, m.Got), u, v.session.Value(m.Analyte, m.Value))
	if m.Got > m.Value && len(v.made.Ceilings) == 0 {
		return text + " " + say.L("What is put in for the others brings it along: choose another product, or ask for less of them.")
	}
	if m.Got > m.Value {
		return text + " " + say.L("Minerals take nothing away: use less of the water that brings it, or more purified water.")
	}
	return text + " " + say.L("Choose something from the shelf that raises it, or use more of a water that has it.")
}

func (v *makingView) ceilingText(c making.Ceiling) string {
	code := v.sourceCode(c.Source)
	text := say.F("%s may go up to %s: there %s stops it.", code, v.session.Volume(c.Litres, 1), c.Analyte.InSentence())
	if c.Next != 0 {
		text += " " + say.F("Next is %s, at %s.", c.Next.InSentence(), v.session.Volume(c.NextLitres, 1))
	}
	return text
}

// sourceCode is the code of a water by its place in the order.
func (v *makingView) sourceCode(place int) string {
	n := 0
	for _, w := range v.fields.waters {
		s, ok := v.loaded.room.System(w.source.Value())
		if !ok {
			continue
		}
		if n == place {
			return s.Code
		}
		n++
	}
	return "?"
}

// rows are what was asked for, what comes with it and what follows.
func (v *makingView) rows() []widgets.Row {
	var first, more []widgets.Row
	for _, info := range chem.Catalogue() {
		a := info.Analyte
		after, known := v.made.After[a]
		goal, askedFor := v.goalOf(a)
		if a == chem.PH || !known && !askedFor {
			continue
		}
		row := widgets.Row{ID: int(a), Cells: v.cells(a, after, known, goal, askedFor)}
		if askedFor {
			first = append(first, row)
		} else {
			more = append(more, row)
		}
	}
	var rows []widgets.Row
	for _, part := range []struct {
		title string
		rows  []widgets.Row
	}{{say.L("Asked for"), first}, {say.L("Comes with it"), more}, {say.L("Follows from it"), v.follows()}} {
		if len(part.rows) > 0 {
			rows = append(rows, widgets.GroupRow(part.title))
			rows = append(rows, part.rows...)
		}
	}
	return rows
}

// goalOf is the field of a goal that was given.
func (v *makingView) goalOf(a chem.Analyte) (goalField, bool) {
	i := slices.IndexFunc(v.fields.goals, func(g goalField) bool { return g.analyte == a && !g.entry.Empty() })
	if i < 0 {
		return goalField{}, false
	}
	return v.fields.goals[i], true
}

func (v *makingView) cells(a chem.Analyte, after float64, known bool, g goalField, askedFor bool) []widgets.Cell {
	u := v.session.Unit(a)
	cells := []widgets.Cell{{Text: say.Of(a), Side: string(u)}, {Quiet: true}, {Bold: say.L("not known")}, {}, {}}
	if before, ok := v.made.Blend.Water[a]; ok {
		cells[1].Text = v.session.Value(a, before)
	}
	if known {
		cells[2] = widgets.Cell{Bold: v.session.Value(a, after), Side: v.plusMinus(a, after)}
	}
	if askedFor {
		cells[3] = widgets.Cell{Text: g.entry.Text(), Quiet: true}
		if g.atMost {
			cells[3].Text = say.F("≤ %s", g.entry.Text())
		}
	}
	band, ok := v.loaded.room.BandHere(tanks.Cell{System: v.fields.forWhom.Value(), Analyte: a})
	if ok && band.HasEdges() && known {
		cells[4].Gauge = &widgets.GaugeValue{Low: band.Low, Aim: band.Aim, High: band.High, Value: after, U: v.made.U[a]}
	}
	return cells
}

// about95 is how many standard uncertainties are written behind a value.
const about95 = 2

// plusMinus writes the doubt of a value in the unit shown, empty where it does not show.
func (v *makingView) plusMinus(a chem.Analyte, value float64) string {
	info, _ := chem.Lookup(a)
	d, err := chem.ConvertDelta(a, value, about95*v.made.U[a], info.Unit, v.session.Unit(a), chem.Water{})
	if err != nil || d == 0 {
		return ""
	}
	text := say.L(chem.Decimal(math.Abs(d), chem.Decimals(a, v.session.Unit(a))))
	if strings.Trim(text, "0.,") == "" {
		return ""
	}
	return "± " + text
}

// follows are pH as it is mixed and once aired, and what derives from the water.
func (v *makingView) follows() []widgets.Row {
	var rows []widgets.Row
	line := func(name, value, side, unit string) {
		rows = append(rows, widgets.Row{ID: -1 - len(rows),
			Cells: []widgets.Cell{{Text: name, Side: unit}, {}, {Bold: value, Side: side}, {}, {}}})
	}
	if v.made.NoPH == nil {
		line(say.L("pH as mixed"), v.session.Value(chem.PH, v.made.AtOnce), "", "")
		line(say.L("pH in the room's air"), v.session.Value(chem.PH, v.made.After[chem.PH]), v.plusMinus(chem.PH, v.made.After[chem.PH]),
			"")
	}
	kind := tanks.Freshwater
	if s, ok := v.system(); ok {
		kind = s.Kind
	}
	for _, q := range derive.Of(derive.Input{Kind: kind, Estimates: v.made.Estimates(), By: v.by()}) {
		if q.Err != nil {
			continue
		}
		line(say.L(q.Name), say.L(chem.Decimal(q.Value, q.Decimals)), "", q.Unit)
	}
	return rows
}

// whatItDoes says what a change with this water makes of the system.
func (v *makingView) whatItDoes() string {
	s, ok := v.system()
	volume := s.NetVolume()
	litres := v.made.Litres * float64(v.made.Batches)
	if !ok || !volume.Known() || litres > volume.Litres {
		return ""
	}
	share := litres / volume.Litres
	parts := []string{say.F("What it does to %s, %.0f %% changed:", s.Code, 100*share)}
	for _, a := range []chem.Analyte{chem.Salinity, chem.Hardness, chem.Alkalinity, chem.Nitrate} {
		now, known := v.loaded.room.Estimate(tanks.Cell{System: s.ID, Analyte: a})
		fresh, made := v.made.After[a]
		if !known || !made {
			continue
		}
		if after, err := chem.DilutedBy(now.Value, share, fresh); err == nil {
			parts = append(parts, say.F("%s %s to %s", say.Of(a), v.session.Value(a, now.Value), v.session.Value(a, after)))
		}
	}
	if len(parts) == 1 {
		return ""
	}
	return strings.Join(parts, "  ")
}

// print saves the weigh list as a page to be carried to the vat.
func (v *makingView) print() {
	if !v.fine {
		v.session.Say(session.Notice{Title: say.L("The water is not settled yet"),
			Text: say.L("See what is asked at its fields at the left.")})
		return
	}
	list := documents.WeighList{Ticked: ticked(v.session), Water: words.Text(v.session.Volume(v.made.Litres, 1))}
	if v.made.Batches > 1 {
		list.Water = words.T("%d batches of %s each", v.made.Batches, list.Water)
	}
	if s, ok := v.system(); ok {
		list.For = words.T("For %s", s.Label())
	}
	if v.recipe.Name != "" {
		list.For = words.T("%s  %s", list.For, v.recipe.Name)
	}
	for _, g := range v.fields.goals {
		if after, known := v.made.After[g.analyte]; known && !g.entry.Empty() {
			list.Holds = append(list.Holds, words.T("%s: %s %s", g.analyte, v.session.Value(g.analyte, after), v.session.Unit(g.analyte)))
		}
	}
	for _, step := range v.made.Steps {
		list.Steps = append(list.Steps, documents.WeighStep{Title: step.Title, Amount: step.Amount, Notes: step.Notes})
	}
	var out bytes.Buffer
	if err := documents.WriteWeighList(&out, list); err != nil {
		v.session.NotDone(say.L("Writing the weigh list"), err)
		return
	}
	savefile.Ask(v.session, "weigh-list-"+v.session.Now().Format("2006-01-02")+".pdf", out.Bytes())
}
