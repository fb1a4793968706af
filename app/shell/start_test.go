package shell

import (
	"context"
	"errors"
	"net"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"weirkeeper/app/apptest"
	"weirkeeper/app/ledgers"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

func TestX11Address(t *testing.T) {
	cases := map[string]struct{ display, network, address string }{
		"local":             {":0", "unix", "/tmp/.X11-unix/X0"},
		"local with screen": {":93.1", "unix", "/tmp/.X11-unix/X93"},
		"named unix":        {"unix:2", "unix", "/tmp/.X11-unix/X2"},
		"forwarded":         {"localhost:10.0", "tcp", "localhost:6010"},
		"a socket's path":   {"/private/tmp/x:0", "unix", "/private/tmp/x:0"},
		"nonsense":          {"screen", "", ""},
		"no number":         {":a", "", ""},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			network, address, err := x11Address(c.display)
			if network != c.network || address != c.address || (err == nil) != (c.network != "") {
				t.Errorf("%s %s, %v; want %s %s", network, address, err, c.network, c.address)
			}
		})
	}
}

func TestCheckDisplay(t *testing.T) {
	if runtime.GOOS != "linux" {
		t.Skip("displays are found by the environment on Linux only")
	}
	socket := filepath.Join(t.TempDir(), "wayland-7")
	l, err := net.Listen("unix", socket)
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	cases := map[string]struct {
		env  map[string]string
		says string
	}{
		"nothing set":         {map[string]string{}, "no display"},
		"a display that died": {map[string]string{"DISPLAY": ":6543"}, "does not answer"},
		"not a display":       {map[string]string{"DISPLAY": "screen"}, "names no display"},
		"wayland by name":     {map[string]string{"WAYLAND_DISPLAY": "wayland-7", "XDG_RUNTIME_DIR": filepath.Dir(socket)}, ""},
		"wayland by path":     {map[string]string{"WAYLAND_DISPLAY": socket}, ""},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			err := CheckDisplay(func(key string) string { return c.env[key] })
			if c.says == "" && err != nil || c.says != "" && (err == nil || !strings.Contains(err.Error(), c.says)) {
				t.Errorf("says %v, want %q", err, c.says)
			}
			if err != nil && strings.Contains(err.Error(), "\n") {
				t.Errorf("more than one line: %v", err)
			}
		})
	}
}

// open starts with options.
func (k *keeper) open(opts Options) {
	k.t.Helper()
	k.w.start(openFirst(k.w.app.Preferences(), opts))
	k.settle()
}

// Without flags the ledger of last time opens; the first time, and when it is
// gone, the welcome page stays.
func TestOpensTheLedgerOfLastTime(t *testing.T) {
	path := filepath.Join(t.TempDir(), "mine.ledger")
	k := newKeeper(t, storagetest.Clock)
	k.open(Options{Clock: storagetest.Clock})
	if k.w.Session() != nil {
		t.Fatal("a ledger is open the first time")
	}
	k.w.createRoom(path, tanks.Room{Name: "Mine", Zone: "UTC"}, func(err error) {
		if err != nil {
			t.Fatal(err)
		}
	})
	k.settle()
	k.menu("W")
	if k.w.Session() != nil {
		t.Fatal("the ledger is still open after closing it")
	}
	k.open(Options{Clock: storagetest.Clock})
	if s := k.w.Session(); s == nil || s.Store.Path() != path {
		t.Fatal("the ledger of last time does not open")
	}
	k.open(Options{Clock: storagetest.Clock, Ledger: filepath.Join(t.TempDir(), "none.ledger")})
	notice := apptest.Find(t, k.c.Content(), func(*widgets.Notice) bool { return true })
	if title, text := notice.Said(); !strings.Contains(title, "could not be opened") || !strings.Contains(text, "none.ledger") {
		t.Errorf("a missing ledger is told as %q, %q", title, text)
	}
}

// The demo room opens as a copy that goes when it is closed.
func TestDemoIsACopy(t *testing.T) {
	k := newKeeper(t, storagetest.Clock)
	k.open(Options{Clock: storagetest.Clock, Demo: true})
	s := k.w.Session()
	if s == nil || !s.Room.Demo {
		t.Fatal("the demo room is not open")
	}
	path := s.Store.Path()
	k.w.ShowWelcome(session.Notice{})
	k.settle()
	if _, err := os.Stat(path); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("the copy %s is left behind", path)
	}
	title := apptest.Find(t, k.c.Content(), func(*widgets.Heading) bool { return true })
	if title == nil {
		t.Error("the welcome page is not shown")
	}
}

// later is a runner whose first work waits for the ledger.
type later struct {
	*session.Drained
	before func()
}

func (l *later) Run(ctx context.Context, work func(context.Context) error, done func(error)) {
	if l.before != nil {
		l.before()
		l.before = nil
	}
	l.Drained.Run(ctx, work, done)
}

// A ledger that takes long to open is waited for in sight.
func TestWaitsInSight(t *testing.T) {
	store, _ := storagetest.Room(t)
	k := newKeeper(t, storagetest.Clock)
	release := make(chan struct{})
	if err := store.Close(); err != nil {
		t.Fatal(err)
	}
	slow := &firstLedger{Options: Options{Ledger: "big.ledger"}, opening: ledgers.Begin(store.Path(), storagetest.Clock, func(open func()) {
		go func() {
			<-release
			open()
		}()
	})}
	said := ""
	k.w.runner = &later{Drained: k.runner, before: func() {
		for _, text := range apptest.Texts(k.w.win) {
			said += text.Text + "\n"
		}
		close(release)
	}}
	k.w.start(slow)
	k.settle()
	if !strings.Contains(said, "Opening big.ledger") {
		t.Errorf("meanwhile it says %q", said)
	}
	if k.w.Session() == nil {
		t.Error("the ledger is not shown in the end")
	}
}
