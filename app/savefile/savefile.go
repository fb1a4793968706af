// Package savefile asks where a finished file goes and writes it whole.
package savefile

import (
	"os"
	"path/filepath"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/storage"

	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/words"
)

// Ask asks where to write data and writes it whole.
func Ask(s *session.Session, name string, data []byte) {
	d := dialog.NewFileSave(func(file fyne.URIWriteCloser, err error) {
		if err != nil || file == nil {
			return
		}
		path := file.URI().Path()
		file.Close()
		if err := writeWhole(path, data); err != nil {
			s.Fail(say.F("Writing %s", filepath.Base(path)), err)
			return
		}
		s.Say(session.Notice{Title: say.L("Written"), Text: path})
	}, s.Window)
	d.SetFileName(name)
	if home, err := os.UserHomeDir(); err == nil {
		if list, err := storage.ListerForURI(storage.NewFileURI(home)); err == nil {
			d.SetLocation(list)
		}
	}
	size := s.Window.Canvas().Size()
	d.Resize(fyne.NewSize(size.Width*0.8, size.Height*0.8))
	d.Show()
}

// writeWhole writes a file beside its place and moves it there, so that a full
// disk leaves no half file.
func writeWhole(path string, data []byte) error {
	part := path + ".part"
	if err := os.WriteFile(part, data, 0o644); err != nil {
		os.Remove(part)
		return words.Errorf("writing the file: %w", err)
	}
	if err := os.Rename(part, path); err != nil {
		os.Remove(part)
		return words.Errorf("moving the file to its place: %w", err)
	}
	return nil
}
