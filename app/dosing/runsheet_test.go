package dosing_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"fyne.io/fyne/v2"

	"weirkeeper/app/apptest"
	"weirkeeper/app/screentest"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
)

// sheet is the test room with a committed plan, three doses of calcium for the
// first system and two of bicarbonate for the second, and its run sheet.
func sheet(t *testing.T) (*screentest.Screen, storagetest.Fixture) {
	t.Helper()
	store, f := storagetest.Room(t)
	doses := func(amounts ...float64) (out []tanks.Dose) {
		for n, amount := range amounts {
			out = append(out, tanks.Dose{Due: f.Now.AddDate(0, 0, n), Amount: amount})
		}
		return out
	}
	plan := tanks.DosingPlan{Made: f.Now, Caution: 1, Person: "TK", Lines: []tanks.PlanLine{
		{System: f.Systems[0].ID, Analyte: chem.Calcium, Product: f.Products["calcium"].ID, Doses: doses(101, 102, 103)},
		{System: f.Systems[1].ID, Analyte: chem.Alkalinity, Product: f.Products["bicarbonate"].ID, Doses: doses(21, 22)},
	}}
	must(t, store.CommitPlan(t.Context(), &plan))
	return open(t, store, f.Now, session.DosingRunSheet), f
}

// doses tells what became of each dose of the newest plan, by its amount.
func doses(t *testing.T, store *storage.Store) string {
	t.Helper()
	var out []string
	for _, l := range plans(t, store)[0].Lines {
		for _, d := range l.Doses {
			switch {
			case d.Dropped:
				out = append(out, fmt.Sprintf("%g dropped: %s", d.Amount, d.Reason))
			case !d.Done.IsZero():
				out = append(out, fmt.Sprintf("%g given as %g", d.Amount, d.Given))
			}
		}
	}
	slices.Sort(out)
	return strings.Join(out, ", ")
}

func given(t *testing.T, store *storage.Store, f storagetest.Fixture) (n int) {
	t.Helper()
	for _, system := range f.Systems {
		all, err := store.Additions(t.Context(), system.ID, f.Now.Add(-day), f.Now.Add(day))
		must(t, err)
		n += len(all)
	}
	return n
}

// Several doses are marked as given in one act: their ticks go, each is an
// addition, and one undo takes all of them back.
func TestGiveSeveral(t *testing.T) {
	s, f := sheet(t)
	if !strings.Contains(s.Seen(), "5 doses to give in the next seven days.") {
		t.Fatalf("it shows\n%s", s.Seen())
	}
	s.Tick("101 mL")
	s.Tick("22 mL")
	s.Press("Mark as given")
	if got := doses(t, s.Store); got != "101 given as 101, 22 given as 22" || given(t, s.Store, f) != 2 {
		t.Fatalf("the ledger has %s and %d additions", got, given(t, s.Store, f))
	}
	if got := s.Ticked(); len(got) != 0 || s.LastSaid().Text != "2 doses are marked as given; logs and trends show them." {
		t.Errorf("ticked %q, said %+v", got, s.LastSaid())
	}
	was := s.Line("101 mL |").Cells[5].Text
	if !strings.HasPrefix(was, "101 mL, Tue 10 Mar") || !strings.Contains(s.Seen(), "3 doses to give") {
		t.Errorf("it was given %q:\n%s", was, s.Seen())
	}
	s.Undo()
	if got := doses(t, s.Store); got != "" || given(t, s.Store, f) != 0 {
		t.Errorf("undone once, the ledger has %s and %d additions", got, given(t, s.Store, f))
	}
}

// When one of several cannot be given, none is, and the window says so.
func TestGiveAllOrNone(t *testing.T) {
	s, f := sheet(t)
	s.Tick("101 mL")
	s.Tick("102 mL")
	first := plans(t, s.Store)[0].Lines[0].Doses[1].ID
	must(t, s.Store.GiveDoses(t.Context(), []storage.GivenDose{{ID: first, At: f.Now, Amount: 1}}, "AN")) // by someone else, not shown yet
	must(t, apptest.PressLabel(s.Canvas(), "Mark as given"))
	s.Drain()
	if got := doses(t, s.Store); got != "102 given as 1" || given(t, s.Store, f) != 1 {
		t.Errorf("the ledger has %s and %d additions", got, given(t, s.Store, f))
	}
	want := "The dose for F1 is given or dropped already"
	if got := s.LastSaid(); !got.Bad || got.Title != "Marking as given: not done" || !strings.Contains(got.Text, want) {
		t.Errorf("said %+v", got)
	}
}

// A second press before the first was answered gives nothing twice and says
// nothing wrong.
func TestGiveTwice(t *testing.T) {
	s, f := sheet(t)
	s.Tick("101 mL")
	for range 3 {
		must(t, apptest.PressLabel(s.Canvas(), "Mark as given"))
	}
	s.Drain()
	if len(s.Said) != 1 || s.Said[0].Bad || given(t, s.Store, f) != 1 {
		t.Errorf("said %+v, %d additions", s.Said, given(t, s.Store, f))
	}
	s.Tick("102 mL")
	s.FailActs(errors.New("the disk is full"))
	s.Press("Mark as given")
	s.FailActs(nil)
	if got := s.Ticked(); !s.LastSaid().Bad || len(got) != 1 {
		t.Fatalf("refused: ticked %q, said %+v", got, s.LastSaid())
	}
	s.Press("Mark as given")
	if given(t, s.Store, f) != 2 {
		t.Errorf("after a refusal %d additions", given(t, s.Store, f))
	}
}

// Ticks sit on the doses that were ticked, whatever goes above them; what the
// filter hides is not given.
func TestTicksStayOnTheirDoses(t *testing.T) {
	s, f := sheet(t)
	s.Tick("102 mL")
	s.Tick("21 mL")
	first := plans(t, s.Store)[0].Lines[0].Doses[0].ID
	must(t, s.Store.DropDoses(t.Context(), []tanks.DoseID{first}, "spilled", "AN"))
	s.Drain()
	if got := s.Ticked(); len(got) != 2 || !strings.Contains(got[0], "102 mL") || !strings.Contains(got[1], "21 mL") {
		t.Fatalf("ticks sit on %q", got)
	}
	s.Focus(s.Table())
	s.Type("south")
	s.Press("Mark as given")
	if got := doses(t, s.Store); got != "101 dropped: spilled (AN), 21 given as 21" || given(t, s.Store, f) != 1 {
		t.Errorf("the ledger has %s", got)
	}
}

// With nothing ticked the dose under the cursor is meant; one that was given is
// not given again.
func TestGiveTheDoseUnderTheCursor(t *testing.T) {
	s, _ := sheet(t)
	s.Point("21 mL")
	s.Press("Mark as given")
	if got := doses(t, s.Store); got != "21 given as 21" {
		t.Fatalf("the ledger has %s", got)
	}
	for _, button := range []string{"Mark as given", "Give another amount", "Drop"} {
		s.Press(button)
		if got := s.LastSaid(); got.Title != "No waiting dose is chosen" || s.Asked() {
			t.Errorf("%s: asked %v, said %+v", button, s.Asked(), got)
		}
	}
}

// Another amount, at another time, is asked for one dose; the form stays until the
// ledger has taken it.
func TestGiveAnotherAmount(t *testing.T) {
	s, f := sheet(t)
	s.Point("102 mL")
	s.Keys(fyne.KeyReturn)
	amount := apptest.Find(t, apptest.Top(s.Canvas()), func(*widgets.NumberEntry) bool { return true })
	at := apptest.Find(t, apptest.Top(s.Canvas()), func(*widgets.DateTimeEntry) bool { return true })
	if amount.Text != "102" || !strings.Contains(s.Seen(), "F1, Calcium stock") || !strings.Contains(s.Seen(), "mL given") {
		t.Fatalf("it asks\n%s", s.Seen())
	}
	for _, c := range []struct{ amount, at, want string }{
		{"0", "", "\"0\" is no amount"}, {"", "", "\"\" is no amount"}, {"90", "2026-03-11 10:00", "That is no time up to now"},
	} {
		amount.SetText(c.amount)
		at.SetText(c.at)
		s.Press("Mark as given")
		if !s.Asked() || !strings.Contains(s.Seen(), c.want) || given(t, s.Store, f) != 0 {
			t.Fatalf("%+v: asked %v:\n%s", c, s.Asked(), s.Seen())
		}
	}
	at.SetText("2026-03-10 08:30")
	s.FailActs(errors.New("the disk is full"))
	s.Press("Mark as given")
	if !s.Asked() || amount.Text != "90" || !strings.Contains(s.Seen(), "the disk is full") {
		t.Fatalf("refused: it holds %q:\n%s", amount.Text, s.Seen())
	}
	s.FailActs(nil)
	s.Press("Mark as given")
	all, err := s.Store.Additions(t.Context(), f.Systems[0].ID, f.Now.Add(-day), f.Now.Add(day))
	must(t, err)
	if s.Asked() || doses(t, s.Store) != "102 given as 90" || len(all) != 1 {
		t.Fatalf("the ledger has %s, %+v", doses(t, s.Store), all)
	}
	if all[0].At.In(f.Zone).Format("15:04") != "08:30" || all[0].Person != "TK" {
		t.Errorf("the ledger has %+v", all[0])
	}
}

func TestAnotherAmountIsOfOneDose(t *testing.T) {
	s, _ := sheet(t)
	s.Tick("101 mL")
	s.Tick("102 mL")
	s.Keys(fyne.KeyReturn)
	if got := s.LastSaid(); s.Asked() || got.Title != "Several doses are chosen" {
		t.Errorf("asked %v, said %+v", s.Asked(), got)
	}
}

// Dropping asks for a reason once; all of the doses are dropped or none, and one
// undo brings them back.
func TestDropSeveral(t *testing.T) {
	s, f := sheet(t)
	s.Tick("103 mL")
	s.Tick("22 mL")
	s.Press("Drop")
	if !strings.Contains(s.Seen(), "Drop 2 doses") {
		t.Fatalf("it asks\n%s", s.Seen())
	}
	s.Press("Drop")
	if !s.Asked() || !strings.Contains(s.Seen(), "A dose is dropped without a reason") {
		t.Fatalf("without a reason it shows\n%s", s.Seen())
	}
	s.Type("high already")
	last := plans(t, s.Store)[0].Lines[1].Doses[1].ID
	must(t, s.Store.As(storage.Author{Person: "TK"}).GiveDoses(t.Context(), []storage.GivenDose{{ID: last, At: f.Now, Amount: 22}}, "AN"))
	s.Press("Drop")
	if !s.Asked() || doses(t, s.Store) != "22 given as 22" || !strings.Contains(s.Seen(), "The dose for F2 is given or dropped already") {
		t.Fatalf("one was given meanwhile: the ledger has %s:\n%s", doses(t, s.Store), s.Seen())
	}
	s.Undo()
	s.Press("Drop")
	if got := doses(t, s.Store); s.Asked() || got != "103 dropped: high already (TK), 22 dropped: high already (TK)" {
		t.Fatalf("the ledger has %s", got)
	}
	if got := lines(s); strings.Contains(got, "103 mL") || strings.Contains(got, "22 mL") || len(s.Ticked()) != 0 {
		t.Errorf("it shows\n%s", got)
	}
	s.Undo()
	if got := doses(t, s.Store); got != "" || !strings.Contains(lines(s), "103 mL") {
		t.Errorf("undone once, the ledger has %s", got)
	}
}

func TestPrintAsksForAPlace(t *testing.T) {
	s, _ := sheet(t)
	s.Press("Print")
	if !s.Asked() {
		t.Errorf("it asks for no file; said %+v", s.Said)
	}
}
