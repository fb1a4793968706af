package testsheet

// typing keeps a cell key by key, so that a crash loses not even half of it.
func (p *Page) typing() {
	p.kept.Keep()
	if p.stale && !p.grid.Editing() {
		p.stale = false
		p.load()
	}
}

// draft is the sheet as it is kept, with what is being typed.
func (p *Page) draft() ([]byte, error) {
	var under *typing
	if e, ok := p.grid.Typing(); ok {
		if cell, ok := p.sheet.cellAt(e.Row, e.Col); ok {
			under = &typing{cell, e.Text}
		}
	}
	return p.sheet.draft(under).marshal()
}

// Commit takes over the edit in the grid, and has the ledger told of all of the
// sheet: the page may be about to go.
func (p *Page) Commit() error {
	p.grid.Commit()
	_ = p.taken.Check() // what is wrong stays to be seen; Save says it
	p.kept.Flush()
	return nil
}
