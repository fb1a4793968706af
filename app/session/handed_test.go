package session

import (
	"context"
	"slices"
	"testing"
	"testing/synctest"
	"time"
)

// What work hands back is done in its order: by Settle until that has enough or has
// waited as long as it may, then by the window's loop.
func TestSettle(t *testing.T) {
	hour := time.Hour
	cases := map[string]struct {
		enough int           // done before Settle has enough
		takes  time.Duration // the last work
		early  []int         // done when Settle returns
		took   time.Duration
	}{
		"until it has enough":         {enough: 2, takes: hour, early: []int{1, 2}, took: 2 * time.Second},
		"no longer than it may":       {enough: 9, takes: hour, early: []int{1, 2}, took: time.Minute},
		"at once when it has enough":  {enough: 0, takes: hour, early: nil},
		"until the last one is there": {enough: 3, takes: 3 * time.Second, early: []int{1, 2, 3}, took: 3 * time.Second},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				var done []int
				loop := make(chan func(), 9)
				b := &Background{post: func(do func()) { loop <- do }}
				for n, takes := range []time.Duration{time.Second, 2 * time.Second, c.takes} {
					b.Run(context.Background(), func(context.Context) error { time.Sleep(takes); return nil }, func(error) {
						done = append(done, n+1)
					})
				}
				begun := time.Now()
				b.Settle(func() bool { return len(done) >= c.enough }, time.Minute)
				if !slices.Equal(done, c.early) || time.Since(begun) != c.took {
					t.Errorf("after %v %v are done, want %v after %v", time.Since(begun), done, c.early, c.took)
				}
				for range 3 {
					(<-loop)()
				}
				if !slices.Equal(done, []int{1, 2, 3}) {
					t.Errorf("in the end %v are done", done)
				}
			})
		})
	}
}

// What the loop has not come to yet is done by Settle before what comes later, and
// once.
func TestSettleKeepsTheOrder(t *testing.T) {
	var done []string
	var loop []func()
	b := &Background{post: func(do func()) { loop = append(loop, do) }}
	for _, name := range []string{"saved", "page", "undo"} {
		b.Post(func() { done = append(done, name) })
	}
	b.Settle(func() bool { return len(done) == 2 }, time.Minute)
	if want := []string{"saved", "page"}; !slices.Equal(done, want) {
		t.Errorf("%v are done, want %v", done, want)
	}
	b.Post(func() { done = append(done, "later") })
	for _, do := range loop {
		do()
	}
	if want := []string{"saved", "page", "undo", "later"}; !slices.Equal(done, want) {
		t.Errorf("in the end %v are done, want %v", done, want)
	}
}
