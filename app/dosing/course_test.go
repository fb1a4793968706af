package dosing_test

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"

	"weirkeeper/app/apptest"
	"weirkeeper/app/look"
	"weirkeeper/app/screentest"
	"weirkeeper/app/session"
	"weirkeeper/app/widgets"
	"weirkeeper/chem"
	"weirkeeper/storage"
	"weirkeeper/storage/storagetest"
	"weirkeeper/tanks"
	"weirkeeper/tasks"
)

// courseRoom has a system of 200 L of a kind with levels, and a tap with others.
type courseRoom struct {
	*screentest.Screen
	f      storagetest.Fixture
	system tanks.System
	tap    tanks.System
}

// courseOf opens the water changes of a system of a kind, several over days.
func courseOf(t *testing.T, kind tanks.Kind, now, fresh chem.Analysis, bands ...tanks.Band) courseRoom {
	t.Helper()
	return courseWith(t, tanks.System{Code: "W1", Name: "Rack", Kind: kind, Stated: 200}, tanks.System{Code: "T1", Name: "Tap"}, now, fresh,
		bands...)
}

func courseWith(t *testing.T, system, tap tanks.System, now, fresh chem.Analysis, bands ...tanks.Band) courseRoom {
	t.Helper()
	store, f := storagetest.Room(t)
	profile := tanks.Profile{Name: "Course", Kind: system.Kind, Bands: bands}
	must(t, store.SaveProfile(t.Context(), &profile))
	system.Profile, system.Opened = profile.ID, f.Now.Add(-100*day)
	must(t, store.SaveSystem(t.Context(), &system))
	tap.Kind, tap.Opened = tanks.Source, f.Now.Add(-100*day)
	must(t, store.SaveSystem(t.Context(), &tap))
	levels(t, store, f, system.ID, now)
	levels(t, store, f, tap.ID, fresh)
	s := open(t, store, f.Now, session.DosingChanges)
	s.Visit(session.Route{Place: session.Dosing, Section: session.DosingChanges, System: system.ID})
	s.Pick(1, tap.Label())
	s.Press("Plan a course")
	return courseRoom{s, f, system, tap}
}

// levels are exact readings of an hour ago.
func levels(t *testing.T, store *storage.Store, f storagetest.Fixture, id tanks.SystemID, all chem.Analysis) {
	t.Helper()
	for a, v := range all {
		info, _ := chem.Lookup(a)
		_, err := store.SaveReadings(t.Context(), []tanks.Reading{
			{System: id, Analyte: a, At: f.Now.Add(-time.Hour), Value: v, Unit: info.Unit, Typed: "x"},
		})
		must(t, err)
	}
}

// The fields of a course, among the numbers on the page.
const (
	fieldTo = iota
	fieldEach
	fieldNumber
	fieldEvery
)

func (c courseRoom) put(n int, text string) {
	c.T.Helper()
	e := number(c.T.(*testing.T), c.Screen, n)
	c.Focus(e)
	e.SetText("")
	c.Type(text)
}

// says is all that is seen, whatever its lines.
func (c courseRoom) says() string { return strings.Join(strings.Fields(c.Seen()), " ") }

func (c courseRoom) faultOf(field string) string {
	var said string
	apptest.Each(c.Canvas().Content(), func(o fyne.CanvasObject) {
		if f, ok := o.(*widgets.Form); ok {
			said += f.FaultOf(field)
		}
	})
	return said
}

// wants fails unless each text is seen.
func (c courseRoom) wants(t *testing.T, texts ...string) {
	t.Helper()
	for _, text := range texts {
		if !strings.Contains(c.says(), text) {
			t.Errorf("it lacks %q:\n%s", text, c.says())
		}
	}
}

var nitrateBand = tanks.Band{Analyte: chem.Nitrate, Low: 0, Aim: 20, High: 40}

// Nitrate 110 in a fresh system comes to 40 with tap water of 5 by changes over days:
// by hand 5 + 105·0.8⁵ is 39.4, and 0.8⁴ is not enough. Of fresh water's 20 mg/L a day
// the first change takes 21, so that 38 L of 200 are the most.
func TestNitrateIsBroughtDownOverDays(t *testing.T) {
	c := courseOf(t, tanks.Freshwater, chem.Analysis{chem.Nitrate: 110}, chem.Analysis{chem.Nitrate: 5}, nitrateBand)
	if got := number(t, c.Screen, fieldEach).Text; got != "38" {
		t.Fatalf("proposed are %q L", got)
	}
	c.put(fieldTo, "40")
	c.put(fieldEach, "40")
	c.wants(t, "5 changes of 40 L: nitrate from 110.0 mg/L to 39.4 mg/L. In all 200 L of new water, until Sat 14 Mar.",
		"More than is safe: NO3 −21 of 20 a day (common practice, no source).",
		"The largest that keeps all limits is 38 L (19.0 %); nitrate binds.",
		"5.0 + (110.0 − 5.0) × (1 − 0.200)^5: what is left")
	if got := c.Lines(); len(got) != 5 || !strings.Contains(got[0], "1 | Tue 10 Mar | NO3 −21 of 20 a day | 89.0") ||
		!strings.Contains(got[4], "5 | Sat 14 Mar | NO3 −8.6 of 20 a day | 39.4") {
		t.Errorf("the changes are %q", got)
	}
	for i, want := range []bool{true, false} { // the second takes 16.8
		if color := c.Table().Rows()[i].Cells[2].Color; (color == look.Problem) != want {
			t.Errorf("the limit of change %d is drawn in %q", i+1, color)
		}
	}
	c.Press("Largest safe volume")
	c.wants(t, "6 changes of 38 L", "All limits are kept; the nearest is NO3 −19.9 of 20 a day")
	if number(t, c.Screen, fieldEach).Text != "38" {
		t.Errorf("the largest are %q L", number(t, c.Screen, fieldEach).Text)
	}
	c.put(fieldNumber, "3") // 1 − (1/3)^(1/3) is 30.7 %
	c.wants(t, "3 changes of 61 L", "to 40.0 mg/L")
	c.put(fieldNumber, "")
	c.put(fieldEvery, "2")
	c.wants(t, "until Fri 20 Mar.")
	if got := c.Lines(); !strings.Contains(got[5], "6 | Fri 20 Mar") {
		t.Errorf("the changes are %q", got)
	}
}

// The course is put down as one task a day, once, and one undo takes all back.
func TestCourseIsPutDownAsWork(t *testing.T) {
	c := courseOf(t, tanks.Freshwater, chem.Analysis{chem.Nitrate: 110}, chem.Analysis{chem.Nitrate: 5}, nitrateBand)
	c.put(fieldTo, "40")
	had := len(allTasks(t, c.Store))
	must(t, apptest.PressLabel(c.Canvas(), "Put it down as work"))
	must(t, apptest.PressLabel(c.Canvas(), "Put it down as work"))
	c.Drain()
	work := allTasks(t, c.Store)[had:]
	if len(work) != 6 || c.Asked() {
		t.Fatalf("the ledger has %+v", work)
	}
	zone := c.f.Zone
	for i, task := range work {
		want := time.Date(2026, 3, 10+i, 0, 0, 0, 0, zone)
		if task.System != c.system.ID || !task.Start.Equal(want) || task.Title != fmt.Sprintf("Change 38 L of water (%d of 6)", i+1) {
			t.Errorf("task %d is %+v", i+1, task)
		}
		if !strings.Contains(task.Note, "nitrate from 110.0 mg/L to 40.0 mg/L with water of T1") {
			t.Errorf("its note is %q", task.Note)
		}
	}
	if got := c.LastSaid(); got.Text != "6 tasks for W1, the first on Tue 10 Mar." {
		t.Errorf("said %+v", got)
	}
	c.Press("Put it down as work")
	if !c.Asked() || len(allTasks(t, c.Store)) != had+6 {
		t.Fatalf("the same course is put down twice unasked:\n%s", c.says())
	}
	c.Press("Cancel")
	c.Undo()
	if got := allTasks(t, c.Store); len(got) != had {
		t.Errorf("undone once, the ledger has %+v", got[had:])
	}
	c.Press("Put it down as work") // it stands no longer, so nothing is asked
	if got := allTasks(t, c.Store); len(got) != had+6 || c.Asked() {
		t.Errorf("put down after the undo, the ledger has %+v", got[had:])
	}
}

// A course with water that holds chlorine says so, as one change does.
func TestCourseWarnsOfChlorine(t *testing.T) {
	c := courseOf(t, tanks.Freshwater, chem.Analysis{chem.Nitrate: 110}, chem.Analysis{chem.Nitrate: 5, chem.AllChlorine: 0.4}, nitrateBand)
	c.put(fieldTo, "40")
	c.wants(t, "The new water holds 0.40 mg/L of chlorine: take it out first")
}

func allTasks(t *testing.T, store *storage.Store) []tasks.Task {
	t.Helper()
	all, err := store.Tasks(t.Context())
	must(t, err)
	return all
}

// What breaks a limit is asked about; more days than anybody keeps to are refused.
func TestUnsafeCourseIsAskedAbout(t *testing.T) {
	c := courseOf(t, tanks.Freshwater, chem.Analysis{chem.Nitrate: 110}, chem.Analysis{chem.Nitrate: 5}, nitrateBand)
	had := len(allTasks(t, c.Store))
	c.put(fieldTo, "40")
	c.put(fieldEach, "100")
	c.Press("Put it down as work")
	if !c.Asked() || !strings.Contains(c.says(), "NO3 −52.5 of 20 a day") {
		t.Fatalf("it shows\n%s", c.says())
	}
	c.Press("Cancel")
	if got := len(allTasks(t, c.Store)); got != had {
		t.Fatalf("%d tasks are put down all the same", got-had)
	}
	c.Press("Put it down as work")
	c.Press("Put it down")
	if got := len(allTasks(t, c.Store)); got != had+2 {
		t.Errorf("%d tasks are put down", got-had)
	}
	c.put(fieldEach, "2")
	c.Press("Put it down as work")
	if got := c.faultOf("each"); !strings.Contains(got, "that is 110 days of work") || len(allTasks(t, c.Store)) != had+2 {
		t.Errorf("of 2 L at a time it says %q", got)
	}
}

// The limits, and so the largest share, are those of the kind of water and of the
// bands: the published ones do not exist, the usual ones are common practice.
func TestCourseByKindOfWater(t *testing.T) {
	for name, c := range map[string]struct {
		kind  tanks.Kind
		now   chem.Analysis
		fresh chem.Analysis
		bands []tanks.Band
		goal  string // shown as chosen
		says  string
		each  string
	}{
		"fresh, hardness binds": {tanks.Freshwater, chem.Analysis{chem.Nitrate: 60, chem.Hardness: 3},
			chem.Analysis{chem.Nitrate: 0, chem.Hardness: 1},
			[]tanks.Band{nitrateBand}, "Nitrate, mg/L", "GH −", "17"}, // 1 dGH is 0.178 mmol/L in a step, of 2: 8.9 %
		"brackish, salinity binds": {tanks.Brackish, chem.Analysis{chem.Nitrate: 80, chem.Salinity: 12},
			chem.Analysis{chem.Nitrate: 0, chem.Salinity: 0},
			[]tanks.Band{nitrateBand}, "Nitrate, mg/L", "Sal −", "16"}, // 1 PSU of 12 in a step: 8.3 %
		"marine, nitrate binds": {tanks.Marine, chem.Analysis{chem.Nitrate: 50, chem.Salinity: 35},
			chem.Analysis{chem.Nitrate: 0, chem.Salinity: 35},
			[]tanks.Band{nitrateBand}, "Nitrate, mg/L", "NO3 −5 of 5 a day", "20"}, // 5 of 50
		"the band's own step": {tanks.Freshwater, chem.Analysis{chem.Nitrate: 60}, chem.Analysis{chem.Nitrate: 0},
			[]tanks.Band{{Analyte: chem.Nitrate, Low: 0, Aim: 20, High: 40, MaxRise: 12,
				MaxStep: 6}}, "Nitrate, mg/L", "NO3 −6 of 6 a step", "20"},
		"no limit known": {tanks.Freshwater, chem.Analysis{chem.Silicate: 10}, chem.Analysis{chem.Silicate: 0},
			[]tanks.Band{{Analyte: chem.Silicate, Low: 0, Aim: 1, High: 2}}, "Silicate, mg/L", "none is known", "100"},
	} {
		t.Run(name, func(t *testing.T) {
			r := courseOf(t, c.kind, c.now, c.fresh, c.bands...)
			goal := apptest.Find(t, r.Canvas().Content(), func(*widgets.Choice[chem.Analyte]) bool { return true })
			if goal.Shown() != c.goal {
				t.Errorf("the goal is of %q", goal.Shown())
			}
			if got := number(t, r.Screen, fieldEach).Text; got != c.each {
				t.Errorf("proposed are %q L, want %s", got, c.each)
			}
			r.wants(t, c.says)
		})
	}
}

// Each field that is wrong says so at its place, and nothing is put down.
func TestFaultsOfACourse(t *testing.T) {
	for name, c := range map[string]struct {
		n     int
		text  string
		field string
		says  string
	}{
		"no goal":                  {fieldTo, "", "to", "no number"},
		"a word for a goal":        {fieldTo, "low", "to", ""},
		"a bound for a goal":       {fieldTo, "<40", "to", "is a bound"},
		"below the new water":      {fieldTo, "2", "to", "between the two waters"},
		"above the system":         {fieldTo, "150", "to", "between the two waters"},
		"in another unit":          {fieldTo, "1 mg/L NO3-N", "to", "between the two waters"},
		"no volume":                {fieldEach, "", "each", "no number"},
		"nothing at a time":        {fieldEach, "0", "each", "outside 0 to 100 %"},
		"more than all":            {fieldEach, "300", "each", "150 %, outside 0 to 100 %"},
		"half a change":            {fieldNumber, "2.5", "number", "whole number"},
		"no change":                {fieldNumber, "0", "number", "outside 1 to 1000"},
		"every half day":           {fieldEvery, "0.5", "every", "whole number"},
		"every none":               {fieldEvery, "0", "every", "outside 1 to 365"},
		"no days between":          {fieldEvery, "", "every", "no number"},
		"more changes than a life": {fieldNumber, "5000", "number", "outside 1 to 1000"},
	} {
		t.Run(name, func(t *testing.T) {
			r := courseOf(t, tanks.Freshwater, chem.Analysis{chem.Nitrate: 110}, chem.Analysis{chem.Nitrate: 5}, nitrateBand)
			had := len(allTasks(t, r.Store))
			r.put(c.n, c.text)
			if got := r.faultOf(c.field); got == "" || !strings.Contains(got, c.says) {
				t.Errorf("at %s stands %q", c.field, got)
			}
			if strings.Contains(r.says(), "In all") {
				t.Errorf("beside the fault stands a course:\n%s", r.says())
			}
			r.Press("Put it down as work")
			if len(allTasks(t, r.Store)) != had || r.Asked() {
				t.Error("it was put down")
			}
		})
	}
}

// A day that is past and new water that nobody measured are said; without a volume
// nothing can be reckoned.
func TestMoreFaultsOfACourse(t *testing.T) {
	r := courseOf(t, tanks.Freshwater, chem.Analysis{chem.Nitrate: 110}, chem.Analysis{chem.Nitrate: 5}, nitrateBand)
	first := apptest.Find(t, r.Canvas().Content(), func(*widgets.DateEntry) bool { return true })
	setFirst := func(text string) {
		r.Focus(first)
		first.SetText("")
		r.Type(text)
		r.Keys(fyne.KeyTab)
	}
	setFirst("2026-03-01")
	if got := r.faultOf("first"); !strings.Contains(got, "past") {
		t.Errorf("of a day that is past it says %q", got)
	}
	setFirst("2026-03-12")
	if got := r.Lines(); !strings.HasPrefix(got[0], "1 | Thu 12 Mar") {
		t.Errorf("the changes are %q", got)
	}
	r.Pick(1, "")
	if got := r.faultOf("goal"); !strings.Contains(got, "measure or type it") {
		t.Errorf("without new water it says %q", got)
	}
	r = courseWith(t, tanks.System{Code: "W1", Name: "Rack", Kind: tanks.Freshwater}, tanks.System{Code: "T1", Name: "Tap"},
		chem.Analysis{chem.Nitrate: 110},
		chem.Analysis{chem.Nitrate: 5}, nitrateBand)
	if got := r.faultOf("each"); !strings.Contains(got, "volume of the water is not known") {
		t.Errorf("without a volume it says %q", got)
	}
}

// New water that runs in all day is told by the day: of 40 L a day in 200 it takes
// ln 3 ÷ 0.2, so 6 days; at its end 5 + 105·e^−1.2 are 36.6.
func TestNewWaterRunsIn(t *testing.T) {
	r := courseOf(t, tanks.Freshwater, chem.Analysis{chem.Nitrate: 110}, chem.Analysis{chem.Nitrate: 5}, nitrateBand)
	r.Pick(2, "new water runs in all day")
	// e^−x of 105 mg/L: −ln(1 − 20/105) is 0.2113 of 200 L.
	if got := number(t, r.Screen, fieldEach).Text; got != "42" {
		t.Errorf("proposed are %q L a day", got)
	}
	r.put(fieldTo, "40")
	r.put(fieldEach, "40")
	r.wants(t, "6 days of 40 L a day: nitrate from 110.0 mg/L to 36.6 mg/L. In all 240 L", "e^(−0.200 × 6)")
	r.put(fieldNumber, "3")
	r.wants(t, "3 days of 73 L a day", "More than is safe")
	r.put(fieldNumber, "")
	r.Press("Put it down as work")
	all := allTasks(t, r.Store)
	if got := all[len(all)-1].Title; got != "Run 40 L of new water in over the day (6 of 6)" {
		t.Errorf("the last task is %q", got)
	}
}

// New water that lacks hardness is named with what 100 L of it want, and leads to
// where water is made: 4 dKH are 1.426 meq/L, 143 meq in 100 L or 12.0 g of NaHCO3.
func TestHardnessIsKept(t *testing.T) {
	r := courseOf(t, tanks.Freshwater, chem.Analysis{chem.Nitrate: 110, chem.Alkalinity: 1.783, chem.Hardness: 1.783},
		chem.Analysis{chem.Nitrate: 5, chem.Alkalinity: 0.3566, chem.Hardness: 0.7132}, nitrateBand,
		tanks.Band{Analyte: chem.Hardness, Low: 1, Aim: 1.4264, High: 2})
	r.wants(t, "The new water has 1.0 dKH of alkalinity, the aim is 5.0 dKH: 100 L of it want +4 dKH.",
		"That is 143 meq, such as 12 g of sodium bicarbonate.",
		"The new water has 4.0 dGH of hardness, the aim is 8.0 dGH: 100 L of it want +4 dGH. That is 71.3 mmol of calcium and magnesium.")
	r.Press("Making water")
	if len(r.Went) != 1 || r.Went[0].Section != session.DosingMaking || r.Went[0].System != r.system.ID {
		t.Errorf("it leads to %+v", r.Went)
	}
}

// Purified water counts as nothing of what was not measured in it, and says so.
func TestPurifiedNewWater(t *testing.T) {
	r := courseWith(t, tanks.System{Code: "W1", Name: "Rack", Kind: tanks.Freshwater, Stated: 200},
		tanks.System{Code: "R1", Name: "RO", Purified: true},
		chem.Analysis{chem.Nitrate: 60}, chem.Analysis{chem.Conductivity: 12}, nitrateBand)
	r.put(fieldTo, "30")
	r.wants(t, "nitrate from 60.0 mg/L to", "counts as nothing of what was not measured in it: nitrate.")
}

// What the board knows that a system adds in a day is counted.
func TestCourseCountsWhatIsAdded(t *testing.T) {
	store, f := storagetest.Room(t)
	profile := tanks.Profile{Name: "Course", Kind: tanks.Freshwater, Bands: []tanks.Band{nitrateBand}}
	must(t, store.SaveProfile(t.Context(), &profile))
	system := tanks.System{Code: "W1", Name: "Rack", Kind: tanks.Freshwater, Stated: 200, Profile: profile.ID,
		Opened: f.Now.Add(-100 * day)}
	tap := tanks.System{Code: "T1", Name: "Tap", Kind: tanks.Source, Opened: f.Now.Add(-100 * day)}
	must(t, store.SaveSystem(t.Context(), &system))
	must(t, store.SaveSystem(t.Context(), &tap))
	kit := tanks.Method{Name: "Nitrate kit", Kind: tanks.Kit, Analyte: chem.Nitrate, Unit: chem.MgL, Resolution: 0.1, Accuracy: 1,
		Repeatability: 0.3}
	must(t, store.SaveMethod(t.Context(), &kit))
	for back := range 12 { // three a day
		at := f.Now.Add(-time.Duration(2*back)*day - time.Hour)
		_, err := store.SaveReadings(t.Context(), []tanks.Reading{{System: system.ID, Analyte: chem.Nitrate, At: at,
			Value:  110 - 6*float64(back),
			Method: kit.ID, Unit: chem.MgL, Typed: "x"}})
		must(t, err)
	}
	levels(t, store, f, tap.ID, chem.Analysis{chem.Nitrate: 5})
	s := open(t, store, f.Now, session.DosingChanges)
	s.Visit(session.Route{Place: session.Dosing, Section: session.DosingChanges, System: system.ID})
	r := courseRoom{s, f, system, tap}
	s.Pick(1, tap.Label())
	s.Pick(2, "several changes over days")
	r.put(fieldTo, "40")
	r.put(fieldEach, "40")
	// 89, 74.6, 63.1, 53.9, 46.5, 40.6, 35.9 by hand: two more than without.
	r.wants(t, "7 changes of 40 L", "Counted with +3 mg/L a day that the board knows of besides.", "where it settles")
	r.put(fieldEach, "10") // it settles at 5 + 0.95·3 ÷ 0.05
	if got := r.faultOf("each"); !strings.Contains(got, "change 8 % or more each time") {
		t.Errorf("of 10 L it says %q", got)
	}
}

// The new water can be typed: levels in the person's units, none that is left empty;
// what was made on the bench is handed over. Either is recorded with a change.
func TestTypedAndMadeWater(t *testing.T) {
	r := courseOf(t, tanks.Freshwater, chem.Analysis{chem.Nitrate: 110}, chem.Analysis{chem.Nitrate: 5}, nitrateBand)
	r.put(fieldTo, "40")
	r.Press("Type the new water")
	if !r.Asked() || !strings.Contains(r.says(), "Levels of the new water") {
		t.Fatalf("it shows\n%s", r.says())
	}
	entries := func() (all []*widgets.QuantityEntry) {
		apptest.Each(apptest.Top(r.Canvas()), func(o fyne.CanvasObject) {
			if e, ok := o.(*widgets.QuantityEntry); ok {
				all = append(all, e)
			}
		})
		return all
	}
	all := entries()
	nitrate := all[len(all)-2] // then phosphate
	if nitrate.Text() != "5" {
		t.Fatalf("it begins with %q", nitrate.Text())
	}
	nitrate.SetText("much")
	r.Press("Take these")
	if !r.Asked() {
		t.Fatal("a word is taken for a level")
	}
	nitrate.SetText("")
	r.Press("Take these")
	if !r.Asked() || !strings.Contains(r.says(), "Nothing of the new water is typed") {
		t.Fatalf("nothing is taken:\n%s", r.says())
	}
	nitrate.SetText("10")
	r.Press("Take these")
	r.wants(t, "as typed", "10.0 + (110.0 − 10.0)")
	made := tanks.NewWater{Name: "Discus", Litres: 100, Levels: []tanks.Level{{Analyte: chem.Nitrate, Value: 2}}}
	r.Visit(session.Route{Place: session.Dosing, Section: session.DosingChanges, System: r.system.ID, Water: &made})
	r.wants(t, "as made: Discus", "2.0 + (110.0 − 2.0)")
	r.Pick(2, "one change")
	r.Press("Record the change")
	all2 := waterChanges(t, r.Screen, r.system.ID)
	if len(all2) != 1 || all2[0].From != 0 || len(all2[0].Water) != 1 || all2[0].Water[0].Value != 2 ||
		math.Abs(all2[0].Litres-100) > 1e-9 {
		t.Errorf("the ledger has %+v", all2)
	}
}
