package system

import (
	"errors"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/tanks"
	"weirkeeper/tanks/board"
	"weirkeeper/tanks/derive"
)

// chemistryView has the sums of a system's water, and lists what follows from a system's newest readings.
type chemistryView struct {
	session *session.Session
	list    *widgets.List[words.Text, derive.Quantity]
	said    *widgets.Paragraph
	content fyne.CanvasObject
}

func newChemistryView(s *session.Session, measure func(chem.Analyte), sums fyne.CanvasObject) *chemistryView {
	v := &chemistryView{session: s, said: widgets.NewWrapped("")}
	v.list = widgets.NewList(widgets.ListModel[words.Text, derive.Quantity]{
		Name: "system.chemistry", Key: func(q derive.Quantity) words.Text { return q.Name }, Columns: chemistryColumns(s),
		Open: func(chosen []derive.Quantity) {
			if a, ok := missing(chosen[0]); ok {
				measure(a)
			}
		},
		Chose: v.sayWhole,
	}, s.Memory)
	note := widgets.NewSmall(say.L("Computed from the newest readings, with the uncertainty that they pass on (± is about 95 %). " +
		"Readings of different days describe different water: mind the oldest."))
	v.content = container.NewBorder(sums, container.NewVBox(v.said, note), nil, nil, v.list.Object())
	return v
}

func chemistryColumns(s *session.Session) []widgets.ListColumn[derive.Quantity] {
	column := func(id widgets.ColumnID, c widgets.Column, cell func(derive.Quantity) widgets.Cell) widgets.ListColumn[derive.Quantity] {
		return widgets.ListColumn[derive.Quantity]{ID: id, Column: c, Cell: cell}
	}
	return []widgets.ListColumn[derive.Quantity]{
		column("what", widgets.Column{Title: say.L("What follows"), Weight: 3}, func(q derive.Quantity) widgets.Cell {
			return widgets.Cell{Text: say.L(q.Name)}
		}),
		column(
			"value",
			widgets.Column{Title: say.L("Value"), Width: 130, Align: fyne.TextAlignTrailing},
			func(q derive.Quantity) widgets.Cell {
				if q.Err != nil {
					return widgets.Cell{}
				}
				return widgets.Cell{Bold: say.L(q.Shown()), By: q.Value}
			},
		),
		column("unit", widgets.Column{Title: say.L("Unit"), Width: 90}, func(q derive.Quantity) widgets.Cell {
			return widgets.Cell{Text: q.Unit, Quiet: true}
		}),
		column("meaning", widgets.Column{Title: say.L("What it means"), Weight: 3, Min: 320}, func(q derive.Quantity) widgets.Cell {
			return widgets.Cell{Text: meaning(q), Quiet: q.Err != nil}
		}),
		column("from", widgets.Column{Title: say.L("From"), Weight: 2, Min: 200, Spare: true}, func(q derive.Quantity) widgets.Cell {
			return widgets.Cell{Text: symbols(q.From), Quiet: true}
		}),
		column(
			"oldest",
			widgets.Column{Title: say.L("Oldest"), Width: 70, Align: fyne.TextAlignTrailing},
			func(q derive.Quantity) widgets.Cell {
				if q.Err != nil {
					return widgets.Cell{}
				}
				return widgets.Cell{Text: s.Age(q.Oldest), Quiet: true, By: q.Oldest}
			},
		),
	}
}

func followsOf(room *board.Estimated, system tanks.System) []derive.Quantity {
	return derive.Of(derive.Input{Kind: system.Kind, Estimates: room.Estimates(system.ID), By: room.Conventions(system.ID)})
}

// show fills the list; it returns false when there is nothing to follow from.
func (v *chemistryView) show(room *board.Estimated, system tanks.System) bool {
	v.list.SetRecords(followsOf(room, system))
	return v.list.Len() > 0
}

// sayWhole says under the list the whole of the row under the cursor: in the row
// there is not always room for it.
func (v *chemistryView) sayWhole() {
	q, ok := v.list.Current()
	if !ok {
		v.said.SetText("")
		return
	}
	text := say.F("%s, from %s", q.Name, symbols(q.From))
	if m := meaning(q); m != "" {
		text = say.F("%s: %s", text, m)
	}
	if q.Equations != "" {
		text = say.F("%s. By %s.", text, q.Equations)
	}
	if q.Model > 0 {
		text = say.F("%s Of the ±, the two models leave %s.", text, q.ModelShown())
	}
	v.said.SetText(text)
}

// meaning is what a quantity means, or why it cannot be told.
func meaning(q derive.Quantity) string {
	if q.Err != nil {
		return why(q.Err)
	}
	return say.L(q.Remark)
}

// missing is the first reading that a quantity lacks.
func missing(q derive.Quantity) (a chem.Analyte, ok bool) {
	var m *chem.MissingError
	if !errors.As(q.Err, &m) {
		return 0, false
	}
	return m.Missing[0], true
}

// why says in a few words why a quantity cannot be told.
func why(err error) string {
	var m *chem.MissingError
	if !errors.As(err, &m) {
		return say.Of(err)
	}
	return say.F("needs %s", symbols(m.Missing))
}

func symbols(analytes []chem.Analyte) string {
	text := ""
	for i, a := range analytes {
		if i > 0 {
			text += ", "
		}
		text += say.L(a.InSentence())
	}
	return text
}
