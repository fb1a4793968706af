package shell

import (
	"context"
	"errors"
	"path/filepath"
	"strings"
	"time"

	"fyne.io/fyne/v2/container"

	"weirkeeper/app/crash"
	"weirkeeper/app/ledgers"
	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/storage"
	"weirkeeper/storage/ledgerfile"
)

// fileLook is how often it is looked at whether the ledger's file is still at its
// place.
const fileLook = 5 * time.Second

// watchFile looks at the open ledger's file until the session ends.
func (w *Window) watchFile() {
	ticker, end := time.NewTicker(fileLook), make(chan struct{})
	w.watchEnd = end
	crash.Go(w.runner.Post, func() {
		defer ticker.Stop()
		for {
			select {
			case <-ticker.C:
				w.runner.Post(w.lookAtFile)
			case <-end:
				return
			}
		}
	})
}

func (w *Window) endWatch() {
	if w.watchEnd != nil {
		close(w.watchEnd)
		w.watchEnd = nil
	}
}

// lookAtFile looks off the window's goroutine: the drive may not answer.
func (w *Window) lookAtFile() {
	if w.session == nil || w.looking {
		return
	}
	s, store := w.session, w.session.Store
	w.looking = true
	w.runner.Run(context.Background(), func(context.Context) error { return store.Intact() }, func(err error) {
		w.looking = false
		if gone := new(ledgerfile.GoneError); errors.As(err, &gone) && w.session == s {
			w.fileGone(gone)
		} else if err == nil && w.session == s && !w.keepingCopy {
			w.copied = "" // of what it holds when it goes once more there is none yet
		}
	})
}

// failed looks at why something failed for what concerns the whole ledger.
func (w *Window) failed(err error) {
	if gone := new(ledgerfile.GoneError); errors.As(err, &gone) {
		w.fileGone(gone)
	}
	if clock := new(storage.ClockError); errors.As(err, &clock) {
		w.clockDoubted(clock)
	}
	if w.session == nil {
		return
	}
	path := w.session.Store.Path()
	if broken := new(ledgerfile.OpenError); errors.As(ledgerfile.OpenFailed(path, err), &broken) && broken.Damaged() {
		w.fileDamaged(path, broken)
	}
}

// fileDamaged says that a part of the open ledger cannot be read, and leads to the
// newest backup or to salvaging.
func (w *Window) fileDamaged(path string, broken *ledgerfile.OpenError) {
	w.session.Say(session.Notice{
		Title: say.L("The ledger's file is damaged"),
		Text:  say.L("A part of it cannot be read. Restore a backup, or salvage what can be read; the damaged file is kept."),
		Bad:   true, Stays: true, Do: say.L("Show the ways"), Then: func() {
			if w.commit() {
				w.ShowWelcome(session.Notice{})
				w.offerBackup(path, broken)
			}
		},
	})
}

// fileGone says that the ledger's file is not at its place any more, writes a whole copy
// where it is safe, and then offers to write one to its place. It is asked once; the
// notice, which leads back to that, stays, and comes again when it was closed and
// something is to be saved.
func (w *Window) fileGone(gone *ledgerfile.GoneError) {
	title := say.L("The ledger's file is gone from its place")
	if w.notices.hold(title) || w.keepingCopy {
		return
	}
	if w.session.Store.ReadOnly() {
		w.session.Say(session.Notice{Title: title, Text: say.L("What is shown here may be old: open the ledger again."), Bad: true,
			Stays: true})
		return
	}
	if w.copied == "" {
		w.keepCopy(gone)
		return
	}
	ask := func() { w.askRescue(title, gone) }
	w.session.Say(session.Notice{Title: title, Text: say.F("%s. %s", say.Of(gone), w.copied), Bad: true, Stays: true,
		Do: say.L("Write a copy"), Then: ask})
	if !w.gone {
		w.gone = true
		ask()
	}
}

// keepCopy writes a whole copy at once: whoever is asked may be away, and what was saved
// is in a file without a name, which goes with the program. Then the person is told.
func (w *Window) keepCopy(gone *ledgerfile.GoneError) {
	s, store, now, path := w.session, w.session.Store, w.clock(), ""
	backups := w.backupsOf(store.Path())
	if s.Room.Demo { // which is not backed up among a person's own
		backups = ledgers.BackupsOf(store.Path(), "")
	}
	w.keepingCopy = true
	w.frame.progress.Begin(say.L("Writing a copy of the ledger"), nil)
	w.runner.Run(context.Background(), func(ctx context.Context) (err error) {
		path, err = backups.Keep(ctx, store, now)
		return err
	}, func(err error) {
		w.keepingCopy = false
		if w.session != s {
			return
		}
		w.frame.progress.End()
		left := new(storage.PhotosLeftError)
		switch {
		case errors.As(err, &left):
			w.copied = say.F("A whole copy of it is in %s, without some of its photos: %s.", path, say.Of(left.Cause))
		case err != nil:
			w.copied = say.F("A copy for the meantime could not be written: %s. Do not end the program before one is.", say.Of(err))
		default:
			w.copied = say.F("A whole copy of it is in %s.", path)
		}
		w.fileGone(gone)
	})
}

func (w *Window) askRescue(title string, gone *ledgerfile.GoneError) {
	if w.session == nil {
		return
	}
	path := w.session.Store.Path()
	var closeIt func()
	place := widgets.NewPrimary(say.L("Write it to its place"), func() {
		closeIt()
		w.rescue(path)
	}).With(look.IconSave)
	elsewhere := widgets.NewSecondary(say.L("Write it elsewhere"), func() {
		closeIt()
		widgets.AskFolder(w.win, filepath.Dir(path), func(folder string) { w.rescue(rescuedName(path, folder, w.clock())) })
	}).With(look.IconOpen)
	text := say.F(
		"%s.\n%s\nAll that was saved until now is still at hand, and so is what you typed. It can be written back to its place; "+
			"what lies there is then kept in a folder beside it.",
		say.Of(gone), w.copied,
	)
	closeIt = widgets.ShowDialog(w.win, widgets.Dialog{
		Title: title, Content: container.NewVBox(widgets.NewWrapped(text), container.NewHBox(place, elsewhere)), Width: 480, Unasked: true,
	})
}

// rescuedName is the file of a copy in a folder that a person chose.
func rescuedName(path, folder string, now time.Time) string {
	end := filepath.Ext(path)
	name := strings.TrimSuffix(filepath.Base(path), end)
	return ledgerfile.NameBeside(filepath.Join(folder, name), "-rescued-"+now.UTC().Format(ledgerfile.Stamp)+end)
}

// rescue writes the copy, and opens it in place of the ledger whose file is gone.
func (w *Window) rescue(to string) {
	if w.session == nil {
		return
	}
	s, store := w.session, w.session.Store
	var kept string
	w.frame.progress.Begin(say.L("Writing a copy of the ledger"), nil)
	w.runner.Queue(context.Background(), func(ctx context.Context) (err error) {
		kept, err = store.Rescue(ctx, to)
		return err
	}, func(err error) {
		if w.session != s {
			return
		}
		w.frame.progress.End()
		left := new(storage.PhotosLeftError)
		if err != nil && !errors.As(err, &left) {
			w.gone = false
			s.NotDone(say.L("Writing a copy of the ledger"), err)
			return
		}
		text := say.F("All of the ledger is in %s.", to)
		if kept != "" {
			text += say.F(" What lay there is kept in %s.", kept)
		}
		unkept := s.Unkept()
		w.ShowWelcome(session.Notice{})
		w.notices.say(withoutPhotos(session.Notice{Title: say.L("Written"), Text: text}, left.Cause))
		w.openRescued(to, unkept)
	})
}

// openRescued opens the copy, and keeps in it what was typed while nothing could be
// saved.
func (w *Window) openRescued(path string, unkept map[string][]byte) {
	clock := w.clock
	w.openBy(say.F("Opening %s ...", filepath.Base(path)), true, func(ctx context.Context) (*storage.Store, error) {
		store, err := storage.Open(ctx, path, clock)
		if err != nil {
			return nil, err
		}
		for name, data := range unkept {
			if err := store.SaveDraft(ctx, name, data); err != nil {
				return nil, errors.Join(err, store.Close())
			}
		}
		return store, nil
	})
}
