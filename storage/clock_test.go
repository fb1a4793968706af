package storage_test

import (
	"errors"
	"path/filepath"
	"testing"
	"time"

	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// A clock that does not go with the newest entry is found before anything is saved by
// it, at start and at each save; a person's word is taken until it jumps again.
func TestClockThatDoesNotGoWithTheEntries(t *testing.T) {
	const year = 365 * 24 * time.Hour
	for name, c := range map[string]struct {
		off   time.Duration
		wrong bool
	}{
		"as it was":         {0, false},
		"put right":         {-4 * time.Minute, false},
		"ten minutes back":  {-10 * time.Minute, true},
		"six years back":    {-6 * year, true},
		"half a year later": {year / 2, false},
		"six years ahead":   {6 * year, true},
	} {
		t.Run(name, func(t *testing.T) {
			now := storagetest.Now
			clock := func() time.Time { return now }
			s := value[*storage.Store](t)(storage.Create(t.Context(), filepath.Join(t.TempDir(), "room"),
				tanks.Room{Name: "Ours", Zone: "UTC"}, clock))
			now = now.Add(c.off)
			save := func() error { return s.SaveRoom(t.Context(), tanks.Room{Name: "Other " + now.String(), Zone: "UTC"}) }
			is := func(err error) bool {
				doubt := new(storage.ClockError)
				return errors.As(err, &doubt) && doubt.Now.Equal(now) && doubt.Newest.Equal(storagetest.Now)
			}
			if err := save(); is(err) != c.wrong || (err != nil) != c.wrong {
				t.Errorf("a save says %v", err)
			}
			must(t, s.SaveDraft(t.Context(), "sheet", []byte("typed"))) // what is typed is kept by any clock
			path := s.Path()
			must(t, s.Close())
			look := value[*storage.Store](t)(storage.OpenToLook(t.Context(), path, clock))
			if err := look.CheckClock(); c.wrong != is(err) {
				t.Errorf("looked at, it says %v", err)
			}
			must(t, look.Close())
			s = value[*storage.Store](t)(storage.Open(t.Context(), path, clock))
			defer s.Close()
			s.TrustClock()
			must(t, s.CheckClock())
			must(t, save())
			now = now.Add(-2 * year)
			if s.CheckClock() == nil || save() == nil {
				t.Error("trusted once, it may jump")
			}
		})
	}
}
