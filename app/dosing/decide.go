package dosing

import (
	"slices"
	"strconv"
	"strings"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/ways"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/tanks"
	"weirkeeper/tanks/plan"
)

// showHow shows the arithmetic, side effects and rules of the line under the
// cursor.
func (v *planView) showHow() {
	v.how.Objects = nil
	defer v.how.Refresh()
	l, ok := v.table.Current()
	if !ok {
		return
	}
	v.how.Add(widgets.NewHeading(say.F("How: %s %s", l.System.Code, l.Analyte.InSentence()), say.L("Every number and where it comes from")))
	for _, s := range l.How() {
		v.how.Add(widgets.NewBar(widgets.NewLine(say.L(s.Name), look.Secondary, false), widgets.NewLine(say.L(s.Value), look.Text, true)))
		v.how.Add(widgets.NewSmall(say.L(s.Source)))
	}
	if text := v.besides(*l); text != "" {
		v.how.Add(widgets.NewLine(say.L("It also does"), look.Text, true))
		v.how.Add(widgets.NewWrapped(text))
	}
	if !l.Hold() {
		v.how.Add(widgets.NewLine(say.F("Test again on %s", v.session.Day(l.Retest)), look.Text, true))
		v.how.Add(widgets.NewWrapped(v.stockText(*l)))
	}
	for _, g := range l.Guards {
		v.how.Add(widgets.NewNotice(upperFirst(say.L(g.Rule)), say.L(g.Message), g.Stops))
	}
}

func upperFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// besides lists the side effects of all doses of a line that show in the
// decimals of their units.
func (v *planView) besides(l plan.Line) string {
	var parts []string
	for _, d := range l.Side {
		if text := chem.FormatChange(d.Analyte, d.Change, v.session.Unit(d.Analyte), v.loaded.room.Water(l.System.ID)); text != "" {
			parts = append(parts, say.F("%s %s", d.Analyte, text))
		}
	}
	return strings.Join(parts, ", ")
}

func (v *planView) stockText(l plan.Line) string {
	text := say.F("On the shelf: %.0f %s of %s", l.Product.Stock, l.Product.Unit(), l.Product.Name)
	if l.Lasts >= 0 {
		text += say.F(", %d days at this amount", l.Lasts)
	}
	if l.Cost > 0 {
		text += say.F("; the doses cost about %.2f", l.Cost)
	}
	return text + "."
}

// change asks for another daily amount and number of days.
func (v *planView) change() {
	l, ok := v.table.Current()
	if !ok {
		return
	}
	if l.Product.ID == 0 || !l.Known {
		text := say.L("The line has no product or no reading. See its rules at the right.")
		v.session.Say(session.Notice{Title: say.L("There is nothing to change"), Text: text})
		return
	}
	daily := widgets.NewNumberEntry(widgets.PlainNumber(l.Daily))
	days := widgets.NewNumberEntry(strconv.Itoa(max(1, l.Days)))
	form := widgets.NewForm(
		widgets.Field{Name: "daily", Label: say.F("%s a day", l.Product.Unit()), Input: daily, Help: say.L("0 takes the line out")},
		widgets.Field{Name: "days", Label: say.L("Days"), Input: days},
	)
	key := lineKey(l)
	title := say.F("%s %s: %s", l.System.Code, l.Analyte.InSentence(), l.Product.Name)
	widgets.ShowForm(v.session.Window, title, say.L("Set"), form, func() bool {
		d := v.decisions[key]
		var faults []widgets.Fault
		amount, err := daily.Value()
		if err != nil || amount < 0 {
			problem, remedy := say.F("%q is no amount", daily.Text), say.L("give zero or more")
			faults = append(faults, widgets.Fault{Field: "daily", Problem: problem, Remedy: remedy})
		}
		n, err := days.Value()
		if err != nil || n < 1 || n > 60 || n != float64(int(n)) {
			problem, remedy := say.F("%q is no number of days", days.Text), say.L("give 1 to 60")
			faults = append(faults, widgets.Fault{Field: "days", Problem: problem, Remedy: remedy})
		}
		if len(faults) > 0 {
			form.ShowFaults(faults)
			return false
		}
		d.daily, d.days, d.amount, d.out = amount, int(n), amount > 0, amount == 0
		v.decisions[key] = d
		v.make()
		return true
	})
}

// showWays shows what else changes the analyte of the line under the cursor: what a
// keeper must choose, such as salts for hardness or an adsorber for phosphate.
func (v *planView) showWays() {
	l, ok := v.table.Current()
	if !ok {
		return
	}
	if _, all := ways.For(l.Analyte); len(all) == 0 {
		v.session.Say(session.Notice{
			Title: say.L("There are no other ways to choose from"),
			Text:  say.L("Ways are known of for hardness and phosphate. Stand on such a line; Analytes puts it into the plan."),
		})
		return
	}
	ways.Show(v.session, l.Analyte)
}

// takeOut removes the line under the cursor from the plan, or puts it back.
func (v *planView) takeOut() {
	l, ok := v.table.Current()
	if !ok {
		return
	}
	key := lineKey(l)
	d := v.decisions[key]
	d.out = !d.out
	v.decisions[key] = d
	v.make()
}

// changeProduct asks which product to use for the line.
func (v *planView) changeProduct() {
	l, ok := v.table.Current()
	if !ok {
		return
	}
	var options []widgets.Option[tanks.ProductID]
	for _, p := range v.loaded.products {
		effects, err := p.Contents.Effects()
		if err == nil && effects[l.Analyte] > 0 && !p.Retired {
			options = append(options, widgets.Option[tanks.ProductID]{
				Value: p.ID, Name: p.Name, Detail: say.F("%s; %s left", contains(v.session, p.Contents), amount(p.Stock, p)),
			})
		}
	}
	if len(options) == 0 {
		title := say.F("Nothing on the shelf raises %s", l.Analyte.InSentence())
		v.session.Say(session.Notice{Title: title, Text: say.L("Add a product on the Shelf."), Do: say.L("Shelf"), Then: func() {
			v.session.Go(session.Route{Place: session.Dosing, Section: session.DosingShelf})
		}})
		return
	}
	choice := widgets.NewChoice(options, l.Product.ID)
	key := lineKey(l)
	form := widgets.NewForm(widgets.Field{Name: "product", Label: say.L("Product"), Input: choice})
	widgets.ShowForm(v.session.Window, say.F("Product for %s %s", l.System.Code, l.Analyte.InSentence()), say.L("Use"), form, func() bool {
		d := v.decisions[key]
		d.product, d.amount = choice.Value(), false
		v.decisions[key] = d
		v.make()
		return true
	})
}

// chooseSystems asks which systems the plan is for.
func (v *planView) chooseSystems() {
	if v.loaded == nil {
		return
	}
	var rows []widgets.Row
	var checked []int
	for _, s := range v.loaded.room.Systems {
		if s.Kind == tanks.Source {
			continue
		}
		rows = append(rows, widgets.Row{ID: int(s.ID), Cells: []widgets.Cell{{Bold: s.Code, Text: s.Name}}})
		if v.wanted[s.ID] {
			checked = append(checked, int(s.ID))
		}
	}
	widgets.ShowTicks(v.session.Window, say.L("Plan for"), rows, checked, func(ids []int) bool {
		v.wanted = map[tanks.SystemID]bool{}
		for _, id := range ids {
			v.wanted[tanks.SystemID(id)] = true
		}
		v.make()
		return true
	})
}

// chooseAnalytes asks which analytes the plan is about.
func (v *planView) chooseAnalytes() {
	if v.loaded == nil {
		return
	}
	now := v.analytes
	if len(now) == 0 {
		now = usual
	}
	var rows []widgets.Row
	var checked []int
	for _, a := range planned {
		rows = append(rows, widgets.Row{ID: int(a), Cells: []widgets.Cell{{Text: say.Of(a)}}})
		if slices.Contains(now, a) {
			checked = append(checked, int(a))
		}
	}
	widgets.ShowTicks(v.session.Window, say.L("Analytes to plan"), rows, checked, func(ids []int) bool {
		v.analytes = nil
		for _, id := range ids {
			v.analytes = append(v.analytes, chem.Analyte(id))
		}
		v.make()
		return true
	})
}
