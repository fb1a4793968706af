package setup

import (
	"context"
	"math"
	"slices"
	"strings"
	"testing"

	"fyne.io/fyne/v2"

	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
	"weirkeeper/tasks"
)

// band is what the ledger has of an analyte in the first profile.
func (s *setup) band(a chem.Analyte) tanks.Band {
	s.T.Helper()
	bands := ledger(s, s.Store.Profiles)[0].Bands
	i := slices.IndexFunc(bands, func(b tanks.Band) bool { return b.Analyte == a })
	if i < 0 {
		return tanks.Band{}
	}
	return bands[i]
}

// typeBand types into a cell of the grid of bands and goes on with Enter.
func (s *setup) typeBand(row, col int, text string) {
	s.T.Helper()
	grid := nth[*widgets.Grid](s, 0)
	s.Focus(grid)
	grid.MoveTo(row, col)
	s.Type(text)
	s.Keys(fyne.KeyReturn)
}

const calciumRow = 3 // of the profile of the test ledger

func TestSaveBands(t *testing.T) {
	s, _ := room(t, session.SetupProfiles)
	s.typeBand(calciumRow, colLow, "410")
	if got := s.band(chem.Calcium).Low; got != 400 || !strings.Contains(s.Seen(), "changed, not saved yet") ||
		!strings.Contains(s.Seen(), "not saved\n") {
		t.Fatalf("before it is saved: low %g\n%s", got, s.Seen())
	}
	s.Press("Save the bands")
	if got := s.band(chem.Calcium); got.Low != 410 || got.High != 450 || s.LastSaid().Title != "Saved" ||
		strings.Contains(s.Seen(), "not saved") {
		t.Fatalf("saved %+v, said %+v\n%s", got, s.LastSaid(), s.Seen())
	}
	if kept := s.kept(); kept != "" {
		t.Errorf("the draft is still kept: %s", kept)
	}
	s.next() // Undo
	if got := s.band(chem.Calcium).Low; got != 400 || !strings.Contains(s.Seen(), "400\n") || strings.Contains(s.Seen(), "410\n") {
		t.Errorf("taken back: low %g", got)
	}
	said := len(s.Said)
	s.page.Save() // with nothing changed
	s.Drain()
	if len(s.Said) != said {
		t.Errorf("said %+v", s.LastSaid())
	}
}

// kept is the draft that the ledger keeps.
func (s *setup) kept() string {
	s.T.Helper()
	return string(ledger(s, func(ctx context.Context) ([]byte, error) { return s.Store.Draft(ctx, draftName) }))
}

// Leaving the bands saves nothing and loses nothing: it says that they wait, and
// they are there again on another page, in another run of the program.
func TestLeavingKeepsBands(t *testing.T) {
	for name, leave := range map[string]func(s *setup){
		"for another tab":   func(s *setup) { s.tab(session.SetupTasks) },
		"for another place": func(s *setup) { must(s.T, s.page.Commit()); s.Drain() },
	} {
		t.Run(name, func(t *testing.T) {
			s, _ := room(t, session.SetupProfiles)
			grid := nth[*widgets.Grid](s, 0)
			s.Focus(grid)
			grid.MoveTo(calciumRow, colLow)
			s.Type("41") // not confirmed by Enter
			leave(s)
			if got := s.band(chem.Calcium).Low; got != 400 {
				t.Fatalf("leaving saved %g", got)
			}
			if said := s.LastSaid(); said.Title != "Bands not saved yet" || !strings.Contains(said.Text, "Reef") {
				t.Fatalf("said %+v", said)
			}
			s.next()
			if to := s.Went[len(s.Went)-1]; to.Place != session.Setup || to.Section != session.SetupProfiles {
				t.Errorf("it leads to %+v", to)
			}
			again := open(t, s.Store, session.SetupProfiles)
			if got := again.page.profiles.sheet.rows[calciumRow].typed[colLow]; got != "41" ||
				!strings.Contains(again.Seen(), "changed, not saved yet") {
				t.Fatalf("on the next page the cell has %q", got)
			}
			again.typeBand(calciumRow, colLow, "415")
			again.Press("Save the bands")
			if got := again.band(chem.Calcium).Low; got != 415 {
				t.Errorf("saved %g", got)
			}
		})
	}
}

func TestLeavingWithoutChangesSaysNothing(t *testing.T) {
	s, _ := room(t, session.SetupProfiles)
	s.typeBand(calciumRow, colLow, "410")
	s.typeBand(calciumRow, colLow, "400") // as it was
	s.tab(session.SetupTasks)
	if len(s.Said) > 0 || s.kept() != "" {
		t.Errorf("said %v, kept %s", s.Said, s.kept())
	}
}

// Each profile and system keeps what was typed into its own bands; saving one
// saves no other.
func TestDraftsAreApart(t *testing.T) {
	s, fixture := room(t, session.SetupProfiles)
	own := target{system: fixture.Systems[1].ID}
	s.typeBand(calciumRow, colHigh, "460")
	nth[*widgets.Grid](s, 0).MoveTo(calciumRow, colLow)
	s.Type("411") // not confirmed by Enter
	s.page.profiles.list.SetCurrent(own)
	s.Drain()
	if !strings.Contains(s.Seen(), "Own bands of F2 Frag rack, south") || strings.Contains(s.Seen(), "460") {
		t.Fatalf("the system shows\n%s", s.Seen())
	}
	s.Press("Add an analyte")
	s.Pick(0, "Nitrate")
	s.Press("Add")
	s.typeBand(0, colLow, "1")
	s.typeBand(0, colHigh, "9")
	s.Press("Save the bands")
	bands := ledger(s, func(ctx context.Context) ([]tanks.Band, error) { return s.Store.OwnBands(ctx, own.system) })
	if len(bands) != 1 || bands[0].Low != 1 || bands[0].Aim != 5 || bands[0].High != 9 || s.band(chem.Calcium).High != 450 {
		t.Fatalf("own bands %+v; the profile's calcium %+v", bands, s.band(chem.Calcium))
	}
	s.page.profiles.list.SetCurrent(target{profile: fixture.ProfileID})
	s.Drain()
	if got := s.page.profiles.sheet.rows[calciumRow].typed; got[colHigh] != "460" || got[colLow] != "411" {
		t.Errorf("what was typed into the profile is %q", got)
	}
}

// The largest step is typed in the unit shown, kept in the canonical one, and must not be
// more than the change of a day nor nothing. A dKH is 0.35664 meq/L (20 / 56.077).
func TestLargestStep(t *testing.T) {
	s, _ := room(t, session.SetupProfiles)
	const alkalinityRow = 2
	s.typeBand(alkalinityRow, colStep, "0.5")
	s.Press("Save the bands")
	if got := s.band(chem.Alkalinity); math.Abs(got.MaxStep-0.5*20/56.077) > 1e-4 || math.Abs(got.MaxRise-0.3) > 1e-9 {
		t.Fatalf("0.5 dKH are kept as %+v", got)
	}
	for typed, says := range map[string]string{"0.9": "above the safe change a day", "0": "A step of nothing", "-1": "is negative",
		"much": "no part of a number"} {
		s.typeBand(alkalinityRow, colStep, typed)
		s.Press("Save the bands")
		if got := s.band(chem.Alkalinity).MaxStep; math.Abs(got-0.5*20/56.077) > 1e-4 || !strings.Contains(s.LastSaid().Text, says) ||
			!strings.Contains(s.LastSaid().Text, "Largest step") {
			t.Errorf("%q: kept %g, said %+v", typed, got, s.LastSaid())
		}
	}
	grid := nth[*widgets.Grid](s, 0)
	s.Focus(grid)
	grid.MoveTo(alkalinityRow, colStep)
	s.Keys(fyne.KeyDelete)
	s.Press("Save the bands")
	if got := s.band(chem.Alkalinity).MaxStep; got != 0 {
		t.Errorf("emptied: %g, said %+v", got, s.LastSaid())
	}
	s.undo()
	if got := open(t, s.Store, session.SetupProfiles).page.profiles.sheet.rows[alkalinityRow].typed[colStep]; got != "0.5" {
		t.Errorf("shown again as %q", got)
	}
}

// Under the bands stand the usual limits of the row under the cursor in its kind of
// water, with where they come from, and what holds where no step is given; a new row
// begins with them.
func TestUsualLimitsAreSaid(t *testing.T) {
	s, fixture := room(t, session.SetupProfiles)
	nth[*widgets.Grid](s, 0).MoveTo(calciumRow, colStep)
	for _, want := range []string{
		"Calcium, marine: usually at most 20 mg/L a day, 10 mg/L in one dose or water change (common practice, no source).",
		"Left empty, the largest step is 10 mg/L.",
	} {
		if !strings.Contains(s.Seen(), want) {
			t.Errorf("not said: %s\n%s", want, s.Seen())
		}
	}
	system := fixture.Systems[1]
	system.Kind = tanks.Freshwater
	must(t, s.Store.SaveSystem(t.Context(), &system))
	s.Drain()
	s.page.profiles.list.SetCurrent(target{system: system.ID})
	s.Drain()
	for name, want := range map[string]string{
		"Hardness": "Hardness, freshwater: usually at most 2 dGH a day, 1 dGH in one dose or water change (common practice, no source).",
		"Lead":     "Lead, freshwater: no usual limit of its change is known.",
	} {
		s.Press("Add an analyte")
		s.Pick(0, name)
		s.Press("Add")
		if !strings.Contains(s.Seen(), want) {
			t.Errorf("not said: %s\n%s", want, s.Seen())
		}
	}
	rows := s.page.profiles.sheet.rows
	for _, r := range rows {
		day, step := r.typed[colRise], r.typed[colStep]
		if r.analyte == chem.Hardness && (day != "2" || step != "1") || r.analyte == chem.Lead && (day != "" || step != "") {
			t.Errorf("%s begins with %q", r.analyte, r.typed)
		}
	}
}

// What was kept of bands before they had steps is taken up at its place.
func TestDraftWithoutSteps(t *testing.T) {
	d := rowDraft{Typed: []string{"1", "2", "3", "0.5", "7", "35"}}
	if got := d.cells(); got != [bandColumns]string{"1", "2", "3", "0.5", "", "7", "35"} {
		t.Errorf("taken up as %q", got)
	}
	d.Typed = []string{"1", "2", "3", "0.5", "0.2", "7", "35"}
	if got := d.cells(); got != [bandColumns]string{"1", "2", "3", "0.5", "0.2", "7", "35"} {
		t.Errorf("taken up as %q", got)
	}
}

// A band that cannot be is not saved; the cursor is on its cell, and all that was
// typed stays.
func TestWrongBandStays(t *testing.T) {
	s, _ := room(t, session.SetupProfiles)
	s.typeBand(0, colLow, "23")
	s.typeBand(calciumRow, colLow, "500") // above high
	s.Press("Save the bands")
	grid := nth[*widgets.Grid](s, 0)
	row, col := grid.Cursor()
	if s.LastSaid().Title != "Saving the bands: not done" || !strings.Contains(s.LastSaid().Text, "Calcium, Low") || row != calciumRow ||
		col != colLow {
		t.Errorf("said %+v, the cursor is at %d, %d", s.LastSaid(), row, col)
	}
	if s.band(chem.Temperature).Low != 24 || s.page.profiles.sheet.rows[0].typed[colLow] != "23" {
		t.Errorf("low of the temperature: saved %g, typed %q", s.band(chem.Temperature).Low, s.page.profiles.sheet.rows[0].typed[colLow])
	}
}

func TestDropBands(t *testing.T) {
	s, _ := room(t, session.SetupProfiles)
	s.Press("Drop the changes")
	if s.Asked() || s.LastSaid().Title != "Nothing is changed here" {
		t.Fatalf("asked %v, said %+v", s.Asked(), s.LastSaid())
	}
	s.typeBand(0, colLow, "23")
	s.Press("Take the row out")
	s.Press("Drop the changes")
	s.Press("Drop them")
	if got := s.page.profiles.sheet; got.Rows() != 6 || got.rows[0].typed[colLow] != "24" || s.kept() != "" ||
		!strings.Contains(s.Seen(), "6 bands") {
		t.Errorf("%d rows, low %q, kept %q", got.Rows(), got.rows[0].typed[colLow], s.kept())
	}
}

// What is typed while the bands are being saved is not taken for saved.
func TestTypingWhileSaving(t *testing.T) {
	s, _ := room(t, session.SetupProfiles)
	s.typeBand(calciumRow, colLow, "410")
	s.page.profiles.save()
	s.page.profiles.typeIn(widgets.Edit{Row: calciumRow, Col: colHigh, Text: "470"})
	s.Drain()
	if got := s.band(chem.Calcium); got.Low != 410 || got.High != 450 || !strings.Contains(s.Seen(), "changed, not saved yet") {
		t.Fatalf("saved %+v\n%s", got, s.Seen())
	}
	s.Press("Save the bands")
	if got := s.band(chem.Calcium).High; got != 470 {
		t.Errorf("saved high %g", got)
	}
}

// A band is typed in the unit shown and kept in its canonical one. A dKH is 10 mg
// of CaO in a litre, 2 meq of 56.077 mg (from memory): 8 dKH are 2.8532 meq/L.
func TestBandUnits(t *testing.T) {
	s, _ := room(t, session.SetupProfiles)
	s.typeBand(2, colLow, "8")
	s.Press("Save the bands")
	if got := s.band(chem.Alkalinity).Low; math.Abs(got-8*20/56.077) > 5e-4 {
		t.Errorf("8 dKH are kept as %g meq/L", got)
	}
}

// A band in a per-kilogram unit is of the salinity that it names, else of its
// system's water: 2300 µeq/kg are 2.3139 meq/L at 12 PSU and 2.2932 in fresh water
// (1.00606 and 0.99705 kg/L at 25 °C by EOS-80).
func TestBandInItsOwnWater(t *testing.T) {
	for name, c := range map[string]struct {
		salinity string
		of       chem.Water
		want     float64
	}{"of a salinity": {"12", chem.WaterOf(0), 2.3139}, "of fresh water": {"", chem.WaterOf(0), 2.2932}, "of any": {"", chem.Water{},
		2.3537}} {
		r := bandRow{analyte: chem.Alkalinity, unit: chem.UeqKg, psu: chem.PSU, of: c.of}
		r.typed[colLow], r.typed[colAim], r.typed[colHigh], r.typed[colSalinity] = "2200", "2300", "2400", c.salinity
		b := r.band()
		if !r.clean() || math.Abs(b.Aim-c.want) > 1e-4 {
			t.Errorf("%s: %g meq/L, %q", name, b.Aim, r.fault)
		}
		if again := rowOf(b, chem.UeqKg, chem.PSU, c.of); again.typed[colAim] != "2300" {
			t.Errorf("%s: shown as %s", name, again.typed[colAim])
		}
	}
}

// Undoing a new profile leads to another one, and the page goes on.
func TestUndoOfTheShownProfile(t *testing.T) {
	s, fixture := room(t, session.SetupProfiles)
	s.Press("Add a profile")
	s.into(s.field(0), "Nano")
	s.Pick(0, "marine")
	s.Press("Save")
	if s.page.profiles.at.profile == fixture.ProfileID {
		t.Fatal("the new profile is not chosen")
	}
	s.undo()
	if _, err := s.Store.Profiles(t.Context()); err != nil || s.page.profiles.labelOf(s.page.profiles.at) == "" {
		t.Errorf("%v: the page shows bands of %+v", err, s.page.profiles.at)
	}
	s.typeBand(0, colLow, "23")
	if len(s.Said) > 1 && s.LastSaid().Bad {
		t.Errorf("said %+v", s.LastSaid())
	}
}

// A draft of a profile that is gone is not shown and hinders nothing.
func TestDraftOfNothing(t *testing.T) {
	store, _ := storagetest.Room(t)
	must(
		t,
		store.SaveDraft(
			t.Context(),
			draftName,
			[]byte(`{"bands":[{"profile":99,"rows":[{"analyte":1,"unit":"x","salinity":"PSU","typed":["1","","","","",""]}]}]}`),
		),
	)
	s := open(t, store, session.SetupProfiles)
	if len(s.Said) > 0 || strings.Contains(s.Seen(), "not saved") {
		t.Errorf("said %v\n%s", s.Said, s.Seen())
	}
	must(t, store.SaveDraft(t.Context(), draftName, []byte("{")))
	if s = open(t, store, session.SetupProfiles); len(s.Said) > 0 {
		t.Errorf("an unreadable draft: said %v", s.Said)
	}
}

// Edits are taken back one by one, in the cells in which they were made: not in
// those of another profile, and not in another row.
func TestUndoOfBandEdits(t *testing.T) {
	s, fixture := room(t, session.SetupProfiles)
	s.typeBand(calciumRow, colLow, "410")
	s.typeBand(calciumRow, colLow, "420")
	cell := func() string { return s.page.profiles.sheet.rows[calciumRow].typed[colLow] }
	for _, want := range []string{"410", "400"} {
		if !s.page.UndoEdit() || cell() != want {
			t.Fatalf("taken back, the cell has %q, want %q", cell(), want)
		}
	}
	if !s.page.RedoEdit() || cell() != "410" {
		t.Fatalf("put back, the cell has %q", cell())
	}
	s.page.profiles.list.SetCurrent(target{system: fixture.Systems[0].ID})
	s.Drain()
	if s.page.UndoEdit() {
		t.Error("an edit of the profile was taken back on the page of a system")
	}
	s.page.profiles.list.SetCurrent(target{profile: fixture.ProfileID})
	s.Drain()
	s.typeBand(calciumRow, colLow, "430")
	nth[*widgets.Grid](s, 0).MoveTo(0, 0)
	s.Press("Take the row out")
	if s.page.UndoEdit() {
		t.Errorf("an edit was taken back in a row that moved: %v", s.page.profiles.sheet.rows)
	}
	s.Press("Save the bands")
	s.tab(session.SetupTasks)
	if s.page.UndoEdit() {
		t.Error("an edit was taken back on another section")
	}
}

// A profile is copied with its bands and chores, under a name of its own, and what is
// changed in the copy stays out of the other.
func TestCopyAProfile(t *testing.T) {
	s, fixture := room(t, session.SetupProfiles)
	chore := tasks.Task{Profile: fixture.ProfileID, Title: "Wipe the panes", Every: 7, Start: fixture.Now.AddDate(-1, 0, 0)}
	must(t, s.Store.SaveTask(t.Context(), &chore))
	s.Drain()
	s.Press("Copy the profile")
	if !strings.Contains(s.Seen(), "Copy of Reef") {
		t.Fatalf("it asks\n%s", s.Seen())
	}
	s.Press("Save")
	all := ledger(s, s.Store.Profiles)
	i := slices.IndexFunc(all, func(p tanks.Profile) bool { return strings.HasPrefix(p.Name, "Copy of ") })
	if i < 0 || len(all[i].Bands) == 0 || s.page.profiles.at.profile != all[i].ID {
		t.Fatalf("the ledger has %+v, shown is %+v", all, s.page.profiles.at)
	}
	work := slices.DeleteFunc(ledger(s, s.Store.Tasks), func(x tasks.Task) bool { return x.Profile != all[i].ID })
	if len(work) != 1 || work[0].Title != "Wipe the panes" || !work[0].Start.After(chore.Start) {
		t.Errorf("its chores are %+v", work)
	}
	s.typeBand(calciumRow, colLow, "411")
	s.Press("Save the bands")
	for _, p := range ledger(s, s.Store.Profiles) {
		j := slices.IndexFunc(p.Bands, func(b tanks.Band) bool { return b.Analyte == chem.Calcium })
		if low := p.Bands[j].Low; p.ID == all[i].ID && low != 411 || p.ID == fixture.ProfileID && low != 400 {
			t.Errorf("calcium of %s is from %g", p.Name, low)
		}
	}
	s.page.profiles.list.SetCurrent(target{system: fixture.Systems[1].ID})
	s.Drain()
	s.Press("Copy the profile")
	if s.Asked() || s.LastSaid().Title != "Choose a profile first" {
		t.Errorf("of a system: asked %v, said %+v", s.Asked(), s.LastSaid())
	}
}

// A system's own band starts from its profile's; an analyte that the profile has not
// starts empty.
func TestAnOwnBandStartsFromTheProfiles(t *testing.T) {
	s, fixture := room(t, session.SetupProfiles)
	s.page.profiles.list.SetCurrent(target{system: fixture.Systems[1].ID})
	s.Drain()
	for _, name := range []string{"Calcium", "Lead"} {
		s.Press("Add an analyte")
		s.Pick(0, name)
		s.Press("Add")
	}
	rows := s.page.profiles.sheet.rows
	if len(rows) != 2 || rows[0].typed[colLow] != "400" || rows[0].typed[colHigh] != "450" || rows[1].typed != ([bandColumns]string{}) {
		t.Fatalf("it starts from %+v", rows)
	}
	s.Press("Take the row out") // the cursor is on the last one
	s.typeBand(0, colHigh, "440")
	s.Press("Save the bands")
	bands := ledger(s, func(ctx context.Context) ([]tanks.Band, error) { return s.Store.OwnBands(ctx, fixture.Systems[1].ID) })
	if len(bands) != 1 || bands[0].Low != 400 || bands[0].High != 440 || s.band(chem.Calcium).High != 450 {
		t.Errorf("own bands %+v", bands)
	}
}
