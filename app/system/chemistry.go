package system

import (
	"errors"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/tanks"
	"weirkeeper/tanks/board"
	"weirkeeper/tanks/derive"
)

// chemistryView lists what follows from a system's newest readings.
type chemistryView struct {
	session *session.Session
	table   *widgets.Table
	missing []chem.Analyte // by row: the readings that the row asks for, first one
	remarks []string       // by row: the whole of it
	said    *widgets.Paragraph
	content fyne.CanvasObject
}

func newChemistryView(s *session.Session, measure func(chem.Analyte)) *chemistryView {
	v := &chemistryView{session: s}
	v.table = widgets.NewTable([]widgets.Column{
		{Title: say.L("What follows"), Weight: 3}, {Title: say.L("Value"), Width: 130, Align: fyne.TextAlignTrailing}, {Title: say.L("Unit"), Width: 90},
		{Title: say.L("What it means"), Weight: 3}, {Title: say.L("From"), Weight: 2}, {Title: say.L("Oldest"), Width: 70, Align: fyne.TextAlignTrailing},
	})
	v.table.OnOpen = func(n int) {
		if v.missing[n] != 0 {
			measure(v.missing[n])
		}
	}
	v.said = widgets.NewWrapped("")
	v.table.OnCurrent = func(n int) { v.said.SetText(v.remarks[n]) }
	note := widgets.NewSmall(say.L("Computed from the newest readings, with the uncertainty that they pass on (± is about 95 %). Readings of different days describe different water: mind the oldest."))
	v.content = container.NewBorder(nil, container.NewVBox(v.said, note), nil, nil, v.table)
	return v
}

func followsOf(room *board.Estimated, system tanks.System) []derive.Quantity {
	return derive.Of(derive.Input{Kind: system.Kind, Estimates: room.Estimates(system.ID), Scale: room.PHScale(system.ID)})
}

// show fills the table; it returns false when there is nothing to follow from.
func (v *chemistryView) show(room *board.Estimated, system tanks.System) bool {
	v.missing, v.remarks = nil, nil
	var rows []widgets.Row
	for _, q := range followsOf(room, system) {
		cells := []widgets.Cell{{Text: say.L(q.Name)}, {}, {Text: q.Unit, Quiet: true}, {}, {Text: symbols(q.From), Quiet: true}, {}}
		var ask chem.Analyte
		if q.Err != nil {
			cells[3] = widgets.Cell{Text: why(q.Err), Quiet: true}
			var m *chem.MissingError
			if errors.As(q.Err, &m) {
				ask = m.Missing[0]
			}
		} else {
			cells[1], cells[3], cells[5] = widgets.Cell{Bold: say.L(q.Shown())}, widgets.Cell{Text: say.L(q.Remark)}, widgets.Cell{Text: v.session.Age(q.Oldest), Quiet: true}
		}
		rows = append(rows, widgets.Row{ID: len(v.missing), Cells: cells})
		v.missing = append(v.missing, ask)
		remark := ""
		if cells[3].Text != "" {
			remark = say.F("%s: %s", q.Name, cells[3].Text)
		}
		v.remarks = append(v.remarks, remark)
	}
	v.table.SetRows(rows)
	if n, ok := v.table.Current(); ok {
		v.said.SetText(v.remarks[n])
	}
	return len(rows) > 0
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
