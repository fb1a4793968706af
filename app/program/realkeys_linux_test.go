package program

import (
	"os"
	"path/filepath"
	"testing"
	"time"
)

// picture is what the display shows, as a number that differs when it differs.
type picture uint64

// watch waits until a key has changed the picture, and returns the new one; ok is
// false when nothing changes.
func (d *desktop) watch(screen []byte, keys ...string) (now picture, ok bool) {
	d.t.Helper()
	before := digest(screen)
	d.keys(keys...)
	for deadline := time.Now().Add(5 * time.Second); time.Now().Before(deadline); time.Sleep(20 * time.Millisecond) {
		if digest(screen) != before {
			return d.settled(screen), true
		}
	}
	return picture(before), false
}

// settled waits until the picture stays, or a cursor has blinked long enough.
func (d *desktop) settled(screen []byte) picture {
	last, since := digest(screen), time.Now()
	for deadline := time.Now().Add(4 * time.Second); time.Since(since) < 400*time.Millisecond &&
		time.Now().Before(deadline); time.Sleep(20 * time.Millisecond) {
		if now := digest(screen); now != last {
			last, since = now, time.Now()
		}
	}
	return picture(last)
}

// In a real window the keys alone lead to every place and every command of the
// menus, and each Tab is seen to move the focus.
func TestRealWindowByKeys(t *testing.T) {
	needWindow(t)
	if testing.Short() {
		t.Skip("builds the program and opens a window")
	}
	folder := t.TempDir()
	ledger := filepath.Join(folder, "demo.ledger")
	d := start(t, buildProgram(t), "-demo", "-ledger", ledger, "-at", "2026-03-10T08:02:00Z")
	d.wait("the demo room to be filled", func() bool { return query(ledger, "SELECT count(*) FROM readings") > 1000 })
	d.focus("Frag Room")
	screen := mapped(t, filepath.Join(d.folder, "Xvfb_screen0"))
	d.settled(screen)

	seen := map[picture]string{}
	for _, place := range []string{"ctrl+2", "ctrl+3", "ctrl+4", "ctrl+5", "ctrl+6", "ctrl+7", "ctrl+8", "ctrl+1"} {
		now, ok := d.watch(screen, place)
		if !ok || seen[now] != "" {
			d.keepPicture()
			t.Errorf("%s leads nowhere new: it looks like %q", place, seen[now])
		}
		seen[now] = place
		for tab := 1; tab <= 5; tab++ {
			if _, ok := d.watch(screen, "F6"); !ok {
				d.keepPicture()
				t.Errorf("%s: the focus is not seen to move the %d. time", place, tab)
			}
		}
	}
	d.watch(screen, "ctrl+2")
	for tab := 1; tab <= 5; tab++ {
		if _, ok := d.watch(screen, "Tab"); !ok {
			t.Errorf("Room: Tab is not seen to move the focus the %d. time", tab)
		}
	}

	for name, keys := range map[string][]string{
		"the list of keys": {"F1"}, "the search": {"ctrl+k"}, "a new room": {"ctrl+n"}, "a file": {"ctrl+o"},
	} {
		d.watch(screen, "ctrl+1")
		d.settled(screen)
		if _, ok := d.watch(screen, keys...); !ok {
			t.Errorf("%v does not open %s", keys, name)
		}
		if _, ok := d.watch(screen, "Escape"); !ok {
			d.keepPicture()
			t.Errorf("Esc does not close %s", name)
		}
	}
	for name, keys := range map[string][]string{
		"the import": {"ctrl+i"}, "the preferences": {"ctrl+comma"}, "the rail": {"ctrl+1",
			"ctrl+r"}, "the next place in the rail": {"ctrl+1", "ctrl+r", "Down", "Return"},
		"what is searched": {"ctrl+k", "p", "h", "o", "s", "Return"},
	} {
		d.watch(screen, "ctrl+7")
		if _, ok := d.watch(screen, keys...); !ok {
			t.Errorf("%v do not lead to %s", keys, name)
		}
	}
	d.keys("ctrl+b")
	d.wait("a backup", func() bool {
		found, err := filepath.Glob(filepath.Join(folder, "*", "*"))
		return err == nil && len(found) > 0
	})
	if _, ok := d.watch(screen, "ctrl+w"); !ok {
		t.Error("Ctrl+W does not close the ledger")
	}
	d.keys("ctrl+q")
	select {
	case <-d.ended:
		if code := d.program.ProcessState.ExitCode(); code != exitOK {
			t.Errorf("it ends with code %d\n%s", code, d.printed())
		}
	case <-time.After(patience):
		d.keepPicture()
		t.Error("Ctrl+Q does not end the program")
	}
	if _, err := os.Stat(ledger); err != nil {
		t.Error(err)
	}
}
