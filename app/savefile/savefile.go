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
			func(context.Context, *storage.Store) error { return writeWhole(path, data) },
			func() {
				s.Say(session.Notice{Title: say.L("Written"), Text: path})
			},
		)
	})
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
