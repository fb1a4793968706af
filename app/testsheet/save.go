package testsheet

import (
	"context"
	"slices"

	"fyne.io/fyne/v2"

	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
	"weirkeeper/storage"
	"weirkeeper/tanks"
)

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
	if cell, bad := p.sheet.firstUnready(); bad {
		p.refuse(cell)
		return
	}
	p.sheet.person = p.session.Person
	readings := p.sheet.readings(p.session.Clock())
	if len(readings) == 0 {
		p.session.Say(session.Notice{Title: say.L("Nothing to save"), Text: say.L("Type a value into a cell first.")})
		return
	}
	p.saving = true
	p.kept.Flush() // the save drops the draft: none may come after it
	typedSince := p.kept.Since()
	p.session.Try(func(ctx context.Context, store *storage.Store) error {
		_, err := store.SaveSheet(ctx, readings, draftName)
		return err
	}, func(err error) {
		p.saving = false
		if err != nil {
			p.session.NotDone(say.L("Saving the sheet"), err)
			return
		}
		p.saved(readings, typedSince())
	})
}

// refuse leads to the cell that cannot be saved as it is.
func (p *Page) refuse(cell tanks.Cell) {
	p.goTo(cell)
	p.showAsk()
	text := p.sheet.entries[cell].problem
	if text == "" {
		text = say.L("It is a surprise: change it, or keep it, below the grid.")
	}
	p.session.Say(session.Notice{Title: say.F("Not saved yet: %s", p.sheet.name(cell)), Text: text, Bad: true})
}

// saved takes the saved values off the sheet and offers to take the save back.
// What was typed while they were being saved was kept beside them.
func (p *Page) saved(readings []tanks.Reading, typedSince bool) {
	p.lastSaved, p.broughtBack = readings, nil
	p.grid.ForgetEdits()
	p.sheet.drop(readings)
	p.kept.Outdate()
	if len(p.sheet.entries) == 0 {
		p.sheet.clear()
		p.taken.SetTime(p.sheet.takenAt)
	}
	if typedSince || len(p.sheet.entries) > 0 {
		p.kept.Keep()
	}
	p.lay()
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
		p.sheet.put(r, p.session.Clock())
	}
	p.lastSaved, p.broughtBack = nil, p.lastSaved
	p.kept.Keep()
	p.lay()
}

// dropSavedAgain takes off a sheet what an undo brought back when the ledger has
// it again: it was put back.
func (p *Page) dropSavedAgain(s *sheet) {
	again := slices.DeleteFunc(slices.Clone(p.broughtBack), func(r tanks.Reading) bool {
		last, ok := s.room.Latest[r.Cell()]
		return !ok || last.Typed != r.Typed || last.At.UnixMilli() != r.At.UnixMilli()
	})
	if len(again) == 0 {
		return
	}
	s.drop(again)
	p.lastSaved, p.broughtBack = p.broughtBack, nil
}

// showAsk shows what is wrong or surprising with the cell under the cursor,
// else with the first cell that has something.
func (p *Page) showAsk() {
	if p.sheet == nil {
		return
	}
	cell, found := p.current()
	if e, typed := p.sheet.entries[cell]; !found || !typed || !e.stuck() {
		cell, found = p.sheet.firstUnready()
	}
	p.ask.Objects = nil
	if found {
		p.ask.Objects = []fyne.CanvasObject{p.question(cell)}
	}
	p.ask.Refresh()
}

// question is the box about one cell with the ways on.
func (p *Page) question(cell tanks.Cell) fyne.CanvasObject {
	e := p.sheet.entries[cell]
	title := say.F("%s %s", p.sheet.name(cell), e.typed)
	back := widgets.Action{Text: say.L("Change it"), Do: func() { p.goTo(cell) }}
	if e.problem != "" {
		return widgets.NewNotice(say.F("%s cannot be saved", title), e.problem, true, back)
	}
	var actions []widgets.Action
	if e.instead != "" {
		actions = append(actions, widgets.Action{Text: say.F("Use %s", e.instead), Do: func() { p.answer(cell, e.instead) }})
	}
	actions = append(actions, widgets.Action{Text: say.F("Keep %s", e.typed), Do: func() {
		p.sheet.keep(cell)
		p.answered(cell)
	}}, back)
	c, _ := p.sheet.column(cell.Analyte)
	return widgets.NewNotice(say.F("%s %s is a surprise", title, string(c.unit)), e.ask, true, actions...)
}

// answer types another text into a cell.
func (p *Page) answer(cell tanks.Cell, text string) {
	p.sheet.typeIn(cell, text, p.session.Clock())
	p.answered(cell)
}

func (p *Page) answered(cell tanks.Cell) {
	p.kept.Keep()
	p.grid.Reload()
	p.update()
	p.goTo(cell)
}
