package shell

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"time"

	"fyne.io/fyne/v2"
	"github.com/adrg/xdg"

	"weirkeeper/app/crash"
	"weirkeeper/app/look"
	"weirkeeper/app/prefs"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/assets/words"
	"weirkeeper/storage"
	"weirkeeper/storage/demoroom"
	"weirkeeper/storage/ledgerfile"
)

// Keys of what is remembered between runs. What matters is in the ledger.
const (
	prefLedger = "ledger"
	prefPerson = "person"
	prefWidth  = "window.width"
	prefHeight = "window.height"
	prefScreen = "window.screen"
)

const (
	ledgerSuffix = ".ledger"
	demoSeed     = 20
)

// Options say how the program starts.
type Options struct {
	Demo   bool             // open a fresh copy of the demo room
	Ledger string           // file to open; with Demo, where the copy goes
	At     string           // a pretended time, empty: the real one
	Clock  func() time.Time // the time now

	// Version of the program, for reports.
	Version string
	// Resume is what a process before this one left to go on with; nil: nothing.
	Resume *crash.Resume
}

// Run opens the window and returns when it is closed. a is the driver's app.
func Run(a fyne.App, opts Options) error {
	opts = opts.resumed()
	first := openFirst(a.Preferences(), opts)
	p := prefs.Load(a.Preferences(), prefs.Desktop())
	a.Settings().SetTheme(look.Of(p.Theme, p.Density))
	fonts := look.ReadFonts()
	win := a.NewWindow(programName) // the desktop takes as long for it as the fonts do
	<-fonts
	w := makeWindow(a, win, opts.Clock, &session.Background{}, p)
	w.start(first)
	var failed error
	a.Lifecycle().SetOnStopped(func() { failed = errors.Join(failed, w.Close()) })
	begun := false
	a.Lifecycle().SetOnStarted(func() { begun = true })
	switch fault := crash.Catch(w.win.ShowAndRun); {
	case fault == nil:
		return failed
	case !begun:
		return words.Errorf("the desktop gives no window: %s", fault.What) // nor would it give one to a new process
	default:
		return w.startAnew(fault, opts)
	}
}

// firstLedger is what the program starts with. The ledger, if there is one, is
// opened while the window is made.
type firstLedger struct {
	Options
	opened chan struct{} // closed when store and err are there
	store  *storage.Store
	err    error
}

// openFirst begins to open the ledger that the options name, else the one of
// last time, if it is still there.
func openFirst(last fyne.Preferences, opts Options) *firstLedger {
	f := &firstLedger{Options: opts, opened: make(chan struct{})}
	if f.Ledger == "" && !f.Demo && f.Resume == nil {
		f.Ledger = last.String(prefLedger)
		if _, err := os.Stat(f.Ledger); errors.Is(err, os.ErrNotExist) {
			f.Ledger = ""
		}
	}
	if f.Ledger == "" || f.Demo {
		return f
	}
	crash.Go(fyne.Do, func() {
		defer close(f.opened)
		f.store, f.err = storage.Open(context.Background(), f.Ledger, f.Clock)
	})
	return f
}

// openingTime is how long the window waits for its first ledger before it shows
// that it waits, so that this does not flicker by.
const openingTime = 200 * time.Millisecond

// start shows the first ledger, the demo room or the welcome page. A ledger that
// cannot be opened is said there.
func (w *Window) start(first *firstLedger) {
	w.resume = first.Resume
	switch {
	case first.Demo:
		w.openDemo(first.Ledger)
		return
	case first.Ledger == "":
		w.ShowWelcome(w.resumeNotice())
		return
	}
	select {
	case <-first.opened:
		if first.err == nil {
			w.opened(first.store, nil, true)
			return
		}
	case <-time.After(openingTime):
	}
	w.welcomeBusy(say.F("Opening %s ...", filepath.Base(first.Ledger)))
	w.runner.Run(context.Background(), func(context.Context) error {
		<-first.opened
		return first.err
	}, func(err error) { w.opened(first.store, err, true) })
}

// DataFolder returns the folder where ledgers live unless chosen otherwise.
func DataFolder() string { return filepath.Join(xdg.DataHome, "weirkeeper") }

// openFile opens the ledger at path in the background and shows it.
func (w *Window) openFile(path string) {
	var store *storage.Store
	clock := w.clock
	w.welcomeBusy(say.F("Opening %s ...", filepath.Base(path)))
	w.runner.Run(context.Background(), func(ctx context.Context) (err error) {
		store, err = storage.Open(ctx, path, clock)
		return err
	}, func(err error) {
		w.opened(store, err, true)
	})
}

// openToLook opens a ledger beside the program that writes it.
func (w *Window) openToLook(path string) {
	var store *storage.Store
	clock := w.clock
	w.welcomeBusy(say.F("Opening %s only to look ...", filepath.Base(path)))
	w.runner.Run(context.Background(), func(ctx context.Context) (err error) {
		store, err = storage.OpenToLook(ctx, path, clock)
		return err
	}, func(err error) { w.opened(store, err, false) })
}

// openDemo writes a fresh copy of the demo room and shows it. With an empty
// path the copy lies in a temporary folder and goes when it is closed.
func (w *Window) openDemo(path string) {
	var store *storage.Store
	clock := w.clock
	var scratch string
	w.welcomeBusy(say.L("Filling the demo room with invented data ..."))
	w.runner.Run(context.Background(), func(ctx context.Context) (err error) {
		if path == "" {
			if scratch, err = os.MkdirTemp("", "weirkeeper-demo-"); err != nil {
				return words.Errorf("making the demo room's folder: %w", err)
			}
			path = filepath.Join(scratch, "demo"+ledgerSuffix)
		}
		store, err = demoroom.Create(ctx, path, clock, demoSeed)
		return err
	}, func(err error) {
		w.opened(store, err, false)
		w.scratch = scratch
	})
}

// opened shows the opened store, or the welcome page with what went wrong.
func (w *Window) opened(store *storage.Store, err error, remember bool) {
	if err == nil {
		if err = w.Open(context.Background(), store); err != nil {
			store.Close() // what it holds cannot be shown
		}
	}
	var held *ledgerfile.HeldError
	var broken *ledgerfile.OpenError
	switch {
	case errors.As(err, &broken) && broken.Lost():
		w.offerBackup(broken.Path, err)
		return
	case errors.As(err, &held):
		w.ShowWelcome(session.Notice{Title: say.L("The ledger is open already"), Text: say.Of(err), Bad: true,
			Do: say.L("Open only to look"), Then: func() { w.openToLook(held.Path) }})
		return
	case errors.As(err, &broken) && broken.Viewable():
		w.ShowWelcome(session.Notice{Title: say.L("The ledger cannot be written"), Text: say.Of(err), Bad: true,
			Do: say.L("Open only to look"), Then: func() { w.openToLook(broken.Path) }})
		return
	case err != nil:
		w.ShowWelcome(session.Notice{Title: say.L("The ledger could not be opened"), Text: say.Of(err), Bad: true})
		return
	}
	if remember {
		if abs, err := filepath.Abs(store.Path()); err == nil {
			w.app.Preferences().SetString(prefLedger, abs)
		}
	}
}

// createRoom makes a new ledger and shows it on Setup, where a room begins.
func (w *Window) createRoom(path string, name, zone string) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return words.Errorf("making the folder of the ledger: %w", err)
	}
	store, err := storage.Create(context.Background(), path, newRoom(name, zone), w.clock)
	if err != nil {
		return err
	}
	w.opened(store, nil, true)
	w.Show(session.Route{Place: session.Setup})
	return nil
}

func (w *Window) rememberedSize() fyne.Size {
	p := w.app.Preferences()
	return fyne.NewSize(float32(p.FloatWithFallback(prefWidth, 1280)), float32(p.FloatWithFallback(prefHeight, 800)))
}

func (w *Window) rememberSize() {
	size := w.win.Canvas().Size()
	w.app.Preferences().SetFloat(prefWidth, float64(size.Width))
	w.app.Preferences().SetFloat(prefHeight, float64(size.Height))
}
