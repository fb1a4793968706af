package session

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"fyne.io/fyne/v2/test"

	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// Queued work runs one after the other in the order it was asked for, however
// long each takes.
func TestQueueKeepsTheOrder(t *testing.T) {
	test.NewTempApp(t)
	var b Background
	var mutex sync.Mutex
	var got []int
	for n := range 30 {
		b.Queue(context.Background(), func(context.Context) error {
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
		b.Queue(context.Background(), work, func(error) {})
		b.Run(context.Background(), work, func(error) {})
	}
	b.Stop()
	if ended != 6 {
		t.Errorf("%d of 6 pieces of work ended", ended)
	}
	b.Run(context.Background(), work, func(error) {})
	b.Queue(context.Background(), work, func(error) {})
	b.Wait()
	if ended != 6 {
		t.Errorf("%d pieces of work ended, two of them begun after Stop", ended)
	}
}

// What work hands back after Stop is not done: the window may be gone.
func TestNothingIsPostedAfterStop(t *testing.T) {
	d := NewDrained()
	d.Post(func() {})
	d.Stop()
	d.Post(func() { t.Error("done after Stop") })
	d.Drain()
}

// late holds work back until it is released.
type late struct{ waiting []func() }

func (l *late) Run(ctx context.Context, work func(context.Context) error, done func(error)) {
	l.waiting = append(l.waiting, func() { done(work(ctx)) })
}
func (l *late) Queue(ctx context.Context, work func(context.Context) error, done func(error)) {
	l.Run(ctx, work, done)
}
func (l *late) Post(do func()) { do() }
func (l *late) Wait()          {}

func (l *late) Settle(func() bool, time.Duration) {}

// heard is a session that notes what it says.
func heard(runner Runner) (*Session, *[]Notice) {
	var said []Notice
	s := &Session{Store: &storage.Store{}, Runner: runner}
	s.Say = func(n Notice) { said = append(said, n) }
	return s, &said
}

// Only the newest load is shown, even when an older one ends after it; the older
// one's context ends.
func TestOnlyTheNewestLoadIsShown(t *testing.T) {
	runner := &late{}
	s, said := heard(runner)
	loads := 0
	s.Loaded = func() { loads++ }
	var loader Loader
	var shown []string
	var ends []error
	fetch := func(value string) func(context.Context, *storage.Store) (string, error) {
		return func(ctx context.Context, _ *storage.Store) (string, error) {
			ends = append(ends, ctx.Err())
			return value, ctx.Err()
		}
	}
	show := func(v string) { shown = append(shown, v) }
	Load(s, &loader, "Reading the old", fetch("old"), show)
	Load(s, &loader, "Reading the new", fetch("new"), show)
	runner.waiting[1]()
	runner.waiting[0]()
	if !slices.Equal(shown, []string{"new"}) || loads != 1 || len(*said) != 0 {
		t.Errorf("shown %v, told %d times, said %v", shown, loads, *said)
	}
	if ends[0] != nil || !errors.Is(ends[1], context.Canceled) {
		t.Errorf("the contexts of the new and the old load: %v", ends)
	}
}

// What cannot be read is said as that, and nothing is shown; it says nothing of
// saving.
func TestLoadThatFails(t *testing.T) {
	d := NewDrained()
	s, said := heard(d)
	var loader Loader
	Load(
		s,
		&loader,
		"Reading what is due",
		func(context.Context, *storage.Store) (int, error) { return 7, errors.New("the disk is gone") },
		func(v int) { t.Errorf("shown %d", v) },
	)
	d.Drain()
	if len(*said) != 1 {
		t.Fatalf("said %v", *said)
	}
	n := (*said)[0]
	if !n.Bad || n.Title != "Reading what is due: it could not be read" || !strings.Contains(n.Text, "the disk is gone") ||
		strings.Contains(n.Text, "typed") {
		t.Errorf("said %+v", n)
	}
}

// After the ledger was closed no load is shown and no act reports, but an act that
// has begun goes on to its end.
func TestEndOfASession(t *testing.T) {
	d := NewDrained()
	s, said := heard(d)
	var loader Loader
	begun, ended := make(chan struct{}), false
	Load(s, &loader, "Reading", func(ctx context.Context, _ *storage.Store) (int, error) {
		<-ctx.Done()
		return 0, ctx.Err()
	}, func(int) { t.Error("shown after the end") })
	s.Act("Saving", func(ctx context.Context, _ *storage.Store) error {
		<-begun
		ended = ctx.Err() == nil
		return nil
	}, func() { t.Error("reported after the end") })
	s.End()
	close(begun)
	d.Drain()
	if !ended || len(*said) != 0 {
		t.Errorf("the act ended well: %v; said %v", ended, *said)
	}
}

// A reading beside the page is said when it fails, as one of reading, and is over
// when the ledger is closed.
func TestReadBesideThePage(t *testing.T) {
	d := NewDrained()
	s, said := heard(d)
	done := 0
	read := func(err error) {
		s.Read("Reading the log", func(context.Context, *storage.Store) error { return err }, func() { done++ })
	}
	read(nil)
	d.Drain()
	read(errors.New("the disk is gone"))
	d.Drain()
	if done != 1 || len(*said) != 1 || (*said)[0].Title != "Reading the log: it could not be read" {
		t.Errorf("done %d times, said %+v", done, *said)
	}
	read(nil)
	read(errors.New("the ledger is closed"))
	s.End()
	d.Drain()
	if done != 1 || len(*said) != 1 {
		t.Errorf("after the end done %d times, said %+v", done, *said)
	}
}

// What is done goes by the person and the workstation of the session.
func TestActsHaveAnAuthor(t *testing.T) {
	store, _ := storagetest.Room(t)
	d := NewDrained()
	s := &Session{Store: store, Runner: d, Person: "TK", Workstation: "bench", Say: func(n Notice) { t.Errorf("said %+v", n) }}
	person := tanks.Person{Initials: "AB"}
	s.Act("Saving", func(ctx context.Context, store *storage.Store) error { return store.SavePerson(ctx, &person) }, nil)
	d.Drain()
	all, err := store.Actions(t.Context(), 1)
	if want := (storage.Author{Person: "TK", Workstation: "bench"}); err != nil || len(all) != 1 || all[0].Author != want {
		t.Errorf("the last act is %+v, %v", all, err)
	}
}

// Faults of several fields are all said.
func TestFaultsAreAllSaid(t *testing.T) {
	var said []Notice
	s := &Session{Say: func(n Notice) { said = append(said, n) }}
	s.NotDone("Saving", fmt.Errorf("saving: %w", tanks.Faults{
		{Field: "name", Problem: "The name is missing", Remedy: "give one"}, {Field: "kind", Problem: "The kind is missing"},
	}.Err()))
	if text := said[0].Text; !strings.Contains(text, "The name is missing: give one") || !strings.Contains(text, "The kind is missing") ||
		strings.Contains(text, "saving:") {
		t.Errorf("said %q", text)
	}
}

// What acts report and what follows from it happens in the order of the acts, on
// the goroutine that drains.
func TestActsInOrder(t *testing.T) {
	d := NewDrained()
	s, said := heard(d)
	var order []string
	act := func(name string, err error) {
		s.Act(name, func(context.Context, *storage.Store) error { return err }, func() { order = append(order, name) })
	}
	act("one", nil)
	act("two", errors.New("full"))
	s.Try(func(context.Context, *storage.Store) error { return nil }, func(error) {
		order = append(order, "three")
		act("four", nil)
	})
	if len(order) != 0 {
		t.Errorf("before Drain %v is reported", order)
	}
	d.Drain()
	if want := []string{"one", "three", "four"}; !slices.Equal(order, want) {
		t.Errorf("reported %v, want %v", order, want)
	}
	if len(*said) != 1 || (*said)[0].Title != "two: not done" || !strings.Contains((*said)[0].Text, "what you typed is still here") {
		t.Errorf("said %v", *said)
	}
}

// Each section knows its place, and each place its sections in their order.
func TestSections(t *testing.T) {
	for place, want := range map[Place][]Section{
		Rounds: nil, Dosing: {DosingPlan, DosingRunSheet, DosingShelf, DosingChanges, DosingMaking}, System: {SystemWater, SystemChemistry,
			SystemTrend,
			SystemLog},
	} {
		if got := place.Sections(); !slices.Equal(got, want) {
			t.Errorf("%v has %v, want %v", place, got, want)
		}
	}
	for s := NoSection + 1; s < sectionsEnd; s++ {
		if _, ok := s.Place(); !ok || s.Words() == "" {
			t.Errorf("section %d: a place %v, name %q", s, ok, s.Words())
		}
	}
	for _, s := range []Section{NoSection, -1, sectionsEnd} {
		if _, ok := s.Place(); ok || s.Words() != "" {
			t.Errorf("%d is a section: %q", s, s.Words())
		}
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
	if got := s.Day(time.Date(2026, 3, 10, 23, 30, 0, 0, time.UTC)); got != "Wed 11 Mar" {
		t.Errorf("half past midnight in Paris is on %q", got)
	}
	if got := s.Minute(time.Date(2026, 3, 10, 7, 5, 0, 0, time.UTC)); got != "Tue 10 Mar, 08:05" {
		t.Errorf("a moment of UTC is %q", got)
	}
	if got := s.Minute(time.Date(2026, 3, 10, 8, 5, 0, 0, paris)); got != "Tue 10 Mar, 08:05" {
		t.Errorf("a moment is %q", got)
	}
}
