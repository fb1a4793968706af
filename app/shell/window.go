// Package shell is the window around the screens: its rail of places, the
// open session, and the ways from one screen to another. The screens
// themselves are packages of their own beside it.
package shell

import (
	"context"
	"os"
	"path/filepath"
	"time"

	"fyne.io/fyne/v2"

	"weirkeeper/app/crash"
	"weirkeeper/app/prefs"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/state"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
	"weirkeeper/storage"
	"weirkeeper/tanks"
)

// Page is a screen. It builds its widgets once and reads its data anew with
// every Show and Reload.
type Page interface {
	fyne.CanvasObject
	// Visit makes the page show what the route asks for and loads it.
	Visit(session.Route)
	// Reload reads the data again after a change of the ledger.
	Reload()
}

// Committer is a page with edits under way. Commit takes them over, or says
// what is wrong with them; it runs before anything else happens.
type Committer interface{ Commit() error }

// Undoer is a page that takes up what an undo brings back, given the words of
// what was undone.
type Undoer interface{ Undone(doing words.Text) }

// Saver is a page that Ctrl+S saves.
type Saver interface{ Save() }

// Starter is a page that wants the keyboard when it opens. FirstFocus returns
// nil while the page does not show anything that can have it.
type Starter interface{ FirstFocus() fyne.Focusable }

// Window is the program's window: at most one ledger is open in it.
type Window struct {
	app     fyne.App
	win     fyne.Window
	clock   func() time.Time
	runner  session.Runner
	session *session.Session
	stop    func() // ends the listening to the store
	pages   map[session.Place]Page
	now     session.Place
	route   session.Route // of the open page
	prefs   prefs.Preferences
	// wantFocus: the open page has not got the keyboard yet, since it has not
	// shown what it loads.
	wantFocus bool
	// pageShown: the open page has shown what it loads.
	pageShown  bool
	closeAsked func() // closes the question whether to stop long work and close; nil: it is not asked
	// scratch is a temporary folder that goes with the open ledger; empty: none.
	scratch string

	frame   *surround
	rail    *rail
	notices *notices
	resume  *crash.Resume // what a fault before left to go on with; nil: nothing

	unsaved     bool          // something was saved since the last backup
	backupEnd   chan struct{} // closed to end the hourly look at backups
	watchEnd    chan struct{} // closed to end the look at the ledger's file
	looking     bool          // at the ledger's file
	gone        bool          // the ledger's file is, and the person knows
	copied      string        // where a copy of it was put, or why not, in words; empty: none was tried
	keepingCopy bool          // one is being written
	doubted     bool          // the clock is, and the person was asked
}

const programName = "Weirkeeper"

// NewWindow makes a window without a ledger, showing the welcome page. runner
// is how work leaves the window's goroutine, locale the desktop's.
func NewWindow(a fyne.App, clock func() time.Time, runner session.Runner, locale prefs.Locale) *Window {
	w := makeWindow(a, a.NewWindow(programName), clock, runner, prefs.Load(a.Preferences(), locale))
	w.ShowWelcome(session.Notice{})
	return w
}

// makeWindow fills a window that shows nothing yet.
func makeWindow(a fyne.App, win fyne.Window, clock func() time.Time, runner session.Runner, p prefs.Preferences) *Window {
	w := &Window{app: a, win: win, clock: clock, runner: runner, notices: newNotices(win.Canvas())}
	w.usePrefs(p)
	w.win.SetMaster()
	w.win.SetPadded(false)
	w.win.Resize(rememberedSize(a.Preferences()))
	w.win.SetMainMenu(w.menu())
	widgets.OnKey(w.win, fyne.KeyF1, func() {
		if w.win.Canvas().Overlays().Top() == nil {
			w.showKeys()
		}
	})
	widgets.OnKey(w.win, fyne.KeyF6, w.win.Canvas().FocusNext)
	widgets.OnEscape(w.win, w.notices.closeFront)
	w.win.SetCloseIntercept(w.askToClose)
	return w
}

// Fyne returns the window for drivers and tests.
func (w *Window) Fyne() fyne.Window { return w.win }

// Session returns the open session, nil when no ledger is open.
func (w *Window) Session() *session.Session { return w.session }

// Open shows the ledger in the window, on Rounds. The window closes the store
// when another ledger is opened or the window ends.
func (w *Window) Open(ctx context.Context, store *storage.Store) error {
	room, err := store.Room(ctx)
	if err != nil {
		return words.Errorf("reading the room: %w", err)
	}
	zone, err := room.Location()
	if err != nil {
		return err
	}
	w.closeSession()
	w.session = &session.Session{
		Store:       store,
		Reads:       state.NewReads(store),
		Person:      w.app.Preferences().String(prefPerson),
		Workstation: workstation(w.app.Preferences()),
		Clock:       w.clock,
		Room:        room,
		Zone:        zone,
		Window:      w.win,
		Runner:      w.runner,
		Prefs:       w.prefs,
		SetPrefs:    w.SetPrefs,
		Go:          w.show,
		Undo:        w.undo,
		Backups:     keeping{w},
		Working:     working{w},
		Memory:      memory{w.app.Preferences()},
		Failed:      w.failed,
		RememberPerson: func(name string) {
			w.app.Preferences().SetString(prefPerson, name)
			w.readUndo()
		},
	}
	w.build()
	w.stop = store.Listen(func(c storage.Touched) { w.runner.Post(func() { w.changed(c) }) })
	w.win.SetTitle(say.F("%s - Weirkeeper", room.Name))
	opened := w.session
	w.open(w.firstScreen(store.Path()))
	if w.session != opened {
		return nil // while the page settled another ledger was opened
	}
	w.keepBackups()
	w.watchFile()
	w.failed(store.CheckClock())
	w.offerRoom()
	if n := w.resumeNotice(); n.Title != "" {
		w.resume = nil
		w.session.Say(n)
	}
	return nil
}

// build makes frame, rail and pages of the open session anew; pages are made when
// they are opened.
func (w *Window) build() {
	w.pages = map[session.Place]Page{}
	w.frame = newSurround(w.session, ledgerName(w.session.Store), w.undo, w.redo, w.jump)
	w.rail = newRail(railPlaces, func(p session.Place) { w.show(session.Route{Place: p}) }, w.win.Canvas().Focus)
	s := w.session
	s.Loaded, s.Say = w.loaded, func(n session.Notice) {
		if w.session == s { // what ends after its ledger was closed has nobody to tell
			w.notices.say(n)
		}
	}
	w.showBackup()
	w.win.SetContent(w.frame.with(w.rail.object, w.notices.layer))
	w.notices.onWindow(true)
	w.readUndo()
	w.readPeople()
}

// readPeople offers the initials of who works in the room.
func (w *Window) readPeople() {
	s, frame := w.session, w.frame
	var people []tanks.Person
	s.Read(say.L("Reading the people"), func(ctx context.Context, store *storage.Store) (err error) {
		people, err = store.People(ctx)
		return err
	}, func() {
		var initials []string
		for _, p := range people {
			if !p.Gone {
				initials = append(initials, p.Initials)
			}
		}
		frame.person.SetOffered(initials)
	})
}

// ledgerName is what the bottom line calls the ledger.
func ledgerName(store *storage.Store) string {
	name := filepath.Base(store.Path())
	if store.ReadOnly() {
		name += say.L(", open only to look: nothing can be saved here")
	}
	return name
}

// show goes to a route, after the page that is open has taken over its edits.
func (w *Window) show(r session.Route) {
	if w.session == nil || !w.commit() {
		return
	}
	w.notices.leave()
	w.open(r)
	w.rememberScreen()
}

func (w *Window) open(r session.Route) {
	page, ok := w.pages[r.Place]
	if !ok {
		page = newPage(r.Place, w.session)
		w.pages[r.Place] = page
	}
	w.now, w.route = r.Place, r
	w.frame.show(page)
	w.rail.choose(r.Place)
	w.wantFocus = true
	w.pageShown = false
	page.Visit(r)
	w.settle()
}

// loaded is called when a page has shown what it loads.
func (w *Window) loaded() {
	w.pageShown = true
	w.focusPage()
	layOut(w.win)
}

// focusPage gives the keyboard to the page that was just opened, once it shows
// what can have it.
func (w *Window) focusPage() {
	page, ok := w.pages[w.now].(Starter)
	if !ok || !w.wantFocus || w.win.Canvas().Overlays().Top() != nil {
		return
	}
	if f := page.FirstFocus(); f != nil {
		w.wantFocus = false
		w.win.Canvas().Focus(f)
	}
}

// commit lets the open page take over its edits; false: it could not, and has
// said why.
func (w *Window) commit() bool {
	c, ok := w.pages[w.now].(Committer)
	if !ok {
		return true
	}
	if err := c.Commit(); err != nil {
		w.session.NotDone(say.F("Leaving %s", say.Of(w.now)), err)
		return false
	}
	return true
}

// changed reloads the open page after a change of the ledger; the others read
// anew when they are shown.
func (w *Window) changed(c storage.Touched) {
	if w.session == nil {
		return
	}
	if len(c.Kinds) == 1 && c.Has(storage.KindDraft) {
		return // what a page keeps while it is typed, it knows
	}
	w.unsaved = true
	w.readUndo()
	if c.Has(storage.KindRoom) {
		w.reloadRoom()
	}
	if c.Has(storage.KindPerson) {
		w.readPeople()
	}
	if page, ok := w.pages[w.now]; ok && heeds(w.route, c) {
		w.pageShown = false
		page.Reload()
		w.settle()
	}
}

// reloadRoom takes over what was changed of the room.
func (w *Window) reloadRoom() {
	var room tanks.Room
	w.session.Read(say.L("Reading the room"), func(ctx context.Context, store *storage.Store) (err error) {
		room, err = store.Room(ctx)
		return err
	}, func() {
		zone, err := room.Location()
		if err != nil {
			w.session.CouldNotRead(say.L("Reading the room"), err)
			return
		}
		w.session.Room, w.session.Zone = room, zone
		w.offerRoom()
		w.win.SetTitle(say.F("%s - Weirkeeper", room.Name))
		w.frame.update()
	})
}

// save runs the open page's Save, if it has one.
func (w *Window) save() {
	if s, ok := w.pages[w.now].(Saver); ok && w.session != nil {
		s.Save()
	}
}

// Close ends the work under way and closes the ledger; safe to call twice.
func (w *Window) Close() error {
	if b, ok := w.runner.(interface{ Stop() }); ok {
		b.Stop()
	}
	return w.closeSession()
}

func (w *Window) closeSession() error {
	if w.session == nil {
		return nil
	}
	if w.stop != nil {
		w.stop()
	}
	w.session.End()
	w.session.Reads.Close()
	w.endBackups()
	w.endWatch()
	w.gone, w.looking, w.doubted, w.copied, w.keepingCopy = false, false, false, "", false
	w.runner.Wait()
	store := w.session.Store
	w.session, w.pages = nil, nil
	w.notices.take()
	w.notices.onWindow(false)
	if err := store.Close(); err != nil {
		return words.Errorf("closing the ledger: %w", err)
	}
	if w.scratch == "" {
		return nil
	}
	scratch := w.scratch
	w.scratch = ""
	if err := os.RemoveAll(scratch); err != nil {
		return words.Errorf("removing the demo room's copy: %w", err)
	}
	return nil
}

// askToClose ends the program, unless the open page has edits that it cannot
// take over: then it says so and stays. Long work is not stopped unasked.
func (w *Window) askToClose() {
	if w.session == nil {
		w.closeNow()
		return
	}
	if !w.commit() || w.closeAsked != nil {
		return
	}
	if !w.frame.progress.CanStop() {
		w.closeNow()
		return
	}
	text := say.F("%s: it is not finished. Stopped now, nothing of it is kept.", w.frame.progress.Doing())
	w.closeAsked = widgets.ShowDialog(w.win, widgets.Dialog{
		Title: say.L("Stop the work and close?"), Content: widgets.NewWrapped(text), Width: 420,
		Confirm: say.L("Stop and close"), Cancel: say.L("Keep working"),
		OnClosed: func() { w.closeAsked = nil },
		OnConfirm: func() bool {
			w.frame.progress.Stop()
			w.closeNow()
			return true
		},
	})
}

// closeNow ends the program.
func (w *Window) closeNow() {
	w.rememberSize()
	w.backUpBeforeClosing(w.win.Close)
}

// Show goes to a route of the open ledger.
func (w *Window) Show(r session.Route) { w.show(r) }
