package setup

import (
	"strings"
	"testing"

	"fyne.io/fyne/v2"

	"weirkeeper/app/prefs"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/chem/seawater"
	"weirkeeper/tanks"
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

// The height is typed in metres or feet and belongs to the room, as the constants do; an
// empty one is not said. 5000 ft are 1524 m by the international foot.
func TestRoomsHeightAndConstants(t *testing.T) {
	s, _ := room(t, session.SetupRoom)
	height := func() *widgets.NumberEntry { return nth[*widgets.NumberEntry](s, 0) }
	s.Focus(height())
	s.Type("1234.5")
	s.Pick(1, "Lueker 2000, borate of Lee 2010")
	s.Press("Save the room")
	got := ledger(s, s.Store.Room)
	if m, said := got.Height.Metres(); !said || m != 1234.5 || got.Constants != seawater.SetLee || s.LastSaid().Title != "Saved" {
		t.Fatalf("saved %+v, said %+v", got, s.LastSaid())
	}
	for typed, want := range map[string]tanks.Height{"5000 ft": tanks.HeightOf(1524), "": {}, "0": tanks.HeightOf(0)} {
		height().SetText("")
		s.Focus(height())
		s.Type(typed)
		s.Press("Save the room")
		if got := ledger(s, s.Store.Room).Height; got != want {
			t.Errorf("%q is kept as %+v", typed, got)
		}
	}
	for typed, says := range map[string]string{"4501": "A height of 4501 m above the sea cannot be", "high": "high"} {
		height().SetText("")
		s.Focus(height())
		s.Type(typed)
		s.Press("Save the room")
		if !strings.Contains(s.Seen(), says) || ledger(s, s.Store.Room).Height != tanks.HeightOf(0) &&
			ledger(s, s.Store.Room).Height != (tanks.Height{}) &&
			ledger(s, s.Store.Room).Height != tanks.HeightOf(1524) {
			t.Errorf("%q: kept %+v\n%s", typed, ledger(s, s.Store.Room).Height, s.Seen())
		}
		if again := open(t, s.Store, session.SetupRoom); nth[*widgets.NumberEntry](again, 0).Text != typed {
			t.Errorf("on the next page the field has %q", nth[*widgets.NumberEntry](again, 0).Text)
		}
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
