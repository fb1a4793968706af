package setup

import (
	"strings"
	"testing"

	"fyne.io/fyne/v2"

	"weirkeeper/app/prefs"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
)

func TestRoomsTimeZoneIsChosen(t *testing.T) {
	s, _ := room(t, session.SetupRoom)
	zone := nth[*widgets.Choice[string]](s, 0)
	if zone.Shown() != "Europe/Paris" {
		t.Fatalf("shown %q", zone.Shown())
	}
	s.Focus(zone)
	s.Type("new york") // by the city, which the zone's name joins
	s.Keys(fyne.KeyReturn)
	if zone.Shown() != "America/New_York" {
		t.Fatalf("found %q", zone.Shown())
	}
	s.Press("Save the room")
	if got := ledger(s, s.Store.Room); got.Zone != "America/New_York" || got.Name != "Test room" || s.LastSaid().Title != "Saved" {
		t.Errorf("saved %+v, said %+v", got, s.LastSaid())
	}
}

// A room's name that is typed and not saved is kept, and the page says so.
func TestLeavingKeepsTheRoom(t *testing.T) {
	s, _ := room(t, session.SetupRoom)
	s.into(s.field(0), "Cellar")
	must(t, s.Store.SaveProfile(t.Context(), &ledger(s, s.Store.Profiles)[0])) // somebody else saves something
	s.Drain()
	if got := s.field(0).Text; got != "Cellar" {
		t.Fatalf("after a change of the ledger the field has %q", got)
	}
	s.tab(session.SetupPeople)
	if s.LastSaid().Title != "The room is not saved yet" || ledger(s, s.Store.Room).Name != "Test room" {
		t.Fatalf("said %+v", s.LastSaid())
	}
	again := open(t, s.Store, session.SetupRoom)
	if got := again.field(0).Text; got != "Cellar" {
		t.Fatalf("on the next page the field has %q", got)
	}
	again.page.Save()
	again.Drain()
	if got := ledger(again, again.Store.Room).Name; got != "Cellar" || again.kept() != "" {
		t.Errorf("saved %q, kept %q", got, again.kept())
	}
	again.tab(session.SetupPeople)
	if again.LastSaid().Title != "Saved" {
		t.Errorf("said %+v", again.LastSaid())
	}
}

func TestRoomWithoutName(t *testing.T) {
	s, _ := room(t, session.SetupRoom)
	s.into(s.field(0), " ")
	s.Press("Save the room")
	if !strings.Contains(s.Seen(), "has no name") || ledger(s, s.Store.Room).Name != "Test room" || len(s.Said) > 0 {
		t.Errorf("said %v\n%s", s.Said, s.Seen())
	}
}

// Preferences come into use where they were chosen: the section stays open.
func TestPreferencesStayOpen(t *testing.T) {
	s, _ := room(t, session.SetupPreferences)
	before := s.Session.Prefs
	s.Pick(2, "meq/L")
	s.Press("Use these")
	want := before
	want.Alkalinity = chem.MeqL
	if len(s.used) != 1 || s.used[0] != want {
		t.Errorf("in use %+v, want %+v", s.used, want)
	}
	if n := len(s.Went); n != 1 || s.Went[0].Place != session.Setup || s.Went[0].Section != session.SetupPreferences || len(s.Said) > 0 {
		t.Errorf("it leads to %+v, said %v", s.Went, s.Said)
	}
}

func TestLeavingKeepsPreferences(t *testing.T) {
	s, _ := room(t, session.SetupPreferences)
	s.tab(session.SetupRoom)
	if len(s.Said) > 0 {
		t.Fatalf("nothing was chosen, said %v", s.Said)
	}
	s.tab(session.SetupPreferences)
	s.Pick(1, "°F")
	s.tab(session.SetupRoom)
	if s.LastSaid().Title != "Preferences not in use yet" || len(s.used) > 0 ||
		s.Session.Prefs.Temperature != (prefs.Preferences{}).Temperature {
		t.Fatalf("said %+v, in use %v", s.LastSaid(), s.used)
	}
	s.tab(session.SetupPreferences)
	s.page.Save()
	if len(s.used) != 1 || s.used[0].Temperature != chem.Fahrenheit {
		t.Errorf("in use %+v", s.used)
	}
}
