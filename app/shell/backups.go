package shell

import (
	"context"
	"errors"
	"maps"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"weirkeeper/app/crash"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
	"weirkeeper/storage/ledgerfile"
	"weirkeeper/storage/safekeeping"
)

const (
	prefBackups = "backup.folder"
	// backupEvery is how old the newest backup may get while a ledger is open.
	backupEvery = 24 * time.Hour
	// backupLook is how often that is looked at.
	backupLook = time.Hour
	// proveEvery is how old the proof of a backup may get.
	proveEvery = 30 * 24 * time.Hour
)

// keeping makes the window's backups; it is what the screens see of them.
type keeping struct{ w *Window }

// Folder implements session.Backups.
func (k keeping) Folder() string {
	return k.w.backupFolder(k.w.session.Store.Path())
}

// backupFolder is where the backups of a ledger go: as chosen, else beside it.
func (w *Window) backupFolder(ledger string) string {
	if folder := w.app.Preferences().String(prefBackups); folder != "" {
		return folder
	}
	return filepath.Join(filepath.Dir(ledger), "backups")
}

// SetFolder implements session.Backups.
func (k keeping) SetFolder(folder string) { k.w.app.Preferences().SetString(prefBackups, folder) }

// Make implements session.Backups. Old backups are thinned out after it, and the
// one whose proof is the oldest is proved anew.
func (k keeping) Make(done func(error)) {
	folder, frame, store, now := k.Folder(), k.w.frame, k.w.session.Store, k.w.session.Now()
	frame.progress.Begin(say.L("Backing up"), nil)
	k.w.runner.Run(context.Background(), func(ctx context.Context) error {
		_, err := safekeeping.TakeBackup(ctx, store, folder, now, func(step string) {
			k.w.runner.Post(func() { frame.backup.SetText(say.F("Backup: %s ...", step)) })
		})
		if err != nil {
			return err
		}
		if err := thin(folder, store.Path(), now); err != nil {
			return err
		}
		k.w.runner.Post(func() { frame.backup.SetText(say.L("Backup: proving an old one ...")) })
		old, err := safekeeping.Reverify(ctx, folder, store.Path(), now, proveEvery)
		if err != nil && old.Path != "" {
			return words.Errorf("the new backup is good, but an old one is not any more: %w; look at the others in Setup, Backups", err)
		}
		return err
	}, func(err error) {
		if err == nil {
			k.w.unsaved = false
		}
		frame.progress.End()
		k.w.showBackup()
		done(err)
	})
}

// thin removes what the usual rule does not keep.
func thin(folder, ledger string, now time.Time) error {
	all, err := safekeeping.Backups(folder, ledger)
	if err != nil {
		return err
	}
	for _, b := range safekeeping.UsualKeep.Surplus(all, now) {
		if err := b.Remove(); err != nil {
			return err
		}
	}
	return nil
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
			w.ShowWelcome(session.Notice{Title: say.L("The backup could not be restored"), Text: say.F("%s. The ledger is as it was.", say.Of(err)), Bad: true,
				Do: say.L("Open the ledger"), Then: func() { w.openFile(path) }})
			return
		}
		w.onceOpen = withoutPhotos(session.Notice{Title: say.L("Restored"), Text: say.F("The ledger as it was before is kept in %s.", kept)}, photos.Cause)
		w.openFile(path)
	})
}

// offerBackup shows why the ledger at path cannot be opened and, when there is a
// good backup of it, offers the newest.
func (w *Window) offerBackup(path string, cause error) {
	n := session.Notice{Title: say.L("The ledger could not be opened"), Text: say.Of(cause), Bad: true}
	var good safekeeping.Backup
	folder := w.backupFolder(path)
	w.runner.Run(context.Background(), func(ctx context.Context) error {
		all, err := safekeeping.Backups(folder, path)
		if err != nil {
			return err
		}
		for _, b := range all {
			if err = b.Verify(ctx); err == nil {
				good = b
				return nil
			}
		}
		return err
	}, func(err error) {
		if err == nil && good.Path != "" {
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
	to := strings.TrimSuffix(path, filepath.Ext(path)) + "-salvaged-" + now.Format("20060102-150405") + filepath.Ext(path)
	var got safekeeping.Salvaged
	w.runner.Run(context.Background(), func(ctx context.Context) (err error) {
		got, err = safekeeping.Salvage(ctx, path, to, now, nil)
		return err
	}, func(err error) {
		photos := new(safekeeping.PhotosError)
		if err != nil && !errors.As(err, &photos) {
			w.ShowWelcome(session.Notice{Title: say.L("Nothing could be salvaged"), Text: say.F("%s. The damaged file is as it was.", say.Of(err)), Bad: true})
			return
		}
		n := session.Notice{Title: say.F("Salvaged %d readings of %d systems", got.Kept["readings"], got.Kept["systems"]), Text: salvageText(got, path)}
		w.onceOpen = withoutPhotos(n, photos.Cause)
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

// salvageText says what was lost and made up.
func salvageText(got safekeeping.Salvaged, path string) string {
	var lost []string
	for _, table := range slices.Sorted(maps.Keys(got.Lost)) {
		lost = append(lost, say.F("%d of %s", got.Lost[table], strings.ReplaceAll(table, "_", " ")))
	}
	text := say.L("Nothing is lost as far as can be told.")
	if len(lost) > 0 {
		text = say.F("Lost at the most: %s.", strings.Join(lost, ", "))
	}
	if len(got.Invented) > 0 {
		text += say.F(" Made up, since others refer to them: %s.", strings.Join(got.Invented, ", "))
	}
	return say.F("%s The damaged file is kept: %s.", text, filepath.Base(path))
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

func (w *Window) backUpIfDue() {
	if !w.keeps() {
		return
	}
	newest, ok := w.newestBackup()
	if ok && w.clock().Sub(newest.Taken) < backupEvery {
		return
	}
	keeping{w}.Make(func(err error) {
		if err != nil && w.session != nil {
			w.session.NotDone(say.L("The daily backup"), err)
		}
	})
}

// newestBackup returns the newest backup. One that is dated ahead was made before
// the clock was set back: it must not keep new ones from being made.
func (w *Window) newestBackup() (safekeeping.Backup, bool) {
	all, err := safekeeping.Backups(keeping{w}.Folder(), w.session.Store.Path())
	if err != nil {
		return safekeeping.Backup{}, false
	}
	for _, b := range all {
		if !b.Taken.After(w.clock()) {
			return b, true
		}
	}
	return safekeeping.Backup{}, false
}

// showBackup writes the newest backup into the bottom line.
func (w *Window) showBackup() {
	if w.session == nil {
		return
	}
	text := say.L("no backup yet")
	if newest, ok := w.newestBackup(); ok {
		text = say.F("last backup %s", w.session.Minute(newest.Taken))
	}
	if w.session.Room.Demo {
		text = ""
	}
	w.frame.backup.SetText(text)
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
		widgets.ShowQuestion(w.win, say.L("The backup failed"), say.F("%v. What you saved is in the ledger itself. Close without a backup?", err), say.L("Close"), closeIt)
	})
}
