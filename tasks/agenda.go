package tasks

import (
	"cmp"
	"math"
	"slices"
	"time"

	"weirkeeper/chem"
	"weirkeeper/tanks"
)

// Last is when and by whom something was done last.
type Last struct {
	At time.Time
	By string
}

// Input is what the agenda is made from.
type Input struct {
	Systems     []tanks.System // open ones, in walking order
	Bands       map[tanks.SystemID][]tanks.Band
	LastTested  map[tanks.Cell]Last
	Tasks       []Task
	Completions []Completion // the newest of each task and test
	Verdicts    map[tanks.Cell]tanks.Verdict
}

// Item is one line of due work: a chore, or the tests of one system that are
// due the same day.
type Item struct {
	Task     ID // zero for tests
	System   tanks.SystemID
	Analytes []chem.Analyte // of tests, in the order of the bands
	Title    string         // of a chore
	Due      time.Time      // the beginning of the day in the room's zone
	LastDone time.Time      // the oldest of its tests'; zero: never, or one never
	LastBy   string
	Every    time.Duration // the shortest of its intervals; zero: none
	Overdue  float64       // days late over the interval; negative: still to come
	outside  bool          // one of its analytes is outside its band
	walk     int
}

// Agenda is the work of a day: overdue, due today, and in the seven days after.
type Agenda struct {
	Overdue, Today, Soon []Item
}

// soonDays is how far ahead the agenda looks.
const soonDays = 7

// MakeAgenda sorts what is due at the instant now in the room's zone. Each part
// is ordered by how overdue the work is against its own interval, then with
// systems out of band first, then in walking order.
func MakeAgenda(in Input, now time.Time, loc *time.Location) Agenda {
	today := dayOf(now, loc)
	var a Agenda
	for _, item := range append(tests(in, today, loc), chores(in, today, loc)...) {
		late := daysBetween(item.Due, today)
		switch {
		case late > 0:
			a.Overdue = append(a.Overdue, item)
		case late == 0:
			a.Today = append(a.Today, item)
		case late >= -soonDays:
			a.Soon = append(a.Soon, item)
		}
	}
	for _, part := range [][]Item{a.Overdue, a.Today} {
		slices.SortStableFunc(part, pressing)
	}
	slices.SortStableFunc(a.Soon, func(x, y Item) int { return cmp.Or(x.Due.Compare(y.Due), pressing(x, y)) })
	return a
}

func pressing(x, y Item) int {
	return cmp.Or(cmp.Compare(y.Overdue, x.Overdue), boolFirst(x.outside, y.outside), cmp.Compare(x.walk, y.walk),
		cmp.Compare(x.Task, y.Task))
}

func boolFirst(x, y bool) int {
	switch {
	case x == y:
		return 0
	case x:
		return -1
	}
	return 1
}

func daysBetween(a, b time.Time) int {
	return int(math.Round(b.Sub(a).Hours() / 24))
}

// overdue is days late over the interval; work of no interval counts by
// days.
func overdue(due, today time.Time, every time.Duration) float64 {
	late := float64(daysBetween(due, today))
	if days := every.Hours() / 24; days >= 1 {
		return late / days
	}
	return late
}

type testKey struct {
	system tanks.SystemID
	due    int64
}

// scheduled is a test of the schedule with the day that it is due.
type scheduled struct {
	system tanks.System
	walk   int
	band   tanks.Band
	due    time.Time
}

func (t scheduled) cell() tanks.Cell { return tanks.Cell{System: t.system.ID, Analyte: t.band.Analyte} }

// schedule lists every test that has an interval, in walking order.
func schedule(in Input, loc *time.Location) []scheduled {
	put := putOff(in.Completions)
	var all []scheduled
	for walk, s := range in.Systems {
		for _, band := range in.Bands[s.ID] {
			if band.TestEvery <= 0 {
				continue
			}
			t := scheduled{system: s, walk: walk, band: band}
			t.due = testDue(s, band, in.LastTested[t.cell()], put[workKey{system: s.ID, analyte: int(band.Analyte)}], loc)
			all = append(all, t)
		}
	}
	return all
}

// DueTests returns the tests that are overdue or due today, as [MakeAgenda] counts
// them.
func DueTests(in Input, now time.Time, loc *time.Location) map[tanks.Cell]bool {
	today, due := dayOf(now, loc), map[tanks.Cell]bool{}
	for _, t := range schedule(in, loc) {
		if daysBetween(t.due, today) >= 0 {
			due[t.cell()] = true
		}
	}
	return due
}

// tests returns the due tests, those of one system and day together.
func tests(in Input, today time.Time, loc *time.Location) []Item {
	var items []Item
	at := map[testKey]int{}
	for _, t := range schedule(in, loc) {
		last, v := in.LastTested[t.cell()], in.Verdicts[t.cell()]
		outside := v.Word == tanks.BelowBand || v.Word == tanks.AboveBand
		group := testKey{t.system.ID, t.due.Unix()}
		n, ok := at[group]
		if !ok {
			n = len(items)
			at[group] = n
			items = append(items, Item{
				System: t.system.ID, Due: t.due, LastDone: last.At, LastBy: last.By, Every: t.band.TestEvery, walk: t.walk,
			})
		}
		item := &items[n]
		item.Analytes = append(item.Analytes, t.band.Analyte)
		item.outside = item.outside || outside
		item.Every = min(item.Every, t.band.TestEvery)
		if last.At.Before(item.LastDone) {
			item.LastDone, item.LastBy = last.At, last.By
		}
		item.Overdue = overdue(t.due, today, item.Every)
	}
	return items
}

// testDue is the day a test is due: its interval after it was done last, the
// opening day when it never was, or as put off since.
func testDue(s tanks.System, band tanks.Band, last Last, put []Completion, loc *time.Location) time.Time {
	due := dayOf(s.Opened, loc)
	days := int(math.Max(1, math.Round(band.TestEvery.Hours()/24)))
	if !last.At.IsZero() {
		due = addDays(last.At, days, loc)
	}
	for _, c := range put {
		if !c.At.After(last.At) {
			continue
		}
		if c.Outcome == Moved {
			due = dayOf(c.MovedTo, loc)
		} else {
			due = addDays(c.At, days, loc)
		}
	}
	return due
}

type workKey struct {
	task    ID
	system  tanks.SystemID
	analyte int
}

func keyOf(c Completion) workKey { return workKey{c.Task, c.System, c.Analyte} }

// putOff collects what was skipped or moved by task or test, oldest first.
func putOff(all []Completion) map[workKey][]Completion {
	out := map[workKey][]Completion{}
	for _, c := range all {
		if c.Outcome != Done {
			out[keyOf(c)] = append(out[keyOf(c)], c)
		}
	}
	for _, list := range out {
		slices.SortStableFunc(list, func(a, b Completion) int { return a.At.Compare(b.At) })
	}
	return out
}

// chores returns the due chores of systems, profiles and the room.
func chores(in Input, today time.Time, loc *time.Location) []Item {
	put, done := putOff(in.Completions), map[workKey]Completion{}
	for _, c := range in.Completions {
		if have, ok := done[keyOf(c)]; c.Outcome == Done && (!ok || c.At.After(have.At)) {
			done[keyOf(c)] = c
		}
	}
	var items []Item
	add := func(t Task, system tanks.System, walk int) {
		key := workKey{task: t.ID, system: system.ID}
		last := done[key]
		due, ok := t.due(system, last.At, put[key], loc)
		if !ok {
			return
		}
		every := time.Duration(t.Every) * 24 * time.Hour
		items = append(items, Item{
			Task: t.ID, System: system.ID, Title: t.Title, Due: due, LastDone: last.At, LastBy: last.Person, Every: every,
			Overdue: overdue(due, today, every), walk: walk,
		})
	}
	for _, t := range in.Tasks {
		if t.Ended {
			continue
		}
		if t.System == 0 && t.Profile == 0 {
			add(t, tanks.System{}, len(in.Systems))
			continue
		}
		for walk, s := range in.Systems {
			if s.ID == t.System || (t.Profile != 0 && s.Profile == t.Profile) {
				add(t, s, walk)
			}
		}
	}
	return items
}

// due is the day a task is due in a system; ok is false when nothing is left
// to do.
func (t Task) due(s tanks.System, last time.Time, put []Completion, loc *time.Location) (due time.Time, ok bool) {
	start := t.Start
	if s.Opened.After(start) {
		start = s.Opened
	}
	reference, heeded := last, last // heeded: when it was last done or skipped
	for _, c := range put {
		if !c.At.After(heeded) {
			continue
		}
		if c.Outcome == Moved {
			due, ok = dayOf(c.MovedTo, loc), true
			continue
		}
		reference, heeded = t.afterSkip(c.At, reference, due, start, loc), c.At
		due, ok = time.Time{}, false
	}
	if ok {
		return due, true
	}
	switch {
	case t.Rule != "":
		return t.dueByRule(reference, start, loc)
	case t.Every > 0 && !reference.IsZero():
		return addDays(reference, t.Every, loc), true
	case !reference.IsZero():
		return time.Time{}, false
	}
	return dayOf(start, loc), true
}

// afterSkip is from when on the next time counts after a skip at an instant: by a
// rule from the time that was skipped, although its day may not have come. moved is
// where it was moved to before, if it was.
func (t Task) afterSkip(at, reference, moved, first time.Time, loc *time.Location) time.Time {
	if t.Rule == "" {
		return at
	}
	skipped, _ := t.dueByRule(reference, first, loc)
	return slices.MaxFunc([]time.Time{at, moved, skipped}, time.Time.Compare)
}
