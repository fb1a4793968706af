package setup

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
	"weirkeeper/storage"
	"weirkeeper/storage/csvread"
	"weirkeeper/tanks"
)

// importHelp says what can be read.
const importHelp words.Text = "A CSV file from a spreadsheet or another record, with a heading line: a line for each reading, or a " +
	"column for each test. " +
	"Values may be 8,3 or 8.3 or <0.02. Nothing is written before you accept, and an import can be undone."

// importView shows what a file holds before any of it is written.
type importView struct {
	session *session.Session
	loaded  *loaded
	loader  session.Loader
	path    string // of the chosen file; empty: none
	preview storage.Preview
	columns *mapView
	choose  *widgets.Button
	accept  *widgets.Button
	said    *widgets.Heading
	about   *widgets.Paragraph
	table   *widgets.Table
	detail  *widgets.Paragraph // the row under the cursor, whole
	body    *fyne.Container
	content *fyne.Container
	work    session.Work       // under way, nil: none
	cancel  context.CancelFunc // of it
	writing bool               // the good lines are being taken
}

func newImportView(s *session.Session) *importView {
	v := &importView{
		session: s,
		loaded:  &loaded{},
		said:    widgets.NewHeading(say.L("Import readings"), ""),
		about:   widgets.NewWrapped(say.L(importHelp)),
		detail:  widgets.NewWrapped(""),
		body:    container.NewStack(),
	}
	v.columns = newMapView(s, v.look)
	v.choose = widgets.NewPrimary(say.L("Choose a file"), v.ask).With(look.IconOpen)
	v.accept = widgets.NewSecondary(say.L("Accept"), v.accepted).With(look.IconDone)
	v.table = widgets.NewTable(
		[]widgets.Column{
			{Title: say.L("Line"), Width: 60, Align: fyne.TextAlignTrailing},
			{Title: say.L("Column"), Width: 90},
			{Title: say.L("What"), Weight: 3},
			{Title: say.L("What to do"), Weight: 2},
		},
	)
	v.table.OnCurrent = v.showWhole
	v.content = container.NewBorder(container.NewVBox(v.said, v.about, widgets.NewBar(v.choose, v.accept)), nil, nil, nil, v.body)
	return v
}

func (v *importView) object() fyne.CanvasObject { return v.content }

func (v *importView) focus() fyne.Focusable { return v.choose }

func (v *importView) show(l *loaded) {
	v.loaded = l
	v.columns.show(l)
	v.lay()
}

// ask lets the person choose a file.
func (v *importView) ask() {
	widgets.AskOpen(v.session.Window, []string{".csv", ".txt", ".tsv"}, "", v.open)
}

// open looks at a file: what its columns seem to hold, and then what they say.
func (v *importView) open(path string) {
	if v.writing {
		v.session.Say(
			session.Notice{
				Title: say.L("An import is under way"),
				Text:  say.L("Wait for its end, or stop it in the bottom line, before you choose another file."),
			},
		)
		return
	}
	v.path, v.preview = path, storage.Preview{}
	v.columns.propose(path)
}

func (v *importView) name() string { return filepath.Base(v.path) }

// begin shows in the bottom line that work on the file goes on, which can be
// stopped there. What went on before is stopped.
func (v *importView) begin(doing string) context.Context {
	if v.work != nil {
		v.cancel()
		v.work.End()
	}
	ctx, work := v.session.Working.Begin(say.F("%s %s", doing, v.name()), true)
	ctx, v.cancel = context.WithCancel(ctx)
	v.work = work
	return ctx
}

// end says that the work is over.
func (v *importView) end() {
	if v.work != nil {
		v.work.End()
		v.work = nil
	}
}

// progress shows how far the reading of the file is.
func (v *importView) progress() func(done, total int64) {
	last, work := time.Time{}, v.work
	return func(done, total int64) {
		if time.Since(last) < 100*time.Millisecond || total == 0 {
			return
		}
		last = time.Now()
		work.Set(float64(done) / float64(total))
	}
}

func (v *importView) options() storage.CSVOptions {
	return storage.CSVOptions{
		Map:      v.columns.chosen(),
		Zone:     v.session.Zone,
		Person:   v.session.Person,
		Name:     v.name(),
		Progress: v.progress(),
	}
}

// look reads the file by the map in the background and shows what it holds.
func (v *importView) look() {
	if v.path == "" || v.writing {
		return
	}
	stop := v.begin(say.L("Reading"))
	path, opt := v.path, v.options()
	type looked struct {
		preview storage.Preview
		err     error
	}
	session.Load(v.session, &v.loader, say.L("Reading the file"), func(ctx context.Context, store *storage.Store) (l looked, _ error) {
		l.err = reading(ctx, stop, path, func(ctx context.Context, file *os.File) (err error) {
			l.preview, err = store.PreviewCSV(ctx, file, opt)
			return err
		})
		return l, nil
	}, func(l looked) {
		v.end()
		v.preview = l.preview
		v.columns.showFault(l.err)
		v.lay()
	})
}

// reading opens a file for work that ends with either context.
func reading(ctx, stop context.Context, path string, work func(context.Context, *os.File) error) error {
	file, err := csvread.OpenFile(path)
	if err != nil {
		return err
	}
	defer file.Close()
	ctx, cancel := eitherEnds(ctx, stop)
	defer cancel()
	return work(ctx, file)
}

// lay shows the columns, and beside them counts, bad lines and the first good
// ones.
func (v *importView) lay() {
	if v.path == "" {
		v.said.SetSubtitle(say.L("Readings from a spreadsheet or another record"))
		v.accept.SetText(say.L("Accept"))
		v.accept.Disable()
		v.about.Show()
		v.body.Objects = []fyne.CanvasObject{
			widgets.NewEmpty(
				say.L("No file chosen"),
				say.L("Choose a file; you say what its columns hold, every line is checked, and you decide then."),
			),
		}
		v.body.Refresh()
		return
	}
	p := v.preview
	v.said.SetSubtitle(
		say.F(
			"%s: %s, %s, %s",
			v.name(),
			say.N(p.Good(), "%d readings can be taken"),
			say.N(p.BadLines, "%d lines are wrong"),
			say.N(p.Duplicates, "%d are in the ledger already"),
		),
	)
	v.accept.SetText(say.N(p.Good(), "Accept %d readings"))
	v.accept.Enable()
	if v.writing {
		v.accept.Disable()
	}
	v.about.Hide()
	v.table.SetRows(v.rows())
	if n, ok := v.table.Current(); ok {
		v.showWhole(n)
	}
	v.body.Objects = []fyne.CanvasObject{widgets.NewSides(v.columns.object(), container.NewBorder(nil, v.detail, nil, nil, v.table), 0.42)}
	v.content.Refresh()
}

// showWhole writes out the row under the cursor, which the table may cut.
func (v *importView) showWhole(n int) {
	var parts []string
	for _, row := range v.table.Rows() {
		if row.ID == n && !row.Group {
			for _, c := range row.Cells[2:] {
				parts = append(parts, c.Text)
			}
		}
	}
	v.detail.SetText(strings.Join(slices.DeleteFunc(parts, func(s string) bool { return s == "" }), ": "))
}

func (v *importView) rows() []widgets.Row {
	var rows []widgets.Row
	add := func(cells ...widgets.Cell) { rows = append(rows, widgets.Row{ID: len(rows), Cells: cells}) }
	p := v.preview
	if len(p.Faults) > 0 {
		rows = append(rows, widgets.GroupRow(say.L("Wrong: these lines are left out")))
	}
	for _, f := range p.Faults {
		add(
			widgets.Cell{Text: fmt.Sprint(f.Line)},
			widgets.Cell{Text: f.Column},
			widgets.Cell{Text: say.L(f.Problem)},
			widgets.Cell{Text: say.L(f.Remedy)},
		)
	}
	if len(p.Faults) == csvread.MostFaults {
		rows = append(rows, widgets.GroupRow(say.N(p.BadLines, "and more: %d lines are wrong in all")))
	}
	if len(p.Slips) > 0 {
		rows = append(rows, widgets.GroupRow(say.N(p.SlipCount, "Look at these: %d values may be slips. They are taken as they stand.")))
	}
	for _, r := range p.Slips {
		add(
			widgets.Cell{Text: fmt.Sprint(r.Line)},
			widgets.Cell{},
			widgets.Cell{Text: v.written(r.Reading)},
			widgets.Cell{Text: say.L(r.Says())},
		)
	}
	if len(p.Rows) > 0 {
		rows = append(rows, widgets.GroupRow(say.L("What would be taken")))
	}
	for _, r := range p.Rows {
		text := v.written(r.Reading)
		remark := ""
		if r.Duplicate {
			remark = say.L("in the ledger already, skipped")
		}
		add(
			widgets.Cell{Text: fmt.Sprint(r.Line)},
			widgets.Cell{},
			widgets.Cell{Text: text, Quiet: r.Duplicate},
			widgets.Cell{Text: remark, Quiet: true},
		)
	}
	if more := p.Readings - len(p.Rows); more > 0 {
		rows = append(rows, widgets.GroupRow(say.N(more, "and %d more")))
	}
	return rows
}

// written is a reading of the file, as it has it.
func (v *importView) written(r tanks.Reading) string {
	code := ""
	for _, s := range v.loaded.systems {
		if s.ID == r.System {
			code = s.Code
		}
	}
	return say.F("%s, %s, %s %s %s", words.Moment(r.At.In(v.session.Zone)), code, r.Analyte, r.Typed, r.Unit)
}

// accepted takes the good lines over; where values may be slips it asks first.
func (v *importView) accepted() {
	if n := v.preview.SlipCount; n > 0 && !v.writing {
		widgets.ShowQuestion(
			v.session.Window,
			say.L("Take possible slips as they stand?"),
			say.N(n,
				"%d values may be slips of the decimal point; they are listed first. To correct them, correct the file and choose it again."),
			say.L("Take them"),
			v.write,
		)
		return
	}
	v.write()
}

// write takes the good lines over, in one transaction.
func (v *importView) write() {
	if v.preview.Good() == 0 {
		v.session.Say(
			session.Notice{
				Title: say.L("There is nothing to accept"),
				Text:  say.L("Choose a file first, or correct the lines that are wrong and choose it again."),
			},
		)
		return
	}
	if v.writing {
		return
	}
	stop := v.begin(say.L("Importing"))
	path, opt := v.path, v.options()
	var in storage.Imported
	v.setWriting(true)
	v.session.Try(func(ctx context.Context, store *storage.Store) error {
		return reading(ctx, stop, path, func(ctx context.Context, file *os.File) (err error) {
			in, err = store.ImportCSV(ctx, file, opt)
			return err
		})
	}, func(err error) {
		stopped := err != nil && stop.Err() != nil
		v.end()
		v.setWriting(false)
		v.told(in, err, stopped)
		v.lay()
	})
}

// setWriting lets no other file be chosen and nothing be accepted while an import
// goes on.
func (v *importView) setWriting(on bool) {
	v.writing = on
	if on {
		v.choose.Disable()
		v.accept.Disable()
		return
	}
	v.choose.Enable()
	v.accept.Enable()
}

// told says how an import ended. What was refused or stopped can be accepted
// again.
func (v *importView) told(in storage.Imported, err error, stopped bool) {
	switch {
	case stopped:
		v.session.Say(session.Notice{Title: say.L("Stopped"), Text: say.F("Nothing of %s was taken; the ledger is as it was.", v.name())})
	case err != nil:
		v.session.Say(
			session.Notice{
				Title: say.F("Importing %s: not done", v.name()),
				Text:  say.F("%s\nNothing of it was taken; the ledger is as it was.", say.Of(err)),
				Bad:   true,
			},
		)
	default:
		v.session.Say(
			session.Notice{
				Title: say.N(in.Readings, "Saved %d readings"),
				Text:  say.L("They are in the ledger and in the trends. Undo takes them all back."),
				Do:    say.L("Undo"),
				Then:  v.session.Undo,
			},
		)
		v.preview, v.path = storage.Preview{}, ""
	}
}
