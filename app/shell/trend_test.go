package shell

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fyne.io/fyne/v2/widget"

	"weirkeeper/app/apptest"
	"weirkeeper/app/look"
	"weirkeeper/app/session"
	"weirkeeper/app/tour"
	"weirkeeper/app/widgets"
)

// A trend is saved as a picture for the screen, for drawing programs and for
// paper, of the stretch of time that is shown.
func TestTrendIsSaved(t *testing.T) {
	home := t.TempDir()
	t.Setenv("HOME", home)
	store := demoStore(t)
	stops, err := tour.Stops(t.Context(), store)
	if err != nil {
		t.Fatal(err)
	}
	w := show(t, tour.Variant{Size: tour.Large, Theme: look.AlwaysDark, Scale: 1}, store)
	for _, s := range stops {
		if s.Route.Place == session.Trends {
			visit(t, w, s)
		}
	}
	files := map[string][]byte{}
	save := func(kind string) []byte {
		t.Helper()
		if err := apptest.PressLabel(w.win.Canvas(), "Save as "+strings.ToUpper(kind)); err != nil {
			t.Fatal(err)
		}
		drain(w)
		apptest.Find(t, apptest.Top(w.win.Canvas()), func(b *widget.Button) bool { return b.Text == "Save" }).OnTapped()
		drain(w)
		path := filepath.Join(home, "R1-trend-2026-03-10."+kind)
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.Remove(path); err != nil {
			t.Fatal(err)
		}
		return data
	}
	for kind, magic := range map[string]string{"png": "\x89PNG\r\n", "svg": "<?xml", "pdf": "%PDF-"} {
		files[kind] = save(kind)
		if !bytes.HasPrefix(files[kind], []byte(magic)) || len(files[kind]) < 5000 {
			t.Errorf("the %s is of %d bytes and begins %q", kind, len(files[kind]), files[kind][:min(20, len(files[kind]))])
		}
		if again := save(kind); !bytes.Equal(again, files[kind]) {
			t.Errorf("the %s differs the second time", kind)
		}
	}
	if !bytes.Contains(files["svg"], []byte("Alkalinity")) {
		t.Error("the SVG names no analyte")
	}
	chart := apptest.Find(t, w.win.Content(), func(*widgets.ChartView) bool { return true })
	w.win.Canvas().Focus(chart)
	apptest.Type(t, w.win.Canvas(), "+")
	for kind, before := range files {
		if bytes.Equal(save(kind), before) {
			t.Errorf("zoomed in, the %s is the same", kind)
		}
	}
}
