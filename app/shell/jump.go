package shell

import (
	"context"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/tanks"
)

// goal is something that the search finds: a name, what it is, and the way
// there.
type goal struct {
	name string
	kind words.Text
	open func()
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

// goals are everything that can be gone to, in the order of how often it is.
func (w *Window) goals(systems []tanks.System) []goal {
	var all []goal
	to := func(r session.Route) func() { return func() { w.show(r) } }
	for _, p := range railPlaces {
		all = append(all, goal{say.Of(p), "screen", to(session.Route{Place: p})})
	}
	for _, system := range systems {
		all = append(all, goal{system.Label(), "system", to(session.Route{Place: session.System, System: system.ID})})
	}
	for _, part := range sections() {
		all = append(all, goal{say.F("%s, %s", part.Place, say.Of(part.Section)), "screen", to(part)})
	}
	for _, m := range w.commands() {
		for _, c := range m.commands {
			if c.place || c.jump {
				continue
			}
			all = append(all, goal{strings.TrimSuffix(c.label, " ..."), "action", func() { w.run(c) }})
		}
	}
	for _, info := range chem.Catalogue() {
		all = append(all, goal{say.L(info.Name), "analyte", to(session.Route{Place: session.Trends, Analyte: info.Analyte})})
	}
	return all
}

// found returns the goals that a text means: those whose name begins with it
// first, then those that hold each of its words.
func found(all []goal, text string) []goal {
	text = strings.ToLower(strings.TrimSpace(text))
	var first, later []goal
	for _, g := range all {
		name := strings.ToLower(g.name)
		switch {
		case strings.HasPrefix(name, text):
			first = append(first, g)
		case holdsAll(name, strings.Fields(text)):
			later = append(later, g)
		}
	}
	out := append(first, later...)
	return out[:min(len(out), mostGoals)]
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
func (w *Window) showJump(all []goal) {
	var shown []goal
	list := widgets.NewTable([]widgets.Column{{Weight: 3}, {Width: 90}})
	list.NoHead = true
	entry := &jumpEntry{list: list}
	entry.ExtendBaseWidget(entry)
	entry.Begin(entry)
	entry.SetPlaceHolder(say.L("System, screen, analyte or action"))
	fill := func(text string) {
		shown = found(all, text)
		rows := make([]widgets.Row, len(shown))
		for n, g := range shown {
			rows[n] = widgets.Row{ID: n, Cells: []widgets.Cell{{Text: g.name}, {Text: say.L(g.kind), Quiet: true}}}
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
	closeDialog = widgets.ShowDialog(w.win, widgets.Dialog{Title: say.L("Go to"), Content: container.NewBorder(entry, nil, nil, nil, box), Focus: entry})
}
