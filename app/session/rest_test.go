package session

import (
	"context"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"
)

// The program is at rest when nothing was under way for a while: once after all work
// has ended, not between two pieces of it, nor while one takes long.
func TestRest(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var rested atomic.Int64
		b := Background{AtRest: func() { rested.Add(1) }, post: func(do func()) { do() }}
		lasting := func(d time.Duration) {
			b.Run(context.Background(), func(context.Context) error { time.Sleep(d); return nil }, func(error) {})
		}
		after := func(d time.Duration, want int64, when string) {
			t.Helper()
			time.Sleep(d)
			synctest.Wait()
			if n := rested.Load(); n != want {
				t.Errorf("%s it rested %d times, want %d", when, n, want)
			}
		}
		lasting(10 * restAfter)
		lasting(time.Second)
		after(5*restAfter, 0, "while one works")
		after(5*restAfter+restAfter/2, 0, "just after the work")
		lasting(time.Second)
		after(restAfter, 0, "just after more work")
		after(2*restAfter, 1, "long after the work")
		after(9*restAfter, 1, "later")
		lasting(time.Second)
		b.Stop()
		after(2*restAfter, 1, "after it was stopped")
	})
}
