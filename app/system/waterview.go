package system

import (
	"fyne.io/fyne/v2"

	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
)

// newWaterList lists the analytes of a system; open is given the one that is
// chosen.
func newWaterList(s *session.Session, open func(chem.Analyte), empty func() fyne.CanvasObject) *widgets.List[chem.Analyte, waterRow] {
	columns := []struct {
		id widgets.ColumnID
		widgets.Column
	}{
		{"analyte", widgets.Column{Title: say.L("Analyte"), Weight: 2}},
		{"newest", widgets.Column{Title: say.L("Newest"), Width: 100, Align: fyne.TextAlignTrailing}},
		{"unit", widgets.Column{Title: say.L("Unit"), Width: 90}},
		{"verdict", widgets.Column{Title: say.L("Verdict"), Weight: 2}},
		{"band", widgets.Column{Title: say.L("In the band"), Weight: 2, Spare: true}},
		{"course", widgets.Column{Title: say.L("30 days"), Width: 90, Spare: true}},
		{"uptake", widgets.Column{Title: say.L("Uptake a day"), Weight: 2, Align: fyne.TextAlignTrailing}},
		{"age", widgets.Column{Title: say.L("Age"), Width: 70, Align: fyne.TextAlignTrailing}},
		{"method", widgets.Column{Title: say.L("Method"), Weight: 2, Spare: true}},
	}
	model := widgets.ListModel[chem.Analyte, waterRow]{
		Name: "system.water", Key: func(r waterRow) chem.Analyte { return r.analyte },
		Open: func(chosen []waterRow) { open(chosen[0].analyte) }, Empty: empty,
	}
	for n, c := range columns {
		model.Columns = append(model.Columns, widgets.ListColumn[waterRow]{
			ID: c.id, Column: c.Column, Cell: func(r waterRow) widgets.Cell { return r.cells()[n] },
		})
	}
	return widgets.NewList(model, s.Memory)
}
