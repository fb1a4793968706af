package shell

import (
	"context"
	"regexp"
	"slices"
	"strings"
	"testing"

	"fyne.io/fyne/v2"

	"weirkeeper/app/apptest"
	"weirkeeper/app/look"
	"weirkeeper/app/prefs"
	"weirkeeper/app/say"
	"weirkeeper/app/session"
	"weirkeeper/app/tour"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/chem/seawater"
	"weirkeeper/tanks"
)

// foreign are units and signs that a person who prefers others must not see.
var foreign = regexp.MustCompile(`\bdKH\b|°C|\bPSU\b|[0-9] L\b|[0-9]\.[0-9]|\b1?[0-9] Mar\b`)

// usPrefs are units, a decimal sign and an order of dates that are none of the
// usual.
var usPrefs = prefs.Preferences{
	Volume: chem.USGallon, Temperature: chem.Fahrenheit, Alkalinity: chem.MeqL, Salinity: chem.SG25, Nutrients: prefs.AsElement,
	Decimal: 2, Dates: 2, Week: 2,
}

// Every screen shows the person's units, decimal sign and dates. Methods, and the
// sheet that is typed by them, keep the units that kits are marked with; what was
// typed stays as it was typed.
func TestEveryScreenObeysThePreferences(t *testing.T) {
	store := demoStore(t)
	stops, err := tour.Stops(t.Context(), store)
	if err != nil {
		t.Fatal(err)
	}
	w := show(t, tour.Variant{Size: tour.Large, Theme: look.AlwaysLight, Scale: 1}, store)
	t.Cleanup(func() { say.Use(say.Style{}) })
	w.SetPrefs(usPrefs)
	if w.session.Unit(chem.Temperature) != chem.Fahrenheit || !say.Using().Comma {
		t.Fatal("the preferences are not in use")
	}
	place := map[string]float32{}
	for _, text := range apptest.Texts(apptest.Window(t, widgets.NewCalendar(shopMorning, shopMorning, nil), 300, 300)) {
		place[text.Text] = text.At.X
	}
	if place["Sun"] >= place["Mon"] || place["Mon"] >= place["Sat"] {
		t.Errorf("the days of a week stand at %v", place)
	}
	seen := map[string]bool{}
	for _, s := range stops {
		if slices.Contains([]string{"testsheet", "setup-methods", "setup-preferences", "add-method", "salt-water", "sums"}, s.Name) {
			continue
		}
		visit(t, w, s)
		for _, text := range apptest.Texts(w.win) {
			if found := foreign.FindString(text.Text); found != "" && !strings.Contains(text.Text, "Values may be") &&
				!strings.HasPrefix(text.Text, "= ") {
				t.Errorf("%s: %q in %q", s.Name, found, text.Text)
			}
			for _, mine := range []string{"US gal", "°F", "meq/L", "SG 25/25", "NO3-N", "Mar 10, 2026"} {
				seen[mine] = seen[mine] || strings.Contains(text.Text, mine)
			}
		}
	}
	for mine, ok := range seen {
		if !ok {
			t.Errorf("no screen shows %q", mine)
		}
	}
}

// Preferences are chosen in Setup, are there after a restart, and change nothing
// in the ledger.
func TestPreferencesAreKept(t *testing.T) {
	k, store, f := openRoom(t)
	t.Cleanup(func() { say.Use(say.Style{}) })
	save(t, store, f, 0, chem.Temperature, map[int]float64{1: 25})
	before, err := store.ReadingsOf(context.Background(), f.Systems[0].ID, k.w.clock().AddDate(0, 0, -9), k.w.clock())
	if err != nil {
		t.Fatal(err)
	}
	k.w.Show(session.Route{Place: session.Setup, Section: session.SetupPreferences})
	k.settle()
	k.choose(0, "US gallons")
	k.choose(1, "°F")
	k.choose(5, "comma: 8,3")
	k.choose(9, "comfortable")
	k.press("Use these")
	if got := k.noticed(); !strings.Contains(got, "Preferences are in use") {
		t.Errorf("it says %q", got)
	}
	if look.RowHeight() <= 29 {
		t.Errorf("rows are %v high", look.RowHeight())
	}
	k.w.Show(session.Route{Place: session.System, System: f.Systems[0].ID, Section: session.SystemWater})
	k.settle()
	texts := ""
	for _, s := range apptest.Texts(k.w.win) {
		texts += s.Text + "\n"
	}
	if !strings.Contains(texts, "77,0") || !strings.Contains(texts, "°F") || !strings.Contains(texts, "US gal") {
		t.Errorf("the page says\n%s", texts)
	}
	after, err := store.ReadingsOf(context.Background(), f.Systems[0].ID, k.w.clock().AddDate(0, 0, -9), k.w.clock())
	if err != nil || !slices.Equal(after, before) {
		t.Errorf("the ledger changed: %v, %v", after, err)
	}
	again := prefs.Load(fyne.CurrentApp().Preferences(), "")
	if again.Volume != chem.USGallon || again.Temperature != chem.Fahrenheit || again.Decimal != 2 || again.Density != look.Comfortable {
		t.Errorf("kept: %+v", again)
	}
}

// What this computer holds of every room is offered to one that says no height: used, it
// is the room's own and can be taken back; a room that says its height is asked nothing.
func TestRoomIsOfferedWhatIsHeldOfEveryRoom(t *testing.T) {
	k, store, _ := openRoom(t)
	settings := fyne.CurrentApp().Preferences()
	settings.SetString("place.height", "1200")
	settings.SetString("water.constants", "lueker-lee")
	k.w.offerRoom()
	k.settle()
	if got := k.noticed(); !strings.Contains(got, "a height of 1200 m above the sea") || !strings.Contains(got, "borate of Lee 2010") ||
		!strings.Contains(got, "This room says no height") {
		t.Fatalf("it says %q", got)
	}
	name := k.w.session.Room
	name.Name = "Renamed meanwhile"
	if err := store.SaveRoom(t.Context(), name); err != nil {
		t.Fatal(err)
	}
	k.settle()
	k.press("Use them for this room")
	room, err := store.Room(t.Context())
	if m, said := room.Height.Metres(); err != nil || !said || m != 1200 || room.Constants != seawater.SetLee || room.Name != name.Name {
		t.Fatalf("the room is %+v, %v", room, err)
	}
	if k.w.session.Room != room || strings.Contains(k.noticed(), "This room says no height") {
		t.Errorf("the window has %+v and says %q", k.w.session.Room, k.noticed())
	}
	k.w.undo()
	k.settle()
	if room, _ := store.Room(t.Context()); room.Height != (tanks.Height{}) {
		t.Errorf("taken back, the room is %+v", room)
	}
	if got := k.noticed(); !strings.Contains(got, "This room says no height") {
		t.Errorf("taken back, it says %q", got)
	}
	room.Height = tanks.HeightOf(0)
	if err := store.SaveRoom(t.Context(), room); err != nil {
		t.Fatal(err)
	}
	k.settle()
	if got := k.noticed(); strings.Contains(got, "This room says no height") {
		t.Errorf("a room at the sea is asked: %q", got)
	}
}
