package setup

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"

	"weirkeeper/app/session"
)

func TestBackups(t *testing.T) {
	s, _ := room(t, session.SetupBackups)
	s.Press("Verify")
	if s.LastSaid().Title != "No backup is chosen" {
		t.Errorf("without a backup: said %+v", s.LastSaid())
	}
	s.Press("Back up now")
	if !strings.Contains(s.Seen(), "when it was made") {
		t.Fatalf("the backup is not listed:\n%s", s.Seen())
	}
	s.Press("Verify")
	if !strings.Contains(s.Seen(), "good, just now") || s.working.ended != 1 {
		t.Errorf("verified:\n%s", s.Seen())
	}
	s.Press("Restore")
	if !s.Asked() || !strings.Contains(strings.ReplaceAll(s.Seen(), "\n", " "), "2 systems and 0 readings") || len(s.backups.restored) > 0 {
		t.Fatalf("asked %v, restored %v\n%s", s.Asked(), s.backups.restored, s.Seen())
	}
	s.Press("Cancel")
	if s.Press("Restore"); len(s.backups.restored) != 0 {
		t.Error("restored without a yes")
	}
	s.Press("Restore") // in the question
	if len(s.backups.restored) != 1 || s.backups.restored[0].Path != s.page.sections[session.SetupBackups].(*backupsView).all[0].Path {
		t.Errorf("restored %v", s.backups.restored)
	}
}

// A backup that has changed is no good: it says so and what to do.
func TestSpoiledBackup(t *testing.T) {
	s, _ := room(t, session.SetupBackups)
	s.Press("Back up now")
	path := s.page.sections[session.SetupBackups].(*backupsView).all[0].Path
	data, err := os.ReadFile(path)
	must(t, err)
	data[len(data)/2] ^= 1
	must(t, os.WriteFile(path, data, 0o644))
	s.Press("Verify")
	if said := s.LastSaid(); said.Title != "This backup is not good" || !said.Bad ||
		!strings.Contains(said.Text, "has changed since it was made") ||
		!strings.Contains(s.Seen(), "not good\n") {
		t.Errorf("said %+v\n%s", said, s.Seen())
	}
}

func TestBackupThatFails(t *testing.T) {
	s, _ := room(t, session.SetupBackups)
	s.backups.refusal = errors.New("the disk is full")
	s.Press("Back up now")
	if said := s.LastSaid(); said.Title != "Backing up: not done" || !strings.Contains(said.Text, "the disk is full") {
		t.Errorf("said %+v", said)
	}
}

// A folder that cannot be read is said so; what is typed as another folder stays
// until it is used.
func TestBackupFolder(t *testing.T) {
	s, _ := room(t, session.SetupBackups)
	if got := s.field(0).Text; got != s.backups.folder {
		t.Fatalf("the field has %q", got)
	}
	noFolder := filepath.Join(t.TempDir(), "file")
	must(t, os.WriteFile(noFolder, nil, 0o644))
	s.into(s.field(0), noFolder)
	s.page.Reload()
	s.Drain()
	if got := s.field(0).Text; got != noFolder {
		t.Fatalf("after a reload the field has %q", got)
	}
	s.Press("Use this folder")
	if s.backups.folder != noFolder || s.LastSaid().Title != "Reading the backups: it could not be read" {
		t.Errorf("in use %q, said %+v", s.backups.folder, s.LastSaid())
	}
}

// A folder that is not there is made when the person says so, and only then.
func TestBackupFolderIsMadeOnce(t *testing.T) {
	s, _ := room(t, session.SetupBackups)
	before, missing := s.backups.folder, filepath.Join(t.TempDir(), "drive", "backups")
	s.into(s.field(0), missing)
	s.Press("Use this folder")
	if _, err := os.Stat(filepath.Dir(missing)); err == nil || s.backups.folder != before {
		t.Fatalf("before the answer %q is in use", s.backups.folder)
	}
	s.Press("Make it")
	if info, err := os.Stat(missing); err != nil || !info.IsDir() || s.backups.folder != missing {
		t.Errorf("%v; in use is %q", err, s.backups.folder)
	}
}

func TestExport(t *testing.T) {
	s, _ := room(t, session.SetupBackups)
	s.Press("Export all as CSV")
	tables, err := filepath.Glob(filepath.Join(s.backups.folder, "csv-*", "systems.csv"))
	if err != nil || len(tables) != 1 || s.LastSaid().Title != "Exported" || s.working.ended != 1 {
		t.Errorf("%v wrote %v, said %+v", err, tables, s.LastSaid())
	}
}

func TestStoppedExport(t *testing.T) {
	s, _ := room(t, session.SetupBackups)
	s.page.sections[session.SetupBackups].(*backupsView).export()
	s.working.stop()
	s.Drain()
	if said := s.LastSaid(); said.Title != "Stopped" && said.Title != "Exported" || s.working.ended != 1 {
		t.Errorf("said %+v, %d ended", said, s.working.ended)
	}
}

// The backup under the cursor is restored, not the newest.
func TestRestoreTheChosenBackup(t *testing.T) {
	s, _ := room(t, session.SetupBackups)
	s.Press("Back up now")
	s.backups.later = time.Hour
	s.Press("Back up now")
	v := s.page.sections[session.SetupBackups].(*backupsView)
	if len(v.all) != 2 || !v.all[0].Taken.After(v.all[1].Taken) {
		t.Fatalf("listed %v", v.all)
	}
	s.Focus(s.page.FirstFocus())
	s.Keys(fyne.KeyDown, fyne.KeyReturn)
	s.Press("Restore")
	s.Press("Restore") // the button under the field
	s.Press("Restore") // in the question
	for _, b := range s.backups.restored {
		if b.Path != v.all[1].Path || len(s.backups.restored) != 2 {
			t.Errorf("restored %v", s.backups.restored)
		}
	}
}
