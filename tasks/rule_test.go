package tasks

import (
	"slices"
	"strings"
	"testing"
	"time"

	"weirkeeper/tanks"
)

func zone(name string) *time.Location {
	loc, err := time.LoadLocation(name)
	if err != nil {
		panic(err)
	}
	return loc
}

// days lists when a rule is due if each occurrence is done on its day at noon:
// at most so many.
func daysOf(t Task, loc *time.Location, most int) []string {
	var out []string
	var last time.Time
	for len(out) < most {
		due, ok := t.dueByRule(last, t.Start, loc)
		if !ok {
			break
		}
		out = append(out, due.In(loc).Format(time.DateOnly))
		last = due.Add(12 * time.Hour)
	}
	return out
}

// The examples of RFC 5545, 3.8.5.3, with DTSTART;TZID=America/New_York at nine in
// the morning, as it lists them; a rule here knows the day only.
func TestExamplesOfRFC5545(t *testing.T) {
	newYork := zone("America/New_York")
	for _, c := range []struct {
		name, start, rule, want string
		most                    int
	}{
		{"daily for 10 occurrences", "1997-09-02", "FREQ=DAILY;COUNT=10",
			"1997-09-02 1997-09-03 1997-09-04 1997-09-05 1997-09-06 1997-09-07 1997-09-08 1997-09-09 1997-09-10 1997-09-11", 20},
		{"daily until December 24, 1997: the last is of December 23", "1997-12-20", "FREQ=DAILY;UNTIL=19971224T000000Z",
			"1997-12-20 1997-12-21 1997-12-22 1997-12-23", 20},
		{"every other day", "1997-09-02", "FREQ=DAILY;INTERVAL=2", "1997-09-02 1997-09-04 1997-09-06 1997-09-08", 4},
		{"every 10 days, 5 occurrences", "1997-09-02", "FREQ=DAILY;INTERVAL=10;COUNT=5",
			"1997-09-02 1997-09-12 1997-09-22 1997-10-02 1997-10-12", 20},
		{"every other week", "1997-09-02", "FREQ=WEEKLY;INTERVAL=2;WKST=SU", "1997-09-02 1997-09-16 1997-09-30 1997-10-14 1997-10-28", 5},
		{"weekly on Tuesday and Thursday for five weeks", "1997-09-02", "FREQ=WEEKLY;UNTIL=19971007T000000Z;WKST=SU;BYDAY=TU,TH",
			"1997-09-02 1997-09-04 1997-09-09 1997-09-11 1997-09-16 1997-09-18 1997-09-23 1997-09-25 1997-09-30 1997-10-02", 20},
		{"every other week on Tuesday and Thursday, 8 occurrences", "1997-09-02", "FREQ=WEEKLY;INTERVAL=2;COUNT=8;WKST=SU;BYDAY=TU,TH",
			"1997-09-02 1997-09-04 1997-09-16 1997-09-18 1997-09-30 1997-10-02 1997-10-14 1997-10-16", 20},
		{"monthly on the first Friday for 10 occurrences", "1997-09-05", "FREQ=MONTHLY;COUNT=10;BYDAY=1FR",
			"1997-09-05 1997-10-03 1997-11-07 1997-12-05 1998-01-02 1998-02-06 1998-03-06 1998-04-03 1998-05-01 1998-06-05", 20},
		{"monthly on the third-to-the-last day", "1997-09-28", "FREQ=MONTHLY;BYMONTHDAY=-3",
			"1997-09-28 1997-10-29 1997-11-28 1997-12-29 1998-01-29 1998-02-26", 6},
		{"monthly on the first and last day, 10 occurrences", "1997-09-30", "FREQ=MONTHLY;COUNT=10;BYMONTHDAY=1,-1",
			"1997-09-30 1997-10-01 1997-10-31 1997-11-01 1997-11-30 1997-12-01 1997-12-31 1998-01-01 1998-01-31 1998-02-01", 20},
		{"yearly in June and July for 10 occurrences", "1997-06-10", "FREQ=YEARLY;COUNT=10;BYMONTH=6,7",
			"1997-06-10 1997-07-10 1998-06-10 1998-07-10 1999-06-10 1999-07-10 2000-06-10 2000-07-10 2001-06-10 2001-07-10", 20},
		{"weeks that begin on Monday", "1997-08-05", "FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TU,SU;WKST=MO",
			"1997-08-05 1997-08-10 1997-08-19 1997-08-24", 20},
		{"weeks that begin on Sunday", "1997-08-05", "FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TU,SU;WKST=SU",
			"1997-08-05 1997-08-17 1997-08-19 1997-08-31", 20},
		{"February 30 is ignored", "2007-01-15", "FREQ=MONTHLY;BYMONTHDAY=15,30;COUNT=5",
			"2007-01-15 2007-01-30 2007-02-15 2007-03-15 2007-03-30", 20},
	} {
		t.Run(c.name, func(t *testing.T) {
			start, err := time.ParseInLocation("2006-01-02 15:04", c.start+" 09:00", newYork)
			if err != nil {
				t.Fatal(err)
			}
			if got := daysOf(Task{Rule: c.rule, Start: start}, newYork, c.most); !slices.Equal(got, strings.Fields(c.want)) {
				t.Errorf("due on\n%v, want\n%v", got, c.want)
			}
		})
	}
}

// UNTIL belongs to the rule: the day that it names is the last (RFC 5545, 3.3.10,
// "bounds the recurrence rule in an inclusive manner"), in the room's zone where
// it names one of no zone.
func TestUntil(t *testing.T) {
	for _, c := range []struct{ name, zone, until, last string }{
		{"a day, west of Greenwich", "America/New_York", "20260320", "2026-03-20"},
		{"a day, in Greenwich", "UTC", "20260320", "2026-03-20"},
		{"a day, east of Greenwich", "Asia/Tokyo", "20260320", "2026-03-20"},
		{"a local midnight", "America/New_York", "20260320T000000", "2026-03-20"},
		{"a local midnight in the east", "Asia/Tokyo", "20260320T000000", "2026-03-20"},
		{"midnight in UTC is still the day before in the west", "America/New_York", "20260320T000000Z", "2026-03-19"},
		{"and the day itself in the east", "Asia/Tokyo", "20260320T000000Z", "2026-03-20"},
		{"an evening in UTC is tomorrow in the east", "Asia/Tokyo", "20260320T200000Z", "2026-03-21"},
	} {
		t.Run(c.name, func(t *testing.T) {
			loc := zone(c.zone)
			days := daysOf(Task{Rule: "FREQ=DAILY;UNTIL=" + c.until, Start: time.Date(2026, 3, 15, 9, 0, 0, 0, loc)}, loc, 30)
			if len(days) == 0 || days[0] != "2026-03-15" || days[len(days)-1] != c.last {
				t.Errorf("due on %v, want up to %s", days, c.last)
			}
		})
	}
}

// Where the clocks are put forward at midnight, that day begins an hour later; it
// is neither the evening before nor left out. Santiago and Havana skip midnight on
// these days, Cairo and Beirut too; Paris and New York change at two or three.
func TestDaysWithoutMidnight(t *testing.T) {
	for _, c := range []struct {
		zone, day string
		begins    string
	}{
		{"America/Santiago", "2026-09-06", "01:00"},
		{"America/Havana", "2026-03-08", "01:00"},
		{"Africa/Cairo", "2026-04-24", "01:00"},
		{"Asia/Beirut", "2026-03-29", "01:00"},
		{"Europe/Paris", "2026-03-29", "00:00"},
		{"Europe/Paris", "2026-10-25", "00:00"},
		{"America/New_York", "2026-11-01", "00:00"},
	} {
		t.Run(c.zone+" "+c.day, func(t *testing.T) {
			loc := zone(c.zone)
			noon, err := time.ParseInLocation("2006-01-02 15:04", c.day+" 12:00", loc)
			if err != nil {
				t.Fatal(err)
			}
			want := c.day + " " + c.begins
			before, after := noon.AddDate(0, 0, -1), noon.AddDate(0, 0, 1)
			for name, got := range map[string]time.Time{
				"its own": dayOf(noon, loc), "the day after the one before": addDays(before, 1, loc),
				"the day before the next": addDays(after, -1, loc),
			} {
				if got.In(loc).Format("2006-01-02 15:04") != want {
					t.Errorf("%s begins at %v, want %s", name, got, want)
				}
			}
			every := Task{Rule: "FREQ=DAILY", Start: before}
			if days := daysOf(every, loc, 3); !slices.Equal(days,
				[]string{before.Format(time.DateOnly), c.day, after.Format(time.DateOnly)}) {
				t.Errorf("a daily task is due on %v", days)
			}
		})
	}
}

// A chore by a rule begins in a system when the system does: a template that is
// older than the system does not leave years of it overdue.
func TestRuleBeginsWithTheSystem(t *testing.T) {
	weekly := Task{ID: 1, Profile: 5, Title: "Clean", Rule: "FREQ=WEEKLY;BYDAY=MO", Start: at("2024-01-01 00:00")}
	for _, c := range []struct{ name, opened, part, due string }{
		{"opened on a Wednesday", "2026-03-04 10:00", "overdue", "2026-03-09"},
		{"opened on a Monday", "2026-03-09 10:00", "overdue", "2026-03-09"},
		{"opened today, a Tuesday", "2026-03-10 07:00", "soon", "2026-03-16"},
		{"opened before the template", "2023-06-01 10:00", "overdue", "2024-01-01"},
	} {
		t.Run(c.name, func(t *testing.T) {
			in := Input{Systems: []tanks.System{{ID: 1, Profile: 5, Opened: at(c.opened)}}, Tasks: []Task{weekly}}
			part, item := where(MakeAgenda(in, at("2026-03-10 08:00"), paris), 1)
			if due := item.Due.In(paris).Format(time.DateOnly); part != c.part || due != c.due {
				t.Errorf("%s on %s, want %s on %s", part, due, c.part, c.due)
			}
		})
	}
}
