package shell

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"

	"weirkeeper/app/apptest"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// openRoom shows a small ledger with two systems, F1 and F2.
func openRoom(t *testing.T) (*keeper, *storage.Store, storagetest.Fixture) {
	t.Helper()
	store, fixture := storagetest.Room(t)
	k := newKeeper(t, storagetest.Clock)
	if err := k.w.Open(context.Background(), store); err != nil {
		t.Fatal(err)
	}
	k.settle()
	return k, store, fixture
}

func (k *keeper) readings(store *storage.Store) int {
	k.t.Helper()
	latest, err := store.Latest(context.Background())
	if err != nil {
		k.t.Fatal(err)
	}
	return len(latest)
}

func TestBadCellsAreRefusedInPlace(t *testing.T) {
	cases := map[string]struct{ typed, says string }{
		"letters":                {"eight", "cannot be saved"},
		"two points":             {"8.3.1", "cannot be saved"},
		"beyond what can be":     {"830", "cannot be saved"},
		"a negative level":       {"-3", "cannot be saved"},
		"only a sign of a bound": {"<", "cannot be saved"},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			k, store, f := openRoom(t)
			before := k.readings(store)
			k.w.Show(session.Route{Place: session.TestSheet, Cells: []tanks.Cell{{System: f.Systems[0].ID, Analyte: chem.Alkalinity}}})
			k.settle()
			k.types(c.typed)
			k.keys(fyne.KeyReturn)
			k.menu(fyne.KeyS)
			if got := k.readings(store); got != before {
				t.Errorf("%d newest values, want %d", got, before)
			}
			said := ""
			apptest.Each(k.c.Content(), func(o fyne.CanvasObject) {
				if n, ok := o.(*widgets.Notice); ok {
					title, text := n.Said()
					said += title + ". " + text + "\n"
				}
			})
			if !strings.Contains(said, c.says) || !strings.Contains(said, "Not saved yet: F1 alkalinity") ||
				!strings.Contains(said, c.typed) {
				t.Errorf("the screen says %q", said)
			}
			// What was typed is kept, also over a crash.
			draft, err := store.Draft(context.Background(), "test sheet")
			if err != nil || !strings.Contains(string(draft), jsonEscaped(c.typed)) {
				t.Errorf("the kept sheet is %s, %v", draft, err)
			}
		})
	}
}

// jsonEscaped is how encoding/json writes the signs of bounds.
func jsonEscaped(text string) string { return strings.ReplaceAll(text, "<", `\u003c`) }

func TestTypedSheetOutlivesACrash(t *testing.T) {
	k, store, f := openRoom(t)
	cells := []tanks.Cell{{System: f.Systems[0].ID, Analyte: chem.Alkalinity}, {System: f.Systems[1].ID, Analyte: chem.Alkalinity}}
	k.w.Show(session.Route{Place: session.TestSheet, Cells: cells})
	k.settle()
	k.types("8.1")
	k.keys(fyne.KeyReturn)
	// A new window on the same ledger, as after a crash.
	again := newKeeper(t, storagetest.Clock)
	if err := again.w.Open(context.Background(), store); err != nil {
		t.Fatal(err)
	}
	again.settle()
	again.menu(fyne.Key3)
	again.menu(fyne.KeyS)
	latest, err := store.Series(context.Background(), f.Systems[0].ID, chem.Alkalinity, storagetest.Now.Add(-time.Minute), storagetest.Now)
	if err != nil || len(latest) != 1 || latest[0].Typed != "8.1" {
		t.Errorf("saved %+v, %v", latest, err)
	}
}

// faultOf opens the form of a new system, lets fill change it, presses Save
// and returns what the form says at a field.
func faultOf(t *testing.T, fill func(k *keeper), field string) (said string, systems int) {
	t.Helper()
	k, store, _ := openRoom(t)
	k.w.Show(session.Route{Place: session.Setup, Section: session.SetupSystems})
	k.settle()
	k.press("Add a system")
	fill(k)
	k.press("Save")
	form := apptest.Find(t, apptest.Top(k.c), func(*widgets.Form) bool { return true })
	all, err := store.Systems(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return form.FaultOf(field), len(all)
}

func TestBadSystemIsRefusedAtItsField(t *testing.T) {
	vessel := func(k *keeper, cells ...string) {
		grid := apptest.Find(k.t, apptest.Top(k.c), func(*widgets.Grid) bool { return true })
		k.c.Focus(grid)
		for _, c := range cells {
			k.types(c)
			k.keys(fyne.KeyTab)
		}
	}
	cases := map[string]struct {
		fill  func(k *keeper)
		field string
		says  string
	}{
		"a code used twice, in other case": {
			func(k *keeper) { k.types("f2"); k.keys(fyne.KeyTab); k.types("Copy"); k.choose(1, "marine") },
			"code",
			"is used by",
		},
		"no code": {
			func(k *keeper) { k.keys(fyne.KeyTab); k.types("Nameless"); k.choose(1, "marine") },
			"code",
			"no code",
		},
		"no water": {func(k *keeper) { k.types("F9"); k.keys(fyne.KeyTab); k.types("x") }, "kind", "not chosen"},
		"letters in a dimension": {func(k *keeper) {
			k.types("F9")
			k.keys(fyne.KeyTab)
			k.types("x")
			k.choose(1, "marine")
			vessel(k, "wide", "60", "50")
		}, "tanks", "length"},
		"more displaced than it holds": {func(k *keeper) {
			k.types("F9")
			k.keys(fyne.KeyTab)
			k.types("x")
			k.choose(1, "marine")
			vessel(k, "50", "40", "30", "80")
		}, "tanks", "would hold no water"},
		"a negative volume": {func(k *keeper) {
			k.types("F9")
			k.keys(fyne.KeyTab)
			k.types("x")
			k.choose(1, "marine")
			apptest.Find(k.t, apptest.Top(k.c), func(*widgets.NumberEntry) bool { return true }).SetText("-20")
		}, "stated", "cannot be"},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			said, systems := faultOf(t, c.fill, c.field)
			if !strings.Contains(said, c.says) {
				t.Errorf("at %s the form says %q, want something with %q", c.field, said, c.says)
			}
			if systems != 2 {
				t.Errorf("there are %d systems, want the 2 of before", systems)
			}
		})
	}
}

func TestBandWithLowAboveHighIsRefused(t *testing.T) {
	k, store, _ := openRoom(t)
	k.w.Show(session.Route{Place: session.Setup, Section: session.SetupProfiles})
	k.settle()
	before, err := store.Profiles(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	grid := apptest.Find(t, k.c.Content(), func(*widgets.Grid) bool { return true })
	k.c.Focus(grid)
	k.types("99999")
	k.keys(fyne.KeyReturn)
	k.menu(fyne.KeyS)
	if !strings.Contains(k.noticed(), "Saving the bands: not done") {
		t.Errorf("the window says %q", k.noticed())
	}
	after, err := store.Profiles(context.Background())
	if err != nil || after[0].Bands[0] != before[0].Bands[0] {
		t.Errorf("the band is %+v, was %+v, %v", after[0].Bands[0], before[0].Bands[0], err)
	}
	// The screen can be left: what was typed is kept, and that is said.
	k.menu(fyne.Key2)
	if k.w.now != session.Room || !strings.HasPrefix(k.noticed(), "Bands not saved yet: ") {
		t.Errorf("the window went to %v and says %s", k.w.now, k.noticed())
	}
}

func TestReadingOfTomorrowIsRefused(t *testing.T) {
	k, store, f := openRoom(t)
	before := k.readings(store)
	k.w.Show(session.Route{Place: session.TestSheet, Cells: []tanks.Cell{{System: f.Systems[0].ID, Analyte: chem.Alkalinity}}})
	k.settle()
	k.types("8.1")
	k.keys(fyne.KeyReturn)
	when := apptest.Find(t, k.c.Content(), func(*widgets.DateTimeEntry) bool { return true })
	k.c.Focus(when)
	when.SetText("2026-03-11 09:00")
	k.keys(fyne.KeyReturn)
	k.menu(fyne.KeyS)
	if got := k.readings(store); got != before || !strings.Contains(k.noticed(), "still to come") {
		t.Errorf("%d newest values, the window says %q", got, k.noticed())
	}
}

func TestFilesThatAreNoLedger(t *testing.T) {
	folder := t.TempDir()
	text := filepath.Join(folder, "notes.ledger")
	if err := os.WriteFile(text, []byte("calcium 420\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	for name, path := range map[string]string{"a text file": text, "a missing file": filepath.Join(folder, "gone.ledger"),
		"a folder": folder} {
		t.Run(name, func(t *testing.T) {
			k := newKeeper(t, storagetest.Clock)
			k.w.openFile(path)
			k.settle()
			said := ""
			apptest.Each(k.c.Content(), func(o fyne.CanvasObject) {
				if n, ok := o.(*widgets.Notice); ok {
					title, body := n.Said()
					said = title + ": " + body
				}
			})
			if k.w.Session() != nil || !strings.Contains(said, "could not be opened") || !strings.Contains(said, filepath.Base(path)) {
				t.Errorf("the window says %q", said)
			}
		})
	}
	if data, err := os.ReadFile(text); err != nil || string(data) != "calcium 420\n" {
		t.Errorf("the text file is now %q, %v", data, err)
	}
}

// Every place of the rail opens by its key, on the demo's kind of ledger and
// on an empty one, and says something.
func TestEveryPlaceOpens(t *testing.T) {
	k, _, f := openRoom(t)
	for n, p := range railPlaces {
		k.menu([]fyne.KeyName{fyne.Key1, fyne.Key2, fyne.Key3, fyne.Key4, fyne.Key5, fyne.Key6, fyne.Key7, fyne.Key8}[n])
		if k.w.now != p {
			t.Errorf("key %d opened %v, want %v", n+1, k.w.now, p)
		}
		if said := k.noticed(); said != ": " {
			t.Errorf("%v says %q", p, said)
		}
	}
	k.w.Show(session.Route{Place: session.System, System: f.Systems[0].ID})
	k.settle()
	title := apptest.Find(t, k.c.Content(), func(*widgets.Heading) bool { return true })
	if k.noticed() != ": " || !strings.Contains(title.Subtitle(), "350 ±") {
		t.Errorf("the system's page says %q, %q", title.Subtitle(), k.noticed())
	}
}
