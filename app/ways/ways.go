// Package ways shows the ways to change a water that a keeper must choose between: none
// is taken by the program of its own accord. It is no screen: any screen may show them.
package ways

import (
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// For returns the ways that bear on an analyte, with what they do; none for most.
func For(a chem.Analyte) (title words.Text, all []tanks.Way) {
	switch a {
	case chem.Hardness:
		return "Ways to raise general hardness", tanks.WaysToHarden()
	case chem.Phosphate:
		return "Ways to lower phosphate", tanks.WaysToLowerPhosphate()
	}
	return "", nil
}

// box is the room of the list in its dialog.
var box = fyne.NewSize(640, 230)

// Show lists the ways that bear on an analyte; under the list stands the whole of the
// one under the cursor, with how to handle what it takes.
func Show(s *session.Session, a chem.Analyte) {
	title, all := For(a)
	if len(all) == 0 {
		return
	}
	what := widgets.NewWrapped("")
	var list *widgets.List[words.Text, tanks.Way]
	column := func(id widgets.ColumnID, title string, weight float32, cell func(tanks.Way) widgets.Cell) widgets.ListColumn[tanks.Way] {
		return widgets.ListColumn[tanks.Way]{ID: id, Column: widgets.Column{Title: title, Weight: weight}, Cell: cell}
	}
	list = widgets.NewList(widgets.ListModel[words.Text, tanks.Way]{
		Name: "ways", Key: func(w tanks.Way) words.Text { return w.Name },
		Columns: []widgets.ListColumn[tanks.Way]{
			column("way", say.L("Way"), 2, func(w tanks.Way) widgets.Cell { return widgets.Cell{Text: say.L(w.Name)} }),
			column("does", say.L("What it does"), 3, func(w tanks.Way) widgets.Cell {
				return widgets.Cell{Text: say.L(w.Does),
					Quiet: true}
			}),
		},
		Chose: func() {
			if list == nil {
				return
			}
			if w, ok := list.Current(); ok {
				what.SetText(whole(w))
			}
		},
	}, s.Memory)
	list.SetRecords(all)
	list.SetCurrent(all[0].Name)
	note := widgets.NewSmall(say.L("None of them is taken by the program: choose one, and put its product on the Shelf or plan the change."))
	room := container.NewGridWrap(fyne.NewSize(look.Scaled(box.Width), look.Scaled(box.Height)), list.Object())
	widgets.ShowDialog(s.Window, widgets.Dialog{
		Title: say.L(title), Content: container.NewBorder(nil, container.NewVBox(what, note), nil, nil, room), Focus: list.Focus(),
	})
}

// whole says all of a way: what it does, what it takes, its source and its cautions.
func whole(w tanks.Way) string {
	lines := []string{say.F("%s. %s (%s)", w.Name, w.Does, w.Source)}
	var names, cautions []string
	for _, key := range w.Compounds {
		c, ok := chem.Compound(key)
		if !ok {
			continue
		}
		names = append(names, say.F("%s (%s)", c.Name, key))
		if c.Caution != "" {
			cautions = append(cautions, say.L(c.Caution))
		}
	}
	if len(names) > 0 {
		lines = append(lines, say.F("It takes %s.", strings.Join(names, ", ")))
	}
	return strings.Join(append(lines, cautions...), "\n")
}
