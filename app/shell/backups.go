package shell

import (
	"context"
	"errors"
	"path/filepath"
	"strings"
	"time"

	"weirkeeper/app/crash"
	"weirkeeper/app/ledgers"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
	"weirkeeper/storage/ledgerfile"
	"weirkeeper/storage/safekeeping"
)

const prefBackups = "backup.folder"

// backupLook is how often it is looked at whether a backup is due.
const backupLook = time.Hour

// keeping makes the window's backups; it is what the screens see of them.
type keeping struct{ w *Window }

// backupsOf returns the backups of a ledger, in the chosen folder.
func (w *Window) backupsOf(ledger string) ledgers.Backups {
	return ledgers.BackupsOf(ledger, w.app.Preferences().String(prefBackups))
}

// backups are those of the open ledger.
func (k keeping) backups() ledgers.Backups { return k.w.backupsOf(k.w.session.Store.Path()) }

// Folder implements session.Backups.
func (k keeping) Folder() string { return k.backups().Folder }

// SetFolder implements session.Backups.
func (k keeping) SetFolder(folder string) { k.w.app.Preferences().SetString(prefBackups, folder) }

// Make implements session.Backups.
func (k keeping) Make(done func(error)) {
	backups, frame, store, now, post := k.backups(), k.w.frame, k.w.session.Store, k.w.session.Now(), k.w.runner.Post
	frame.progress.Begin(say.L("Backing up"), nil)
	k.w.runner.Run(context.Background(), func(ctx context.Context) error {
		return backups.Make(ctx, store, now, func(step words.Text) {
			post(func() { frame.backup.SetText(say.L(step)) })
		})
	}, func(err error) {
		if err == nil {
			k.w.unsaved = false
		}
		frame.progress.End()
		k.w.showBackup()
		done(err)
		k.w.failed(err)
	})
}

// Restore implements session.Backups. The open ledger is closed for it and kept
// beside the restored one.
func (k keeping) Restore(b safekeeping.Backup) {
	path := k.w.session.Store.Path()
	k.w.ShowWelcome(session.Notice{})
	k.w.restore(b, path)
}

// restore puts a backup in the place of a closed ledger and opens it.
func (w *Window) restore(b safekeeping.Backup, path string) {
	w.welcomeBusy(say.F("Restoring the backup of %s ...", words.Moment(b.Taken.Local())))
	var kept string
	now := w.clock()
	w.runner.Run(context.Background(), func(ctx context.Context) (err error) {
		kept, err = safekeeping.Restore(ctx, b, path, now)
		return err
	}, func(err error) {
		photos := new(safekeeping.PhotosError)
		if err != nil && !errors.As(err, &photos) {
			n := notRestored(err)
			n.Do, n.Then = say.L("Open the ledger"), func() { w.openFile(path) }
			w.ShowWelcome(n)
			return
		}
		text := say.F("The ledger as it was before is kept in %s.", kept)
		if kept == "" {
			text = say.F("It is the backup of %s. There was no ledger in its place.", words.Moment(b.Taken.Local()))
		}
		w.notices.say(withoutPhotos(session.Notice{Title: say.L("Restored"), Text: text}, photos.Cause))
		w.openFile(path)
	})
}

// notRestored says why a backup is not in its place, and what the ledger is now.
func notRestored(err error) session.Notice {
	if unfinished := new(ledgerfile.UnfinishedError); errors.As(err, &unfinished) {
		return session.Notice{Title: say.L("The restore is not at its end"), Text: say.F("%s.", say.Of(unfinished)), Bad: true}
	}
	return session.Notice{Title: say.L("The backup could not be restored"), Text: say.F("%s. The ledger is as it was.", say.Of(err)),
		Bad: true}
}

// offerBackup shows why the ledger at path cannot be opened and, when there is a
// good backup of it, offers the newest.
func (w *Window) offerBackup(path string, cause error) {
	n := session.Notice{Title: say.L("The ledger could not be opened"), Text: say.Of(cause), Bad: true}
	var good safekeeping.Backup
	found, backups := false, w.backupsOf(path)
	w.runner.Run(context.Background(), func(ctx context.Context) error {
		good, found = backups.Good(ctx)
		return nil
	}, func(error) {
		if found {
			n.Text += say.F(". There is a good backup of %s; the broken file would be kept beside it.", words.Moment(good.Taken.Local()))
			n.Do, n.Then = say.L("Restore it"), func() { w.restore(good, path) }
		} else if broken := new(ledgerfile.OpenError); errors.As(cause, &broken) && broken.Damaged() {
			n.Text += say.L(". There is no good backup; what can be read of it can be put into a new ledger beside it.")
			n.Do, n.Then = say.L("Salvage it"), func() { w.salvage(path) }
		}
		w.ShowWelcome(n)
	})
}

// salvage puts what can be read of a damaged ledger into a new one beside it and
// opens that.
func (w *Window) salvage(path string) {
	w.welcomeBusy(say.F("Reading what can be read of %s ...", filepath.Base(path)))
	now := w.clock()
	to := ledgers.SalvagedName(path, now)
	var got safekeeping.Salvaged
	w.runner.Run(context.Background(), func(ctx context.Context) (err error) {
		got, err = safekeeping.Salvage(ctx, path, to, now, nil)
		return err
	}, func(err error) {
		photos := new(safekeeping.PhotosError)
		if err != nil && !errors.As(err, &photos) {
			w.ShowWelcome(
				session.Notice{
					Title: say.L("Nothing could be salvaged"),
					Text:  say.F("%s. The damaged file is as it was.", say.Of(err)),
					Bad:   true,
				},
			)
			return
		}
		n := session.Notice{
			Title: say.F("Salvaged %s of %s", say.N(got.Kept["readings"], "%d readings"), say.N(got.Kept["systems"], "%d systems")),
			Text:  salvageText(got, path),
		}
		w.notices.say(withoutPhotos(n, photos.Cause))
		w.openFile(to)
	})
}

// withoutPhotos adds to a notice why not all photos came, if they did not.
func withoutPhotos(n session.Notice, cause error) session.Notice {
	if cause != nil {
		n.Text, n.Bad = say.F("%s Not all of its photos could be copied: %s.", n.Text, say.Of(cause)), true
	}
	return n
}

// salvageText says what was lost, what is doubtful and what was made up, of each the
// first.
func salvageText(got safekeeping.Salvaged, path string) string {
	var parts []string
	if got.Whole() {
		parts = append(parts, say.L("Nothing is lost as far as can be told."))
	}
	if len(got.Losses) > 0 {
		parts = append(parts, say.F("Lost: %s.", firstOf(got.Losses)))
	}
	if got.Unnamed > 0 {
		parts = append(parts, say.F("%d pages cannot be read; at the most %d more entries stood in them.", got.Unread, got.Unnamed))
	}
	if len(got.Doubtful) > 0 {
		parts = append(parts, say.F("Kept, but not as it was written, so look at it: %s.", firstOf(got.Doubtful)))
	}
	if len(got.Invented) > 0 {
		parts = append(parts, say.F("Made up, since others refer to them: %s.", strings.Join(got.Invented, ", ")))
	}
	return strings.Join(append(parts, say.F("The damaged file is kept: %s.", filepath.Base(path))), " ")
}

// mostSaid bounds what a notice lists.
const mostSaid = 6

func firstOf(all []words.Text) string {
	var said []string
	for _, one := range all[:min(len(all), mostSaid)] {
		said = append(said, say.Of(one))
	}
	text := strings.Join(said, "; ")
	if more := len(all) - mostSaid; more > 0 {
		text = say.F("%s; and %d more, which the command salvage lists", text, more)
	}
	return text
}

// keeps tells whether the open ledger is backed up by itself: not a demo, and not
// one that is open only to look.
func (w *Window) keeps() bool {
	return w.session != nil && !w.session.Store.ReadOnly() && !w.session.Room.Demo
}

// keepBackups backs up the ledger now when the newest backup is a day old, and
// looks again every hour until endBackups.
func (w *Window) keepBackups() {
	w.unsaved = false
	w.showBackup()
	w.backUpIfDue()
	ticker, end := time.NewTicker(backupLook), make(chan struct{})
	w.backupEnd = end
	crash.Go(w.runner.Post, func() {
		defer ticker.Stop()
		for {
			select {
			case <-ticker.C:
				w.runner.Post(w.backUpIfDue)
			case <-end:
				return
			}
		}
	})
}

func (w *Window) endBackups() {
	if w.backupEnd != nil {
		close(w.backupEnd)
		w.backupEnd = nil
	}
}

// backUpIfDue looks at the backups off the window's goroutine.
func (w *Window) backUpIfDue() {
	if !w.keeps() {
		return
	}
	s, backups, now, due := w.session, keeping{w}.backups(), w.clock(), false
	w.runner.Run(context.Background(), func(context.Context) error {
		due = backups.Due(now)
		return nil
	}, func(error) {
		if !due || w.session != s {
			return
		}
		keeping{w}.Make(func(err error) {
			if err != nil && w.session == s {
				s.NotDone(say.L("The daily backup"), err)
			}
		})
	})
}

// showBackup writes the newest backup into the bottom line.
func (w *Window) showBackup() {
	if w.session == nil {
		return
	}
	if w.session.Room.Demo {
		w.frame.backup.SetText("")
		return
	}
	s, frame, backups, now := w.session, w.frame, keeping{w}.backups(), w.clock()
	var newest safekeeping.Backup
	found, missing := false, false
	w.runner.Run(context.Background(), func(context.Context) error {
		newest, found = backups.Newest(now)
		missing = backups.Missing()
		return nil
	}, func(error) {
		text := say.L("no backup yet")
		switch {
		case missing:
			text = say.L("the backup folder is not there")
		case found:
			text = say.F("last backup %s", s.Minute(newest.Taken))
		}
		frame.backup.SetText(text)
	})
}

// backUpBeforeClosing makes a backup when something was saved since the last
// one, then closes. When it fails the person decides.
func (w *Window) backUpBeforeClosing(closeIt func()) {
	if !w.keeps() || !w.unsaved {
		closeIt()
		return
	}
	keeping{w}.Make(func(err error) {
		if err == nil {
			closeIt()
			return
		}
		widgets.ShowQuestion(
			w.win,
			say.L("The backup failed"),
			say.F("%v. What you saved is in the ledger itself. Close without a backup?", err),
			say.L("Close"),
			closeIt,
		)
	})
}
