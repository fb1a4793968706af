package faults

import (
	"context"
	"sync/atomic"
)

// stopping is a context that ends when it was looked at so many times.
type stopping struct {
	context.Context
	stop context.CancelFunc
	left *atomic.Int64
}

// Stopping returns a context that ends when it was looked at so many times, which
// stops work at a place that does not depend on how fast it runs.
func Stopping(ctx context.Context, looks int) context.Context {
	ctx, stop := context.WithCancel(ctx)
	left := &atomic.Int64{}
	left.Store(int64(looks))
	return stopping{ctx, stop, left}
}

// Done is a look.
func (s stopping) Done() <-chan struct{} {
	s.look()
	return s.Context.Done()
}

// Err is a look.
func (s stopping) Err() error {
	s.look()
	return s.Context.Err()
}

func (s stopping) look() {
	if s.left.Add(-1) <= 0 {
		s.stop()
	}
}
