// Package testsheet is the screen that a round of tests is typed into: systems
// down, analytes across, kept in the ledger as it is typed, saved at once.
package testsheet

import (
	"context"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/state"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
	"weirkeeper/storage"
	"weirkeeper/tanks"
)

// Page is the sheet with its grid, the question about the cell under the
// cursor, and Save. What is typed is the page's from the first visit on: the
// ledger's copy of it is for the next run of the program.
type Page struct {
	widget.BaseWidget
	session *session.Session
	loader  session.Loader
	sheet   *sheet
	kept    *session.Draft
	round   []tanks.Cell // what the newest visit asks for, until it is shown
	visited bool         // a visit waits to be shown
	stale   bool         // read the room anew when the cell is typed
	saving  bool         // a save is under way: another one would write twice
	// lastSaved are the readings of the last save, which an undo brings back;
	// broughtBack those of an undo, which a redo saves again.
	lastSaved, broughtBack []tanks.Reading

	grid    *widgets.Grid
	heading *widgets.Heading
	taken   *widgets.DateTimeEntry
	body    *fyne.Container
	ask     *fyne.Container
	save    *widgets.Button
	tally   *widgets.Line
	content fyne.CanvasObject
}

// New builds the page; it is empty until Visit.
func New(s *session.Session) *Page {
	p := &Page{
		session: s, heading: widgets.NewHeading(say.L("Test sheet"), ""), body: container.NewStack(), ask: container.NewVBox(),
		tally: widgets.NewLine("", "", false),
	}
	p.kept = session.NewDraft(s, draftName, say.L("Keeping the sheet"), p.draft)
	p.grid = widgets.NewGrid(gridModel{p})
	p.grid.OnEdit = p.edited
	p.grid.OnPaste = p.pasted
	p.grid.OnTyping = p.typing
	p.grid.OnCursor = func(int, int) { p.showAsk() }
	p.grid.OnLast = func() { s.Window.Canvas().Focus(p.save) }
	p.save = widgets.NewPrimary(say.L("Save"), p.Save).With(look.IconSave)
	p.taken = widgets.NewDateTimeEntry(time.Time{}, s.Zone, s.Clock)
	p.taken.OnChanged = p.setTaken
	buttons := widgets.NewBar(p.save,
		widgets.NewSecondary(say.L("Add a system"), p.addSystem).With(look.IconAdd),
		widgets.NewSecondary(say.L("Add an analyte"), p.addAnalyte).With(look.IconAdd),
		widgets.NewSecondary(say.L("Change a method"), p.changeMethod).With(look.IconChange),
		widgets.NewSecondary(say.L("Clear the sheet"), p.askClear).With(look.IconClear),
		p.tally)
	when := widgets.NewBar(widgets.NewLine(say.L("Water taken"), "", false),
		container.NewGridWrap(fyne.NewSize(look.Scaled(260), look.FieldHeight()), p.taken),
		widgets.NewLine(say.L("empty: when you save"), "", false))
	p.content = container.NewBorder(container.NewVBox(p.heading, when), container.NewVBox(p.ask, buttons), nil, nil, p.body)
	p.ExtendBaseWidget(p)
	return p
}

// CreateRenderer implements fyne.Widget.
func (p *Page) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(p.content) }

// UndoEdit takes the last edit of the grid back, wherever the keyboard is: after
// the last due cell it is on Save.
func (p *Page) UndoEdit() bool { return p.grid.UndoEdit() }

// RedoEdit puts it back.
func (p *Page) RedoEdit() bool { return p.grid.RedoEdit() }

// FirstFocus puts the keyboard into the grid.
func (p *Page) FirstFocus() fyne.Focusable { return widgets.IfShown(p.body, p.grid, p.grid) }

// Visit opens a round for the route's cells, added to what is typed already;
// without cells the kept sheet, else everything on schedule.
func (p *Page) Visit(r session.Route) {
	p.round, p.visited = r.Cells, true
	p.load()
}

// Reload reads the room anew; what is typed stays.
func (p *Page) Reload() { p.load() }

type loaded struct {
	known
	draft    draft
	draftErr error // the kept sheet cannot be read; the rest can
}

func (p *Page) load() {
	now, newest, reads, zone := p.session.Clock(), p.kept.Reading(), p.session.Reads, p.session.Zone
	session.Load(p.session, &p.loader, say.L("Opening the test sheet"), func(ctx context.Context, store *storage.Store) (loaded, error) {
		return fetch(ctx, store, reads, now, zone)
	}, func(l loaded) {
		if p.grid.Editing() {
			p.stale = true // cells must not move under what is being typed
			return
		}
		if !newest() {
			l.draft = draft{} // something was typed since it was read
		}
		if l.draftErr != nil && p.sheet == nil {
			p.session.CouldNotRead(say.L("Opening the kept sheet"), l.draftErr)
		}
		p.open(l, now)
	})
}

// fetch reads the room, the kept sheet, and what lets expect the next values.
func fetch(ctx context.Context, store *storage.Store, reads *state.Reads, now time.Time, zone *time.Location) (l loaded, err error) {
	if l.room, err = reads.Room(ctx, now); err != nil {
		return l, err
	}
	data, err := store.Draft(ctx, draftName)
	if err != nil {
		return l, words.Errorf("reading the kept sheet: %w", err)
	}
	l.draft, l.draftErr = unmarshal(data)
	if l.today, err = state.DueTests(ctx, reads, l.room, zone); err != nil {
		return l, err
	}
	l.recent, err = reads.Recent(ctx, l.room)
	return l, err
}

// open lays the sheet out anew: what was typed stays, as do the rows and columns
// of a round under way.
func (p *Page) open(l loaded, now time.Time) {
	fresh := p.next(l, now)
	p.round, p.visited = nil, false
	fresh.person = p.session.Person
	p.dropSavedAgain(fresh)
	cell, was := p.current()
	if p.sheet == nil || !p.sheet.sameShape(fresh) {
		p.grid.ForgetEdits() // of other cells
	}
	p.sheet = fresh
	p.taken.SetTime(fresh.takenAt)
	p.lay()
	if row, col, ok := fresh.place(cell); was && ok {
		p.grid.MoveTo(row, col)
	} else {
		p.grid.Start()
	}
}

// next is the sheet to show after the room was read.
func (p *Page) next(l loaded, now time.Time) *sheet {
	was := draft{}
	if p.sheet != nil {
		was = p.sheet.draft(nil)
	}
	if len(was.Entries) == 0 && len(l.draft.Entries) > 0 {
		was = l.draft // of a run before, or brought back by an undo elsewhere
		p.lastSaved, p.broughtBack = nil, p.lastSaved
	}
	units := p.session.Prefs.Typed
	s := blank(l.known, units)
	switch {
	case len(was.Entries) == 0 && (p.visited || p.sheet == nil || p.sheet.bare()):
		return newSheet(l.known, units, p.round)
	case p.visited && len(p.round) > 0:
		s = newSheet(l.known, units, p.round)
	}
	s.take(was, now)
	return s
}

// current is the cell under the cursor.
func (p *Page) current() (tanks.Cell, bool) {
	if p.sheet == nil {
		return tanks.Cell{}, false
	}
	return p.sheet.cellAt(p.grid.Cursor())
}

// lay shows the sheet, or what to do when there is nothing to type into.
func (p *Page) lay() {
	p.grid.Reload() // before it is drawn: its cursor may be outside the sheet
	var shown fyne.CanvasObject = p.grid
	switch {
	case len(p.sheet.room.Systems) == 0:
		shown = widgets.NewEmpty(say.L("No system yet"), say.L("Readings belong to systems. Add the first one in Setup."),
			widgets.Action{Text: say.L("Add a system"), Do: p.addSystem})
	case p.sheet.empty():
		shown = widgets.NewEmpty(say.L("Nothing is on schedule"),
			say.L("No system has a profile with test intervals. Choose what to type below, or give the systems a profile in Setup."),
			widgets.Action{Text: say.L("Add a system"), Do: p.addSystem}, widgets.Action{Text: say.L("Add an analyte"), Do: p.addAnalyte})
	}
	p.body.Objects = []fyne.CanvasObject{shown}
	p.body.Refresh()
	p.update()
}

// update writes heading, tally and question again.
func (p *Page) update() {
	who := ""
	if p.session.Person != "" {
		who = say.F(", by %s", p.session.Person)
	}
	at := p.session.Minute(p.sheet.taken(p.session.Clock()))
	bare := p.heading.Subtitle() == ""
	p.heading.SetSubtitle(say.F("Round of %s%s. Unshaded cells are due; the small grey number is the last value. "+
		"The sheet is kept as you type.", at, who))
	if bare {
		p.content.Refresh() // the heading is higher with its second line
	}
	t := p.sheet.tally()
	p.save.SetText(say.F("Save %s", values(t.ready)))
	var parts []string
	if t.wrong > 0 {
		parts = append(parts, say.F("%d wrong", t.wrong))
	}
	if t.asked > 0 {
		parts = append(parts, say.F("%d asked about", t.asked))
	}
	if t.empty > 0 {
		parts = append(parts, say.N(t.empty, "%d due cells empty (first: %s)", p.sheet.name(t.firstEmpty)))
	}
	p.tally.SetText(strings.Join(parts, ", "))
	p.showAsk()
}

func values(n int) string { return say.N(n, "%d values") }

// edited takes over what was typed into a cell and keeps the sheet.
func (p *Page) edited(row, col int, text string) {
	cell, ok := p.sheet.cellAt(row, col)
	if !ok {
		return
	}
	p.sheet.typeIn(cell, strings.TrimSpace(text), p.session.Clock())
	p.kept.Keep()
	p.update()
}

// pasted takes over a block, and says what of it found no cell.
func (p *Page) pasted(edits []widgets.Edit, outside int) {
	for _, e := range edits {
		if cell, ok := p.sheet.cellAt(e.Row, e.Col); ok {
			p.sheet.typeIn(cell, strings.TrimSpace(e.Text), p.session.Clock())
		}
	}
	p.kept.Keep()
	p.update()
	if outside > 0 {
		p.session.Say(session.Notice{Title: say.N(outside, "%d values found no cell"), Bad: true,
			Text: say.L("The block that you pasted is larger than the sheet from the cursor on. The rest of it is in the cells.")})
	}
}

// setTaken changes when the water was taken.
func (p *Page) setTaken(at time.Time, ok bool) {
	if p.sheet == nil || !ok || at.Equal(p.sheet.takenAt) {
		return
	}
	p.sheet.takenAt = at
	p.sheet.reread(p.session.Clock())
	p.grid.Reload()
	p.kept.Keep()
	p.update()
}

// goTo puts the cursor on a cell and the keyboard into the grid.
func (p *Page) goTo(cell tanks.Cell) {
	if row, col, ok := p.sheet.place(cell); ok {
		p.grid.MoveTo(row, col)
		p.session.Window.Canvas().Focus(p.grid)
	}
}
