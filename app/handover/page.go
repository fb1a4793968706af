// Package handover exports the history of one system for whoever takes it
// over: a PDF, a CSV and a manifest with SHA-256 sums.
package handover

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/dossier"
	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/tanks"
)

// Page asks for system, period and folder, and shows what will be in it.
type Page struct {
	widget.BaseWidget
	session *session.Session
	loader  session.Loader
	systems []tanks.System
	system  *widgets.Choice
	from    *widgets.DateEntry
	to      *widgets.DateEntry
	folder  *widgets.TextEntry
	form    *widgets.Form
	preview *widgets.Table
	said    *widgets.Heading
	body    *fyne.Container
	filled  fyne.CanvasObject
	content fyne.CanvasObject
}

// New builds the page; it is empty until Visit.
func New(s *session.Session) *Page {
	p := &Page{session: s, body: container.NewStack(), said: widgets.NewHeading(say.L("What it will hold"), "")}
	p.system = widgets.NewChoice(nil, "")
	p.system.OnChanged = func(string) { p.systemChosen() }
	p.from = widgets.NewDateEntry(time.Time{}, s.Zone, s.Clock)
	p.to = widgets.NewDateEntry(s.Now(), s.Zone, s.Clock)
	p.from.OnChanged = func(time.Time, bool) { p.look() }
	p.to.OnChanged = func(time.Time, bool) { p.look() }
	p.folder = widgets.NewTextEntry(usualFolder())
	p.form = widgets.NewForm(
		widgets.Field{Name: "system", Label: say.L("System"), Input: p.system},
		widgets.Field{Name: "from", Label: say.L("From"), Input: p.from, Help: say.L("The first day. It starts with the day the system was opened.")},
		widgets.Field{Name: "to", Label: say.L("To"), Input: p.to, Help: say.L("The last day, usually today.")},
		widgets.Field{Name: "folder", Label: say.L("Folder"), Input: p.folder, Help: say.L("A folder of its own is made inside it.")},
	)
	p.preview = widgets.NewTable([]widgets.Column{{Title: say.L("Part"), Weight: 2}, {Title: say.L("Entries"), Width: 80, Align: fyne.TextAlignTrailing}, {Title: say.L("Remark"), Weight: 4}})
	buttons := widgets.NewBar(widgets.NewPrimary(say.L("Export PDF, CSV and manifest"), p.export).With(look.IconExport), widgets.NewSecondary(say.L("Choose the folder"), p.chooseFolder).With(look.IconOpen))
	left := container.NewVBox(p.form, buttons, widgets.NewWrapped(say.L("The export states what was amended or withdrawn. Check the receiver's need before you give away names and notes.")))
	split := widgets.NewSides(widgets.NewScrolled(left), container.NewBorder(p.said, nil, nil, nil, p.preview), 0.42)
	p.filled = split
	p.content = container.NewBorder(widgets.NewHeading(say.L("Handover"), say.L("The honest history of one system, for a buyer or for your own files.")), nil, nil, nil, p.body)
	p.ExtendBaseWidget(p)
	return p
}

// usualFolder is the documents folder, else the home folder.
func usualFolder() string {
	home, err := os.UserHomeDir()
	if err != nil {
		return ""
	}
	if documents := filepath.Join(home, "Documents"); isFolder(documents) {
		return documents
	}
	return home
}

func isFolder(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.IsDir()
}

// CreateRenderer implements fyne.Widget.
func (p *Page) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(p.content) }

// FirstFocus puts the keyboard on the system.
func (p *Page) FirstFocus() fyne.Focusable {
	return widgets.IfShown(p.body, p.filled, p.system)
}

// Visit chooses the route's system.
func (p *Page) Visit(r session.Route) { p.load(r.System) }

// Reload reads the systems and the counts anew.
func (p *Page) Reload() {
	id := tanks.SystemID(0)
	if s, ok := p.chosen(); ok {
		id = s.ID
	}
	p.load(id)
}

func (p *Page) load(want tanks.SystemID) {
	session.Load(p.session, &p.loader, func(ctx context.Context) ([]tanks.System, error) {
		return p.session.Store.Systems(ctx)
	}, func(systems []tanks.System, err error) {
		if err != nil {
			p.session.Fail(say.L("Reading the systems"), err)
			return
		}
		p.fill(systems, want)
	})
}

func (p *Page) fill(systems []tanks.System, want tanks.SystemID) {
	p.systems = systems
	if len(systems) == 0 {
		p.body.Objects = []fyne.CanvasObject{widgets.NewEmpty(say.L("No system yet"), say.L("A handover is the history of a system. Add the first one in Setup."),
			widgets.Action{Text: say.L("Add a system"), Do: func() { p.session.Go(session.Route{Place: session.Setup, Section: "Systems"}) }})}
		p.body.Refresh()
		return
	}
	names := make([]string, len(systems))
	chosen := systems[0].Label()
	for n, s := range systems {
		names[n] = s.Label()
		if s.ID == want {
			chosen = s.Label()
		}
	}
	p.system.SetOptions(names)
	p.system.SetSelected(chosen)
	p.body.Objects = []fyne.CanvasObject{p.filled}
	p.body.Refresh()
	p.systemChosen()
}

func (p *Page) chosen() (tanks.System, bool) {
	for _, s := range p.systems {
		if s.Label() == p.system.Selected() {
			return s, true
		}
	}
	return tanks.System{}, false
}

// systemChosen starts the period with the system's first day.
func (p *Page) systemChosen() {
	if s, ok := p.chosen(); ok {
		p.from.SetTime(s.Opened)
		p.look()
	}
}

// period returns the chosen days as instants: the first day's beginning to the
// last day's end, never beyond now.
func (p *Page) period() (from, to time.Time, faults []widgets.Fault) {
	from, err := p.from.Time()
	if err != nil {
		faults = append(faults, widgets.Fault{Field: "from", Problem: say.Of(err)})
	}
	to, err = p.to.Time()
	if err != nil {
		faults = append(faults, widgets.Fault{Field: "to", Problem: say.Of(err)})
	}
	if len(faults) > 0 {
		return from, to, faults
	}
	to = to.AddDate(0, 0, 1)
	if now := p.session.Clock(); to.After(now) {
		to = now
	}
	if !from.Before(to) {
		faults = append(faults, widgets.Fault{Field: "to", Problem: say.L("The last day is before the first"), Remedy: say.L("correct one of the two")})
	}
	return from, to, faults
}

// look counts what the export will hold.
func (p *Page) look() {
	s, ok := p.chosen()
	from, to, faults := p.period()
	if !ok || len(faults) > 0 {
		return
	}
	var h dossier.History
	session.Load(p.session, &p.loader, func(ctx context.Context) (dossier.History, error) {
		h = dossier.History{System: s, From: from, To: to, Products: map[tanks.ProductID]tanks.Product{}}
		return h, record(ctx, p.session, &h)
	}, func(h dossier.History, err error) {
		if err != nil {
			p.session.Fail(say.L("Looking at the history"), err)
			return
		}
		p.showPreview(h)
	})
}

func (p *Page) showPreview(h dossier.History) {
	p.said.SetSubtitle(say.F("%s, %s to %s", h.System.Label(), h.From.In(p.session.Zone), h.To.In(p.session.Zone)))
	withdrawn, bounds := 0, 0
	for _, r := range h.Readings {
		if r.Status == tanks.Withdrawn {
			withdrawn++
		}
		if r.Limit != tanks.Exact {
			bounds++
		}
	}
	rows := []widgets.Row{
		part(say.L("Readings"), len(h.Readings), say.F("%d of them withdrawn, %d only bounds (< or >)", withdrawn, bounds)),
		part(say.L("Additions"), len(h.Additions), say.L("each with the change it made")),
		part(say.L("Water changes"), len(h.Changes), ""),
		part(say.L("Notes"), len(h.Observations), ""),
		part(say.L("Lab samples"), len(h.Samples), ""),
		part(say.L("Amendments"), len(h.Amendments), say.L("corrected and withdrawn entries, with their reasons")),
	}
	for n := range rows {
		rows[n].ID = n
	}
	p.preview.SetRows(rows)
}

func part(name string, count int, remark string) widgets.Row {
	return widgets.Row{Cells: []widgets.Cell{{Text: name}, {Text: fmt.Sprint(count)}, {Text: remark, Quiet: true}}}
}

func (p *Page) chooseFolder() {
	widgets.AskFolder(p.session.Window, p.folder.Text, p.folder.SetText)
}

// Save exports, as Ctrl+S does elsewhere.
func (p *Page) Save() { p.export() }

// export writes the package in the background and says where it is.
func (p *Page) export() {
	s, ok := p.chosen()
	from, to, faults := p.period()
	if !ok {
		faults = append(faults, widgets.Fault{Field: "system", Problem: say.L("No system is chosen"), Remedy: say.L("choose one of the list")})
	}
	folder := strings.TrimSpace(p.folder.Text)
	if !isFolder(folder) {
		faults = append(faults, widgets.Fault{Field: "folder", Problem: say.F("There is no folder %q", folder), Remedy: say.L("choose one that exists")})
	}
	p.form.ShowFaults(faults)
	if len(faults) > 0 {
		return
	}
	p.said.SetSubtitle(say.L("Writing ..."))
	var written []string
	of := *p.session // as it is now
	p.session.Runner.Run(func(ctx context.Context) error {
		h, err := gather(ctx, &of, s.ID, from, to)
		if err != nil {
			return err
		}
		written, err = dossier.WritePackage(folder, h)
		return err
	}, func(err error) {
		p.look()
		if err != nil {
			p.session.Fail(say.L("Writing the handover"), err)
			return
		}
		p.session.Say(session.Notice{Title: say.F("Written: %d files", len(written)), Text: strings.Join(written, "\n")})
	})
}
