package shell

import (
	"context"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"weirkeeper/app/apptest"
	"weirkeeper/app/session"
	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// A clock six years back is asked about when a ledger is opened; "nothing is due" is
// not said by it, nor is anything saved, until the person says that it is right.
func TestClockIsDoubted(t *testing.T) {
	store, f := storagetest.Room(t)
	path := store.Path()
	if err := store.Close(); err != nil {
		t.Fatal(err)
	}
	now := f.Now.AddDate(-6, 0, 0)
	k := newKeeper(t, func() time.Time { return now })
	k.w.openFile(path)
	k.settle()
	k.w.Show(session.Route{Place: session.Rounds})
	k.settle()
	if said := k.noticed(); !strings.Contains(said, "Is this computer's clock right?") || !strings.Contains(said, "2020") ||
		!strings.Contains(said, "2026") {
		t.Errorf("it says %q", said)
	}
	withdraw := func() error { return k.w.Session().Store.SaveStart(context.Background(), storage.Start{}) }
	if err := withdraw(); err == nil {
		t.Error("something is saved by it")
	}
	k.press("The clock is right")
	k.settle()
	if err := k.w.Session().Store.CheckClock(); err != nil || k.w.doubted {
		t.Errorf("it is still doubted: %v", err)
	}
	if err := withdraw(); err != nil {
		t.Error(err)
	}
	if said := k.noticed(); strings.Contains(said, "clock") {
		t.Errorf("settled, it still says %q", said)
	}
}

// A clock that jumps while a ledger is open is asked about at the next save.
func TestClockJumps(t *testing.T) {
	store, f := storagetest.Room(t)
	path := store.Path()
	if err := store.Close(); err != nil {
		t.Fatal(err)
	}
	now := f.Now
	k := newKeeper(t, func() time.Time { return now })
	k.w.openFile(path)
	k.settle()
	if k.w.doubted {
		t.Fatal("a right clock is doubted")
	}
	now = now.AddDate(-6, 0, 0)
	done := false
	k.w.Session().Act("Saving", func(ctx context.Context, s *storage.Store) error { return s.SaveStart(ctx, storage.Start{}) },
		func() { done = true })
	k.settle()
	if said := k.noticed(); done || !strings.Contains(said, "Is this computer's clock right?") {
		t.Errorf("done: %t, it says %q", done, said)
	}
}

// "Nothing is due" is not said by a clock that is doubted.
func TestNothingIsDueNeedsAClock(t *testing.T) {
	now := storagetest.Now
	clock := func() time.Time { return now }
	store, err := storage.Create(t.Context(), filepath.Join(t.TempDir(), "room"), tanks.Room{Name: "Ours", Zone: "UTC"}, clock)
	if err != nil {
		t.Fatal(err)
	}
	if err := store.SaveSystem(t.Context(), &tanks.System{Code: "F1", Name: "Rack", Kind: tanks.Marine, Opened: now}); err != nil {
		t.Fatal(err)
	}
	for off, says := range map[int]string{0: "Nothing is due", -6: "What is due cannot be told", 6: "What is due cannot be told"} {
		now = storagetest.Now.AddDate(off, 0, 0)
		if err := store.Close(); err != nil {
			t.Fatal(err)
		}
		if store, err = storage.Open(t.Context(), store.Path(), clock); err != nil {
			t.Fatal(err)
		}
		k := newKeeper(t, clock)
		if err := k.w.Open(t.Context(), store); err != nil {
			t.Fatal(err)
		}
		k.settle()
		k.w.Show(session.Route{Place: session.Rounds})
		k.settle()
		if off != 0 {
			k.press("Cancel")
			k.settle()
		}
		texts := ""
		for _, seen := range apptest.Texts(k.w.Fyne()) {
			texts += seen.Text + "\n"
		}
		if !strings.Contains(texts, says) ||
			(off != 0) == strings.Contains(texts, "Nothing is due") {
			t.Errorf("%d years off it says %s", off, texts)
		}
		if err := k.w.closeSession(); err != nil {
			t.Fatal(err)
		}
	}
}
