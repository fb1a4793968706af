package storage_test

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/ledgerfile"
	"weirkeeper/storage/safekeeping"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// away is what other programs do to a ledger that is open.
var away = map[string]struct {
	do   func(t *testing.T, path string)
	says string
}{
	"removed": {func(t *testing.T, path string) { must(t, os.Remove(path)) }, "was removed"},
	"removed with its log": {func(t *testing.T, path string) {
		must(t, os.Remove(path))
		must(t, os.Remove(path+"-wal"))
	}, "was removed"},
	"replaced": {func(t *testing.T, path string) {
		must(t, os.WriteFile(path+".new", read(t, path), 0o644))
		must(t, os.Rename(path+".new", path))
	}, "was replaced"},
	"replaced with another log": {func(t *testing.T, path string) {
		for _, end := range []string{"", "-wal"} {
			must(t, os.WriteFile(path+".new", read(t, path+end), 0o644))
			must(t, os.Rename(path+".new", path+end))
		}
	}, "was replaced"},
	"without its log": {func(t *testing.T, path string) { must(t, os.Remove(path+"-wal")) }, "has lost its log"},
}

func ofCalcium(value float64, at time.Time) []tanks.Reading {
	return []tanks.Reading{{System: 1, Analyte: chem.Calcium, At: at, Value: value}}
}

func values(t *testing.T, path string) (all []float64) {
	t.Helper()
	s := value[*storage.Store](t)(storage.Open(t.Context(), path, storagetest.Clock))
	defer s.Close()
	for _, r := range value[[]tanks.Reading](t)(s.ReadingsOf(t.Context(), 1, time.Time{}, time.Time{})) {
		all = append(all, r.Value)
	}
	return all
}

// When the file of an open ledger is removed or replaced, no save is acknowledged,
// and a copy at its place has everything, what lay there is kept; so has one beside
// it that is written on closing when nobody asked for another.
func TestFileGoneWhileOpen(t *testing.T) {
	for name, c := range away {
		for _, how := range []string{"at its place", "elsewhere", "on closing"} {
			t.Run(name+", "+how, func(t *testing.T) {
				s, f := storagetest.Room(t)
				path := s.Path()
				value[[]tanks.ReadingID](t)(s.SaveReadings(t.Context(), ofCalcium(411, f.Now.Add(-time.Hour))))
				must(t, s.Intact())
				c.do(t, path)
				_, err := s.SaveReadings(t.Context(), ofCalcium(412, f.Now))
				var gone *ledgerfile.GoneError
				if !errors.As(err, &gone) || !strings.Contains(err.Error(), c.says) || s.Intact() == nil {
					t.Fatalf("a save said %v", err)
				}
				there, _ := os.ReadFile(path)
				to, kept := path, ""
				switch how {
				case "at its place":
					kept = value[string](t)(s.Rescue(t.Context(), path))
					must(t, s.Close())
				case "elsewhere":
					to = filepath.Join(t.TempDir(), "copy")
					value[string](t)(s.Rescue(t.Context(), to))
					must(t, s.Close())
				case "on closing":
					to = strings.TrimSuffix(path, ".wkr") + "-rescued-20260310-080200.wkr"
					if err := s.Close(); err == nil || !strings.Contains(err.Error(), "all that it held is in "+to) {
						t.Errorf("closing said %v", err)
					}
				}
				if got := values(t, to); len(got) != 1 || got[0] != 411 {
					t.Errorf("the copy holds %v", got)
				}
				if r := value[ledgerfile.Report](t)(safekeeping.Check(t.Context(), to)); !r.Sound() {
					t.Errorf("the copy: %q", r.Faults)
				}
				if kept == "" {
					return
				}
				if now, _ := os.ReadFile(filepath.Join(kept, filepath.Base(path))); !bytes.Equal(now, there) {
					t.Error("what lay there is not kept as it was")
				}
			})
		}
	}
}

// A ledger that another program put in the place of one that is open stays as it is
// when this program is stopped before anybody answered: what was saved here is in no
// log beside it.
func TestReplacedLedgerAfterAStop(t *testing.T) {
	s, f := storagetest.Room(t)
	path := s.Path()
	value[[]tanks.ReadingID](t)(s.SaveReadings(t.Context(), ofCalcium(411, f.Now.Add(-time.Hour))))
	other, _ := storagetest.Room(t)
	for i := range 300 {
		value[[]tanks.ReadingID](t)(other.SaveReadings(t.Context(), ofCalcium(500, f.Now.Add(-time.Duration(i+1)*time.Hour))))
	}
	must(t, other.Close())
	must(t, os.WriteFile(path+".new", read(t, other.Path()), 0o600))
	must(t, os.Rename(path+".new", path))
	if s.Intact() == nil {
		t.Fatal("it is not missed")
	}
	stopped := filepath.Join(t.TempDir(), "room.wkr")
	for _, end := range []string{"", "-wal"} {
		must(t, os.WriteFile(stopped+end, read(t, path+end), 0o600))
	}
	if got := values(t, stopped); len(got) != 300 || got[0] != 500 {
		t.Errorf("the other ledger holds %d values", len(got))
	}
	if r := value[ledgerfile.Report](t)(safekeeping.Check(t.Context(), stopped)); !r.Sound() {
		t.Errorf("the other ledger: %q", r.Faults)
	}
	value[string](t)(s.Rescue(t.Context(), filepath.Join(t.TempDir(), "copy")))
}

// A copy that is written elsewhere has the photos; so has the one that is written on
// closing. What cannot be copied is named, and the copy is whole all the same.
func TestRescueBringsThePhotos(t *testing.T) {
	for _, how := range []string{"elsewhere", "on closing", "in the way"} {
		s, f := storagetest.Room(t)
		photo := tanks.Photo{System: f.Systems[0].ID, At: f.Now}
		must(t, s.AddPhoto(t.Context(), &photo, strings.NewReader("GIF89a")))
		away["replaced"].do(t, s.Path())
		if _, err := s.Undo(t.Context(), ""); !errors.As(err, new(*ledgerfile.GoneError)) {
			t.Errorf("taking back says %v", err)
		}
		to := filepath.Join(t.TempDir(), "a folder 🐠", "copy 1")
		must(t, os.Mkdir(filepath.Dir(to), 0o755))
		switch how {
		case "elsewhere":
			value[string](t)(s.Rescue(t.Context(), to))
		case "on closing":
			to = strings.TrimSuffix(s.Path(), ".wkr") + "-rescued-20260310-080200.wkr"
			if err := s.Close(); err == nil {
				t.Error("it closes without a word")
			}
		case "in the way":
			must(t, os.WriteFile(to+"-photos", nil, 0o600))
			var left *storage.PhotosLeftError
			if _, err := s.Rescue(t.Context(), to); !errors.As(err, &left) || left.Folder != s.Path()+"-photos" {
				t.Errorf("it says %v", err)
			}
		}
		must(t, s.Close())
		r := value[ledgerfile.Report](t)(safekeeping.Check(t.Context(), to))
		if want := how == "in the way"; want == r.Sound() {
			t.Errorf("%s: found are %q", how, r.Faults)
		}
	}
}

// The log of another program that lies in the place of the ledger's own is left as it
// is when the ledger is closed.
func TestAnothersLogIsLeft(t *testing.T) {
	s, f := storagetest.Room(t)
	value[[]tanks.ReadingID](t)(s.SaveReadings(t.Context(), ofCalcium(411, f.Now.Add(-time.Hour))))
	log := read(t, s.Path()+"-wal")
	must(t, os.WriteFile(s.Path()+".new", log, 0o600))
	must(t, os.Rename(s.Path()+".new", s.Path()+"-wal"))
	if s.Close() == nil {
		t.Error("it closes without a word")
	}
	if !bytes.Equal(read(t, s.Path()+"-wal"), log) {
		t.Error("the other log has changed")
	}
}

// Whoever only looks at a ledger learns too that its file was replaced.
func TestFileGoneWhileLookedAt(t *testing.T) {
	for _, name := range []string{"removed", "replaced"} {
		s, _ := storagetest.Room(t)
		look := value[*storage.Store](t)(storage.OpenToLook(t.Context(), s.Path(), storagetest.Clock))
		must(t, look.Intact())
		must(t, s.Close())
		must(t, look.Intact())
		away[name].do(t, s.Path())
		var gone *ledgerfile.GoneError
		if err := look.Intact(); !errors.As(err, &gone) || !strings.Contains(err.Error(), away[name].says) {
			t.Errorf("%s: it says %v", name, err)
		}
		must(t, look.Close())
	}
}

// A file that goes between the writing of a save and its acknowledgement is found:
// the save is not acknowledged, and is in the copy.
func TestFileGoneDuringASave(t *testing.T) {
	s, f := storagetest.Room(t)
	stop := s.Listen(func(storage.Touched) { t.Error("the save is told") })
	defer stop()
	err := s.Within(t.Context(), func() error {
		return os.Rename(s.Path(), s.Path()+".moved")
	}, ofCalcium(413, f.Now))
	var gone *ledgerfile.GoneError
	if !errors.As(err, &gone) {
		t.Fatalf("the save said %v", err)
	}
	value[string](t)(s.Rescue(t.Context(), s.Path()))
	must(t, s.Close())
	if got := values(t, s.Path()); len(got) != 1 || got[0] != 413 {
		t.Errorf("the copy holds %v", got)
	}
}

// A file that comes back to its place is the ledger again.
func TestFileThatComesBack(t *testing.T) {
	s, f := storagetest.Room(t)
	must(t, os.Rename(s.Path(), s.Path()+".moved"))
	if s.Intact() == nil {
		t.Error("it is not missed")
	}
	must(t, os.Rename(s.Path()+".moved", s.Path()))
	must(t, s.Intact())
	value[[]tanks.ReadingID](t)(s.SaveReadings(t.Context(), ofCalcium(414, f.Now)))
}
