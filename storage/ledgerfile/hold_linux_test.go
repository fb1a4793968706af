package ledgerfile

import (
	"errors"
	"os"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"weirkeeper/storage/storagetest/faults"
)

// Whatever a ledger is called, it has one lock.
func TestLockByEveryName(t *testing.T) {
	f := newLedger(t)
	for name, link := range map[string]func(from, to string) error{"a link": os.Symlink, "a second name": os.Link} {
		other := filepath.Join(t.TempDir(), "other")
		must(t, link(f.Path(), other))
		var held *HeldError
		child, err := faults.Child("", openOnce, other).Output()
		if _, ours := Open(t.Context(), other, now, nothing); !errors.As(ours, &held) {
			t.Errorf("by %s: %v", name, ours)
		}
		if err != nil || string(child) != "held: true\n" {
			t.Errorf("another program, by %s: %q, %v", name, child, err)
		}
	}
	must(t, f.Close())
	for _, path := range []string{f.Path(), filepath.Join(filepath.Dir(f.Path()), "room")} {
		next, err := Open(t.Context(), path, now, nothing)
		must(t, err)
		must(t, next.Close())
	}
}

// Opened by a link a ledger is the file that the link leads to, its photos and its
// lock lie beside that.
func TestOpenedByALink(t *testing.T) {
	path := closedLedger(t, "room")
	link := filepath.Join(t.TempDir(), "link")
	must(t, os.Symlink(path, link))
	f, err := Open(t.Context(), link, now, nothing)
	must(t, err)
	if f.Path() != path {
		t.Errorf("it is %s", f.Path())
	}
	must(t, f.Close())
	if left, _ := os.ReadDir(filepath.Dir(link)); len(left) != 1 {
		t.Errorf("beside the link are %v", left)
	}
}

// A pipe in a ledger's place is refused, and not waited for.
func TestPipeIsNoLedger(t *testing.T) {
	path := filepath.Join(t.TempDir(), "pipe")
	must(t, syscall.Mkfifo(path, 0o600))
	said := make(chan error, 2)
	go func() {
		_, err := OpenToLook(t.Context(), path)
		said <- err
	}()
	select {
	case err := <-said:
		var refused *OpenError
		if !errors.As(err, &refused) || refused.Problem != "it is no plain file" {
			t.Errorf("it says %v", err)
		}
	case <-time.After(20 * time.Second):
		t.Fatal("it waits for whoever writes into the pipe")
	}
}

// What lies at the names of a lock and its holder is not followed.
func TestLinksBesideALedger(t *testing.T) {
	path := closedLedger(t, "room")
	other := filepath.Join(t.TempDir(), "another's")
	write(t, other, []byte("another's"))
	must(t, os.Symlink(other, path+"-holder"))
	f, err := Open(t.Context(), path, now, nothing)
	must(t, err)
	if holderOf(path).PID != os.Getpid() {
		t.Error("the holder is not written down")
	}
	must(t, f.Close())
	empty := filepath.Join(t.TempDir(), "empty")
	write(t, empty, nil)
	for _, to := range []string{other, empty, filepath.Join(t.TempDir(), "none")} {
		must(t, os.Remove(path+"-lock"))
		must(t, os.Symlink(to, path+"-lock"))
		if f, err := Open(t.Context(), path, now, nothing); err == nil {
			t.Errorf("it is locked through a link to %s", to)
			f.Close()
		}
	}
	if string(read(t, other)) != "another's" {
		t.Errorf("the other file holds %q", read(t, other))
	}
	must(t, os.Remove(path+"-lock"))
	must(t, syscall.Mkfifo(path+"-holder", 0o600))
	if h := holderOf(path); h.PID != 0 {
		t.Errorf("a pipe is the holder %+v", h)
	}
}
