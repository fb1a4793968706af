package session

import (
	"context"

	"weirkeeper/storage"
)

// Draft keeps in the ledger what is typed and not saved: one write at a time,
// always of the newest, so that a quick typist waits for nothing and a crash
// loses a key or two.
type Draft struct {
	session *Session
	name    string
	keeping string // what is being done, for an error
	content func() ([]byte, error)
	calls   int
	writes  int  // under way
	behind  bool // there is something newer than what is being written
	failed  bool // the last write; it is said once, not with each key
}

// NewDraft returns a draft of a name, whose content is asked for when it is
// written; keeping says in an error what was being done.
func NewDraft(s *Session, name, keeping string, content func() ([]byte, error)) *Draft {
	d := &Draft{session: s, name: name, keeping: keeping, content: content}
	if s.drafts == nil {
		s.drafts = map[string]*Draft{}
	}
	s.drafts[name] = d
	return d
}

// Unkept returns, by name, the content of the drafts that the ledger does not hold
// as they are now: the newest write failed, or has not ended.
func (s *Session) Unkept() map[string][]byte {
	unkept := map[string][]byte{}
	for name, d := range s.drafts {
		if !d.failed && d.writes == 0 {
			continue
		}
		if data, err := d.content(); err == nil {
			unkept[name] = data
		}
	}
	return unkept
}

// Keep writes the content as it is now, or when the write under way has ended.
func (d *Draft) Keep() {
	d.calls++
	if d.writes > 0 {
		d.behind = true
		return
	}
	d.write()
}

// Flush hands the newest content to the ledger before what is done next: the page
// may be about to go.
func (d *Draft) Flush() {
	if d.behind {
		d.write()
	}
}

// Since tells whether something was kept from now on.
func (d *Draft) Since() (kept func() bool) {
	calls := d.calls
	return func() bool { return d.calls != calls }
}

// Outdate makes what was read of the draft until now old: its content has been
// saved or dropped.
func (d *Draft) Outdate() { d.calls++ }

// Reading is called before the draft is read; the returned function tells
// afterwards whether what was read is still the newest.
func (d *Draft) Reading() (newest func() bool) {
	calls, busy := d.calls, d.writes > 0
	return func() bool { return !busy && d.calls == calls }
}

func (d *Draft) write() {
	data, err := d.content()
	if err != nil {
		d.ended(err)
		return
	}
	name := d.name
	d.writes++
	d.behind = false
	d.session.Try(func(ctx context.Context, store *storage.Store) error {
		return store.SaveDraft(ctx, name, data)
	}, func(err error) {
		d.writes--
		d.ended(err)
		if err == nil && d.behind && d.writes == 0 {
			d.write()
		}
	})
}

func (d *Draft) ended(err error) {
	if err != nil && !d.failed {
		d.session.NotDone(d.keeping, err)
	}
	d.failed = err != nil
}
