package system

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
)

// waterView lists the analytes of a system.
type waterView struct {
	list    *widgets.List[chem.Analyte, waterRow]
	content fyne.CanvasObject
}

// newWaterView returns the list; open is given the analyte that is chosen.
func newWaterView(s *session.Session, open func(chem.Analyte), empty func() fyne.CanvasObject) *waterView {
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
	v := &waterView{list: widgets.NewList(model, s.Memory)}
	v.content = container.NewBorder(widgets.NewBar(v.list.Tools()...), nil, nil, nil, v.list.Object())
	return v
}
