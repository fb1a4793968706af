package samples

import (
	"context"
	"fmt"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/forms"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/tanks"
)

// typeResults asks for the results of the sample under the cursor. Analytes
// that have a result already are corrected in the system's log instead.
func (p *Page) typeResults() {
	s, ok := p.current()
	if !ok {
		return
	}
	samples, methods, draftName := p.loaded.samples, p.loaded.room.Methods, draftOf(s)
	var known tanks.Laboratories
	var kept []byte
	measured := map[chem.Analyte]bool{}
	p.session.Read(say.F("Reading what is known of the results of %s", s.Code), func(ctx context.Context, store *storage.Store) error {
		results, err := store.ReadingsOfSample(ctx, s.ID)
		if err != nil {
			return err
		}
		for _, r := range results {
			measured[r.Analyte] = true
		}
		if known, err = readLaboratories(ctx, store, samples, methods); err != nil {
			return err
		}
		if kept, err = store.Draft(ctx, draftName); err != nil {
			return words.Errorf("reading the kept results: %w", err)
		}
		return nil
	}, func() { p.askResults(newResultSheet(s, known, measured), kept) })
}

// draftOf is where the unsaved results of a sample are kept.
func draftOf(s tanks.Sample) string { return fmt.Sprintf("results of sample %d", s.ID) }

func (p *Page) askResults(sheet *resultSheet, kept []byte) {
	if len(sheet.results) == 0 {
		p.session.Say(session.Notice{
			Title: say.L("There is no result left to type"),
			Text: say.L(
				"Every analyte that has a laboratory's method has its result. Correct one in the system's log; add methods in Setup.",
			),
			Do: say.L("Methods"), Then: p.toMethods,
		})
		return
	}
	sheet.water, sheet.person, sheet.clock = p.loaded.room.WaterAt(sheet.sample.System,
		sheet.sample.Drawn), p.session.Person, p.session.Clock
	if err := sheet.take(kept); err != nil {
		p.session.CouldNotRead(say.L("Opening the kept results"), err)
	}
	newReport(p, sheet).show()
}

func (p *Page) toMethods() {
	p.session.Go(session.Route{Place: session.Setup, Section: session.SetupMethods})
}

// report is the form that a lab's results are typed into.
type report struct {
	page  *Page
	sheet *resultSheet
	grid  *widgets.Grid
	by    *widgets.Choice[tanks.MethodID] // of the row under the cursor
	of    int                             // the row that by is about
	kept  *session.Draft
	form  *widgets.Form
	saved int  // results, of the last press of Save
	away  bool // the form is left for Setup: what is typed stays kept
	close func()
}

var gridSize = fyne.NewSize(440, 380)

func newReport(p *Page, sheet *resultSheet) *report {
	r := &report{page: p, sheet: sheet, grid: widgets.NewGrid(sheet), by: widgets.NewChoice[tanks.MethodID](nil, 0)}
	r.kept = session.NewDraft(p.session, draftOf(sheet.sample), say.L("Keeping the results"), func() ([]byte, error) {
		if e, ok := r.grid.Typing(); ok {
			return sheet.draft(&e)
		}
		return sheet.draft(nil)
	})
	r.grid.OnTyping = r.kept.Keep
	r.grid.OnEdit = func(row, _ int, text string) { sheet.typeIn(row, text); r.kept.Keep() }
	r.grid.OnCursor = func(row, _ int) { r.showMethod(row) }
	r.by.OnChanged = func(id tanks.MethodID) {
		if m := p.loaded.room.Methods[id]; sheet.results[r.of].method.ID != id {
			sheet.setMethod(r.of, m)
			r.grid.Reload()
			r.kept.Keep()
		}
	}
	methods := widgets.NewBar(r.by, widgets.NewSecondary(say.L("Add a method"), r.addMethod))
	r.form = widgets.NewForm(
		widgets.Field{Name: "results", Label: say.L("Results"), Input: container.NewGridWrap(gridSize, r.grid)},
		widgets.Field{
			Name: "method", Label: say.L("Measured by"), Input: methods,
			Help: say.L("Of the row under the cursor. What is typed is kept while you add a method in Setup."),
		},
	)
	r.showMethod(0)
	return r
}

// showMethod offers the methods of a row's analyte.
func (r *report) showMethod(row int) {
	one := r.sheet.results[row]
	var options []widgets.Option[tanks.MethodID]
	for _, m := range r.sheet.labs.Offered(one.analyte) {
		options = append(options, widgets.Option[tanks.MethodID]{Value: m.ID, Name: m.Name, Detail: string(m.Unit)})
	}
	r.of = row
	r.by.Clear()
	r.by.SetOptions(options)
	r.by.SetSelected(one.method.ID)
}

// addMethod leaves for Setup; what is typed is kept.
func (r *report) addMethod() {
	r.grid.Commit()
	r.kept.Flush()
	r.away = true
	r.close()
	r.page.toMethods()
}

func (r *report) show() {
	s := r.sheet.sample
	title := say.F("Results of %s", s.Code)
	if s.Lab != "" {
		title = say.F("%s, by %s", title, s.Lab)
	}
	r.close = forms.Show(r.page.session, forms.Ask{
		Title: title, Form: r.form, Focus: r.grid, Size: fyne.NewSize(gridSize.Width+120, 0), Read: r.read,
		Saved: func() {
			r.page.session.Say(session.Notice{Title: say.L("Saved"), Do: say.L("Take them back"), Then: r.page.session.Undo,
				Text: say.N(r.saved, "%d results of %s are in the ledger, dated when the sample was drawn.", s.Code)})
		},
		Dropped: r.dropped,
	})
}

// dropped forgets what was typed, unless it is wanted after a visit to Setup.
func (r *report) dropped() {
	if r.away {
		return
	}
	name := draftOf(r.sheet.sample)
	r.page.session.Act(say.L("Dropping the results"), func(ctx context.Context, store *storage.Store) error {
		return store.DropDraft(ctx, name)
	}, nil)
}

// read returns what saves the results and marks the sample as back.
func (r *report) read() (session.Deed, []widgets.Fault) {
	r.grid.Commit()
	readings, faults, first := r.sheet.readings()
	if len(faults) > 0 {
		r.grid.MoveTo(first, 0)
		r.grid.Reload()
		r.page.session.Window.Canvas().Focus(r.grid)
		return nil, faults
	}
	s, kept := r.sheet.sample, draftOf(r.sheet.sample)
	if s.Received.IsZero() {
		s.Received = r.page.session.Clock()
	}
	r.saved = len(readings)
	r.kept.Flush()
	return func(ctx context.Context, store *storage.Store) error {
		return store.SaveResults(ctx, s, readings, kept)
	}, nil
}
