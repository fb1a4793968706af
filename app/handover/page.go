// Package handover exports the history of one system for whoever takes it
// over: a PDF, a CSV and a manifest with SHA-256 sums.
package handover

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/documents"
	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
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
	p.folder = widgets.NewTextEntry("")
	p.form = widgets.NewForm(
		widgets.Field{Name: "system", Label: say.L("System"), Input: p.system},
		widgets.Field{Name: "from", Label: say.L("From"), Input: p.from,
			Help: say.L("The first day. It starts with the day the system was opened.")},
		widgets.Field{Name: "to", Label: say.L("To"), Input: p.to, Help: say.L("The last day, usually today.")},
		widgets.Field{Name: "folder", Label: say.L("Folder"), Input: p.folder, Help: say.L("A folder of its own is made inside it.")},
	)
	p.preview = widgets.NewTable([]widgets.Column{
		{Title: say.L("Part"), Width: 110}, {Title: say.L("Entries"), Width: 70, Align: fyne.TextAlignTrailing},
		{Title: say.L("Remark"), Weight: 1},
	})
	buttons := widgets.NewBar(widgets.NewPrimary(say.L("Export PDF, CSV and manifest"), p.export).With(look.IconExport),
		widgets.NewSecondary(say.L("Choose the folder"), p.chooseFolder).With(look.IconOpen))
	left := container.NewVBox(p.form, buttons, widgets.NewWrapped(say.L("The export states what was amended or withdrawn. "+
		"Check the receiver's need before you give away names and notes.")))
	p.filled = widgets.NewSides(widgets.NewScrolled(left), container.NewBorder(p.said, nil, nil, nil, p.preview), 0.42)
	heading := widgets.NewHeading(say.L("Handover"), say.L("The honest history of one system, for a buyer or for your own files."))
	p.content = container.NewBorder(heading, nil, nil, nil, p.body)
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

// found is what the page begins with.
type found struct {
	systems []tanks.System
	folder  string // where a handover usually goes
}

func (p *Page) load(want tanks.SystemID) {
	session.Load(p.session, &p.loader, say.L("Reading the systems"), func(ctx context.Context, store *storage.Store) (found, error) {
		systems, err := store.Systems(ctx)
		return found{systems, usualFolder()}, err
	}, func(f found) { p.fill(f, want) })
}

func (p *Page) fill(f found, want tanks.SystemID) {
	systems := f.systems
	p.systems = systems
	if p.folder.Text == "" {
		p.folder.SetText(f.folder)
	}
	if len(systems) == 0 {
		add := widgets.Action{Text: say.L("Add a system"), Do: func() {
			p.session.Go(session.Route{Place: session.Setup, Section: session.SetupSystems})
		}}
		p.body.Objects = []fyne.CanvasObject{
			widgets.NewEmpty(say.L("No system yet"), say.L("A handover is the history of a system. Add the first one in Setup."), add),
		}
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
	to = to.AddDate(0, 0, 1).Add(-time.Millisecond) // the ledger's resolution
	if now := p.session.Clock(); to.After(now) {
		to = now
	}
	if !from.Before(to) {
		problem, remedy := say.L("The last day is before the first"), say.L("correct one of the two")
		faults = append(faults, widgets.Fault{Field: "to", Problem: problem, Remedy: remedy})
	}
	return from, to, faults
}

// look counts what the export will hold.
func (p *Page) look() {
	s, ok := p.chosen()
	from, to, faults := p.period()
	switch {
	case !ok:
		return
	case len(faults) > 0:
		p.said.SetSubtitle(faults[0].Text())
		p.preview.SetRows(nil)
		return
	}
	read := func(ctx context.Context, store *storage.Store) (documents.History, error) {
		return record(ctx, store, documents.History{System: s, From: from, To: to})
	}
	session.Load(p.session, &p.loader, say.L("Looking at the history"), read, p.showPreview)
}

func (p *Page) showPreview(h documents.History) {
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
		part(say.L("Readings"), len(h.Readings), say.F("%d withdrawn, %d only bounds (< or >)", withdrawn, bounds)),
		part(say.L("Additions"), len(h.Additions), say.L("each with the change it made")),
		part(say.L("Water changes"), len(h.Changes), ""),
		part(say.L("Notes"), len(h.Observations), ""),
		part(say.L("Lab samples"), len(h.Samples), ""),
		part(say.L("Amendments"), len(h.Amendments), say.L("what was corrected or withdrawn, and why")),
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
		problem, remedy := say.L("No system is chosen"), say.L("choose one of the list")
		faults = append(faults, widgets.Fault{Field: "system", Problem: problem, Remedy: remedy})
	}
	p.form.ShowFaults(faults)
	if len(faults) > 0 {
		return
	}
	p.write(strings.TrimSpace(p.folder.Text), asked{
		room: p.session.Room, system: s, from: from, to: to, made: p.session.Clock(), zone: p.session.Zone,
		prefs: p.session.Prefs, language: p.session.Language(),
	})
}

// write writes the package as long as nobody stops it.
func (p *Page) write(folder string, q asked) {
	p.writing = true
	store := p.session.Store
	ctx, work := p.session.Working.Begin(say.F("Writing the history of %s", q.system.Code), true)
	var written []string
	p.session.Runner.Run(ctx, func(ctx context.Context) error {
		if !isFolder(folder) {
			return errNoFolder
		}
		h, err := gather(ctx, store, q, func(share float64) { work.Set(share * shareGather) })
		if err != nil {
			return err
		}
		written, err = documents.WritePackage(ctx, folder, h, func(share float64) { work.Set(shareGather + share*(1-shareGather)) })
		return err
	}, func(err error) {
		stopped := ctx.Err() != nil
		work.End()
		p.writing = false
		switch {
		case err == nil:
			p.session.Say(session.Notice{Title: say.F("Written: %d files", len(written)), Text: strings.Join(written, "\n")})
		case errors.Is(err, errNoFolder):
			problem, remedy := say.F("There is no folder %q", folder), say.L("choose one that exists")
			p.form.ShowFaults([]widgets.Fault{{Field: "folder", Problem: problem, Remedy: remedy}})
		case stopped:
			p.session.Say(session.Notice{Title: say.L("The export was stopped"), Text: say.L("No file was written.")})
		default:
			p.session.NotDone(say.L("Writing the handover"), err)
		}
	})
}

// errNoFolder tells that a handover cannot go where it was wanted.
var errNoFolder = words.New("there is no such folder")

// shareGather is the part of the time that reading takes; the rest goes into the
// files.
const shareGather = 0.6
