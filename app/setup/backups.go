package setup

import (
	"context"
	"fmt"
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
	"weirkeeper/storage/safekeeping"
)

// backupsView lists the ledger's backups, makes and proves them, and restores
// one.
type backupsView struct {
	session *session.Session
	loader  session.Loader
	all     []safekeeping.Backup
	proven  map[string]string // by path: what a verification said
	folder  *widgets.TextEntry
	table   *widgets.Table
	list    *fyne.Container
	content fyne.CanvasObject
}

func newBackupsView(s *session.Session) *backupsView {
	v := &backupsView{session: s, proven: map[string]string{}, folder: widgets.NewTextEntry(""), list: container.NewStack()}
	v.table = widgets.NewTable([]widgets.Column{
		{Title: say.L("Taken"), Width: 170}, {Title: say.L("Age"), Width: 70, Align: fyne.TextAlignTrailing}, {Title: say.L("Readings"), Width: 90, Align: fyne.TextAlignTrailing},
		{Title: say.L("Size"), Width: 90, Align: fyne.TextAlignTrailing}, {Title: say.L("Verified"), Weight: 3}, {Title: say.L("File"), Weight: 3},
	})
	v.table.OnOpen = func(n int) { v.askRestore(v.all[n]) }
	form := widgets.NewForm(widgets.Field{Name: "folder", Label: say.L("Folder"), Input: v.folder, Help: say.L("Best on another disk. Empty: beside the ledger. A backup is made each day, and on closing when something was saved.")})
	buttons := widgets.NewBar(widgets.NewPrimary(say.L("Back up now"), v.backUp).With(look.IconSave), widgets.NewSecondary(say.L("Use this folder"), v.useFolder).With(look.IconOpen),
		widgets.NewSecondary(say.L("Verify"), v.verify).With(look.IconVerify), widgets.NewSecondary(say.L("Restore"), v.restoreCurrent).With(look.IconRestore), widgets.NewSecondary(say.L("Export all as CSV"), v.export).With(look.IconExport))
	note := widgets.NewWrapped(say.L("Kept are the newest ten, one a day for 14 days, one a week for 8 weeks, and one a month for ever; older ones are removed. Each was verified when it was made, and is again every month."))
	v.content = container.NewBorder(container.NewVBox(form, buttons), note, nil, nil, v.list)
	return v
}

func (v *backupsView) object() fyne.CanvasObject { return v.content }

func (v *backupsView) focus() fyne.Focusable { return widgets.IfShown(v.list, v.table, v.table) }

func (v *backupsView) show(*loaded) {
	v.folder.SetText(v.session.Backups.Folder())
	folder := v.session.Backups.Folder()
	session.Load(v.session, &v.loader, say.L("Reading the backups"), func(_ context.Context, store *storage.Store) ([]safekeeping.Backup, error) {
		return safekeeping.Backups(folder, store.Path())
	}, v.lay)
}

// lay lists the backups.
func (v *backupsView) lay(all []safekeeping.Backup) {
	v.all = all
	rows := make([]widgets.Row, len(all))
	for n, b := range all {
		rows[n] = widgets.Row{ID: n, Cells: []widgets.Cell{
			{Text: say.Moment(b.Taken.In(v.session.Zone))}, {Text: v.session.Age(b.Taken), Quiet: true}, {Text: fmt.Sprint(b.Rows["readings"])},
			{Text: say.F("%.1f MB", float64(b.Size)/1e6), Quiet: true}, {Text: v.proven[b.Path], Quiet: true}, {Text: b.Path, Quiet: true},
		}}
	}
	v.table.SetRows(rows)
	v.list.Objects = []fyne.CanvasObject{v.table}
	if len(rows) == 0 {
		v.list.Objects = []fyne.CanvasObject{widgets.NewEmpty(say.L("No backup in this folder yet"), say.L("A backup is a verified copy of the whole ledger that can be restored with one click."),
			widgets.Action{Text: say.L("Back up now"), Do: v.backUp})}
	}
	v.list.Refresh()
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

func (v *backupsView) useFolder() {
	v.session.Backups.SetFolder(strings.TrimSpace(v.folder.Text))
	v.show(nil)
}

// export writes everything as CSV into a new folder beside the backups.
func (v *backupsView) export() {
	folder := filepath.Join(v.session.Backups.Folder(), "csv-"+v.session.Now().Format("2006-01-02-150405"))
	now := v.session.Clock()
	v.session.Act(say.L("Exporting"), func(ctx context.Context, store *storage.Store) error {
		return safekeeping.ExportAll(ctx, store, folder, now, nil)
	}, func() {
		v.session.Say(session.Notice{Title: say.L("Exported"), Text: say.F("A CSV file for each table, and a page that describes them, are in %s.", folder)})
	})
}

func (v *backupsView) current() (safekeeping.Backup, bool) {
	n, ok := v.table.Current()
	if !ok || n >= len(v.all) {
		return safekeeping.Backup{}, false
	}
	return v.all[n], true
}

// verify proves the current backup anew.
func (v *backupsView) verify() {
	b, ok := v.current()
	if !ok {
		return
	}
	v.proven[b.Path] = say.L("verifying ...")
	v.show(nil)
	v.session.Runner.Run(context.Background(), b.Verify, func(err error) {
		v.proven[b.Path] = say.L("good, just now")
		if err != nil {
			v.proven[b.Path] = say.Of(err)
		}
		v.show(nil)
	})
}

func (v *backupsView) restoreCurrent() {
	if b, ok := v.current(); ok {
		v.askRestore(b)
	}
}

// askRestore shows what a backup holds before it takes the ledger's place.
func (v *backupsView) askRestore(b safekeeping.Backup) {
	var g safekeeping.Glance
	v.session.Read(say.L("Looking at the backup"), func(ctx context.Context, _ *storage.Store) (err error) {
		g, err = safekeeping.Look(ctx, b.Path)
		return err
	}, func() {
		text := say.F("%s, as it was on %s: %d systems and %d readings", g.Room, words.Moment(b.Taken.In(v.session.Zone)), g.Systems, g.Readings)
		if !g.Last.IsZero() {
			text += say.F(", the last of %s", words.Moment(g.Last.In(v.session.Zone)))
		}
		text += say.L(". It takes the place of the open ledger, which is kept beside it in a folder of its own.")
		widgets.ShowQuestion(v.session.Window, say.L("Restore this backup?"), text, say.L("Restore"), func() { v.session.Backups.Restore(b) })
	})
}
