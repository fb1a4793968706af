package setup

import (
	"context"

	"weirkeeper/app/session"
	"weirkeeper/storage"
)

// long runs work that takes its time: the bottom line shows it and can stop it, it
// ends when the ledger is closed, and saves do not wait for it. told says how far
// the work is, 0 to 1; ended is given what it ended with, and whether it was
// stopped.
func long(
	s *session.Session,
	doing string,
	work func(ctx context.Context, store *storage.Store, told func(share float64)) error,
	ended func(err error, stopped bool),
) {
	stop, bar := s.Working.Begin(doing, true)
	var err error
	s.Read(doing, func(ctx context.Context, store *storage.Store) error {
		ctx, cancel := eitherEnds(ctx, stop)
		defer cancel()
		err = work(ctx, store, bar.Set)
		return nil
	}, func() {
		stopped := err != nil && stop.Err() != nil
		bar.End()
		ended(err, stopped)
	})
}

// eitherEnds returns a context that ends with either of two.
func eitherEnds(ctx, other context.Context) (context.Context, context.CancelFunc) {
	ctx, cancel := context.WithCancel(ctx)
	forget := context.AfterFunc(other, cancel)
	return ctx, func() { forget(); cancel() }
}
