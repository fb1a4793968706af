package rounds_test

import (
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"

	"weirkeeper/app/apptest"
	"weirkeeper/app/rounds"
	"weirkeeper/app/screentest"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
	"weirkeeper/tasks"
)

const day = 24 * time.Hour

func open(t *testing.T, store *storage.Store, now time.Time) *screentest.Screen {
	t.Helper()
	s := screentest.Open(t, store, now, func(s *session.Session) screentest.Page { return rounds.New(s) })
	s.Visit(session.Route{Place: session.Rounds})
	return s
}

// chores opens the test room with these daily chores of its first system, each a
// day later than the one before, the first of them overdue.
func chores(t *testing.T, titles ...string) (*screentest.Screen, storagetest.Fixture) {
	t.Helper()
	store, f := storagetest.Room(t)
	for n, title := range titles {
		start := f.Now.Add(time.Duration(n-2) * day)
		must(t, store.SaveTask(t.Context(), &tasks.Task{System: f.Systems[0].ID, Title: title, Every: 7, Start: start}))
	}
	return open(t, store, f.Now), f
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// done lists what became of work: outcome and title, or the analyte of a test.
func done(t *testing.T, s *screentest.Screen) []string {
	t.Helper()
	all, err := s.Store.Tasks(t.Context())
	must(t, err)
	completions, err := s.Store.LatestCompletions(t.Context())
	must(t, err)
	var out []string
	for _, c := range completions {
		what := chem.Analyte(c.Analyte).String()
		if n := slices.IndexFunc(all, func(task tasks.Task) bool { return task.ID == c.Task }); n >= 0 {
			what = all[n].Title
		}
		out = append(out, c.Outcome.String()+" "+what)
	}
	slices.Sort(out)
	return out
}

func lines(s *screentest.Screen) string { return strings.Join(s.Lines(), "\n") }

// A tick belongs to the work that was ticked: when a row above it goes, it stays
// there and sits on nothing else.
func TestTickStaysOnItsWork(t *testing.T) {
	s, _ := chores(t, "Wipe the glass", "Clean the cup", "Look at the clam")
	s.Tick("Clean the cup")
	s.Tick("Wipe the glass")
	s.Press("Done")
	if got := s.Ticked(); len(got) != 0 {
		t.Fatalf("after Done ticks sit on %q", got)
	}
	if got := done(t, s); !slices.Equal(got, []string{"done Clean the cup", "done Wipe the glass"}) {
		t.Fatalf("the ledger has %q", got)
	}
	s.Tick("Look at the clam")
	must(t, s.Store.SaveTask(t.Context(), &tasks.Task{Title: "Count the heaters", Every: 1, Start: s.Session.Clock().Add(-9 * day)}))
	s.Drain()
	if got := s.Ticked(); len(got) != 1 || !strings.Contains(got[0], "Look at the clam") {
		t.Errorf("with more work above, ticks sit on %q", got)
	}
	if got := s.LastSaid(); got.Title != "Saved" || got.Text != "2 chores are marked as done." {
		t.Errorf("said %+v", got)
	}
}

// A chore that was done is due again; its next time is other work without a tick.
func TestDoneTwice(t *testing.T) {
	s, f := chores(t, "Wipe the glass")
	s.Tick("Wipe the glass")
	must(t, apptest.PressLabel(s.Canvas(), "Done"))
	must(t, apptest.PressLabel(s.Canvas(), "Done")) // before the ledger has answered
	s.Drain()
	if s.Said[len(s.Said)-1].Text != "1 chore is marked as done." || len(s.Said) != 1 {
		t.Errorf("said %+v", s.Said)
	}
	row := s.Line("Wipe the glass")
	if row.Cells[2].Text != s.Session.Day(f.Now.Add(7*day)) || len(s.Ticked()) != 0 {
		t.Errorf("it is due %q, ticked %q", row.Cells[2].Text, s.Ticked())
	}
	s.Undo()
	if got := done(t, s); len(got) != 0 {
		t.Errorf("undone once, %q is left", got)
	}
}

// With nothing ticked the row under the cursor is meant.
func TestDoneOfTheRowUnderTheCursor(t *testing.T) {
	s, _ := chores(t, "Wipe the glass", "Clean the cup", "Look at the clam")
	s.Point("Clean the cup")
	s.Press("Done")
	if got := done(t, s); !slices.Equal(got, []string{"done Clean the cup"}) {
		t.Errorf("the ledger has %q", got)
	}
	s.Point("Look at the clam")
	s.Press("Done")
	if got := done(t, s); !slices.Equal(got, []string{"done Clean the cup", "done Look at the clam"}) {
		t.Errorf("then the ledger has %q", got)
	}
}

func TestTestsAreNotMarkedAsDone(t *testing.T) {
	s, _ := chores(t)
	s.TickAll()
	s.Press("Done")
	if got := s.LastSaid(); got.Title != "Choose a chore first" || len(done(t, s)) != 0 {
		t.Errorf("said %+v", got)
	}
}

// Of chores and tests that are chosen together, it is said why the tests stay.
func TestDoneOfChoresAmongTests(t *testing.T) {
	s, _ := chores(t, "Wipe the glass")
	s.TickAll()
	s.Press("Done")
	want := "1 chore is marked as done. A test is done when its value is saved on the Test sheet."
	if got := s.LastSaid(); got.Text != want || !slices.Equal(done(t, s), []string{"done Wipe the glass"}) {
		t.Errorf("said %+v", got)
	}
}

// Ctrl+A and Enter start a round of everything that is chosen, not of one row.
func TestEnterStartsAllThatIsChosen(t *testing.T) {
	s, f := chores(t, "Wipe the glass")
	s.TickAll()
	if seen := s.Seen(); !strings.Contains(seen, "3 of 3 chosen.") {
		t.Fatalf("it shows\n%s", seen)
	}
	s.Keys(fyne.KeyReturn)
	if len(s.Went) != 1 || s.Went[0].Place != session.TestSheet {
		t.Fatalf("went to %+v", s.Went)
	}
	got := map[tanks.SystemID]int{}
	for _, c := range s.Went[0].Cells {
		got[c.System]++
	}
	if want := 6; got[f.Systems[0].ID] != want || got[f.Systems[1].ID] != want || len(got) != 2 {
		t.Errorf("a round of %v tests by system, want %d of each", got, want)
	}
}

// Start round without a tick takes what is due by today and in sight; with ticks
// just those.
func TestStartRound(t *testing.T) {
	store, f := storagetest.Room(t)
	daysAgo := map[chem.Analyte]int{chem.Calcium: 2, chem.Magnesium: 14} // not due, and due just today
	for _, system := range f.Systems {
		for a, days := range daysAgo {
			m, at := f.Methods[a], f.Now.AddDate(0, 0, -days)
			_, err := store.SaveReadings(t.Context(), []tanks.Reading{{
				System: system.ID, Analyte: a, At: at, Value: 1300, Method: m.ID, Unit: m.Unit, Typed: "1300",
			}})
			must(t, err)
		}
	}
	s := open(t, store, f.Now)
	s.Press("Start round")
	s.Focus(s.Table())
	s.Type("south")
	s.Press("Start round")
	s.Tick("Calcium")
	s.Press("Start round")
	if len(s.Went) != 3 {
		t.Fatalf("went to %+v", s.Went)
	}
	if n := len(s.Went[0].Cells); n != 10 {
		t.Errorf("%d tests are due by today, want all but calcium of both systems", n)
	}
	for _, c := range s.Went[1].Cells {
		if c.System != f.Systems[1].ID || c.Analyte == chem.Calcium {
			t.Errorf("%+v is not in sight or not due", c)
		}
	}
	calcium := []tanks.Cell{{System: f.Systems[1].ID, Analyte: chem.Calcium}}
	if got := s.Went[2].Cells; len(s.Went[1].Cells) != 5 || !slices.Equal(got, calcium) {
		t.Errorf("filtered %+v, ticked %+v", s.Went[1].Cells, got)
	}
}

func TestChoresAreNoRound(t *testing.T) {
	s, _ := chores(t, "Wipe the glass")
	s.Tick("Wipe the glass")
	s.Press("Start round")
	if got := s.LastSaid(); got.Title != "No test among these" || len(s.Went) != 0 {
		t.Errorf("said %+v, went to %+v", got, s.Went)
	}
}

// Skipping asks for a reason, of several rows once; a row of tests is each of its
// tests.
func TestSkip(t *testing.T) {
	s, _ := chores(t, "Wipe the glass", "Clean the cup")
	s.Tick("Wipe the glass")
	s.Tick("F2")
	s.Press("Skip")
	if !strings.Contains(s.Seen(), "Skip: 2 tests and chores") {
		t.Fatalf("it asks\n%s", s.Seen())
	}
	s.Type("  ")
	s.Press("Skip")
	if !s.Asked() || len(done(t, s)) != 0 || !strings.Contains(s.Seen(), "Work is skipped without a reason") {
		t.Fatalf("without a reason it shows\n%s", s.Seen())
	}
	s.Type("closed today")
	s.Press("Skip")
	if s.Asked() || s.LastSaid().Text != "2 are skipped; the reason is in the record." {
		t.Fatalf("open %v, said %+v", s.Asked(), s.LastSaid())
	}
	want := []string{"Alkalinity", "Calcium", "Magnesium", "Nitrate", "Salinity", "Temperature", "Wipe the glass"}
	if got := done(t, s); strings.Join(got, ", ") != "skipped "+strings.Join(want, ", skipped ") {
		t.Errorf("the ledger has %q", got)
	}
	completions, err := s.Store.LatestCompletions(t.Context())
	must(t, err)
	for _, c := range completions {
		if c.Reason != "closed today" || c.Person != "TK" {
			t.Errorf("%+v", c)
		}
	}
	s.Undo()
	if got := done(t, s); len(got) != 0 {
		t.Errorf("undone once, %q is left", got)
	}
}

// Moving asks for a day to come; what the ledger refuses is said in the form,
// which keeps the day.
func TestMove(t *testing.T) {
	s, f := chores(t, "Wipe the glass")
	s.Point("Wipe the glass")
	s.Press("Move")
	entry := apptest.Find(t, apptest.Top(s.Canvas()), func(*widgets.DateEntry) bool { return true })
	entry.SetText("2026-03-09")
	s.Press("Move")
	if !s.Asked() || !strings.Contains(s.Seen(), "That is no day to come") {
		t.Fatalf("yesterday: it shows\n%s", s.Seen())
	}
	entry.SetText("2026-03-14")
	s.FailActs(errors.New("the disk is full"))
	s.Press("Move")
	if !s.Asked() || entry.Text != "14 Mar 2026" || !strings.Contains(s.Seen(), "the disk is full") {
		t.Fatalf("refused: it holds %q and shows\n%s", entry.Text, s.Seen())
	}
	s.FailActs(nil)
	s.Press("Move")
	if s.Asked() || s.LastSaid().Text != "1 is moved to Sat 14 Mar." {
		t.Fatalf("open %v, said %+v", s.Asked(), s.LastSaid())
	}
	completions, err := s.Store.LatestCompletions(t.Context())
	must(t, err)
	to := time.Date(2026, 3, 14, 0, 0, 0, 0, f.Zone)
	if len(completions) != 1 || completions[0].Outcome != tasks.Moved || !completions[0].MovedTo.Equal(to) {
		t.Errorf("the ledger has %+v", completions)
	}
	if got := s.Line("Wipe the glass").Cells[2].Text; got != "Sat 14 Mar" {
		t.Errorf("it is due %q", got)
	}
}

// Refused work stays as it was, with its ticks, and the window says why.
func TestDoneRefused(t *testing.T) {
	s, _ := chores(t, "Wipe the glass", "Clean the cup")
	s.Tick("Wipe the glass")
	s.Tick("Clean the cup")
	s.FailActs(errors.New("the disk is full"))
	s.Press("Done")
	if got := s.LastSaid(); !got.Bad || got.Title != "Marking as done: not done" || !strings.Contains(got.Text, "the disk is full") {
		t.Errorf("said %+v", got)
	}
	if got := s.Ticked(); len(got) != 2 || len(done(t, s)) != 0 {
		t.Errorf("ticked %q, in the ledger %q", got, done(t, s))
	}
	s.FailActs(nil)
	s.Press("Done")
	if got := done(t, s); len(got) != 2 {
		t.Errorf("the second time the ledger has %q", got)
	}
}

func TestEmptyRounds(t *testing.T) {
	path, empty := filepath.Join(t.TempDir(), "empty.wkr"), tanks.Room{Name: "Test room", Zone: "Europe/Paris"}
	store, err := storage.Create(t.Context(), path, empty, storagetest.Clock)
	must(t, err)
	t.Cleanup(func() { store.Close() })
	s := open(t, store, storagetest.Now)
	for _, button := range []string{"Done", "Skip", "Move", "Start round"} {
		s.Press(button)
	}
	if s.Asked() || len(s.Said) != 4 {
		t.Errorf("with nothing to choose it says %+v", s.Said)
	}
	s.Press("Add a system")
	if len(s.Went) != 1 || s.Went[0].Section != session.SetupSystems {
		t.Errorf("went to %+v", s.Went)
	}
	must(t, store.SaveSystem(t.Context(), &tanks.System{Code: "F1", Name: "Frag rack", Kind: tanks.Marine, Opened: storagetest.Now}))
	s.Drain()
	s.Press("Type a test anyway")
	if len(s.Went) != 2 || s.Went[1].Place != session.TestSheet {
		t.Errorf("went to %+v", s.Went)
	}
}

// Each concern leads to its next step for its own system and analyte.
func TestNextSteps(t *testing.T) {
	store, f := storagetest.Room(t)
	save := func(system int, a chem.Analyte, days int, v float64) {
		m, at := f.Methods[a], f.Now.Add(-time.Duration(days)*day)
		_, err := store.SaveReadings(t.Context(), []tanks.Reading{{
			System: f.Systems[system].ID, Analyte: a, At: at, Value: v, Method: m.ID, Unit: m.Unit, Typed: "x",
		}})
		must(t, err)
	}
	save(0, chem.Calcium, 0, 330)
	save(0, chem.Magnesium, 0, 1600)
	save(1, chem.Alkalinity, 20, 2.9)
	s := open(t, store, f.Now)
	for _, label := range []string{"Plan a dose", "Plan a water change", "Test it"} {
		s.Press(label)
	}
	want := []session.Route{
		{Place: session.Dosing, Section: session.DosingPlan, System: f.Systems[0].ID, Analyte: chem.Calcium},
		{Place: session.Dosing, Section: session.DosingChanges, System: f.Systems[0].ID, Analyte: chem.Magnesium},
		{Place: session.TestSheet},
	}
	if len(s.Went) != len(want) {
		t.Fatalf("went to %+v", s.Went)
	}
	for i, w := range want {
		if got := s.Went[i]; got.Place != w.Place || got.Section != w.Section || got.System != w.System || got.Analyte != w.Analyte {
			t.Errorf("%d leads to %+v, want %+v", i, got, w)
		}
	}
	if got := s.Went[2].Cells; len(got) != 1 || got[0] != (tanks.Cell{System: f.Systems[1].ID, Analyte: chem.Alkalinity}) {
		t.Errorf("the test is of %+v", got)
	}
}

// Work on the whole room belongs to no system.
func TestWorkOfTheWholeRoom(t *testing.T) {
	s, _ := chores(t)
	must(t, s.Store.SaveTask(t.Context(), &tasks.Task{Title: "Test the alarm", Every: 30, Start: s.Session.Clock()}))
	s.Drain()
	if got := s.Line("Test the alarm").Cells[0]; got.Bold != "all" || got.Text != "the whole room" {
		t.Errorf("it is of %+v", got)
	}
	s.Point("Test the alarm")
	s.Press("Done")
	completions, err := s.Store.LatestCompletions(t.Context())
	must(t, err)
	if len(completions) != 1 || completions[0].System != 0 {
		t.Errorf("the ledger has %+v", completions)
	}
}

func TestWhatCannotBeReadIsSaid(t *testing.T) {
	s, _ := chores(t, "Wipe the glass")
	s.FailReads(errors.New("the disk is gone"))
	s.Page.Reload()
	s.Drain()
	if got := s.LastSaid(); !got.Bad || got.Title != "Reading what is due: it could not be read" || strings.Contains(got.Text, "typed") {
		t.Errorf("said %+v", got)
	}
	if !strings.Contains(lines(s), "Wipe the glass") {
		t.Errorf("what was shown is gone:\n%s", lines(s))
	}
}

// The demo room by keys alone: down, tick, down, tick, and a round of the two.
func TestRoundByKeys(t *testing.T) {
	s := open(t, screentest.Demo(t), screentest.Morning)
	s.Focus(s.Page.(*rounds.Page).FirstFocus())
	s.Keys(fyne.KeySpace, fyne.KeyDown, fyne.KeySpace)
	ticked := s.Ticked()
	s.Keys(fyne.KeyReturn)
	if len(ticked) != 2 || len(s.Went) != 1 || len(s.Went[0].Cells) != 2 {
		t.Errorf("ticked %q, went to %+v", ticked, s.Went)
	}
}

// Of many concerns the most pressing are shown, and the others when they are asked
// for: none is kept from the person.
func TestManyConcerns(t *testing.T) {
	store, f := storagetest.Room(t)
	var values []tanks.Reading
	for n := range 35 {
		system := f.Systems[0]
		system.ID, system.Code, system.Order, system.Tanks = 0, fmt.Sprintf("Z%02d", n), n+10, nil
		must(t, store.SaveSystem(t.Context(), &system))
		values = append(values, tanks.Reading{System: system.ID, Analyte: chem.Calcium, Method: f.Methods[chem.Calcium].ID, Value: 900,
			Unit: chem.MgL, Typed: "900", At: f.Now.Add(-time.Hour)})
	}
	_, err := store.SaveReadings(t.Context(), values)
	must(t, err)
	s := open(t, store, f.Now)
	shown := func() (n int) {
		seen := s.Seen()
		for i := range 35 {
			if strings.Contains(seen, fmt.Sprintf("Z%02d  Calcium", i)) {
				n++
			}
		}
		return n
	}
	if got := shown(); got != 30 {
		t.Errorf("%d concerns are shown at first", got)
	}
	s.Press("Show the other 5")
	if got := shown(); got != 35 {
		t.Errorf("asked for the others, %d are shown", got)
	}
	must(t, store.SaveTask(t.Context(), &tasks.Task{Title: "Count the heaters", Every: 1, Start: f.Now}))
	s.Drain()
	if got := shown(); got != 35 {
		t.Errorf("after a change elsewhere %d are shown", got)
	}
	s.Visit(session.Route{Place: session.Rounds})
	if got := shown(); got != 30 {
		t.Errorf("opened again it shows %d", got)
	}
}
