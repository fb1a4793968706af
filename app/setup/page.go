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
	"weirkeeper/assets/words"
	"weirkeeper/storage/csvread"
	"weirkeeper/tanks"
	"weirkeeper/tasks"
)

// Sections of the page.
const (
	roomSection     words.Text = "Room"
	systemsSection  words.Text = "Systems"
	profilesSection words.Text = "Profiles"
	methodsSection  words.Text = "Methods"
	tasksSection    words.Text = "Tasks"
	peopleSection   words.Text = "People"
	importSection   words.Text = "Import"
	backupsSection  words.Text = "Backups"
	prefsSection    words.Text = "Preferences"
)

// Sections lists the sections in their order.
func Sections() []words.Text {
	return []words.Text{
		roomSection, systemsSection, profilesSection, methodsSection, tasksSection, peopleSection, importSection, backupsSection, prefsSection,
	}
}

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
	chosen   words.Text
	tabs     *widgets.Tabs
	sections map[words.Text]section
	profiles *profilesView
	imports  *importView
	start    *fyne.Container
	body     *fyne.Container
	content  fyne.CanvasObject
}

// New builds the page; it is empty until Visit.
func New(s *session.Session) *Page {
	p := &Page{session: s, chosen: systemsSection, body: container.NewStack(), start: container.NewVBox(), profiles: newProfilesView(s), imports: newImportView(s)}
	p.sections = map[words.Text]section{
		roomSection: newRoomView(s), systemsSection: newSystemsView(s), profilesSection: p.profiles, methodsSection: newMethodsView(s),
		tasksSection: newTasksView(s), peopleSection: newPeopleView(s), importSection: p.imports, backupsSection: newBackupsView(s), prefsSection: newPreferencesView(s),
	}
	p.tabs = widgets.NewTabs(Sections(), func(name words.Text) {
		if p.Commit() != nil {
			p.tabs.Select(p.chosen)
			return
		}
		p.chosen = name
		p.Reload()
	})
	p.content = container.NewBorder(container.NewVBox(widgets.NewHeading(say.L("Setup"), say.L("The room and everything that belongs to it")), p.tabs, p.start), nil, nil, nil, p.body)
	p.ExtendBaseWidget(p)
	return p
}

// CreateRenderer implements fyne.Widget.
func (p *Page) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(p.content) }

// FirstFocus puts the keyboard into the open section.
func (p *Page) FirstFocus() fyne.Focusable { return p.sections[p.chosen].focus() }

// Visit opens the route's section.
func (p *Page) Visit(r session.Route) {
	if _, ok := p.sections[r.Section]; ok {
		p.chosen = r.Section
	}
	p.tabs.Select(p.chosen)
	p.Reload()
}

// Commit saves the bands being edited; an error says what is wrong with them.
func (p *Page) Commit() error { return p.profiles.commit() }

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
	session.Load(p.session, &p.loader, func(ctx context.Context) (*loaded, error) { return fetch(ctx, p.session) }, func(l *loaded, err error) {
		if err != nil {
			p.session.Fail(say.L("Reading the set-up"), err)
			return
		}
		p.start.Objects = nil
		if l.bare() {
			p.start.Objects = []fyne.CanvasObject{p.offerStart()}
		}
		p.start.Refresh()
		open := p.sections[p.chosen]
		open.show(l)
		p.body.Objects = []fyne.CanvasObject{open.object()}
		p.body.Refresh()
	})
}

func fetch(ctx context.Context, s *session.Session) (l *loaded, err error) {
	l = &loaded{}
	if l.room, err = s.Store.Room(ctx); err != nil {
		return nil, err
	}
	if l.systems, err = s.Store.Systems(ctx); err != nil {
		return nil, err
	}
	if l.profiles, err = s.Store.Profiles(ctx); err != nil {
		return nil, err
	}
	if l.methods, err = s.Store.Methods(ctx); err != nil {
		return nil, err
	}
	if l.tasks, err = s.Store.Tasks(ctx); err != nil {
		return nil, err
	}
	if l.products, err = s.Store.Products(ctx); err != nil {
		return nil, err
	}
	if l.people, err = s.Store.People(ctx); err != nil {
		return nil, err
	}
	l.maps, err = s.Store.ColumnMaps(ctx)
	return l, err
}

// offerStart offers what a new room can begin with.
func (p *Page) offerStart() fyne.CanvasObject {
	return widgets.NewNotice(say.L("A new room"), say.L("Start with profiles for the usual kinds of system (bands, test intervals and chores), methods by technique, and products by compound. "+
		"They are common practice without a source: look them over and adapt them. Then add your systems."), false,
		widgets.Action{Text: say.L("Put them in"), Do: p.putStart}, widgets.Action{Text: say.L("Add a system"), Do: func() { p.sections[systemsSection].(*systemsView).edit(tanks.System{}) }})
}

func (p *Page) putStart() {
	p.session.Act(say.L("Putting in the starting set"), func(ctx context.Context) error {
		return p.session.Store.SaveStart(ctx, startingSet(p.session.Clock()))
	}, func() {
		p.session.Say(session.Notice{Title: say.L("Saved"), Text: say.L("Profiles, chores, methods and products are in the ledger. Next: add your systems."),
			Do: say.L("Add a system"), Then: func() { p.sections[systemsSection].(*systemsView).edit(tanks.System{}) }})
	})
}

// midnight is the beginning of today in the room's zone.
func midnight(s *session.Session) time.Time {
	now := s.Now()
	return time.Date(now.Year(), now.Month(), now.Day(), 0, 0, 0, 0, s.Zone)
}

// save runs a store call from a form; what it refuses is shown at its field
// and the form stays as it is, so nothing typed is lost. ended is called in any
// case.
func save(s *session.Session, form *widgets.Form, doing string, work func(context.Context) error, closeForm, ended func()) {
	s.Runner.Queue(work, func(err error) {
		ended()
		switch {
		case err == nil:
			closeForm()
			s.Say(session.Notice{Title: say.L("Saved"), Text: say.F("%s: it is in the ledger.", doing)})
		case len(tanks.FaultsOf(err)) > 0:
			form.ShowFaults(session.FormFaults(err))
		default:
			form.ShowFaults([]widgets.Fault{{Problem: say.F("%s: not saved, %v", doing, err)}})
		}
	})
}

// showSaving opens a form whose Save runs work; the form closes when it is
// saved.
func showSaving(s *session.Session, title string, form *widgets.Form, size fyne.Size, read func() (func(context.Context) error, []widgets.Fault)) {
	var closeForm func()
	saving := false // a second Enter must not save twice
	scroll := widgets.NewScrolled(form)
	scroll.SetMinSize(size)
	closeForm = widgets.ShowDialog(s.Window, widgets.Dialog{Title: title, Content: scroll, Confirm: say.L("Save"), Focus: form.First(), Width: size.Width, OnConfirm: func() bool {
		if saving {
			return false
		}
		work, faults := read()
		form.ShowFaults(faults)
		if len(faults) == 0 {
			saving = true
			save(s, form, title, work, closeForm, func() { saving = false })
		}
		return false
	}})
}
