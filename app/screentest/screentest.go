// Package screentest drives one screen as a person does, on a real ledger and
// without a display: its work runs on goroutines of its own, and what it hands
// back is drained after each press and key, as the window's loop would.
package screentest

import (
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/theme"

	"weirkeeper/app/apptest"
	"weirkeeper/app/look"
	"weirkeeper/app/prefs"
	"weirkeeper/app/session"
	"weirkeeper/app/state"
	"weirkeeper/app/widgets"
	"weirkeeper/storage"
	"weirkeeper/storage/demoroom"
)

// Page is what is driven.
type Page interface {
	fyne.CanvasObject
	Visit(session.Route)
	Reload()
}

// Screen is a page in a window of its own.
type Screen struct {
	T          testing.TB
	Store      *storage.Store
	Session    *session.Session
	Window     fyne.Window
	Page       Page
	Said       []session.Notice  // what it said, the oldest first
	Went       []session.Route   // where it led, the oldest first
	Remembered map[string]string // by key, what lists remember
	runner     *session.Drained
}

// Morning is the time of the clock in the demo room.
var Morning = time.Date(2026, 3, 10, 8, 2, 0, 0, time.UTC)

const demoSeed = 20

// Demo returns the demo room's ledger of invented data, closed when the test ends.
func Demo(t testing.TB) *storage.Store {
	t.Helper()
	store, err := demoroom.Create(t.Context(), filepath.Join(t.TempDir(), "demo.ledger"), apptest.ClockAt(Morning), demoSeed)
	if err != nil {
		t.Fatalf("filling the demo room: %v", err)
	}
	t.Cleanup(func() { store.Close() })
	return store
}

// Open shows the page that open makes, at 1440 x 900 in the light theme, with the
// clock at now. It shows nothing before Visit.
func Open(t testing.TB, store *storage.Store, now time.Time, open func(*session.Session) Page) *Screen {
	t.Helper()
	a := test.NewTempApp(t)
	a.Settings().SetTheme(look.New(theme.VariantLight))
	room, err := store.Room(t.Context())
	if err != nil {
		t.Fatalf("reading the room: %v", err)
	}
	zone, err := room.Location()
	if err != nil {
		t.Fatal(err)
	}
	s := &Screen{T: t, Store: store, Remembered: map[string]string{}, runner: session.NewDrained()}
	s.Window = test.NewTempWindow(t, nil)
	s.Window.SetPadded(false)
	s.Session = &session.Session{
		Store: store, Reads: state.NewReads(store), Clock: func() time.Time { return now }, Room: room, Zone: zone, Window: s.Window, Runner: s.runner, Person: "TK",
		Prefs: prefs.Load(a.Preferences(), ""), Memory: memory(s.Remembered),
		Go:  func(r session.Route) { s.Went = append(s.Went, r) },
		Say: func(n session.Notice) { s.Said = append(s.Said, n) },
	}
	s.Page = open(s.Session)
	s.Window.SetContent(s.Page)
	s.Window.Resize(fyne.NewSize(1440, 900))
	stop := store.Listen(func(c storage.Touched) {
		if len(c.Kinds) == 1 && c.Has(storage.KindDraft) {
			return // as in the window: what a page keeps while it is typed, it knows
		}
		s.runner.Post(func() { s.Page.Reload() })
	})
	t.Cleanup(func() {
		stop()
		s.Session.End()
		s.Session.Reads.Close()
		s.runner.Stop()
	})
	return s
}

type memory map[string]string

func (m memory) Recall(key string) string   { return m[key] }
func (m memory) Remember(key, value string) { m[key] = value }

// Visit goes to a route of the page.
func (s *Screen) Visit(r session.Route) {
	s.T.Helper()
	s.Page.Visit(r)
	s.Drain()
}

// Drain waits for the work under way and shows what it hands back.
func (s *Screen) Drain() { s.runner.Drain() }

// Canvas is the window's.
func (s *Screen) Canvas() fyne.Canvas { return s.Window.Canvas() }

// Press presses the button of that label on what is in front.
func (s *Screen) Press(label string) {
	s.T.Helper()
	if err := apptest.PressLabel(s.Canvas(), label); err != nil {
		s.T.Fatal(err)
	}
	s.Drain()
}

// Keys presses keys one after the other.
func (s *Screen) Keys(names ...fyne.KeyName) {
	s.T.Helper()
	for _, name := range names {
		apptest.Key(s.T, s.Canvas(), name)
		s.Drain()
	}
}

// Type types text into what has the keyboard.
func (s *Screen) Type(text string) {
	s.T.Helper()
	apptest.Type(s.T, s.Canvas(), text)
	s.Drain()
}

// Focus gives the keyboard to something.
func (s *Screen) Focus(f fyne.Focusable) { s.Canvas().Focus(f) }

// Asked tells whether a dialog is open.
func (s *Screen) Asked() bool { return widgets.DialogOpen(s.Window) }

// LastSaid returns the newest notice, the zero one when nothing was said.
func (s *Screen) LastSaid() session.Notice {
	if len(s.Said) == 0 {
		return session.Notice{}
	}
	return s.Said[len(s.Said)-1]
}

// Choice is a field with options by their names, whatever it holds.
type Choice interface {
	fyne.CanvasObject
	Names() []string
	Shown() string
	Pick(name string) bool
}

// Pick chooses an option of the n-th choice field of what is in front.
func (s *Screen) Pick(n int, name string) {
	s.T.Helper()
	seen := -1
	c := apptest.Find(s.T, apptest.Top(s.Canvas()), func(Choice) bool { seen++; return seen == n })
	if !c.Pick(name) {
		s.T.Fatalf("the choice has no %q, it has %q", name, c.Names())
	}
	s.Drain()
}

// Seen returns every text of what is in front, one a line.
func (s *Screen) Seen() string {
	var out []string
	for _, text := range apptest.Texts(s.Window) {
		out = append(out, text.Text)
	}
	return strings.Join(out, "\n")
}
