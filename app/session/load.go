package session

import (
	"context"
	"sync"
	"sync/atomic"
	"time"

	"fyne.io/fyne/v2"
)

// Runner runs work away from the window and hands the result back to it.
type Runner interface {
	// Run calls work, then done with its error on the window's goroutine.
	Run(work func(context.Context) error, done func(error))
	// Queue is Run for what must happen in the order in which it was asked for.
	Queue(work func(context.Context) error, done func(error))
	// Wait returns when all work that was begun has ended.
	Wait()
}

// workTimeout bounds any single piece of work on the ledger.
const workTimeout = 2 * time.Minute

// Background runs work on goroutines of its own until Stop. Its methods are
// called on the window's goroutine.
type Background struct {
	work    sync.WaitGroup
	stopped atomic.Bool
	last    chan struct{} // closed when the newest queued work has ended
}

// Run implements Runner. After Stop it does nothing.
func (b *Background) Run(work func(context.Context) error, done func(error)) {
	if !b.stopped.Load() {
		b.work.Go(func() { b.run(work, done) })
	}
}

// Queue implements Runner: each work begins when the one before has ended.
func (b *Background) Queue(work func(context.Context) error, done func(error)) {
	if b.stopped.Load() {
		return
	}
	before, mine := b.last, make(chan struct{})
	b.last = mine
	b.work.Go(func() {
		defer close(mine)
		if before != nil {
			<-before
		}
		b.run(work, done)
	})
}

func (b *Background) run(work func(context.Context) error, done func(error)) {
	ctx, cancel := context.WithTimeout(context.Background(), workTimeout)
	defer cancel()
	err := work(ctx)
	if !b.stopped.Load() {
		fyne.Do(func() { done(err) })
	}
}

// Wait returns when all work that was begun has ended.
func (b *Background) Wait() { b.work.Wait() }

// Stop takes no more work and waits for what is under way, so that a save that
// has begun ends before the ledger is closed.
func (b *Background) Stop() {
	b.stopped.Store(true)
	b.work.Wait()
}

// Inline runs work at once on the caller's goroutine: for tests and pictures.
type Inline struct{}

// Run implements Runner.
func (Inline) Run(work func(context.Context) error, done func(error)) {
	done(work(context.Background()))
}

// Wait has nothing to wait for.
func (Inline) Wait() {}

// Queue implements Runner.
func (i Inline) Queue(work func(context.Context) error, done func(error)) { i.Run(work, done) }

// Loader keeps a screen's loads apart: only the newest one is shown.
type Loader struct{ generation int }

// Load fetches a value off the window's goroutine and shows it, unless a newer
// Load of the same loader was started meanwhile.
func Load[T any](s *Session, l *Loader, fetch func(context.Context) (T, error), show func(T, error)) {
	l.generation++
	mine := l.generation
	var value T
	s.Runner.Run(func(ctx context.Context) (err error) {
		value, err = fetch(ctx)
		return err
	}, func(err error) {
		if mine != l.generation {
			return
		}
		show(value, err)
		if s.Loaded != nil {
			s.Loaded()
		}
	})
}
