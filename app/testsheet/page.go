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
	"weirkeeper/tanks/board"
)

// draftName is where the unsaved sheet is kept in the ledger.
const draftName = "test sheet"

// Page is the sheet with its grid, the question about the cell under the
// cursor, and Save.
type Page struct {
	widget.BaseWidget
	session *session.Session
	loader  session.Loader
	sheet   *sheet
	saving  bool // a save is under way: another one would write twice
	// lastSaved are the readings of the last save, which an undo brings back.
	lastSaved []tanks.Reading
	grid      *widgets.Grid
	heading   *widgets.Heading
	taken     *widgets.DateTimeEntry
	body      *fyne.Container
	ask       *fyne.Container
	save      *widgets.Button
	tally     *widgets.Line
	content   fyne.CanvasObject
}

// New builds the page; it is empty until Visit.
func New(s *session.Session) *Page {
	p := &Page{session: s, heading: widgets.NewHeading(say.L("Test sheet"), ""), body: container.NewStack(), ask: container.NewVBox(), tally: widgets.NewLine("", "", false)}
	p.grid = widgets.NewGrid(gridModel{p})
	p.grid.OnEdit = p.edited
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
	when := widgets.NewBar(widgets.NewLine(say.L("Water taken"), "", false), container.NewGridWrap(fyne.NewSize(260, 30), p.taken),
		widgets.NewLine(say.L("empty: when you save"), "", false))
	p.content = container.NewBorder(container.NewVBox(p.heading, when), container.NewVBox(p.ask, buttons), nil, nil, p.body)
	p.ExtendBaseWidget(p)
	return p
}

// CreateRenderer implements fyne.Widget.
func (p *Page) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(p.content) }

// FirstFocus puts the keyboard into the grid.
func (p *Page) FirstFocus() fyne.Focusable { return widgets.IfShown(p.body, p.grid, p.grid) }

// Visit opens a round for the route's cells, added to what is typed already;
// without cells the kept sheet, else everything on schedule.
func (p *Page) Visit(r session.Route) { p.load(r.Cells) }

// Reload reads the room anew; what is typed stays.
func (p *Page) Reload() { p.load(nil) }

type loaded struct {
	room   *board.Estimated
	draft  []byte
	recent map[tanks.Cell][]tanks.Reading
}

func (p *Page) load(cells []tanks.Cell) {
	now := p.session.Clock()
	session.Load(p.session, &p.loader, func(ctx context.Context) (l loaded, err error) {
		if l.room, err = state.ReadEstimated(ctx, p.session.Store, now); err != nil {
			return l, err
		}
		if l.draft, err = p.session.Store.Draft(ctx, draftName); err != nil {
			return l, words.Errorf("reading the kept sheet: %w", err)
		}
		l.recent, err = state.Recent(ctx, p.session.Store, l.room, append(scheduled(l.room), cells...))
		return l, err
	}, func(l loaded, err error) {
		if err != nil {
			p.session.Fail(say.L("Opening the test sheet"), err)
			return
		}
		p.open(l, cells, now)
	})
}

// open makes the sheet: what is typed or kept wins over a fresh one.
func (p *Page) open(l loaded, cells []tanks.Cell, now time.Time) {
	fresh := newSheet(l.room, cells)
	fresh.recent, fresh.person = l.recent, p.session.Person
	if len(l.draft) > 0 {
		kept, err := restore(l.room, l.recent, l.draft, now)
		if err != nil {
			p.session.Fail(say.L("Reading the kept sheet"), err)
		} else if len(kept.entries) > 0 {
			kept.person = p.session.Person
			if len(cells) > 0 {
				kept.merge(fresh)
			}
			fresh = kept
		}
	}
	other := p.sheet == nil || !p.sheet.sameShape(fresh)
	p.sheet = fresh
	p.taken.SetTime(fresh.at)
	p.lay()
	if other {
		p.grid.ForgetEdits() // of other cells
		p.grid.Start()
	}
}

// lay shows the sheet, or what to do when there is nothing to type into.
func (p *Page) lay() {
	var shown fyne.CanvasObject = p.grid
	switch {
	case len(p.sheet.room.Systems) == 0:
		shown = widgets.NewEmpty(say.L("No system yet"), say.L("Readings belong to systems. Add the first one in Setup."),
			widgets.Action{Text: say.L("Add a system"), Do: func() { p.session.Go(session.Route{Place: session.Setup, Section: "Systems"}) }})
	case len(p.sheet.systems) == 0 || len(p.sheet.columns) == 0:
		shown = widgets.NewEmpty(say.L("Nothing is on schedule"), say.L("No system has a profile with test intervals. Choose what to type below, or give the systems a profile in Setup."),
			widgets.Action{Text: say.L("Add a system"), Do: p.addSystem}, widgets.Action{Text: say.L("Add an analyte"), Do: p.addAnalyte})
	}
	p.body.Objects = []fyne.CanvasObject{shown}
	p.body.Refresh()
	p.grid.Reload()
	p.update()
}

// update writes heading, tally and question again.
func (p *Page) update() {
	who := ""
	if p.session.Person != "" {
		who = say.F(", by %s", p.session.Person)
	}
	p.heading.SetSubtitle(say.F("Round of %s%s. Unshaded cells are due: Enter and Tab stop at them, after F3 at all. The small grey number is the last value; the sheet is kept as you type.", p.session.Minute(p.sheet.taken(p.session.Clock())), who))
	ready, asked, wrong, empty, first := p.sheet.tally()
	p.save.SetText(say.F("Save %s", values(ready)))
	var parts []string
	if wrong > 0 {
		parts = append(parts, say.F("%d wrong", wrong))
	}
	if asked > 0 {
		parts = append(parts, say.F("%d asked about", asked))
	}
	if empty > 0 {
		parts = append(parts, say.N(empty, "%d due cells empty (first: %s)", first))
	}
	p.tally.SetText(strings.Join(parts, ", "))
	p.showAsk()
}

func values(n int) string { return say.N(n, "%d values") }

// edited takes over what was typed into a cell and keeps the sheet.
func (p *Page) edited(row, col int, text string) {
	p.sheet.typeIn(row, col, strings.TrimSpace(text), p.session.Clock())
	p.keep()
	p.update()
}

// keep writes the sheet to the ledger, so that nothing typed is lost.
func (p *Page) keep() {
	data, err := p.sheet.marshal()
	if err != nil {
		p.session.Fail(say.L("Keeping the sheet"), err)
		return
	}
	p.session.Act(say.L("Keeping the sheet"), func(ctx context.Context) error {
		return p.session.Store.SaveDraft(ctx, draftName, data)
	}, nil)
}

// showAsk shows what is wrong or surprising with the cell under the cursor,
// else with the first cell that has something.
func (p *Page) showAsk() {
	if p.sheet == nil {
		return
	}
	row, col := p.grid.Cursor()
	var e entry
	found := false
	if row >= 0 && row < len(p.sheet.systems) && col >= 0 && col < len(p.sheet.columns) {
		e, found = p.sheet.entries[p.sheet.cell(row, col)]
		found = found && !e.ready()
	}
	if !found {
		row, col, e, found = p.sheet.firstUnready()
	}
	p.ask.Objects = nil
	if found {
		p.ask.Objects = []fyne.CanvasObject{p.question(row, col, e)}
	}
	p.ask.Refresh()
}

// question is the box about one cell with the ways on.
func (p *Page) question(row, col int, e entry) fyne.CanvasObject {
	c := p.sheet.columns[col]
	title := say.F("%s %s %s", p.sheet.systems[row].Code, c.analyte.InSentence(), e.typed)
	back := widgets.Action{Text: say.L("Change it"), Do: func() { p.goTo(row, col) }}
	if e.problem != "" {
		return widgets.NewNotice(say.F("%s cannot be saved", title), e.problem, true, back)
	}
	actions := []widgets.Action{}
	if e.instead != "" {
		actions = append(actions, widgets.Action{Text: say.F("Use %s", e.instead), Do: func() { p.edited(row, col, e.instead); p.goTo(row, col) }})
	}
	actions = append(actions,
		widgets.Action{Text: say.F("Keep %s", e.typed), Do: func() { p.keepSurprise(row, col) }}, back)
	return widgets.NewNotice(say.F("%s %s is a surprise", title, string(c.unit)), e.ask, true, actions...)
}

func (p *Page) goTo(row, col int) {
	p.grid.MoveTo(row, col)
	p.session.Window.Canvas().Focus(p.grid)
}

func (p *Page) keepSurprise(row, col int) {
	cell := p.sheet.cell(row, col)
	e := p.sheet.entries[cell]
	e.kept = true
	p.sheet.entries[cell] = e
	p.keep()
	p.grid.Reload()
	p.update()
	p.goTo(row, col)
}

// setTaken changes when the water was taken.
func (p *Page) setTaken(at time.Time, ok bool) {
	if p.sheet == nil || !ok {
		return
	}
	p.sheet.at = at
	p.sheet.reread(p.session.Clock())
	p.grid.Reload()
	p.keep()
	p.update()
}

// Commit takes over the edit in the grid; the sheet itself is kept already.
func (p *Page) Commit() error {
	p.grid.Commit()
	return nil
}

// Save writes every value of the sheet in one transaction, or says which cell
// stands in the way.
func (p *Page) Save() {
	if p.sheet == nil || p.saving {
		return
	}
	p.grid.Commit()
	if err := p.taken.Check(); err != nil {
		p.session.Say(session.Notice{Title: say.L("When was the water taken?"), Text: say.Of(err), Bad: true})
		return
	}
	if row, col, e, bad := p.sheet.firstUnready(); bad {
		p.goTo(row, col)
		p.showAsk()
		text := e.problem
		if text == "" {
			text = say.L("It is a surprise: change it, or keep it, below the grid.")
		}
		p.session.Say(session.Notice{Title: say.F("Not saved yet: %s %s", p.sheet.systems[row].Code, p.sheet.columns[col].analyte.InSentence()), Text: text, Bad: true})
		return
	}
	p.sheet.person = p.session.Person
	now := p.session.Clock()
	readings := p.sheet.readings(now)
	if len(readings) == 0 {
		p.session.Say(session.Notice{Title: say.L("Nothing to save"), Text: say.L("Type a value into a cell first.")})
		return
	}
	p.saving = true
	p.session.Runner.Queue(func(ctx context.Context) error {
		_, err := p.session.Store.SaveSheet(ctx, readings, draftName)
		return err
	}, func(err error) {
		p.saving = false
		if err != nil {
			p.session.Fail(say.L("Saving the sheet"), err)
			return
		}
		p.saved(readings)
	})
}

// saved takes the saved values off the sheet and offers to take the save back.
func (p *Page) saved(readings []tanks.Reading) {
	p.lastSaved = readings
	p.grid.ForgetEdits()
	p.sheet.drop(readings)
	if len(p.sheet.entries) == 0 {
		p.sheet.at = time.Time{}
		p.taken.SetTime(time.Time{})
		p.load(nil)
	} else {
		p.keep() // what was typed while it was being saved
		p.lay()
	}
	p.session.Say(session.Notice{
		Title: say.F("Saved %s", values(len(readings))), Text: say.L("They are in the ledger."),
		Do: say.L("Take them back"), Then: p.session.Undo,
	})
}

// Undone puts the values of a save that was taken back onto the sheet again; what
// was typed over one since stays.
func (p *Page) Undone(doing words.Text) {
	if doing != storage.SavingSheet || len(p.lastSaved) == 0 || p.sheet == nil {
		return
	}
	for _, r := range p.lastSaved {
		if p.sheet.entries[r.Cell()].typed == "" {
			p.sheet.put(r, p.session.Clock())
		}
	}
	p.lastSaved = nil
	p.keep()
	p.lay()
}
