package testsheet

import (
	"context"

	"weirkeeper/app/say"
	"weirkeeper/storage"
)

// keeper writes the unsaved sheet to the ledger while it is typed: one write at a
// time, always of the newest sheet, so that a quick typist waits for nothing.
type keeper struct {
	calls  int // how often there was something to keep
	busy   bool
	behind bool // there is something newer than what is being written
}

// typing keeps a cell key by key, so that a crash loses not even half of it.
func (p *Page) typing() {
	p.keep()
	if p.stale && !p.grid.Editing() {
		p.stale = false
		p.load()
	}
}

// keep writes the sheet to the ledger, so that nothing typed is lost.
func (p *Page) keep() {
	p.keeper.calls++
	if p.keeper.busy {
		p.keeper.behind = true
		return
	}
	p.write()
}

// write queues the writing of the sheet as it is now.
func (p *Page) write() {
	var under *typing
	if e, ok := p.grid.Typing(); ok {
		if cell, ok := p.sheet.cellAt(e.Row, e.Col); ok {
			under = &typing{cell, e.Text}
		}
	}
	data, err := p.sheet.draft(under).marshal()
	if err != nil {
		p.session.NotDone(say.L("Keeping the sheet"), err)
		return
	}
	p.keeper.busy, p.keeper.behind = true, false
	p.session.Try(func(ctx context.Context, store *storage.Store) error {
		return store.SaveDraft(ctx, draftName, data)
	}, func(err error) {
		p.keeper.busy = false
		switch {
		case err != nil:
			p.session.NotDone(say.L("Keeping the sheet"), err)
		case p.keeper.behind:
			p.write()
		}
	})
}

// Commit takes over the edit in the grid, and has the ledger told of all of the
// sheet: the page may be about to go.
func (p *Page) Commit() error {
	if p.sheet == nil {
		return nil
	}
	p.grid.Commit()
	if p.keeper.behind {
		p.write()
	}
	return nil
}
