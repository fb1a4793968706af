package widgets

import (
	"os"
	"path/filepath"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/storage"
	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/apptest"
)

func TestAskForFiles(t *testing.T) {
	folder := t.TempDir()
	if err := os.WriteFile(filepath.Join(folder, "a.csv"), nil, 0o644); err != nil {
		t.Fatal(err)
	}
	cases := map[string]struct {
		ask   func(fyne.Window, func(string))
		press string
		want  string
	}{
		"save":   {func(w fyne.Window, take func(string)) { AskSave(w, "b.csv", folder, take) }, "Save", filepath.Join(folder, "b.csv")},
		"folder": {func(w fyne.Window, take func(string)) { AskFolder(w, folder, take) }, "Open", folder},
		"open":   {func(w fyne.Window, take func(string)) { AskOpen(w, []string{".csv"}, folder, take) }, "Cancel", ""},
		"gone":   {func(w fyne.Window, take func(string)) { AskFolder(w, filepath.Join(folder, "gone"), take) }, "Cancel", ""},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			before := NewSecondary("Before", nil)
			w := apptest.Window(t, before, 900, 600)
			w.Canvas().Focus(before)
			got := ""
			c.ask(w, func(path string) { got = path })
			if size := apptest.Top(w.Canvas()); size == before {
				t.Fatal("nothing is asked")
			}
			apptest.Find(t, apptest.Top(w.Canvas()), func(b *widget.Button) bool { return b.Text == c.press }).OnTapped()
			if windowKeys[w.Canvas()][fyne.KeyEscape] != nil {
				t.Error("Esc still closes it")
			}
			if got != c.want || w.Canvas().Focused() != before {
				t.Errorf("took %q, want %q; the keyboard is on %T", got, c.want, w.Canvas().Focused())
			}
		})
	}
}

func TestEscClosesTheFiles(t *testing.T) {
	before := NewSecondary("Before", nil)
	w := apptest.Window(t, before, 900, 600)
	w.Canvas().Focus(before)
	AskOpen(w, []string{".csv"}, t.TempDir(), func(string) { t.Error("a file is taken") })
	w.Canvas().OnTypedKey()(&fyne.KeyEvent{Name: fyne.KeyEscape})
	if DialogOpen(w) || w.Canvas().Focused() != before {
		t.Error("Esc does not close it")
	}
}

// A file that is to be written over keeps what it holds until it is written; what
// is written through Fyne goes into it as before.
func TestAskSaveKeepsTheFile(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "b.csv")
	if err := os.WriteFile(path, []byte("of yesterday"), 0o644); err != nil {
		t.Fatal(err)
	}
	w := apptest.Window(t, NewSecondary("Before", nil), 900, 600)
	got := ""
	AskSave(w, "b.csv", folder, func(taken string) { got = taken })
	press := func(text string) {
		apptest.Find(t, apptest.Top(w.Canvas()), func(b *widget.Button) bool { return b.Text == text }).OnTapped()
	}
	press("Save")
	press("Yes") // write over it
	if data, err := os.ReadFile(path); got != path || err != nil || string(data) != "of yesterday" {
		t.Errorf("took %q; it holds %q, %v", got, data, err)
	}
	file, err := storage.Writer(storage.NewFileURI(path))
	if err != nil {
		t.Fatal(err)
	}
	for _, part := range []string{"of ", "today"} {
		if _, err := file.Write([]byte(part)); err != nil {
			t.Fatal(err)
		}
	}
	if err := file.Close(); err != nil || file.URI().Path() != path {
		t.Errorf("%v, at %v", err, file.URI())
	}
	if data, err := os.ReadFile(path); err != nil || string(data) != "of today" {
		t.Errorf("it holds %q, %v", data, err)
	}
}
