package shell

import (
	"context"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/sums"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/tanks"
)

// goal is something that the search finds: a name, what it is, the way there, and
// other words that it is found by.
type goal struct {
	name string
	kind words.Text
	open func()
	also string
}

// mostGoals bounds what the search lists.
const mostGoals = 12

// jump opens the search over screens, systems, analytes and actions.
func (w *Window) jump() {
	s := w.session
	var systems []tanks.System
	s.Read(say.L("Reading the systems"), func(ctx context.Context, store *storage.Store) (err error) {
		systems, err = store.Systems(ctx)
		return err
	}, func() {
		if w.session == s && w.win.Canvas().Overlays().Top() == nil {
			w.showJump(w.goals(systems))
		}
	})
}

// goals are what can be gone to: all holds what has a name of its own, in the order
// of how often it is; systems are those whose analytes can be named too.
type goals struct {
	all     []goal
	systems []tanks.System
	trend   func(tanks.Cell) func() // opens the trend of an analyte of a system
}

func (w *Window) goals(systems []tanks.System) goals {
	var all []goal
	to := func(r session.Route) func() { return func() { w.show(r) } }
	for _, p := range railPlaces {
		all = append(all, goal{name: say.Of(p), kind: "screen", open: to(session.Route{Place: p})})
	}
	for _, system := range systems {
		all = append(all, goal{name: system.Label(), kind: "system", open: to(session.Route{Place: session.System, System: system.ID})})
	}
	for _, part := range sections() {
		all = append(all, goal{name: say.F("%s, %s", part.Place, say.Of(part.Section)), kind: "screen", open: to(part)})
	}
	for _, n := range beginnings {
		place, _ := n.section.Place()
		begin := to(session.Route{Place: place, Section: n.section, New: true})
		all = append(all, goal{name: say.L(n.label), kind: "action", open: begin})
	}
	for _, m := range w.commands() {
		for _, c := range m.commands {
			if c.place || c.jump {
				continue
			}
			all = append(all, goal{name: strings.TrimSuffix(c.label, " ..."), kind: "action", open: func() { w.run(c) }})
		}
	}
	for _, info := range chem.Catalogue() {
		trends := to(session.Route{Place: session.Trends, Analyte: info.Analyte})
		all = append(all, goal{name: say.L(info.Name), kind: "analyte", open: trends})
	}
	all = append(all, goal{name: say.L("Sums"), kind: "sum", open: func() { sums.ShowList(w.session, sums.Given{}) }})
	for _, sum := range sums.All() {
		open := func() { sum.Open(w.session, sums.Given{}) }
		all = append(all, goal{name: say.L(sum.Name), kind: "sum", open: open, also: strings.ToLower(say.L(sum.Also))})
	}
	return goals{all, systems, func(c tanks.Cell) func() {
		return to(session.Route{Place: session.System, Section: session.SystemTrend, System: c.System, Analyte: c.Analyte})
	}}
}

// beginnings are the forms for new records that the search opens.
var beginnings = []struct {
	label   words.Text
	section session.Section
}{
	{"Add a system", session.SetupSystems}, {"Add a profile", session.SetupProfiles}, {"Add a method", session.SetupMethods},
	{"Add a task", session.SetupTasks}, {"Add a person", session.SetupPeople}, {"Add a product", session.DosingShelf},
}

// found returns the goals that a text means: those whose name begins with it
// first, then those that hold each of its words or are found by them, then analytes
// of systems.
func (g goals) found(text string) []goal {
	text = strings.ToLower(strings.TrimSpace(text))
	parts := strings.Fields(text)
	var first, later []goal
	for _, one := range g.all {
		name := strings.ToLower(one.name)
		switch {
		case strings.HasPrefix(name, text):
			first = append(first, one)
		case holdsAll(name+" "+one.also, parts):
			later = append(later, one)
		}
	}
	out := append(first, later...)
	if len(parts) > 1 && len(out) < mostGoals {
		out = append(out, g.cells(parts)...)
	}
	return out[:min(len(out), mostGoals)]
}

// cells returns the analytes of systems that words such as "nitrate f2" name: each
// word belongs to the system's label or begins a word of the analyte's name, and
// there is one of each.
func (g goals) cells(parts []string) []goal {
	var out []goal
	for _, system := range g.systems {
		label := strings.ToLower(system.Label())
		code := strings.ToLower(system.Code)
		var rest []string
		for _, part := range parts {
			if part != code && !(len(part) > 1 && strings.Contains(label, part)) {
				rest = append(rest, part)
			}
		}
		if len(rest) == 0 || len(rest) == len(parts) {
			continue
		}
		for _, info := range chem.Catalogue() {
			if holdsAll(" "+strings.ToLower(say.L(info.Name)), spaced(rest)) {
				open := g.trend(tanks.Cell{System: system.ID, Analyte: info.Analyte})
				out = append(out, goal{name: say.F("%s of %s", say.L(info.Name), system.Label()), kind: "trend", open: open})
			}
		}
	}
	return out
}

// spaced puts a space before each part, so that it is found at the beginning of a
// word only.
func spaced(parts []string) []string {
	out := make([]string, len(parts))
	for i, part := range parts {
		out[i] = " " + part
	}
	return out
}

func holdsAll(name string, parts []string) bool {
	for _, part := range parts {
		if !strings.Contains(name, part) {
			return false
		}
	}
	return true
}

// jumpEntry is the field that a goal is typed into; the moving keys are for the
// list under it.
type jumpEntry struct {
	widgets.TextEntry
	list *widgets.Table
}

// TypedKey implements fyne.Focusable.
func (e *jumpEntry) TypedKey(key *fyne.KeyEvent) {
	switch key.Name {
	case fyne.KeyUp, fyne.KeyDown, fyne.KeyPageUp, fyne.KeyPageDown:
		e.list.TypedKey(key)
	default:
		e.TextEntry.TypedKey(key)
	}
}

// showJump asks for one of the goals and goes there.
func (w *Window) showJump(all goals) {
	var shown []goal
	list := widgets.NewTable([]widgets.Column{{Weight: 3}, {Width: 90}})
	list.NoHead = true
	entry := &jumpEntry{list: list}
	entry.ExtendBaseWidget(entry)
	entry.Begin(entry)
	entry.SetPlaceHolder(say.L("System, screen, analyte, sum or action"))
	fill := func(text string) {
		shown = all.found(text)
		rows := make([]widgets.Row, len(shown))
		for n, g := range shown {
			rows[n] = widgets.Row{ID: n, Cells: []widgets.Cell{{Text: g.name}, {Text: say.L(g.kind), Quiet: true}}}
		}
		if len(rows) == 0 {
			rows = []widgets.Row{
				widgets.GroupRow(say.L("Nothing here is called that. Try a system's code, an analyte or what you want to do.")),
			}
		}
		list.SetRows(rows)
		if len(shown) > 0 {
			list.SetCurrent(0)
		}
	}
	fill("")
	var closeDialog func()
	take := func(n int) {
		if n < 0 || n >= len(shown) {
			return
		}
		closeDialog()
		shown[n].open()
	}
	entry.OnChanged = fill
	entry.OnSubmitted = func(string) {
		if n, ok := list.Current(); ok {
			take(n)
		}
	}
	list.OnOpen = take
	box := container.NewGridWrap(fyne.NewSize(look.Scaled(460), mostGoals*look.RowHeight()+2), list)
	closeDialog = widgets.ShowDialog(
		w.win,
		widgets.Dialog{Title: say.L("Go to"), Content: container.NewBorder(entry, nil, nil, nil, box), Focus: entry},
	)
}
