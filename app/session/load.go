package session

import (
	"context"

	"weirkeeper/storage"
)

// Deed is work on the ledger. It runs off the window's goroutine: all that it
// needs it is given or has as values of its own, never the session or a widget.
type Deed func(context.Context, *storage.Store) error

// Loader keeps a screen's loads apart: only the newest one is shown, and an
// older one that is still under way ends.
type Loader struct {
	generation int
	end        context.CancelFunc // of the newest load
}

// begin ends the load before and returns the number and the context of a new
// one, which ends with the session too.
func (l *Loader) begin(s *Session) (mine int, ctx context.Context) {
	if l.end != nil {
		l.end()
	}
	l.generation++
	ctx, l.end = context.WithCancel(s.life())
	return l.generation, ctx
}

// Load fetches a value off the window's goroutine and shows it, unless a newer
// Load of the same loader was started or the ledger was closed meanwhile. What
// cannot be read is said with what was being read.
func Load[T any](s *Session, l *Loader, reading string, fetch func(context.Context, *storage.Store) (T, error), show func(T)) {
	mine, ctx := l.begin(s)
	store := s.Store
	var value T
	s.Runner.Run(ctx, func(ctx context.Context) (err error) {
		value, err = fetch(ctx, store)
		return err
	}, func(err error) {
		if mine != l.generation || s.over() {
			return
		}
		l.end()
		if err != nil {
			s.CouldNotRead(reading, err)
			s.heed(err)
		} else {
			show(value)
		}
		if s.Loaded != nil {
			s.Loaded()
		}
	})
}

// Read runs one reading of the ledger off the window's goroutine, then done on
// it, unless the ledger was closed meanwhile. It does not give the keyboard to
// the page as Load does.
func (s *Session) Read(reading string, deed Deed, done func()) {
	store := s.Store
	s.Runner.Run(s.life(), func(ctx context.Context) error { return deed(ctx, store) }, func(err error) {
		switch {
		case s.over():
		case err != nil:
			s.CouldNotRead(reading, err)
			s.heed(err)
		default:
			done()
		}
	})
}

// Act carries out what a person did, after what was asked for before, then done
// on the window's goroutine. An error is said with what was being done; done then
// does not run. Whatever a screen shows as saved it shows in done.
func (s *Session) Act(doing string, deed Deed, done func()) {
	s.Try(deed, func(err error) {
		if err != nil {
			s.NotDone(doing, err)
			return
		}
		if done != nil {
			done()
		}
	})
}

// Try is Act for who says by themselves how it ended. What the deed does is the
// person's, at this workstation. A deed that has begun goes
// on to its end when the ledger is closed; ended then does not run.
func (s *Session) Try(deed Deed, ended func(error)) {
	store := s.Store.As(storage.Author{Person: s.Person, Workstation: s.Workstation})
	s.Runner.Queue(context.WithoutCancel(s.life()), func(ctx context.Context) error { return deed(ctx, store) }, func(err error) {
		if s.over() {
			return
		}
		ended(err)
		s.heed(err)
	})
}

// heed tells the window of an error that may concern the whole ledger.
func (s *Session) heed(err error) {
	if err != nil && s.Failed != nil {
		s.Failed(err)
	}
}

// life is the context that ends with the session.
func (s *Session) life() context.Context {
	if s.ctx == nil {
		s.ctx, s.end = context.WithCancel(context.Background())
	}
	return s.ctx
}

// End ends the loads under way: the ledger is about to be closed.
func (s *Session) End() {
	s.life()
	s.end()
}

func (s *Session) over() bool { return s.life().Err() != nil }
