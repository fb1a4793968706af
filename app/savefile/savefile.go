// Package savefile asks where a finished file goes and writes it whole.
package savefile

import (
	"context"
	"os"
	"path/filepath"

	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/assets/words"
	"weirkeeper/storage"
	"weirkeeper/storage/durable"
)

// Ask asks where to write data and writes it whole.
func Ask(s *session.Session, name string, data []byte) {
	home, err := os.UserHomeDir()
	if err != nil {
		home = ""
	}
	widgets.AskSave(s.Window, name, home, func(path string) {
		s.Act(
			say.F("Writing %s", filepath.Base(path)),
			func(context.Context, *storage.Store) error { return write(path, data) },
			func() {
				s.Say(session.Notice{Title: say.L("Written"), Text: path})
			},
		)
	})
}

// write writes a file whole where a name leads to, so that a full disk or a power
// cut leaves no half file.
func write(path string, data []byte) error {
	real, err := durable.Resolve(path)
	if err == nil {
		err = durable.WriteData(real, data, durable.Shared)
	}
	if err != nil {
		return words.Errorf("writing the file: %w", err)
	}
	return nil
}
