package dosing_test

import (
	"path/filepath"
	"strings"
	"testing"
	"time"

	"weirkeeper/app/dosing"
	"weirkeeper/app/screentest"
	"weirkeeper/app/session"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

const day = 24 * time.Hour

func open(t *testing.T, store *storage.Store, now time.Time, section session.Section) *screentest.Screen {
	t.Helper()
	s := screentest.Open(t, store, now, func(s *session.Session) screentest.Page { return dosing.New(s) })
	s.Visit(session.Route{Place: session.Dosing, Section: section})
	return s
}

func emptyLedger(t *testing.T) *storage.Store {
	t.Helper()
	path, empty := filepath.Join(t.TempDir(), "empty.wkr"), tanks.Room{Name: "Test room", Zone: "Europe/Paris"}
	store, err := storage.Create(t.Context(), path, empty, storagetest.Clock)
	must(t, err)
	t.Cleanup(func() { store.Close() })
	return store
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// save writes one exact reading of a system, of an hour ago.
func save(t *testing.T, store *storage.Store, f storagetest.Fixture, system int, a chem.Analyte, v float64) {
	t.Helper()
	m := f.Methods[a]
	_, err := store.SaveReadings(t.Context(), []tanks.Reading{{
		System: f.Systems[system].ID, Analyte: a, At: f.Now.Add(-time.Hour), Value: v, Method: m.ID, Unit: m.Unit, Typed: "x",
	}})
	must(t, err)
}

func lines(s *screentest.Screen) string { return strings.Join(s.Lines(), "\n") }

// sections are each section with what it says in a ledger without anything.
func TestEmptySections(t *testing.T) {
	store := emptyLedger(t)
	for section, c := range map[session.Section]struct {
		says, press string
		leads       session.Section
	}{
		session.DosingPlan:     {"No system yet", "Add a system", session.SetupSystems},
		session.DosingRunSheet: {"Nothing to give", "Plan doses", session.DosingPlan},
		session.DosingChanges:  {"No system yet", "Add a system", session.SetupSystems},
	} {
		s := open(t, store, storagetest.Now, section)
		if !strings.Contains(s.Seen(), c.says) {
			t.Errorf("%v shows\n%s", section.Words(), s.Seen())
		}
		s.Press(c.press)
		if len(s.Went) != 1 || s.Went[0].Section != c.leads {
			t.Errorf("%v leads to %+v", section.Words(), s.Went)
		}
	}
	s := open(t, store, storagetest.Now, session.DosingShelf)
	s.Press("Add a product")
	if !s.Asked() {
		t.Error("an empty shelf asks for no product")
	}
}
