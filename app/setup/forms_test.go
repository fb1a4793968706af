package setup

import (
	"context"
	"slices"
	"strings"
	"testing"

	"fyne.io/fyne/v2"

	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/tanks"
	"weirkeeper/tasks"
)

// The forms of Setup: what is refused stays with all that was typed, what is
// saved is under the cursor of its list.
func TestFormsOfSetup(t *testing.T) {
	for name, c := range map[string]struct {
		section session.Section
		add     string // the button
		wrong   func(s *setup)
		says    string // under the field
		typed   string // stays in the first field
		right   func(s *setup)
		saved   func(s *setup) bool // in the ledger and under the cursor
	}{
		"person": {session.SetupPeople, "Add a person",
			func(s *setup) { s.into(s.field(0), "ABCDEFGHIJKLM"); s.into(s.field(1), "Ada Berg") }, "are too long", "ABCDEFGHIJKLM",
			func(s *setup) { s.into(s.field(0), "AB") },
			func(s *setup) bool {
				p, ok := s.page.sections[session.SetupPeople].(*peopleView).list.Current()
				people := ledger(s, s.Store.People)
				return ok && p.Initials == "AB" && p.Name == "Ada Berg" && slices.Contains(people, p)
			}},
		"system": {session.SetupSystems, "Add a system",
			func(s *setup) {
				s.into(s.field(0), "F1")
				s.into(s.field(1), "Quarantine")
				s.Pick(1,
					"marine")
			}, "The code F1 is used by", "F1",
			func(s *setup) { s.into(s.field(0), "Q1") },
			func(s *setup) bool {
				got, ok := s.page.systems.list.Current()
				return ok && got.Code == "Q1" && got.Name == "Quarantine" && got.Kind == tanks.Marine &&
					len(ledger(s, s.Store.Systems)) == 3
			}},
		"method": {session.SetupMethods, "Add a method",
			func(s *setup) { s.into(s.field(0), "Dip stick"); s.Pick(0, "kit") }, "", "Dip stick",
			func(s *setup) { s.Pick(1, "Nitrate") },
			func(s *setup) bool {
				got, ok := s.page.sections[session.SetupMethods].(*methodsView).list.Current()
				return ok && got.Name == "Dip stick" && got.Kind == tanks.Kit && len(ledger(s, s.Store.Methods)) == 4
			}},
		"task": {session.SetupTasks, "Add a task",
			func(s *setup) {
				s.into(s.field(0), "Clean the glass")
				s.into(s.field(1),
					"often")
			}, `"often" is no number of days`, "Clean the glass",
			func(s *setup) { s.into(s.field(1), "7"); s.Pick(0, "F2  Frag rack, south") },
			func(s *setup) bool {
				got, ok := s.page.sections[session.SetupTasks].(*tasksView).list.Current()
				all := ledger(s, func(ctx context.Context) ([]tasks.Task, error) { return s.Store.Tasks(ctx) })
				return ok && got.Title == "Clean the glass" && got.Every == 7 && got.System != 0 && len(all) == 1
			}},
		"profile": {session.SetupProfiles, "Add a profile",
			func(s *setup) { s.into(s.field(0), "Quarantine") }, "The kind of water is not chosen", "Quarantine",
			func(s *setup) { s.Pick(0, "freshwater") },
			func(s *setup) bool {
				got, ok := s.page.profiles.list.Current()
				return ok && got.name == "Quarantine" && s.page.profiles.at == got.target && got.profile != 0 &&
					strings.Contains(s.Seen(), "Bands of Quarantine")
			}},
	} {
		t.Run(name, func(t *testing.T) {
			s, _ := room(t, c.section)
			s.Press(c.add)
			c.wrong(s)
			s.Press("Save")
			if !s.Asked() || s.field(0).Text != c.typed || !strings.Contains(s.Seen(), c.says) || len(s.Said) > 0 {
				t.Fatalf("refused: open %v, typed %q, said %v\n%s", s.Asked(), s.field(0).Text, s.Said, s.Seen())
			}
			c.right(s)
			s.Press("Save")
			if s.Asked() || s.LastSaid().Title != "Saved" || !c.saved(s) {
				t.Errorf("saved: open %v, said %+v\n%s", s.Asked(), s.LastSaid(), s.Seen())
			}
		})
	}
}

// A ledger that cannot be written to refuses whatever the form: all that was typed
// is still there.
func TestFormStaysWhenTheLedgerFails(t *testing.T) {
	for add, section := range map[string]session.Section{"Add a person": session.SetupPeople, "Add a profile": session.SetupProfiles} {
		t.Run(add, func(t *testing.T) {
			s := toLook(t, section)
			s.Press(add)
			s.into(s.field(0), "ZZ")
			if section == session.SetupProfiles {
				s.Pick(0, "marine")
			}
			s.Press("Save")
			if !s.Asked() || s.field(0).Text != "ZZ" || !strings.Contains(s.Seen(), "not saved") || len(s.Said) > 0 {
				t.Errorf("open %v, said %v\n%s", s.Asked(), s.Said, s.Seen())
			}
		})
	}
}

// Enter on a row opens it, and what is changed is the row that was opened.
func TestChangeTheChosenSystem(t *testing.T) {
	s, fixture := room(t, session.SetupSystems)
	s.Keys(fyne.KeyDown, fyne.KeyReturn)
	if got := s.field(0).Text; got != "F2" {
		t.Fatalf("opened %q", got)
	}
	s.into(s.field(1), "Frag rack, east")
	s.Press("Save")
	systems := ledger(s, s.Store.Systems)
	if systems[1].Name != "Frag rack, east" || systems[0].Name != fixture.Systems[0].Name {
		t.Errorf("saved %q, %q", systems[0].Name, systems[1].Name)
	}
	if len(systems[1].Tanks) != 1 || systems[1].Tanks[0].ID != fixture.Systems[1].Tanks[0].ID {
		t.Errorf("its vessels are %+v", systems[1].Tanks)
	}
	if got, _ := s.page.systems.list.Current(); got.Code != "F2" {
		t.Errorf("the cursor is on %s", got.Code)
	}
}

// The vessels in the form of a system: keys go from cell to cell, the volume
// follows, and a refusal keeps every cell.
func TestVesselsByKeys(t *testing.T) {
	s, _ := room(t, session.SetupSystems)
	s.Press("Add a system")
	s.into(s.field(0), "T1")
	s.into(s.field(1), "Shrimps")
	grid := nth[*widgets.Grid](s, 0)
	s.Focus(grid)
	for _, typed := range []string{"100", "50", "40"} {
		s.Type(typed)
		s.Keys(fyne.KeyTab)
	}
	s.Type("20")
	s.Keys(fyne.KeyReturn)
	if !strings.Contains(s.Seen(), "180.0 L") { // 100 × 50 × 40 cm are 200 L, less 20 L
		t.Fatalf("the volume is not 180 L:\n%s", s.Seen())
	}
	s.Focus(grid)
	grid.MoveTo(1, 0)
	s.Type("30")
	s.Press("Save")
	if !s.Asked() || !strings.Contains(s.Seen(), "Width is missing") || !strings.Contains(s.Seen(), "The kind of water is not chosen") {
		t.Fatalf("open %v\n%s", s.Asked(), s.Seen())
	}
	for _, want := range []string{"100", "50", "40", "20", "30"} {
		if !strings.Contains(s.Seen(), want+"\n") {
			t.Errorf("%s is not there any more", want)
		}
	}
	grid.MoveTo(1, 0)
	s.Focus(grid)
	s.Keys(fyne.KeyDelete)
	s.Pick(1, "freshwater")
	s.Press("Save")
	if s.Asked() {
		t.Fatalf("not saved:\n%s", s.Seen())
	}
	systems := ledger(s, s.Store.Systems)
	got := systems[len(systems)-1]
	if len(got.Tanks) != 1 || got.Tanks[0].Displaced != 20 || got.NetVolume().Litres != 180 {
		t.Errorf("saved %+v, %v", got.Tanks, got.NetVolume())
	}
}

// Two systems may have profiles of one name: the form shows which is which and
// keeps the one that was chosen.
func TestTwoProfilesOfOneName(t *testing.T) {
	s, fixture := room(t, session.SetupSystems)
	second := tanks.Profile{Name: "Reef", Kind: tanks.Brackish}
	must(t, s.Store.SaveProfile(t.Context(), &second))
	s.Drain()
	s.Keys(fyne.KeyReturn)
	choice := nth[*widgets.Choice[tanks.ProfileID]](s, 0)
	if choice.Value() != fixture.ProfileID || choice.Shown() != "Reef, marine" {
		t.Errorf("shown %q", choice.Shown())
	}
	choice.SetSelected(second.ID)
	s.Press("Save")
	if got := ledger(s, s.Store.Systems)[0].Profile; got != second.ID {
		t.Errorf("saved profile %d, want %d", got, second.ID)
	}
}
