package samples

import (
	"context"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/tanks"
)

// resultSheet is the grid that a lab's results are typed into: one row for
// each method of a laboratory.
type resultSheet struct {
	sample  tanks.Sample
	methods []tanks.Method
	typed   []string
	fault   []string
}

// Rows implements widgets.GridModel.
func (r *resultSheet) Rows() int { return len(r.methods) }

// Columns implements widgets.GridModel.
func (r *resultSheet) Columns() int { return 1 }

// ColumnHead implements widgets.GridModel.
func (r *resultSheet) ColumnHead(int) (title, subtitle string) {
	return say.L("Result"), say.L("as on the report")
}

// RowHead implements widgets.GridModel.
func (r *resultSheet) RowHead(row int) (bold, text string) {
	m := r.methods[row]
	return say.Of(m.Analyte), string(m.Unit) + ", " + m.Name
}

// Cell implements widgets.GridModel.
func (r *resultSheet) Cell(row, _ int) widgets.GridCell {
	return widgets.GridCell{Text: r.typed[row], Due: true, Bad: r.fault[row] != "", Message: r.fault[row]}
}

// typeIn takes over a result as typed and says what is wrong with it.
func (r *resultSheet) typeIn(row int, text string, read func(tanks.Method, string) (tanks.Reading, error)) {
	r.typed[row], r.fault[row] = strings.TrimSpace(text), ""
	if r.typed[row] == "" {
		return
	}
	if _, err := read(r.methods[row], r.typed[row]); err != nil {
		r.fault[row] = say.Of(err)
	}
}

// readings returns what was typed; the error names the first wrong result.
func (r *resultSheet) readings(read func(tanks.Method, string) (tanks.Reading, error)) ([]tanks.Reading, error) {
	var out []tanks.Reading
	for row, m := range r.methods {
		if r.typed[row] == "" {
			continue
		}
		reading, err := read(m, r.typed[row])
		if err != nil {
			return nil, words.Errorf("%s: %w", m.Analyte, err)
		}
		out = append(out, reading)
	}
	return out, nil
}

// read turns a result into a reading of the sample, taken when it was drawn.
func (p *Page) read(s tanks.Sample, m tanks.Method, text string) (tanks.Reading, error) {
	q, err := chem.ParseNumber(text)
	if err != nil {
		return tanks.Reading{}, err
	}
	info, _ := chem.Lookup(m.Analyte)
	v, err := chem.Convert(m.Analyte, q.Value, m.Unit, info.Unit, p.loaded.room.Water(s.System))
	if err != nil {
		return tanks.Reading{}, err
	}
	r := tanks.Reading{
		System: s.System, Analyte: m.Analyte, At: s.Drawn, Value: v, Limit: map[string]tanks.Limit{"<": tanks.Below, ">": tanks.Above}[q.Limit],
		Typed: text, Unit: m.Unit, Method: m.ID, Sample: s.ID, Person: p.session.Person,
	}
	return r, r.Validate(p.session.Clock())
}

// typeResults asks for the results of the sample under the cursor. Analytes
// that have a result already are corrected in the system's log instead.
func (p *Page) typeResults() {
	s, ok := p.current()
	if !ok {
		return
	}
	done := map[chem.Analyte]bool{}
	for _, r := range p.loaded.results[s.ID] {
		done[r.Analyte] = true
	}
	sheet := &resultSheet{sample: s}
	for _, m := range p.labMethods() {
		if !done[m.Analyte] {
			sheet.methods = append(sheet.methods, m)
			done[m.Analyte] = true
		}
	}
	if len(sheet.methods) == 0 {
		p.session.Say(session.Notice{Title: say.L("There is no result left to type"), Text: say.L("Every analyte that has a laboratory's method has its result. Correct one in the system's log; add methods in Setup."),
			Do: say.L("Methods"), Then: func() { p.session.Go(session.Route{Place: session.Setup, Section: session.SetupMethods}) }})
		return
	}
	sheet.typed, sheet.fault = make([]string, len(sheet.methods)), make([]string, len(sheet.methods))
	read := func(m tanks.Method, text string) (tanks.Reading, error) { return p.read(s, m, text) }
	grid := widgets.NewGrid(sheet)
	grid.OnEdit = func(row, _ int, text string) { sheet.typeIn(row, text, read) }
	box := container.NewGridWrap(fyne.NewSize(560, 420), grid)
	widgets.ShowDialog(p.session.Window, widgets.Dialog{Title: say.F("Results of %s", s.Code), Content: box, Confirm: say.L("Save"), Focus: grid, OnConfirm: func() bool {
		grid.Commit()
		readings, err := sheet.readings(read)
		if err != nil || len(readings) == 0 {
			return false
		}
		p.saveResults(s, readings)
		return true
	}})
}

// saveResults writes the results and marks the sample as back.
func (p *Page) saveResults(s tanks.Sample, readings []tanks.Reading) {
	if s.Received.IsZero() {
		s.Received = p.session.Clock()
	}
	p.session.Act(say.L("Saving the results"), func(ctx context.Context, store *storage.Store) error {
		return store.SaveResults(ctx, s, readings)
	}, func() {
		p.session.Say(session.Notice{Title: say.L("Saved"), Text: say.F("%d results of %s are in the ledger, dated when the sample was drawn.", len(readings), s.Code)})
	})
}
