package session

import (
	"context"
	"sync"
	"sync/atomic"
	"time"

	"fyne.io/fyne/v2"

	"weirkeeper/app/crash"
)

// Runner runs work away from the window and hands the result back to it.
type Runner interface {
	// Run calls work, then done with its error on the window's goroutine.
	Run(ctx context.Context, work func(context.Context) error, done func(error))
	// Queue is Run for what must happen in the order in which it was asked for.
	Queue(ctx context.Context, work func(context.Context) error, done func(error))
	// Post does something on the window's goroutine; called from any other.
	Post(do func())
	// Settle does what work hands back until it is enough, or for so long; called on
	// the window's goroutine.
	Settle(enough func() bool, most time.Duration)
	// Wait returns when all work that was begun has ended.
	Wait()
}

// Background runs work on goroutines of its own until Stop. Its methods are
// called on the window's goroutine, but for Post. The zero value is ready.
type Background struct {
	// AtRest is called, on a goroutine of its own, when no work was under way for
	// some seconds; nil: nothing is done then.
	AtRest func()

	work    sync.WaitGroup
	rest    rest
	handed  handed
	stopped atomic.Bool
	last    chan struct{} // closed when the newest queued work has ended
	post    func(func())  // nil: fyne.Do
}

// Run implements Runner. After Stop it does nothing.
func (b *Background) Run(ctx context.Context, work func(context.Context) error, done func(error)) {
	if !b.stopped.Load() {
		b.start(func() { b.run(ctx, work, done) })
	}
}

// start runs work on a goroutine of its own; its panic is raised again on the
// window's.
func (b *Background) start(work func()) {
	b.work.Add(1)
	b.rest.begin()
	crash.Go(b.Post, func() {
		defer b.work.Done()
		defer b.ended()
		work()
	})
}

func (b *Background) ended() {
	b.rest.end(func() {
		if b.AtRest != nil && !b.stopped.Load() {
			b.AtRest()
		}
	})
}

// Queue implements Runner: each work begins when the one before has ended.
func (b *Background) Queue(ctx context.Context, work func(context.Context) error, done func(error)) {
	if b.stopped.Load() {
		return
	}
	before, mine := b.last, make(chan struct{})
	b.last = mine
	b.start(func() {
		defer close(mine)
		if before != nil {
			<-before
		}
		b.run(ctx, work, done)
	})
}

func (b *Background) run(ctx context.Context, work func(context.Context) error, done func(error)) {
	err := work(ctx)
	b.Post(func() { done(err) })
}

// Post implements Runner. After Stop it does nothing.
func (b *Background) Post(do func()) {
	if b.stopped.Load() {
		return
	}
	b.handed.add(do)
	next := func() { b.handed.doNext() } // nothing, where Settle has done it
	if b.post == nil {
		fyne.Do(next)
	} else {
		b.post(next)
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

// Drained is a Background whose window's goroutine is that of the caller: what
// work hands back waits until Drain. Tests and pictures have no other loop, and
// what they see happens in the order in which it happens in the program.
type Drained struct {
	Background
	mutex sync.Mutex
	waits []func()
}

// NewDrained returns a Drained without work.
func NewDrained() *Drained {
	d := &Drained{}
	d.post = func(do func()) {
		d.mutex.Lock()
		defer d.mutex.Unlock()
		d.waits = append(d.waits, do)
	}
	return d
}

// Drain does what was handed back, and what follows from it, until no work is
// left.
func (d *Drained) Drain() {
	for {
		d.Wait()
		d.mutex.Lock()
		waits := d.waits
		d.waits = nil
		d.mutex.Unlock()
		if len(waits) == 0 {
			return
		}
		for _, do := range waits {
			do()
		}
	}
}
