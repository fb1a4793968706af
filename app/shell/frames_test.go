package shell

import (
	"path/filepath"
	"slices"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/theme"

	"weirkeeper/app/apptest"
	"weirkeeper/app/look"
	"weirkeeper/app/prefs"
	"weirkeeper/app/session"
	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
	"weirkeeper/tasks"
)

// soon is a runner whose work is done soon: within what a frame may wait for.
type soon struct {
	*session.Drained
	least time.Duration // a wait shorter than that is too short
	waits int
}

func (s *soon) Settle(enough func() bool, most time.Duration) {
	if most >= s.least && !enough() {
		s.waits++
		s.Drain()
	}
}

// framed is a window of the test driver whose canvas notes what it is asked to lay out.
type framed struct {
	fyne.Window
	canvas *framedCanvas
}

func (f framed) Canvas() fyne.Canvas { return f.canvas }

type framedCanvas struct {
	fyne.Canvas
	laid func()
}

func (c *framedCanvas) EnsureMinSize() bool {
	c.laid()
	return false
}

// begun is a window that has begun with a ledger in which a chore is due, and whose
// loop does not run yet. laid is called whenever it is laid out.
func begun(t *testing.T, runner *soon, laid func(*Window)) (*Window, string) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "room.ledger")
	store, err := storage.Create(t.Context(), path, tanks.Room{Name: "Test room", Zone: "Europe/Paris"}, storagetest.Clock)
	if err != nil {
		t.Fatal(err)
	}
	if err := store.SaveTask(t.Context(), &tasks.Task{Title: "Count the heaters", Every: 1, Start: storagetest.Now}); err != nil {
		t.Fatal(err)
	}
	if err := store.Close(); err != nil {
		t.Fatal(err)
	}
	a := test.NewTempApp(t)
	a.Settings().SetTheme(look.New(theme.VariantLight))
	win := a.NewWindow(programName)
	var w *Window
	canvas := &framedCanvas{Canvas: win.Canvas(), laid: func() { laid(w) }}
	w = makeWindow(a, framed{win, canvas}, storagetest.Clock, runner, prefs.Load(a.Preferences(), ""))
	t.Cleanup(func() {
		if err := w.Close(); err != nil {
			t.Error(err)
		}
	})
	first := openFirst(a.Preferences(), Options{Ledger: path, Clock: storagetest.Clock})
	if _, err := first.opening.Wait(); err != nil {
		t.Fatal(err)
	}
	w.begin(first)
	return w, path
}

func sees(w *Window, text string) bool {
	return slices.ContainsFunc(apptest.Texts(w.win), func(s apptest.SeenText) bool { return s.Text == text })
}

// The window's loop, which paints, begins when the first page shows what it is about.
func TestFirstFrameIsWhole(t *testing.T) {
	runner := &soon{Drained: session.NewDrained(), least: wholeTime}
	w, _ := begun(t, runner, func(*Window) {})
	if !sees(w, "Count the heaters") || runner.waits != 1 {
		t.Errorf("after %d waits the chore is seen: %v", runner.waits, sees(w, "Count the heaters"))
	}
}

// A page that was opened and a change of the ledger are seen in the next frame, not in
// the one behind it, and what they change is laid out before it is painted.
func TestNextFrameShowsTheChange(t *testing.T) {
	runner := &soon{Drained: session.NewDrained()}
	laid := map[string]bool{} // what was seen when something was laid out
	w, _ := begun(t, runner, func(w *Window) {
		for _, s := range apptest.Texts(w.win) {
			laid[s.Text] = true
		}
	})
	if !laid["Count the heaters"] {
		t.Error("the first page is laid out while it is painted")
	}
	w.Show(session.Route{Place: session.Setup, Section: session.SetupTasks})
	if !sees(w, "every day") && !sees(w, "Count the heaters") {
		t.Error("an opened page is first painted without what it shows")
	}
	w.Show(session.Route{Place: session.Rounds})
	if err := w.session.Store.SaveTask(t.Context(), &tasks.Task{Title: "Clean the glass", Every: 1, Start: storagetest.Now}); err != nil {
		t.Fatal(err)
	}
	clear(laid)
	w.changed(storage.Touched{Kinds: []storage.Kind{storage.KindTask}})
	if !sees(w, "Clean the glass") || !laid["Clean the glass"] {
		t.Errorf("a change is seen: %v, laid out: %v", sees(w, "Clean the glass"), laid["Clean the glass"])
	}
}
