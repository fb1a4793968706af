package tasks

import (
	"time"

	"github.com/teambition/rrule-go"

	"weirkeeper/assets/words"
)

// parseRule reads an RFC 5545 RRULE stepped from start in start's zone. Rules
// that step by hours or less are refused: across a clock change they would not
// do what they say.
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
	option.Dtstart = start
	return rrule.NewRRule(*option)
}

// dueByRule returns the first occurrence after the day of last, or the first
// of all when nothing was done yet. ok is false when the rule has none left.
func (t Task) dueByRule(last time.Time, loc *time.Location) (time.Time, bool) {
	rule, err := parseRule(t.Rule, dayOf(t.Start, loc))
	if err != nil {
		return time.Time{}, false
	}
	if last.IsZero() {
		due := rule.After(dayOf(t.Start, loc), true)
		return due, !due.IsZero()
	}
	due := rule.After(dayOf(last, loc), false)
	return due, !due.IsZero()
}

// dayOf returns the beginning of t's day in loc.
func dayOf(t time.Time, loc *time.Location) time.Time {
	t = t.In(loc)
	return time.Date(t.Year(), t.Month(), t.Day(), 0, 0, 0, 0, loc)
}

// addDays returns the beginning of the day n days after t's.
func addDays(t time.Time, n int, loc *time.Location) time.Time {
	t = t.In(loc)
	return time.Date(t.Year(), t.Month(), t.Day()+n, 0, 0, 0, 0, loc)
}
