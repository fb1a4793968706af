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
	"weirkeeper/storage"
	"weirkeeper/tanks"
)

// Page asks for system, period and folder, and shows what will be in it.
type Page struct {
	widget.BaseWidget
	session *session.Session
	loader  session.Loader
	systems []tanks.System
	system  *widgets.Choice[tanks.SystemID]
	from    *widgets.DateEntry
	to      *widgets.DateEntry
	folder  *widgets.TextEntry
	form    *widgets.Form
	preview *widgets.Table
	said    *widgets.Heading
	body    *fyne.Container
	filled  fyne.CanvasObject
	content fyne.CanvasObject
	writing bool // an export is under way
}

// New builds the page; it is empty until Visit.
func New(s *session.Session) *Page {
	p := &Page{session: s, body: container.NewStack(), said: widgets.NewHeading(say.L("What it will hold"), "")}
	p.system = widgets.NewChoice[tanks.SystemID](nil, 0)
	p.system.OnChanged = func(tanks.SystemID) { p.systemChosen() }
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
func (p *Page) Reload() { p.load(p.system.Value()) }

func (p *Page) load(want tanks.SystemID) {
	session.Load(p.session, &p.loader, say.L("Reading the systems"), func(ctx context.Context, store *storage.Store) ([]tanks.System, error) {
		return store.Systems(ctx)
	}, func(systems []tanks.System) { p.fill(systems, want) })
}

func (p *Page) fill(systems []tanks.System, want tanks.SystemID) {
	p.systems = systems
	if len(systems) == 0 {
		p.body.Objects = []fyne.CanvasObject{widgets.NewEmpty(say.L("No system yet"), say.L("A handover is the history of a system. Add the first one in Setup."),
			widgets.Action{Text: say.L("Add a system"), Do: func() { p.session.Go(session.Route{Place: session.Setup, Section: session.SetupSystems}) }})}
		p.body.Refresh()
		return
	}
	options := make([]widgets.Option[tanks.SystemID], len(systems))
	for n, s := range systems {
		options[n] = widgets.Option[tanks.SystemID]{Value: s.ID, Name: s.Label()}
	}
	p.system.SetOptions(options)
	if _, ok := p.system.Selected(); !ok {
		p.system.SetSelected(systems[0].ID)
	}
	p.system.SetSelected(want)
	p.body.Objects = []fyne.CanvasObject{p.filled}
	p.body.Refresh()
	p.look()
}

func (p *Page) chosen() (tanks.System, bool) {
	id, ok := p.system.Selected()
	for _, s := range p.systems {
		if ok && s.ID == id {
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
	session.Load(p.session, &p.loader, say.L("Looking at the history"), func(ctx context.Context, store *storage.Store) (dossier.History, error) {
		return record(ctx, store, dossier.History{System: s, From: from, To: to})
	}, p.showPreview)
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
	if p.writing {
		return
	}
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
	p.write(folder, asked{
		room: p.session.Room, system: s, from: from, to: to, made: p.session.Clock(), zone: p.session.Zone, prefs: p.session.Prefs, language: p.session.Language(),
	})
}

// write writes the package as long as nobody stops it.
func (p *Page) write(folder string, q asked) {
	p.writing = true
	store := p.session.Store
	ctx, work := p.session.Working.Begin(say.F("Writing the history of %s", q.system.Code), true)
	var written []string
	p.session.Runner.Run(ctx, func(ctx context.Context) error {
		h, err := gather(ctx, store, q, func(share float64) { work.Set(share * shareGather) })
		if err != nil {
			return err
		}
		written, err = dossier.WritePackage(folder, h)
		return err
	}, func(err error) {
		stopped := ctx.Err() != nil
		work.End()
		p.writing = false
		switch {
		case err == nil:
			p.session.Say(session.Notice{Title: say.F("Written: %d files", len(written)), Text: strings.Join(written, "\n")})
		case stopped:
			p.session.Say(session.Notice{Title: say.L("The export was stopped"), Text: say.L("No file was written.")})
		default:
			p.session.NotDone(say.L("Writing the handover"), err)
		}
	})
}

// shareGather is the part of the time that reading takes; the rest goes into the
// files.
const shareGather = 0.6
