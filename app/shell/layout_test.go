package shell

import (
	"context"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/software"
	"fyne.io/fyne/v2/test"

	"weirkeeper/app/apptest"
	"weirkeeper/app/ledgers"
	"weirkeeper/app/look"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/tour"
	"weirkeeper/assets/translations"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/demoroom"
	"weirkeeper/storage/safekeeping"
)

var shopMorning = time.Date(2026, 3, 10, 8, 2, 0, 0, time.UTC)

// demoStore fills a demo room.
func demoStore(t *testing.T) *storage.Store {
	t.Helper()
	store, err := demoroom.Create(t.Context(), filepath.Join(t.TempDir(), "demo.ledger"), apptest.ClockAt(shopMorning), 20)
	if err != nil {
		t.Fatal(err)
	}
	return store
}

// show opens a store in a window that is looked at in one way.
func show(t *testing.T, v tour.Variant, store *storage.Store) *Window {
	t.Helper()
	a := test.NewTempApp(t)
	a.Settings().SetTheme(look.Of(v.Theme, v.Density))
	sentences := []byte(nil)
	if v.Pseudo {
		sentences = say.Pseudo(translations.English)
	}
	if err := say.Load(sentences); err != nil {
		t.Fatal(err)
	}
	w := NewWindow(a, apptest.ClockAt(shopMorning), session.NewDrained(), "")
	t.Cleanup(func() {
		if err := w.Close(); err != nil {
			t.Errorf("closing: %v", err)
		}
		if err := say.Load(nil); err != nil {
			t.Error(err)
		}
	})
	w.win.Resize(v.Size)
	w.win.Canvas().(software.WindowlessCanvas).SetScale(v.Scale)
	if store != nil {
		if err := w.Open(context.Background(), store); err != nil {
			t.Fatal(err)
		}
		drain(w)
	}
	return w
}

// drain waits for the window's work and shows what it hands back.
func drain(w *Window) { w.runner.(*session.Drained).Drain() }

// visit goes to a stop of the tour and presses its buttons.
func visit(t *testing.T, w *Window, s tour.Stop) {
	t.Helper()
	for w.win.Canvas().Overlays().Top() != nil {
		w.win.Canvas().Overlays().Remove(w.win.Canvas().Overlays().Top())
	}
	w.Show(s.Route)
	drain(w)
	for _, label := range s.Press {
		if err := apptest.PressLabel(w.win.Canvas(), say.L(label)); err != nil {
			t.Errorf("%s: %v", s.Name, err)
		}
		drain(w)
	}
	apptest.Settle(w.win)
}

// On every screen, in every language, density and size, no word of the program is
// cut off, lies over another or outside the window.
func TestNothingIsCutOffOrOverlaps(t *testing.T) {
	for _, v := range tour.Variants() {
		t.Run(v.Name(), func(t *testing.T) {
			store := demoStore(t)
			stops, err := tour.Stops(t.Context(), store)
			if err != nil {
				t.Fatal(err)
			}
			w := show(t, v, store)
			for _, s := range stops {
				visit(t, w, s)
				if least := w.win.Content().MinSize(); least.Width > v.Size.Width+0.5 || least.Height > v.Size.Height+0.5 {
					t.Errorf("%s needs a window of %v", s.Name, least)
				}
				for _, fault := range layoutFaults(apptest.Texts(w.win)) {
					t.Errorf("%s: %s", s.Name, fault)
				}
			}
		})
	}
}

// layoutFaults says what is wrong with the places of texts.
func layoutFaults(texts []apptest.SeenText) []string {
	var faults []string
	var seen []apptest.SeenText
	for _, s := range texts {
		part := s.At.Within(s.Clip)
		if part.Empty() {
			continue
		}
		seen = append(seen, s)
		if part.W < s.At.W-1 && !s.Scrolls && !slices.Contains(s.In, "Table") && !slices.Contains(s.In, "Grid") {
			// The heads of lists and grids move with their columns.
			faults = append(faults, "cut off at an edge: "+s.Text)
		}
		if strings.HasSuffix(s.Text, "…") && !mayBeShortened(s) {
			faults = append(faults, "shortened: "+s.Text+" in "+strings.Join(s.In, " > "))
		}
	}
	for i, a := range seen {
		for _, b := range seen[i+1:] {
			if over := a.At.Within(a.Clip).Within(b.At.Within(b.Clip)); over.W > 2 && over.H > a.At.H/3 && over.H > b.At.H/3 {
				faults = append(faults, "over one another: "+a.Text+" and "+b.Text)
			}
		}
	}
	return faults
}

// mayBeShortened lets the cells of lists and the heads of a grid's rows end in
// an ellipsis: what is longer than a column belongs to the room, such as names.
func mayBeShortened(s apptest.SeenText) bool {
	return slices.Contains(s.In, "Table") || slices.Contains(s.In, "Grid") || slices.Contains(s.In, "Choice") ||
		slices.Contains(s.In, "TextChoice") ||
		strings.HasPrefix(s.Text, say.L("Undo"))
}

var (
	longWord = regexp.MustCompile(`[A-Za-z]{4,}`)
	cutOff   = regexp.MustCompile(`\S*…$`) // a part of a word at the end of a cell
)

// In the pseudo-language every word on every screen is either changed, or stands
// in the ledger, or is a unit, a formula or the like.
func TestNothingIsHardCoded(t *testing.T) {
	v := tour.Variant{Pseudo: true, Size: tour.Large, Theme: look.AlwaysLight, Scale: 1}
	store := demoStore(t)
	stops, err := tour.Stops(t.Context(), store)
	if err != nil {
		t.Fatal(err)
	}
	known := wordsOf(t, store)
	w := show(t, v, store)
	check := func(name string) {
		for _, s := range apptest.Texts(w.win) {
			for _, word := range longWord.FindAllString(cutOff.ReplaceAllString(s.Text, ""), -1) {
				if !known[strings.ToLower(word)] {
					t.Errorf("%s: %q of %q is not translated", name, word, s.Text)
				}
			}
		}
	}
	for _, s := range stops {
		visit(t, w, s)
		check(s.Name)
	}
	w.ShowWelcome(session.Notice{})
	apptest.Settle(w.win)
	check("welcome")
}

// wordsOf returns the words that are no sentences of the program: those of the
// ledger, and names that are the same in every language.
func wordsOf(t *testing.T, store *storage.Store) map[string]bool {
	t.Helper()
	folder := filepath.Join(t.TempDir(), "out")
	if err := safekeeping.ExportAll(t.Context(), store, folder, time.Now(), nil); err != nil {
		t.Fatal(err)
	}
	files, err := filepath.Glob(filepath.Join(folder, "*.csv"))
	if err != nil {
		t.Fatal(err)
	}
	known := map[string]bool{
		"weirkeeper": true,
		"ledger":     true,
		"demo":       true,
		"documents":  true,
		"local":      true,
		"share":      true,
		"backups":    true,
	}
	for _, author := range []string{"Lueker", "Uppström", "Millero", "Plummer", "Busenberg", "Guide to Best Practices"} {
		for _, word := range longWord.FindAllString(author, -1) { // as the literature is cited
			known[strings.ToLower(word)] = true
		}
	}
	note := func(text string) {
		for _, word := range longWord.FindAllString(text, -1) {
			known[strings.ToLower(word)] = true
		}
	}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		note(string(data))
	}
	for _, info := range chem.Catalogue() {
		for _, u := range info.Units {
			note(string(u))
		}
	}
	note(store.Path() + " " + ledgers.Folder() + " " + os.TempDir())
	home, err := os.UserHomeDir()
	if err == nil {
		note(home)
	}
	return known
}

// A wide window shows more analytes of the room than a narrow one, and all of the
// usual ones stay in that.
func TestWideRoomShowsMore(t *testing.T) {
	store := demoStore(t)
	columns := func(width float32) int {
		seen := map[chem.Analyte]bool{}
		w := show(t, tour.Variant{Size: fyne.NewSize(width, 900), Theme: look.AlwaysLight, Scale: 1}, store)
		w.Show(session.Route{Place: session.Room})
		drain(w)
		apptest.Settle(w.win)
		for _, s := range apptest.Texts(w.win) {
			if a, err := chem.ParseAnalyte(s.Text); err == nil && slices.Contains(s.In, "Table") && say.Of(a) == s.Text {
				seen[a] = true
			}
		}
		return len(seen)
	}
	if narrow := columns(1024); narrow != 4 {
		t.Errorf("%d analytes in a narrow window, want the 4 that fit", narrow)
	}
	store = demoStore(t)
	if wide := columns(1920); wide < 12 {
		t.Errorf("%d analytes in a wide window, want at least 12", wide)
	}
}
