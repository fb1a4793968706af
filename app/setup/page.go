// Package setup is where a room is described: its name, systems, profiles
// with bands, methods, tasks, and readings that come from elsewhere.
package setup

import (
	"context"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/storage"
	"weirkeeper/storage/csvread"
	"weirkeeper/tanks"
	"weirkeeper/tasks"
)

// section is one tab: it shows what was loaded.
type section interface {
	object() fyne.CanvasObject
	show(l *loaded)
	focus() fyne.Focusable
}

// loaded is what the sections show.
type loaded struct {
	room     tanks.Room
	systems  []tanks.System
	profiles []tanks.Profile
	methods  []tanks.Method
	tasks    []tasks.Task
	products []tanks.Product
	people   []tanks.Person
	maps     []csvread.ColumnMap
}

// bare tells whether the room has nothing to start from yet.
func (l *loaded) bare() bool {
	return len(l.profiles) == 0 && len(l.methods) == 0 && len(l.products) == 0
}

// profile returns the profile of an id.
func (l *loaded) profile(id tanks.ProfileID) tanks.Profile {
	for _, p := range l.profiles {
		if p.ID == id {
			return p
		}
	}
	return tanks.Profile{}
}

// Page holds the sections.
type Page struct {
	widget.BaseWidget
	session  *session.Session
	loader   session.Loader
	chosen   session.Section
	tabs     *widgets.Tabs[session.Section]
	sections map[session.Section]section
	room     *roomView
	systems  *systemsView
	profiles *profilesView
	imports  *importView
	asksNew  bool // the form of a new record opens when the section is shown
	draft    *session.Draft
	drafted  bool // it has been read
	start    *fyne.Container
	body     *fyne.Container
	content  fyne.CanvasObject
}

// New builds the page; it is empty until Visit.
func New(s *session.Session) *Page {
	p := &Page{
		session: s,
		chosen:  session.SetupSystems,
		body:    container.NewStack(),
		start:   container.NewVBox(),
		systems: newSystemsView(s),
		imports: newImportView(s),
	}
	p.draft = session.NewDraft(s, draftName, say.L("Keeping what you typed"), p.unsaved)
	p.room, p.profiles = newRoomView(s, p.draft.Keep), newProfilesView(s, p.draft.Keep)
	p.sections = map[session.Section]section{
		session.SetupRoom: p.room, session.SetupSystems: p.systems, session.SetupProfiles: p.profiles, session.SetupMethods: newMethodsView(s),
		session.SetupTasks: newTasksView(
			s,
		), session.SetupPeople: newPeopleView(s), session.SetupImport: p.imports, session.SetupBackups: newBackupsView(s), session.SetupPreferences: newPreferencesView(s),
	}
	p.tabs = widgets.NewTabs(widgets.TabsOf(session.Setup.Sections()), p.choose)
	p.content = container.NewBorder(
		container.NewVBox(widgets.NewHeading(say.L("Setup"), say.L("The room and everything that belongs to it")), p.tabs, p.start),
		nil,
		nil,
		nil,
		p.body,
	)
	p.ExtendBaseWidget(p)
	return p
}

// CreateRenderer implements fyne.Widget.
func (p *Page) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(p.content) }

// FirstFocus puts the keyboard into the open section.
func (p *Page) FirstFocus() fyne.Focusable { return p.sections[p.chosen].focus() }

// choose opens another section.
func (p *Page) choose(chosen session.Section) {
	_ = p.Commit() // it never refuses
	p.chosen = chosen
	p.Reload()
}

// Visit opens the route's section.
func (p *Page) Visit(r session.Route) {
	if _, ok := p.sections[r.Section]; ok {
		p.chosen = r.Section
	}
	p.tabs.Select(p.chosen)
	p.asksNew = r.New
	p.Reload()
	if !p.drafted {
		p.drafted = true
		p.readDraft()
	}
}

// Commit keeps what was typed and not saved, and says so. It never refuses.
func (p *Page) Commit() error {
	open, ok := p.sections[p.chosen].(interface {
		waiting() (session.Notice, bool)
	})
	if !ok {
		return nil
	}
	notice, waits := open.waiting()
	p.draft.Flush()
	if !waits {
		return nil
	}
	notice.Do, notice.Then = say.L("Go to it"), p.goTo(p.chosen)
	// It is said when all that was typed is kept, which is after the way out of
	// here has cleared what was said before.
	p.session.Act(
		say.L("Keeping what you typed"),
		func(context.Context, *storage.Store) error { return nil },
		func() { p.session.Say(notice) },
	)
	return nil
}

// UndoEdit takes the last edit of the bands back; false: there is none.
func (p *Page) UndoEdit() bool {
	return p.chosen == session.SetupProfiles && p.profiles.grid.UndoEdit()
}

// RedoEdit puts it back.
func (p *Page) RedoEdit() bool {
	return p.chosen == session.SetupProfiles && p.profiles.grid.RedoEdit()
}

// goTo returns what leads to a section.
func (p *Page) goTo(section session.Section) func() {
	return func() { p.session.Go(session.Route{Place: session.Setup, Section: section}) }
}

// Save saves what the open section edits, if it edits anything by itself.
func (p *Page) Save() {
	if open, ok := p.sections[p.chosen].(interface{ save() }); ok {
		open.save()
	}
}

// LookAt shows what a CSV file holds; nothing is written before it is accepted.
func (p *Page) LookAt(path string) { p.imports.open(path) }

// Reload reads everything anew.
func (p *Page) Reload() {
	session.Load(p.session, &p.loader, say.L("Reading the set-up"), fetch, func(l *loaded) {
		p.start.Objects = nil
		if l.bare() {
			p.start.Objects = []fyne.CanvasObject{p.offerStart()}
		}
		p.start.Refresh()
		open := p.sections[p.chosen]
		open.show(l)
		p.body.Objects = []fyne.CanvasObject{open.object()}
		p.body.Refresh()
		p.askNew(open)
	})
}

// adder is a section with a form for new records.
type adder interface{ add() }

// askNew opens the form for a new record when the route asked for it.
func (p *Page) askNew(open section) {
	asked := p.asksNew
	p.asksNew = false
	if to, ok := open.(adder); ok && asked {
		to.add()
	}
}

func fetch(ctx context.Context, store *storage.Store) (l *loaded, err error) {
	l = &loaded{}
	if l.room, err = store.Room(ctx); err != nil {
		return nil, err
	}
	if l.systems, err = store.Systems(ctx); err != nil {
		return nil, err
	}
	if l.profiles, err = store.Profiles(ctx); err != nil {
		return nil, err
	}
	if l.methods, err = store.Methods(ctx); err != nil {
		return nil, err
	}
	if l.tasks, err = store.Tasks(ctx); err != nil {
		return nil, err
	}
	if l.products, err = store.Products(ctx); err != nil {
		return nil, err
	}
	if l.people, err = store.People(ctx); err != nil {
		return nil, err
	}
	l.maps, err = store.ColumnMaps(ctx)
	return l, err
}

// offerStart offers what a new room can begin with.
func (p *Page) offerStart() fyne.CanvasObject {
	return widgets.NewNotice(
		say.L("A new room"),
		say.L(
			"Start with profiles for the usual kinds of system (bands, test intervals and chores), methods by technique, and products by "+
				"compound. "+
				"They are common practice without a source: look them over and adapt them. Then add your systems.",
		),
		false,
		widgets.Action{
			Text: say.L("Put them in"),
			Do:   p.putStart,
		},
		widgets.Action{Text: say.L("Add a system"), Do: func() { p.systems.edit(tanks.System{}) }},
	)
}

func (p *Page) putStart() {
	set := startingSet(p.session.Clock())
	p.session.Act(
		say.L("Putting in the starting set"),
		func(ctx context.Context, store *storage.Store) error { return store.SaveStart(ctx, set) },
		func() {
			p.session.Say(
				session.Notice{
					Title: say.L("Saved"),
					Text:  say.L("Profiles, chores, methods and products are in the ledger. Next: add your systems."),
					Do:    say.L("Add a system"),
					Then:  func() { p.systems.edit(tanks.System{}) },
				},
			)
		},
	)
}

// midnight is the beginning of today in the room's zone.
func midnight(s *session.Session) time.Time {
	now := s.Now()
	return time.Date(now.Year(), now.Month(), now.Day(), 0, 0, 0, 0, s.Zone)
}

// saySaved says that something of that name is in the ledger.
func saySaved(s *session.Session, name string) {
	s.Say(session.Notice{Title: say.L("Saved"), Text: say.F("%s is in the ledger.", name)})
}
