package screentest

import (
	"context"

	"weirkeeper/app/session"
)

// FailReads lets every reading of the ledger end with err, nil: as it is.
func (s *Screen) FailReads(err error) { s.fail().reads = err }

// FailActs lets every act end with err before it has begun, nil: as it is.
func (s *Screen) FailActs(err error) { s.fail().acts = err }

func (s *Screen) fail() *failing {
	f, ok := s.Session.Runner.(*failing)
	if !ok {
		f = &failing{Runner: s.Session.Runner}
		s.Session.Runner = f
	}
	return f
}

// failing is a runner whose work fails.
type failing struct {
	session.Runner
	reads, acts error
}

// Run implements session.Runner.
func (f *failing) Run(ctx context.Context, work func(context.Context) error, done func(error)) {
	f.Runner.Run(ctx, instead(work, f.reads), done)
}

// Queue implements session.Runner.
func (f *failing) Queue(ctx context.Context, work func(context.Context) error, done func(error)) {
	f.Runner.Queue(ctx, instead(work, f.acts), done)
}

func instead(work func(context.Context) error, err error) func(context.Context) error {
	if err == nil {
		return work
	}
	return func(context.Context) error { return err }
}
