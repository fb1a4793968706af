package tasks

import (
	"time"

	"github.com/teambition/rrule-go"

	"weirkeeper/assets/words"
)

// parseRule reads an RFC 5545 RRULE stepped from the day of start in start's
// zone. It counts days of the calendar, each as its midnight in UTC, so that no
// change of the clocks moves or drops one. Rules that step by hours or less are
// refused: across such a change they would not do what they say.
func parseRule(text string, start time.Time) (*rrule.RRule, error) {
	option, err := rrule.StrToROption(text)
	if err != nil {
		return nil, words.Errorf("%q: %w", text, err)
	}
	if option.Freq > rrule.DAILY {
		return nil, words.Errorf("%q steps by less than a day", text)
	}
	if option.Count > 0 && !option.Until.IsZero() {
		return nil, words.Errorf("%q has both COUNT and UNTIL", text)
	}
	option.Dtstart = calendarDay(start)
	option.Until = until(text, option.Until, start.Location())
	return rrule.NewRRule(*option)
}

// until returns the last instant of a rule on the calendar's own clock. A day, or
// a time without a zone, is one of the calendar; a time in UTC (RFC 5545 marks it
// by a Z) is put into the room's zone first.
func until(text string, read time.Time, loc *time.Location) time.Time {
	if read.IsZero() {
		return read
	}
	local, err := rrule.StrToROptionInLocation(text, loc)
	if err != nil || !local.Until.Equal(read) {
		return read
	}
	t := read.In(loc)
	return time.Date(t.Year(), t.Month(), t.Day(), t.Hour(), t.Minute(), t.Second(), 0, time.UTC)
}

// calendarDay returns the midnight in UTC that stands for t's day in its zone.
func calendarDay(t time.Time) time.Time {
	return time.Date(t.Year(), t.Month(), t.Day(), 0, 0, 0, 0, time.UTC)
}

// dueByRule returns the first occurrence after the day of last, or when nothing
// was done yet the first from the day of first on. ok is false when the rule has
// none left.
func (t Task) dueByRule(last, first time.Time, loc *time.Location) (time.Time, bool) {
	rule, err := parseRule(t.Rule, t.Start.In(loc))
	if err != nil {
		return time.Time{}, false
	}
	after, inclusive := last.In(loc), false
	if last.IsZero() {
		after, inclusive = first.In(loc), true
	}
	due := rule.After(calendarDay(after), inclusive)
	if due.IsZero() {
		return time.Time{}, false
	}
	return beginning(due.Year(), due.Month(), due.Day(), loc), true
}

// dayOf returns the beginning of t's day in loc.
func dayOf(t time.Time, loc *time.Location) time.Time { return addDays(t, 0, loc) }

// addDays returns the beginning of the day n days after t's.
func addDays(t time.Time, n int, loc *time.Location) time.Time {
	t = t.In(loc)
	return beginning(t.Year(), t.Month(), t.Day()+n, loc)
}

// beginning returns the first instant of a day. Where the clocks skip midnight,
// as in Santiago, [time.Date] may give the evening before: the day begins when
// that zone's time ends.
func beginning(year int, month time.Month, day int, loc *time.Location) time.Time {
	midnight := time.Date(year, month, day, 0, 0, 0, 0, loc)
	if noon := time.Date(year, month, day, 12, 0, 0, 0, loc); midnight.Day() == noon.Day() {
		return midnight
	}
	_, end := midnight.ZoneBounds()
	return end
}
