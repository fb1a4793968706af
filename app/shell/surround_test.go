package shell

import (
	"context"
	"strings"
	"testing"

	"fyne.io/fyne/v2"

	"weirkeeper/app/apptest"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// Ctrl+K, a part of a name and Enter lead to a system, a screen, a section, an
// analyte, a sum or an action; a sum is found by other words too.
func TestJump(t *testing.T) {
	k, _, f := openRoom(t)
	for typed, there := range map[string]func() bool{
		"f2":     func() bool { return k.w.route.Place == session.System && k.w.route.System == f.Systems[1].ID },
		"lab sa": func() bool { return k.w.route.Place == session.Samples },
		"back": func() bool {
			return k.w.route.Place == session.Setup && k.w.route.Section == session.SetupBackups || k.w.win.Canvas().Overlays().Top() == nil
		},
		"set people": func() bool { return k.w.route.Section == session.SetupPeople },
		"magnes":     func() bool { return k.w.route.Place == session.Trends },
		"nitrate f2": func() bool {
			r := k.w.route
			return r.Place == session.System && r.Section == session.SystemTrend && r.System == f.Systems[1].ID && r.Analyte == chem.Nitrate
		},
		"frag north calc": func() bool { return k.w.route.System == f.Systems[0].ID && k.w.route.Analyte == chem.Calcium },
		"add a sys":       func() bool { return k.w.route.New && strings.Contains(wordsInFront(k.w.win), "Code") },
		"add a prod": func() bool {
			return k.w.route.Section == session.DosingShelf && strings.Contains(wordsInFront(k.w.win), "By its label")
		},
		"sums":          func() bool { return strings.Contains(wordsInFront(k.w.win), "Found by") },
		"hydrometer":    func() bool { return strings.Contains(wordsInFront(k.w.win), "Salinity by hydrometer") },
		"tds":           func() bool { return strings.Contains(wordsInFront(k.w.win), "Factor of the meter") },
		"refractometer": func() bool { return strings.Contains(wordsInFront(k.w.win), "Sample and prism") },
		"specific gravity": func() bool {
			return strings.Contains(wordsInFront(k.w.win), "Salinity by hydrometer")
		},
		"keys": func() bool { return strings.Contains(wordsInFront(k.w.win), "next and previous field") },
	} {
		k.w.Show(session.Route{Place: session.Rounds})
		k.settle()
		k.menu(fyne.KeyK)
		k.types(typed)
		k.keys(fyne.KeyReturn)
		if !there() {
			t.Errorf("%q leads to %v", typed, k.w.route)
		}
		for k.c.Overlays().Top() != nil {
			k.keys(fyne.KeyEscape)
		}
	}
	k.menu(fyne.KeyK)
	k.types("no such thing at all")
	k.keys(fyne.KeyReturn)
	if !widgets.DialogOpen(k.w.win) || !strings.Contains(wordsInFront(k.w.win), "Nothing here is called that") {
		t.Error("what is not found closes the search, or nothing is said")
	}
	k.keys(fyne.KeyEscape)
}

func wordsInFront(w fyne.Window) string {
	var b strings.Builder
	for _, s := range apptest.Texts(w) {
		b.WriteString(s.Text + "\n")
	}
	return b.String()
}

// F1 lists every key of the menus, wherever the keyboard is.
func TestKeysPage(t *testing.T) {
	k, _, _ := openRoom(t)
	k.w.Show(session.Route{Place: session.TestSheet})
	k.settle()
	k.keys(fyne.KeyF1)
	said := wordsInFront(k.w.win)
	for _, m := range k.w.commands() {
		for _, c := range m.commands {
			if !strings.Contains(said, c.keys()+"\n") || !strings.Contains(said, strings.TrimSuffix(c.label, " ...")) {
				t.Errorf("%s, %s is not listed", c.keys(), c.label)
			}
		}
	}
	k.keys(fyne.KeyEscape)
	if widgets.DialogOpen(k.w.win) {
		t.Error("Esc leaves the list of keys open")
	}
}

// Ctrl+S in a dialog presses its main button, as Enter does.
func TestSaveKeyConfirmsTheDialog(t *testing.T) {
	k, store, _ := openRoom(t)
	k.w.Show(session.Route{Place: session.Setup, Section: session.SetupPeople})
	k.settle()
	k.press("Add a person")
	k.types("AB")
	k.menu(fyne.KeyS)
	people, err := store.People(context.Background())
	if err != nil || len(people) != 1 || people[0].Initials != "AB" {
		t.Errorf("%v, %v are saved", people, err)
	}
	if widgets.DialogOpen(k.w.win) {
		t.Error("the dialog is still open")
	}
}

// Ctrl+S on a section of Setup saves what it edits.
func TestSaveKeySavesTheRoom(t *testing.T) {
	k, store, _ := openRoom(t)
	k.w.Show(session.Route{Place: session.Setup, Section: session.SetupRoom})
	k.settle()
	k.keys(fyne.KeyTab, fyne.KeyTab, fyne.KeyTab, fyne.KeyTab)
	k.types("Key under the mat.")
	k.menu(fyne.KeyS)
	if room, err := store.Room(context.Background()); err != nil || room.Note != "Key under the mat." {
		t.Errorf("%q, %v is saved", room.Note, err)
	}
}

// No two commands have the same keys.
func TestCommandsHaveKeysOfTheirOwn(t *testing.T) {
	k := newKeeper(t, apptest.Clock)
	seen := map[string]string{}
	for _, m := range k.w.commands() {
		for _, c := range m.commands {
			if other, twice := seen[c.keys()]; twice {
				t.Errorf("%s: %q and %q", c.keys(), other, c.label)
			}
			seen[c.keys()] = c.label
		}
	}
}

// Ctrl+Z in the grid takes back cell after cell, and only then the last save.
func TestUndoInTheGridFirst(t *testing.T) {
	k, store, f := openRoom(t)
	cells := []tanks.Cell{{System: f.Systems[0].ID, Analyte: 5}, {System: f.Systems[1].ID, Analyte: 5}}
	k.w.Show(session.Route{Place: session.TestSheet, Cells: cells})
	k.settle()
	k.types("410")
	k.keys(fyne.KeyReturn)
	k.types("420")
	k.keys(fyne.KeyReturn)
	k.menu(fyne.KeyS)
	if k.readings(store) != 2 {
		t.Fatalf("%d readings saved", k.readings(store))
	}
	k.w.Show(session.Route{Place: session.TestSheet, Cells: cells})
	k.settle()
	k.types("430")
	k.keys(fyne.KeyReturn)
	undo := func() {
		k.w.undo()
		k.settle()
	}
	undo()
	if k.readings(store) != 2 {
		t.Error("the first undo took the save back, not the cell")
	}
	undo()
	if k.readings(store) != 0 {
		t.Error("the second undo left the save")
	}
}

// The screen that was open last opens again, for the same ledger only.
func TestLastScreenIsRemembered(t *testing.T) {
	k, store, f := openRoom(t)
	k.w.Show(session.Route{Place: session.System, System: f.Systems[1].ID, Section: session.SystemLog})
	k.settle()
	if got := k.w.rememberedScreen(store.Path()); got.Place != session.System || got.System != f.Systems[1].ID ||
		got.Section != session.SystemLog {
		t.Errorf("%+v", got)
	}
	if got := k.w.rememberedScreen("another.ledger"); got.Place != session.Rounds {
		t.Errorf("of another ledger: %+v", got)
	}
	for _, broken := range []string{"", "{", `{"Ledger":"` + store.Path() + `","Place":99}`, `{"Ledger":"` + store.Path() +
		`","Place":8}`} {
		k.w.app.Preferences().SetString(prefScreen, broken)
		if got := k.w.rememberedScreen(store.Path()); got.Place != session.Rounds {
			t.Errorf("%q: %+v", broken, got)
		}
	}
}

// The initials of who works are chosen of the people, or typed.
func TestWorkingNow(t *testing.T) {
	k, store, _ := openRoom(t)
	if err := store.SavePerson(context.Background(), &tanks.Person{Initials: "AB", Name: "Ada"}); err != nil {
		t.Fatal(err)
	}
	k.settle()
	if got := k.w.frame.person.Names(); len(got) != 1 || got[0] != "AB" {
		t.Fatalf("offered are %q", got)
	}
	k.w.frame.person.SetText("XY")
	if k.w.session.Person != "XY" {
		t.Errorf("working is %q", k.w.session.Person)
	}
}

// Long work stands in the bottom line and can be stopped there.
func TestWorkStandsInTheBottomLine(t *testing.T) {
	k, _, _ := openRoom(t)
	ctx, work := k.w.session.Working.Begin("Importing", true)
	work.Set(0.5)
	k.settle()
	if bar := k.w.frame.progress; bar.Doing() != "Importing" || bar.Share() != 0.5 {
		t.Errorf("%q at %v", bar.Doing(), bar.Share())
	}
	k.w.frame.progress.Stop()
	if ctx.Err() == nil {
		t.Error("Stop does not end the work")
	}
	work.End()
	if k.w.frame.progress.Doing() != "" {
		t.Error("the line still shows it")
	}
}
