package setup

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
	"weirkeeper/storage"
	"weirkeeper/storage/durable"
	"weirkeeper/storage/safekeeping"
)

// backupsView lists the ledger's backups, makes and proves them, and restores
// one.
type backupsView struct {
	session *session.Session
	loader  session.Loader
	all     []safekeeping.Backup
	proven  map[string]string // by path: what a verification said
	shown   string            // the folder in use, as the field shows it
	folder  *widgets.TextEntry
	list    *widgets.List[string, safekeeping.Backup] // by path
	content fyne.CanvasObject
}

func newBackupsView(s *session.Session) *backupsView {
	v := &backupsView{session: s, proven: map[string]string{}, folder: widgets.NewTextEntry("")}
	v.list = widgets.NewList(widgets.ListModel[string, safekeeping.Backup]{
		Name: "setup.backups", Key: func(b safekeeping.Backup) string { return b.Path }, Columns: v.columns(),
		Open: func(all []safekeeping.Backup) { v.askRestore(all[0]) },
		Empty: func() fyne.CanvasObject {
			return widgets.NewEmpty(
				say.L("No backup in this folder yet"),
				say.L("A backup is a verified copy of the whole ledger that can be restored here."),
				widgets.Action{Text: say.L("Back up now"), Do: v.backUp},
			)
		},
	}, s.Memory)
	form := widgets.NewForm(
		widgets.Field{
			Name:  "folder",
			Label: say.L("Folder"),
			Input: v.folder,
			Help: say.L(
				"Best on another disk. Empty: beside the ledger. A backup is made each day, and on closing when something was saved.",
			),
		},
	)
	buttons := widgets.NewBar(
		widgets.NewPrimary(say.L("Back up now"), v.backUp).With(look.IconSave),
		widgets.NewSecondary(say.L("Choose a folder"), v.chooseFolder).With(look.IconOpen),
		widgets.NewSecondary(
			say.L("Use this folder"),
			v.useFolder,
		).With(
			look.IconDone,
		),
		widgets.NewSecondary(say.L("Verify"), v.verify).With(look.IconVerify),
		widgets.NewSecondary(
			say.L("Restore"),
			v.restoreCurrent,
		).With(
			look.IconRestore,
		),
		widgets.NewSecondary(say.L("Export all as CSV"), v.export).With(look.IconExport),
	)
	note := widgets.NewWrapped(
		say.L(
			"Kept are the newest ten, one a day for 14 days, one a week for 8 weeks, and one a month for ever; older ones are removed. " +
				"Each was verified when it was made, and is again every month.",
		),
	)
	v.content = container.NewBorder(container.NewVBox(form, buttons), note, nil, nil, v.list.Object())
	return v
}

func (v *backupsView) columns() []widgets.ListColumn[safekeeping.Backup] {
	type column = widgets.ListColumn[safekeeping.Backup]
	right := fyne.TextAlignTrailing
	return []column{
		{ID: "taken", Column: widgets.Column{Title: say.L("Taken"), Width: 170}, Cell: func(b safekeeping.Backup) widgets.Cell {
			return widgets.Cell{Text: say.Moment(b.Taken.In(v.session.Zone)), By: b.Taken}
		}},
		{ID: "age", Column: widgets.Column{Title: say.L("Age"), Width: 70, Align: right}, Cell: func(b safekeeping.Backup) widgets.Cell {
			return widgets.Cell{Text: v.session.Age(b.Taken), Quiet: true, By: b.Taken}
		}},
		{
			ID:     "readings",
			Column: widgets.Column{Title: say.L("Readings"), Width: 90, Align: right},
			Cell: func(b safekeeping.Backup) widgets.Cell {
				return widgets.Cell{Text: fmt.Sprint(b.Rows["readings"]), By: b.Rows["readings"]}
			},
		},
		{ID: "size", Column: widgets.Column{Title: say.L("Size"), Width: 90, Align: right}, Cell: func(b safekeeping.Backup) widgets.Cell {
			return widgets.Cell{Text: say.F("%.1f MB", float64(b.Size)/1e6), Quiet: true, By: int(b.Size)}
		}},
		{ID: "verified", Column: widgets.Column{Title: say.L("Verified"), Weight: 2}, Cell: func(b safekeeping.Backup) widgets.Cell {
			return widgets.Cell{Text: v.verified(b), Quiet: true}
		}},
		{
			ID:     "file",
			Column: widgets.Column{Title: say.L("File"), Weight: 3},
			Cell:   func(b safekeeping.Backup) widgets.Cell { return widgets.Cell{Text: filepath.Base(b.Path), Quiet: true} },
		},
	}
}

// verified says when a backup was proved last, and how that ended.
func (v *backupsView) verified(b safekeeping.Backup) string {
	switch said := v.proven[b.Path]; {
	case said != "":
		return said
	case b.Verified.IsZero():
		return say.L("when it was made")
	}
	return v.session.Minute(b.Verified)
}

func (v *backupsView) object() fyne.CanvasObject { return v.content }

func (v *backupsView) focus() fyne.Focusable { return v.list.Focus() }

// show reads the folder anew. What is typed as another folder stays.
func (v *backupsView) show(*loaded) {
	folder := v.session.Backups.Folder()
	if v.folder.Text == v.shown {
		v.folder.SetText(folder)
	}
	v.shown = folder
	session.Load(
		v.session,
		&v.loader,
		say.L("Reading the backups"),
		func(_ context.Context, store *storage.Store) ([]safekeeping.Backup, error) {
			return safekeeping.Backups(folder, store.Path())
		},
		func(all []safekeeping.Backup) {
			v.all = all
			v.list.SetRecords(all)
		},
	)
}

func (v *backupsView) backUp() {
	v.session.Backups.Make(func(err error) {
		if err != nil {
			v.session.NotDone(say.L("Backing up"), err)
			return
		}
		v.show(nil)
	})
}

func (v *backupsView) chooseFolder() {
	widgets.AskFolder(v.session.Window, v.session.Backups.Folder(), func(path string) {
		v.folder.SetText(path)
		v.useFolder()
	})
}

// useFolder takes over the folder. One that is not there is made once, when the
// person says so: later it being gone tells of a drive that is not plugged in.
func (v *backupsView) useFolder() {
	folder := strings.TrimSpace(v.folder.Text)
	use := func() {
		v.session.Backups.SetFolder(folder)
		v.shown = v.folder.Text
		v.show(nil)
	}
	missing := false
	v.session.Read(say.L("Looking at the folder"), func(context.Context, *storage.Store) error {
		_, err := os.Stat(folder)
		missing = folder != "" && errors.Is(err, fs.ErrNotExist)
		return nil
	}, func() {
		if !missing {
			use()
			return
		}
		widgets.ShowQuestion(
			v.session.Window,
			say.L("Make this folder?"),
			say.F("%s is not there. If it is on a drive, plug that in first.", folder),
			say.L("Make it"),
			func() {
				v.session.Act(say.L("Making the backup folder"), func(context.Context, *storage.Store) error {
					return durable.MakeFolders(folder, 0o700)
				}, use)
			},
		)
	})
}

// export writes everything as CSV into a new folder beside the backups.
func (v *backupsView) export() {
	folder := filepath.Join(v.session.Backups.Folder(), "csv-"+v.session.Now().Format("2006-01-02-150405"))
	now := v.session.Clock()
	long(v.session, say.L("Exporting"), func(ctx context.Context, store *storage.Store, _ func(float64)) error {
		return safekeeping.ExportAll(ctx, store, folder, now, nil)
	}, func(err error, stopped bool) {
		switch {
		case stopped:
			v.session.Say(session.Notice{Title: say.L("Stopped"), Text: say.F("What is in %s is not whole: delete it.", folder)})
		case err != nil:
			v.session.NotDone(say.L("Exporting"), err)
		default:
			v.session.Say(
				session.Notice{
					Title: say.L("Exported"),
					Text:  say.F("A CSV file for each table, and a page that describes them, are in %s.", folder),
				},
			)
		}
	})
}

// verify proves the current backup anew.
func (v *backupsView) verify() {
	b, ok := v.list.Current()
	if !ok {
		v.sayChoose()
		return
	}
	v.prove(b.Path, say.L("verifying ..."))
	long(
		v.session,
		say.F("Verifying %s", filepath.Base(b.Path)),
		func(ctx context.Context, _ *storage.Store, _ func(float64)) error { return b.Verify(ctx) },
		func(err error, stopped bool) {
			switch {
			case stopped:
				v.prove(b.Path, say.L("stopped"))
			case err != nil:
				v.prove(b.Path, say.L("not good"))
				v.session.Say(
					session.Notice{
						Title: say.L("This backup is not good"),
						Text:  say.F("%s\nThe ledger itself is not touched. Make a new backup now.", say.Of(err)),
						Bad:   true,
						Do:    say.L("Back up now"),
						Then:  v.backUp,
					},
				)
			default:
				v.prove(b.Path, say.L("good, just now"))
			}
		},
	)
}

// prove shows what a verification says.
func (v *backupsView) prove(path, said string) {
	v.proven[path] = said
	v.list.SetRecords(v.all)
}

func (v *backupsView) sayChoose() {
	v.session.Say(session.Notice{Title: say.L("No backup is chosen"), Text: say.L("Choose one of the list first.")})
}

func (v *backupsView) restoreCurrent() {
	b, ok := v.list.Current()
	if !ok {
		v.sayChoose()
		return
	}
	v.askRestore(b)
}

// askRestore shows what a backup holds before it takes the ledger's place.
func (v *backupsView) askRestore(b safekeeping.Backup) {
	var g safekeeping.Glance
	v.session.Read(say.L("Looking at the backup"), func(ctx context.Context, _ *storage.Store) (err error) {
		g, err = safekeeping.Look(ctx, b.Path)
		return err
	}, func() {
		widgets.ShowQuestion(
			v.session.Window,
			say.L("Restore this backup?"),
			v.glanceText(b, g),
			say.L("Restore"),
			func() { v.session.Backups.Restore(b) },
		)
	})
}

func (v *backupsView) glanceText(b safekeeping.Backup, g safekeeping.Glance) string {
	text := say.F(
		"%s, as it was on %s: %s and %s",
		g.Room,
		words.Moment(b.Taken.In(v.session.Zone)),
		say.N(g.Systems, "%d systems"),
		say.N(g.Readings, "%d readings"),
	)
	if !g.Last.IsZero() {
		text += say.F(", the last of %s", words.Moment(g.Last.In(v.session.Zone)))
	}
	return text + say.L(". It takes the place of the open ledger, which is kept beside it in a folder of its own, "+
		"with what is typed on the Test sheet and not saved.")
}
