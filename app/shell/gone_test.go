package shell

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fyne.io/fyne/v2"

	"weirkeeper/app/apptest"
	"weirkeeper/app/session"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/safekeeping"
	"weirkeeper/storage/storagetest"
)

// When the ledger's file is replaced while it is open, the window says so, offers to
// write all of it back, and goes on with that; what lay there is kept.
func TestFileGoneIsWrittenBack(t *testing.T) {
	store, f := storagetest.Room(t)
	path := store.Path()
	if err := store.Close(); err != nil {
		t.Fatal(err)
	}
	k := newKeeper(t, storagetest.Clock)
	k.w.openFile(path)
	k.settle()
	save(t, k.w.Session().Store, f, 0, chem.Calcium, map[int]float64{1: 421})
	k.w.lookAtFile()
	k.settle()
	if said := k.noticed(); strings.Contains(said, "gone") {
		t.Errorf("of a file at its place it says %q", said)
	}
	if err := os.WriteFile(path+".new", []byte("another's"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Rename(path+".new", path); err != nil {
		t.Fatal(err)
	}
	for range 2 { // it is asked once
		k.w.lookAtFile()
		k.settle()
	}
	if said := k.noticed(); !strings.Contains(said, "The ledger's file is gone from its place") || !strings.Contains(said, "was replaced") {
		t.Errorf("it says %q", said)
	}
	k.w.Show(session.Route{Place: session.Setup})
	k.settle()
	if said := k.noticed(); !strings.Contains(said, "gone from its place") {
		t.Errorf("on another page it says %q", said)
	}
	k.press("Write it to its place")
	k.settle()
	if k.w.Session() == nil || k.w.Session().Store.Path() != path || k.w.Session().Store.Intact() != nil {
		t.Fatal("the copy is not open")
	}
	if n := k.readings(k.w.Session().Store); n != 1 {
		t.Errorf("it holds %d values", n)
	}
	if said := k.noticed(); !strings.Contains(said, "All of the ledger is in "+path) {
		t.Errorf("it says %q", said)
	}
	kept, err := filepath.Glob(path + "-before-rescue-*/" + filepath.Base(path))
	if err != nil || len(kept) != 1 {
		t.Errorf("kept are %v, %v", kept, err)
	}
	if k.c.Overlays().Top() != nil {
		t.Error("a dialog is still open")
	}
}

// The question is asked once: when the notice was closed it comes again, and the
// question does not.
func TestFileGoneIsAskedOnce(t *testing.T) {
	k, store, _ := openRoom(t)
	path := store.Path()
	if err := os.Rename(path, path+".away"); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := os.Rename(path+".away", path); err != nil {
			t.Error(err)
		}
	})
	k.w.lookAtFile()
	k.settle()
	top := k.c.Overlays().Top()
	if top == nil {
		t.Fatal("nothing is asked")
	}
	k.c.Overlays().Remove(top)
	k.w.notices.settle("The ledger's file is gone from its place")
	k.w.lookAtFile()
	k.settle()
	if said := k.noticed(); !strings.Contains(said, "gone from its place") || k.c.Overlays().Top() != nil {
		t.Errorf("it says %q, and asks: %v", said, k.c.Overlays().Top() != nil)
	}
}

// A save that meets a file which is gone says so at once, without waiting for the
// next look.
func TestSaveIntoAFileThatIsGone(t *testing.T) {
	k, store, _ := openRoom(t)
	if err := os.Remove(store.Path()); err != nil {
		t.Fatal(err)
	}
	done := false
	k.w.Session().Act("Keeping", func(ctx context.Context, s *storage.Store) error { return s.SaveDraft(ctx, "x", nil) },
		func() { done = true })
	k.settle()
	if said := k.noticed(); done || !strings.Contains(said, "gone from its place") {
		t.Errorf("done: %t, it says %q", done, said)
	}
	if err := k.w.closeSession(); err == nil || !strings.Contains(err.Error(), "all that it held is in ") {
		t.Errorf("closing says %v", err)
	}
}

// What was typed while nothing could be saved is in the copy that is written.
func TestTypingOutlastsAFileThatIsGone(t *testing.T) {
	k, store, _ := openRoom(t)
	path := store.Path()
	typed := "before"
	form := session.NewDraft(k.w.Session(), "form", "Keeping the form", func() ([]byte, error) { return []byte(typed), nil })
	untouched := session.NewDraft(k.w.Session(), "other", "Keeping the other", func() ([]byte, error) { return []byte("nothing"), nil })
	form.Keep()
	k.settle()
	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
	typed = "while it was gone"
	form.Keep()
	untouched.Flush()
	k.settle()
	k.press("Write it to its place")
	k.settle()
	if k.w.Session() == nil {
		t.Fatal("the copy is not open")
	}
	for name, want := range map[string]string{"form": "while it was gone", "other": ""} {
		if got, err := k.w.Session().Store.Draft(t.Context(), name); err != nil || string(got) != want {
			t.Errorf("of %s %q is kept, want %q: %v", name, got, want, err)
		}
	}
}

// Before anybody answers, all that was saved is in a copy with a name, which is said:
// whoever kills the program while the question stands loses nothing. What is typed
// meanwhile does not answer it.
func TestCopyIsThereBeforeTheQuestion(t *testing.T) {
	for name, chosen := range map[string]string{"the folder beside": "", "a drive that is not there": "/nowhere/backups"} {
		t.Run(name, func(t *testing.T) {
			k, store, f := openRoom(t)
			k.w.Session().Backups.SetFolder(chosen)
			save(t, store, f, 0, chem.Calcium, map[int]float64{1: 421})
			path := store.Path()
			if err := os.Remove(path); err != nil {
				t.Fatal(err)
			}
			k.w.lookAtFile()
			k.settle()
			if k.c.Overlays().Top() == nil {
				t.Fatal("nothing is asked")
			}
			// The daily backup is of the same second.
			found := filesLike(t, filepath.Join(filepath.Dir(path), "backups", "*-2.backup"))
			if chosen != "" {
				found = filesLike(t, strings.TrimSuffix(path, filepath.Ext(path))+"-rescued-*")
			}
			if len(found) != 1 {
				t.Fatalf("when it is asked the copies are %q", found)
			}
			if g, err := safekeeping.Look(t.Context(), found[0]); err != nil || g.Readings != 1 {
				t.Errorf("the copy holds %+v, %v", g, err)
			}
			where := "A whole copy of it is in " + found[0]
			if said := strings.Join(strings.Fields(wordsInFront(k.w.win)), ""); !strings.Contains(said,
				strings.ReplaceAll(where, " ", "")) {
				t.Errorf("the question says %s", wordsInFront(k.w.win))
			}
			if said := k.noticed(); !strings.Contains(said, where) {
				t.Errorf("the notice says %q", said)
			}
			apptest.Type(t, k.c, "8.3")
			apptest.Key(t, k.c, fyne.KeyReturn, fyne.KeyTab, fyne.KeyReturn, fyne.KeySpace, fyne.KeyEscape)
			k.settle()
			if _, err := os.Stat(path); err == nil || k.c.Overlays().Top() == nil {
				t.Errorf("typing answered the question: %v", err)
			}
			k.w.lookAtFile()
			k.settle()
			if again := filesLike(t, filepath.Join(filepath.Dir(path), "*", "*.backup")); len(again) > 2 {
				t.Errorf("it is copied again: %q", again)
			}
			k.press("Write it to its place")
			k.settle()
		})
	}
}

func filesLike(t *testing.T, pattern string) []string {
	t.Helper()
	all, err := filepath.Glob(pattern)
	if err != nil {
		t.Fatal(err)
	}
	return all
}
