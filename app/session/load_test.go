package session

import (
	"context"
	"errors"
	"slices"
	"sync"
	"testing"
	"time"

	"fyne.io/fyne/v2/test"
)

// Queued work runs one after the other in the order it was asked for, however
// long each takes.
func TestQueueKeepsTheOrder(t *testing.T) {
	test.NewTempApp(t)
	var b Background
	var mutex sync.Mutex
	var got []int
	for n := range 30 {
		b.Queue(func(context.Context) error {
			time.Sleep(time.Duration((30-n)%7) * time.Millisecond)
			mutex.Lock()
			defer mutex.Unlock()
			got = append(got, n)
			return nil
		}, func(error) {})
	}
	b.Wait()
	if len(got) != 30 || !slices.IsSorted(got) {
		t.Errorf("ran in the order %v", got)
	}
}

// After Stop what was begun has ended, and nothing begins any more.
func TestStop(t *testing.T) {
	test.NewTempApp(t)
	var b Background
	var mutex sync.Mutex
	ended := 0
	work := func(context.Context) error {
		time.Sleep(20 * time.Millisecond)
		mutex.Lock()
		defer mutex.Unlock()
		ended++
		return nil
	}
	for range 3 {
		b.Queue(work, func(error) {})
		b.Run(work, func(error) {})
	}
	b.Stop()
	if ended != 6 {
		t.Errorf("%d of 6 pieces of work ended", ended)
	}
	b.Run(work, func(error) {})
	b.Queue(work, func(error) {})
	b.Wait()
	if ended != 6 {
		t.Errorf("%d pieces of work ended, two of them begun after Stop", ended)
	}
}

// late holds work back until it is released.
type late struct{ waiting []func() }

func (l *late) Run(work func(context.Context) error, done func(error)) {
	l.waiting = append(l.waiting, func() { done(work(context.Background())) })
}
func (l *late) Queue(work func(context.Context) error, done func(error)) { l.Run(work, done) }
func (l *late) Wait()                                                    {}

// Only the newest load is shown, even when an older one ends after it.
func TestOnlyTheNewestLoadIsShown(t *testing.T) {
	runner := &late{}
	s := &Session{Runner: runner}
	loads := 0
	s.Loaded = func() { loads++ }
	var loader Loader
	var shown []string
	failed := errors.New("gone")
	Load(s, &loader, func(context.Context) (string, error) { return "old", nil }, func(v string, _ error) { shown = append(shown, v) })
	Load(s, &loader, func(context.Context) (string, error) { return "new", failed }, func(v string, err error) {
		shown = append(shown, v)
		if !errors.Is(err, failed) {
			t.Errorf("the error is %v", err)
		}
	})
	runner.waiting[1]()
	runner.waiting[0]()
	if !slices.Equal(shown, []string{"new"}) || loads != 1 {
		t.Errorf("shown %v, told %d times", shown, loads)
	}
}

func TestDaysAndAges(t *testing.T) {
	paris, err := time.LoadLocation("Europe/Paris")
	if err != nil {
		t.Fatal(err)
	}
	now := time.Date(2026, 3, 30, 0, 30, 0, 0, paris) // a day after the clocks went forward
	s := &Session{Clock: func() time.Time { return now }, Zone: paris}
	for name, c := range map[string]struct {
		at   time.Time
		want string
	}{
		"today":             {now.Add(-20 * time.Minute), "today"},
		"before midnight":   {now.Add(-40 * time.Minute), "1 d"},
		"over the change":   {time.Date(2026, 3, 28, 23, 0, 0, 0, paris), "2 d"},
		"never":             {time.Time{}, "never"},
		"a clock set back":  {now.Add(time.Hour), "today"},
		"another time zone": {time.Date(2026, 3, 28, 23, 30, 0, 0, time.UTC), "1 d"},
	} {
		if got := s.Age(c.at); got != c.want {
			t.Errorf("%s: %q, want %q", name, got, c.want)
		}
	}
	if got := s.Day(time.Date(2025, 3, 10, 8, 0, 0, 0, paris)); got != "10 Mar 2025" {
		t.Errorf("a day of last year is %q", got)
	}
	if got := s.Minute(time.Date(2026, 3, 10, 8, 5, 0, 0, paris)); got != "Tue 10 Mar, 08:05" {
		t.Errorf("a moment is %q", got)
	}
}
