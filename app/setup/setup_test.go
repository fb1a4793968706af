package setup

import (
	"bytes"
	"context"
	"os"
	"testing"
	"time"

	"fyne.io/fyne/v2"

	"weirkeeper/app/apptest"
	"weirkeeper/app/prefs"
	"weirkeeper/app/screentest"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/storage"
	"weirkeeper/storage/safekeeping"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// setup is the page in a window, with what the window does for it.
type setup struct {
	*screentest.Screen
	page    *Page
	working *working
	backups *backups
	used    []prefs.Preferences // that were put in use
}

// working notes what long work was shown.
type working struct {
	began []string
	ended int
	stop  context.CancelFunc // of the newest work
}

func (w *working) Begin(doing string, _ bool) (context.Context, session.Work) {
	ctx, cancel := context.WithCancel(context.Background())
	w.began, w.stop = append(w.began, doing), cancel
	return ctx, w
}

func (w *working) Set(float64) {}
func (w *working) End()        { w.ended++ }

// backups makes backups at once in a folder of the test.
type backups struct {
	t        *testing.T
	store    *storage.Store
	folder   string
	restored []safekeeping.Backup
	refusal  error         // of Make
	later    time.Duration // the clock of the next one
}

func (b *backups) Folder() string               { return b.folder }
func (b *backups) SetFolder(folder string)      { b.folder = folder }
func (b *backups) Restore(r safekeeping.Backup) { b.restored = append(b.restored, r) }
func (b *backups) Make(done func(error)) {
	if b.refusal == nil {
		_, b.refusal = safekeeping.TakeBackup(b.t.Context(), b.store, b.folder, storagetest.Now.Add(b.later), nil)
	}
	done(b.refusal)
}

// open shows a section of Setup on a ledger.
func open(t *testing.T, store *storage.Store, section session.Section) *setup {
	t.Helper()
	s := &setup{working: &working{}, backups: &backups{t: t, store: store, folder: t.TempDir()}}
	s.Screen = screentest.Open(t, store, storagetest.Now, func(in *session.Session) screentest.Page {
		in.Working, in.Backups = s.working, s.backups
		in.SetPrefs = func(p prefs.Preferences) { s.used = append(s.used, p) }
		in.Undo = func() { s.undo() }
		s.page = New(in)
		return s.page
	})
	s.Visit(session.Route{Place: session.Setup, Section: section})
	s.Focus(s.page.FirstFocus())
	return s
}

// room opens a section on the small test ledger.
func room(t *testing.T, section session.Section) (*setup, storagetest.Fixture) {
	t.Helper()
	store, fixture := storagetest.Room(t)
	return open(t, store, section), fixture
}

// bare opens a section on a ledger with nothing in it.
func bare(t *testing.T, section session.Section) *setup {
	t.Helper()
	store, err := storage.Create(t.Context(), t.TempDir()+"/new.wkr", tanks.Room{Name: "New room", Zone: "Europe/Paris"}, storagetest.Clock)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() })
	return open(t, store, section)
}

func (s *setup) undo() {
	s.T.Helper()
	if _, err := s.Store.Undo(s.T.Context(), "TK"); err != nil {
		s.T.Fatalf("taking it back: %v", err)
	}
	s.Drain()
}

// tab goes to another section as a click on its name does.
func (s *setup) tab(section session.Section) {
	s.T.Helper()
	s.page.tabs.Select(section)
	s.page.choose(section)
	s.Drain()
}

// field finds the n-th one-line field of what is in front.
func (s *setup) field(n int) *widgets.TextEntry {
	s.T.Helper()
	return nth[*widgets.TextEntry](s, n)
}

// nth finds the n-th object of a kind in what is in front.
func nth[T fyne.CanvasObject](s *setup, n int) T {
	s.T.Helper()
	seen := -1
	return apptest.Find(s.T, apptest.Top(s.Canvas()), func(T) bool { seen++; return seen == n })
}

// into types a text in the place of what a field holds.
func (s *setup) into(e *widgets.TextEntry, text string) {
	s.T.Helper()
	e.SetText("")
	s.Focus(e)
	s.Type(text)
}

// ledger reads from the store.
func ledger[T any](s *setup, read func(context.Context) (T, error)) T {
	s.T.Helper()
	got, err := read(s.T.Context())
	if err != nil {
		s.T.Fatal(err)
	}
	return got
}

// must fails the test on an error.
func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// Every section opens on a full and on an empty ledger, has a look of its own and says
// nothing.
func TestSectionsOpen(t *testing.T) {
	full, _ := room(t, session.SetupSystems)
	empty := bare(t, session.SetupSystems)
	for name, s := range map[string]*setup{"full": full, "empty": empty} {
		seen := map[string]session.Section{}
		for _, section := range session.Setup.Sections() {
			s.Visit(session.Route{Place: session.Setup, Section: section})
			if other, twice := seen[s.Seen()]; twice || len(s.Said) > 0 || s.page.tabs.Selected() != section {
				t.Errorf("%s, %v: said %v, tab %v, looks like %v", name, section.Words(), s.Said, s.page.tabs.Selected(), other)
			}
			seen[s.Seen()] = section
		}
	}
}

// toLook opens a section on a full ledger that is open only to look.
func toLook(t *testing.T, section session.Section) *setup {
	t.Helper()
	written, _ := storagetest.Room(t)
	must(t, written.Close())
	store, err := storage.OpenToLook(t.Context(), written.Path(), storagetest.Clock)
	must(t, err)
	t.Cleanup(func() { store.Close() })
	return open(t, store, section)
}

// What cannot be read is said to be unread, never as something that was typed.
func TestUnreadableLedger(t *testing.T) {
	s, _ := room(t, session.SetupSystems)
	other := toLook(t, session.SetupSystems)
	must(t, os.WriteFile(other.Store.Path(), bytes.Repeat([]byte{0xa5}, 1<<16), 0o644))
	s.Session.Store = other.Store
	s.page.Reload()
	s.Drain()
	if said := s.LastSaid(); said.Title != "Reading the set-up: it could not be read" || !said.Bad {
		t.Errorf("said %+v", said)
	}
}

// next does what the newest notice offers.
func (s *setup) next() {
	s.T.Helper()
	if s.LastSaid().Then == nil {
		s.T.Fatalf("%+v leads nowhere", s.LastSaid())
	}
	s.LastSaid().Then()
	s.Drain()
}
