package shell

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"time"

	"fyne.io/fyne/v2"

	"weirkeeper/app/crash"
	"weirkeeper/app/ledgers"
	"weirkeeper/app/look"
	"weirkeeper/app/prefs"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/assets/words"
	"weirkeeper/storage"
	"weirkeeper/storage/durable"
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
	keepLean(os.Getenv)
	opts = opts.resumed()
	first := openFirst(a.Preferences(), opts)
	p := prefs.Load(a.Preferences(), prefs.Desktop())
	a.Settings().SetTheme(look.Of(p.Theme, p.Density))
	fonts := look.ReadFonts()
	win := a.NewWindow(programName)
	if fault := crash.Catch(func() { showBlank(win, rememberedSize(a.Preferences())) }); fault != nil {
		return words.Errorf("the desktop gives no window: %s", fault.What) // nor would it give one to a new process
	}
	<-fonts
	w := makeWindow(a, win, opts.Clock, &session.Background{AtRest: rest}, p)
	var failed error
	a.Lifecycle().SetOnStopped(func() { failed = errors.Join(failed, w.Close()) })
	fault := crash.Catch(func() {
		w.begin(first)
		a.Run()
	})
	if fault != nil {
		return w.startAnew(fault, opts)
	}
	return failed
}

// showBlank shows the window before there is anything in it but the background: the
// display takes as long for that as the fonts and the ledger do, which are read
// meanwhile.
func showBlank(win fyne.Window, size fyne.Size) {
	win.SetPadded(false)
	win.Resize(size)
	win.Show()
}

// wholeTime is how long the first frame waits for the first page: on most ledgers the
// page is read by then, and a frame without it would be painted in vain.
const wholeTime = 200 * time.Millisecond

// begin starts with the first ledger before the window's loop runs.
func (w *Window) begin(first *firstLedger) {
	w.start(first)
	w.runner.Settle(w.whole, wholeTime)
}

// whole tells whether the window shows what it is to show: its page, or no ledger.
func (w *Window) whole() bool { return w.session == nil || w.pageShown }

// firstLedger is what the program starts with. The ledger, if there is one, is
// opened while the window is made.
type firstLedger struct {
	Options
	opening *ledgers.Opening // nil: no ledger, or the demo room
}

// openFirst begins to open the ledger that the options name, else the one of
// last time, if it is still there.
func openFirst(last fyne.Preferences, opts Options) *firstLedger {
	f := &firstLedger{Options: opts}
	if f.Ledger == "" && !f.Demo && f.Resume == nil {
		f.Ledger = last.String(prefLedger)
		if !ledgerfile.There(f.Ledger) {
			f.Ledger = ""
		}
	}
	if f.Ledger != "" && !f.Demo {
		f.opening = ledgers.Begin(f.Ledger, f.Clock, func(open func()) { crash.Go(fyne.Do, open) })
	}
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
	case first.opening == nil:
		w.ShowWelcome(w.resumeNotice())
		return
	}
	if store, ok := first.opening.Within(openingTime); ok {
		w.opened(store, nil, true)
		return
	}
	w.openBy(
		say.F("Opening %s ...", filepath.Base(first.Ledger)),
		true,
		func(context.Context) (*storage.Store, error) { return first.opening.Wait() },
	)
}

// openBy opens a ledger in the background, says meanwhile what is done, and shows
// it. One that is remembered opens by itself the next time.
func (w *Window) openBy(doing string, remember bool, open func(context.Context) (*storage.Store, error)) {
	var store *storage.Store
	w.welcomeBusy(doing)
	w.runner.Run(context.Background(), func(ctx context.Context) (err error) {
		store, err = open(ctx)
		return err
	}, func(err error) { w.opened(store, err, remember) })
}

// MakeCacheFolder makes the folder of the person's caches, which a fresh home lacks.
// Fyne makes its own within it, but not that one. It goes before the driver's app.
func MakeCacheFolder() error {
	folder, err := os.UserCacheDir()
	if err != nil {
		return words.Errorf("finding the folder of caches: %w", err)
	}
	if err := durable.MakeFolders(folder, 0o700); err != nil {
		return words.Errorf("making the folder of caches: %w", err)
	}
	return nil
}

// openFile opens the ledger at path in the background and shows it.
func (w *Window) openFile(path string) {
	clock := w.clock
	w.openBy(say.F("Opening %s ...", filepath.Base(path)), true, func(ctx context.Context) (*storage.Store, error) {
		return storage.Open(ctx, path, clock)
	})
}

// openToLook opens a ledger beside the program that writes it.
func (w *Window) openToLook(path string) {
	clock := w.clock
	w.openBy(say.F("Opening %s only to look ...", filepath.Base(path)), false, func(ctx context.Context) (*storage.Store, error) {
		return storage.OpenToLook(ctx, path, clock)
	})
}

// openDemo writes a fresh copy of the demo room and shows it. With an empty
// path the copy lies in a temporary folder and goes when it is closed.
func (w *Window) openDemo(path string) {
	var store *storage.Store
	var scratch string
	clock := w.clock
	w.welcomeBusy(say.L("Filling the demo room with invented data ..."))
	w.runner.Run(context.Background(), func(ctx context.Context) (err error) {
		store, scratch, err = ledgers.Demo(ctx, path, clock)
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

func rememberedSize(p fyne.Preferences) fyne.Size {
	return fyne.NewSize(float32(p.FloatWithFallback(prefWidth, 1280)), float32(p.FloatWithFallback(prefHeight, 800)))
}

func (w *Window) rememberSize() {
	size := w.win.Canvas().Size()
	w.app.Preferences().SetFloat(prefWidth, float64(size.Width))
	w.app.Preferences().SetFloat(prefHeight, float64(size.Height))
}
