package tasks

import (
	"testing"
	"time"

	"weirkeeper/chem"
	"weirkeeper/tanks"
)

func put(a chem.Analyte, on string, outcome Outcome, to string) Completion {
	c := Completion{System: 1, Analyte: int(a), At: at(on), Outcome: outcome}
	if outcome == Moved {
		c.MovedTo = at(to)
	}
	return c
}

// A test put off counts from the day on which that was done, and the newest of
// several holds, however they are listed. Weekly, tested on March 2 at eight.
func TestTestsPutOff(t *testing.T) {
	const ca = chem.Calcium
	for _, c := range []struct {
		name string
		put  []Completion
		now  string
		part string
		due  string
	}{
		{"skipped two days late: a week from then", []Completion{put(ca, "2026-03-11 09:00", Skipped, "")}, "2026-03-12 08:00", "soon",
			"2026-03-18"},
		{"skipped before it was due", []Completion{put(ca, "2026-03-05 09:00", Skipped, "")}, "2026-03-10 08:00", "soon", "2026-03-12"},
		{"skipped, then moved", []Completion{put(ca, "2026-03-05 09:00", Skipped, ""),
			put(ca, "2026-03-09 09:00", Moved, "2026-03-14 00:00")},
			"2026-03-10 08:00", "soon", "2026-03-14"},
		{"the same, the newer listed first", []Completion{put(ca, "2026-03-09 09:00", Moved, "2026-03-14 00:00"),
			put(ca, "2026-03-05 09:00", Skipped, "")},
			"2026-03-10 08:00", "soon", "2026-03-14"},
		{"moved, then skipped", []Completion{put(ca, "2026-03-05 09:00", Moved, "2026-03-14 00:00"),
			put(ca, "2026-03-09 09:00", Skipped, "")},
			"2026-03-10 08:00", "soon", "2026-03-16"},
		{"moved twice", []Completion{put(ca, "2026-03-08 09:00", Moved, "2026-03-20 00:00"),
			put(ca, "2026-03-09 09:00", Moved, "2026-03-11 00:00")},
			"2026-03-10 08:00", "soon", "2026-03-11"},
		{"moved to a day that has come", []Completion{put(ca, "2026-03-08 09:00", Moved, "2026-03-10 00:00")}, "2026-03-10 08:00", "today",
			"2026-03-10"},
		{"moved to an hour of that day", []Completion{put(ca, "2026-03-08 09:00", Moved, "2026-03-10 17:00")}, "2026-03-10 08:00", "today",
			"2026-03-10"},
		{"skipped before the last test", []Completion{put(ca, "2026-03-01 09:00", Skipped, "")}, "2026-03-10 08:00", "overdue",
			"2026-03-09"},
		{"skipped at the minute of the last test", []Completion{put(ca, "2026-03-02 08:00", Moved, "2026-03-20 00:00")}, "2026-03-10 08:00",
			"overdue", "2026-03-09"},
		{"another analyte put off", []Completion{put(chem.Magnesium, "2026-03-09 09:00", Skipped, "")}, "2026-03-10 08:00", "overdue",
			"2026-03-09"},
	} {
		t.Run(c.name, func(t *testing.T) {
			in := Input{
				Systems: systems[:1], Bands: map[tanks.SystemID][]tanks.Band{1: {band(ca, 7)}},
				LastTested: map[tanks.Cell]Last{{System: 1, Analyte: ca}: {At: at("2026-03-02 08:00")}}, Completions: c.put,
			}
			part, item := where(MakeAgenda(in, at(c.now), paris), 1)
			if due := item.Due.In(paris).Format(time.DateOnly); part != c.part || due != c.due {
				t.Errorf("%s on %s, want %s on %s", part, due, c.part, c.due)
			}
		})
	}
}

// Days are those of the room's calendar: around a change of the clocks, and at
// the hours at which a day of 24 hours would end on another date.
func TestDaysAcrossTheClockChange(t *testing.T) {
	for _, c := range []struct {
		name, last string
		every      int
		now        string
		part, due  string
		late       float64 // days
	}{
		{"late evening in spring", "2026-03-25 23:30", 7, "2026-04-01 08:00", "today", "2026-04-01", 0},
		{"small hours in autumn", "2026-10-22 00:30", 7, "2026-10-29 08:00", "today", "2026-10-29", 0},
		{"due on the short day, looked at after it", "2026-03-28 12:00", 1, "2026-03-30 00:10", "overdue", "2026-03-29", 1},
		{"due before the short day", "2026-03-27 12:00", 1, "2026-03-30 12:00", "overdue", "2026-03-28", 2},
		{"due on the long day, looked at after it", "2026-10-24 12:00", 1, "2026-10-26 12:00", "overdue", "2026-10-25", 1},
		{"due on the short day, looked at before it", "2026-03-28 12:00", 1, "2026-03-28 23:59", "soon", "2026-03-29", -1},
		{"over both changes", "2026-03-20 23:30", 240, "2026-11-15 08:00", "today", "2026-11-15", 0},
	} {
		for _, chore := range []bool{false, true} {
			name := c.name + ", a test"
			in := Input{
				Systems: systems[:1], Bands: map[tanks.SystemID][]tanks.Band{1: {band(chem.Nitrate, c.every)}},
				LastTested: map[tanks.Cell]Last{{System: 1, Analyte: chem.Nitrate}: {At: at(c.last)}},
			}
			if chore {
				name = c.name + ", a chore"
				in = Input{Systems: systems[:1], Tasks: []Task{{ID: 1, System: 1, Every: c.every, Start: at("2026-01-05 00:00")}},
					Completions: []Completion{{Task: 1, System: 1, At: at(c.last)}}}
			}
			t.Run(name, func(t *testing.T) {
				part, item := where(MakeAgenda(in, at(c.now), paris), 1)
				if due := item.Due.In(paris).Format("2006-01-02 15:04"); part != c.part || due != c.due+" 00:00" {
					t.Errorf("%s on %s, want %s on %s", part, due, c.part, c.due)
				}
				if want := c.late / float64(c.every); item.Overdue != want {
					t.Errorf("%g intervals late, want %g", item.Overdue, want)
				}
			})
		}
	}
}

// A day is the room's, not Greenwich's: at one in the morning in Tokyo it is
// still yesterday there.
func TestTheRoomsOwnDay(t *testing.T) {
	tokyo := zone("Asia/Tokyo")
	in := Input{
		Systems: systems[:1], Bands: map[tanks.SystemID][]tanks.Band{1: {band(chem.Nitrate, 2)}},
		LastTested: map[tanks.Cell]Last{{System: 1, Analyte: chem.Nitrate}: {At: time.Date(2026, 3, 8, 1, 0, 0, 0, tokyo).UTC()}},
	}
	b := MakeAgenda(in, time.Date(2026, 3, 10, 1, 0, 0, 0, tokyo).UTC(), tokyo)
	if part, item := where(b, 1); part != "today" || item.Due.In(tokyo).Format(time.DateOnly) != "2026-03-10" {
		t.Errorf("%s on %v", part, item.Due)
	}
}

// Chores put off: skipped counts as done for the next time, moved holds until it
// is done, skipped or moved again.
func TestChoresPutOff(t *testing.T) {
	done := func(on string) Completion { return Completion{Task: 1, System: 1, At: at(on)} }
	skip := func(on string) Completion { return Completion{Task: 1, System: 1, At: at(on), Outcome: Skipped} }
	move := func(on, to string) Completion {
		return Completion{Task: 1, System: 1, At: at(on), Outcome: Moved, MovedTo: at(to)}
	}
	weekly, monday, once := Task{Every: 7}, Task{Rule: "FREQ=WEEKLY;BYDAY=MO"}, Task{}
	for _, c := range []struct {
		name  string
		task  Task
		all   []Completion
		part  string
		due   string
		since string // last done
	}{
		{"moved, then skipped", weekly, []Completion{move("2026-03-05 09:00", "2026-03-12 00:00"), skip("2026-03-09 09:00")}, "soon",
			"2026-03-16", ""},
		{"the same, listed the other way", weekly, []Completion{skip("2026-03-09 09:00"), move("2026-03-05 09:00", "2026-03-12 00:00")},
			"soon", "2026-03-16", ""},
		{"skipped, then moved", weekly, []Completion{skip("2026-03-02 09:00"), move("2026-03-09 09:00", "2026-03-11 00:00")}, "soon",
			"2026-03-11", ""},
		{"moved, then done", weekly, []Completion{move("2026-03-03 09:00", "2026-03-12 00:00"), done("2026-03-04 09:00")}, "soon",
			"2026-03-11", "2026-03-04"},
		{"done twice, the newer listed first", weekly, []Completion{done("2026-03-04 09:00"), done("2026-03-02 09:00")}, "soon",
			"2026-03-11", "2026-03-04"},
		{"done twice, the newer listed last", weekly, []Completion{done("2026-03-02 09:00"), done("2026-03-04 09:00")}, "soon",
			"2026-03-11", "2026-03-04"},
		{"done, then skipped", weekly, []Completion{done("2026-03-02 09:00"), skip("2026-03-09 09:00")}, "soon", "2026-03-16",
			"2026-03-02"},
		{"each Monday, skipped on one", monday, []Completion{skip("2026-03-09 09:00")}, "soon", "2026-03-16", ""},
		{"each Monday, skipped on the Friday before", monday, []Completion{done("2026-03-02 09:00"), skip("2026-03-06 09:00")}, "soon",
			"2026-03-16", "2026-03-02"},
		{"each Monday, never done, skipped before the first", monday, []Completion{skip("2026-03-01 09:00")}, "overdue", "2026-03-09", ""},
		{"each Monday, two of them skipped on a Friday", monday, []Completion{skip("2026-02-27 09:00"),
			skip("2026-02-27 09:05")}, "soon", "2026-03-16", ""},
		{"each Monday, moved before and skipped there", monday, []Completion{done("2026-03-02 09:00"),
			move("2026-03-05 09:00", "2026-03-07 00:00"), skip("2026-03-06 09:00")}, "soon", "2026-03-16", "2026-03-02"},
		{"each Monday, moved on and skipped before", monday, []Completion{
			move("2026-02-27 09:00", "2026-03-11 00:00"), skip("2026-02-28 09:00")}, "soon", "2026-03-16", ""},
		{"each Monday, two weeks late and skipped", monday, []Completion{done("2026-02-16 09:00"), skip("2026-03-05 09:00")}, "overdue",
			"2026-03-09", "2026-02-16"},
		{"each Monday, done the day after", monday, []Completion{done("2026-03-03 09:00")}, "overdue", "2026-03-09", "2026-03-03"},
		{"each Monday, moved to Wednesday", monday, []Completion{move("2026-03-09 09:00", "2026-03-11 00:00")}, "soon", "2026-03-11", ""},
		{"each Monday, moved and done on Wednesday", monday,
			[]Completion{move("2026-03-02 09:00", "2026-03-04 00:00"), done("2026-03-04 09:00")}, "overdue", "2026-03-09", "2026-03-04"},
		{"once, moved", once, []Completion{move("2026-03-02 09:00", "2026-03-12 00:00")}, "soon", "2026-03-12", ""},
		{"once, skipped", once, []Completion{skip("2026-03-02 09:00")}, "none", "", ""},
		{"once, moved, then done", once, []Completion{move("2026-03-02 09:00", "2026-03-12 00:00"), done("2026-03-09 09:00")}, "none", "",
			""},
		{"once, moved, then skipped", once, []Completion{move("2026-03-02 09:00", "2026-03-12 00:00"), skip("2026-03-09 09:00")}, "none",
			"", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.task.ID, c.task.System, c.task.Title, c.task.Start = 1, 1, "Clean the cup", at("2026-03-02 00:00")
			part, item := where(MakeAgenda(Input{Systems: systems, Tasks: []Task{c.task}, Completions: c.all}, at("2026-03-10 08:00"),
				paris), 1)
			if part != c.part {
				t.Fatalf("%s, want %s", part, c.part)
			}
			if part == "none" {
				return
			}
			if due := item.Due.In(paris).Format(time.DateOnly); due != c.due {
				t.Errorf("due on %s, want %s", due, c.due)
			}
			since := ""
			if !item.LastDone.IsZero() {
				since = item.LastDone.In(paris).Format(time.DateOnly)
			}
			if since != c.since {
				t.Errorf("last done %q, want %q", since, c.since)
			}
		})
	}
}

// A chore is due first on its first day, or when the system was opened if that is
// later.
func TestFirstDayOfAChore(t *testing.T) {
	for _, c := range []struct{ name, start, opened, due string }{
		{"an old system", "2026-03-02 00:00", "2026-01-01 00:00", "2026-03-02"},
		{"opened after it", "2026-03-02 00:00", "2026-03-08 15:00", "2026-03-08"},
		{"opened on the same day", "2026-03-02 00:00", "2026-03-02 15:00", "2026-03-02"},
	} {
		for _, task := range []Task{{Every: 7}, {}, {Rule: "FREQ=DAILY"}} {
			task.ID, task.Profile, task.Start = 1, 5, at(c.start)
			in := Input{Systems: []tanks.System{{ID: 1, Profile: 5, Opened: at(c.opened)}}, Tasks: []Task{task}}
			_, item := where(MakeAgenda(in, at("2026-03-10 08:00"), paris), 1)
			if due := item.Due.In(paris).Format(time.DateOnly); due != c.due {
				t.Errorf("%s: due on %s, want %s", c.name, due, c.due)
			}
		}
	}
}

// A task belongs to its system, to every system of its profile, or to the room;
// never to systems that happen to have no profile.
func TestWhoseAChoreIs(t *testing.T) {
	all := []tanks.System{{ID: 1, Profile: 5}, {ID: 2, Profile: 6}, {ID: 3}, {ID: 4}, {ID: 5, Profile: 5}}
	for _, c := range []struct {
		name string
		task Task
		want []tanks.SystemID
	}{
		{"one system's", Task{System: 3}, []tanks.SystemID{3}},
		{"one system's, of a profile", Task{System: 1}, []tanks.SystemID{1}},
		{"a profile's", Task{Profile: 5}, []tanks.SystemID{1, 5}},
		{"the room's", Task{}, []tanks.SystemID{0}},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.task.ID, c.task.Start = 1, at("2026-03-10 00:00")
			b := MakeAgenda(Input{Systems: all, Tasks: []Task{c.task}}, at("2026-03-10 08:00"), paris)
			var got []tanks.SystemID
			for _, item := range b.Today {
				got = append(got, item.System)
			}
			if len(got) != len(c.want) || len(b.Overdue)+len(b.Soon) > 0 {
				t.Fatalf("it is work of %v, want %v", got, c.want)
			}
			for i := range got {
				if got[i] != c.want[i] {
					t.Errorf("it is work of %v, want %v", got, c.want)
				}
			}
		})
	}
}
