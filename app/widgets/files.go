package widgets

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/storage"
)

// fileShare is the part of the window that a dialog for files takes.
const fileShare = 0.8

// AskOpen asks for a file to read with one of these endings, starting in a
// folder where there is one.
func AskOpen(win fyne.Window, endings []string, folder string, take func(path string)) {
	d := dialog.NewFileOpen(func(file fyne.URIReadCloser, err error) {
		if err != nil || file == nil {
			return
		}
		file.Close()
		take(file.URI().Path())
	}, win)
	d.SetFilter(storage.NewExtensionFileFilter(endings))
	showFiles(win, d, folder)
}

// AskSave asks where to write a file, given a name for it. A file that is there
// already stays as it is until the taker writes over it.
func AskSave(win fyne.Window, name, folder string, take func(path string)) {
	keepFiles()
	d := dialog.NewFileSave(func(file fyne.URIWriteCloser, err error) {
		if err != nil || file == nil {
			return
		}
		file.Close()
		take(file.URI().Path())
	}, win)
	d.SetFileName(name)
	showFiles(win, d, folder)
}

// AskFolder asks for a folder.
func AskFolder(win fyne.Window, folder string, take func(path string)) {
	d := dialog.NewFolderOpen(func(list fyne.ListableURI, err error) {
		if err == nil && list != nil {
			take(list.Path())
		}
	}, win)
	showFiles(win, d, folder)
}

func showFiles(win fyne.Window, d *dialog.FileDialog, folder string) {
	if folder != "" {
		if list, err := storage.ListerForURI(storage.NewFileURI(folder)); err == nil {
			d.SetLocation(list)
		}
	}
	before := win.Canvas().Focused()
	win.Canvas().Unfocus() // so that Esc comes here
	OnKey(win, fyne.KeyEscape, d.Dismiss)
	d.SetOnClosed(func() {
		delete(windowKeys[win.Canvas()], fyne.KeyEscape)
		if before != nil {
			win.Canvas().Focus(before)
		}
	})
	overlays := win.Canvas().Overlays()
	covered := len(overlays.List())
	d.Show()
	if len(overlays.List()) == covered {
		return // the desktop shows its own
	}
	d.SetView(dialog.ListView) // the whole names; a grid leaves their ends away
	size := win.Canvas().Size()
	d.Resize(fyne.NewSize(size.Width*fileShare, size.Height*fileShare))
}
