package setup

import (
	"context"
	"fmt"
	"io"
	"path/filepath"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	fynestorage "fyne.io/fyne/v2/storage"

	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/storage"
)

// importHelp says what a file must look like.
const importHelp = "A CSV file with a heading line and the columns time, system, analyte, value, unit, method; person and note may follow. " +
	"Time is 2026-03-10 09:20 in the room's zone, or with an offset. System is the code. Value may be 8,3 or 8.3 or <0.02. An empty unit means the one shown in this program. " +
	"Commas, semicolons and tabs divide columns. Nothing is written before you accept."

// importView shows what a file holds before any of it is written.
type importView struct {
	session *session.Session
	loaded  *loaded
	loader  session.Loader
	preview storage.Preview
	file    string
	choose  *widgets.Button
	accept  *widgets.Button
	said    *widgets.Heading
	table   *widgets.Table
	body    *fyne.Container
	content fyne.CanvasObject
}

func newImportView(s *session.Session) *importView {
	v := &importView{session: s, said: widgets.NewHeading("Import readings", ""), body: container.NewStack()}
	v.choose = widgets.NewPrimary("Choose a file", v.ask)
	v.accept = widgets.NewSecondary("Accept", v.write)
	v.table = widgets.NewTable([]widgets.Column{{Title: "Line", Width: 60, Align: fyne.TextAlignTrailing}, {Title: "Column", Width: 90}, {Title: "What", Weight: 3}, {Title: "What to do", Weight: 2}})
	v.content = container.NewBorder(container.NewVBox(v.said, widgets.NewWrapped(importHelp), container.NewHBox(v.choose, v.accept)), nil, nil, nil, v.body)
	return v
}

func (v *importView) object() fyne.CanvasObject { return v.content }

func (v *importView) focus() fyne.Focusable { return v.choose }

func (v *importView) show(l *loaded) {
	v.loaded = l
	v.lay()
}

// ask lets the person choose a file.
func (v *importView) ask() {
	d := dialog.NewFileOpen(func(file fyne.URIReadCloser, err error) {
		if err != nil || file == nil {
			return
		}
		v.look(filepath.Base(file.URI().Path()), file)
	}, v.session.Window)
	d.SetFilter(fynestorage.NewExtensionFileFilter([]string{".csv", ".txt", ".tsv"}))
	size := v.session.Window.Canvas().Size()
	d.Resize(fyne.NewSize(size.Width*0.8, size.Height*0.8))
	d.Show()
}

// look reads the file in the background and shows what it holds.
func (v *importView) look(name string, file io.ReadCloser) {
	v.file = name
	v.said.SetSubtitle("Reading " + name + " ...")
	session.Load(v.session, &v.loader, func(ctx context.Context) (storage.Preview, error) {
		defer file.Close()
		return v.session.Store.PreviewCSV(ctx, file, storage.CSVOptions{Zone: v.session.Zone, Person: v.session.Person})
	}, func(p storage.Preview, err error) {
		v.preview = storage.Preview{}
		if err != nil {
			v.file = ""
			v.lay()
			v.session.Fail("Reading "+name, err)
			return
		}
		v.preview = p
		v.lay()
	})
}

// lay shows counts, then bad lines, then the first good ones.
func (v *importView) lay() {
	if v.file == "" {
		v.said.SetSubtitle("Readings from a spreadsheet or another record")
		v.accept.SetText("Accept")
		v.body.Objects = []fyne.CanvasObject{widgets.NewEmpty("No file chosen", "Choose a file; it is read and every line is checked, and you decide then.")}
		v.body.Refresh()
		return
	}
	good := v.preview.Good()
	v.said.SetSubtitle(fmt.Sprintf("%s: %d can be taken, %d lines are wrong, %d are in the ledger already", v.file, good, v.badLines(), v.preview.Duplicates))
	v.accept.SetText(fmt.Sprintf("Accept %d readings", good))
	v.table.SetRows(v.rows())
	v.body.Objects = []fyne.CanvasObject{v.table}
	v.body.Refresh()
}

func (v *importView) badLines() int {
	lines := map[int]bool{}
	for _, f := range v.preview.Faults {
		lines[f.Line] = true
	}
	return len(lines)
}

// mostShown bounds the good lines of the preview; every bad one is shown.
const mostShown = 200

func (v *importView) rows() []widgets.Row {
	var rows []widgets.Row
	add := func(cells ...widgets.Cell) { rows = append(rows, widgets.Row{ID: len(rows), Cells: cells}) }
	if len(v.preview.Faults) > 0 {
		rows = append(rows, widgets.GroupRow("Wrong: these lines are left out"))
	}
	for _, f := range v.preview.Faults {
		add(widgets.Cell{Text: fmt.Sprint(f.Line)}, widgets.Cell{Text: f.Column}, widgets.Cell{Text: f.Problem}, widgets.Cell{Text: f.Remedy})
	}
	if len(v.preview.Rows) > 0 {
		rows = append(rows, widgets.GroupRow("What would be taken"))
	}
	codes := map[int64]string{}
	for _, s := range v.loaded.systems {
		codes[int64(s.ID)] = s.Code
	}
	for n, r := range v.preview.Rows {
		if n == mostShown {
			rows = append(rows, widgets.GroupRow(fmt.Sprintf("and %d more", len(v.preview.Rows)-mostShown)))
			break
		}
		text := fmt.Sprintf("%s, %s, %s %s, %s", r.Reading.At.In(v.session.Zone).Format("2006-01-02 15:04"), codes[int64(r.Reading.System)], r.Reading.Analyte, r.Reading.Typed, r.Reading.Unit)
		remark := ""
		if r.Duplicate {
			remark = "in the ledger already, skipped"
		}
		add(widgets.Cell{Text: fmt.Sprint(r.Line)}, widgets.Cell{}, widgets.Cell{Text: text, Quiet: r.Duplicate}, widgets.Cell{Text: remark, Quiet: true})
	}
	return rows
}

// write takes the good lines over, in one transaction.
func (v *importView) write() {
	if v.preview.Good() == 0 {
		v.session.Say(session.Notice{Title: "There is nothing to accept", Text: "Choose a file first, or correct the lines that are wrong and choose it again."})
		return
	}
	taken := 0
	v.session.Act("Importing "+v.file, func(ctx context.Context) (err error) {
		taken, err = v.session.Store.AcceptCSV(ctx, v.preview)
		return err
	}, func() {
		v.session.Say(session.Notice{Title: fmt.Sprintf("Saved %d readings", taken), Text: "They are in the ledger and in the trends."})
		v.preview, v.file = storage.Preview{}, ""
		v.lay()
	})
}
